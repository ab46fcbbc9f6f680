"""Oxygen and water on their way to the metal: through the closure, then through the liquid."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from potash.errors import PotashError
from potash.properties.metals import metal as metal_named
from potash.units import Quantity, magnitude
from potash.words import tr
from potash.words.tables import read_csv

GAS_CONSTANT = 8.314462618  # J/(mol K), CODATA 2018
OXYGEN_SHARE = 0.2095  # volume fraction in dry air, CRC Handbook of Chemistry and Physics
_VAPOUR_20 = 2339.0  # Pa, water at 20 °C, IAPWS


class UnknownCover(PotashError):
    """Not one of the covering liquids of the table."""


class UnknownClosure(PotashError):
    """Not one of the closures of the table."""


@dataclass(frozen=True, slots=True)
class Cover:
    """A covering liquid.

    oxygen_partition, water_partition: Ostwald coefficients, concentration in the liquid over that
    in the gas. diffusivities: m2/s. factor: by which the product of the two may be off.
    """

    name: str
    oxygen_partition: float
    water_partition: float
    oxygen_diffusivity: float
    water_diffusivity: float
    factor: float
    source: str


@dataclass(frozen=True, slots=True)
class Closure:
    """A closure.

    exchange: m3/s of air; factor: by which it may be off; atmosphere: air's share in what
    surrounds the vessel.
    """

    name: str
    exchange: float
    factor: float
    sealed: bool
    atmosphere: float
    what: str
    source: str


@dataclass(frozen=True, slots=True)
class Keeping:
    """How a metal is kept, in SI units.

    depth: of liquid above the metal (m). vessel_area: cross-section of the liquid (m2).
    metal_area: surface of the metal (m2). humidity: relative. openings: of the vessel (1/s); each
    lets the headspace (m3) be air again.
    """

    metal: str
    cover: Cover
    closure: Closure
    depth: float
    vessel_area: float
    metal_area: float
    headspace: float
    humidity: float
    openings: float
    temperature: float

    @classmethod
    def planned(
        cls,
        *,
        metal: str = "K",
        cover: str = "light mineral oil",
        closure: str = "screw cap",
        depth: Any = "30 mm",
        vessel_diameter: Any = "40 mm",
        metal_area: Any = "10 cm2",
        headspace: Any = "30 mL",
        humidity: Any = "50 %",
        openings: Any = "0.1 1/day",
        temperature: Any = "20 °C",
    ) -> "Keeping":
        """How a metal is kept, from what people type.

        Raises: UnknownMetal, UnknownCover, UnknownClosure, OutOfBounds, WrongDimension,
        UnreadableQuantity.
        """
        diameter = magnitude("vessel_diameter", vessel_diameter, "m", above=0, at_most=1)
        return cls(
            metal=metal_named(metal).symbol,
            cover=cover_named(cover),
            closure=closure_named(closure),
            depth=magnitude("depth", depth, "m", above=0, at_most=1),
            vessel_area=math.pi / 4 * diameter**2,
            metal_area=magnitude("metal_area", metal_area, "m^2", above=0, at_most=10),
            headspace=magnitude("headspace", headspace, "m^3", at_least=0, at_most=1),
            humidity=magnitude("humidity", humidity, "", at_least=0, at_most=1),
            openings=magnitude("openings", openings, "1/s", at_least=0),
            temperature=magnitude("temperature", temperature, "K", at_least=233.15, at_most=323.15),
        )

    @property
    def oxygen(self) -> float:
        """Oxygen that reaches the metal, mol/s."""
        return self._arriving(self._oxygen_in_air, self._oxygen_conductance)

    @property
    def water(self) -> float:
        """Water that reaches the metal, mol/s."""
        return self._arriving(self._water_in_air, self._water_conductance)

    @property
    def oxygen_per_month(self) -> Quantity:
        """Oxygen that reaches the metal in 30 days, umol."""
        return _per_month(self.oxygen)

    @property
    def water_per_month(self) -> Quantity:
        """Water that reaches the metal in 30 days, umol."""
        return _per_month(self.water)

    @property
    def factor(self) -> float:
        r"""By which the arriving amount may be off, each way, as one standard deviation.

        Cover and closure are taken as independent: their logarithms add in squares, each weighted
        by its share of the resistance.
        """
        if self._air_exchange == 0:
            return self.closure.factor
        resistance, liquid = 1 / self._air_exchange, 1 / self._oxygen_conductance
        share = resistance / (resistance + liquid)
        parts = (share * math.log(self.closure.factor), (1 - share) * math.log(self.cover.factor))
        return math.exp(math.hypot(*parts))

    @property
    def _air_exchange(self) -> float:
        # A drawn-off ampoule has no closure to open: to open it is to end its keeping.
        if self.closure.exchange == 0:
            return 0.0
        return self.closure.exchange + self.openings * self.headspace

    @property
    def _oxygen_in_air(self) -> float:
        pressure = OXYGEN_SHARE * 1.01325e5 * self.closure.atmosphere
        return pressure / (GAS_CONSTANT * self.temperature)

    @property
    def _water_in_air(self) -> float:
        pressure = self.humidity * _VAPOUR_20 * self.closure.atmosphere
        return pressure / (GAS_CONSTANT * self.temperature)

    @property
    def _oxygen_conductance(self) -> float:
        cover = self.cover
        return cover.oxygen_partition * cover.oxygen_diffusivity * self.vessel_area / self.depth

    @property
    def _water_conductance(self) -> float:
        cover = self.cover
        return cover.water_partition * cover.water_diffusivity * self.vessel_area / self.depth

    def _arriving(self, in_air: float, conductance: float) -> float:
        """Two resistances in series: closure and liquid. The metal consumes all that comes."""
        if self._air_exchange == 0:
            return 0.0
        return in_air / (1 / self._air_exchange + 1 / conductance)


def _per_month(flow: float) -> Quantity:
    return Quantity(flow * 30 * 86400 * 1e6, "umol")


def diffusion_flux(concentration: Any, diffusivity: Any, depth: Any) -> Quantity:
    r"""Steady flux through a still liquid to a surface that consumes all of it.

    .. math:: J = D c / L

    Parameters: concentration, at the top of the liquid; diffusivity; depth, of the liquid.
    Returns: mol/(m2 s). Raises: OutOfBounds, UnreadableQuantity, WrongDimension.
    Source: Fick's first law; Crank, The Mathematics of Diffusion, 2nd ed. (1975), ch. 4.
    """
    c = magnitude("concentration", concentration, "mol/m^3", at_least=0)
    D = magnitude("diffusivity", diffusivity, "m^2/s", above=0)
    L = magnitude("depth", depth, "m", above=0)
    return Quantity(D * c / L, "mol/m^2/s")


@cache
def covers() -> tuple[Cover, ...]:
    """The covering liquids."""
    return tuple(_cover(row) for row in read_csv("storage/data/covers.csv"))


@cache
def closures() -> tuple[Closure, ...]:
    """The closures."""
    return tuple(_closure(row) for row in read_csv("storage/data/closures.csv"))


def cover_named(name: str) -> Cover:
    """The covering liquid called ``name``. Raises: UnknownCover."""
    found = {one.name: one for one in covers()}.get(name.strip().casefold())
    if found:
        return found
    names = ", ".join(one.name for one in covers())
    raise UnknownCover(
        tr('"{name}" is none of the covering liquids held: {names}.', name=name[:60], names=names)
    )


def closure_named(name: str) -> Closure:
    """The closure called ``name``. Raises: UnknownClosure."""
    found = {one.name: one for one in closures()}.get(name.strip().casefold())
    if found:
        return found
    names = ", ".join(one.name for one in closures())
    raise UnknownClosure(
        tr('"{name}" is none of the closures held: {names}.', name=name[:60], names=names)
    )


def _cover(row: Mapping[str, str]) -> Cover:
    numbers = {key: float(row[key]) for key in row if key not in ("name", "source")}
    return Cover(name=row["name"], source=row["source"], **numbers)


def _closure(row: Mapping[str, str]) -> Closure:
    return Closure(
        row["name"],
        float(row["exchange"]),
        float(row["factor"]),
        row["sealed"] == "yes",
        float(row["atmosphere"]),
        row["what"],
        row["source"],
    )


def rule(name: str) -> float:
    """A rule of keeping, in the unit of its row."""
    return _rules()[name]


@cache
def _rules() -> Mapping[str, float]:
    return {row["name"]: float(row["value"]) for row in read_csv("storage/data/rules.csv")}
