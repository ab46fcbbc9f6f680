"""Carry the hydrogen away: the worst moment, the hood, the apparatus, the heat."""

from collections.abc import Callable

from potash.hydrogen import (
    AT_THE_MOUTH,
    SOURCES,
    BalloonTooSmall,
    balloon,
    bubble_rate,
    heat_check,
    hood_air,
    largest_scale,
    smallest_airflow,
    suck_back,
    wet_gas_volume,
)
from potash.kinetics import NOT_A_PREDICTION, Run, simulate_reduction
from potash.panels.chapter_6.hood_pictures import FlowPicture, HeatPicture, HoodPicture
from potash.panels.frame import controls, look
from potash.panels.frame.current import current_preparation
from potash.panels.frame.look import Number
from potash.panels.frame.predicting import PredictFirst
from potash.panels.frame.shell import Card, Shell, in_words
from potash.preparation import Preparation
from potash.units import show
from potash.words import tr
from potash.workspace import Workspace

WHAT_IF = "hydrogen: worst moment against the mean"
_TITLE = tr("Carry the hydrogen away")
_GUESSES = (tr("about as much"), tr("about twice as much"), tr("more than three times as much"))


@in_words(_TITLE)
def hydrogen() -> Shell:
    """The hydrogen of the preparation in this folder, on its way out of hood and apparatus."""
    return HydrogenPanel(current_preparation(Workspace.find())).shell


class HydrogenPanel:
    """Predict the worst moment, then set the hood, the scale and the apparatus."""

    def __init__(self, preparation: Preparation) -> None:
        self.run: Run = simulate_reduction(preparation)
        self.shell = Shell(_TITLE, preparation.title)
        self.hood = HoodCard(self.run)
        self.apparatus = ApparatusCard(self.run, preparation)
        self.flow_place = controls.html()
        self.prediction = PredictFirst(
            self.shell,
            tr(
                "The run sets {total_volume} of hydrogen free in {time}. Compared with the mean "
                "flow, how much gas passes the vent at the worst moment?",
                total_volume=show(self.run.release.total_volume),
                time=show(self.run.time[-1].to("hour"), 2),
            ),
            controls.options(tr("Your prediction"), _GUESSES),
            result=self._worst_against_mean,
            revealed=self._show,
        )
        self.results = controls.column(self.flow_place, self.hood.box, self.apparatus.box)
        self.shell.fill(self.prediction.box, self.results)
        self.prediction.about(WHAT_IF)

    def _worst_against_mean(self) -> str:
        worst, when = self.run.release.worst
        times = (worst / self.run.release.mean_flow).m_as("")
        return tr(
            "{times:.1f} times the mean, {worst} at {when} (teaching values)",
            times=times,
            worst=show(worst),
            when=show(when),
        )

    def _show(self) -> None:
        controls.shown(self.results, self.prediction.is_open)
        if not self.prediction.is_open:
            self.shell.keep(look.note(tr("No prediction yet.")), tr("No prediction yet."))
            return
        flow = FlowPicture(self.run.release).to_html()
        self.flow_place.value = flow + look.note(NOT_A_PREDICTION)
        for card in (self.hood, self.apparatus):
            card.changed = self._keep
            card.guarded(card.draw)()

    def _keep(self) -> None:
        self.shell.keep(
            self.flow_place.value + self.hood.content.value + self.apparatus.content.value,
            self.hood.words,
        )


class HoodCard(Card):
    """The hood: its volume, airflow and mixing, and the scale of the preparation."""

    def __init__(self, run: Run) -> None:
        super().__init__(tr("In the hood"))
        self.run = run
        self.changed: Callable[[], None] = _nothing
        self.words = ""
        self.volume = controls.text(tr("Volume of the hood"), "1.2 m3", width="170px")
        self.airflow = controls.text(tr("Airflow"), "600 m3/h", width="170px")
        self.share = controls.text(tr("Share of the limit kept below"), "25 %", width="220px")
        self.mixing = controls.slider(tr("Mixing factor, 1 ideal to 10 poor"), 5, 1, 10, 0.5, ".1f")
        self.scale = controls.slider(tr("Scale of the preparation, times"), 1, 1, 200, 1, ".0f")
        self.content = controls.html()
        self._picture: HoodPicture | None = None
        self.fill(
            controls.row(self.volume, self.airflow, self.share),
            self.mixing,
            self.scale,
            self.message,
            self.content,
        )
        for control in (self.volume, self.airflow, self.share, self.mixing, self.scale):
            control.observe(self.guarded(self.draw), "value")

    def draw(self) -> None:
        """The hood's air, and what it needs at the worst moment."""
        settings = {"mixing_factor": self.mixing.value, "share": self.share.value}
        released = self.run.release.scaled(self.scale.value)
        air = hood_air(released, self.volume.value, self.airflow.value, **settings)
        self.say("")
        if self._picture is None:
            self._picture = HoodPicture(air)
        needed = smallest_airflow(released, **settings)
        scale = largest_scale(self.run.release, self.airflow.value, **settings)
        numbers = look.key_numbers(
            Number(tr("hydrogen in the air at worst"), show(air.worst), "hydrogen in the hood"),
            Number(tr("smallest airflow"), show(needed, unit="m^3/h"), "smallest airflow"),
            Number(
                tr("largest scale at this airflow"),
                tr("{scale} times", scale=show(scale)),
                "largest scale",
            ),
        )
        self.words = air.words
        verdict = look.note(air.words)
        if not air.within:
            verdict = look.caution(tr("Too much for this hood"), [air.words])
        sources = "".join(f"<li>{source}</li>" for source in SOURCES)
        self.content.value = (
            numbers
            + self._picture.to_html(air)
            + verdict
            + look.caution(tr("At the mouth of the tube"), [AT_THE_MOUTH])
            + look.folded(tr("Where the limits come from"), f"<ul>{sources}</ul>")
        )
        self.changed()


class ApparatusCard(Card):
    """Bubbler, balloon, suck-back and condenser."""

    def __init__(self, run: Run, preparation: Preparation) -> None:
        super().__init__(tr("In the apparatus"))
        self.run = run
        self.changed: Callable[[], None] = _nothing
        self.hot = preparation.temperature
        self.bubble = controls.text(tr("Bubbles across"), "5 mm", width="150px")
        self.balloon = controls.text(tr("Balloon"), "6 L", width="150px")
        self.headspace = controls.text(tr("Gas space of flask and tubes"), "250 mL", width="220px")
        self.trap = controls.text(tr("Empty trap before the bubbler"), "100 mL", width="220px")
        self.condenser = controls.text(tr("Condenser carries"), "60 W", width="170px")
        self.bath = controls.text(tr("Flask loses to the room"), "5 W", width="180px")
        self.vapour = controls.text(tr("Vapour pressure in the gas"), "0.1 kPa", width="200px")
        self.fields = (
            self.bubble, self.balloon, self.headspace, self.trap, self.condenser, self.bath,
            self.vapour,
        )  # fmt: skip
        self.content = controls.html()
        for field in self.fields:
            field.observe(self.guarded(self.draw), "value")
        self.fill(controls.row(*self.fields), self.message, self.content)

    def draw(self) -> None:
        """What the worst moment does to each part."""
        worst, _ = self.run.release.worst
        bubbles = bubble_rate(worst, self.bubble.value)
        drawn = suck_back(self.headspace.value, self.hot, trap=self.trap.value)
        heat = heat_check(
            self.run.time, self.run.heat_rate, condenser=self.condenser.value, bath=self.bath.value
        )
        vent = (self.run.vent_temperature, self.run.vent_pressure)
        wet = wet_gas_volume(self.run.total_gas, *vent, self.vapour.value)
        self.say("")
        numbers = look.key_numbers(
            Number(tr("bubbles at the worst moment"), show(bubbles), "rate of bubbles"),
            Number(tr("gas in all, with its vapour"), show(wet), "volume of wet gas"),
            Number(tr("balloon filled, dry"), self._filled(), "filling of a balloon"),
            Number(tr("drawn back on cooling"), show(drawn.volume), "volume drawn back"),
            Number(tr("most heat at once"), show(heat.worst), "peak heat release"),
        )
        self.content.value = (
            numbers + look.note(drawn.words) + HeatPicture(heat).to_html() + look.note(heat.words)
        )
        self.changed()

    def _filled(self) -> str:
        """How full the balloon gets; one that is too small is told of, the rest still shown."""
        gas, vent = self.run.total_gas, (self.run.vent_temperature, self.run.vent_pressure)
        try:
            return show(balloon(gas, self.balloon.value, *vent).fill)
        except BalloonTooSmall as error:
            self.say(look.problem(str(error)))
            return tr("too small")


def _nothing() -> None:
    """What happens after a card drew itself, until the panel says otherwise."""
