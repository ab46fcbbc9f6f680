"""The review desk: a marked class to look through, one answer beside its key, and decisions on it.

What is shown of an answer is marked anew from the returned file, so it is always what the exercise
as it stands now makes of it. What a person decides goes to the log at once; the mark book follows
when the class is marked again.
"""

import csv
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Any, Final, NamedTuple

from potash.errors import PotashError
from potash.exercises import course as courses
from potash.exercises import decisions, marks
from potash.exercises.course import Setting
from potash.exercises.decisions import Decision, Kind, Standing
from potash.exercises.exercise import Asked
from potash.exercises.markbook import BY_HAND, NOT_HANDED_IN
from potash.exercises.marking import MarkedExercise, MarkedSheet, Marker
from potash.exercises.marks import Progress, Summary
from potash.exercises.outcomes import Finding, Outcome
from potash.exercises.returns import Returned, find_returns, read_returned
from potash.exercises.secret import read_secret
from potash.exercises.tables import defused
from potash.exercises.writing import tolerance_in_words, written
from potash.words import later, tr

EVERYBODY: Final = later("everybody")
TO_REVIEW: Final = later("something to review")
LATE: Final = later("late")
MISSING: Final = later("not handed in")
DECIDED: Final = later("marked by hand")
SHOWS: Final = (EVERYBODY, TO_REVIEW, LATE, MISSING, DECIDED, *(o.value for o in Outcome))


class NoMarkBook(PotashError):
    """The class was not marked yet, or its mark book cannot be read."""


class NothingHandedIn(PotashError):
    """A student without an answer sheet, or whose file is no longer where it was."""


class Row(NamedTuple):
    """A student as the mark book has it; cells are those of its exercises, by column."""

    student: str
    name: str
    status: str
    points: str
    most: str
    to_review: str
    late: str
    file: str
    cells: Mapping[str, str]


class Found(NamedTuple):
    """Students that a search found: the first of them, and how many there are."""

    rows: list[Row]
    total: int


@dataclass(frozen=True, slots=True)
class OpenAnswer:
    """One answer on the desk, with everything that a person needs to judge it.

    text: the exercise with the student's figures. key, tolerance: "" for free text. notes: what
    the author says to look for. worth: points of the question. earned: the share that the marking
    gives. standing: what people decided before.
    """

    student: str
    setting: Setting
    asked: Asked
    text: str
    prompt: str
    typed: str
    finding: Finding
    key: str
    tolerance: str
    earned: float
    standing: Standing

    @property
    def place(self) -> str:
        """Where the answer stands: exercise and question."""
        return f"{self.setting.exercise.id}: {self.asked.name}"

    @property
    def worth(self) -> float:
        """The points of the question; none in practice."""
        return self.setting.points_each

    @property
    def share(self) -> float:
        """The share that counts now: a person's, if one decided about this very answer."""
        if self.standing.mark is not None and self.standing.holds_for(self.typed):
            assert self.standing.mark.credit is not None
            return self.standing.mark.credit
        return self.earned


class Desk:
    """A course, its returned files and its marks, open for review."""

    def __init__(self, course_file: Path, returns: Path, to: Path) -> None:
        """Open the desk.

        Raises: BadCourse; BadExercise; UnknownExercise.
        """
        self.course = courses.load(course_file)
        self.returns = returns
        self.marks = to

    @property
    def log(self) -> Path:
        """Where decisions are taken down."""
        return self.marks / decisions.LOG

    def find(self, show: str = EVERYBODY, contains: str = "", most: int = 200) -> Found:
        """The students that ``show`` (one of SHOWS) lets through and whose id or name matches.

        Raises: NoMarkBook.
        """
        wanted = contains.strip().casefold()
        fits = _FITS.get(show) or _has_outcome(show)
        found = (
            row
            for row in self._rows()
            if fits(row) and wanted in f"{row.student} {row.name}".casefold()
        )
        first = list(islice(found, most))
        return Found(first, len(first) + sum(1 for _ in found))

    def open(self, student: str) -> tuple[OpenAnswer, ...]:
        """Every answer of one student, marked anew from the file that counts.

        Raises: NothingHandedIn; NoMarkBook; BadSheet; BadSecret.
        """
        row = next((row for row in self._rows() if row.student == student), None)
        if row is None or not row.file:
            raise NothingHandedIn(
                tr("{student} has handed in nothing that was marked.", student=student)
            )
        marked = self._marker().mark(read_returned(self._file(row)))
        return tuple(self._answers(marked))

    def decide(
        self,
        answer: OpenAnswer,
        kind: Kind,
        *,
        by: str,
        reason: str = "",
        credit: float | None = None,
        comment: str = "",
    ) -> Decision:
        """Take a decision about ``answer`` down in the log; when this returns, it is on the disk.

        Raises: DecisionRefused; LogNotWritten.
        """
        decision = Decision(
            student=answer.student,
            exercise=answer.setting.exercise.id,
            question=answer.asked.name,
            kind=kind,
            by=by.strip(),
            at=decisions.now(),
            reason=reason.strip(),
            typed=answer.typed,
            outcome=answer.finding.outcome.value,
            earned=answer.earned,
            credit=credit if kind == "mark" else None,
            comment=comment.strip(),
        )
        decisions.append(self.log, decision)
        return decision

    def history(self, answer: OpenAnswer) -> list[Decision]:
        """Every decision about ``answer`` and about earlier answers in its place."""
        place = (answer.setting.exercise.id, answer.asked.name)
        return [
            one
            for one in decisions.read(self.log).lines
            if one.student == answer.student and one.place == place
        ]

    def mark(self, progress: Progress = lambda done, total: None) -> Summary:
        """Mark the whole class with what was decided so far, and write the mark book.

        Raises: as :func:`potash.exercises.marks.mark_returns`.
        """
        self.course = courses.load(self.course.path)
        return marks.mark_returns(self.course, self.returns, self.marks, progress)

    def _rows(self) -> Iterator[Row]:
        path = self.marks / marks.MARK_BOOK
        try:
            with path.open(encoding="utf-8", newline="") as file:
                for cells in csv.DictReader(file, strict=True):
                    yield _row(cells)
        except FileNotFoundError:
            raise NoMarkBook(
                tr("there is no mark book in {marks} yet: mark the class first.", marks=self.marks)
            ) from None
        except (OSError, ValueError, KeyError, csv.Error) as reason:
            raise NoMarkBook(
                tr(
                    "{path} cannot be read: {reason}. Mark the class again.",
                    path=path,
                    reason=reason,
                )
            ) from None

    def _marker(self) -> Marker:
        secret = read_secret(self.course.path)
        return Marker(self.course, self.course.students(), secret, decisions.read(self.log))

    def _file(self, row: Row) -> Returned:
        for returned in find_returns(self.returns):
            if defused(returned.name) == row.file:
                return returned
        raise NothingHandedIn(
            tr(
                "{file} is no longer among the returned files in {returns}; mark the class again.",
                file=row.file,
                returns=self.returns,
            )
        )

    def _answers(self, marked: MarkedSheet) -> Iterator[OpenAnswer]:
        for setting, exercise in zip(self.course.settings, marked.exercises, strict=True):
            rows = zip(setting.exercise.asked, exercise.typed, exercise.findings, strict=True)
            for asked, typed, finding in rows:
                yield self._answer(marked, setting, exercise, asked, typed, finding)

    def _answer(
        self,
        marked: MarkedSheet,
        setting: Setting,
        exercise: MarkedExercise,
        asked: Asked,
        typed: str,
        finding: Finding,
    ) -> OpenAnswer:
        told, figures = setting.exercise.told, exercise.figures
        return OpenAnswer(
            student=marked.student,
            setting=setting,
            asked=asked,
            text=told(setting.exercise.text, figures),
            prompt=told(asked.prompt, figures),
            typed=typed,
            finding=finding,
            key=_key(asked, exercise.key),
            tolerance=_tolerance(setting, asked),
            earned=self.course.credit[finding.outcome],
            standing=marked.decided.get((setting.exercise.id, asked.name), Standing()),
        )


def _row(cells: Mapping[str, str]) -> Row:
    return Row(
        student=cells["student"],
        name=cells["name"],
        status=cells["status"],
        points=cells["points"],
        most=cells["out of"],
        to_review=cells["to review"],
        late=cells["late"],
        file=cells["file"],
        cells={name: cell for name, cell in cells.items() if ": " in name},
    )


_FITS: Final[Mapping[str, Callable[[Row], bool]]] = {
    EVERYBODY: lambda row: True,
    TO_REVIEW: lambda row: row.to_review not in ("", "0"),
    LATE: lambda row: bool(row.late),
    MISSING: lambda row: row.status == NOT_HANDED_IN,
    DECIDED: lambda row: any(BY_HAND in cell for cell in row.cells.values()),
}


def _has_outcome(outcome: str) -> Callable[[Row], bool]:
    return lambda row: any(cell.partition(",")[0] == outcome for cell in row.cells.values())


def _key(asked: Asked, values: Mapping[str, Any]) -> str:
    return "" if asked.kind == "text" else written(asked, values)


def _tolerance(setting: Setting, asked: Asked) -> str:
    if asked.kind != "number":
        return ""
    return tolerance_in_words(asked, (setting.tolerances or {}).get(asked.name, asked.tolerance))
