"""The key: every answer of every student, for the people who mark."""

from collections.abc import Iterator, Mapping
from typing import Any

from potash.errors import PotashError
from potash.exercises.course import Course, Setting
from potash.exercises.exercise import Asked
from potash.exercises.formula import FormulaFailed
from potash.exercises.register import Draws, read_register
from potash.exercises.roster import Student
from potash.exercises.secret import read_secret
from potash.exercises.variants import draw_figures
from potash.exercises.writing import in_asked_unit, tolerance_in_words, written


class NoSuchStudent(PotashError):
    """The class list names no such student, or the student has no handout yet."""


def key(course: Course, student_id: str | None = None) -> Iterator[str]:
    """The key as lines of text, of one student or of the whole class.

    Raises: BadSecret, if no handouts were made yet; NoSuchStudent; BadClassList; BadRegister.
    """
    secret = read_secret(course.path)
    students = course.students()
    register = read_register(course)
    if student_id is not None:
        students = (_find(student_id, students, course),)
    for student in students:
        if student.id not in register:
            raise NoSuchStudent(
                f"{student.id} has no handout yet: run `potash assign {course.path.name}` again."
            )
    yield f"Key to {course.title} ({course.id}). For markers only."
    for student in students:
        yield ""
        yield f"{student.id}  {student.name}"
        for setting in course.settings:
            yield from _exercise(setting, course, student, register[student.id], secret)


def _find(student_id: str, students: tuple[Student, ...], course: Course) -> Student:
    for student in students:
        if student.id.casefold() == student_id.casefold():
            return student
    raise NoSuchStudent(
        f"{course.class_list.name} names no student {student_id!r}; the first on it is "
        f"{students[0].id!r}."
    )


def _exercise(
    setting: Setting, course: Course, student: Student, draws: Draws, secret: bytes
) -> Iterator[str]:
    exercise = setting.exercise
    worth = "practice" if setting.practice else f"{setting.weight:g} points"
    yield f"  {exercise.id}  {exercise.title} ({worth})"
    if exercise.id not in draws:
        yield "    not handed out yet"
        return
    figures = draw_figures(exercise, secret, course.id, student.id, draws[exercise.id])
    if figures:
        yield f"    given: {', '.join(f'{name} = {shown}' for name, shown in figures.items())}"
    values = exercise.solve(figures)
    for asked in exercise.asked:
        yield from _answer(asked, setting, values)


def _answer(asked: Asked, setting: Setting, values: Mapping[str, Any]) -> Iterator[str]:
    line = f"    {asked.name} = {written(asked, values)}"
    if asked.kind == "number":
        assert asked.answer is not None
        tolerance = (setting.tolerances or {}).get(asked.name, asked.tolerance)
        line += (
            f"  ({tolerance_in_words(asked, tolerance)};  {' '.join(asked.answer.text.split())})"
        )
    yield line
    for slip in asked.slips:
        try:
            value = slip.answer.evaluate(values)
        except FormulaFailed:
            continue
        if asked.kind == "choice":
            yield f"      slip: {slip.name} = {value}"
        elif slip.answer.kind == asked.dimension:
            yield f"      slip: {slip.name} = {in_asked_unit(asked, value)}"
