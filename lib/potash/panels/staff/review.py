"""The review desk: a marked class, one answer beside its key, and what people decide about it."""

from collections.abc import Callable
from html import escape
from pathlib import Path
from typing import Any, Final

import ipywidgets as widgets

from potash.errors import PotashError
from potash.exercises.desk import SHOWS, TO_REVIEW, Desk, Found, OpenAnswer, Row
from potash.exercises.outcomes import FOR_A_PERSON
from potash.panels.frame import controls, look
from potash.panels.frame.moments import clock
from potash.panels.frame.shell import Card, Shell, in_words
from potash.words import tr

_LISTED: Final = 200


class ShareUnreadable(PotashError):
    """What was typed as a share of the points is no number."""


@in_words(tr("Review desk"))
def review(
    course: str = "demo-course.toml", returns: str = "returns", marks: str = "marks"
) -> Shell:
    """The review desk of a course; the three are a file and two folders, as paths from here."""
    return ReviewDesk(course, returns, marks).shell


class ReviewDesk:
    """Which class, which student, which answer; and deciding about it."""

    def __init__(self, course: str, returns: str, marks: str) -> None:
        self.shell = Shell(
            tr("Review desk"),
            tr(
                "Look through a marked class, judge single answers, and mark again. What you "
                "decide is kept with your name, the time and your reason, and so is the mark "
                "before it."
            ),
        )
        self.desk: Desk | None = None
        self.course = controls.text(tr("Course file"), course)
        self.returns = controls.text(tr("Returned files"), returns)
        self.marks = controls.text(tr("Marks folder"), marks)
        self.open_button = controls.button(tr("Open the mark book"), main=True)
        self.mark_button = controls.button(tr("Mark the class again"))
        self.numbers = controls.html()
        self.show = controls.choice(tr("Show"), SHOWS, TO_REVIEW)
        self.contains = controls.text(tr("Id or name contains"), live=True)
        self.students = _listing(tr("Students"))
        self.answers = AnswerCard(self)
        self._connect()
        self.shell.fill(
            controls.row(self.course, self.returns, self.marks),
            controls.row(self.open_button, self.mark_button),
            self.shell.message,
            self.numbers,
            controls.row(self.show, self.contains),
            self.students,
            self.answers.card.box,
        )
        self.shell.keep(
            look.note(tr("Run this cell to open the desk.")), tr("Review desk, not opened.")
        )

    def open(self) -> None:
        """Open the mark book of the class that is named."""
        self.desk = self._named()
        self.search()
        self.shell.say(
            look.good(tr("{course}: the mark book is open.", course=self.desk.course.title))
        )

    def mark(self) -> None:
        """Mark the whole class with what was decided, then show it."""
        self.desk = self._named()
        self.shell.say(look.note(tr("Marking. This takes about a second for a thousand sheets.")))
        summary = self.desk.mark(self._count)
        self.search()
        told = tr(
            "{marked} students marked, {missing} without a sheet.",
            marked=summary.marked,
            missing=summary.missing,
        )
        aside = "".join(
            look.note(tr("It had been edited by hand, and is kept as {path}.", path=path.name))
            for path in summary.put_aside
        )
        self.shell.say(look.good(told) + aside)

    def search(self) -> None:
        """List the students that the filter lets through."""
        if self.desk is None:
            return
        found = self.desk.find(self.show.value, self.contains.value, _LISTED)
        chosen = self.students.value
        options = [(_line(row), row.student) for row in found.rows]
        self.students.options = options
        known = {student for _, student in options}
        self.students.value = chosen if chosen in known else None
        self.numbers.value = _counted(found)

    def look_at(self) -> None:
        """Open the sheet of the chosen student."""
        if self.desk is not None and self.students.value is not None:
            self.answers.open(self.desk, self.students.value)

    def _named(self) -> Desk:
        return Desk(*(Path(field.value) for field in (self.course, self.returns, self.marks)))

    def _count(self, done: int, total: int) -> None:
        self.shell.say(
            look.note(tr("Marking: {done} of about {total} files.", done=done, total=total))
        )

    def _connect(self) -> None:
        guarded = self.shell.guarded
        self.open_button.on_click(guarded(self.open))
        self.mark_button.on_click(guarded(self.mark))
        self.show.observe(guarded(self.search), "value")
        self.contains.observe(guarded(self.search), "value")
        self.students.observe(guarded(self.look_at), "value")


class AnswerCard:
    """One student's answers, one of them beside its key, and a decision about it."""

    def __init__(self, of: ReviewDesk) -> None:
        self._of = of
        self._desk: Desk | None = None
        self._answers: tuple[OpenAnswer, ...] = ()
        self.card = Card(tr("One answer beside its key"), tr("Choose a student, then a question."))
        self.questions = _listing(tr("Questions"))
        self.detail = controls.html()
        self.by = controls.text(tr("Your name"))
        self.share = controls.text(tr("Share of the points, 0 to 1"), placeholder="0.5")
        self.reason = controls.text(tr("Reason, for the log"), width="420px")
        self.comment = controls.text(tr("Comment, for the student"), width="420px")
        self.decide_button = controls.button(tr("Give this share"), main=True)
        self.comment_button = controls.button(tr("Add the comment only"))
        self.withdraw_button = controls.button(tr("Withdraw what was decided"))
        self.decision = controls.column(
            controls.row(self.by, self.share),
            controls.row(self.reason, self.comment),
            controls.row(self.decide_button, self.comment_button, self.withdraw_button),
        )
        self._heading = controls.html()
        self._connect()
        self.card.fill(self._heading, self.questions, self.detail, self.decision)
        controls.shown(self.questions, False)
        controls.shown(self.decision, False)

    @property
    def answer(self) -> OpenAnswer | None:
        """The answer that is looked at."""
        return next((one for one in self._answers if one.place == self.questions.value), None)

    def open(self, desk: Desk, student: str, place: str | None = None) -> None:
        """Show the answers of ``student``, beginning with the first that waits for a person."""
        self._desk = desk
        answers = desk.open(student)
        self.questions.value = None
        self._answers = answers
        self._heading.value = f"<h4>{escape(student)}</h4>"
        self.questions.options = [(_question(one), one.place) for one in answers]
        self.questions.value = place or _first_waiting(answers).place
        controls.shown(self.questions, True)
        controls.shown(self.decision, True)

    def show(self) -> None:
        """Show the chosen answer beside its key."""
        answer = self.answer
        if answer is None or self._desk is None:
            self.detail.value = ""
            return
        self.detail.value = _beside_the_key(answer) + _history(self._desk, answer)
        self._of.shell.keep(self.detail.value, f"{answer.student}, {answer.place}")

    def give(self) -> None:
        """Give the typed share of the points."""
        self._decide("mark", credit=_share(self.share.value), comment=self.comment.value)

    def add_comment(self) -> None:
        """Take the comment down and leave the mark as it is."""
        self._decide("comment", comment=self.comment.value)

    def withdraw(self) -> None:
        """Take back what was decided about this answer; the log keeps all of it."""
        self._decide("withdraw")

    def _decide(self, kind: Any, **what: Any) -> None:
        answer, desk = self.answer, self._desk
        if answer is None or desk is None:
            self.card.say(look.note(tr("Choose a student and a question first.")))
            return
        taken = desk.decide(answer, kind, by=self.by.value, reason=self.reason.value, **what)
        self.open(desk, answer.student, answer.place)
        self.reason.value = self.comment.value = self.share.value = ""
        self.card.say(
            look.good(
                tr(
                    "Taken down at {when}. The mark book follows when you mark the class again.",
                    when=clock(taken.at),
                )
            )
        )

    def _connect(self) -> None:
        guarded = self.card.guarded
        self.questions.observe(guarded(self.show), "value")
        self.decide_button.on_click(guarded(self.give))
        self.comment_button.on_click(guarded(self.add_comment))
        self.withdraw_button.on_click(guarded(self.withdraw))


def _listing(label: str) -> Any:
    listing = widgets.Select(
        options=[],
        value=None,
        description=label,
        rows=8,
        layout=widgets.Layout(width="100%", max_width="760px"),
        style={"description_width": "auto"},
    )
    listing.add_class("potash-field")
    return listing


def _share(typed: str) -> float:
    """The share in ``typed``; decimal commas and percentages are welcome.

    Raises: ShareUnreadable.
    """
    text = typed.strip().replace(",", ".")
    try:
        return float(text.removesuffix("%")) / 100 if text.endswith("%") else float(text)
    except ValueError:
        raise ShareUnreadable(
            tr(
                "{typed!r} is no share of the points. Type a number from 0 to 1, such as 0.5.",
                typed=typed,
            )
        ) from None


def _line(row: Row) -> str:
    points = (
        tr("{points} of {most} points", points=row.points, most=row.most)
        if row.points
        else row.status
    )
    extra = [
        tr("{to_review} to review", to_review=row.to_review)
        if row.to_review not in ("", "0")
        else "",
        row.late,
    ]
    return ", ".join(filter(None, (f"{row.student}  {row.name}: {points}", *extra)))


def _counted(found: Found) -> str:
    if not found.total:
        return look.note(tr("No student fits. Choose another view, or empty the field beside it."))
    if found.total > len(found.rows):
        return look.note(
            tr(
                "{total} students fit; the first {number} are listed.",
                total=found.total,
                number=len(found.rows),
            )
        )
    return look.note(tr("{total} students fit.", total=found.total))


def _question(answer: OpenAnswer) -> str:
    practice = tr(" (practice)") if answer.setting.practice else ""
    return f"{answer.place}{practice}: {tr(answer.finding.outcome)}"


def _first_waiting(answers: tuple[OpenAnswer, ...]) -> OpenAnswer:
    waiting: Callable[[OpenAnswer], bool] = lambda one: (  # noqa: E731
        one.finding.outcome in FOR_A_PERSON and one.standing.mark is None
    )
    return next(filter(waiting, answers), answers[0])


def _beside_the_key(answer: OpenAnswer) -> str:
    key = " ".join(filter(None, (answer.key, f"({answer.tolerance})" if answer.tolerance else "")))
    rows = [
        (tr("Asked"), answer.prompt),
        (tr("Answer as typed"), answer.typed or tr("(blank)")),
        (tr("Right answer"), key or answer.asked.notes or tr("for a person to read")),
        (tr("Finding"), f"{answer.finding.outcome}{_slip(answer)}"),
        (tr("Reasoning"), answer.finding.says),
        (
            tr("Points"),
            tr("{share:.2f} of {worth:.2f}", share=answer.share * answer.worth, worth=answer.worth),
        ),
    ]
    text = look.folded(tr("The exercise with this student's figures"), look.paragraphs(answer.text))
    caption = f"{answer.student}, {answer.place}"
    return text + look.table(caption, ("", ""), rows, origins=["points of an answer"])


def _slip(answer: OpenAnswer) -> str:
    return f": {answer.finding.slip}" if answer.finding.slip else ""


def _history(desk: Desk, answer: OpenAnswer) -> str:
    taken = desk.history(answer)
    if not taken:
        return ""
    rows = [
        (
            clock(one.at),
            one.by,
            one.kind if one.credit is None else f"{one.kind}: {one.credit:g}",
            f"{one.outcome}, {one.earned:g}",
            one.reason,
            one.comment,
        )
        for one in taken
    ]
    heads = (tr("When"), tr("Who"), tr("Decided"), tr("Marked before"), tr("Reason"), tr("Comment"))
    return look.table(tr("What was decided so far"), heads, rows)
