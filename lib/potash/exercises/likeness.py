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
_EVEN: Final = ~1
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
        # Three columns, a row for each exercise of each student: answers and exercise; figures,
        # with right or not as the last bit; student and exercise.
        self._answers, self._figures, self._places = array("Q"), array("I"), array("I")

    def add(self, student: str, fingerprints: Sequence[Fingerprint]) -> None:
        """Take in the fingerprints of the sheet that counts for ``student``."""
        who = len(self._students)
        for exercise, answers, figures, right in fingerprints:
            self._answers.append(answers ^ exercise)
            self._figures.append(figures & _EVEN | right)
            self._places.append(who << _BITS | exercise)
        if fingerprints:
            self._students.append(student)

    def groups(self) -> Iterator[tuple[int, list[str]]]:
        """Each exercise with students whose answers agree although their figures do not.

        Answers that are right for the figures of each of them are no sign and are passed over.
        In order of exercise, then of the first student's place in the class.
        """
        alike = [
            (places[0] & (1 << _BITS) - 1, [place >> _BITS for place in places])
            for places in self._alike()
        ]
        for exercise, members in sorted(alike):
            yield exercise, [self._students[member] for member in members]

    def _alike(self) -> Iterator[list[int]]:
        """The places of each group, in order of the class."""
        import numpy as np

        if not self._answers:
            return
        answers, figures, places = map(np.asarray, (self._answers, self._figures, self._places))
        order = np.argsort(answers, kind="stable")
        answers, figures = answers[order], figures[order]
        begins = np.flatnonzero(np.r_[True, answers[1:] != answers[:-1]])
        ends = np.r_[begins[1:], len(answers)]
        least, most = (
            extreme.reduceat(figures >> 1, begins) for extreme in (np.minimum, np.maximum)
        )
        all_right = np.bitwise_and.reduceat(figures & 1, begins)
        for group in np.flatnonzero((least != most) & (all_right == 0)):
            yield places[order[begins[group] : ends[group]]].tolist()


def _digits(typed: str) -> int:
    return len(typed.encode("ascii", "ignore").translate(None, _NO_DIGITS))


def _long_digest(text: str) -> int:
    """64 bits: among a hundred thousand students no two texts agree by chance."""
    return int.from_bytes(hashlib.blake2b(text.encode(), digest_size=8).digest(), "big")


def short_digest(text: str) -> int:
    """32 bits, enough to tell one text from another, and made in no time."""
    return zlib.crc32(text.encode())
