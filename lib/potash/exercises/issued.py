"""An exercise as one student has it: figures filled in, and no answer anywhere in it."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from potash.errors import PotashError
from potash.exercises import bank
from potash.exercises.exercise import AskedKind, Exercise
from potash.exercises.judging import judge
from potash.exercises.outcomes import Finding
from potash.exercises.variants import Figures
from potash.words import tr


class NotForPractice(PotashError):
    """An exercise that counts is only recorded; whether it is right, marking will tell."""


class CannotCheck(PotashError):
    """A practice exercise whose key did not come with the installed library."""


@dataclass(frozen=True, slots=True)
class IssuedQuestion:
    """One asked quantity: its name, its prompt, the unit it is asked in, its kind, its choices."""

    name: str
    prompt: str
    kind: AskedKind
    unit: str = ""
    figures: int | None = None
    options: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class IssuedExercise:
    """What a student sees of an exercise, and what ties it to the handout.

    figures: the student's own givens as text. draw, seal: where they came from, and the proof of
    it ("" in a folder without a handout). practice: whether answers may be checked at once.
    """

    id: str
    chapter: int
    title: str
    text: str
    asked: tuple[IssuedQuestion, ...]
    hints: tuple[str, ...]
    caution: str
    practice: bool
    figures: Figures
    draw: int = 0
    seal: str = ""

    def check(self, typed: Mapping[str, str]) -> dict[str, Finding]:
        """What is right and what is not in ``typed`` (answers by name), for practice only.

        Raises: NotForPractice, if the exercise counts; CannotCheck, if the installed library does
        not hold this exercise, or holds another version of it.
        """
        if not self.practice:
            raise NotForPractice(
                tr(
                    "“{title}” counts towards your mark: answers are recorded, and marked later.",
                    title=self.title,
                )
            )
        exercise = bank.bank().get(self.id)
        if exercise is None:
            raise CannotCheck(
                tr(
                    "“{title}” is your instructor's own exercise; this copy of Potash has no key "
                    "to it. Your answers are recorded all the same.",
                    title=self.title,
                )
            )
        try:
            key = exercise.solve(self.figures)
        except (KeyError, PotashError) as reason:
            raise CannotCheck(
                tr(
                    "“{title}” does not fit the exercise in this copy of Potash ({reason}). Ask "
                    "for the version that the handout was made with.",
                    title=self.title,
                    reason=reason,
                )
            ) from None
        return judge(exercise, key, typed)

    def to_json(self) -> dict[str, Any]:
        """The exercise as it stands in a handout."""
        return {
            "id": self.id,
            "chapter": self.chapter,
            "title": self.title,
            "text": self.text,
            "asked": [_question_to_json(question) for question in self.asked],
            "hints": list(self.hints),
            "caution": self.caution,
            "practice": self.practice,
            "figures": dict(self.figures),
            "draw": self.draw,
            "seal": self.seal,
        }

    @classmethod
    def from_json(cls, row: Mapping[str, Any]) -> "IssuedExercise":
        """The exercise in one row of a handout that follows its schema."""
        asked = (
            IssuedQuestion(**{**question, "options": tuple(question.get("options", ()))})
            for question in row["asked"]
        )
        return cls(**{**row, "asked": tuple(asked), "hints": tuple(row["hints"])})


def issue(
    exercise: Exercise, figures: Figures, *, practice: bool, draw: int = 0, seal: str = ""
) -> IssuedExercise:
    """``exercise`` with ``figures`` filled in."""
    questions = (
        IssuedQuestion(
            name=asked.name,
            prompt=exercise.told(asked.prompt, figures),
            kind=asked.kind,
            unit=asked.unit,
            figures=asked.figures,
            options=tuple(exercise.told(option, figures) for option in asked.options),
        )
        for asked in exercise.asked
    )
    return IssuedExercise(
        id=exercise.id,
        chapter=exercise.chapter,
        title=exercise.title,
        text=exercise.told(exercise.text, figures),
        asked=tuple(questions),
        hints=tuple(exercise.told(hint, figures) for hint in exercise.hints),
        caution=exercise.told(exercise.caution, figures),
        practice=practice,
        figures=dict(figures),
        draw=draw,
        seal=seal,
    )


def _question_to_json(question: IssuedQuestion) -> dict[str, Any]:
    row: dict[str, Any] = {
        "name": question.name,
        "prompt": question.prompt,
        "kind": question.kind,
    }
    if question.unit:
        row["unit"] = question.unit
    if question.figures is not None:
        row["figures"] = question.figures
    if question.options:
        row["options"] = list(question.options)
    return row
