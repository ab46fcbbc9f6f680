"""What somebody who watches the flask would see, derived from the state and put into words."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from potash.kinetics.batch import Batch
from potash.kinetics.network import INDEX
from potash.units import Quantity, show
from potash.words import later, tr

# Shares of what the charge can give. Teaching values, like the numbers of the model.
_SPECKS = 0.01
_DULL = 0.03
_GRAINS = 0.12
_RISE_TO_DONE = 0.002  # of the most metal, over the last quarter of an hour
_BUBBLES = 2e-7  # mol/s, about 0.3 mL/min
_QUARTER = 900.0  # s

WORDS = {
    "cold": tr("Nothing moves yet: the liquid is warming up."),
    "clear": tr("Clear liquid over the solids, and nothing shines: the reductant has not started."),
    "bubbling": tr(
        "Bubbles rise and no metal shows: water and alcohol take their share of reductant."
    ),
    "beads growing": tr("Bright beads appear and grow, and small ones merge."),
    "tarnishing": tr("The beads turn dull: the alkoxide is nearly spent, a small dose is due."),
    "grains": tr("Dull grey grains that no longer merge: the crust has gone far, perhaps too far."),
    "standing still": tr("Beads lie there and no longer grow, with hydroxide left over."),
    "done": tr("Beads no longer grow and the gas has stopped: hydroxide or reductant is used up."),
}
"""Each sign in words."""


@dataclass(frozen=True, slots=True)
class Sign:
    """One stretch of the run during which it looks the same. start, end: from the start (min)."""

    name: str
    start: Quantity
    end: Quantity

    @property
    def words(self) -> str:
        """What is seen, in a sentence."""
        return WORDS[self.name]

    def __str__(self) -> str:
        return tr(
            "{start} to {end}: {words}",
            start=show(self.start),
            end=show(self.end),
            words=self.words,
        )


def signs(
    found: Batch,
    time: NDArray[np.float64],
    amounts: NDArray[np.float64],
    gas_rate: NDArray[np.float64],
) -> tuple[Sign, ...]:
    """The signs in order of time, from times (s), amounts (species, n) and gas rate (mol/s)."""
    names = [str(name) for name in _names(found, time, amounts, gas_rate)]
    starts = [0] + [at for at in range(1, len(names)) if names[at] != names[at - 1]]
    ends = [*starts[1:], len(names) - 1]
    return tuple(
        Sign(names[first], _minutes(time[first]), _minutes(time[last]))
        for first, last in zip(starts, ends, strict=True)
        if time[last] > time[first]
    )


def _names(
    found: Batch,
    time: NDArray[np.float64],
    amounts: NDArray[np.float64],
    gas_rate: NDArray[np.float64],
) -> NDArray[np.str_]:
    most = found.yield_basis
    metal, crust = amounts[INDEX["metal"]], amounts[INDEX["crust"]]
    seen = (metal + crust) / most
    dull = np.divide(crust, metal + crust, out=np.zeros_like(crust), where=seen > _SPECKS)
    earlier = np.interp(time - _QUARTER, time, metal)
    still = (np.abs(metal - earlier) < _RISE_TO_DONE * most) & (gas_rate < _BUBBLES)
    spent = _used_up(found, amounts)
    quiet = still & (seen > _SPECKS)
    return np.select(
        [
            dull > _GRAINS,
            quiet & spent,
            dull > _DULL,
            quiet,
            seen > _SPECKS,
            gas_rate > _BUBBLES,
            time < 600.0,
        ],
        [
            later("grains"), later("done"), later("tarnishing"), later("standing still"),
            later("beads growing"), later("bubbling"), later("cold"),
        ],
        later("clear"),
    )  # fmt: skip


def _used_up(found: Batch, amounts: NDArray[np.float64]) -> NDArray[np.bool_]:
    hydroxide = amounts[INDEX["hydroxide"]] < 0.02 * found.hydroxide
    reductant = amounts[INDEX["reductant"]] < 0.02 * found.reductant
    return np.asarray(hydroxide | reductant)


def _minutes(seconds: float) -> Quantity:
    return Quantity(round(float(seconds) / 60, 1), "min")
