r"""An ideal gas in balance with what surrounds it, in terms of a few components.

Gas i takes :math:`\nu_{ci}` moles of component c and :math:`\Delta_i` of Gibbs energy (in R T) to
form from the components. With potentials :math:`u_c` and a total amount N its amount is

.. math::
    n_i = N y_i, \quad \ln y_i = \sum_c \nu_{ci} u_c - \Delta_i, \quad
    \sum_i y_i = 1, \quad \sum_i \nu_{ci} n_i = q_c

Newton's method takes each balance as the logarithm of what is on one side over what is on the
other, which is nearly linear in u however far from balance it is.

Sources: S. R. Brinkley, J. Chem. Phys. 1947, 15, 107, for the components; J. Carrayrou, R. Mosé and
P. Behra, AIChE J. 2002, 48, 894, for the two sides of a balance.
"""

from dataclasses import dataclass
from math import exp, inf, log
from operator import mul
from typing import NamedTuple

Row = list[float]

_MOST_CORRECTIONS = 40
_SOLVED = 1e-13  # relative errors that need no further step
_ROUNDING = 1e-9  # errors below it that stop falling are rounding
_LONGEST_STEP = 20.0  # R T
_HIGHEST = 600.0  # logarithm of a pressure that no guess needs to exceed
_NOTHING = 1e-16  # stands for an empty side of a balance


@dataclass(frozen=True, slots=True)
class Gas:
    """potentials: of the components, in R T. log_total: ln N."""

    potentials: Row
    log_total: float


def pressures(takes: list[Row], energies: Row, potentials: Row) -> Row:
    """y of each gas: its pressure over the total pressure at these potentials.

    Parameters: takes, of each component by each gas; energies, to form each gas.
    """
    logs = [-energy for energy in energies]
    for u, takes_of_one in zip(potentials, takes, strict=True):
        if u:
            logs = [a + u * b for a, b in zip(logs, takes_of_one, strict=True)]
    try:
        return list(map(exp, logs))
    except OverflowError:
        return [exp(min(a, _HIGHEST)) for a in logs]


def settled(takes: list[Row], energies: Row, held: Row, guess: Gas) -> Gas | None:
    """The gas that holds the amounts ``held`` of the components; None, if none is found.

    Parameters: takes and energies as for ``pressures``; held may be below zero, where other phases
    give more of a component than they got.
    """
    potentials, log_total = guess.potentials, guess.log_total
    smallest = inf
    try:
        for _ in range(_MOST_CORRECTIONS):
            y = pressures(takes, energies, potentials)
            total, pressure = exp(log_total), sum(y)
            sides = [_Sides.of(row, y, total, q) for row, q in zip(takes, held, strict=True)]
            errors = [*(log(side.given / side.taken) for side in sides), -log(pressure)]
            largest = max(map(abs, errors))
            if largest < _SOLVED or (largest < _ROUNDING and largest > 0.1 * smallest):
                return Gas(potentials, log_total)
            smallest = min(smallest, largest)
            slopes = [side.slopes(takes) for side in sides]
            slopes.append([*(sum(map(mul, row, y)) / pressure for row in takes), 0.0])
            *changes, change_of_log = _solution(slopes, errors)
            length = min(1.0, _LONGEST_STEP / max(map(abs, [*changes, change_of_log])))
            potentials = [u + length * du for u, du in zip(potentials, changes, strict=True)]
            log_total += length * change_of_log
    except (OverflowError, ValueError, ZeroDivisionError):  # no such gas
        pass
    return None


class _Sides(NamedTuple):
    """The two sides of the balance of one component.

    terms: moles of it in each gas, below zero in those that give some of it back.
    """

    terms: Row
    taken: float
    given: float

    @classmethod
    def of(cls, takes: Row, relative: Row, total: float, held: float) -> "_Sides":
        terms = [total * nu * y for nu, y in zip(takes, relative, strict=True)]
        taken = sum([t for t in terms if t > 0.0])
        given = -sum([t for t in terms if t < 0.0])
        if held >= 0:
            given += held
        else:
            taken -= held
        return cls(terms, taken or _NOTHING, given or _NOTHING)

    def slopes(self, takes: list[Row]) -> Row:
        """Of ln(taken/given) in the potentials and in ln N."""
        shares = [t / (self.taken if t > 0.0 else self.given) for t in self.terms]
        return [*(sum(map(mul, shares, row)) for row in takes), sum(shares)]


def _solution(matrix: list[Row], right: Row) -> Row:
    """Of a few linear equations, by elimination.

    Raises: ZeroDivisionError, if they have none.
    """
    rows = [[*row, b] for row, b in zip(matrix, right, strict=True)]
    n = len(rows)
    for c in range(n):
        best = max(range(c, n), key=lambda i: abs(rows[i][c]))
        rows[c], rows[best] = rows[best], rows[c]
        top = rows[c]
        for i in range(c + 1, n):
            factor = rows[i][c] / top[c]
            if factor:
                rows[i] = [a - factor * b for a, b in zip(rows[i], top, strict=True)]
    found: Row = [0.0] * n
    for c in reversed(range(n)):
        known = sum(map(mul, rows[c][c + 1 : n], found[c + 1 :]))
        found[c] = (rows[c][n] - known) / rows[c][c]
    return found
