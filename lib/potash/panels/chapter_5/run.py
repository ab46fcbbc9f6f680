"""Run and dose: plan the doses, watch the run go by, give one by hand, and compare."""

import asyncio
from html import escape

from potash.kinetics import (
    NOT_A_PREDICTION,
    DosePlan,
    Run,
    all_at_once,
    compare,
    least_alcohol,
    simulate_reduction,
    staggered,
    standing_plan,
    with_dose,
)
from potash.panels.chapter_5.dose_controls import PlanControls
from potash.panels.chapter_5.run_pictures import RunPicture
from potash.panels.chapter_5.tuning import Tuning
from potash.panels.frame import controls, look
from potash.panels.frame.current import current_preparation
from potash.panels.frame.look import Number
from potash.panels.frame.predicting import PredictFirst
from potash.panels.frame.shell import Shell, in_words
from potash.preparation import Preparation
from potash.units import Quantity, show
from potash.words import tr
from potash.workspace import Workspace

WHAT_IF = "run: one dose or three"
HOURS = 5
_FRAME = 0.15  # s between two frames while it plays
_MINUTES_A_FRAME = 3
_MOST_KEPT = 2
_BESIDE_A_FIELD = "26px 12px 0 0"  # level with the field, whose label stands above it
_ONE, _THREE, _SAME = (
    tr("one dose at the start"),
    tr("three doses, an hour apart"),
    tr("no difference"),
)
_HEADS = (
    tr("Plan"),
    tr("Otherwise"),
    tr("Alcohol"),
    tr("Metal at the end"),
    tr("Lost to crust"),
    tr("Most hydrogen at once"),
)


@in_words(tr("Run and dose"))
def run() -> Shell:
    """The reduction of the preparation in this folder over five hours, dosed as you say."""
    return RunPanel(current_preparation(Workspace.find())).shell


class RunPanel:
    """Predict, then play the run, dose by hand, move the model, keep runs to compare.

    run: as simulated to the end; only what lies before the slider's moment is shown.
    kept: runs put aside to compare, at most two.
    """

    def __init__(self, preparation: Preparation) -> None:
        self.preparation = preparation
        standing = standing_plan(preparation)
        alcohol = show(standing.planned_volume).replace("\u00a0", " ")
        self.run: Run = simulate_reduction(preparation, standing)
        self.kept: list[Run] = []
        self.shell = Shell(tr("Run and dose"), preparation.title)
        self.dosing = PlanControls(alcohol, len(standing.doses))
        self.stirred = controls.tick(tr("Stirred all the time"), value=True)
        self.surface = controls.choice(
            tr("Surface of the magnesium"), ["fresh", "ordinary", "oxidised"], "ordinary"
        )
        self.moment = controls.slider(tr("Time from heating, min"), 0, 0, 60 * HOURS, 1, ".0f")
        self.play_button = controls.button(tr("Play"), main=True)
        self.end_button = controls.button(tr("Go to the end"))
        self.start_button = controls.button(tr("Back to the start"))
        self.hand = controls.text(tr("Dose by hand"), "0.30 mL", width="120px")
        self.hand_button = controls.button(tr("Give it now"))
        self.wanted = controls.text(tr("Wanted at the end"), "80 %", width="140px")
        self.least_button = controls.button(tr("Find the least alcohol for it"))
        self.keep_button = controls.button(tr("Keep this run to compare"))
        self.forget_button = controls.button(tr("Forget the kept runs"))
        self.seen = controls.html(height="52px")
        self.picture_place = controls.html(height="400px")
        self.numbers = controls.html()
        self.tuning = Tuning(self._simulate)
        self.tuning_button = controls.button(tr("Numbers of the model"))
        self._playing: asyncio.Task[None] | None = None
        self._picture: RunPicture | None = None
        self.prediction = PredictFirst(
            self.shell,
            tr(
                "The same {planned_volume} of alcohol, all at the start or in three doses an hour "
                "apart: which gives more {metal} after {hours} hours?",
                planned_volume=show(standing.planned_volume),
                metal=preparation.metal,
                hours=HOURS,
            ),
            controls.options(tr("Your prediction"), [_ONE, _THREE, _SAME]),
            result=self._one_or_three,
            revealed=self._show,
        )
        self._lay_out()
        self._follow()
        self.prediction.about(WHAT_IF)

    def _lay_out(self) -> None:
        self.settings = controls.column(
            self.dosing.box,
            controls.row(self.surface),
            self.stirred,
            self.moment,
            controls.row(self.play_button, self.end_button, self.start_button),
            controls.row(self.hand, self.hand_button, self.wanted, self.least_button),
        )
        self.results = controls.column(
            self.seen,
            self.picture_place,
            controls.row(self.keep_button, self.forget_button, self.tuning_button),
            self.tuning.box,
            self.numbers,
        )
        controls.shown(self.tuning.box, False)
        controls.shown(self.forget_button, False)
        for button in (self.hand_button, self.least_button):
            button.layout.margin = _BESIDE_A_FIELD
        self.shell.fill(self.prediction.box, self.settings, self.shell.message, self.results)

    def _follow(self) -> None:
        guarded = self.shell.guarded
        for control in self.dosing.fields:
            control.observe(guarded(self._plan_anew), "value")
        for control in (self.stirred, self.surface):
            control.observe(guarded(self._simulate), "value")
        self.moment.observe(guarded(self._draw), "value")
        self.tuning.slider.observe(guarded(self.tuning.follow), "value")
        for button, handler in (
            (self.play_button, self.play),
            (self.end_button, self.to_the_end),
            (self.start_button, self.to_the_start),
            (self.hand_button, self.dose_by_hand),
            (self.least_button, self.find_least),
            (self.keep_button, self.keep),
            (self.forget_button, self.forget),
            (self.tuning_button, self.toggle_numbers),
            (self.tuning.back_button, self.tuning.back),
        ):
            button.on_click(guarded(handler))

    # ------------------------------------------------------------------ what the student does

    def play(self) -> None:
        """Let the time run, or stop it."""
        if self._playing is not None:
            self._stop()
            return
        if self.moment.value >= self.moment.max:
            self.moment.value = 0
        self.play_button.description = tr("Stop")
        self._playing = asyncio.get_running_loop().create_task(self._go_on())

    async def _go_on(self) -> None:
        try:
            while self.moment.value < self.moment.max:
                self.moment.value = min(self.moment.value + _MINUTES_A_FRAME, self.moment.max)
                await asyncio.sleep(_FRAME)
        finally:
            self._playing = None
            self.play_button.description = tr("Play")

    def _stop(self) -> None:
        if self._playing is not None:
            self._playing.cancel()

    def to_the_end(self) -> None:
        """Show the whole run."""
        self._stop()
        self.moment.value = self.moment.max

    def to_the_start(self) -> None:
        """Begin again; nothing is forgotten."""
        self._stop()
        self.moment.value = 0

    def dose_by_hand(self) -> None:
        """Give one dose more at the present moment; what went before stays as it was."""
        now = Quantity(self.moment.value, "min")
        plan = with_dose(self.run.plan, self.run.doses, now, self.hand.value)
        self._take(self._simulated(plan))
        self.shell.say(
            look.good(tr("{hand} given at {now}.", hand=self.hand.value.strip(), now=show(now)))
        )

    def find_least(self) -> None:
        """Look for the least alcohol, in doses as they stand, that gives what is wanted."""
        doses, every = self.dosing.division()
        found = least_alcohol(
            self.preparation,
            self.wanted.value,
            doses=doses,
            every=every,
            parameters=self.tuning.parameters,
            duration=f"{HOURS} h",
            stirred=self.stirred.value,
            surface=self.surface.value,
        )
        self.dosing.set(found.volume, doses)
        self._plan_anew()
        self.shell.say(
            look.good(
                tr(
                    "{alcohol} in {doses} equal doses give {final_yield} at the end of this "
                    "model's run; with 2 % less it falls short.",
                    alcohol=self.dosing.alcohol.value,
                    doses=doses,
                    final_yield=show(self.run.final_yield),
                )
            )
        )

    def keep(self) -> None:
        """Put this run aside, to be drawn beside the next ones."""
        self.kept = [*self.kept, self.run][-_MOST_KEPT:]
        controls.shown(self.forget_button, True)
        self._take(self.run)
        self.shell.say(
            look.good(tr("Kept. Change the plan: both are drawn, and stand in the table."))
        )

    def forget(self) -> None:
        """Draw this run alone again."""
        self.kept = []
        controls.shown(self.forget_button, False)
        self._take(self.run)

    def toggle_numbers(self) -> None:
        """Show or hide the numbers of the model."""
        hidden = self.tuning.box.layout.display == "none"
        controls.shown(self.tuning.box, hidden)
        self.tuning_button.description = (
            tr("Hide the numbers of the model") if hidden else tr("Numbers of the model")
        )

    # ------------------------------------------------------------------ what follows from it

    def _plan_anew(self) -> None:
        self._take(self._simulated(self.dosing.plan()))
        self.shell.say("")

    def _simulate(self) -> None:
        # Doses given by hand stay, so that a run can be made again with one thing changed.
        self._take(self._simulated(self.run.plan))
        self.shell.say("")

    def _simulated(self, plan: DosePlan) -> Run:
        return simulate_reduction(
            self.preparation,
            plan,
            self.tuning.parameters,
            duration=f"{HOURS} h",
            stirred=self.stirred.value,
            surface=self.surface.value,
        )

    def _take(self, found: Run) -> None:
        self.run = found
        self._picture = None
        self._draw()

    def _one_or_three(self) -> str:
        volume = standing_plan(self.preparation).planned_volume
        once, three = compare(
            self.preparation, [all_at_once(volume), staggered(volume, 3, "60 min")]
        )
        return tr(
            "{final_yield} by one dose, {three} by three (teaching values)",
            final_yield=show(once.final_yield),
            three=show(three.final_yield),
        )

    def _show(self) -> None:
        for box in (self.settings, self.results):
            controls.shown(box, self.prediction.is_open)
        if self.prediction.is_open:
            self._draw()
        else:
            self.shell.keep(look.note(tr("No prediction yet.")), tr("No prediction yet."))

    def _draw(self) -> None:
        if not self.prediction.is_open:
            return
        if self._picture is None:
            self._picture = RunPicture(self.run, self.preparation.metal, self.kept)
        now = self.moment.value
        picture = self._picture.to_html(now)
        self.picture_place.value = picture
        sign = self.run.sign_at(Quantity(now, "min"))
        self.seen.value = (
            f"<p><b>{now:.0f} min: {escape(tr(sign.name))}.</b> {escape(sign.words)}</p>"
        )
        over = now >= self.moment.max
        self.numbers.value = self._told() if over else look.note(NOT_A_PREDICTION)
        self.shell.keep(
            self.seen.value + picture + self.numbers.value,
            tr(
                "{plan} up to {now:.0f} min: {words}", plan=self.run.plan, now=now, words=sign.words
            ),
        )

    def _told(self) -> str:
        return (
            _numbers(self.run, self.preparation.metal)
            + (_side_by_side([*self.kept, self.run]) if self.kept else "")
            + _signs(self.run)
            + self.tuning.notes()
            + look.caution(tr("Before you believe it"), self.run.warnings)
        )


def _numbers(run: Run, metal: str) -> str:
    peak, when = run.peak_gas_flow
    hydrogen = show(run.gas_volume[-1], unit="L")
    return look.key_numbers(
        Number(tr("{metal} at the end", metal=metal), show(run.final_yield), "yield of a run"),
        Number(tr("alcohol used"), show(run.alcohol_used), "alcohol of all doses"),
        Number(tr("hydrogen in all"), hydrogen, "hydrogen of a run"),
        Number(
            tr("most hydrogen at once, at {when}", when=show(when)),
            show(peak),
            "peak flow of hydrogen",
        ),
    )


def _side_by_side(runs: list[Run]) -> str:
    rows = [_row(one) for one in runs]
    return look.table(tr("Side by side"), _HEADS, rows, origins=["metal lost to crust"])


def _signs(run: Run) -> str:
    rows = [(show(one.start), show(one.end), tr(one.name), one.words) for one in run.signs]
    heads = (tr("From"), tr("To"), tr("Sign"), tr("In words"))
    return look.table(tr("What was seen"), heads, rows, origins=["signs of a run"])


def _row(one: Run) -> tuple[str, ...]:
    crust = one.amounts["crust"].m_as("mol")[-1] / max(one.most_metal.m_as("mol"), 1e-12)
    return (
        one.plan.title,
        tr(
            "{stirred}, surface {surface}",
            stirred=tr("stirred") if one.stirred else tr("not stirred"),
            surface=tr(one.surface),
        ),
        show(one.alcohol_used),
        show(one.final_yield),
        show(Quantity(100 * crust, "percent"), 2),
        show(one.peak_gas_flow[0]),
    )
