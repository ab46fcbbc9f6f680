"""What one marked sheet comes to: everything that is written about it, as plain data.

A report is made where the sheet is marked, in whatever process that is, and travels as one line of
JSON. Which of a student's sheets counts is only known when all are in.
"""

import json
from pathlib import Path
from typing import Any, Final, NamedTuple

from potash.exercises import likeness, markbook
from potash.exercises.course import Course
from potash.exercises.likeness import Fingerprint
from potash.exercises.markbook import ReviewRow
from potash.exercises.marking import MarkedSheet, Points
from potash.exercises.returns import Returned
from potash.exercises.roster import Student
from potash.exercises.tables import csv_line

_BETWEEN: Final = "\t"  # JSON writes no tabs
_ENCODER: Final = json.JSONEncoder(separators=(",", ":"), check_circular=False)


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
    returned: the file, for marking it again. page: the digest of the feedback page, "" if none was
    written. line: the mark book's line, as CSV. answers: a digest of the answers to each exercise.
    outcomes, shares: of every question of the course, in its order. slips: by the number of the
    question, where there is one. minutes: by exercise.
    """

    student: str
    rank: str
    returned: Returned
    page: str
    line: str
    review: list[ReviewRow]
    total: float
    answers: list[int]
    outcomes: list[str]
    slips: dict[str, str]
    shares: list[float]
    minutes: list[float | None]
    alike: list[Fingerprint]

    def encoded(self) -> bytes:
        """The report as one line, student and rank in front."""
        returned = (str(self.returned.path), *self.returned[1:])
        rest = _ENCODER.encode((returned, *self[3:]))
        return f"{_ENCODER.encode(self[:2])}{_BETWEEN}{rest}\n".encode()


def head(line: bytes) -> tuple[str, str]:
    """Student and rank of the report in a line that :meth:`Report.encoded` made."""
    student, rank = json.loads(line.partition(_BETWEEN.encode())[0])
    return student, rank


def decoded(line: bytes) -> Report:
    """The report in a line that :meth:`Report.encoded` made."""
    first, _, rest = line.partition(_BETWEEN.encode())
    row: list[Any] = json.loads(rest)
    path, name, problem, beside, size, changed, within, member = row[0]
    row[0] = Returned(Path(path), name, problem, beside, size, changed, tuple(within), member)
    return Report(*json.loads(first), *row)


def _rank(marked: MarkedSheet, returned: Returned) -> str:
    return f"{not marked.late:d}{not returned.is_notebook:d}{marked.recorded}\t{returned.name}"


def report(
    course: Course,
    student: Student,
    marked: MarkedSheet,
    points: Points,
    returned: Returned,
    page: str,
) -> Report:
    """Everything that is written about one ``marked`` sheet."""
    exercises = marked.exercises
    findings = [finding for exercise in exercises for finding in exercise.findings]
    return Report(
        student=student.id,
        rank=_rank(marked, returned),
        returned=returned,
        page=page,
        line=csv_line(markbook.line(course, student, marked, points, returned)),
        review=list(markbook.review(course, marked, points, returned)),
        total=points.total,
        answers=[likeness.short_digest("\0".join(one.typed)) for one in exercises],
        outcomes=[finding.outcome for finding in findings],
        slips={str(at): finding.slip for at, finding in enumerate(findings) if finding.slip},
        shares=[share for shares in points.shares for share in shares],
        minutes=[one.minutes for one in exercises],
        alike=list(likeness.fingerprints(course, exercises)),
    )
