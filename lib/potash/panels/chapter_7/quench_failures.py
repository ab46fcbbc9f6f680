"""What if it goes wrong? Five failures of a quench, each predicted before it is shown."""

from potash.panels.chapter_7.quench_pictures import QuenchPicture
from potash.panels.frame import controls, look
from potash.panels.frame.current import current_preparation
from potash.panels.frame.predicting import PredictFirst
from potash.panels.frame.shell import Shell, in_words
from potash.plan_document.contents import planned
from potash.quenching import LABEL, Quench, WhatIf, failures, what_if
from potash.quenching.failures import Failure
from potash.units import Quantity, show
from potash.words import tr
from potash.workspace import Workspace

# In the order of the rows of a course.
_ORIGINS = (
    "gas and alcohol of a quench",
    "temperature of a quench",
    "margin to boiling",
    "temperature after a cooling failure",
    "criticality class",
    "hydrogen flow of a quench",
    "hydrogen share in the hood",
    "end of the bubbling",
)


@in_words(tr("What if it goes wrong?"))
def quench_failures() -> Shell:
    """A failure to choose, a prediction, and the quench as planned beside what becomes of it."""
    preparation = current_preparation(Workspace.find())
    return FailurePanel(planned(preparation).quench).shell


class FailurePanel:
    """One failure at a time; what was predicted stays on the answer sheet."""

    def __init__(self, quench: Quench) -> None:
        self.quench = quench
        amount = show(Quantity(quench.mass * 1e3, "g"))
        self.shell = Shell(
            tr("What if it goes wrong?"),
            tr(
                "The usual quench: {amount} of {metal} in pieces of 4 mm, under {diluent}, "
                "2-propanol at 0.25 mL/min.",
                amount=amount,
                metal=quench.metal,
                diluent=quench.diluent,
            ),
        )
        self.by_name = {failure.name: failure for failure in failures()}
        self.failure = controls.choice(
            tr("What goes wrong"), list(self.by_name), next(iter(self.by_name)), width="260px"
        )
        self.guess = controls.options(tr("Your prediction"), self._failure.choices)
        self.picture = QuenchPicture()
        self.shown = controls.html()
        self._found: WhatIf | None = None
        self.prediction = PredictFirst(
            self.shell,
            "",
            self.guess,
            result=lambda: f"{self._result().answer}. {self._result().told}".removesuffix("."),
            revealed=self.draw,
        )
        self.shell.fill(
            controls.row(self.failure), self.shell.message, self.prediction.box, self.shown
        )
        self.failure.observe(self.shell.guarded(self.choose), "value")
        self.shell.guarded(self.choose)()

    def choose(self) -> None:
        """Turn to the chosen failure."""
        self._found = None
        self.guess.options = controls.labelled(self._failure.choices)
        self.guess.value = None
        self.prediction.about(f"quench: {self._failure.name}", self._failure.question)

    def draw(self) -> None:
        """The course that went wrong, once a prediction is kept."""
        if not self.prediction.is_open:
            self.shown.value = ""
            self.shell.keep(look.note(tr("No prediction yet.")), tr("No prediction yet."))
            return
        found = self._result()
        rows = [
            (label, before, after)
            for (label, before), (_, after) in zip(
                found.planned.rows(), found.course.rows(), strict=True
            )
        ]
        self.shown.value = (
            self.picture.to_html(found.course)
            + look.table(LABEL, (tr("What"), tr("As planned"), tr("Now")), rows, origins=_ORIGINS)
            + look.caution(tr("What it teaches"), [found.failure.lesson])
        )
        self.shell.keep(self.shown.value, found.told)

    @property
    def _failure(self) -> Failure:
        return self.by_name[self.failure.value]

    def _result(self) -> WhatIf:
        if self._found is None:
            self._found = what_if(self.quench, self._failure.name)
        return self._found
