"""Exercises: the student's own figures, a field a question, and the sheet that keeps the answers.

A panel says "recorded" only of what it has read back from the disk.
"""

from collections.abc import Iterable, Mapping
from html import escape
from typing import Any

import ipywidgets as widgets

from potash import units
from potash.equations import read as read_equation
from potash.errors import PotashError
from potash.exercises.issued import IssuedExercise, IssuedQuestion
from potash.exercises.outcomes import Finding
from potash.exercises.sheet import AnswerSheet, Attempt
from potash.exercises.sheet_file import MIME
from potash.panels.frame import controls, look
from potash.panels.frame.moments import clock
from potash.panels.frame.shell import Card, Shell, in_words
from potash.words import tr

_NOT_CHOSEN = ""


@in_words(tr("Exercise"))
def exercise(exercise_id: str) -> Shell:
    """One exercise, with what was recorded for it filled in."""
    sheet = AnswerSheet.open()
    issued = sheet.exercise(exercise_id)
    return _panel(issued.title, sheet, [issued])


@in_words(tr("Exercises"))
def exercises(chapter: int) -> Shell:
    """All exercises that were set for a chapter, below each other."""
    sheet = AnswerSheet.open()
    return _panel(
        tr("Exercises of chapter {chapter}", chapter=chapter), sheet, sheet.exercises(chapter)
    )


def _panel(title: str, sheet: AnswerSheet, issued: Iterable[IssuedExercise]) -> Shell:
    shell = Shell(title, _whose(sheet))
    shell.box.add_class("potash-exercises")

    def keep() -> None:
        text, record = sheet.notebook_record()
        shell.keep(_recorded_table(sheet, chosen), text, {MIME: record})

    chosen = tuple(issued)
    cards = [ExerciseCard(sheet, one, keep).card.box for one in chosen]
    if not cards:
        shell.say(look.note(tr("No exercise was set for this chapter.")))
    if sheet.notices:
        shell.say("".join(look.note(notice) for notice in sheet.notices))
    shell.fill(shell.message, *cards)
    keep()
    return shell


def _whose(sheet: AnswerSheet) -> str:
    if not sheet.has_handout:
        return tr(
            "Practice figures, the same for everybody: this folder holds no handout from an "
            "instructor."
        )
    due = tr(" Due {due}.", due=sheet.due) if sheet.due else ""
    return tr(
        "{course_title}: the figures of {student_name}.{due}",
        course_title=sheet.course_title,
        student_name=sheet.student_name or sheet.student,
        due=due,
    )


class ExerciseCard:
    """One exercise on its card."""

    def __init__(self, sheet: AnswerSheet, issued: IssuedExercise, keep: Any) -> None:
        self.sheet = sheet
        self.issued = issued
        self._keep = keep
        self._hints_shown = 0
        self.card = Card(issued.title, tag=_how_it_counts(issued))
        self.card.box.add_class("potash-exercise")
        attempts = sheet.attempts(issued.id)
        self.questions = tuple(
            Question(asked, attempts.get(asked.name, ())) for asked in issued.asked
        )
        self.record_button = controls.button(tr("Record"), main=True)
        self.record_button.on_click(self.card.guarded(self.record))
        self.hint_button = controls.button(tr("Show a hint"))
        self.hint_button.on_click(self.card.guarded(self.show_hint))
        self.hints = controls.html()
        self._lay_out()

    def record(self) -> None:
        """Write what is typed to the sheet, then show what the disk holds."""
        typed = {question.name: question.typed for question in self.questions}
        if not any(text.strip() for text in typed.values()) and not self._anything_recorded():
            self.card.say(look.note(tr("Nothing is typed yet, so there was nothing to record.")))
            return
        on_disk = self.sheet.record(self.issued.id, typed)
        attempts = self.sheet.attempts(self.issued.id)
        for question in self.questions:
            question.show_recorded(attempts.get(question.name, ()))
        notices = "".join(look.note(notice) for notice in self.sheet.notices)
        self.card.say(look.good(self._what_is_on_disk(on_disk, attempts)) + notices)
        self._keep()
        if self.issued.practice:
            self._show_findings(typed)

    def show_hint(self) -> None:
        """One hint more, each a little nearer to the answer."""
        self._hints_shown = min(self._hints_shown + 1, len(self.issued.hints))
        shown = self.issued.hints[: self._hints_shown]
        self.hints.value = "".join(
            f'<div class="potash-hint"><b>{tr("Hint {number}.", number=number)}</b> '
            f"{escape(hint)}</div>"
            for number, hint in enumerate(shown, 1)
        )
        left = len(self.issued.hints) - self._hints_shown
        self.hint_button.description = (
            tr("Another hint ({left} left)", left=left) if left else tr("No more hints")
        )
        self.hint_button.disabled = not left

    def _lay_out(self) -> None:
        fields = [part for question in self.questions for part in (question.field, question.echo)]
        buttons = [self.record_button]
        if self.issued.practice and self.issued.hints:
            buttons.append(self.hint_button)
        caution = look.caution(tr("Caution"), [self.issued.caution]) if self.issued.caution else ""
        self.card.fill(
            controls.html(f'<div class="potash-task">{_task(self.issued.text)}</div>{caution}'),
            *fields,
            controls.row(*buttons),
            self.card.message,
            self.hints,
        )

    def _anything_recorded(self) -> bool:
        return any(question.recorded is not None for question in self.questions)

    def _what_is_on_disk(
        self, on_disk: Mapping[str, str], attempts: Mapping[str, tuple[Attempt, ...]]
    ) -> str:
        last = max((tries[-1].at for tries in attempts.values() if tries), default="")
        blank = [one.prompt for one in self.questions if not on_disk.get(one.name, "").strip()]
        told = tr("Recorded in {path} at {last}.", path=self.sheet.path.name, last=clock(last))
        if blank:
            told += " " + tr("Still blank: {questions}.", questions="; ".join(blank).rstrip("?."))
        return told

    def _show_findings(self, typed: Mapping[str, str]) -> None:
        findings = self.issued.check(typed)
        for question in self.questions:
            question.show_finding(findings[question.name])


class Question:
    """One asked quantity: its field, and the line under it that says how the text is read."""

    def __init__(self, asked: IssuedQuestion, attempts: tuple[Attempt, ...]) -> None:
        self.name = asked.name
        self.prompt = asked.prompt
        self.asked = asked
        self.recorded: Attempt | None = None
        self._finding = ""
        self.field = _field(asked)
        self.echo = controls.html(height="24px")
        self.echo.add_class("potash-status")
        if attempts:
            self.recorded = attempts[-1]
            self._fill_in(self.recorded.typed)
        self.field.observe(self._typed_anew, "value")
        self._say()

    @property
    def typed(self) -> str:
        """What stands in the field, as typed."""
        return str(self.field.value or "")

    def show_recorded(self, attempts: tuple[Attempt, ...]) -> None:
        """Say which text the disk holds."""
        self.recorded = attempts[-1] if attempts else None
        self._say()

    def show_finding(self, finding: Finding) -> None:
        """Say whether a practice answer holds."""
        shown = look.good if finding.holds else look.note
        self._finding = shown(finding.says)
        self._say()

    def _fill_in(self, text: str) -> None:
        if self.asked.kind != "choice" or text in self.asked.options:
            self.field.value = text

    def _typed_anew(self, _change: object) -> None:
        self._finding = ""
        self._say()

    def _say(self) -> None:
        parts = [part for part in (self._reading(), self._standing()) if part]
        line = f'<div class="potash-echo">{" · ".join(parts)}</div>'
        self.echo.value = line + self._finding

    def _reading(self) -> str:
        if not self.typed.strip() or self.asked.kind in ("choice", "text"):
            return ""
        try:
            return escape(f"Read as {_read_back(self.asked, self.typed)}")
        except PotashError as error:
            return f'<span class="potash-verbatim">{escape(f"Cannot be read yet: {error}")}</span>'

    def _standing(self) -> str:
        if self.recorded is None:
            return tr("not recorded yet") if self.typed.strip() else ""
        if self.recorded.typed == self.typed:
            return tr("recorded {when}", when=clock(self.recorded.at))
        return escape(f"changed; recorded is “{self.recorded.typed}”, {clock(self.recorded.at)}")


def _unit_shown(unit: str) -> str:
    """A unit of an exercise file as people read it: "mol/(m² s)"."""
    return units.show_unit(units.read(f"1 {unit}").unit)


def _field(asked: IssuedQuestion) -> Any:
    label = (
        tr("{prompt}, in {unit_shown}", prompt=asked.prompt, unit_shown=_unit_shown(asked.unit))
        if asked.unit
        else asked.prompt
    )
    if asked.kind == "choice":
        shown = [(tr("(choose)"), _NOT_CHOSEN), *((tr(option), option) for option in asked.options)]
        return controls.choice(label, shown, _NOT_CHOSEN, width="420px")
    if asked.kind == "text":
        area = widgets.Textarea(
            description=label,
            rows=3,
            continuous_update=False,
            layout=widgets.Layout(width="640px", max_width="100%"),
            style={"description_width": "auto"},
        )
        area.add_class("potash-field")
        return area
    field = controls.text(label, width="640px")
    # The label runs as wide as the text above it; what is typed is short.
    field.add_class(f"potash-short-{asked.kind}")
    return field


def _read_back(asked: IssuedQuestion, typed: str) -> str:
    """How the library reads ``typed``, so that a decimal comma or a lost unit is seen at once."""
    if asked.kind == "equation":
        return str(read_equation(typed))
    reading = units.read(typed)
    number = units.show_number(reading.value, max(reading.figures, 1))
    if not reading.unit and asked.unit:
        return tr("the number {number}, without a unit. The question asks for one", number=number)
    return f"{number}\u00a0{units.show_unit(reading.unit)}" if reading.unit else number


def _how_it_counts(issued: IssuedExercise) -> str:
    return tr("practice: checked when recorded") if issued.practice else tr("counts: marked later")


def _task(text: str) -> str:
    """The text of an exercise; a paragraph that is an equation is set as one."""
    shown = []
    for part in look.text_parts(text):
        try:
            shown.append(f'<p class="potash-equation">{read_equation(part).html}</p>')
        except PotashError:
            shown.append(look.paragraphs(part))
    return "".join(shown)


def _recorded_table(sheet: AnswerSheet, issued: Iterable[IssuedExercise]) -> str:
    rows = []
    for one in issued:
        answers = sheet.answers(one.id)
        rows += [(one.title, asked.prompt, answers.get(asked.name, "blank")) for asked in one.asked]
    return look.table(
        tr("Recorded in {path}", path=sheet.path.name),
        (tr("Exercise"), tr("Question"), tr("Answer as typed")),
        rows,
    )
