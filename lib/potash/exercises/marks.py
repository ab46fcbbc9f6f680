"""Marking a class: returned files in; mark book, review list, item table and pages out.

Files are marked a chunk at a time, by whoever does the work, and what they come to is kept on disk
until all are in, since a later sheet of the same student may count instead. Then the class list is
gone through once. The same returns and decisions give the same bytes, however many worked on them
and whatever was in the folder before; a run that was killed is completed by the next.
"""

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from shutil import rmtree
from typing import Final

from potash.exercises import decisions, items, markbook, outputs
from potash.exercises.assign import BadOutput, check_output
from potash.exercises.course import Course
from potash.exercises.items import Items
from potash.exercises.job import (
    CHUNK,
    FEEDBACK,
    WORK,
    Job,
    chunks,
    collecting_later,
    mark_again,
    mark_chunk,
    new_job,
)
from potash.exercises.likeness import Likeness
from potash.exercises.markbook import REVIEW_HEADER, ReviewRow
from potash.exercises.report import Report
from potash.exercises.returns import count_files, find_returns
from potash.exercises.roster import Student
from potash.exercises.secret import read_secret
from potash.exercises.spool import Spool
from potash.exercises.tables import Table, defused
from potash.exercises.workers import ThisProcess, Workers, choose
from potash.words import tr

MARK_BOOK: Final = "markbook.csv"
REVIEW: Final = "review.csv"
ITEMS: Final = "items.csv"

_WORTH_PROCESSES: Final = 4 * CHUNK
_ALIKE_NAMED: Final = 5

Progress = Callable[[int, int], None]


@dataclass(slots=True)
class Summary:
    """What marking a class came to.

    marked, missing: students with and without a sheet. files: returned files looked at. left_out:
    files that could not be marked, with the reason. to_review: lines of the review list. outcomes:
    how often each outcome came, in exercises that count. points: of all sheets together.
    put_aside: tables that were edited by hand and kept under another name.
    """

    marked: int = 0
    missing: int = 0
    files: int = 0
    to_review: int = 0
    left_out: list[tuple[str, str]] = field(default_factory=list)
    outcomes: Counter[str] = field(default_factory=Counter)
    points: float = 0.0
    put_aside: list[Path] = field(default_factory=list)


def mark_returns(
    course: Course,
    returns: Path,
    to: Path,
    progress: Progress = lambda done, total: None,
    *,
    pages: bool = True,
    workers: Workers | None = None,
) -> Summary:
    """Mark every file under ``returns`` and write mark book, review list and pages into ``to``.

    returns: a folder, a zip file or a single file. One file that cannot be marked never stops the
    rest: it goes to the review list. Without ``pages`` no feedback page is written. workers:
    whoever does the work; left out, all cores where there is enough of it.

    Raises: BadReturns; BadOutput; BadClassList; BadSecret; BadRegister; WorkersLost.
    """
    students = course.students()
    read_secret(course.path)
    total = count_files(returns)
    check_output(to, course)
    _check_apart(to, returns)
    _check_links(to)
    if workers is None:
        workers = choose() if total >= _WORTH_PROCESSES else ThisProcess()
    try:
        to.mkdir(exist_ok=True)
        with outputs.alone(to):
            _make_ready(to, with_pages=pages)
            job = new_job(course, to, with_pages=pages)
            summary = _mark(course, students, returns, job, workers, progress, total)
            rmtree(job.work, ignore_errors=True)
    except OSError as reason:
        raise BadOutput(
            tr(
                "{folder} cannot be written to: {strerror}.",
                folder=to,
                strerror=reason.strerror or reason,
            )
        ) from reason
    return summary


def _check_apart(to: Path, returns: Path) -> None:
    inner, outer = to.resolve(), returns.resolve()
    if inner.is_relative_to(outer) or outer.is_relative_to(inner):
        raise BadOutput(
            tr(
                "{folder} and {returns} lie inside each other; what is written would be taken for "
                "returned files. Name a folder apart from the returns.",
                folder=to,
                returns=returns,
            )
        )


def _check_links(to: Path) -> None:
    for folder in (to / FEEDBACK, to / WORK):
        if folder.is_symlink():
            raise BadOutput(
                tr(
                    "{folder} is a link; pages are written into {to} and nowhere else. Remove it.",
                    folder=folder,
                    to=to,
                )
            )


def _make_ready(to: Path, *, with_pages: bool) -> None:
    folders = (to / FEEDBACK, to / WORK)
    for folder in folders if with_pages else folders[1:]:
        folder.mkdir(exist_ok=True)
    outputs.sweep(to, *folders)


def _mark(
    course: Course,
    students: tuple[Student, ...],
    returns: Path,
    job: Job,
    workers: Workers,
    progress: Progress,
    total: int,
) -> Summary:
    summary = Summary()
    with Spool() as spool:
        for done in workers.run(mark_chunk, chunks(job, find_returns(returns))):
            summary.files += len(done.reports) + len(done.left_out)
            summary.left_out += done.left_out
            for line in done.reports:
                spool.add(line)
            progress(summary.files, max(summary.files, total))
        progress(max(summary.files, total), max(summary.files, total))
        _Writer(course, job, spool, summary).write(students, Path(job.to))
    return summary


class _Writer:
    """Writes the tables of one run, student by student."""

    def __init__(self, course: Course, job: Job, spool: Spool, summary: Summary) -> None:
        self._course = course
        self._job = job
        self._spool = spool
        self._summary = summary
        self._items = Items(course)
        self._likeness = Likeness()

    def write(self, students: tuple[Student, ...], to: Path) -> None:
        names = (REVIEW, ITEMS, MARK_BOOK)
        with outputs.tables(to, names, self._summary.put_aside) as (review, item_table, book):
            self._book = Table(book, markbook.header(self._course))
            self._review = Table(review, REVIEW_HEADER)
            for name, reason in self._summary.left_out:
                self._add_review((defused(name), "", "", "", defused(reason), ""))
            for problem in decisions.read(to / decisions.LOG).problems:
                self._add_review((decisions.LOG, "", "", "", defused(problem), ""))
            with collecting_later():
                for student in students:
                    self._add_student(student)
            self._add_alike()
            self._summary.outcomes = self._items.outcomes()
            table = Table(item_table, items.HEADER)
            for row in self._items.rows():
                table.row(row)

    def _add_student(self, student: Student) -> None:
        sheets = self._spool.handed_in(student.id)
        if not sheets:
            self._summary.missing += 1
            self._book.row(markbook.missing_line(self._course, student))
            return
        report = self._spool.read(sheets[0])
        if len(sheets) > 1 and self._job.pages:
            mark_again(self._job, report.returned)
        self._summary.marked += 1
        self._summary.points += report.total
        self._items.add(report)
        self._likeness.add(student.id, report.alike)
        self._book.line(report.line)
        for row in report.review:
            self._add_review(row)
        for place in sheets[1:]:
            self._add_other_sheet(report, self._spool.read(place))

    def _add_other_sheet(self, counts: Report, other: Report) -> None:
        answers = zip(self._course.settings, counts.answers, other.answers, strict=True)
        differing = [setting.exercise.id for setting, mine, theirs in answers if mine != theirs]
        row = markbook.again(counts.student, other.returned.name, counts.returned.name, differing)
        self._add_review(row)

    def _add_alike(self) -> None:
        for number, members in self._likeness.groups():
            exercise = self._course.settings[number].exercise.id
            for student in members:
                others = [other for other in members if other != student]
                self._add_review(("", student, exercise, "", defused(_alike(others)), ""))

    def _add_review(self, row: ReviewRow) -> None:
        self._review.row(row)
        self._summary.to_review += 1


def _alike(others: list[str]) -> str:
    named = ", ".join(others[:_ALIKE_NAMED])
    more = len(others) - _ALIKE_NAMED
    and_more = tr(" and {more} more", more=more) if more > 0 else ""
    return tr(
        "the same numbers as {named}{and_more}, although the figures differ; there are innocent "
        "reasons, so ask before concluding anything",
        named=named,
        and_more=and_more,
    )
