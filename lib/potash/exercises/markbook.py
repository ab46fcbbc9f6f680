"""The mark book (one line a student) and the review list (what a person should look at)."""

from collections.abc import Iterator, Sequence
from functools import lru_cache

from potash.exercises.course import Course, Setting
from potash.exercises.decisions import Decided, share_by_hand
from potash.exercises.marking import MarkedExercise, MarkedSheet, Points
from potash.exercises.outcomes import FOR_A_PERSON, Finding
from potash.exercises.returns import Returned
from potash.exercises.roster import Student
from potash.exercises.tables import defused
from potash.words import tr

REVIEW_HEADER = ("file", "student", "exercise", "question", "what to look at", "typed")
NOT_HANDED_IN = "not handed in"
BY_HAND = ", by hand "

_ABOUT = ("student", "name", "status", "points", "out of", "percent", "figures cost", "late")
_HANDED_IN = ("to review", "answered at", "file", "file dated")

ReviewRow = tuple[str, ...]


def header(course: Course) -> list[str]:
    """The mark book's columns: the totals, then each exercise that counts and its questions.

    "answered at" is by the student's own clock, which can be wrong or forged; "file dated" is when
    the file was last written here, which copying and downloading change. Neither is proof.
    """
    columns = [*_ABOUT, *_HANDED_IN]
    for setting in course.settings:
        if not setting.practice:
            columns.append(f"{setting.exercise.id} points")
            columns += [f"{setting.exercise.id}: {asked.name}" for asked in setting.exercise.asked]
    return columns


def line(
    course: Course, student: Student, marked: MarkedSheet, points: Points, returned: Returned
) -> list[str]:
    """The line of a student whose sheet was marked."""
    most = course.points
    percent = 100 * points.total / most if most else 0.0
    cells = [
        student.id,
        defused(student.name),
        "marked",
        _number(points.total),
        _number(most),
        f"{percent:.1f}",
        _number(points.figures_cost),
        "late" if marked.late else "",
        str(points.to_review),
        marked.recorded,
        defused(returned.name),
        returned.arrived,
    ]
    rows = zip(course.settings, marked.exercises, points.by_exercise, strict=True)
    for setting, exercise, earned in rows:
        if not setting.practice:
            cells.append(_number(earned))
            outcomes: Sequence[str] = exercise.outcomes
            if marked.decided:
                outcomes = _with_decisions(setting, exercise, marked.decided)
            cells += outcomes
    return cells


def missing_line(course: Course, student: Student) -> list[str]:
    """The line of a student without a sheet: it says so and leaves the marks empty."""
    about = [student.id, defused(student.name), NOT_HANDED_IN, "", _number(course.points)]
    return about + [""] * (len(header(course)) - len(about))


def review(
    course: Course, marked: MarkedSheet, points: Points, returned: Returned
) -> Iterator[ReviewRow]:
    """What a person should look at in one marked sheet."""
    file, student = defused(returned.name), marked.student
    for flag in marked.flags:
        yield file, student, "", "", defused(flag), ""
    for flag in _about_time(marked, returned):
        yield file, student, "", "", flag, ""
    if points.to_review or marked.decided:
        yield from _review_answers(course, marked, file)


def _review_answers(course: Course, marked: MarkedSheet, file: str) -> Iterator[ReviewRow]:
    for setting, exercise in zip(course.settings, marked.exercises, strict=True):
        rows = zip(setting.exercise.asked, exercise.typed, exercise.findings, strict=True)
        for asked, typed, finding in rows:
            what = "" if setting.practice else _to_look_at(finding, asked.notes)
            standing = marked.decided.get((setting.exercise.id, asked.name))
            if standing and standing.mark:
                what = "" if standing.holds_for(typed) else _undecided(standing.mark.by)
            if what:
                row = (file, marked.student, setting.exercise.id, asked.name)
                yield *row, defused(what), defused(typed)


def again(student: str, name: str, counted: str, differing: list[str]) -> ReviewRow:
    """A further sheet of the same student: kept, not counted, and named where it differs."""
    says = tr("handed in again: {counted} counts, this one does not", counted=counted)
    if differing:
        says += tr("; other answers in {differing}", differing=", ".join(differing))
    return defused(name), student, "", "", defused(says), ""


def _about_time(marked: MarkedSheet, returned: Returned) -> Iterator[str]:
    if marked.late:
        yield tr("late: last answer at {recorded}", recorded=marked.recorded)
    if marked.recorded > returned.arrived:
        # The other way round nothing follows: a file is written again whenever it is copied.
        yield (
            tr(
                "the last answer says {recorded}, after the file was written here ({arrived}): a "
                "clock was wrong, or the times were changed",
                recorded=marked.recorded,
                arrived=returned.arrived,
            )
        )


def _to_look_at(finding: Finding, notes: str) -> str:
    if finding.outcome not in FOR_A_PERSON:
        return ""
    return f"{finding.outcome}: {notes or finding.says}"


def _undecided(by: str) -> str:
    return tr(
        "{person} decided about another answer than this one; the answer was changed since",
        person=by,
    )


def _with_decisions(setting: Setting, exercise: MarkedExercise, decided: Decided) -> list[str]:
    """The outcomes that marking found, each with what a person gave beside it."""
    outcomes: list[str] = list(exercise.outcomes)
    rows = zip(setting.exercise.asked, exercise.typed, strict=True)
    for index, (asked, typed) in enumerate(rows):
        share = share_by_hand(decided, setting.exercise.id, asked.name, typed)
        if share is not None:
            outcomes[index] += f"{BY_HAND}{share:g}"
    return outcomes


@lru_cache(4096)
def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")
