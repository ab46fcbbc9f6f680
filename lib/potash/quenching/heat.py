"""The heat of a metal with water and with alcohols, from tabulated ions and alkoxides."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from potash.properties import species
from potash.units import Quantity
from potash.words.tables import read_csv

ROOM = 298.15  # K
GAS_CONSTANT = 8.314462618  # J/(mol K), CODATA 2018


@cache
def water_enthalpy_si(metal: str) -> float:
    r"""Enthalpy of M + H2O(l) -> M+(aq) + OH-(aq) + 1/2 H2(g) at 298.15 K, J/mol of metal.

    .. math:: \Delta H = \Delta_f H(M^+) + \Delta_f H(OH^-) - \Delta_f H(H_2O, l)

    Source: ion and water enthalpies of formation as held by ``species``.
    """
    made = species(f"{metal}+").enthalpy_si(ROOM) + species("OH-").enthalpy_si(ROOM)
    return float(made - species("H2O(l)").enthalpy_si(ROOM))


def water_enthalpy(metal: str) -> Quantity:
    """Enthalpy of the metal with water to dissolved hydroxide at 25 °C, kJ/mol of metal."""
    return Quantity(water_enthalpy_si(metal) / 1e3, "kJ/mol")


def quench_enthalpy_si(metal: str) -> float:
    """Enthalpy of the metal with an alcohol, J/mol of metal: an upper estimate of the heat.

    The enthalpy with water stands in for that with an alcohol, because no table holds dissolved
    alkoxides: alcohols are about as acidic as water or less. The published crystalline alkoxides
    give 30 to 100 kJ/mol less (``crystal_enthalpies``); dissolving gives part of that back.
    """
    return water_enthalpy_si(metal)


@dataclass(frozen=True, slots=True)
class CrystalEnthalpy:
    """M + ROH(l) -> MOR(cr) + 1/2 H2(g) at 298.15 K, kJ/mol of metal, from published enthalpies."""

    metal: str
    alcohol: str
    enthalpy: Quantity
    uncertainty: Quantity
    source: str


@cache
def crystal_enthalpies() -> tuple[CrystalEnthalpy, ...]:
    """Every pair of metal and alcohol whose crystalline alkoxide was measured."""
    return tuple(_crystal(row) for row in read_csv("quenching/data/alkoxides.csv"))


def _crystal(row: Mapping[str, str]) -> CrystalEnthalpy:
    difference = float(row["alkoxide_formation_enthalpy"]) - float(
        row["alcohol_formation_enthalpy"]
    )
    return CrystalEnthalpy(
        row["metal"],
        row["alcohol"],
        Quantity(difference, "kJ/mol"),
        Quantity(float(row["alkoxide_uncertainty"]), "kJ/mol"),
        f"{row['alkoxide_source']}; {row['alcohol_source']}",
    )
