"""Following one flask through time: a stiff integrator between doses, extents as the state."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from potash.kinetics.errors import RunNotFollowed
from potash.kinetics.network import INDEX, REACTIONS, stoichiometry
from potash.kinetics.rates import STATES, Laws, right_hand_side

_LONGEST_STEP = 300.0  # s; keeps a plotted curve smooth and never a dose or burst unseen
_FEWEST_METAL = 1e-6  # of the reductant charged: less metal than that shows no tarnish


@dataclass(frozen=True, slots=True)
class Watch:
    """When to dose on sight: moles a dose, how many at most, least wait (s), dull share seen."""

    moles: float
    at_most: int
    wait: float
    threshold: float


@dataclass(frozen=True, slots=True)
class Trajectory:
    """What the integrator found, at each of its steps.

    time: (n,) s; a dose makes one moment appear twice, before and after.
    extents: (reactions, n) mol; bare: (n,) share; added: (n,) alcohol so far, mol.
    doses: (time, mol) of every dose given, those on sight too.
    """

    time: NDArray[np.float64]
    extents: NDArray[np.float64]
    bare: NDArray[np.float64]
    added: NDArray[np.float64]
    doses: tuple[tuple[float, float], ...]

    def amounts(self, law: Laws) -> NDArray[np.float64]:
        """Amounts of all species (mol), shape (species, n)."""
        found = law.charge[:, None] + stoichiometry() @ self.extents
        found[INDEX["alcohol"]] += self.added
        return np.asarray(found)


def follow(
    law: Laws,
    end: float,
    doses: tuple[tuple[float, float], ...],
    watch: Watch | None = None,
    *,
    relative_tolerance: float = 1e-6,
    absolute_tolerance: float | None = None,
    method: str = "LSODA",
) -> Trajectory:
    """Integrate from 0 to ``end`` (s) with ``doses`` of (time, mol), and those that ``watch`` asks.

    The absolute tolerance (mol) is a small part of the largest amount charged, if none is given.

    Raises: RunNotFollowed, if the integrator gives up.
    Source: LSODA, Petzold, SIAM J. Sci. Stat. Comput. 4 (1983) 136, as carried by scipy.
    """
    if absolute_tolerance is None:
        absolute_tolerance = 5e-3 * relative_tolerance * max(float(law.charge.max()), 1e-9)
    run = _Following(law, relative_tolerance, absolute_tolerance, method)
    planned = list(doses)
    while run.now < end:
        if planned and planned[0][0] <= run.now:
            run.dose(planned.pop(0)[1])
            continue
        target = min(end, planned[0][0]) if planned else end
        if watch is None or run.seen >= watch.at_most:
            run.advance(target)
        else:
            _advance_watching(run, target, watch)
    return run.trajectory()


def _advance_watching(run: "_Following", target: float, watch: Watch) -> None:
    if run.now < run.last_dose + watch.wait:
        run.advance(min(target, run.last_dose + watch.wait))
    elif run.dull_share() >= watch.threshold or run.advance(target, watch.threshold):
        run.dose(watch.moles)
        run.seen += 1


class _Following:
    """The state between two calls of the solver, and the pieces collected so far."""

    def __init__(
        self, law: Laws, relative_tolerance: float, absolute_tolerance: float, method: str
    ) -> None:
        self.law = law
        self.now = 0.0
        self.seen = 0
        self.last_dose = -np.inf
        self.given: list[tuple[float, float]] = []
        self.present = law.charge.copy()
        self.state = np.zeros(STATES)
        self.state[-1] = law.bare_share
        self._pieces: list[tuple[NDArray[np.float64], NDArray[np.float64], float]] = []
        self._added = 0.0
        self._settings: dict[str, Any] = {
            "method": method,
            "rtol": relative_tolerance,
            "atol": np.array([absolute_tolerance] * len(REACTIONS) + [1e-3 * relative_tolerance]),
            "max_step": _LONGEST_STEP,
        }

    def dose(self, moles: float) -> None:
        self.present[INDEX["alcohol"]] += moles
        self._added += moles
        self.last_dose = self.now
        self.given.append((self.now, moles))
        self._pieces.append((np.array([self.now]), self.state[:, None].copy(), self._added))

    def advance(self, target: float, threshold: float | None = None) -> bool:
        """Go on to ``target`` (s), or to where the dull share passes ``threshold``: then True."""
        from scipy.integrate import solve_ivp

        # The rise of temperature ends in a kink, which no step should straddle.
        if self.now < self.law.heating_time < target:
            target = self.law.heating_time
        found = solve_ivp(
            right_hand_side(self.law, self.present),
            (self.now, target),
            self.state,
            events=None if threshold is None else self._tarnish(threshold),
            **self._settings,
        )
        if not found.success:
            raise RunNotFollowed(
                f"The run could not be followed past {found.t[-1] / 60:.1f} min: {found.message} "
                "Bring the changed parameters nearer to their teaching values."
            )
        self._pieces.append((found.t, found.y, self._added))
        self.now, self.state = float(found.t[-1]), found.y[:, -1]
        return bool(found.status == 1)

    def dull_share(self) -> float:
        return self._dull(self.state)

    def trajectory(self) -> Trajectory:
        time = np.concatenate([piece[0] for piece in self._pieces])
        state = np.concatenate([piece[1] for piece in self._pieces], axis=1)
        added = np.concatenate([np.full(piece[0].size, piece[2]) for piece in self._pieces])
        return Trajectory(time, state[:-1], state[-1], added, tuple(self.given))

    def _dull(self, state: NDArray[np.float64]) -> float:
        amounts = self.present + stoichiometry() @ state[:-1]
        crust, metal = amounts[INDEX["crust"]], amounts[INDEX["metal"]]
        together = crust + metal
        enough = together > _FEWEST_METAL * self.law.reductant
        return float(crust / together) if enough else 0.0

    def _tarnish(self, threshold: float) -> Callable[[float, NDArray[np.float64]], float]:
        def passed(t: float, state: NDArray[np.float64]) -> float:
            return self._dull(state) - threshold

        passed.terminal = True  # type: ignore[attr-defined]
        passed.direction = 1.0  # type: ignore[attr-defined]
        return passed
