"""The controls that say how a run is dosed, and the plan that they amount to."""

from math import ceil

from potash.kinetics import DosePlan, all_at_once, on_tarnish, staggered
from potash.kinetics.errors import BadPlan
from potash.panels.frame import controls
from potash.units import Quantity
from potash.words import tr

ONCE, STAGGERED, TARNISH = tr("all at once"), tr("in equal doses"), tr("on a sign of tarnish")


class PlanControls:
    """A kind of plan, the alcohol in all or a dose, how many doses, and how far apart."""

    def __init__(self, alcohol: str, doses: int) -> None:
        self.kind = controls.choice(tr("Dosing"), [ONCE, STAGGERED, TARNISH], STAGGERED)
        self.alcohol = controls.text(tr("Alcohol in all"), alcohol, width="150px")
        self.doses = controls.text(tr("Number of doses"), str(doses), width="150px")
        self.every = controls.text(tr("One every"), "60 min", width="150px")
        self.fields = (self.kind, self.alcohol, self.doses, self.every)
        self.box = controls.row(*self.fields)
        self.kind.observe(lambda _: self._label(), "value")
        self._label()

    def plan(self) -> DosePlan:
        """The plan as the controls say. Raises: BadPlan and errors of units."""
        if self.kind.value == ONCE:
            return all_at_once(self.alcohol.value)
        doses = _whole(self.doses.value)
        if self.kind.value == STAGGERED:
            return staggered(self.alcohol.value, doses, self.every.value)
        return on_tarnish(self.alcohol.value, doses, wait=self.every.value)

    def division(self) -> tuple[int, str]:
        """Into how many equal doses, and how far apart. Raises: BadPlan."""
        if self.kind.value == ONCE:
            return 1, self.every.value
        return _whole(self.doses.value), self.every.value

    def set(self, volume: Quantity, doses: int) -> None:
        """Show equal doses of ``volume`` in all, rounded up to a microlitre."""
        self.kind.value = ONCE if doses == 1 else STAGGERED
        self.alcohol.value = f"{ceil(1000 * volume.m_as('mL')) / 1000:.3f} mL"

    def _label(self) -> None:
        tarnish = self.kind.value == TARNISH
        self.alcohol.description = tr("Alcohol in a dose") if tarnish else tr("Alcohol in all")
        self.doses.description = tr("At most so many doses") if tarnish else tr("Number of doses")
        self.every.description = tr("At least apart") if tarnish else tr("One every")
        for field in (self.doses, self.every):
            controls.shown(field, self.kind.value != ONCE)


def _whole(typed: str) -> int:
    if not typed.strip().isdecimal():
        raise BadPlan(
            tr(
                'Number of doses: "{typed}" is no whole number. A number that works: 3.',
                typed=typed[:30],
            )
        )
    return int(typed)
