"""Following one flask through time: a stiff integrator between doses, extents as the state."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from potash.kinetics.errors import RunNotFollowed
from potash.kinetics.network import INDEX, REACTIONS, stoichiometry
from potash.kinetics.rates import STATES, Laws, right_hand_side
from potash.words import tr

_POINTS = 600  # of a run; 30 s apart in 5 h, closer after a dose, where a burst may hide
_AFTER_A_DOSE = (0.5, 1.0, 2.0, 4.0, 8.0, 16.0)  # s
_INSTANT = 1e-3  # s; over less than that the integrator has nothing to do, and stumbles
_FEWEST_METAL = 1e-6  # of the reductant charged: less metal than that shows no tarnish


@dataclass(frozen=True, slots=True)
class Watch:
    """When to dose on sight: moles a dose, how many at most, least wait (s), dull share seen.

    since: from when on (s) the beads are watched.
    """

    moles: float
    at_most: int
    wait: float
    threshold: float
    since: float = 0.0


@dataclass(frozen=True, slots=True)
class Trajectory:
    """What the integrator found, at the moments that are kept.

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
) -> Trajectory:
    """Integrate from 0 to ``end`` (s) with ``doses`` of (time, mol), and those that ``watch`` asks.

    The absolute tolerance (mol) is a small part of the largest amount charged, if none is given.

    Raises: RunNotFollowed, if the integrator gives up.
    Source: LSODA, Petzold, SIAM J. Sci. Stat. Comput. 4 (1983) 136, as carried by scipy.
    """
    if absolute_tolerance is None:
        absolute_tolerance = 5e-3 * relative_tolerance * max(float(law.charge.max()), 1e-9)
    run = _Following(law, end, relative_tolerance, absolute_tolerance)
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
    asleep_until = max(watch.since, run.last_dose + watch.wait)
    if run.now < asleep_until:
        run.advance(min(target, asleep_until))
    elif run.dull_share() >= watch.threshold or run.advance(target, watch.threshold):
        run.dose(watch.moles)
        run.seen += 1


class _Following:
    """The state between two calls of the integrator, and the pieces collected so far."""

    def __init__(
        self, law: Laws, end: float, relative_tolerance: float, absolute_tolerance: float
    ) -> None:
        self.law = law
        self.now = 0.0
        self.seen = 0
        self.last_dose = -np.inf
        self._interval = end / _POINTS
        self._given: list[tuple[float, float]] = []
        self._present = law.charge.copy()
        self._state = np.zeros(STATES)
        self._state[-1] = law.bare_share
        self._pieces: list[tuple[NDArray[np.float64], NDArray[np.float64], float]] = []
        self._added = 0.0
        self._tolerances = {
            "rtol": relative_tolerance,
            "atol": np.array([absolute_tolerance] * len(REACTIONS) + [1e-3 * relative_tolerance]),
        }

    def dose(self, moles: float) -> None:
        self._present[INDEX["alcohol"]] += moles
        self._added += moles
        self.last_dose = self.now
        self._given.append((self.now, moles))

    def advance(self, target: float, threshold: float | None = None) -> bool:
        """Go on to ``target`` (s), or to where the dull share passes ``threshold``: then True."""
        # The rise of temperature ends in a kink, which no step should straddle.
        if self.now < self.law.heating_time < target:
            target = self.law.heating_time
        if target - self.now < _INSTANT:
            self._pieces.append((np.array([target]), self._state[:, None].copy(), self._added))
            self.now = target
            return False
        time = self._moments(target)
        state = self._integrated(time)
        passed = None if threshold is None else self._first_dull(state, threshold)
        if passed is not None:
            time, state = time[: passed + 1], state[: passed + 1]
        self._pieces.append((time, state.T, self._added))
        self.now, self._state = float(time[-1]), state[-1].copy()
        return passed is not None

    def dull_share(self) -> float:
        return float(self._dull(self._state[None, :])[0])

    def trajectory(self) -> Trajectory:
        time = np.concatenate([piece[0] for piece in self._pieces])
        state = np.concatenate([piece[1] for piece in self._pieces], axis=1)
        added = np.concatenate([np.full(piece[0].size, piece[2]) for piece in self._pieces])
        return Trajectory(time, state[:-1], state[-1], added, tuple(self._given))

    def _moments(self, target: float) -> NDArray[np.float64]:
        """Times (s) at which the state is kept: even ones, and close ones after a dose."""
        whole = int(np.ceil((target - self.now) / self._interval))
        time = np.linspace(self.now, target, max(whole, 1) + 1)
        if self.now == self.last_dose:
            early = self.now + np.array(_AFTER_A_DOSE)
            time = np.union1d(time, early[early < target])
        return time

    def _integrated(self, time: NDArray[np.float64]) -> NDArray[np.float64]:
        # odeint, because solve_ivp's LSODA keeps its work arrays for ever in scipy 1.17: 16 kB a
        # run, which a sweep of a thousand runs would feel.
        from scipy import integrate

        # scipy's stubs know no array of absolute tolerances, which odeint takes.
        odeint: Any = integrate.odeint
        state, report = odeint(
            right_hand_side(self.law, self._present),
            self._state,
            time,
            tfirst=True,
            tcrit=time[-1:],
            mxstep=5000,
            full_output=True,
            **self._tolerances,
        )
        if report["message"] != "Integration successful.":
            raise RunNotFollowed(
                tr(
                    "The run could not be followed past {now:.1f} min: {message} Bring the "
                    "changed parameters nearer to their teaching values.",
                    now=self.now / 60,
                    message=report["message"],
                )
            )
        return np.asarray(state)

    def _first_dull(self, state: NDArray[np.float64], threshold: float) -> int | None:
        dull = np.flatnonzero(self._dull(state) >= threshold)
        return int(dull[0]) if dull.size else None

    def _dull(self, state: NDArray[np.float64]) -> NDArray[np.float64]:
        """Share of the metal that is under crust, for states of shape (n, STATES)."""
        amounts = self._present[:, None] + stoichiometry() @ state[:, :-1].T
        crust, metal = amounts[INDEX["crust"]], amounts[INDEX["metal"]]
        together = crust + metal
        enough = together > _FEWEST_METAL * self.law.reductant
        return np.asarray(np.divide(crust, together, out=np.zeros_like(crust), where=enough))
