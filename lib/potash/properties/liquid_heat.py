"""How much heat a working liquid takes up on warming, and on boiling."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np

from potash.properties.errors import NoTrustedValue, OutOfRange
from potash.properties.liquids import liquid
from potash.units import Quantity
from potash.words import tr
from potash.words.tables import read_csv

_ROOM_TO_SPARE = 5.0  # K; tables that end within it of a temperature are held constant from there


@dataclass(frozen=True, slots=True, eq=False)
class LiquidHeat:
    """Heat capacity of a liquid up to its boiling point, and its heat of vaporization there.

    temperatures: K, heat_capacities: J/(mol K), both shape (n,), straight lines between points.
    vaporization_si: J/mol at the normal boiling point.
    """

    name: str
    temperatures: tuple[float, ...]
    heat_capacities: tuple[float, ...]
    vaporization_si: float
    source: str

    @property
    def boiling_point_si(self) -> float:
        """Normal boiling point, K."""
        return float(liquid(self.name).boiling_point.m_as("K"))

    @property
    def heat_of_vaporization(self) -> Quantity:
        """At the normal boiling point, kJ/mol."""
        return Quantity(self.vaporization_si / 1e3, "kJ/mol")

    def heat_capacity_si(self, T: float) -> float:
        """J/(mol K) at ``T`` (K). Raises: OutOfRange."""
        self._require_inside(T)
        return float(np.interp(T, self.temperatures, self.heat_capacities))

    def uptake_si(self, start: float, end: float) -> float:
        """Heat (J/mol) to warm the liquid from ``start`` to ``end`` (K).

        Raises: OutOfRange, if either is outside the table or beyond the boiling point.
        """
        for T in (start, end):
            self._require_inside(T)
        inside = [T for T in self.temperatures if min(start, end) < T < max(start, end)]
        points = [min(start, end), *inside, max(start, end)]
        values = np.interp(points, self.temperatures, self.heat_capacities)
        heat = float(np.trapezoid(values, points))
        return heat if end >= start else -heat

    def _require_inside(self, T: float) -> None:
        low, high = self.temperatures[0], self.boiling_point_si
        if not low - _ROOM_TO_SPARE <= T <= high + 0.1:
            raise OutOfRange(
                tr(
                    "The heat capacity of {name} is known from {low:.0f} K to its boiling point, "
                    "{high:.1f} K; {temperature:.1f} K lies outside.",
                    name=self.name,
                    low=low,
                    high=high,
                    temperature=T,
                )
            )


def liquid_heat(name: str) -> LiquidHeat:
    """The record of the liquid ``name``.

    Raises: NoTrustedValue, naming the liquids that have one.
    """
    if name not in _table():
        raise NoTrustedValue(
            tr(
                "There is no heat capacity of {name} up to its boiling point here; there is of "
                "{table}.",
                name=name,
                table=", ".join(_table()),
            )
        )
    return _table()[name]


def liquids_with_heat() -> tuple[str, ...]:
    """The names of the liquids that have a record, in the order of the table."""
    return tuple(_table())


@cache
def _table() -> Mapping[str, LiquidHeat]:
    rows = read_csv("properties/data/liquid_heat.csv")
    return {name: _record(name, rows) for name in dict.fromkeys(row["liquid"] for row in rows)}


def _record(name: str, rows: list[dict[str, str]]) -> LiquidHeat:
    mine = [row for row in rows if row["liquid"] == name]
    capacities = [row for row in mine if row["quantity"] == "heat capacity"]
    (vaporization,) = (row for row in mine if row["quantity"] == "heat of vaporization")
    return LiquidHeat(
        name=name,
        temperatures=tuple(float(row["temperature"]) for row in capacities),
        heat_capacities=tuple(float(row["value"]) for row in capacities),
        vaporization_si=float(vaporization["value"]),
        source="; ".join(dict.fromkeys(row["source"] for row in mine)),
    )
