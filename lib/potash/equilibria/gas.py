r"""An ideal gas in balance with what surrounds it, in terms of a few components.

Gas i takes :math:`\nu_{ci}` moles of component c and :math:`\Delta_i` of Gibbs energy (in R T) to
form from the components. With potentials :math:`u_c` and a total amount N its amount is

.. math::
    n_i = N y_i, \quad \ln y_i = \sum_c \nu_{ci} u_c - \Delta_i, \quad
    \sum_i y_i = 1, \quad \sum_i \nu_{ci} n_i = q_c

Newton's method takes each balance as the logarithm of what is on one side over what is on the
other, which is nearly linear in u however far from balance it is. With one component the pressures
alone make one equation for its potential, and N follows from the balance.

Sources: S. R. Brinkley, J. Chem. Phys. 1947, 15, 107, for the components; J. Carrayrou, R. Mosé and
P. Behra, AIChE J. 2002, 48, 894, for the two sides of a balance.
"""

from dataclasses import dataclass
from math import exp, inf, log
from operator import mul

from potash.equilibria.rows import Row, less

_MOST_CORRECTIONS = 40
_SOLVED = 1e-13  # relative errors that need no further step
_ROUNDING = 1e-9  # errors below it that stop falling are rounding
_LONGEST_STEP = 20.0  # R T
_HIGHEST = 600.0  # logarithm of a pressure that no guess needs to exceed
_NOTHING = 1e-16  # stands for an empty side of a balance


@dataclass(frozen=True, slots=True)
class Gas:
    """potentials: of the components, in R T. log_total: ln N. relative: y of each gas."""

    potentials: Row
    log_total: float
    relative: Row


def pressures(takes: list[Row], energies: Row, potentials: Row) -> Row:
    """y of each gas: its pressure over the total pressure at these potentials.

    Parameters: takes, of each component by each gas; energies, to form each gas.
    """
    lacking = energies
    for u, takes_of_one in zip(potentials, takes, strict=True):
        if u:
            lacking = less(lacking, u, takes_of_one)
    try:
        return [exp(-a) for a in lacking]
    except OverflowError:
        return [exp(min(-a, _HIGHEST)) for a in lacking]


def settled(
    takes: list[Row], energies: Row, held: Row, potentials: Row, log_total: float
) -> Gas | None:
    """The gas that holds the amounts ``held`` of the components; None, if none is found.

    Parameters: takes and energies as for ``pressures``; held may be below zero, where other phases
    give more of a component than they got; potentials and log_total to begin with.
    """
    found = None
    if len(takes) == 1:
        found = _of_one_component(takes[0], energies, held[0], potentials[0])
    return found or _of_components(takes, energies, held, potentials, log_total)


def _of_one_component(takes: Row, energies: Row, held: float, u: float) -> Gas | None:
    """The gas of one component, if it can be found from the pressure alone.

    The pressure decides on its composition, which decides on its amount; None, if that is not
    above zero, as where gases give back more than others take.
    """
    try:
        for _ in range(_MOST_CORRECTIONS):
            y = [exp(nu * u - energy) for nu, energy in zip(takes, energies, strict=True)]
            pressure = sum(y)
            each_holds = sum(map(mul, takes, y)) / pressure
            error = log(pressure)
            if abs(error) < _SOLVED:
                return Gas([u], log(held / each_holds), y)
            u -= max(-_LONGEST_STEP, min(error / each_holds, _LONGEST_STEP))
    except (OverflowError, ValueError, ZeroDivisionError):
        pass
    return None


def _of_components(
    takes: list[Row], energies: Row, held: Row, potentials: Row, log_total: float
) -> Gas | None:
    """The gas of several components, or of one whose balance has to guide the search."""
    smallest = inf
    try:
        for _ in range(_MOST_CORRECTIONS):
            y = pressures(takes, energies, potentials)
            total = exp(log_total)
            equations = [
                _balance(row, takes, y, q / total) for row, q in zip(takes, held, strict=True)
            ]
            equations.append(_pressure(takes, y))
            largest = max([abs(equation[-1]) for equation in equations])
            if largest < _SOLVED or (largest < _ROUNDING and largest > 0.1 * smallest):
                return Gas(potentials, log_total, y)
            smallest = min(smallest, largest)
            changes = _solution(equations)
            length = min(1.0, _LONGEST_STEP / max(map(abs, changes)))
            potentials = [u + length * du for u, du in zip(potentials, changes, strict=False)]
            log_total += length * changes[-1]
    except (OverflowError, ValueError, ZeroDivisionError):  # no such gas
        pass
    return None


def _balance(takes_it: Row, takes: list[Row], relative: Row, held: float) -> Row:
    """The equation of one component: a row of Newton's method, all per mole of gas.

    Slopes of ln(taken/given) in the potentials and in ln N, then what it is short of zero.
    """
    terms = list(map(mul, takes_it, relative))  # below zero where a gas gives some back
    taken = sum([t for t in terms if t > 0.0])
    given = -sum([t for t in terms if t < 0.0])
    if held >= 0.0:
        given = given + held or _NOTHING
        taken = taken or _NOTHING
        of_total = held / given
    else:
        taken -= held
        given = given or _NOTHING
        of_total = held / taken
    shares = [t / taken if t > 0.0 else t / given for t in terms]
    return [*[sum(map(mul, shares, row)) for row in takes], of_total, log(given / taken)]


def _pressure(takes: list[Row], relative: Row) -> Row:
    """The equation that the pressures of all gases add up to the total, as in ``_balance``."""
    total = sum(relative)
    return [*[sum(map(mul, relative, row)) / total for row in takes], 0.0, -log(total)]


def _solution(equations: list[Row]) -> Row:
    """Of two or more linear equations, each a row of factors and its right side, by elimination.

    Raises: ZeroDivisionError, if they have none.
    """
    if len(equations) == 2:
        (a, b, p), (c, d, q) = equations
        determinant = a * d - b * c
        return [(p * d - b * q) / determinant, (a * q - p * c) / determinant]
    pivot = max(equations, key=lambda row: abs(row[0]))
    rest = [
        [a - row[0] / pivot[0] * b for a, b in zip(row[1:], pivot[1:], strict=True)]
        for row in equations
        if row is not pivot
    ]
    later = _solution(rest)
    return [(pivot[-1] - sum(map(mul, pivot[1:], later))) / pivot[0], *later]
