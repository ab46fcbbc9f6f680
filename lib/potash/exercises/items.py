"""Item analysis: how hard each question was, how well it tells students apart, what went wrong.

* Difficulty is the mean share of its points that a question earned: 1 is easy, 0 is hard.
* Discrimination is the correlation between a question's share and the points of all other
  questions (the corrected item-total correlation; for right-or-wrong questions the corrected
  point-biserial). Near 0, the question tells nothing; below 0, those who did well elsewhere did
  badly here, and the exercise itself should be looked at.

Source: F. M. Lord and M. R. Novick, Statistical Theories of Mental Test Scores (1968), chapter 15
(from memory). Sums are kept, not students, so a class may be of any size. In a group too small the
numbers would say more about single people than about the question, and are withheld.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from statistics import quantiles
from typing import Any, Final

from potash.exercises.course import Course
from potash.exercises.outcomes import Outcome
from potash.exercises.report import Report

LEAST_STUDENTS: Final = 10
HEADER: Final = (
    "exercise",
    "question",
    "prompt",
    "students",
    "difficulty",
    "discrimination",
    *(outcome.value for outcome in Outcome),
    "most frequent slip",
    "students with it",
    "median minutes",
    "students timed",
)
_LONGEST_MINUTES: Final = 1440
_TOGETHER: Final = 250  # sheets


@dataclass(slots=True)
class _Question:
    """What is kept of one question."""

    outcomes: Counter[str] = field(default_factory=Counter)
    slips: Counter[str] = field(default_factory=Counter)


class Items:
    """Collects the statistics of a class, sheet by sheet."""

    def __init__(self, course: Course) -> None:
        import numpy as np

        self._course = course
        self._weights = np.array(
            [setting.points_each for setting in course.settings for _ in setting.exercise.asked]
        )
        count = len(self._weights)
        self._questions = [_Question() for _ in range(count)]
        self._minutes: list[Counter[int]] = [Counter() for _ in course.settings]
        self._students = 0
        # Sums of x, x², y, y² and xy; x is a question's share, y the points of all the others.
        self._sums = np.zeros((5, count))
        self._waiting: list[Report] = []

    def add(self, report: Report) -> None:
        """Take in the sheet that counts for one student."""
        self._waiting.append(report)
        if len(self._waiting) == _TOGETHER:
            self._take_in()

    def outcomes(self) -> Counter[str]:
        """How often each outcome came in exercises that count."""
        self._take_in()
        whole: Counter[str] = Counter()
        for question, weight in zip(self._questions, self._weights, strict=True):
            if weight:
                whole.update(question.outcomes)
        return whole

    def _take_in(self) -> None:
        """Count the sheets that wait; many together cost little more than one."""
        if not self._waiting:
            return
        self._students += len(self._waiting)
        self._add_up([report.shares for report in self._waiting])
        columns = zip(*(report.outcomes for report in self._waiting), strict=True)
        for question, outcomes in zip(self._questions, columns, strict=True):
            question.outcomes.update(outcomes)
        for report in self._waiting:
            for place, slip in report.slips.items():
                self._questions[int(place)].slips[slip] += 1
            for counter, minutes in zip(self._minutes, report.minutes, strict=True):
                if minutes is not None:
                    counter[min(round(minutes), _LONGEST_MINUTES)] += 1
        self._waiting.clear()

    def _add_up(self, shares: list[list[float]]) -> None:
        import numpy as np

        x = np.array(shares)
        earned = x * self._weights
        y = earned.sum(axis=1, keepdims=True) - earned
        self._sums += [one.sum(axis=0) for one in (x, x * x, y, y * y, x * y)]

    def rows(self) -> Iterator[list[str]]:
        """The item table, without its header: one row a question, in the order of the course."""
        self._take_in()
        place = 0
        for setting, minutes in zip(self._course.settings, self._minutes, strict=True):
            for asked in setting.exercise.asked:
                yield [
                    setting.exercise.id,
                    asked.name,
                    asked.prompt,
                    str(self._students),
                    *self._numbers(place),
                    *_timed(minutes),
                ]
                place += 1

    def _numbers(self, place: int) -> list[str]:
        question = self._questions[place]
        if self._students < LEAST_STUDENTS:
            return [""] * (4 + len(Outcome))
        sums = [float(one) for one in self._sums[:, place]]
        slip, times = _most_frequent(question.slips)
        return [
            f"{sums[0] / self._students:.3f}",
            _shown(_correlation(self._students, *sums)),
            *(str(question.outcomes[outcome.value]) for outcome in Outcome),
            slip,
            str(times) if times else "",
        ]


def _correlation(n: int, x: float, xx: float, y: float, yy: float, xy: float) -> float | None:
    """Pearson's correlation from sums; None where one of the two does not vary."""
    spread_x, spread_y = n * xx - x * x, n * yy - y * y
    if spread_x <= 1e-9 * max(n * xx, 1e-300) or spread_y <= 1e-9 * max(n * yy, 1e-300):
        return None
    return float((n * xy - x * y) / (spread_x * spread_y) ** 0.5)


def _shown(correlation: float | None) -> str:
    return "" if correlation is None else f"{correlation:.3f}"


def _most_frequent(slips: Counter[str]) -> tuple[str, int]:
    """The slip that most fell into; of two as frequent, the first by name."""
    return min(slips.items(), key=lambda slip: (-slip[1], slip[0]), default=("", 0))


def _timed(minutes: Counter[int]) -> list[str]:
    students = minutes.total()
    if students < LEAST_STUDENTS:
        return ["", ""]
    middle: Sequence[Any] = quantiles(minutes.elements(), n=2)
    return [f"{middle[0]:g}", str(students)]
