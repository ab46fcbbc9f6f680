"""How far a student has come: what was set, recorded and predicted, chapter by chapter."""

from collections.abc import Mapping
from dataclasses import dataclass

from potash.exercises.sheet import AnswerSheet


@dataclass(frozen=True, slots=True)
class ChapterProgress:
    """Of one chapter: exercises that were set, their questions, and the recorded ones."""

    exercises: int
    questions: int
    recorded: int

    @property
    def complete(self) -> bool:
        """Whether every question has a recorded answer. Right or wrong is not asked here."""
        return self.recorded == self.questions


@dataclass(frozen=True, slots=True)
class Progress:
    """What the answer sheet of a folder holds.

    chapters: by number; a chapter without exercises has no entry.
    predictions: kept ones, of all chapters together.
    """

    chapters: Mapping[int, ChapterProgress]
    predictions: int

    @property
    def recorded(self) -> int:
        """Questions with a recorded answer."""
        return sum(one.recorded for one in self.chapters.values())

    @property
    def questions(self) -> int:
        """Questions that were set."""
        return sum(one.questions for one in self.chapters.values())

    @property
    def next_chapter(self) -> int | None:
        """The first chapter with a question that has no recorded answer; None if there is none."""
        return next((n for n, one in sorted(self.chapters.items()) if not one.complete), None)


def progress(sheet: AnswerSheet) -> Progress:
    """How far the student of ``sheet`` has come, by what is on the disk now.

    Raises: SheetUnreadable.
    """
    counted: dict[int, list[int]] = {}
    for issued in sheet.exercises():
        answers = sheet.answers(issued.id)
        recorded = sum(bool(answers.get(asked.name, "").strip()) for asked in issued.asked)
        sums = counted.setdefault(issued.chapter, [0, 0, 0])
        for index, number in enumerate((1, len(issued.asked), recorded)):
            sums[index] += number
    chapters = {number: ChapterProgress(*sums) for number, sums in sorted(counted.items())}
    return Progress(chapters, len(sheet.predictions()))
