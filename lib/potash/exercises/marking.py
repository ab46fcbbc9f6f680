"""Marking one answer sheet: which figures count, what each answer is, what it earns.

A sheet is marked on the figures that were handed out. The seal shows whether the sheet still
carries these; where it does not, they are found again from the register, and the sheet is flagged.
"""

from collections.abc import Mapping, Sequence
from typing import Any, Final, NamedTuple

from potash.errors import PotashError
from potash.exercises import sheet_file
from potash.exercises.course import Course, Setting
from potash.exercises.judging import BLANK, judge
from potash.exercises.outcomes import Finding, Outcome
from potash.exercises.register import Register, complete, read_register
from potash.exercises.roster import Student
from potash.exercises.variants import Figures, draw_figures, is_sealed

FOR_A_PERSON: Final = frozenset({Outcome.UNREADABLE, Outcome.TO_BE_READ})


class NotOurs(PotashError):
    """A readable answer sheet that cannot be marked here: another course, an unknown student."""


class MarkedExercise(NamedTuple):
    """One exercise of one student: the figures handed out, the answers and their findings.

    Typed answers and findings are in the order of the exercise's questions.
    """

    figures: Figures
    typed: Sequence[str]
    findings: Sequence[Finding]


class MarkedSheet(NamedTuple):
    """A marked answer sheet; exercises are in the order of the course.

    recorded: the time of its last answer. late: whether that lies past the due date. flags: what a
    person should look at.
    """

    student: str
    recorded: str
    late: bool
    exercises: Sequence[MarkedExercise]
    flags: Sequence[str]


class Marker:
    """Marks the sheets of one course."""

    def __init__(self, course: Course, students: Sequence[Student], secret: bytes) -> None:
        self.course = course
        self._students = students
        self._names = {student.id for student in students}
        self._secret = secret
        self._issued: Register | None = None
        self._due = f"{course.due_text()[:16].replace(' ', 'T')}:00Z" if course.due else "Z"
        self._set = {setting.exercise.id for setting in course.settings}

    def mark(self, sheet: Mapping[str, Any]) -> MarkedSheet:
        """The marked form of a ``sheet`` that follows its schema.

        Raises: NotOurs, if it is from another course or an unknown student.
        """
        self._check_owner(sheet)
        student, flags = sheet["student"], list[str]()
        handed_in = sheet["exercises"]
        marked = [
            self._mark_exercise(setting, student, handed_in.get(setting.exercise.id), flags)
            for setting in self.course.settings
        ]
        if not self._set.issuperset(handed_in):
            strange = ", ".join(sorted(handed_in.keys() - self._set))[:200]
            flags.append(f"answers to exercises that were not set: {strange}")
        recorded = sheet_file.last_recorded(sheet)
        return MarkedSheet(student, recorded, recorded > self._due, marked, flags)

    def figures(self, setting: Setting, student: str) -> Figures:
        """The figures that ``student`` was handed for one exercise, found from the register."""
        if self._issued is None:
            issued = read_register(self.course)
            self._issued = complete(self.course, self._students, self._secret, issued)
        draw = self._issued[student][setting.exercise.id]
        return draw_figures(setting.exercise, self._secret, self.course.id, student, draw)

    def _check_owner(self, sheet: Mapping[str, Any]) -> None:
        if sheet["course"] != self.course.id:
            raise NotOurs(
                f"it is from the course {sheet['course']!r}; this course is {self.course.id!r}"
            )
        if sheet["student"] not in self._names:
            raise NotOurs(f"the class list names no student {sheet['student']!r}")

    def _mark_exercise(
        self, setting: Setting, student: str, row: Mapping[str, Any] | None, flags: list[str]
    ) -> MarkedExercise:
        exercise = setting.exercise
        if row is None:
            blank = [""] * len(exercise.asked)
            return MarkedExercise({}, blank, [BLANK] * len(exercise.asked))
        figures, key = self._key(setting, student, row, flags)
        typed = sheet_file.latest(row)
        findings = judge(exercise, key, typed, setting.tolerances)
        return MarkedExercise(
            figures, [typed.get(name, "") for name in findings], list(findings.values())
        )

    def _key(
        self, setting: Setting, student: str, row: Mapping[str, Any], flags: list[str]
    ) -> tuple[Figures, Mapping[str, Any]]:
        """The figures that count and what they solve to; flags a sheet whose figures changed."""
        exercise, figures = setting.exercise, row["figures"]
        if is_sealed(
            row["seal"], self._secret, self.course.id, student, exercise.id, row["draw"], figures
        ):
            try:
                return figures, exercise.solve(figures)
            except (KeyError, PotashError):
                flags.append(
                    f"{exercise.id}: the exercise was changed since the handout; "
                    "marked on the figures that it would give now"
                )
        else:
            flags.append(
                f"{exercise.id}: the figures on the sheet are not those handed out; "
                "marked on those handed out"
            )
        genuine = self.figures(setting, student)
        return genuine, exercise.solve(genuine)


class Points(NamedTuple):
    """What a sheet earns: by exercise, the cost of careless figures, the total, and the open."""

    by_exercise: Sequence[float]
    figures_cost: float
    total: float
    to_review: int


def points_of(course: Course, exercises: Sequence[MarkedExercise]) -> Points:
    """The points of a marked sheet; practice earns none, and no total is below nothing."""
    credit = course.credit
    by_exercise: list[float] = []
    careless = False
    to_review = 0
    for setting, marked in zip(course.settings, exercises, strict=True):
        each = setting.points_each
        earned = 0.0
        for outcome, _, _, figures in marked.findings:
            earned += each * credit[outcome]
            if not setting.practice:
                careless = careless or bool(figures)
                to_review += outcome in FOR_A_PERSON
        by_exercise.append(earned)
    cost = course.figures_cost if careless else 0.0
    return Points(by_exercise, cost, max(sum(by_exercise) - cost, 0.0), to_review)
