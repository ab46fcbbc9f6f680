"""Densities of the solid metals and of what grows on them, at room temperature."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from potash.properties.errors import NoTrustedValue
from potash.units import Quantity
from potash.words import tr
from potash.words.tables import read_csv


@dataclass(frozen=True, slots=True)
class SolidDensity:
    """One row of solids.csv.

    density: kg/m3, of the compact solid near ``temperature`` (K).
    kind: "measured" or "from memory"; source: where it is printed.
    """

    formula: str
    density: float
    temperature: float
    kind: str
    source: str


def solid(formula: str) -> SolidDensity:
    """The density record of the solid ``formula``. Raises: NoTrustedValue, naming those held."""
    if formula not in _table():
        raise NoTrustedValue(
            tr(
                'There is no trusted density of solid "{formula}"; held are {table}.',
                formula=formula[:40],
                table=", ".join(_table()),
            )
        )
    return _table()[formula]


def solid_density(formula: str) -> Quantity:
    """Density of the solid ``formula`` at room temperature, kg/m3. Raises: as ``solid``."""
    return Quantity(solid(formula).density, "kg/m^3")


@cache
def _table() -> Mapping[str, SolidDensity]:
    return {row["formula"]: _row(row) for row in read_csv("properties/data/solids.csv")}


def _row(row: Mapping[str, str]) -> SolidDensity:
    return SolidDensity(
        row["formula"],
        float(row["density"]),
        float(row["temperature"]),
        row["kind"],
        row["source"],
    )
