"""The answer sheet of a student's folder: what was set, what was recorded, and recording more.

An answer is recorded when it is on the disk, not before: :meth:`AnswerSheet.record` returns what
it reads back from there.
"""

import contextlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path
from typing import Any, Final

from potash.errors import PotashError
from potash.exercises import bank, schemas, sheet_file
from potash.exercises.issued import IssuedExercise, issue
from potash.exercises.locking import Busy, locked
from potash.exercises.sheet_file import BadSheet
from potash.exercises.variants import (
    PRACTICE_COURSE,
    PRACTICE_SEED,
    PRACTICE_STUDENT,
    draw_figures,
    find_draw,
)
from potash.files import read_capped, write_atomically
from potash.words import tr
from potash.workspace import Workspace

_MAX_HANDOUT: Final = 5_000_000
_LOCK_NAME: Final = ".answers.lock"


class BadHandout(PotashError):
    """The handout in this folder cannot be read."""


class SheetUnreadable(PotashError):
    """The answer sheet is there, but the disk does not give it."""


class SheetNotWritten(PotashError):
    """The disk refused an answer: it is not recorded. The message says why and what to do."""


class AnswerRefused(PotashError):
    """An answer cannot be recorded as it stands: too long, or to a question that was not asked."""


@dataclass(frozen=True, slots=True)
class Attempt:
    """One recorded attempt: what was typed, and when (UTC, RFC 3339)."""

    typed: str
    at: str


@dataclass(frozen=True, slots=True)
class Prediction:
    """What a student predicted for a what-if, and the result that was then revealed."""

    what_if: str
    predicted: str
    result: str
    at: str


class AnswerSheet:
    """The exercises of one folder and the answers recorded there.

    Get one by :meth:`open`. Nothing is kept in memory that the disk does not hold, so any number
    of notebooks may have the same sheet open.
    """

    def __init__(self, path: Path, handout: Mapping[str, Any] | None) -> None:
        self.path = path
        self._handout = handout
        self._notices: list[str] = []

    @classmethod
    def open(cls, folder: str | Path | None = None) -> "AnswerSheet":
        """The answer sheet of ``folder``, or of the workspace around the current folder.

        Without a handout every exercise of the bank is set for practice, with public figures.

        Raises: BadHandout, if there is a handout that cannot be read; SheetUnreadable.
        """
        workspace = Workspace.find(folder)
        sheet = cls(workspace.sheet_path, _read_handout(workspace.handout_path))
        sheet._load()
        return sheet

    @property
    def course(self) -> str:
        """The course's id."""
        return self._handout["course"]["id"] if self._handout else PRACTICE_COURSE

    @property
    def course_title(self) -> str:
        """The course's title; "" in a folder without a handout."""
        return self._handout["course"]["title"] if self._handout else ""

    @property
    def due(self) -> str:
        """When answers are due, as the course file says it; "" if never."""
        return self._handout["course"].get("due", "") if self._handout else ""

    @property
    def student(self) -> str:
        """The student's id."""
        return self._handout["student"]["id"] if self._handout else PRACTICE_STUDENT

    @property
    def student_name(self) -> str:
        """The student's name; "" in a folder without a handout."""
        return self._handout["student"]["name"] if self._handout else ""

    @property
    def has_handout(self) -> bool:
        """Whether the figures here are the student's own, from an instructor."""
        return self._handout is not None

    @property
    def notices(self) -> tuple[str, ...]:
        """What the student must be told: a damaged or foreign sheet that was set aside."""
        return tuple(self._notices)

    def exercises(self, chapter: int | None = None) -> tuple[IssuedExercise, ...]:
        """The exercises that were set, of one chapter or of all."""
        return tuple(
            exercise
            for exercise in self._issued.values()
            if chapter is None or exercise.chapter == chapter
        )

    def exercise(self, exercise_id: str) -> IssuedExercise:
        """One exercise.

        Raises: UnknownExercise, if it was not set here.
        """
        return bank.find(exercise_id, self._issued)

    def answers(self, exercise_id: str) -> dict[str, str]:
        """The answers that stand on the disk now, as typed, by name.

        Raises: UnknownExercise; SheetUnreadable.
        """
        return sheet_file.latest(self._recorded(exercise_id))

    def attempts(self, exercise_id: str) -> dict[str, tuple[Attempt, ...]]:
        """Every attempt on the disk, the latest last, by name.

        Raises: UnknownExercise; SheetUnreadable.
        """
        recorded = self._recorded(exercise_id)["answers"]
        return {
            name: tuple(Attempt(**attempt) for attempt in attempts)
            for name, attempts in recorded.items()
        }

    def record(self, exercise_id: str, typed: Mapping[str, str]) -> dict[str, str]:
        """Record answers (by name, as typed) and give back what is on the disk now.

        Answers that are not in ``typed`` stay as they are; one that did not change is not
        recorded again. When this returns, the answers have survived a power cut.

        Raises: UnknownExercise; AnswerRefused; SheetNotWritten, if the disk refuses: then nothing
        of ``typed`` is recorded and the old sheet is whole.
        """
        issued = self.exercise(exercise_id)
        cleaned = {name: self._clean(issued, name, text) for name, text in typed.items()}
        with self._writing() as sheet:
            row = self._row(sheet, issued)
            for name, text in cleaned.items():
                _add_attempt(row["answers"], name, text)
        return self.answers(exercise_id)

    def record_prediction(self, what_if: str, predicted: str, result: str) -> Prediction:
        """Keep what a student predicted, and the result that was shown after it.

        Raises: AnswerRefused, if a text is too long; SheetNotWritten.
        """
        texts = (what_if[:100], _without_surrogates(predicted), _without_surrogates(result))
        if max(map(len, texts)) > sheet_file.MAX_TYPED:
            raise AnswerRefused(
                tr("A prediction may have {most} characters.", most=sheet_file.MAX_TYPED)
            )
        prediction = Prediction(*texts, at=_now())
        with self._writing() as sheet:
            rows = sheet["predictions"]
            rows.append(
                {
                    "what_if": prediction.what_if,
                    "predicted": prediction.predicted,
                    "result": prediction.result,
                    "at": prediction.at,
                }
            )
            del rows[: -sheet_file.MAX_PREDICTIONS]
        return prediction

    def predictions(self, what_if: str | None = None) -> tuple[Prediction, ...]:
        """The predictions on the disk, of one what-if or of all, the latest last.

        Raises: SheetUnreadable.
        """
        rows = (Prediction(**row) for row in self._load()["predictions"])
        return tuple(row for row in rows if what_if is None or row.what_if == what_if)

    def notebook_record(self) -> tuple[str, dict[str, Any]]:
        """What an exercise cell prints: the answers as plain text, and the sheet for its MIME type.

        The type is :data:`potash.exercises.sheet_file.MIME`; marking reads it from a notebook that
        was handed in by mistake.

        Raises: SheetUnreadable.
        """
        sheet = self._load()
        lines = [
            f"{exercise_id}  {name} = {text}"
            for exercise_id, row in sheet["exercises"].items()
            for name, text in sheet_file.latest(row).items()
        ]
        return "\n".join([tr("Recorded in {path}:", path=self.path.name), *lines]), sheet

    @cached_property
    def _issued(self) -> dict[str, IssuedExercise]:
        if self._handout is None:
            return {exercise.id: exercise for exercise in _practice()}
        rows = (IssuedExercise.from_json(row) for row in self._handout["exercises"])
        return {exercise.id: exercise for exercise in rows}

    def _clean(self, issued: IssuedExercise, name: str, text: str) -> str:
        if name not in {question.name for question in issued.asked}:
            raise AnswerRefused(
                tr("“{issued}” does not ask for {name!r}.", issued=issued.title, name=name)
            )
        if len(text) > sheet_file.MAX_TYPED:
            raise AnswerRefused(
                tr(
                    "The answer has {number} characters; at most {most} are kept.",
                    number=len(text),
                    most=sheet_file.MAX_TYPED,
                )
            )
        return _without_surrogates(text)

    def _recorded(self, exercise_id: str) -> Mapping[str, Any]:
        issued = self.exercise(exercise_id)
        row = self._load()["exercises"].get(exercise_id)
        if row is None or row["figures"] != dict(issued.figures):
            return {"answers": {}}
        return row  # type: ignore[no-any-return]

    def _row(self, sheet: dict[str, Any], issued: IssuedExercise) -> dict[str, Any]:
        """The exercise's place on the sheet; answers to earlier figures are set aside first."""
        row = sheet["exercises"].get(issued.id)
        if row is not None and row["figures"] != dict(issued.figures):
            aside = self._free_name("earlier-figures")
            write_atomically(aside, sheet_file.dump(sheet))
            self._notices.append(
                tr(
                    "“{issued}” was set anew with other figures. Your answers to the earlier "
                    "figures are kept in {aside}.",
                    issued=issued.title,
                    aside=aside.name,
                )
            )
            row = None
        if row is None:
            row = {
                "figures": dict(issued.figures),
                "draw": issued.draw,
                "seal": issued.seal,
                "answers": {},
            }
            sheet["exercises"][issued.id] = row
        return row  # type: ignore[no-any-return]

    @contextlib.contextmanager
    def _writing(self) -> Iterator[dict[str, Any]]:
        """The sheet as it is on the disk, held alone, and written back if the block ends well."""
        try:
            with locked(self.path.with_name(_LOCK_NAME)):
                sheet = self._load()
                yield sheet
                sheet["software"] = sheet_file.SOFTWARE
                write_atomically(self.path, sheet_file.dump(sheet))
        except OSError as reason:
            raise self._not_written(reason.strerror or str(reason)) from reason
        except Busy:
            raise self._not_written(tr("another notebook has kept the answer sheet open")) from None
        except SheetUnreadable as reason:
            raise self._not_written(str(reason)) from reason

    def _not_written(self, why: str) -> SheetNotWritten:
        return SheetNotWritten(
            tr(
                "Not recorded: {path} cannot be written ({why}). What you typed is still in its "
                "box. Free some space, or choose a folder that you may write to, and record again.",
                path=self.path,
                why=why,
            )
        )

    def _load(self) -> dict[str, Any]:
        """The sheet on the disk; one that is damaged or somebody else's is set aside."""
        try:
            sheet = self._read()
        except BadSheet as reason:
            self._set_aside("damaged", tr("could not be read: {reason}", reason=reason))
            sheet = None
        if sheet is None:
            return sheet_file.new_sheet(self.course, self.student)
        if (sheet["course"], sheet["student"]) != (self.course, self.student):
            self._set_aside(
                "other",
                tr(
                    "belongs to course {course!r} and student {student!r}",
                    course=sheet["course"],
                    student=sheet["student"],
                ),
            )
            return sheet_file.new_sheet(self.course, self.student)
        return sheet

    def _read(self) -> dict[str, Any] | None:
        try:
            return sheet_file.parse(read_capped(self.path, sheet_file.MAX_BYTES))
        except FileNotFoundError:
            return None
        except OSError as reason:
            raise SheetUnreadable(
                tr(
                    "{path} cannot be read: {strerror}. Check that the disk is there and that you "
                    "may read the file.",
                    path=self.path,
                    strerror=reason.strerror or reason,
                )
            ) from reason
        except BadSheet:
            raise
        except PotashError as reason:
            raise BadSheet(str(reason)) from None

    def _set_aside(self, why: str, problem: str) -> None:
        aside = self._free_name(why)
        try:
            self.path.rename(aside)
        except FileNotFoundError:
            return
        except OSError as reason:
            raise SheetUnreadable(
                tr(
                    "{path} {problem}, and it cannot be set aside: {strerror}. Rename it "
                    "yourself, then record again.",
                    path=self.path,
                    problem=problem,
                    strerror=reason.strerror or reason,
                )
            ) from reason
        self._notices.append(
            tr(
                "{path} {problem}. Nothing was thrown away: it is kept as {aside}, and a new "
                "sheet was begun. Show it to your instructor if it held answers of yours.",
                path=self.path.name,
                problem=problem,
                aside=aside.name,
            )
        )

    def _free_name(self, why: str) -> Path:
        number = 1
        while (path := self.path.with_name(f"{self.path.stem}-{why}-{number}.json")).exists():
            number += 1
        return path


def _read_handout(path: Path) -> dict[str, Any] | None:
    try:
        data = sheet_file.parse_json(read_capped(path, _MAX_HANDOUT))
        schemas.check("handout", data, path.name)
    except FileNotFoundError:
        return None
    except OSError as reason:
        raise BadHandout(
            tr("{path} cannot be read: {strerror}.", path=path, strerror=reason.strerror or reason)
        ) from reason
    except PotashError as reason:
        raise BadHandout(
            tr(
                "{path} cannot be used: {reason}. Ask your instructor for the handout again and "
                "put it in this folder; your answer sheet stays as it is.",
                path=path,
                reason=reason,
            )
        ) from None
    return data  # type: ignore[no-any-return]


def _practice() -> Iterator[IssuedExercise]:
    """Every exercise of the bank with the figures that everybody practises with."""
    for exercise in bank.bank().values():
        where = (exercise, PRACTICE_SEED, PRACTICE_COURSE, PRACTICE_STUDENT)
        draw = find_draw(*where)
        yield issue(exercise, draw_figures(*where, draw), practice=True, draw=draw)


def _add_attempt(answers: dict[str, Any], name: str, text: str) -> None:
    attempts = answers.get(name, [])
    if (attempts and attempts[-1]["typed"] == text) or (not attempts and not text.strip()):
        return
    attempts.append({"typed": text, "at": _now()})
    del attempts[: -sheet_file.MAX_ATTEMPTS]
    answers[name] = attempts


def _now() -> str:
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def _without_surrogates(text: str) -> str:
    # Half a character cannot be written as UTF-8; the rest of the answer must not be lost for it.
    return text.encode("utf-8", "replace").decode("utf-8")
