"""Verdicts as HTML: the table of all liquids, the findings on one, and the rules in words."""

import math
from collections.abc import Callable, Mapping, Sequence
from html import escape

from potash import solvents
from potash.panels.frame import look
from potash.panels.frame.look import Number
from potash.properties.liquids import reference_rows
from potash.properties.metals import in_celsius, in_whole_celsius
from potash.solvents import CARE, FAILED, NO_DATA, PASSED, Verdict

# A sign beside the word, so that no verdict hangs on a hue.
_SIGNS = {
    solvents.SUITABLE: "●",
    solvents.SUITABLE_WITH_CARE: "▲",
    solvents.UNSUITABLE: "✕",
    PASSED: "●",
    CARE: "▲",
    FAILED: "✕",
    NO_DATA: "?",
}
_ORIGINS = ("verdict on a liquid", "boiling point of a liquid")
_HEADS = ("Liquid", "Verdict", "Boils, °C", "Liquid − metal, kg/m³", "Vapour, kPa", "First reason")


def table(verdicts: Sequence[Verdict], order: str) -> str:
    """All liquids, one row each, in a box that scrolls; ``order`` is a key of ORDERS."""
    ordered = sorted(verdicts, key=ORDERS[order])
    asked = verdicts[0].conditions
    caption = f"{len(ordered)} liquids for molten {asked}, sorted by {order}"
    rows = look.table(caption, _HEADS, [_row(one) for one in ordered])
    return (
        f'<div class="potash-scrolls" tabindex="0" role="region" aria-label="{escape(caption)}">'
        f"{rows}</div>{look.note(solvents.MEANING)}{look.where_from(*_ORIGINS)}"
    )


def findings(verdict: Verdict) -> str:
    """Every rule with what it says of one liquid, the weightiest first."""
    rows = [
        (solvents.rule(found.rule).title, marked(found.outcome), found.words)
        for found in verdict.by_weight
    ]
    caption = f"Every rule on {verdict.liquid}, {verdict.conditions}"
    return look.table(
        caption, ("Rule", "Outcome", "In words"), rows, origins=["verdict on a liquid"]
    )


def numbers(verdict: Verdict) -> tuple[Number, ...]:
    """The key numbers of one liquid."""
    floats = verdict.buoyancy
    crossing = floats.crossing
    beads = "no data"
    if floats.difference is not None and floats.margin is not None:
        sense = "rise" if floats.difference > 0 else "sink"
        beads = sense if abs(floats.difference) > floats.margin else "too close to call"
    crosses = in_whole_celsius(crossing.temperature) if crossing else "not while both are liquid"
    return (
        Number("beads", beads, "buoyancy in a liquid"),
        Number("liquid minus metal", _difference(verdict, " kg/m³"), "buoyancy in a liquid"),
        Number("densities cross at", crosses, "crossing of densities"),
        Number("vapour pressure", _pressure(verdict, " kPa"), "vapour pressure of a liquid"),
    )


def reference(verdict: Verdict) -> str:
    """Every value of one liquid with its source, at 25 °C and at the temperature asked."""
    found, T = verdict.candidate.liquid, verdict.conditions.temperature
    heads = ("Property", "At 25 °C", f"At {in_whole_celsius(T)}", "Kind", "Source", "Held against")
    rows = reference_rows(found, (298.15, T))
    return look.folded(
        f"Where the values of {found.name} come from",
        look.table(f"{found.name}, CAS {found.cas}", heads, rows),
    )


def rules_told() -> str:
    """The rules as they can be read and cited."""
    rows = [(one.title, one.asks, one.because, one.source) for one in solvents.rules()]
    told = look.table("What each rule asks", ("Rule", "Asks", "Because", "Source"), rows)
    groups = [(one.name, one.effect, f"{one.because}.", one.source) for one in solvents.groups()]
    found = look.table(
        "Groups that are looked for", ("Group", "Effect", "Because", "Source"), groups
    )
    return look.folded("Rules in words, with their sources", told) + look.folded(
        "Groups that are looked for in the structure", found
    )


def marked(word: str) -> str:
    """A verdict or outcome with its sign."""
    return f"{_SIGNS[word]} {word}"


def _row(verdict: Verdict) -> tuple[str, ...]:
    boiling = verdict.candidate.constant("boiling_point", verdict.conditions.estimates)
    return (
        verdict.liquid,
        marked(verdict.verdict),
        in_celsius(boiling.value).removesuffix("\u00a0°C") if boiling else "?",
        _difference(verdict),
        _pressure(verdict),
        _first_reason(verdict),
    )


def _first_reason(verdict: Verdict) -> str:
    speaking = [one for one in verdict.by_weight if one.outcome != PASSED]
    if not speaking:
        return "No rule speaks against it."
    more = f" (and {len(speaking) - 1} more)" if len(speaking) > 1 else ""
    return speaking[0].words + more


def _difference(verdict: Verdict, unit: str = "") -> str:
    floats = verdict.buoyancy
    if floats.difference is None or floats.margin is None:
        return "no data" if unit else "?"
    mark = " (est.)" if floats.estimated else ""
    return f"{floats.difference:+.0f} ± {floats.margin:.0f}{unit}{mark}".replace("-", "−")


def _pressure(verdict: Verdict, unit: str = "") -> str:
    if verdict.vapour_pressure is None:
        return "no data" if unit else "?"
    return f"{verdict.vapour_pressure / 1000:.3g}{unit}"


def _boiling(verdict: Verdict) -> float:
    known = verdict.candidate.constant("boiling_point", verdict.conditions.estimates)
    return known.value if known else math.inf


ORDERS: Mapping[str, Callable[[Verdict], tuple[object, ...]]] = {
    "verdict": lambda one: one.rank,
    "name": lambda one: (one.liquid.casefold(),),
    "boiling point": lambda one: (_boiling(one), one.liquid),
    "density difference": lambda one: (
        -(one.buoyancy.difference if one.buoyancy.difference is not None else -math.inf),
        one.liquid,
    ),
    "vapour pressure": lambda one: (
        one.vapour_pressure if one.vapour_pressure is not None else math.inf,
        one.liquid,
    ),
}
