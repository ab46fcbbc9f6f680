"""GHS elements of the workbook's substances, and pairs of them that must not meet."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from itertools import combinations
from typing import Any

from potash.errors import PotashError
from potash.words import tr
from potash.words.tables import read_csv, read_toml

CHECK_THE_SDS = tr("Check the supplier's current safety data sheet.")

_PRECAUTIONS: Mapping[str, tuple[str, ...]] = {
    "H225": ("P210",),
    "H226": ("P210",),
    "H260": ("P223", "P231 + P232", "P370 + P378", "P402 + P404"),
    "H261": ("P223", "P231 + P232", "P370 + P378", "P402 + P404"),
    "H304": ("P301 + P330 + P331",),
    "H314": ("P260", "P280", "P305 + P351 + P338"),
}


class UnknownSubstance(PotashError):
    """No record of this substance is held."""


@dataclass(frozen=True, slots=True)
class Substance:
    """The GHS elements of one substance.

    statements: hazard codes; pictograms: GHS codes; signal: "Danger", "Warning" or "".
    groups: what it counts as among incompatibilities.
    """

    name: str
    formula: str
    cas: str
    signal: str
    pictograms: tuple[str, ...]
    statements: tuple[str, ...]
    groups: tuple[str, ...]
    source: str

    @property
    def precautions(self) -> tuple[str, ...]:
        """Codes of the precautionary statements that its hazards call for here."""
        codes = (code for hazard in self.statements for code in _PRECAUTIONS.get(hazard, ()))
        return tuple(dict.fromkeys(codes))

    @property
    def described(self) -> tuple[str, ...]:
        """Each hazard statement with its code, as on a label."""
        return tuple(f"{code}: {statement(code)}." for code in self.statements)


@dataclass(frozen=True, slots=True)
class Incompatibility:
    """Two substances that must not meet unplanned."""

    one: str
    other: str
    reason: str
    source: str


def substance(name: str) -> Substance:
    """The record of a substance: by name, formula or CAS number, in any case for names.

    Raises: UnknownSubstance, with near matches; it says that no record is no all-clear.
    """
    found = _by_name().get(name.strip()) or _by_name().get(name.strip().casefold())
    if found:
        return found
    from difflib import get_close_matches

    near = get_close_matches(name.strip().casefold()[:60], list(_by_name()), n=3)
    hint = tr(" Near it: {near}.", near=", ".join(near)) if near else ""
    raise UnknownSubstance(
        tr(
            'No hazard record of "{name}" is held, which does not make it harmless.{hint} {check}',
            name=name[:60],
            hint=hint,
            check=CHECK_THE_SDS,
        )
    )


def substance_names() -> tuple[str, ...]:
    """The names of all records."""
    return tuple(one.name for one in _substances())


def statement(code: str) -> str:
    """The text of a hazard or precautionary statement. Raises: UnknownSubstance, if not held."""
    if code not in _statements():
        raise UnknownSubstance(
            tr(
                'The text of statement "{code}" is not held. {check}',
                code=code,
                check=CHECK_THE_SDS,
            )
        )
    return _statements()[code]


def incompatibilities(names: Iterable[str]) -> tuple[Incompatibility, ...]:
    """The pairs among ``names`` that must not meet unplanned; names may also be groups.

    Substances without a record are left out here: ask ``substance`` for each.
    """
    groups = {name: _groups(name) for name in dict.fromkeys(names)}
    return tuple(
        Incompatibility(one, other, rule["reason"], rule["source"])
        for one, other in combinations(groups, 2)
        for rule in _rules()
        if _applies(rule["groups"], groups[one], groups[other])
    )


def _applies(pair: list[str], one: tuple[str, ...], other: tuple[str, ...]) -> bool:
    first, second = pair
    return (first in one and second in other) or (second in one and first in other)


def _groups(name: str) -> tuple[str, ...]:
    try:
        return substance(name).groups
    except UnknownSubstance:
        return (name,)


@cache
def _substances() -> tuple[Substance, ...]:
    return tuple(_substance(row) for row in read_toml("hazards/data/substances.toml")["substance"])


def _substance(row: Mapping[str, Any]) -> Substance:
    listed = {key: tuple(row[key]) for key in ("pictograms", "statements", "groups")}
    return Substance(**{**row, **listed})


@cache
def _by_name() -> Mapping[str, Substance]:
    return {
        key: one
        for one in _substances()
        for key in (one.name, one.formula, one.cas)
        if key and (key == one.name or _is_unique(key))
    }


@cache
def _is_unique(key: str) -> bool:
    return sum(key in (one.formula, one.cas) for one in _substances()) == 1


@cache
def _rules() -> tuple[Mapping[str, Any], ...]:
    return tuple(read_toml("hazards/data/incompatibilities.toml")["pair"])


@cache
def _statements() -> Mapping[str, str]:
    return {row["code"]: row["text"] for row in read_csv("hazards/data/statements.csv")}
