"""A course: which exercises, for whom, how they count; read from a short TOML file.

.. code-block:: toml

    id = "larkmoor-prelab"
    title = "Pre-laboratory course"
    institution = "Larkmoor College (invented)"
    chapters = [1, 2, 3]
    due = 2026-12-04T17:00:00+00:00
    class_list = "class.csv"              # or a table: file = "...", columns = { id = "Matr.-Nr." }
    own_exercises = ["ours.toml"]         # files beside this one, written like those of the bank
    figures_cost = 0.5                    # points, once a sheet, for too few or too many figures

    [credit]                              # the share of its points that each outcome earns
    unit-slip = 0.5

    [[exercise]]
    id = "weigh-hydroxide"
    use = "credit"                        # or "practice": checked at once, worth nothing
    weight = 2                            # points
    tolerance = { relative = 0.02 }       # instead of the exercise's own
"""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path
from typing import Any, Final

from potash.errors import PotashError
from potash.exercises import bank, schemas
from potash.exercises.exercise import Exercise, Tolerance
from potash.exercises.outcomes import Outcome
from potash.exercises.roster import DEFAULT_COLUMNS, Student, read_class_list
from potash.files import read_capped
from potash.words import tr

MAX_BYTES: Final = 1_000_000

DEFAULT_CREDIT: Final[Mapping[Outcome, float]] = {
    Outcome.CORRECT: 1.0,
    Outcome.FOLLOW_THROUGH: 1.0,
    Outcome.UNIT_SLIP: 0.5,
    Outcome.KNOWN_SLIP: 0.5,
    Outcome.WRONG: 0.0,
    Outcome.BLANK: 0.0,
    Outcome.UNREADABLE: 0.0,
    Outcome.TO_BE_READ: 0.0,
}


class BadCourse(PotashError):
    """The course file cannot be used; the message names file and field."""


@dataclass(frozen=True)
class Setting:
    """How one exercise is set: for practice or for credit, its points, its own tolerances."""

    exercise: Exercise
    practice: bool
    weight: float
    tolerances: Mapping[str, Tolerance] | None

    @cached_property
    def points_each(self) -> float:
        """The points of each asked quantity; practice is worth none."""
        return 0.0 if self.practice else self.weight / len(self.exercise.asked)


@dataclass(frozen=True)
class Course:
    """A course as its file describes it, with its exercises loaded and checked."""

    path: Path
    id: str
    title: str
    institution: str
    chapters: tuple[int, ...]
    due: datetime | None
    class_list: Path
    columns: Mapping[str, str]
    credit: Mapping[Outcome, float]
    figures_cost: float
    settings: tuple[Setting, ...]
    own_exercises: tuple[Path, ...] = ()

    @cached_property
    def points(self) -> float:
        """The most points that a student can reach."""
        return sum(setting.weight for setting in self.settings if not setting.practice)

    def students(self) -> tuple[Student, ...]:
        """The class, in the order of its list.

        Raises: potash.exercises.roster.BadClassList.
        """
        return read_class_list(self.class_list, self.columns)

    def due_text(self) -> str:
        """When answers are due, for people; "" if never."""
        return self.due.astimezone(UTC).strftime("%Y-%m-%d %H:%M UTC") if self.due else ""


def load(path: Path) -> Course:
    """The course in the file ``path``.

    Raises: BadCourse; BadExercise, from a file of the course's own exercises; UnknownExercise.
    """
    data = _read(path)
    exercises = _exercises(data, path)
    listed = data["class_list"]
    listed = {"file": listed} if isinstance(listed, str) else listed
    return Course(
        path=path,
        id=data["id"],
        title=data["title"],
        institution=data.get("institution", ""),
        chapters=tuple(data.get("chapters", ())),
        due=_due(data.get("due"), path),
        class_list=_beside(path, listed["file"]),
        columns={**DEFAULT_COLUMNS, **listed.get("columns", {})},
        credit={**DEFAULT_CREDIT, **_credit(data.get("credit", {}))},
        figures_cost=float(data.get("figures_cost", 0)),
        settings=tuple(_settings(data["exercise"], exercises, path)),
        own_exercises=tuple(_beside(path, name) for name in data.get("own_exercises", ())),
    )


def _read(path: Path) -> dict[str, Any]:
    try:
        data = tomllib.loads(read_capped(path, MAX_BYTES).decode("utf-8-sig"))
        schemas.check("course", data, path.name)
    except FileNotFoundError:
        raise BadCourse(tr("there is no course file {path}.", path=path)) from None
    except OSError as reason:
        raise BadCourse(
            tr("{path} cannot be read: {strerror}.", path=path, strerror=reason.strerror or reason)
        ) from reason
    except schemas.UnexpectedShape as reason:
        raise BadCourse(str(reason)) from None
    except (ValueError, RecursionError) as reason:
        raise BadCourse(
            tr("{path} is no course file: {reason}", path=path.name, reason=reason)
        ) from None
    return data


def _exercises(data: Mapping[str, Any], path: Path) -> dict[str, Exercise]:
    exercises = dict(bank.bank())
    for name in data.get("own_exercises", ()):
        own = _beside(path, name)
        try:
            bank.add(exercises, bank.load(own), own.name)
        except OSError as reason:
            raise BadCourse(
                tr(
                    "{path}, own_exercises: {own} cannot be read: {strerror}.",
                    path=path.name,
                    own=own,
                    strerror=reason.strerror or reason,
                )
            ) from reason
    return exercises


def _beside(path: Path, name: str) -> Path:
    """The file ``name`` in the course file's folder or below it; nothing else may be named."""
    folder = path.resolve().parent
    found = (folder / name).resolve()
    if not found.is_relative_to(folder):
        raise BadCourse(
            tr(
                "{path}: {name!r} lies outside the course's folder; put the file beside {path}.",
                path=path.name,
                name=name,
            )
        )
    return found


def _due(value: Any, path: Path) -> datetime | None:
    if value is None:
        return None
    if not isinstance(value, datetime) or value.tzinfo is None:
        raise BadCourse(
            tr(
                "{path}, due: {value} does not say when exactly; give date, time and distance "
                "from UTC, such as due = 2026-12-04T17:00:00+00:00",
                path=path.name,
                value=value,
            )
        )
    return value


def _credit(shares: Mapping[str, float]) -> dict[Outcome, float]:
    return {
        Outcome(name.replace("unit-", "unit ").replace("known-", "known ")): float(share)
        for name, share in shares.items()
    }


def _settings(
    rows: list[Mapping[str, Any]], exercises: Mapping[str, Exercise], path: Path
) -> Iterator[Setting]:
    seen: set[str] = set()
    for row in rows:
        where = tr("{path}, exercise {exercise}", path=path.name, exercise=row["id"])
        if row["id"] in seen:
            raise BadCourse(tr("{where}: the exercise is set twice.", where=where))
        seen.add(row["id"])
        try:
            exercise = bank.find(row["id"], exercises)
        except bank.UnknownExercise as reason:
            raise bank.UnknownExercise(f"{path.name}: {reason}") from None
        yield Setting(
            exercise=exercise,
            practice=row.get("use", "credit") == "practice",
            weight=float(row.get("weight", 1)),
            tolerances=_tolerances(row.get("tolerance"), exercise, where),
        )


def _tolerances(
    spec: Mapping[str, Any] | None, exercise: Exercise, where: str
) -> Mapping[str, Tolerance] | None:
    """The course's tolerance for every number of ``exercise``, where it sets one."""
    if spec is None:
        return None
    return {
        asked.name: bank.tolerance(
            spec, asked.dimension, tr("{where}, {asked}, tolerance", where=where, asked=asked.name)
        )
        for asked in exercise.asked
        if asked.kind == "number"
    }


def with_tolerances(setting: Setting) -> Exercise:
    """The exercise with the course's tolerances in place of its own, as a proof needs it."""
    tolerances = setting.tolerances or {}
    asked = (
        replace(one, tolerance=tolerances.get(one.name, one.tolerance))
        for one in setting.exercise.asked
    )
    return replace(setting.exercise, asked=tuple(asked))
