"""Marking a few files at a time, in whatever process: what a job needs, and doing it.

A job is a few short values, so that it travels to other processes and machines; each of these
reads course, class list, secret and decisions from the disk once. The secret itself never
travels. What a chunk of files came to is kept beside the marks until the whole job is done, so
that a job that was killed goes on where it stopped.
"""

import contextlib
import gc
import hashlib
import json
import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import islice
from pathlib import Path
from typing import Any, Final, NamedTuple

from potash.errors import PotashError
from potash.exercises import bank, decisions, pages
from potash.exercises import course as courses
from potash.exercises.course import Course
from potash.exercises.feedback import Pages
from potash.exercises.formula import FormulaFailed
from potash.exercises.likeness import Numbers, numbers_of
from potash.exercises.marking import MarkedSheet, Marker, NotOurs, Points, points_of
from potash.exercises.register import register_path
from potash.exercises.report import decoded, report
from potash.exercises.returns import NoRecord, Returned, read_returned
from potash.exercises.roster import Student
from potash.exercises.secret import read_secret
from potash.exercises.sheet_file import SOFTWARE, BadSheet
from potash.words import language, tr

FEEDBACK: Final = "feedback"
WORK: Final = ".unfinished"
CHUNK: Final = 100  # files; small enough to lose little, large enough to cost nothing to hand over

_TOGETHER: Final = 1_000_000  # bytes of files whose sheets lie in memory at the same time


class OtherCourse(PotashError):
    """A process that helps to mark sees another course, class list or library than its master."""


class Job(NamedTuple):
    """What marking needs to know. course, to: the course file and the marks folder, absolute.

    pages: whether feedback pages are written. state: a digest of everything that marks depend on
    besides the returned files.
    """

    course: str
    to: str
    pages: bool
    state: str

    @property
    def feedback(self) -> Path:
        return Path(self.to) / FEEDBACK

    @property
    def work(self) -> Path:
        """Where finished chunks are kept until the job is done."""
        return Path(self.to) / WORK


def new_job(course: Course, to: Path, *, with_pages: bool) -> Job:
    """The job of marking for ``course`` into ``to``."""
    log = to / decisions.LOG
    return Job(str(course.path.resolve()), str(to.resolve()), with_pages, _state(course, log))


class Chunk(NamedTuple):
    """A task: some returned files, to be marked for a job."""

    job: Job
    files: tuple[Returned, ...]


def chunks(job: Job, files: Iterable[Returned]) -> Iterator[Chunk]:
    """The files of a job in portions, in order."""
    rest = iter(files)
    while some := tuple(islice(rest, CHUNK)):
        yield Chunk(job, some)


class Done(NamedTuple):
    """What a chunk came to: encoded reports, and the files left out, each with the reason."""

    reports: list[bytes]
    left_out: list[tuple[str, str]]


def mark_chunk(chunk: Chunk) -> Done:
    """Mark some files, or take what an earlier, unfinished run made of the very same ones.

    Raises: OtherCourse; BadCourse; BadSecret; OSError, if a page cannot be written.
    """
    kept = chunk.job.work / _name(chunk)
    with collecting_later():
        return _read_kept(kept, chunk.job) or _mark_and_keep(chunk, kept)


@contextlib.contextmanager
def collecting_later() -> Iterator[None]:
    """Put off the collection of reference cycles: reports hold none.

    The collector would go through everything that is loaded again and again, which takes as long
    as all the rest of marking together.
    """
    collected = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collected:
            gc.enable()


def mark_again(job: Job, returned: Returned) -> Done:
    """Mark one file once more, so that its page is the one that stays.

    Raises: as :func:`mark_chunk`.
    """
    return _mark(Chunk(job, (returned,)))


def _mark_and_keep(chunk: Chunk, kept: Path) -> Done:
    done = _mark(chunk)
    lines = b"".join(done.reports)
    head = json.dumps([done.left_out, hashlib.sha256(lines).hexdigest()])
    if kept.parent.is_dir():
        _replace(kept, head.encode() + b"\n" + lines)
    return done


def _replace(path: Path, data: bytes) -> None:
    """Like writing atomically, without waiting for the disk: a chunk lost is only marked again."""
    part = path.with_name(f"{path.name}.{os.getpid()}{pages.PART}")
    part.write_bytes(data)
    part.replace(path)


def _read_kept(path: Path, job: Job) -> Done | None:
    try:
        head, _, lines = path.read_bytes().partition(b"\n")
        left_out, digest = json.loads(head)
    except (OSError, ValueError, TypeError):
        return None
    if hashlib.sha256(lines).hexdigest() != digest:
        return None
    reports = lines.splitlines(keepends=True)
    if job.pages and not all(_has_page(job, line) for line in reports):
        return None
    return Done(reports, [(name, reason) for name, reason in left_out])


def _has_page(job: Job, line: bytes) -> bool:
    made = decoded(line)
    return pages.is_page(job.feedback, made.student, made.page)


def _mark(chunk: Chunk) -> Done:
    desk = _prepared(chunk.job)
    done = Done([], [])
    for files in _portions(chunk.files):
        desk.mark(files, done)
    return done


def _portions(files: Iterable[Returned]) -> Iterator[list[Returned]]:
    """Files that are small enough to lie in memory together; a large one lies there alone."""
    some: list[Returned] = []
    size = 0
    for one in files:
        if some and size + one.size > _TOGETHER:
            yield some
            some, size = [], 0
        some.append(one)
        size += one.size
    if some:
        yield some


@dataclass(frozen=True, slots=True)
class _Prepared:
    """A job with everything loaded that it needs."""

    job: Job
    marker: Marker
    pages: Pages
    numbers: Numbers

    def mark(self, files: Sequence[Returned], done: Done) -> None:
        """Mark some files, all of them one stage after the other.

        The code of one stage stays in the processor's cache that way. File by file, from reading
        to the report, marking would take a sixth longer, and a quarter longer with pages.
        """
        course = self.marker.course
        readable, marked = self._marked(files, done.left_out)
        students = [self.marker.students[one.student] for one in marked]
        points = [points_of(course, one) for one in marked]
        written = self._write_pages(students, marked, points)
        rows = zip(students, marked, points, readable, written, strict=True)
        reports = [report(course, *row, self.numbers) for row in rows]
        done.reports.extend([one.encoded() for one in reports])

    def _marked(
        self, files: Sequence[Returned], left_out: list[tuple[str, str]]
    ) -> tuple[list[Returned], list[MarkedSheet]]:
        """The files that can be marked, and their marked sheets; the others are left out."""
        marker = self.marker
        results: Sequence[Any] = files
        for stage in (read_returned, marker.check, marker.solve, marker.judge):
            results = [
                one if isinstance(one, PotashError) else _tried(stage, one) for one in results
            ]
        readable, marked = list[Returned](), list[MarkedSheet]()
        for returned, result in zip(files, results, strict=True):
            if not isinstance(result, PotashError):
                readable.append(returned)
                marked.append(result)
            # The chapters that came along with an answer sheet need no review.
            elif not (isinstance(result, NoRecord) and returned.beside_sheet):
                left_out.append((returned.name, str(result)))
        return readable, marked

    def _write_pages(
        self, students: Sequence[Student], marked: Sequence[MarkedSheet], points: Sequence[Points]
    ) -> list[str]:
        """Write the feedback pages; the digest of each, "" where none are wanted."""
        if not self.job.pages:
            return [""] * len(marked)
        texts = list(map(self.pages.page, students, marked, points))
        folder = self.job.feedback
        return [
            pages.write_page(folder, student.id, text)
            for student, text in zip(students, texts, strict=True)
        ]


def _tried(stage: Callable[[Any], Any], given: Any) -> Any:
    """What a stage of marking makes of a file or a sheet, or why it cannot be marked."""
    try:
        return stage(given)
    except (BadSheet, NotOurs, FormulaFailed) as reason:
        return reason


@lru_cache(1)
def _prepared(job: Job) -> _Prepared:
    course = courses.load(Path(job.course))
    log = Path(job.to) / decisions.LOG
    if _state(course, log) != job.state:
        raise OtherCourse(
            tr(
                "{course} was changed while marking ran, or the process that should help to mark "
                "has another version of Potash or sees other files. Run the same command again.",
                course=job.course,
            )
        )
    marker = Marker(course, course.students(), read_secret(course.path), decisions.read(log))
    return _Prepared(job, marker, Pages(course), numbers_of(course))


def _state(course: Course, log: Path) -> str:
    """A digest of everything but the returned files that the marks depend on."""
    whole = hashlib.sha256(f"{SOFTWARE} {language()}".encode())
    depends = (course.path, *course.own_exercises, course.class_list, register_path(course.path))
    for path in (*bank.files(), *depends, log):
        data = path.read_bytes() if path.is_file() else b""
        whole.update(f"{path.name}:{len(data)}:".encode())
        whole.update(data)
    return whole.hexdigest()


def _name(chunk: Chunk) -> str:
    """What a chunk is kept under: its job and the very files, as they were last written."""
    files: Sequence[object] = [
        (one.name, one.problem, one.size, one.changed, one.member) for one in chunk.files
    ]
    return hashlib.sha256(repr((chunk.job[2:], files)).encode("utf-8", "replace")).hexdigest()
