"""Answers that two students share although their figures differ: pointed out, never judged.

Own figures make own answers, so two chains of the same wrong numbers seldom come about by
themselves. There are innocent ways, too: working side by side and mixing up handouts, or a worked
example that both copied from. A person asks; nothing here accuses or takes points.
"""

import hashlib
from array import array
from collections.abc import Iterator, Sequence
from typing import Final

from potash.exercises.course import Course
from potash.exercises.marking import MarkedExercise

# Two numbers of three figures agree by chance once in a million; one such number is no sign.
_LEAST_FIGURES: Final = 6

Fingerprint = tuple[int, int, int, bool]


def fingerprints(course: Course, exercises: Sequence[MarkedExercise]) -> Iterator[Fingerprint]:
    """What was answered to each exercise, for which figures, and whether it is right for these.

    Each is the exercise's number, and answers and figures as small numbers. Only numbers that were
    asked for count, and only where they hold six figures or more together.
    """
    rows = zip(course.settings, exercises, strict=True)
    for number, (setting, exercise) in enumerate(rows):
        kinds = [asked.kind == "number" for asked in setting.exercise.asked]
        typed = " | ".join(
            text for is_number, text in zip(kinds, exercise.typed, strict=True) if is_number
        )
        if len(typed) >= _LEAST_FIGURES and _figures(typed) >= _LEAST_FIGURES:
            right = all(finding.holds for finding in exercise.findings)
            figures = " | ".join(exercise.figures.values())
            yield number, short_digest(" ".join(typed.split())), short_digest(figures), right


class Likeness:
    """Collects the fingerprints of a class in little memory, and finds those that agree."""

    def __init__(self) -> None:
        self._students: list[str] = []
        self._rows = array("Q")  # exercise, answers, figures, right, student; one after the other

    def add(self, student: str, fingerprints: Sequence[Fingerprint]) -> None:
        """Take in the fingerprints of the sheet that counts for ``student``."""
        for fingerprint in fingerprints:
            self._rows.extend((*fingerprint, len(self._students)))
        if fingerprints:
            self._students.append(student)

    def groups(self) -> Iterator[tuple[int, list[str]]]:
        """Each exercise with students whose answers agree although their figures do not.

        Answers that are right for the figures of each of them are no sign and are passed over.
        In order of exercise, then of the first student's place in the class.
        """
        found: dict[tuple[int, int], list[list[int]]] = {}
        for row in self._shared():
            found.setdefault((row[0], row[1]), []).append(row)
        alike = [
            (exercise, sorted(row[4] for row in rows))
            for (exercise, _), rows in found.items()
            if len({row[2] for row in rows}) > 1 and not all(row[3] for row in rows)
        ]
        for exercise, members in sorted(alike):
            yield exercise, [self._students[member] for member in members]

    def _shared(self) -> list[list[int]]:
        """The rows whose answers somebody else gave, too."""
        import numpy as np

        if not self._rows:
            return []
        rows = np.frombuffer(self._rows, dtype=np.uint64).reshape(-1, 5)
        _, group, size = np.unique(rows[:, :2], axis=0, return_inverse=True, return_counts=True)
        shared: list[list[int]] = rows[size[group.reshape(-1)] > 1].tolist()
        return shared


def _figures(typed: str) -> int:
    """About how many significant figures a text holds."""
    words = "".join([sign if sign.isdigit() else "" if sign in ".," else " " for sign in typed])
    return sum([len(word.lstrip("0")) for word in words.split()])


def short_digest(text: str) -> int:
    """64 bits of digest: equal for equal texts, and practically never for others."""
    return int.from_bytes(hashlib.blake2b(text.encode(), digest_size=8).digest(), "big")
