"""Handing out: one folder a student, with the chapters and that student's own figures."""

import glob
import json
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from potash.errors import PotashError
from potash.exercises import schemas, sheet_file
from potash.exercises.course import Course
from potash.exercises.issued import IssuedExercise, issue
from potash.exercises.locking import Busy, locked
from potash.exercises.register import Draws, complete, read_register, write_register
from potash.exercises.roster import Student
from potash.exercises.secret import make_secret
from potash.exercises.variants import draw_figures, seal
from potash.files import read_capped, write_atomically
from potash.words import tr
from potash.workspace import ASSETS, HANDOUT, RECORD, lay_chapters

_MAX_HANDOUT: Final = 5_000_000
_WAIT: Final = 2.0  # seconds
_OURS: Final = (HANDOUT, RECORD, *"0123456789")  # what handing out writes, chapters by number

Progress = Callable[[int, int], None]


class BadOutput(PotashError):
    """The folder to write to cannot be used; the message says why and what would do."""


@dataclass(frozen=True, slots=True)
class Assigned:
    """What handing out did: how many handouts are new or changed, how many stayed as they were."""

    written: int
    unchanged: int


def assign(course: Course, to: Path, progress: Progress = lambda done, total: None) -> Assigned:
    """Make or renew the handout of every student on the class list in the folder ``to``.

    Handouts that are out keep their figures; answers in a student's folder are never touched. The
    course secret and the register of draws are kept beside the course file and nowhere else.

    Two that hand out at once take turns or are refused; one that was killed is completed by the
    next.

    Raises: BadClassList; BadOutput; BadSecret; BadRegister; NoFigures. Nothing is written unless
    course, class list and output folder are in order.
    """
    students = course.students()
    check_output(to, course)
    folders = [_folder(to, student, course) for student in students]
    try:
        with locked(course.path.with_suffix(".lock"), _WAIT):
            return _hand_out(course, students, folders, to, progress)
    except Busy:
        raise BadOutput(
            tr(
                "somebody else is handing out {path} just now. Wait until that is done.",
                path=course.path.name,
            )
        ) from None


def _hand_out(
    course: Course,
    students: Sequence[Student],
    folders: Sequence[Path],
    to: Path,
    progress: Progress,
) -> Assigned:
    sweep(course.path.parent, course.path.stem)
    secret = make_secret(course.path)
    register = complete(course, students, secret, read_register(course))
    write_register(course, register)
    written = 0
    try:
        to.mkdir(exist_ok=True)
        for done, (student, folder) in enumerate(zip(students, folders, strict=True), 1):
            written += _write_handout(course, student, folder, register[student.id], secret)
            progress(done, len(students))
    except OSError as reason:
        raise BadOutput(
            tr(
                "{folder} cannot be written to: {strerror}.",
                folder=to,
                strerror=reason.strerror or reason,
            )
        ) from reason
    return Assigned(written, len(students) - written)


def check_output(to: Path, course: Course) -> None:
    """Refuse an output folder that is none, that cannot be made, or that holds the course secret.

    Raises: BadOutput.
    """
    folder = to.resolve()
    if course.path.resolve().is_relative_to(folder):
        raise BadOutput(
            tr(
                "{folder} holds the course file and its secret, which students must not see; name "
                "a folder of its own, such as {handouts}.",
                folder=to,
                handouts=to / "handouts",
            )
        )
    if folder.exists() and not folder.is_dir():
        raise BadOutput(tr("{folder} is a file; name a folder to write to.", folder=to))
    if not folder.exists() and not folder.parent.is_dir():
        raise BadOutput(
            tr(
                "{folder} cannot be made: there is no folder {parent}.",
                folder=to,
                parent=folder.parent,
            )
        )
    _check_writable(folder if folder.exists() else folder.parent, to)


def _check_writable(folder: Path, to: Path) -> None:
    import os

    if not os.access(folder, os.W_OK | os.X_OK):
        raise BadOutput(
            tr("{to} cannot be written to: {folder} is read-only for you.", to=to, folder=folder)
        )


def handout(course: Course, student: Student, draws: Draws, secret: bytes) -> dict[str, Any]:
    """The content of one handout: text and figures, and nothing that gives an answer away."""
    about = {"id": course.id, "title": course.title}
    if course.institution:
        about["institution"] = course.institution
    if course.due:
        about["due"] = course.due_text()
    return {
        "format": "potash handout",
        "version": 1,
        "software": sheet_file.SOFTWARE,
        "course": about,
        "student": {"id": student.id, "name": student.name},
        "chapters": list(course.chapters),
        "exercises": [one.to_json() for one in _issued(course, student, draws, secret)],
    }


def _issued(
    course: Course, student: Student, draws: Draws, secret: bytes
) -> Iterator[IssuedExercise]:
    for setting in course.settings:
        exercise = setting.exercise
        draw = draws[exercise.id]
        figures = draw_figures(exercise, secret, course.id, student.id, draw)
        mark = seal(secret, course.id, student.id, exercise.id, draw, figures)
        yield issue(exercise, figures, practice=setting.practice, draw=draw, seal=mark)


def _folder(to: Path, student: Student, course: Course) -> Path:
    """The student's folder; refused if it leads elsewhere or is another course's."""
    folder = to / student.id
    if folder.is_symlink() or (folder.exists() and not folder.is_dir()):
        raise BadOutput(
            tr("{folder} is a file or a link; the handout needs a folder there.", folder=folder)
        )
    held = _course_of(folder / HANDOUT)
    if held not in (None, course.id):
        raise BadOutput(
            tr(
                "{folder} holds a handout of the course {held!r}; write the handouts of "
                "{course_id!r} to another folder.",
                folder=folder,
                held=held,
                course_id=course.id,
            )
        )
    return folder


def _course_of(path: Path) -> str | None:
    """The course of the handout at ``path``; None where there is none that can be read."""
    try:
        data = sheet_file.parse_json(read_capped(path, _MAX_HANDOUT))
        schemas.check("handout", data, path.name)
        return str(data["course"]["id"])
    except (OSError, PotashError):
        return None


def _write_handout(
    course: Course, student: Student, folder: Path, draws: Draws, secret: bytes
) -> bool:
    """Write one handout, and say whether anything in it is new."""
    content = handout(course, student, draws, secret)
    text = json.dumps(content, ensure_ascii=False, indent=1) + "\n"
    path = folder / HANDOUT
    # A handout is written last: without one nobody works here yet, and every half file is ours.
    for begins in _OURS if path.exists() else ("",):
        sweep(folder, begins)
    if not (folder / ASSETS).is_symlink():
        sweep(folder / ASSETS, "")
    laid = lay_chapters(folder, {0, *course.chapters} if course.chapters else None)
    if path.is_file() and not path.is_symlink() and path.read_bytes() == text.encode():
        return bool(laid.copied or laid.updated)
    write_atomically(path, text)
    return True


def sweep(folder: Path, begins: str) -> None:
    """Remove the half-written files of a killed run whose names begin so; hold the lock for it."""
    if folder.is_dir():
        for half in folder.glob(f".{glob.escape(begins)}*.part"):
            half.unlink(missing_ok=True)


def check_exercises(course: Course, progress: Progress = lambda done, total: None) -> Sequence[str]:
    """Prove every exercise of the course, and say of each how many sets of figures held.

    Raises: Unproved, for the first exercise that fails.
    """
    from potash.exercises.course import with_tolerances
    from potash.exercises.proof import prove

    told = []
    for done, setting in enumerate(course.settings, 1):
        held = prove(with_tolerances(setting))
        told.append(
            tr(
                "{exercise}: {held} of 500 sets of figures hold",
                exercise=setting.exercise.id,
                held=held,
            )
        )
        progress(done, len(course.settings))
    return told
