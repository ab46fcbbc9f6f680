"""When to discard: the crust's growth with its band, and the few-months rule over it."""

import math
from dataclasses import dataclass, replace
from datetime import date, timedelta
from html import escape
from typing import Any

from potash.formulas import molar_mass, parse
from potash.hazards import Caution
from potash.properties.metals import metal as metal_named
from potash.properties.solids import solid
from potash.storage.crusts import crusts, forms_superoxide, superoxide_caution
from potash.storage.ingress import Keeping, closures, rule
from potash.units import Quantity, magnitude, show
from potash.words import tr

DAY = 86400.0
LABEL = tr(
    "Teaching values: how much air a closure lets in was not measured. No date makes a crusted "
    "metal harmless: look at it first, and leave it alone if it is coloured."
)
_COVERAGE = 2.0  # standard deviations, in the logarithm
_NEVER = 36500.0  # days: what a calculation gives is cut off there


@dataclass(frozen=True, slots=True)
class Discard:
    """When to discard a metal, and which of two things decides it.

    earliest, likely, latest: days until the crust reaches its limit; the band covers two standard
    deviations each way. days: until it is to be discarded. decided_by: "the few-months rule",
    "the crust" or "the horizon of sealed keeping".
    """

    keeping: Keeping
    crust_limit: Quantity
    earliest: Quantity
    likely: Quantity
    latest: Quantity
    days: Quantity
    decided_by: str

    @property
    def caution(self) -> Caution | None:
        """The shock warning, wherever superoxide can form."""
        return superoxide_caution(self.keeping.metal)

    def date(self, stored: date) -> date:
        """The day to discard it by, if it was put away on ``stored``."""
        return stored + timedelta(days=int(self.days.m_as("day")))

    def crust(self, after: Any) -> Quantity:
        """Likely thickness of the crust (um) ``after`` a time, scalar or array."""
        seconds = magnitude("after", after, "s", at_least=0)
        return Quantity(seconds * growth(self.keeping) * 1e6, "um")

    def rows(self) -> tuple[tuple[str, str], ...]:
        """Label and shown value of each key number."""
        return (
            (tr("Oxygen that reaches it in a month"), show(self.keeping.oxygen_per_month)),
            (tr("Water that reaches it in a month"), show(self.keeping.water_per_month)),
            (tr("Crust that it is discarded at"), show(self.crust_limit, 2)),
            (tr("Days until then, likely"), _days(self.likely)),
            (
                tr("Days until then, from and to"),
                tr("{days} to {latest}", days=_days(self.earliest), latest=_days(self.latest)),
            ),
            (
                tr("Discard within"),
                tr(
                    "{days}, decided by {decided_by}",
                    days=show(self.days, 2),
                    decided_by=self.decided_by,
                ),
            ),
        )

    def _repr_html_(self) -> str:
        cells = "".join(
            f"<tr><th scope='row'>{escape(label)}</th><td>{escape(value)}</td></tr>"
            for label, value in self.rows()
        )
        warning = f"<p><strong>{escape(str(self.caution))}</strong></p>" if self.caution else ""
        return (
            f"<table class='potash-storage'><caption>{escape(LABEL)}</caption>"
            f"<tbody>{cells}</tbody></table>{warning}"
        )


def discard_by(keeping: Keeping | None = None, **planned: Any) -> Discard:
    r"""When to discard a metal that is kept so.

    .. math:: t = x_{limit} / \dot x, \qquad \dot x = (\dot n_{O_2} v_{O_2} + \dot n_{H_2O}
        v_{H_2O}) / A

    with v the volume of crust that a mole makes. The crust does not slow itself down, because its
    volume is smaller than that of the metal. What counts is the early end of the band; under
    oil never more than the few-months rule, whatever is calculated.

    Parameters: keeping, or what ``Keeping.planned`` takes.
    Raises: as ``Keeping.planned``.
    Source: Fick's first law and Pilling-Bedworth ratios; the rule is common practice.
    """
    kept = keeping or Keeping.planned(**planned)
    limit = rule("first_crust" if forms_superoxide(kept.metal) else "plain_crust") * 1e-6
    speed = growth(kept)
    likely = min(limit / speed / DAY, _NEVER) if speed > 0 else _NEVER
    spread = kept.factor**_COVERAGE
    earliest, latest = max(likely / spread, 1.0), min(likely * spread, _NEVER)
    days, decided_by = _decide(earliest, sealed=kept.closure.sealed)
    return Discard(
        keeping=kept,
        crust_limit=Quantity(limit * 1e6, "um"),
        earliest=Quantity(earliest, "day"),
        likely=Quantity(likely, "day"),
        latest=Quantity(latest, "day"),
        days=Quantity(days, "day"),
        decided_by=decided_by,
    )


def compare_keeping(keeping: Keeping) -> tuple[Discard, ...]:
    """The same metal behind each closure, ampoule and box among them."""
    return tuple(discard_by(replace(keeping, closure=closure)) for closure in closures())


def growth(keeping: Keeping) -> float:
    """Growth of the crust, m/s: oxygen makes the highest oxide, water the hydroxide."""
    by_oxygen = keeping.oxygen * _volume_per_mole(keeping.metal, "oxygen")
    by_water = keeping.water * _volume_per_mole(keeping.metal, "water")
    return (by_oxygen + by_water) / keeping.metal_area


def _decide(earliest: float, *, sealed: bool) -> tuple[float, str]:
    rule_days, horizon = rule("few_months"), rule("horizon")
    if sealed:
        if earliest < horizon:
            return earliest, tr("the crust")
        return horizon, tr("the horizon of sealed keeping")
    if earliest < rule_days:
        return earliest, tr("the crust")
    return rule_days, tr("the few-months rule")


def _volume_per_mole(metal: str, reacts_with: str) -> float:
    """Volume of crust (m3) that one mole of oxygen or water makes on ``metal``."""
    crust = next(one for one in crusts(metal_named(metal).name) if one.reacts_with == reacts_with)
    elements = parse(crust.product).elements
    each = float(elements["O"]) / (2.0 if reacts_with == "oxygen" else 1.0)
    return float(molar_mass(crust.product).m_as("kg/mol")) / solid(crust.product).density / each


def _days(found: Quantity) -> str:
    number = float(found.m_as("day"))
    return tr("more than a century") if math.isclose(number, _NEVER) else f"{number:.3g}"
