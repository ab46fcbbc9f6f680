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
from potash.words import later, tr

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
_HEADS = (
    tr("Liquid"),
    tr("Verdict"),
    tr("Boils, °C"),
    tr("Liquid − metal, kg/m³"),
    tr("Vapour, kPa"),
    tr("First reason"),
)


def table(verdicts: Sequence[Verdict], order: str) -> str:
    """All liquids, one row each, in a box that scrolls; ``order`` is a key of ORDERS."""
    ordered = sorted(verdicts, key=ORDERS[order])
    asked = verdicts[0].conditions
    caption = tr(
        "{number} liquids for molten {asked}, sorted by {order}",
        number=len(ordered),
        asked=asked,
        order=tr(order),
    )
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
    caption = tr(
        "Every rule on {liquid}, {conditions}", liquid=verdict.liquid, conditions=verdict.conditions
    )
    return look.table(
        caption, (tr("Rule"), tr("Outcome"), tr("In words")), rows, origins=["verdict on a liquid"]
    )


def numbers(verdict: Verdict) -> tuple[Number, ...]:
    """The key numbers of one liquid."""
    floats = verdict.buoyancy
    crossing = floats.crossing
    beads = tr("no data")
    if floats.difference is not None and floats.margin is not None:
        sense = tr("rise") if floats.difference > 0 else tr("sink")
        beads = sense if abs(floats.difference) > floats.margin else tr("too close to call")
    crosses = (
        in_whole_celsius(crossing.temperature) if crossing else tr("not while both are liquid")
    )
    return (
        Number(tr("beads"), beads, "buoyancy in a liquid"),
        Number(tr("liquid minus metal"), _difference(verdict, " kg/m³"), "buoyancy in a liquid"),
        Number(tr("densities cross at"), crosses, "crossing of densities"),
        Number(tr("vapour pressure"), _pressure(verdict, " kPa"), "vapour pressure of a liquid"),
    )


def reference(verdict: Verdict) -> str:
    """Every value of one liquid with its source, at 25 °C and at the temperature asked."""
    found, T = verdict.candidate.liquid, verdict.conditions.temperature
    heads = (
        tr("Property"),
        tr("At 25 °C"),
        tr("At {temperature}", temperature=in_whole_celsius(T)),
        tr("Kind"),
        tr("Source"),
        tr("Held against"),
    )
    rows = reference_rows(found, (298.15, T))
    return look.folded(
        tr("Where the values of {name} come from", name=found.name),
        look.table(f"{found.name}, CAS {found.cas}", heads, rows),
    )


def rules_told() -> str:
    """The rules as they can be read and cited."""
    rows = [(one.title, one.asks, one.because, one.source) for one in solvents.rules()]
    told = look.table(
        tr("What each rule asks"), (tr("Rule"), tr("Asks"), tr("Because"), tr("Source")), rows
    )
    groups = [
        (tr(one.name), tr(one.effect), f"{one.because}.", one.source) for one in solvents.groups()
    ]
    found = look.table(
        tr("Groups that are looked for"),
        (tr("Group"), tr("Effect"), tr("Because"), tr("Source")),
        groups,
    )
    return look.folded(tr("Rules in words, with their sources"), told) + look.folded(
        tr("Groups that are looked for in the structure"), found
    )


def marked(word: str) -> str:
    """A verdict or outcome with its sign."""
    return f"{_SIGNS[word]} {tr(word)}"


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
        return tr("No rule speaks against it.")
    more = tr(" (and {number} more)", number=len(speaking) - 1) if len(speaking) > 1 else ""
    return speaking[0].words + more


def _difference(verdict: Verdict, unit: str = "") -> str:
    floats = verdict.buoyancy
    if floats.difference is None or floats.margin is None:
        return tr("no data") if unit else "?"
    mark = tr(" (est.)") if floats.estimated else ""
    return f"{floats.difference:+.0f} ± {floats.margin:.0f}{unit}{mark}".replace("-", "−")


def _pressure(verdict: Verdict, unit: str = "") -> str:
    if verdict.vapour_pressure is None:
        return tr("no data") if unit else "?"
    return f"{verdict.vapour_pressure / 1000:.3g}{unit}"


def _boiling(verdict: Verdict) -> float:
    known = verdict.candidate.constant("boiling_point", verdict.conditions.estimates)
    return known.value if known else math.inf


ORDERS: Mapping[str, Callable[[Verdict], tuple[object, ...]]] = {
    later("verdict"): lambda one: one.rank,
    later("name"): lambda one: (one.liquid.casefold(),),
    later("boiling point"): lambda one: (_boiling(one), one.liquid),
    later("density difference"): lambda one: (
        -(one.buoyancy.difference if one.buoyancy.difference is not None else -math.inf),
        one.liquid,
    ),
    later("vapour pressure"): lambda one: (
        one.vapour_pressure if one.vapour_pressure is not None else math.inf,
        one.liquid,
    ),
}
