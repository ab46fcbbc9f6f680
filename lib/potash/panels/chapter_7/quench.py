"""Quench the rest: choose, predict what gathers, follow it, find its limits, compare water."""

from potash.hazards import cautions_html
from potash.panels.chapter_7.quench_controls import QuenchControls
from potash.panels.chapter_7.quench_pictures import QuenchPicture
from potash.panels.frame import controls, look
from potash.panels.frame.current import current_preparation
from potash.panels.frame.look import Number
from potash.panels.frame.predicting import PredictFirst
from potash.panels.frame.shell import Shell, in_words
from potash.plan_document.contents import LEFT_IN_RESIDUES
from potash.quenching import (
    LABEL,
    Quench,
    QuenchCourse,
    alcohols,
    largest_feed,
    least_hood_flow,
    met_by_water,
    problems,
    review,
    simulate_quench,
    smallest_excess,
)
from potash.units import Quantity, show
from potash.words import tr
from potash.workspace import Workspace

WHAT_IF = "quench: how much alcohol gathers"
_LIMITS = ("largest feed", "smallest excess of alcohol", "least air of the hood")
_GUESSES = (tr("less than a tenth of it"), tr("about half of it"), tr("nearly all of it"))


@in_words(tr("Quench the rest"))
def quench() -> Shell:
    """A quench to choose and to follow over time, beside what water would do."""
    preparation = current_preparation(Workspace.find())
    left = LEFT_IN_RESIDUES * preparation.charge().theoretical_yield
    return QuenchPanel(preparation.metal, show(left.to("g"))).shell


class QuenchPanel:
    """Choices on top, a prediction, then picture, numbers, cautions, limits and water."""

    def __init__(self, metal: str, mass: str) -> None:
        self.shell = Shell(
            tr("Quench the rest"),
            tr(
                "The metal that stayed in the residues, a quarter of the yield, met by an "
                "alcohol. Change anything."
            ),
        )
        self.controls = QuenchControls(metal, mass)
        # The question is about these; by the time of the answer the controls may stand elsewhere.
        self.asked_about = self.controls.quench()
        self.course: QuenchCourse | None = None
        self.picture = QuenchPicture()
        self.shown = controls.html()
        self.cautions = controls.html()
        self.limits_button = controls.button(tr("Find the limits of this quench"))
        self.limits = controls.html()
        self.water = controls.html()
        self.prediction = PredictFirst(
            self.shell,
            tr(
                "Alcohol drips onto metal under tetralin at 0.25 mL/min. At the worst moment, how "
                "much of the metal has its alcohol already waiting beside it, unreacted?"
            ),
            controls.options(tr("Your prediction"), _GUESSES),
            result=self._most_that_gathers,
            revealed=self.draw,
        )
        self.results = controls.column(
            self.shown, self.cautions, controls.row(self.limits_button), self.limits, self.water
        )
        self.shell.fill(
            self.controls.box,
            self.shell.message,
            self.prediction.box,
            self.results,
            controls.html(_ranking()),
        )
        self.controls.observe(self.shell.guarded(self.draw))
        self.limits_button.on_click(self.shell.guarded(self.find_limits))
        self.prediction.about(WHAT_IF)

    def draw(self) -> None:
        """Everything that follows from the controls."""
        controls.shown(self.results, self.prediction.is_open)
        if not self.prediction.is_open:
            self.shell.keep(look.note(tr("No prediction yet.")), tr("No prediction yet."))
            return
        self.course, self.limits.value = None, ""
        try:
            with controls.emptied_on_error(self.shown, self.cautions, self.water):
                self._follow(self.controls.quench())
        finally:
            controls.shown(self.limits_button, self.course is not None)

    def _follow(self, planned: Quench) -> None:
        self.cautions.value = f"<h4>{tr('What an expert would stop at')}</h4>" + _told(planned)
        self.water.value = _water(planned)
        refused = " ".join(problems(planned))
        self.shell.say(look.problem(refused) if refused else "")
        if refused:
            self.shown.value = ""
            self.shell.keep(self.cautions.value, refused)
            return
        self.course = simulate_quench(planned)
        self.shown.value = _numbers(self.course) + self.picture.to_html(self.course)
        self.shell.keep(self.shown.value + self.cautions.value, _in_text(self.course))

    def find_limits(self) -> None:
        """The largest feed, the smallest excess and the least air, each by running the quench."""
        if self.course is None:
            return
        planned = self.course.quench
        feed, excess = largest_feed(planned), smallest_excess(planned)
        rows = (
            (tr("Largest feed"), str(feed), str(feed.simulations)),
            (tr("Fewest moles of alcohol a mole of metal"), str(excess), str(excess.simulations)),
            (tr("Least air of the hood"), show(least_hood_flow(self.course)), "1"),
        )
        heads = (tr("Limit"), tr("Value and what decides it"), tr("Runs it took"))
        self.limits.value = look.table(tr("By teaching values"), heads, rows, origins=_LIMITS)

    def _most_that_gathers(self) -> str:
        most = float(simulate_quench(self.asked_about).accumulated.m.max())
        return tr("{most:.0f} % of it, by teaching values", most=most)


def _numbers(course: QuenchCourse) -> str:
    found = course.criticality
    highest, failed = show(course.highest_temperature), show(course.synthesis_temperature)
    number = str(found.number) if found else tr("none: it boils")
    hydrogen = show(course.highest_hydrogen_flow)
    end = show(course.ends) if course.ends else tr("more than 3 days")
    reasons = str(found) if found else tr("It boils or decomposes without any failure.")
    return (
        look.key_numbers(
            Number(tr("highest temperature"), highest, "temperature of a quench"),
            Number(tr("after a cooling failure"), failed, "temperature after a cooling failure"),
            Number(tr("criticality class"), number, "criticality class"),
            Number(tr("most hydrogen"), hydrogen, "hydrogen flow of a quench"),
            Number(tr("until bubbling stops"), end, "end of the bubbling"),
        )
        + look.note(LABEL)
        + look.folded(tr("Why this class"), look.paragraphs(reasons))
    )


def _told(planned: Quench) -> str:
    return cautions_html(review(planned))


def _water(planned: Quench) -> str:
    found = met_by_water(planned.metal, Quantity(planned.mass, "kg"))
    return look.caution(tr("The same metal met by water instead"), found.reasons)


def _in_text(course: QuenchCourse) -> str:
    return "\n".join(f"{label}: {value}" for label, value in course.rows())


def _ranking() -> str:
    rows = [
        (tr(one.name), tr(one.kind), f"{one.acidity:g}", f"{one.relative_rate:.2g}", one.verdict)
        for one in alcohols()
    ]
    table = look.table(
        tr("The alcohols by acidity. Rates are teaching values, that of methanol is 1."),
        (tr("Alcohol"), tr("Kind"), tr("pKa in water"), tr("Rate"), tr("As a quench")),
        rows,
        origins=("acidity of an alcohol", "relative rate of an alcohol"),
    )
    return look.folded(tr("The alcohols compared"), table)
