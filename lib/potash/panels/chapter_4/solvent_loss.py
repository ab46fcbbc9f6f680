"""What the run loses: liquid carried off or evaporated, and the level it leaves."""

from html import escape

from potash import solvents
from potash.panels.frame import controls, look
from potash.panels.frame.current import current_preparation
from potash.panels.frame.look import Number
from potash.panels.frame.predicting import PredictFirst
from potash.panels.frame.shell import Shell, in_words
from potash.preparation import Preparation
from potash.solvents import SolventLoss
from potash.units import Quantity, magnitude, show
from potash.words import tr
from potash.workspace import Workspace

_WAYS = {tr("under reflux"): "refluxing", tr("in an open flask"): "open"}
_VESSEL = "70 mm"
_WIDTH, _HEIGHT = 150, 190  # CSS pixels of the drawing
_PER_MILLIMETRE = 4.0
_ZERO_CELSIUS = 273.15


@in_words(tr("What the run loses"))
def solvent_loss() -> Shell:
    """The preparation's liquid over a run: how much goes, and how far the level falls."""
    return LossPanel(current_preparation(Workspace.find())).shell


class LossPanel:
    """Predict the loss, then warm the condenser or open the flask."""

    def __init__(self, preparation: Preparation) -> None:
        self.preparation = preparation
        charged = preparation.charge()
        self.hydrogen = charged.hydrogen_amount
        self.shell = Shell(
            tr("What the run loses"),
            tr(
                "{preparation}. {hydrogen} of hydrogen leave on the way.",
                preparation=preparation.title,
                hydrogen=show(self.hydrogen, 2, "mmol"),
            ),
        )
        self.way = controls.choice(tr("Worked"), list(_WAYS.items()), "refluxing", width="190px")
        self.duration = controls.text(tr("How long"), "3 h", width="120px")
        self.sweep = controls.text(tr("Inert gas swept through"), "20 mL/min", width="170px")
        self.condenser = controls.slider(
            tr("Vapour leaves the condenser at, °C"), 20, 5, 90, 1, ".0f"
        )
        self.level = controls.html(height=f"{_HEIGHT}px")
        self.numbers = controls.html()
        self.prediction = PredictFirst(
            self.shell,
            tr(
                "Three hours under reflux, 20 mL/min of inert gas, condenser at 20 °C: how much "
                "{liquid} goes? Estimate; a unit belongs to it.",
                liquid=self._liquid,
            ),
            controls.text(tr("Liquid lost"), placeholder=tr("such as 5 mL"), width="200px"),
            result=lambda: tr(
                "about {volume} (a teaching value)", volume=show(self._loss().volume, 2, "mL")
            ),
            revealed=self._show,
            checked=_demand_a_volume,
        )
        self._lay_out()
        self.prediction.about(f"liquid lost: {self._liquid}, 3 h")

    @property
    def _liquid(self) -> str:
        assert self.preparation.liquid is not None
        return str(self.preparation.liquid.name)

    def _lay_out(self) -> None:
        self.results = controls.column(
            controls.row(self.way, self.duration, self.sweep),
            self.condenser,
            controls.row(self.level, self.numbers),
        )
        self.shell.fill(self.prediction.box, self.shell.message, self.results)
        for control in (self.way, self.duration, self.sweep, self.condenser):
            control.observe(self.shell.guarded(self._changed), "value")

    def _show(self) -> None:
        controls.shown(self.results, self.prediction.is_open)
        if self.prediction.is_open:
            self.draw()
        else:
            self.shell.keep(look.note(tr("No prediction yet.")), tr("No prediction yet."))

    def _changed(self) -> None:
        self.shell.say("")
        self.draw()

    def draw(self) -> None:
        """Work out the loss as things stand, and show the level before and after."""
        found = self._loss()
        self.level.value = _drawn(found)
        self.numbers.value = _told(found)
        self.shell.keep(self.numbers.value, " ".join(found.notes))

    def _loss(self) -> SolventLoss:
        pour = self.preparation.liquid
        assert pour is not None
        return solvents.solvent_loss(
            self._liquid,
            self.preparation.temperature,
            self.duration.value,
            operation=self.way.value,
            volume=pour.volume if pour.volume is not None else "85 mL",
            vessel_diameter=_VESSEL,
            hydrogen=self.hydrogen,
            sweep=self.sweep.value,
            condenser=Quantity(self.condenser.value + _ZERO_CELSIUS, "K"),
        )


def _demand_a_volume(text: str) -> None:
    magnitude("prediction", text, "mL", at_least=0)


def _told(found: SolventLoss) -> str:
    share = f"{100 * found.share:.2g} %"
    numbers = look.key_numbers(
        Number(tr("liquid lost"), show(found.volume, 2, "mL"), "liquid lost"),
        Number(tr("share of what was poured"), share, "share of liquid lost"),
        Number(tr("level before"), show(found.level_before, 2, "mm"), "level of the liquid"),
        Number(tr("level after"), show(found.level_after, 2, "mm"), "level of the liquid"),
    )
    return numbers + "".join(look.note(note) for note in found.notes)


def _drawn(found: SolventLoss) -> str:
    """The vessel with its level before (dashed) and after."""
    before, after = (
        min(level.m_as("mm") * _PER_MILLIMETRE, _HEIGHT - 20.0)
        for level in (found.level_before, found.level_after)
    )
    floor, right = _HEIGHT - 6, _WIDTH - 6
    words = escape(
        f"Level of {found.liquid}: {show(found.level_before, 2, 'mm')} before, "
        f"{show(found.level_after, 2, 'mm')} after."
    )
    return (
        f'<svg class="potash-flask" width="{_WIDTH}" height="{_HEIGHT}" role="img" '
        f'aria-label="{words}"><path class="potash-liquid" d="M6 {floor - after:.1f} H{right} '
        f'V{floor} H6 Z"/><path class="potash-before" d="M6 {floor - before:.1f} H{right}"/>'
        f'<path class="potash-glass" d="M6 6 V{floor} H{right} V6"/></svg>'
    )
