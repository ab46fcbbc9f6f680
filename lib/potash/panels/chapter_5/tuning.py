"""Moving the numbers of the model: one slider that serves whichever number is chosen."""

from collections.abc import Callable
from html import escape
from math import log10

from potash.kinetics import LABEL, Parameter, Parameters, teaching_values
from potash.panels.frame import controls, look
from potash.units import Quantity, show
from potash.words import tr

_STEPS = 100
_DECADES = 2.0  # a range wider than that is moved by its logarithm


class Tuning:
    """The numbers of a model and a slider over the range of one of them.

    parameters: as they now stand. moved: called after each move.
    """

    def __init__(self, moved: Callable[[], None]) -> None:
        self.parameters: Parameters = teaching_values()
        self._moved = moved
        self._setting = False
        names = [(tr(name.replace("_", " ")), name) for name in self.parameters]
        self.name = controls.choice(
            tr("Number of the model"), names, "reduction_rate", width="290px"
        )
        self.slider = controls.slider(
            tr("Moved from its lowest to its highest, %"), 0, 0, 100, 1, ".0f"
        )
        self.slider.continuous_update = True
        self.told = controls.html(height="56px")
        self.back_button = controls.button(tr("All back to the teaching values"))
        self.box = controls.column(
            controls.row(self.name, self.back_button), self.slider, self.told
        )
        self.name.observe(lambda _: self._choose(), "value")
        self._choose()

    def follow(self) -> None:
        """Take the slider as it stands. Raises: errors of ``Parameters.changed``."""
        if self._setting:
            return
        entry = self.parameters[self.name.value]
        value = _at(entry, self.slider.value / _STEPS)
        self.parameters = self.parameters.changed(**{entry.name: Quantity(value, entry.unit)})
        self._tell()
        self._moved()

    def back(self) -> None:
        """All numbers as they came."""
        self.parameters = teaching_values()
        self._choose()
        self._moved()

    def _choose(self) -> None:
        entry = self.parameters[self.name.value]
        self._setting = True
        try:
            self.slider.value = round(_STEPS * _share(entry))
        finally:
            self._setting = False
        self._tell()

    def _tell(self) -> None:
        entry = self.parameters[self.name.value]
        told = tr(
            "({label}), from {lowest} to {highest}. {sentence}",
            label=entry.label,
            lowest=show(Quantity(entry.lowest, entry.unit)),
            highest=show(Quantity(entry.highest, entry.unit)),
            sentence=entry.sentence,
        )
        self.told.value = f"<p><b>{escape(show(entry.quantity))}</b> {escape(told)}</p>"

    def notes(self) -> str:
        """What was moved, as a note; empty, if nothing was."""
        changed = [entry for entry in self.parameters.values() if entry.label != LABEL]
        if not changed:
            return ""
        told = "; ".join(
            f"{tr(entry.name.replace('_', ' '))} {show(entry.quantity)}" for entry in changed
        )
        return look.note(tr("Moved from the teaching values: {told}.", told=told))


def _share(entry: Parameter) -> float:
    """Where the value stands between lowest and highest, by logarithm in a wide range."""
    if _wide(entry):
        return log10(entry.value / entry.lowest) / log10(entry.highest / entry.lowest)
    return (entry.value - entry.lowest) / (entry.highest - entry.lowest)


def _at(entry: Parameter, share: float) -> float:
    low, high = entry.lowest, entry.highest
    value = low * (high / low) ** share if _wide(entry) else low + share * (high - low)
    return min(max(value, low), high)


def _wide(entry: Parameter) -> bool:
    return entry.lowest > 0 and log10(entry.highest / entry.lowest) >= _DECADES
