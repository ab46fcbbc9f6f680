"""What one marked sheet comes to: everything that is written about it, as plain data.

A report is made where the sheet is marked, in whatever process that is, and travels as one line of
JSON. Which of a student's sheets counts is only known when all are in.
"""

import json
from typing import Any, Final, NamedTuple

from potash.exercises import likeness, markbook
from potash.exercises.course import Course
from potash.exercises.decisions import share_by_hand
from potash.exercises.likeness import Fingerprint
from potash.exercises.markbook import ReviewRow
from potash.exercises.marking import MarkedSheet, Points
from potash.exercises.outcomes import Outcome
from potash.exercises.returns import Returned
from potash.exercises.roster import Student
from potash.exercises.tables import csv_line

FIRST_LETTER: Final = ord("A")
_LETTERS: Final = {outcome: chr(FIRST_LETTER + code) for code, outcome in enumerate(Outcome)}
_BETWEEN: Final = "\t"  # JSON writes no tabs
_ENCODER: Final = json.JSONEncoder(separators=(",", ":"), check_circular=False)
_DECODER: Final = json.JSONDecoder()


class HandedIn(NamedTuple):
    """One sheet of a student: the later its rank sorts, the more it counts.

    place: where its report lies.
    """

    rank: str
    place: int


class Report(NamedTuple):
    """One marked sheet: the mark book's line, the review list's rows, and what statistics need.

    rank: what tells which of a student's sheets counts; of two, the greater. A sheet in time counts
    before a late one, an answer sheet before a notebook, then the later one, then the name.
    found: the file, as plain values. page: the digest of the feedback page, "" if none was
    written. line: the mark book's line, as CSV. answers: a digest of the answers to each exercise.
    outcomes: a letter for each question of the course, in its order, "A" for the first outcome.
    slips, by_hand: the slip, or the share that a person gave, by the number of the question.
    minutes: by exercise.
    """

    student: str
    rank: str
    found: tuple[Any, ...]
    page: str
    line: str
    review: list[ReviewRow]
    total: float
    answers: list[int]
    outcomes: str
    slips: dict[str, str]
    by_hand: dict[str, float]
    minutes: list[float | None]
    alike: list[Fingerprint]

    @property
    def returned(self) -> Returned:
        """The file that the sheet was in, for marking it again."""
        path, name, problem, beside, size, changed, within, member = self.found
        return Returned(path, name, problem, beside, size, changed, tuple(within), member)

    def encoded(self) -> bytes:
        """The report as one line, student and rank in front."""
        rest = _ENCODER.encode(self[2:])
        return f"{_ENCODER.encode(self[:2])}{_BETWEEN}{rest}\n".encode()


def head(line: bytes) -> tuple[str, str]:
    """Student and rank of the report in a line that :meth:`Report.encoded` made."""
    (student, rank), _ = _DECODER.raw_decode(line.decode())
    return student, rank


def decoded(line: bytes) -> Report:
    """The report in a line that :meth:`Report.encoded` made."""
    text = line.decode()
    first, end = _DECODER.raw_decode(text)
    rest, _ = _DECODER.raw_decode(text, end + len(_BETWEEN))
    return Report(*first, *rest)


def _rank(marked: MarkedSheet, returned: Returned) -> str:
    return f"{not marked.late:d}{not returned.is_notebook:d}{marked.recorded}\t{returned.name}"


def report(
    course: Course,
    student: Student,
    marked: MarkedSheet,
    points: Points,
    returned: Returned,
    page: str,
    numbers: likeness.Numbers,
) -> Report:
    """Everything that is written about one ``marked`` sheet.

    numbers: what :func:`potash.exercises.likeness.numbers_of` says of the course.
    """
    exercises = marked.exercises
    findings = [finding for exercise in exercises for finding in exercise.findings]
    return Report(
        student=student.id,
        rank=_rank(marked, returned),
        found=returned,
        page=page,
        line=csv_line(markbook.line(course, student, marked, points, returned)),
        review=list(markbook.review(course, marked, points, returned)),
        total=points.total,
        answers=[likeness.short_digest("\0".join(one.typed)) for one in exercises],
        outcomes="".join([_LETTERS[outcome] for one in exercises for outcome in one.outcomes]),
        slips={str(at): finding.slip for at, finding in enumerate(findings) if finding.slip},
        by_hand=_by_hand(course, marked) if marked.decided else {},
        minutes=[one.minutes for one in exercises],
        alike=list(likeness.fingerprints(numbers, exercises)),
    )


def _by_hand(course: Course, marked: MarkedSheet) -> dict[str, float]:
    """The shares that people gave, by the number of the question."""
    given: dict[str, float] = {}
    at = 0
    for setting, exercise in zip(course.settings, marked.exercises, strict=True):
        for asked, typed in zip(setting.exercise.asked, exercise.typed, strict=True):
            share = share_by_hand(marked.decided, setting.exercise.id, asked.name, typed)
            if share is not None:
                given[str(at)] = share
            at += 1
    return given
