"""The liquids that are screened: those of the table, and any that somebody adds."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from potash.errors import PotashError
from potash.properties.liquids import (
    Liquid,
    LiquidRecord,
    UnknownLiquid,
    liquid,
    liquid_from_records,
    liquids,
)
from potash.solvents.errors import NameOfAMixture, NotAMolecularLiquid, UnreadableStructure
from potash.solvents.structures import Structure, parses, structure
from potash.words import tr
from potash.words.tables import read_toml

_CAS = re.compile(r"\d{2,7}-\d{2}-\d")
_LIKE_SMILES = re.compile(r"[A-Za-z0-9@+\-\[\]()=#$:.%/\\~*]+")
_BOUND_SYMBOL = re.compile(r"[()=#\[\]]|[A-Za-z]\d")
_LONGEST = 300
_WARM_ROOM = 293.15  # K; what boils below is a gas in the laboratory


@dataclass(frozen=True, slots=True)
class Known:
    """A value with its relative standard uncertainty, and whether it is an estimate."""

    value: float
    uncertainty: float
    estimated: bool


@dataclass(frozen=True, slots=True, eq=False)
class Candidate:
    """A liquid that can be screened.

    own: whether somebody added it. given: what was typed for it then.
    """

    liquid: Liquid
    structure: Structure | None
    own: bool = False
    given: str = ""

    def record(self, name: str, estimates: bool) -> LiquidRecord | None:
        """The record that holds a property, published before estimated."""
        published = self.liquid.records.get(name)
        if published is not None or not estimates:
            return published
        return self.liquid.estimates.get(name)

    def constant(self, name: str, estimates: bool) -> Known | None:
        """A temperature of change, such as the boiling point (K); None where unknown."""
        record = self.record(name, estimates)
        return None if record is None else _known(record, record.values[0])

    def value(self, name: str, T: float, estimates: bool) -> Known | None:
        """A property at ``T`` (K); None outside its range, unless an estimate is let fill it."""
        for records in (self.liquid.records, self.liquid.estimates if estimates else {}):
            record = records.get(name)
            if record is not None and record.covers(T):
                return _known(record, record.value_at(T))
        return None


@cache
def offered() -> tuple[Candidate, ...]:
    """Every liquid of the table, its structure searched once."""
    return tuple(_of_table(found) for found in liquids())


def candidate(given: str) -> Candidate:
    """The liquid that ``given`` names: a name, a CAS number or a SMILES.

    A liquid of the table keeps its row, whichever way it is given. Others come from published data
    by CAS number, and from their structure alone where there are none; `thermo` loads for these.
    Raises: NameOfAMixture; UnknownLiquid, with near matches; UnreadableStructure;
    NotAMolecularLiquid, for a salt, a metal, a gas or several substances.
    """
    text = given.strip()
    if len(text) > _LONGEST:
        raise UnreadableStructure(
            tr(
                "{number} characters are given; the name, CAS number or SMILES of a liquid has at "
                "most {limit}.",
                number=len(text),
                limit=_LONGEST,
            )
        )
    _refuse_mixture(text)
    in_table = _in_table(text)
    if in_table:
        return in_table
    if _CAS.fullmatch(text):
        return _by_cas(text)
    if _looks_like_smiles(text):
        return _by_structure(structure(text), text)
    return _by_name(text)


def _of_table(found: Liquid) -> Candidate:
    return Candidate(found, structure(found.smiles) if found.smiles else None)


def _known(record: LiquidRecord, value: float) -> Known:
    return Known(value, record.relative_uncertainty or 0.01, record.kind == "estimated")


def _in_table(text: str) -> Candidate | None:
    """The row of that name. Raises: UnknownLiquid, for a name that means several isomers."""
    try:
        found = liquid(text)
    except PotashError as unknown:
        if "does not say which" in str(unknown):
            raise
        return None
    return next(one for one in offered() if one.liquid is found)


def _looks_like_smiles(text: str) -> bool:
    """Whether to read ``text`` as a structure: it parses, or it can hardly be meant as a name."""
    if not _LIKE_SMILES.fullmatch(text):
        return False
    return parses(text) or bool(_BOUND_SYMBOL.search(text) and not _worded(text))


def _worded(text: str) -> bool:
    """Whether it holds a run of small letters, as names do and SMILES do not."""
    return bool(re.search(r"[a-z]{4}", text.replace("c", "")))


def _by_structure(found: Structure, given: str) -> Candidate:
    same = [one for one in offered() if one.structure and one.structure.smiles == found.smiles]
    if not same and found.smiles == found.flat:
        same = [one for one in offered() if one.structure and one.structure.flat == found.flat]
    if len(same) > 1:
        names = tr(" or ").join(f"{one.liquid.name} ({one.liquid.smiles})" for one in same)
        raise UnreadableStructure(
            tr(
                '"{given}" leaves open which stereoisomer is meant. Write {names}.',
                given=given,
                names=names,
            )
        )
    if same:
        return same[0]
    return _published(_identity(f"InChIKey={found.key}"), found, given)


def _by_cas(cas: str) -> Candidate:
    if not _has_check_digit(cas):
        raise NotAMolecularLiquid(
            tr(
                '"{cas}" is not a CAS number: its last digit does not fit the others. One digit '
                "is mistyped, or two are swapped.",
                cas=cas,
            )
        )
    identity = _identity(cas)
    if identity is None or not identity.smiles:
        raise NotAMolecularLiquid(
            tr(
                "No structure is known here for CAS {cas}. Give the SMILES of the liquid instead.",
                cas=cas,
            )
        )
    return _by_structure_of(identity, cas)


def _by_name(name: str) -> Candidate:
    identity = _identity(name) if 0 < len(name) < 100 else None
    if identity is not None and identity.smiles:
        return _by_structure_of(identity, name)
    try:
        liquid(name)
    except UnknownLiquid as unknown:
        raise UnknownLiquid(
            tr("{unknown} Or give the CAS number or the SMILES.", unknown=unknown)
        ) from None
    raise AssertionError(tr("a name of the table was found above"))


def _by_structure_of(identity: Any, given: str) -> Candidate:
    in_table = _in_table(identity.CASs)
    if in_table:
        return in_table
    return _published(identity, structure(identity.smiles), given)


def _identity(sought: str) -> Any:
    """What the identifiers of `chemicals` hold for a CAS number, a name or an InChIKey."""
    from chemicals.identifiers import search_chemical

    try:
        return search_chemical(sought)
    except ValueError:
        return None


def _published(identity: Any, found: Structure, given: str) -> Candidate:
    """A liquid from published data where its CAS number is known, else from its structure alone."""
    from potash.properties.published import estimated_records, published_records

    cas = identity.CASs if identity else None
    records = published_records(cas) if cas else {}
    boiling = records.get("boiling_point")
    name = identity.common_name if identity else found.smiles
    if boiling and boiling["values"][0] < _WARM_ROOM:
        raise NotAMolecularLiquid(
            tr(
                "{name} is a gas at room temperature: it boils at {values:.0f} °C. A working "
                "liquid must be poured.",
                name=name,
                values=boiling["values"][0] - 273.15,
            )
        )
    estimates = estimated_records(cas, found.smiles, records)
    made = liquid_from_records(
        name, cas or tr("no CAS number"), found.formula, found.smiles, records, estimates
    )
    return Candidate(made, found, own=True, given=given)


def _refuse_mixture(text: str) -> None:
    mixture = _mixtures().get(" ".join(text.casefold().split()))
    if mixture is None:
        return
    proxies = mixture["proxies"]
    offer = (
        tr(
            "Defined liquids of the table that behave much alike: {proxies}.",
            proxies=", ".join(proxies),
        )
        if proxies
        else tr("No defined liquid of the table behaves alike.")
    )
    raise NameOfAMixture(
        tr(
            '"{text}" is {what}. A density, a boiling point and a structure belong to a defined '
            "substance, or to a cut whose supplier gives its data. {offer}",
            text=text,
            what=mixture["what"],
            offer=offer,
        )
    )


@cache
def _mixtures() -> Mapping[str, Mapping[str, Any]]:
    entries = read_toml("solvents/data/mixtures.toml")["mixture"]
    return {name: entry for entry in entries for name in entry["names"]}


def _has_check_digit(cas: str) -> bool:
    *digits, check = (int(digit) for digit in cas.replace("-", ""))
    return sum(i * digit for i, digit in enumerate(reversed(digits), 1)) % 10 == check
