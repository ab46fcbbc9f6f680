"""Marking one answer sheet: which figures count, what each answer is, what it earns.

A sheet is marked on the figures that were handed out. The seal shows whether the sheet still
carries these; where it does not, they are found again from the register, and the sheet is flagged.
"""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any, NamedTuple

from potash.errors import PotashError
from potash.exercises import sheet_file
from potash.exercises.course import Course, Setting
from potash.exercises.decisions import Decided, Decisions, share_by_hand
from potash.exercises.judging import BLANK, judge
from potash.exercises.outcomes import FOR_A_PERSON, Finding, Outcome
from potash.exercises.register import Register, complete, read_register
from potash.exercises.roster import Student
from potash.exercises.variants import Figures, Seals, draw_figures
from potash.words import tr


class NotOurs(PotashError):
    """A readable answer sheet that cannot be marked here: another course, an unknown student."""


# The figures that count for an exercise, and what they solve to, in SI.
Key = tuple[Figures, Mapping[str, Any]]


class MarkedExercise(NamedTuple):
    """One exercise of one student: the figures handed out, the answers and their findings.

    Typed answers, findings and their outcomes are in the order of the exercise's questions. key:
    what the figures solve to, in SI. minutes: from the first recorded attempt to the last; None
    where fewer than two moments are recorded.
    """

    figures: Figures
    key: Mapping[str, Any]
    typed: Sequence[str]
    findings: Sequence[Finding]
    outcomes: Sequence[Outcome]
    minutes: float | None = None


class MarkedSheet(NamedTuple):
    """A marked answer sheet; exercises are in the order of the course.

    recorded: the time of its last answer, by the student's own clock. late: whether that lies past
    the due date. flags: what a person should look at. decided: what people decided about it.
    """

    student: str
    recorded: str
    late: bool
    exercises: Sequence[MarkedExercise]
    flags: Sequence[str]
    decided: Decided


class Checked(NamedTuple):
    """A sheet of ours. sealed: for each exercise of the course, whether its figures are genuine."""

    sheet: Mapping[str, Any]
    sealed: Sequence[bool]


class Solved(NamedTuple):
    """A sheet with the key to each exercise of the course, and what a person should look at."""

    sheet: Mapping[str, Any]
    keys: Sequence[Key]
    flags: list[str]


class Marker:
    """Marks the sheets of one course."""

    def __init__(
        self,
        course: Course,
        students: Sequence[Student],
        secret: bytes,
        decisions: Decisions | None = None,
    ) -> None:
        self.course = course
        self.students = {student.id: student for student in students}
        self._secret = secret
        self._seals = Seals(secret, course.id)
        self._decisions = decisions or Decisions()
        self._issued: Register | None = None
        self._completed = False
        self._due = f"{course.due_text()[:16].replace(' ', 'T')}:00Z" if course.due else "Z"
        # In the order of the course.
        self._set = dict.fromkeys(setting.exercise.id for setting in course.settings)

    def mark(self, sheet: Mapping[str, Any]) -> MarkedSheet:
        """The marked form of a ``sheet`` that follows its schema.

        Raises: NotOurs, if it is from another course or an unknown student; FormulaFailed.
        """
        return self.judge(self.solve(self.check(sheet)))

    # Marking has three steps, so that whoever marks many sheets can take one step after the other.

    def check(self, sheet: Mapping[str, Any]) -> Checked:
        """Check the owner of a ``sheet``, and the seal of each exercise.

        Raises: NotOurs.
        """
        self._check_owner(sheet)
        student, handed_in, holds = sheet["student"], sheet["exercises"], self._seals.hold
        sealed = [
            (row := handed_in.get(exercise)) is not None
            and holds(row["seal"], student, exercise, row["draw"], row["figures"])
            for exercise in self._set
        ]
        return Checked(sheet, sealed)

    def solve(self, checked: Checked) -> Solved:
        """Find the figures that count, and what they solve to.

        Raises: FormulaFailed, if figures that were handed out have no solution.
        """
        sheet, flags = checked.sheet, list[str]()
        student, handed_in = sheet["student"], sheet["exercises"]
        keys = [
            self._key(setting, student, handed_in.get(setting.exercise.id), sealed, flags)
            for setting, sealed in zip(self.course.settings, checked.sealed, strict=True)
        ]
        return Solved(sheet, keys, flags)

    def judge(self, solved: Solved) -> MarkedSheet:
        """Judge the answers."""
        sheet, flags = solved.sheet, solved.flags
        student, handed_in = sheet["student"], sheet["exercises"]
        marked = [
            _mark_exercise(setting, *key, handed_in.get(setting.exercise.id))
            for setting, key in zip(self.course.settings, solved.keys, strict=True)
        ]
        if not self._set.keys() >= handed_in.keys():
            strange = ", ".join(sorted(handed_in.keys() - self._set.keys()))[:200]
            flags.append(tr("answers to exercises that were not set: {strange}", strange=strange))
        recorded = sheet_file.last_recorded(sheet)
        decided = self._decisions.of(student)
        return MarkedSheet(student, recorded, recorded > self._due, marked, flags, decided)

    def figures(self, setting: Setting, student: str) -> Figures:
        """The figures that ``student`` was handed for one exercise, found from the register."""
        draw = self._draw(setting.exercise.id, student)
        return draw_figures(setting.exercise, self._secret, self.course.id, student, draw)

    def _draw(self, exercise: str, student: str) -> int:
        if self._issued is None:
            self._issued = read_register(self.course)
        if exercise not in self._issued.get(student, {}) and not self._completed:
            everybody = tuple(self.students.values())
            self._issued = complete(self.course, everybody, self._secret, self._issued)
            self._completed = True
        return self._issued[student][exercise]

    def _check_owner(self, sheet: Mapping[str, Any]) -> None:
        if sheet["course"] != self.course.id:
            raise NotOurs(
                tr(
                    "it is from the course {course!r}; this course is {course_id!r}",
                    course=sheet["course"],
                    course_id=self.course.id,
                )
            )
        if sheet["student"] not in self.students:
            raise NotOurs(
                tr("the class list names no student {student!r}", student=sheet["student"])
            )

    def _key(
        self,
        setting: Setting,
        student: str,
        row: Mapping[str, Any] | None,
        sealed: bool,
        flags: list[str],
    ) -> Key:
        """The figures that count and what they solve to; flags a sheet whose figures changed."""
        exercise = setting.exercise
        if row is not None and sealed:
            try:
                return row["figures"], exercise.solve(row["figures"])
            except (KeyError, PotashError):
                flags.append(
                    tr(
                        "{exercise}: the exercise was changed since the handout; marked on the "
                        "figures that it would give now",
                        exercise=exercise.id,
                    )
                )
        elif row is not None:
            flags.append(
                tr(
                    "{exercise}: the figures on the sheet are not those handed out; marked on "
                    "those handed out",
                    exercise=exercise.id,
                )
            )
        genuine = self.figures(setting, student)
        return genuine, exercise.solve(genuine)


def _mark_exercise(
    setting: Setting, figures: Figures, key: Mapping[str, Any], row: Mapping[str, Any] | None
) -> MarkedExercise:
    if row is None:
        count = len(setting.exercise.asked)
        blank = [BLANK] * count, [BLANK.outcome] * count
        return MarkedExercise(figures, key, [""] * count, *blank)
    typed = sheet_file.latest(row)
    judged = judge(setting.exercise, key, typed, setting.tolerances)
    findings = list(judged.values())
    return MarkedExercise(
        figures,
        key,
        [typed.get(name, "") for name in judged],
        findings,
        [finding.outcome for finding in findings],
        _minutes(row["answers"]),
    )


def _minutes(answers: Mapping[str, Sequence[Mapping[str, str]]]) -> float | None:
    """The minutes between the first and the last recorded attempt at one exercise."""
    moments = {attempt["at"] for attempts in answers.values() for attempt in attempts}
    if len(moments) < 2:
        return None
    try:
        first, last = (datetime.fromisoformat(moment) for moment in (min(moments), max(moments)))
    except ValueError:  # the 45th of a month, from a sheet that was written by hand
        return None
    return (last - first).total_seconds() / 60


class Points(NamedTuple):
    """What a sheet earns: by exercise, by question, the cost of careless figures, the total.

    shares: what each answer earned of its question's points, from 0 to 1, by exercise.
    to_review: how many answers wait for a person.
    """

    by_exercise: Sequence[float]
    shares: Sequence[Sequence[float]]
    figures_cost: float
    total: float
    to_review: int


def points_of(course: Course, marked: MarkedSheet) -> Points:
    """The points of a marked sheet; practice earns none, and no total is below nothing.

    Where a person decided about the answer that stands, that decision counts.
    """
    by_exercise: list[float] = []
    shares: list[list[float]] = []
    credit, careless, to_review = course.credit, False, 0
    for setting, exercise in zip(course.settings, marked.exercises, strict=True):
        outcomes = exercise.outcomes
        earned = [credit[outcome] for outcome in outcomes]
        waiting = [outcome in FOR_A_PERSON for outcome in outcomes]
        if marked.decided:
            _let_people_decide(setting, exercise, marked.decided, earned, waiting)
        shares.append(earned)
        by_exercise.append(setting.points_each * sum(earned))
        if not setting.practice:
            careless = careless or any(finding.figures for finding in exercise.findings)
            to_review += sum(waiting)
    cost = course.figures_cost if careless else 0.0
    return Points(by_exercise, shares, cost, max(sum(by_exercise) - cost, 0.0), to_review)


def _let_people_decide(
    setting: Setting,
    exercise: MarkedExercise,
    decided: Decided,
    earned: list[float],
    waiting: list[bool],
) -> None:
    for index, (asked, typed) in enumerate(
        zip(setting.exercise.asked, exercise.typed, strict=True)
    ):
        share = share_by_hand(decided, setting.exercise.id, asked.name, typed)
        if share is not None:
            earned[index] = share
            waiting[index] = False
