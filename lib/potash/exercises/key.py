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
from potash.words import tr


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
                tr(
                    "{student} has no handout yet: run `potash assign {path}` again.",
                    student=student.id,
                    path=course.path.name,
                )
            )
    yield tr(
        "Key to {course} ({course_id}). For markers only.", course=course.title, course_id=course.id
    )
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
        tr(
            "{class_list} names no student {student_id!r}; the first on it is {student!r}.",
            class_list=course.class_list.name,
            student_id=student_id,
            student=students[0].id,
        )
    )


def _exercise(
    setting: Setting, course: Course, student: Student, draws: Draws, secret: bytes
) -> Iterator[str]:
    exercise = setting.exercise
    worth = tr("practice") if setting.practice else tr("{weight:g} points", weight=setting.weight)
    yield f"  {exercise.id}  {exercise.title} ({worth})"
    if exercise.id not in draws:
        yield tr("    not handed out yet")
        return
    figures = draw_figures(exercise, secret, course.id, student.id, draws[exercise.id])
    if figures:
        yield tr(
            "    given: {name}",
            name=", ".join((f"{name} = {shown}" for name, shown in figures.items())),
        )
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
            yield tr("      slip: {slip} = {value}", slip=slip.name, value=value)
        elif slip.answer.kind == asked.dimension:
            yield tr(
                "      slip: {slip} = {in_asked_unit}",
                slip=slip.name,
                in_asked_unit=in_asked_unit(asked, value),
            )
