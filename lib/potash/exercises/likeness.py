"""Answers that two students share although their figures differ: pointed out, never judged.

Own figures make own answers, so two chains of the same wrong numbers seldom come about by
themselves. There are innocent ways, too: working side by side and mixing up handouts, or a worked
example that both copied from. A person asks; nothing here accuses or takes points.
"""

import hashlib
import zlib
from array import array
from collections.abc import Iterator, Sequence
from typing import Final

from potash.exercises.course import Course
from potash.exercises.marking import MarkedExercise
from potash.exercises.outcomes import HOLDS

# Two numbers of three figures agree by chance once in a million; one such number is no sign.
_LEAST_FIGURES: Final = 6
_BITS: Final = 10  # for the number of an exercise; a course has at most 500
_IN_FRONT: Final = "0.,+-\u2212 "  # of a number, without being figures of it
_NO_DIGITS: Final = bytes(byte for byte in range(256) if not chr(byte).isdigit() or byte > 127)

Fingerprint = tuple[int, int, int, bool]
Numbers = Sequence[Sequence[int]]


def fingerprints(numbers: Numbers, exercises: Sequence[MarkedExercise]) -> Iterator[Fingerprint]:
    """What was answered to each exercise, for which figures, and whether it is right for these.

    Each is the exercise's number, and answers and figures as small numbers. Only numbers that were
    asked for count, and only where they hold six figures or more together. numbers: what
    :func:`numbers_of` says of the course.
    """
    for number, (places, exercise) in enumerate(zip(numbers, exercises, strict=True)):
        typed = exercise.typed
        joined = "|".join([typed[place].lstrip(_IN_FRONT) for place in places])
        if len(joined) >= _LEAST_FIGURES and _digits(joined) >= _LEAST_FIGURES:
            right = HOLDS.issuperset(exercise.outcomes)
            figures = short_digest("|".join(exercise.figures.values()))
            yield number, _long_digest(" ".join(joined.split())), figures, right


def numbers_of(course: Course) -> Numbers:
    """The places of the numbers among the questions, by exercise."""
    return [
        [place for place, asked in enumerate(setting.exercise.asked) if asked.kind == "number"]
        for setting in course.settings
    ]


class Likeness:
    """Collects the fingerprints of a class in little memory, and finds those that agree."""

    def __init__(self) -> None:
        self._students: list[str] = []
        # Exercise and answers, figures with right or not as the last bit, student; and again.
        self._rows = array("Q")

    def add(self, student: str, fingerprints: Sequence[Fingerprint]) -> None:
        """Take in the fingerprints of the sheet that counts for ``student``."""
        for exercise, answers, figures, right in fingerprints:
            who = len(self._students)
            self._rows.extend((answers ^ exercise, figures << 1 | right, who << _BITS | exercise))
        if fingerprints:
            self._students.append(student)

    def groups(self) -> Iterator[tuple[int, list[str]]]:
        """Each exercise with students whose answers agree although their figures do not.

        Answers that are right for the figures of each of them are no sign and are passed over.
        In order of exercise, then of the first student's place in the class.
        """
        found: dict[tuple[int, int], list[tuple[int, int]]] = {}
        for answers, figures, place in self._shared():
            exercise, student = place & (1 << _BITS) - 1, place >> _BITS
            found.setdefault((exercise, answers), []).append((student, figures))
        alike = [
            (exercise, sorted(student for student, _ in rows))
            for (exercise, _), rows in found.items()
            if len({figures >> 1 for _, figures in rows}) > 1
            and not all(figures & 1 for _, figures in rows)
        ]
        for exercise, members in sorted(alike):
            yield exercise, [self._students[member] for member in members]

    def _shared(self) -> list[list[int]]:
        """The rows whose answers somebody else gave, too."""
        import numpy as np

        if not self._rows:
            return []
        rows = np.frombuffer(self._rows, dtype=np.uint64).reshape(-1, 3)
        ordered = np.sort(rows[:, 0])
        repeated = np.unique(ordered[1:][ordered[1:] == ordered[:-1]])
        shared: list[list[int]] = (
            rows[np.isin(rows[:, 0], repeated)].tolist() if len(repeated) else []
        )
        return shared


def _digits(typed: str) -> int:
    return len(typed.encode("ascii", "ignore").translate(None, _NO_DIGITS))


def _long_digest(text: str) -> int:
    """64 bits: among a hundred thousand students no two texts agree by chance."""
    return int.from_bytes(hashlib.blake2b(text.encode(), digest_size=8).digest(), "big")


def short_digest(text: str) -> int:
    """32 bits, enough to tell one text from another, and made in no time."""
    return zlib.crc32(text.encode())
