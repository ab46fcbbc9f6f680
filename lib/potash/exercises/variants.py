"""Own figures for each student, drawn from a secret so that they can be drawn again anywhere.

The figure of a given is chosen by HMAC-SHA256 over course, exercise, student, draw number and the
given's name: the same on every machine, unpredictable without the secret, and untouched when an
author adds another given. The draw number is 0 unless the figures of draw 0 break a constraint or
repeat a neighbour's; the one used is kept with the handout.

Source: RFC 2104 (HMAC), FIPS 180-4 (SHA-256).
"""

import hmac
from collections.abc import Iterable, Mapping
from typing import Final

from potash.errors import PotashError
from potash.exercises.exercise import Exercise, Given
from potash.exercises.formula import FormulaFailed
from potash.words import tr

# Figures for a folder without a handout. Not a secret: everybody practises with the same ones.
PRACTICE_SEED: Final = b"potash practice figures"
PRACTICE_COURSE: Final = "practice"
PRACTICE_STUDENT: Final = "practice"

DRAWS: Final = 400
_DRAWS_FOR_NEIGHBOURS: Final = 60

Figures = Mapping[str, str]


class NoFigures(PotashError):
    """No set of figures meets the constraints of an exercise."""


def draw_figures(
    exercise: Exercise, secret: bytes, course: str, student: str, draw: int
) -> dict[str, str]:
    """The figures of one draw, as the student reads them; constraints are not looked at."""
    return {
        given.name: _choose(given, secret, course, exercise.id, student, draw)
        for given in exercise.givens
    }


def _choose(
    given: Given, secret: bytes, course: str, exercise: str, student: str, draw: int
) -> str:
    message = _message("figures", course, exercise, student, str(draw), given.name)
    digest = hmac.digest(secret, message.encode(), "sha256")
    return given.choices[int.from_bytes(digest[:8], "big") % len(given.choices)]


def _message(*parts: str) -> str:
    """The parts, each with its length in front, so that no two lists give the same text."""
    return "".join([f"{len(part)}:{part}," for part in parts])


def find_draw(
    exercise: Exercise,
    secret: bytes,
    course: str,
    student: str,
    neighbours: Iterable[Figures] = (),
) -> int:
    """The first draw that meets the constraints and shares the fewest figures with ``neighbours``.

    Raises: NoFigures, if none of the first 400 draws meets the constraints.
    """
    others = tuple(neighbours)
    best: tuple[int, int] | None = None
    for draw in range(DRAWS):
        if best is not None and draw >= _DRAWS_FOR_NEIGHBOURS:
            break
        figures = draw_figures(exercise, secret, course, student, draw)
        if not is_allowed(exercise, figures):
            continue
        shared = _shared(exercise, figures, others)
        if shared == 0:
            return draw
        if best is None or shared < best[0]:
            best = shared, draw
    if best is None:
        raise NoFigures(
            tr(
                "exercise {exercise}: none of {draws} sets of figures meets its constraints; "
                "widen the ranges or loosen the constraints.",
                exercise=exercise.id,
                draws=DRAWS,
            )
        )
    return best[1]


def is_allowed(exercise: Exercise, figures: Figures) -> bool:
    """Whether ``figures`` can be solved and meet every constraint."""
    try:
        # Givens that do not go together may have no answer at all, so they are looked at first.
        return exercise.allows(exercise.values(figures)) and exercise.allows(
            exercise.solve(figures)
        )
    except FormulaFailed:
        return False


def _shared(exercise: Exercise, figures: Figures, others: tuple[Figures, ...]) -> int:
    """How many figures are a neighbour's too, where there was a choice."""
    return sum(
        figures[given.name] == other.get(given.name)
        for other in others
        for given in exercise.givens
        if len(given.choices) > 1
    )


class Seals:
    """The seals of one course: each proves which figures were handed to whom."""

    def __init__(self, secret: bytes, course: str) -> None:
        # The key is set up once, and each seal goes on from a copy.
        self._begun = hmac.new(secret, _message("seal", course).encode(), "sha256")

    def of(self, student: str, exercise: str, draw: int, figures: Figures) -> str:
        """The HMAC, in hexadecimal, of these figures."""
        told = [f"{len(a)}:{a},{len(b)}:{b}," for a, b in sorted(figures.items())]
        whole = self._begun.copy()
        whole.update(f"{_message(student, exercise, str(draw))}{''.join(told)}".encode())
        return whole.hexdigest()

    def hold(self, mark: str, student: str, exercise: str, draw: int, figures: Figures) -> bool:
        """Whether ``mark`` is the seal of just these figures; takes the same time either way."""
        genuine = self.of(student, exercise, draw, figures)
        return hmac.compare_digest(mark.encode(), genuine.encode())


def seal(
    secret: bytes, course: str, student: str, exercise: str, draw: int, figures: Figures
) -> str:
    """The seal of a single set of figures."""
    return Seals(secret, course).of(student, exercise, draw, figures)
