"""Predict first: a question whose result stays hidden until a prediction is on the answer sheet."""

import os
from collections.abc import Callable
from typing import Any

from potash.errors import PotashError
from potash.exercises.sheet import AnswerSheet, Prediction
from potash.panels.frame import controls, look
from potash.panels.frame.moments import clock
from potash.panels.frame.shell import Card
from potash.words import tr


class PredictFirst:
    """A question, a field for the student's own guess, and the result once the guess is kept.

    card: where errors are told.
    field: the control that holds the guess; its value must be text.
    checked: takes the text and raises a PotashError that says why it is no prediction.
    result: the result in words, asked for when it may be shown.
    revealed: called when it may be shown.
    """

    def __init__(
        self,
        card: Card,
        question: str,
        field: Any,
        *,
        result: Callable[[], str],
        revealed: Callable[[], None],
        checked: Callable[[str], None] = lambda text: None,
    ) -> None:
        self.card = card
        self.field = field
        self._result = result
        self._revealed = revealed
        self._checked = checked
        self._what_if = ""
        self.is_open = False
        self.question = controls.html(_asked(question))
        self.keep_button = controls.button(tr("Keep my prediction, show the result"), main=True)
        self.keep_button.on_click(card.guarded(self.keep))
        self.again_button = controls.button(tr("Predict again"))
        self.again_button.on_click(card.guarded(self.ask))
        self.outcome = controls.html(height="40px")
        self.outcome.add_class("potash-status")
        self.box = controls.column(
            self.question,
            self.field,
            controls.row(self.keep_button, self.again_button),
            self.outcome,
        )

    def about(self, what_if: str, question: str | None = None) -> None:
        """Turn to another what-if; one that was predicted before is open at once."""
        self._what_if = what_if
        if question is not None:
            self.question.value = _asked(question)
        kept = _kept(what_if)
        if kept is not None:
            self._open(kept)
        elif _is_page_to_read():
            self._open_unasked()
        else:
            self.ask()

    def ask(self) -> None:
        """Hide the result and ask."""
        self.is_open = False
        self.outcome.value = ""
        self._show_controls()
        self._revealed()

    def keep(self) -> None:
        """Put the guess on the answer sheet, then show the result beside it."""
        typed = str(self.field.value or "").strip()
        if not typed:
            self.outcome.value = look.note(
                tr("Commit yourself first; a wrong guess costs nothing.")
            )
            return
        self._checked(typed)
        self.card.say("")
        self._open(AnswerSheet.open().record_prediction(self._what_if, typed, self._result()))

    def _open(self, prediction: Prediction) -> None:
        self.is_open = True
        self.outcome.value = look.note(
            tr(
                "You predicted “{predicted}” ({when}). The calculation says: {result}.",
                predicted=tr(prediction.predicted),
                when=clock(prediction.at),
                result=prediction.result,
            )
        )
        self._show_controls()
        self._revealed()

    def _open_unasked(self) -> None:
        self.is_open = True
        self.outcome.value = look.note(tr("The calculation says: {result}.", result=self._result()))
        self._show_controls()
        self._revealed()

    def _show_controls(self) -> None:
        for control in (self.field, self.keep_button):
            controls.shown(control, not self.is_open)
        controls.shown(self.again_button, self.is_open)


def _asked(question: str) -> str:
    return f"<h4>{tr('Predict first')}</h4>{look.paragraphs(question)}"


def _is_page_to_read() -> bool:
    """Whether this kernel makes a page for readers, who have nothing to predict with."""
    return os.environ.get("POTASH_REVEAL") == "1"


def _kept(what_if: str) -> Prediction | None:
    try:
        kept = AnswerSheet.open().predictions(what_if)
    except PotashError:
        return None  # the exercises' panel says what is wrong with the sheet
    return kept[-1] if kept else None
