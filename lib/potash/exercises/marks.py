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
    how often each outcome came, in exercises that count. points: of each marked sheet.
    """

    marked: int = 0
    missing: int = 0
    files: int = 0
    to_review: int = 0
    left_out: list[tuple[str, str]] = field(default_factory=list)
    outcomes: Counter[str] = field(default_factory=Counter)
    points: float = 0.0


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
    marker = Marker(course, students, secret)
    summary = Summary()
    with Spool() as spool:
        for returned in find_returns(returns):
            summary.files += 1
            _mark_one(returned, marker, spool, summary)
            progress(summary.files, total)
        progress(total, total)
        try:
            _write(course, students, marker, spool, to, summary, pages)
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


def _write(
    course: Course,
    students: tuple[Student, ...],
    marker: Marker,
    spool: Spool,
    to: Path,
    summary: Summary,
    pages: bool,
) -> None:
    to.mkdir(exist_ok=True)
    if pages:
        (to / FEEDBACK).mkdir(exist_ok=True)
    with (
        writing_atomically(to / MARK_BOOK) as book_file,
        writing_atomically(to / REVIEW) as review_file,
    ):
        book = Table(book_file, markbook.header(course))
        review = Table(review_file, REVIEW_HEADER)
        for name, reason in summary.left_out:
            _add_review(review, (defused(name), "", "", "", defused(reason), ""), summary)
        for student in students:
            sheets = [(place, spool.read(place)) for place in spool.handed_in(student.id)]
            if not sheets:
                summary.missing += 1
                book.row(markbook.line(course, student, None, None))
                continue
            marked = sheets[0][1]
            points = points_of(course, marked.exercises)
            _count(course, marked, points, summary)
            book.row(markbook.line(course, student, marked, points))
            for row in markbook.review(course, marked, sheets):
                _add_review(review, row, summary)
            if pages:
                _write_page(course, student, marker, marked, points, to / FEEDBACK)


def _add_review(review: Table, row: ReviewRow, summary: Summary) -> None:
    review.row(row)
    summary.to_review += 1


def _count(course: Course, marked: MarkedSheet, points: Points, summary: Summary) -> None:
    summary.marked += 1
    summary.points += points.total
    for setting, exercise in zip(course.settings, marked.exercises, strict=True):
        if not setting.practice:
            summary.outcomes.update([finding.outcome for finding in exercise.findings])


def _write_page(
    course: Course,
    student: Student,
    marker: Marker,
    marked: MarkedSheet,
    points: Points,
    folder: Path,
) -> None:
    """Write one page, unless it is there already as it should be."""
    figures = {
        setting.exercise.id: exercise.figures or marker.figures(setting, student.id)
        for setting, exercise in zip(course.settings, marked.exercises, strict=True)
    }
    text = feedback.page(course, student, marked, points, figures)
    path = folder / f"{student.id}.html"
    if not (path.is_file() and not path.is_symlink() and path.read_bytes() == text.encode()):
        write_atomically(path, text)
