r"""The amounts that minimise the Gibbs energy of pure condensed phases and one ideal gas.

.. math::
    \min_{n \ge 0} \; \sum_j n_j g_j + \sum_i n_i (g_i + \ln p + \ln x_i)
    \quad\text{with}\quad A n = b

Everything is in units of R T; g is the Gibbs energy at 1 bar, p in bar. Solved through its convex
dual, in one potential a balance instead of one amount a species:

.. math::
    \max_\lambda \; b \cdot \lambda \quad\text{with}\quad
    a_j \cdot \lambda \le g_j, \quad \ln \sum_i y_i \le 0, \quad
    y_i = \exp(a_i \cdot \lambda - g_i - \ln p)

The multipliers of the constraints are the amounts of the condensed phases and of the gas, and
:math:`y_i / \sum y` its mole fractions. A primal-dual interior-point method finds which phases are
present, Newton's method on those phases then gives the amounts to rounding.

Sources: W. B. White, S. M. Johnson and G. B. Dantzig, J. Chem. Phys. 1958, 28, 751, for the primal
problem; S. Boyd and L. Vandenberghe, Convex Optimization, 2004, sections 5.7 and 11.7, for the dual
of a geometric program and the interior-point method.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from potash.equilibria.errors import NoConvergence
from potash.properties.curves import Floats

_MOST_STEPS = 100
_LOOKS = (1e-3, 1e-5, 1e-7, 1e-9, 1e-11)  # complementarity at which a guess of phases is tried
_MOST_CORRECTIONS = 40
_MOST_GUESSES = 40  # sets of phases tried from one point
_SOLVED = 1e-11  # errors that need no further step
_ROUNDING = 1e-9  # errors below it that stop falling are rounding
_TOLERANCE = 1e-9  # for signs after the polish, in units of the total and of R T
_GAS = -1  # stands for the gas among the numbers of the condensed phases


@dataclass(frozen=True, slots=True)
class Problem:
    """Balances and Gibbs energies of one mixture.

    condensed: atoms in each condensed species, shape (balances, condensed species).
    gas: atoms in each gas species, shape (balances, gas species).
    totals: of each balance, mol, not all zero, shape (balances,).
    The rows are independent, so that the potentials are defined.
    """

    condensed: Floats
    gas: Floats
    totals: Floats


@dataclass(frozen=True, slots=True)
class Minimum:
    """Amounts at the minimum.

    condensed, gas: mol of each species. fractions: mole fractions in the gas, or, without a gas,
    in the first bubble that would form. saturation: the pressure of that bubble over the pressure
    given; 1 with a gas, below 1 without, 0 if there are no gases.
    potentials: of the balances, in R T. active: numbers of the phases present, -1 for the gas.
    """

    condensed: Floats
    gas: Floats
    fractions: Floats
    saturation: float
    potentials: Floats
    active: tuple[int, ...]


def minimise(
    problem: Problem,
    condensed_energies: Floats,
    gas_energies: Floats,
    start: Minimum | None = None,
) -> Minimum:
    """The minimum at one temperature and pressure.

    Parameters: energies over R T at that temperature, of the gases with ln(p/bar) added; start, a
    minimum at conditions near by, which saves most of the work if the same phases are present.
    Raises: NoConvergence.
    """
    scale = float(np.abs(problem.totals).max())
    scaled = Problem(problem.condensed, problem.gas, problem.totals / scale)
    found = None
    if start is not None:
        near = _Point(start.potentials, start.condensed / scale, float(start.gas.sum()) / scale)
        found = _polished(scaled, condensed_energies, gas_energies, near, start.active)
    if found is None:
        found = _from_scratch(scaled, condensed_energies, gas_energies)
    return replace(found, condensed=found.condensed * scale, gas=found.gas * scale)


@dataclass(slots=True)
class _Point:
    """Where an iteration stands: potentials, amounts of condensed species, total amount of gas."""

    potentials: Floats
    condensed: Floats
    gas: float


class _View(NamedTuple):
    """What follows from a point.

    slack: how far each condensed species is from forming, g - a.potentials, in R T.
    gas_slack: how far the gas is from forming, -ln sum(y); fractions: y / sum(y).
    gas_atoms: atoms in one mole of that gas; residual: balances not yet met.
    """

    slack: Floats
    gas_slack: float
    fractions: Floats
    gas_atoms: Floats
    residual: Floats


def _view(problem: Problem, g: Floats, h: Floats, point: _Point) -> _View:
    slack = g - point.potentials @ problem.condensed
    fractions, gas_slack = _gas(point.potentials @ problem.gas - h)
    gas_atoms = problem.gas @ fractions
    residual = problem.totals - problem.condensed @ point.condensed - point.gas * gas_atoms
    return _View(slack, gas_slack, fractions, gas_atoms, residual)


def _gas(exponents: Floats) -> tuple[Floats, float]:
    """Mole fractions and slack from the logarithms of y; without gases nothing saturates."""
    if not len(exponents):
        return exponents, 1.0
    highest = float(exponents.max())
    relative = np.exp(exponents - highest)
    total = float(relative.sum())
    return relative / total, -highest - math.log(total)


# ------------------------------------------------------------------ which phases are present


def _from_scratch(problem: Problem, g: Floats, h: Floats) -> Minimum:
    """Interior-point steps until the phases they point to turn out to be those of the minimum.

    Raises: NoConvergence.
    """
    has_gas = len(h) > 0
    constraints = len(g) + has_gas
    point = _Point(_low_potentials(problem, g, h), np.ones_like(g), float(has_gas))
    looks = iter(_LOOKS)
    look = next(looks)
    for _ in range(_MOST_STEPS):
        view = _view(problem, g, h, point)
        gap = (float(point.condensed @ view.slack) + point.gas * view.gas_slack) / constraints
        while gap < look:
            present = {int(j) for j in np.flatnonzero(point.condensed > view.slack)}
            present |= {_GAS} if point.gas > view.gas_slack else set()
            found = _polished(problem, g, h, point, present)
            if found is not None:
                return found
            look = next(looks, 0.0)
        if not look:
            break
        _step(problem, h, point, view, 0.1 * gap)
    raise NoConvergence("The equilibrium calculation did not settle on a set of phases.")


def _low_potentials(problem: Problem, g: Floats, h: Floats) -> Floats:
    """Equal potentials so low that every constraint holds with room to spare."""
    room = 1.0 + math.log(max(len(h), 1))
    atoms = np.concatenate([problem.condensed.sum(axis=0), problem.gas.sum(axis=0)])
    lowest = float(((np.concatenate([g, h]) - room) / atoms).min())
    return np.full(len(problem.totals), lowest)


def _step(problem: Problem, h: Floats, point: _Point, view: _View, target: float) -> None:
    """One Newton step towards complementarity ``target``, shortened to stay inside."""
    A, B = problem.condensed, problem.gas
    n, N, s, v = point.condensed, point.gas, view.slack, view.gas_atoms
    ratio, gas_ratio = n / s, N / view.gas_slack
    M = (A * ratio) @ A.T + N * _spread(B, view) + gas_ratio * np.outer(v, v)
    # Where no phase fixes a combination of potentials it stays as it is.
    M.flat[:: len(M) + 1] += 1e-15 * np.trace(M)
    pull = target / s - n
    gas_pull = target / view.gas_slack - N if N else 0.0
    change = np.linalg.solve(M, view.residual - A @ pull - v * gas_pull)
    d_n = pull + ratio * (change @ A)
    d_N = gas_pull + gas_ratio * float(v @ change)
    length = min(1.0, _longest(s, -(change @ A)), _longest(n, d_n))
    if N:
        length = min(length, _longest(np.array([N]), np.array([d_N])))
        # Like the other slacks, that of the gas keeps a twentieth, or the path leaves its centre.
        while _gas((point.potentials + length * change) @ B - h)[1] < 0.05 * view.gas_slack:
            length *= 0.7
    point.potentials = point.potentials + length * change
    point.condensed = n + length * d_n
    point.gas = N + length * d_N


def _spread(B: Floats, view: _View) -> Floats:
    """Covariance of the atoms in the gas: how its composition answers to the potentials."""
    mixed = (B * view.fractions) @ B.T
    return mixed - np.outer(view.gas_atoms, view.gas_atoms)


def _longest(value: Floats, change: Floats) -> float:
    """Nearly how far a positive ``value`` may follow ``change`` before one of it reaches zero."""
    falling = change < 0
    if not falling.any():
        return 1.0
    return 0.95 * float((value[falling] / -change[falling]).min())


# ------------------------------------------------------------------ how much of them


def _polished(
    problem: Problem, g: Floats, h: Floats, point: _Point, active: Iterable[int]
) -> Minimum | None:
    """The minimum with the phases in ``active``, mended where a sign shows that it is not one."""
    tried: set[frozenset[int]] = set()
    waiting = [frozenset(active)]  # the most promising last
    while waiting and len(tried) < _MOST_GUESSES:
        phases = waiting.pop()
        if not phases or phases in tried:
            continue
        tried.add(phases)
        solved = _with_phases(problem, g, h, point, sorted(phases))
        if solved is None:
            # Phases that do not go together: one of them has to yield, the scarcest first.
            plenty = sorted(phases, key=lambda j: -_amount(point, j))
            waiting.extend(phases - {j} for j in plenty)
            continue
        view = _view(problem, g, h, solved)
        better = _mended(problem, solved, view, phases)
        if better is None:
            return _minimum(solved, view, sorted(phases))
        waiting.append(better)
    return None


def _mended(
    problem: Problem, solved: _Point, view: _View, phases: frozenset[int]
) -> frozenset[int] | None:
    """The phases with the worst wrong one exchanged, or None if all signs are right."""
    least = min(phases, key=lambda j: _amount(solved, j))
    if _amount(solved, least) < -_TOLERANCE:
        return phases - {least}
    slacks = {j: float(slack) for j, slack in enumerate(view.slack) if j not in phases}
    if _GAS not in phases and len(view.fractions):
        slacks[_GAS] = view.gas_slack
    nearest = min(slacks, key=lambda j: slacks[j], default=None)
    if nearest is None or slacks[nearest] >= -_TOLERANCE:
        return None
    return (phases | {nearest}) - _replaced(problem, solved, view, phases, nearest)


def _amount(point: _Point, number: int) -> float:
    return point.gas if number == _GAS else float(point.condensed[number])


def _replaced(
    problem: Problem, point: _Point, view: _View, phases: frozenset[int], entering: int
) -> set[int]:
    """The phase that an entering one uses up first, if it is made of the atoms of those present.

    Otherwise the balances have room for one phase more, and none is replaced.
    """
    numbers = sorted(phases)
    columns = np.array([_atoms(problem, view, j) for j in numbers]).T
    wanted = _atoms(problem, view, entering)
    shares = np.linalg.lstsq(columns, wanted, rcond=None)[0]
    if np.abs(columns @ shares - wanted).max() > _TOLERANCE:
        return set()
    used = {j: _amount(point, j) / s for j, s in zip(numbers, shares, strict=True) if s > 1e-9}
    return {min(used, key=lambda j: used[j])} if used else set()


def _atoms(problem: Problem, view: _View, number: int) -> Floats:
    atoms: Floats = view.gas_atoms if number == _GAS else problem.condensed[:, number]
    return atoms


def _minimum(solved: _Point, view: _View, active: list[int]) -> Minimum:
    total = max(solved.gas, 0.0) if _GAS in active else 0.0
    return Minimum(
        condensed=np.maximum(solved.condensed, 0.0),
        gas=total * view.fractions,
        fractions=view.fractions,
        saturation=math.exp(-view.gas_slack) if len(view.fractions) else 0.0,
        potentials=solved.potentials,
        active=tuple(active),
    )


def _with_phases(
    problem: Problem, g: Floats, h: Floats, start: _Point, active: list[int]
) -> _Point | None:
    """Potentials and amounts for which exactly the phases in ``active`` meet their conditions."""
    numbers = [j for j in active if j != _GAS]
    solved = _Point(start.potentials, np.zeros_like(g), 0.0)
    if _GAS not in active:
        return _without_gas(problem, g, solved, numbers)
    solved.condensed[numbers] = np.maximum(start.condensed[numbers], 0.0)
    solved.gas = max(start.gas, 1e-6)
    return _newton(problem, g, h, solved, numbers)


def _without_gas(problem: Problem, g: Floats, point: _Point, numbers: list[int]) -> _Point | None:
    A = problem.condensed[:, numbers]
    amounts = np.linalg.lstsq(A, problem.totals, rcond=None)[0]
    if np.abs(A @ amounts - problem.totals).max() > _TOLERANCE:
        return None
    missing = g[numbers] - point.potentials @ A
    point.potentials = point.potentials + np.linalg.lstsq(A.T, missing, rcond=None)[0]
    point.condensed[numbers] = amounts
    return point


def _newton(
    problem: Problem, g: Floats, h: Floats, point: _Point, numbers: list[int]
) -> _Point | None:
    """Newton's method on balances, saturated condensed phases and a gas of the given pressure."""
    A, B = problem.condensed[:, numbers], problem.gas
    m, k = A.shape
    J = np.zeros((m + k + 1, m + k + 1))
    J[:m, m:-1], J[m:-1, :m] = A, A.T
    # Where no phase fixes a combination of potentials it stays as it is.
    ridge = 1e-12 * np.eye(m)
    smallest = np.inf
    for _ in range(_MOST_CORRECTIONS):
        view = _view(problem, g, h, point)
        errors = np.concatenate([view.residual, view.slack[numbers], [view.gas_slack]])
        largest = float(np.abs(errors).max())
        if largest < _SOLVED or (largest < _ROUNDING and largest > 0.1 * smallest):
            return point
        smallest = min(smallest, largest)
        J[:m, :m] = point.gas * _spread(B, view) + ridge
        J[:m, -1] = J[-1, :m] = view.gas_atoms
        try:
            step = np.linalg.solve(J, errors)
        except np.linalg.LinAlgError:  # more phases than balances
            return None
        # Potentials enter in an exponent: longer steps than 2 R T would overshoot.
        length = min(1.0, 2.0 / max(float(np.abs(step[:m]).max()), 1e-300))
        point.potentials = point.potentials + length * step[:m]
        point.condensed[numbers] += length * step[m:-1]
        point.gas += length * step[-1]
    return None
