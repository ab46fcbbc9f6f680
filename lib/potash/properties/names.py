"""Which species a person means: by formula, by name, with or without a phase label."""

import difflib
import re
from collections.abc import Mapping
from fractions import Fraction
from functools import cache

from potash.formulas import BadFormula, parse
from potash.properties.errors import UnknownSpecies
from potash.properties.records import listings
from potash.words import tr

PHASES = {"cr": "cr", "s": "cr", "c": "cr", "l": "l", "g": "g", "aq": "aq"}
"""Phase labels as typed, and the phase each stands for."""

_LABEL = re.compile(r"\s*\(\s*(cr|s|c|l|g|aq)\s*\)$")
Composition = tuple[frozenset[tuple[str, int | Fraction]], int]

_LONGEST = 80  # characters; the longest name listed has 40


def find(text: str) -> tuple[str, str | None]:
    """The listed formula that ``text`` means, and the phase that its label selects (or None).

    Parameters: text, a formula ("KOH", "K(g)", "Mg(OH)2(s)", "K⁺(aq)") or a common name in any
    case ("caustic potash", "graphite").
    Raises: UnknownSpecies, with near matches.
    """
    bare, phase = _split(text)
    formula = bare if bare in listings() else _by_name().get(bare.casefold())
    formula = formula or _by_composition(bare)
    if formula is None:
        raise UnknownSpecies(_unknown(text))
    return formula, phase


def _split(text: str) -> tuple[str, str | None]:
    plain = " ".join(text[: _LONGEST + 1].split())
    label = _LABEL.search(plain)
    phase = PHASES[label[1]] if label else None
    return plain[: label.start()] if label else plain, phase


@cache
def _by_name() -> Mapping[str, str]:
    return {
        name.casefold(): formula
        for formula, listing in listings().items()
        for name in listing.names
    }


def _by_composition(text: str) -> str | None:
    """The listed species with the same atoms and charge, so that Ca2+ and HOK are found too."""
    composition = _composition(text)
    return _compositions().get(composition) if composition else None


@cache
def _compositions() -> Mapping[Composition, str]:
    found = {_composition(formula): formula for formula in listings()}
    return {composition: formula for composition, formula in found.items() if composition}


def _composition(text: str) -> Composition | None:
    """Atoms and charge of a formula, or None if it is not one."""
    try:
        formula = parse(text)
    except BadFormula:
        return None
    return frozenset(formula.elements.items()), formula.charge


def _unknown(text: str) -> str:
    shown = text if len(text) <= _LONGEST else text[:_LONGEST] + "..."
    bare, _ = _split(text)
    near = _near(bare)
    hint = tr(" Did you mean {near}?", near=tr(" or ").join(near)) if near else ""
    return tr(
        "No table here holds {shown!r}.{hint} species_names() lists all formulas.",
        shown=shown,
        hint=hint,
    )


def _near(bare: str) -> list[str]:
    names = {formula.casefold(): formula for formula in listings()} | dict(_by_name())
    matches = difflib.get_close_matches(bare.casefold(), names, n=3, cutoff=0.6)
    return list(dict.fromkeys(names[match] for match in matches))
