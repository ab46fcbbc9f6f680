"""The mark book (one line a student) and the review list (what a person should look at)."""

from collections.abc import Iterator, Sequence

from potash.exercises.course import Course
from potash.exercises.marking import FOR_A_PERSON, MarkedSheet, Points
from potash.exercises.roster import Student
from potash.exercises.spool import HandedIn
from potash.exercises.tables import defused

REVIEW_HEADER = ("file", "student", "exercise", "question", "what to look at", "typed")

ReviewRow = tuple[str, ...]


def header(course: Course) -> list[str]:
    """The mark book's columns: the totals, then each exercise that counts and its questions."""
    columns = ["student", "name", "status", "points", "out of", "percent", "figures cost", "late"]
    columns += ["to review", "answered at"]
    for setting in course.settings:
        if not setting.practice:
            columns.append(f"{setting.exercise.id} points")
            columns += [f"{setting.exercise.id}: {asked.name}" for asked in setting.exercise.asked]
    return columns


def line(
    course: Course, student: Student, marked: MarkedSheet | None, points: Points | None
) -> list[str]:
    """One student's line; without a sheet it says so and leaves the marks empty."""
    about = [student.id, defused(student.name)]
    if marked is None or points is None:
        empty = [""] * (len(header(course)) - 5)
        return [*about, "not handed in", "", _number(course.points), *empty]
    percent = 100 * points.total / course.points if course.points else 0.0
    cells = [
        *about,
        "marked",
        _number(points.total),
        _number(course.points),
        f"{percent:.1f}",
        _number(points.figures_cost),
        "late" if marked.late else "",
        str(points.to_review),
        marked.recorded,
    ]
    for setting, exercise, earned in zip(
        course.settings, marked.exercises, points.by_exercise, strict=True
    ):
        if not setting.practice:
            cells.append(_number(earned))
            cells += [finding.outcome for finding in exercise.findings]
    return cells


def review(
    course: Course, marked: MarkedSheet, sheets: Sequence[tuple[HandedIn, MarkedSheet]]
) -> Iterator[ReviewRow]:
    """What a person should look at in the work of one student.

    sheets: all that the student handed in, the one that counts (``marked``) first.
    """
    counted = sheets[0][0]
    file, student = defused(counted.name), marked.student
    for flag in marked.flags:
        yield file, student, "", "", defused(flag), ""
    if marked.late:
        yield file, student, "", "", f"late: last answer at {marked.recorded}", ""
    for other, its in sheets[1:]:
        yield from _other_sheet(course, counted, marked, other, its)
    for setting, exercise in zip(course.settings, marked.exercises, strict=True):
        rows = zip(setting.exercise.asked, exercise.typed, exercise.findings, strict=True)
        for asked, typed, finding in rows:
            if finding.outcome in FOR_A_PERSON and not setting.practice:
                what = f"{finding.outcome}: {asked.notes or finding.says}"
                row = (file, student, setting.exercise.id, asked.name)
                yield *row, defused(what), defused(typed)


def _other_sheet(
    course: Course, counted: HandedIn, marked: MarkedSheet, other: HandedIn, its: MarkedSheet
) -> Iterator[ReviewRow]:
    """A further sheet of the same student: kept, not counted, and named where it differs."""
    differing = [
        setting.exercise.id
        for setting, mine, theirs in zip(
            course.settings, marked.exercises, its.exercises, strict=True
        )
        if list(mine.typed) != list(theirs.typed)
    ]
    says = f"handed in again: {counted.name} counts, this one does not"
    if differing:
        says += f"; other answers in {', '.join(differing)}"
    yield defused(other.name), marked.student, "", "", defused(says), ""


def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")
