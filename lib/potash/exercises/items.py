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
from statistics import quantiles
from typing import Any, Final

from potash.exercises.course import Course
from potash.exercises.outcomes import Outcome
from potash.exercises.report import FIRST_LETTER, Report

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


class Items:
    """Collects the statistics of a class, sheet by sheet."""

    def __init__(self, course: Course) -> None:
        import numpy as np

        self._course = course
        self._weights = np.array(
            [setting.points_each for setting in course.settings for _ in setting.exercise.asked]
        )
        self._credit = np.array([course.credit[outcome] for outcome in Outcome])
        count = len(self._weights)
        self._outcomes = np.zeros((len(Outcome), count), dtype=np.int64)
        self._slips: list[Counter[str]] = [Counter() for _ in range(count)]
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
        found = self._outcomes[:, self._weights > 0].sum(axis=1).tolist()
        counts = zip(Outcome, found, strict=True)
        return Counter({outcome.value: count for outcome, count in counts if count})

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

    def _take_in(self) -> None:
        """Count the sheets that wait; many together cost little more than one."""
        if not self._waiting:
            return
        self._students += len(self._waiting)
        self._add_up()
        for report in self._waiting:
            for place, slip in report.slips.items():
                self._slips[int(place)][slip] += 1
            for counter, minutes in zip(self._minutes, report.minutes, strict=True):
                if minutes is not None:
                    counter[min(round(minutes), _LONGEST_MINUTES)] += 1
        self._waiting.clear()

    def _add_up(self) -> None:
        import numpy as np

        letters = "".join([report.outcomes for report in self._waiting]).encode()
        codes = np.frombuffer(letters, np.uint8).reshape(len(self._waiting), -1) - FIRST_LETTER
        self._outcomes += [(codes == code).sum(axis=0) for code in range(len(Outcome))]
        x = self._credit[codes]
        for row, report in zip(x, self._waiting, strict=True):
            for place, share in report.by_hand.items():
                row[int(place)] = share
        earned = x * self._weights
        y = earned.sum(axis=1, keepdims=True) - earned
        self._sums += [one.sum(axis=0) for one in (x, x * x, y, y * y, x * y)]

    def _numbers(self, place: int) -> list[str]:
        if self._students < LEAST_STUDENTS:
            return [""] * (4 + len(Outcome))
        sums = [float(one) for one in self._sums[:, place]]
        slip, times = _most_frequent(self._slips[place])
        return [
            f"{sums[0] / self._students:.3f}",
            _shown(_correlation(self._students, *sums)),
            *(str(count) for count in self._outcomes[:, place].tolist()),
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
