"""The register of a course: which draw of figures each student was handed.

It keeps handouts as they are when the class list changes: whoever has figures keeps them, and a
newcomer's differ from those of both neighbours. It lies beside the course file, and can be lost:
the draws are found again from the class list, and a handout's seal names its own.
"""

import json
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from potash.errors import PotashError
from potash.exercises.course import Course
from potash.exercises.exercise import Exercise
from potash.exercises.roster import Student
from potash.exercises.variants import Figures, draw_figures, find_draw
from potash.files import read_capped, write_atomically
from potash.words import tr

FORMAT: Final = "potash register of figures"
_MAX_BYTES: Final = 200_000_000

Draws = Mapping[str, int]
Register = Mapping[str, Draws]


class BadRegister(PotashError):
    """The register beside the course file cannot be used."""


def register_path(course_file: Path) -> Path:
    """Where the register is kept: ``course.toml`` goes with ``course.issued.json``."""
    return course_file.with_suffix(".issued.json")


def read_register(course: Course) -> Register:
    """The draws by student and exercise; empty before the first handouts.

    Raises: BadRegister.
    """
    path = register_path(course.path)
    try:
        data = json.loads(read_capped(path, _MAX_BYTES))
        if data["format"] != FORMAT:
            raise ValueError(tr("it is another kind of file"))
        # Most students have the same draws, 0 mostly; one mapping for all of them saves memory.
        kept: dict[tuple[tuple[str, int], ...], Draws] = {}
        return {
            str(student): _one_of(kept, [(str(name), int(draw)) for name, draw in draws.items()])
            for student, draws in data["draws"].items()
        }
    except FileNotFoundError:
        return {}
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError) as reason:
        raise BadRegister(
            tr(
                "{path} cannot be used ({reason}). Restore it from a copy, or delete it: then the "
                "figures are found again from the class list as it is now.",
                path=path,
                reason=reason,
            )
        ) from None


def _one_of(kept: dict[tuple[tuple[str, int], ...], Draws], draws: list[tuple[str, int]]) -> Draws:
    return kept.setdefault(tuple(draws), dict(draws))


def write_register(course: Course, register: Register) -> None:
    """Keep ``register`` beside the course file.

    Raises: BadRegister, if the disk refuses.
    """
    path = register_path(course.path)
    content = {"format": FORMAT, "course": course.id, "draws": register}
    text = json.dumps(content, ensure_ascii=False, indent=0, sort_keys=True) + "\n"
    try:
        if not path.exists() or path.read_text(encoding="utf-8") != text:
            write_atomically(path, text)
    except OSError as reason:
        raise BadRegister(
            tr(
                "{path} cannot be written: {strerror}.",
                path=path,
                strerror=reason.strerror or reason,
            )
        ) from reason


def complete(
    course: Course, students: Sequence[Student], secret: bytes, register: Register
) -> dict[str, Draws]:
    """The register with a draw for every student and exercise; draws that are out stay.

    Raises: NoFigures, if an exercise's constraints turn every draw away.
    """
    draws: dict[str, dict[str, int]] = {key: dict(value) for key, value in register.items()}
    neighbours = zip([None, *students[:-1]], students, [*students[1:], None], strict=True)
    for before, student, after in neighbours:
        mine = draws.setdefault(student.id, {})
        around = [one.id for one in (before, after) if one is not None]
        for setting in course.settings:
            exercise = setting.exercise
            if exercise.id not in mine:
                taken = _figures_of(around, exercise, draws, secret, course.id)
                mine[exercise.id] = find_draw(exercise, secret, course.id, student.id, taken)
    return dict(draws)


def _figures_of(
    students: Sequence[str],
    exercise: Exercise,
    draws: Register,
    secret: bytes,
    course: str,
) -> Iterator[Figures]:
    """The figures of those among ``students`` who have some already."""
    for student in students:
        draw: Any = draws.get(student, {}).get(exercise.id)
        if draw is not None:
            yield draw_figures(exercise, secret, course, student, draw)
