"""Marking a class: returned files in; mark book, feedback pages and review list out.

Sheets are marked one after the other and kept on disk until all are in, since a later one of the
same student may count instead. Then the class list is gone through once. The same returns give the
same bytes, whatever was in the folder before.
"""

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from potash.exercises import feedback, markbook
from potash.exercises.assign import BadOutput, check_output
from potash.exercises.course import Course
from potash.exercises.formula import FormulaFailed
from potash.exercises.markbook import REVIEW_HEADER, ReviewRow
from potash.exercises.marking import MarkedSheet, Marker, NotOurs, Points, points_of
from potash.exercises.returns import NoRecord, Returned, count_files, find_returns, read_returned
from potash.exercises.roster import Student
from potash.exercises.secret import read_secret
from potash.exercises.sheet_file import BadSheet
from potash.exercises.spool import Spool
from potash.exercises.tables import Table, defused
from potash.files import write_atomically, writing_atomically

MARK_BOOK: Final = "markbook.csv"
REVIEW: Final = "review.csv"
FEEDBACK: Final = "feedback"

Progress = Callable[[int, int], None]


@dataclass(slots=True)
class Summary:
    """What marking a class came to.

    marked, missing: students with and without a sheet. files: returned files looked at. left_out:
    files that could not be marked, with the reason. to_review: lines of the review list. outcomes:
    how often each outcome came, in exercises that count. points: of all sheets together.
    """

    marked: int = 0
    missing: int = 0
    files: int = 0
    to_review: int = 0
    left_out: list[tuple[str, str]] = field(default_factory=list)
    outcomes: Counter[str] = field(default_factory=Counter)
    points: float = 0.0

    def count(self, course: Course, marked: MarkedSheet, points: Points) -> None:
        """Add one marked sheet."""
        self.marked += 1
        self.points += points.total
        for setting, exercise in zip(course.settings, marked.exercises, strict=True):
            if not setting.practice:
                self.outcomes.update([finding.outcome for finding in exercise.findings])


def mark_returns(
    course: Course,
    returns: Path,
    to: Path,
    progress: Progress = lambda done, total: None,
    *,
    pages: bool = True,
) -> Summary:
    """Mark every file under ``returns`` and write mark book, review list and pages into ``to``.

    One file that cannot be marked never stops the rest: it goes to the review list. Without
    ``pages`` no feedback page is written.

    Raises: BadReturns; BadOutput; BadClassList; BadSecret; BadRegister.
    """
    students = course.students()
    secret = read_secret(course.path)
    total = count_files(returns)
    check_output(to, course)
    _check_apart(to, returns)
    _check_feedback(to)
    marker = Marker(course, students, secret)
    summary = Summary()
    with Spool() as spool:
        for returned in find_returns(returns):
            summary.files += 1
            _mark_one(returned, marker, spool, summary)
            progress(summary.files, total)
        progress(total, total)
        try:
            to.mkdir(exist_ok=True)
            if pages:
                (to / FEEDBACK).mkdir(exist_ok=True)
            _Writer(marker, spool, summary, to / FEEDBACK if pages else None).write(students, to)
        except OSError as reason:
            raise BadOutput(f"{to} cannot be written to: {reason.strerror or reason}.") from reason
    return summary


def _mark_one(returned: Returned, marker: Marker, spool: Spool, summary: Summary) -> None:
    try:
        marked = marker.mark(read_returned(returned))
        spool.add(marked, returned.name, is_sheet=not returned.is_notebook)
    except (BadSheet, NotOurs, FormulaFailed) as reason:
        # The chapters that came along with an answer sheet need no review.
        if not (isinstance(reason, NoRecord) and returned.beside_sheet):
            summary.left_out.append((returned.name, str(reason)))


def _check_apart(to: Path, returns: Path) -> None:
    inner, outer = to.resolve(), returns.resolve()
    if inner.is_relative_to(outer) or outer.is_relative_to(inner):
        raise BadOutput(
            f"{to} and {returns} lie inside each other; what is written would be taken for "
            "returned files. Name a folder apart from the returns."
        )


def _check_feedback(to: Path) -> None:
    if (to / FEEDBACK).is_symlink():
        raise BadOutput(
            f"{to / FEEDBACK} is a link; pages are written into {to} and nowhere else. Remove it."
        )


class _Writer:
    """Writes mark book, review list and pages of one run, student by student."""

    def __init__(self, marker: Marker, spool: Spool, summary: Summary, pages: Path | None) -> None:
        self._course = marker.course
        self._marker = marker
        self._spool = spool
        self._summary = summary
        self._pages = pages

    def write(self, students: tuple[Student, ...], to: Path) -> None:
        with (
            writing_atomically(to / MARK_BOOK) as book_file,
            writing_atomically(to / REVIEW) as review_file,
        ):
            self._book = Table(book_file, markbook.header(self._course))
            self._review = Table(review_file, REVIEW_HEADER)
            for name, reason in self._summary.left_out:
                self._add_review((defused(name), "", "", "", defused(reason), ""))
            for student in students:
                self._add_student(student)

    def _add_student(self, student: Student) -> None:
        course, summary = self._course, self._summary
        sheets = [(place, self._spool.read(place)) for place in self._spool.handed_in(student.id)]
        if not sheets:
            summary.missing += 1
            self._book.row(markbook.line(course, student, None, None))
            return
        marked = sheets[0][1]
        points = points_of(course, marked.exercises)
        summary.count(course, marked, points)
        self._book.row(markbook.line(course, student, marked, points))
        for row in markbook.review(course, marked, sheets):
            self._add_review(row)
        if self._pages is not None:
            self._write_page(student, marked, points, self._pages / f"{student.id}.html")

    def _add_review(self, row: ReviewRow) -> None:
        self._review.row(row)
        self._summary.to_review += 1

    def _write_page(
        self, student: Student, marked: MarkedSheet, points: Points, path: Path
    ) -> None:
        """Write one page, unless it is there already as it should be."""
        figures = {
            setting.exercise.id: exercise.figures or self._marker.figures(setting, student.id)
            for setting, exercise in zip(self._course.settings, marked.exercises, strict=True)
        }
        text = feedback.page(self._course, student, marked, points, figures)
        if not (path.is_file() and not path.is_symlink() and path.read_bytes() == text.encode()):
            write_atomically(path, text)
