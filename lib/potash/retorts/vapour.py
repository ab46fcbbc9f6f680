"""How much of a charge leaves as vapour, over temperature or pressure, and its vapour pressure."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from potash.equilibria import BadMixture, NoFeasibleComposition, gas_pressure, sweep
from potash.errors import PotashError
from potash.formulas import parse
from potash.properties.curves import Floats
from potash.retorts.charges import RetortCharge
from potash.units import Quantity, QuantityLike, magnitude
from potash.words import tr

SWEEP_POINTS = 200
LOWEST_PRESSURE, HIGHEST_PRESSURE = 1e-6, 1.0  # bar
_CURVE_POINTS = 9


@dataclass(frozen=True, slots=True, eq=False)
class AmountsOver:
    """Equilibrium amounts of a charge over temperature or over pressure.

    temperature: K, pressure: bar, both shape (n,). amounts: mol, shape (n,), by (formula, whether
    it is a vapour): a solid and its melt count together, because each melts once.
    metal_vapour: share of the metal put in that is vapour of the free metal, 0 to 1, shape (n,).
    """

    charge: RetortCharge
    temperature: Quantity
    pressure: Quantity
    amounts: Mapping[tuple[str, bool], Floats]
    metal_vapour: Floats
    notes: tuple[str, ...]

    def reaches_si(self, share: float) -> float | None:
        """Where ``share`` (0 to 1) of the metal becomes vapour: K, or bar in a pressure sweep.

        None, if the sweep does not pass through that share.
        """
        T, p = self.temperature.m_as("K"), self.pressure.m_as("bar")
        excess = self.metal_vapour - share
        passed = np.flatnonzero(excess[:-1] * excess[1:] < 0)
        if not len(passed):
            return None
        i = int(passed[0])
        part = float(excess[i] / (excess[i] - excess[i + 1]))
        if np.ptp(T) > 0:
            return float(T[i] + part * (T[i + 1] - T[i]))
        return float(p[i] * (p[i + 1] / p[i]) ** part)


@dataclass(frozen=True, slots=True, eq=False)
class VapourCurve:
    """Pressure of the vapours over a charge at the onset of gas, closed and without other gas.

    temperature: K, shape (n,). total, metal: bar, shape (n,); metal counts the atoms and molecules
    of the free metal. notes: what to know.
    """

    temperature: Quantity
    total: Quantity
    metal: Quantity
    notes: tuple[str, ...]


def amounts_over_temperature(charge: RetortCharge, pressure: QuantityLike) -> AmountsOver:
    """Two hundred equilibria from the charge's lowest to its highest temperature.

    Raises: what ``potash.equilibria.sweep`` raises.
    """
    p = float(magnitude("pressure", pressure, "bar", above=0))
    T = np.linspace(charge.lowest, charge.highest, SWEEP_POINTS)
    return _over(charge, Quantity(T, "K"), Quantity(p, "bar"))


def amounts_over_pressure(charge: RetortCharge, temperature: QuantityLike) -> AmountsOver:
    """Two hundred equilibria from 1e-6 to 1 bar, evenly spaced in the logarithm.

    Raises: what ``potash.equilibria.sweep`` raises.
    """
    T = float(magnitude("temperature", temperature, "K", above=0))
    p = np.geomspace(LOWEST_PRESSURE, HIGHEST_PRESSURE, SWEEP_POINTS)
    return _over(charge, Quantity(T, "K"), Quantity(p, "bar"))


@lru_cache(maxsize=16)
def vapour_curve(charge: RetortCharge) -> VapourCurve:
    """Vapour pressure over the charge between its lowest and highest temperature.

    Temperatures at which no single pressure marks the onset of gas are left out.
    Raises: NoVapour, if that leaves fewer than two temperatures.
    """
    rows: list[tuple[float, float, float]] = []
    for T in np.linspace(charge.lowest, charge.highest, _CURVE_POINTS):
        try:
            found = gas_pressure(charge.given, temperature=Quantity(float(T), "K"))
        except (BadMixture, NoFeasibleComposition):
            continue
        metal = sum(
            pressure.m_as("bar")
            for name, pressure in found.partial_pressures.items()
            if _is_free(name, charge.metal)
        )
        rows.append((float(T), found.pressure.m_as("bar"), float(metal)))
    if len(rows) < 2:
        raise NoVapour(tr("No vapour pressure can be told over {charge}.", charge=charge))
    T, total, metal = np.array(rows).T
    return VapourCurve(
        Quantity(T, "K"), Quantity(total, "bar"), Quantity(metal, "bar"), found.notes
    )


class NoVapour(PotashError):
    """A charge over which no pressure marks the onset of gas."""


def _over(charge: RetortCharge, temperature: Quantity, pressure: Quantity) -> AmountsOver:
    swept = sweep(charge.given, temperature=temperature, pressure=pressure)
    amounts: dict[tuple[str, bool], Floats] = {}
    free = np.zeros(SWEEP_POINTS)
    for name, moles in swept.amounts.items():
        formula, _, phase = name.rpartition("(")
        key = (formula, phase == "g)")
        amounts[key] = amounts.get(key, 0.0) + moles.m_as("mol")
        if key[1] and _is_free(name, charge.metal):
            free += moles.m_as("mol") * float(parse(formula).elements[charge.metal])
    return AmountsOver(
        charge=charge,
        temperature=swept.temperature,
        pressure=swept.pressure,
        amounts=amounts,
        metal_vapour=free / charge.metal_put_in.m_as("mol"),
        notes=swept.notes,
    )


def _is_free(name: str, metal: str) -> bool:
    """Whether a species with its phase is made of the metal alone: "K(g)", "K2(g)"."""
    return set(parse(name.rpartition("(")[0]).elements) == {metal}
