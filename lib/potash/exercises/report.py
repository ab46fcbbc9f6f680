"""What one marked sheet comes to: everything that is written about it, as plain data.

A report is made where the sheet is marked, in whatever process that is, and travels as one line of
JSON. Which of a student's sheets counts is only known when all are in.
"""

import json
from typing import Any, Final, NamedTuple

from potash.exercises import likeness, markbook
from potash.exercises.course import Course
from potash.exercises.likeness import Fingerprint
from potash.exercises.markbook import ReviewRow
from potash.exercises.marking import MarkedSheet, Points
from potash.exercises.returns import Returned
from potash.exercises.roster import Student

_ENCODER: Final = json.JSONEncoder(separators=(",", ":"), check_circular=False)


class HandedIn(NamedTuple):
    """One sheet of a student: the later it sorts, the more it counts.

    A sheet in time counts before a late one, an answer sheet before a notebook, then the later
    one, then the name. place: where its report lies.
    """

    in_time: bool
    is_sheet: bool
    recorded: str
    name: str
    place: int


class Report(NamedTuple):
    """One marked sheet: the mark book's line, the review list's rows, and what statistics need.

    order: what :class:`HandedIn` sorts by, without the place. returned: the file, for marking it
    again. page: the digest of the feedback page, "" if none was written. answers: a digest of the
    answers to each exercise. outcomes, slips, shares: by exercise and question. minutes: by
    exercise.
    """

    student: str
    order: tuple[bool, bool, str, str]
    returned: Returned
    page: str
    line: list[str]
    review: list[ReviewRow]
    total: float
    answers: list[int]
    outcomes: list[list[str]]
    slips: list[list[str]]
    shares: list[list[float]]
    minutes: list[float | None]
    alike: list[Fingerprint]

    def encoded(self) -> bytes:
        """The report as one line."""
        returned = (str(self.returned.path), *self.returned[1:])
        return _ENCODER.encode(self._replace(returned=returned)).encode() + b"\n"  # type: ignore[arg-type]


def decoded(line: bytes) -> Report:
    """The report in a line that :meth:`Report.encoded` made."""
    from pathlib import Path

    row: list[Any] = json.loads(line)
    path, name, problem, beside, size, changed, within, member = row[2]
    row[2] = Returned(Path(path), name, problem, beside, size, changed, tuple(within), member)
    return Report(*row)


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
    return Report(
        student=student.id,
        order=(not marked.late, not returned.is_notebook, marked.recorded, returned.name),
        returned=returned,
        page=page,
        line=markbook.line(course, student, marked, points, returned),
        review=list(markbook.review(course, marked, points, returned)),
        total=points.total,
        answers=[likeness.short_digest("\0".join(one.typed)) for one in exercises],
        outcomes=[[finding.outcome.value for finding in one.findings] for one in exercises],
        slips=[[finding.slip for finding in one.findings] for one in exercises],
        shares=[list(shares) for shares in points.shares],
        minutes=[one.minutes for one in exercises],
        alike=list(likeness.fingerprints(course, exercises)),
    )
