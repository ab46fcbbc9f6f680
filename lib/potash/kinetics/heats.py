"""Heat of each reaction of the network: tabulated sums, with two teaching values for the alkoxides.

No table holds the alkoxides. Two of their reactions carry teaching values, and Hess's law gives all
others from tabulated hydroxide, water, oxide and metal, so that the whole run releases just what
the tables say for the sum, whatever the two teaching values are.
"""

from collections.abc import Mapping
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from potash.errors import PotashError
from potash.kinetics.network import REACTIONS


@lru_cache(maxsize=64)
def reaction_heats(
    metal: str, T: float, formation: float, reduction: float
) -> tuple[NDArray[np.float64], tuple[str, ...]]:
    r"""Enthalpy of each reaction of the network (J/mol), and those for which no table serves.

    .. math:: \Delta H_\text{regeneration} = \Delta H_\text{sum} - \Delta H_\text{reduction}
              - \Delta H_\text{scavenging}

    Parameters: T (K); formation, reduction (J/mol), the teaching values.
    Returns: heats in the order of the network's reactions, 0 where none is known; their names.
    Source: NIST-JANAF tables through ``potash.balance``; the alkoxides' two are teaching values.
    """
    tabulated = _tabulated(metal, T)
    total = tabulated["sum"]
    water, scavenging = tabulated["metal and water"], tabulated["scavenging"]
    crust = tabulated["crust and water"]
    known: Mapping[str, float | None] = {
        # Letting go of hydrate water and all losses without a table are counted as no heat.
        "drying": 0.0,
        "alkoxide formation": formation,
        "reduction": reduction,
        "regeneration": _difference(total, reduction, scavenging),
        "scavenging": scavenging,
        "activation": _activation(formation, reduction, water),
        "alcohol binding": 0.0,
        "alkoxide binding": 0.0,
        "spending": 0.0,
        "clumping": 0.0,
        "impurity clearing": 0.0,
        "metal and water": water,
        "metal and alcohol": None if water is None else water + 2 * formation,
        "tarnishing": None if water is None or crust is None else water - 2 * crust,
        "cleaning": None if crust is None else crust + formation,
    }
    missing = tuple(name for name in REACTIONS if known[name] is None)
    return np.array([known[name] or 0.0 for name in REACTIONS]), missing


def _activation(formation: float, reduction: float, water: float | None) -> float | None:
    """Mg + 2 ROH -> Mg(OR)2 + H2, as metal and alcohol, then reduction the other way round."""
    return None if water is None else water + 2 * formation + reduction


def _difference(total: float | None, *parts: float | None) -> float | None:
    if total is None or any(part is None for part in parts):
        return None
    return total - sum(part for part in parts if part is not None)


def _tabulated(metal: str, T: float) -> Mapping[str, float | None]:
    """Enthalpies at T of the reactions that tables hold, J per mole as written; None if not."""
    return {
        "sum": _enthalpy(f"2 {metal}OH + 2 Mg -> 2 {metal} + 2 MgO + H2", T),
        "scavenging": _enthalpy("H2O + Mg -> MgO + H2", T),
        "metal and water": _enthalpy(f"2 {metal} + 2 H2O -> 2 {metal}OH + H2", T),
        "crust and water": _enthalpy(f"{metal}2O + H2O -> 2 {metal}OH", T),
    }


def _enthalpy(equation: str, T: float) -> float | None:
    from potash.reactions import balance
    from potash.units import Quantity

    try:
        return float(balance(equation).enthalpy(Quantity(T, "K")).m_as("J/mol"))
    except PotashError:
        return None
