"""The five alkali metals as liquids: density, viscosity and surface tension of the melt.

metals.toml holds one published correlation a property, with its source and range. The defaults of
the usual property libraries are not used: for these metals they miss by up to a factor of ten.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from potash.errors import PotashError
from potash.properties.errors import OutOfRange
from potash.units import Quantity, magnitude
from potash.words import tr
from potash.words.tables import read_toml

_UNITS = {"density": "kg/m^3", "viscosity": "Pa*s", "surface_tension": "N/m"}
_ZERO_CELSIUS = 273.15


class UnknownMetal(PotashError):
    """Not one of the five alkali metals of this trade."""


class SolidMetal(OutOfRange):
    """A temperature at which the metal is not yet molten."""


@dataclass(frozen=True, slots=True)
class Correlation:
    """One property of one melt over temperature.

    function: of T (K, scalar or array) in ``unit``.
    valid: lowest and highest temperature, K.
    relative_uncertainty: a judgement of standard uncertainty.
    kind: "fitted" or "from memory". note: what a reader of the source must know, or "".
    """

    unit: str
    function: Callable[[ArrayLike], NDArray[np.float64]]
    valid: tuple[float, float]
    relative_uncertainty: float
    kind: str
    source: str
    note: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Metal:
    """An alkali metal and the correlations of its melt.

    melting_point_si, boiling_point_si: K, at 1 bar.
    """

    symbol: str
    name: str
    melting_point_si: float
    boiling_point_si: float
    points_source: str
    correlations: Mapping[str, Correlation]

    @property
    def melting_point(self) -> Quantity:
        """Melting point at 1 bar (K)."""
        return Quantity(self.melting_point_si, "K")

    @property
    def boiling_point(self) -> Quantity:
        """Boiling point at 1 bar (K)."""
        return Quantity(self.boiling_point_si, "K")

    def density(self, temperature: Any) -> Quantity:
        """Density of the melt.

        Parameters: temperature, a string or quantity, scalar or array.
        Returns: kg/m3, the same shape.
        Raises: SolidMetal, below the melting point; OutOfRange, above the range of the data.
        Source: the record's, ``correlations["density"].source``.
        """
        return self._value("density", temperature)

    def viscosity(self, temperature: Any) -> Quantity:
        """Dynamic viscosity of the melt (Pa s). Parameters, raises and source: as ``density``."""
        return self._value("viscosity", temperature)

    def surface_tension(self, temperature: Any) -> Quantity:
        """Surface tension of the clean melt (N/m). Parameters, raises, source: as ``density``."""
        return self._value("surface_tension", temperature)

    def require_molten(self, T: float) -> None:
        """Let pass a temperature ``T`` (K) at which this metal is liquid at 1 bar.

        Raises: SolidMetal, below the melting point; OutOfRange, above the boiling point.
        """
        if self.melting_point_si > T:
            raise SolidMetal(
                tr(
                    "{name} is solid at {temperature}: it melts at {melting_point}. Beads, and "
                    "whether they float or sink, need a temperature above that.",
                    name=self.name.capitalize(),
                    temperature=in_celsius(T),
                    melting_point=in_celsius(self.melting_point_si),
                )
            )
        if self.boiling_point_si < T:
            raise OutOfRange(
                tr(
                    "{name} boils at {boiling_point}; {temperature} lies above that.",
                    name=self.name.capitalize(),
                    boiling_point=in_celsius(self.boiling_point_si),
                    temperature=in_celsius(T),
                )
            )

    def _value(self, name: str, temperature: Any) -> Quantity:
        T = magnitude("temperature", temperature, "K", above=0)
        correlation = self.correlations[name]
        self._require_inside(name, correlation, T)
        values = np.asarray(correlation.function(T))
        return Quantity(float(values) if values.ndim == 0 else values, correlation.unit)

    def _require_inside(self, name: str, correlation: Correlation, T: ArrayLike) -> None:
        coldest, hottest = float(np.min(T)), float(np.max(T))
        if coldest < self.melting_point_si:
            self.require_molten(coldest)
        if hottest > correlation.valid[1]:
            raise OutOfRange(
                tr(
                    "The {property} of molten {metal} is known up to {valid}; {hottest} lies "
                    "above that.",
                    property=name.replace("_", " "),
                    metal=self.name,
                    valid=in_celsius(correlation.valid[1]),
                    hottest=in_celsius(hottest),
                )
            )


def metal(name: str) -> Metal:
    """The alkali metal called ``name``: its symbol, or its English name in any case.

    Raises: UnknownMetal, naming the five.
    """
    found = _by_name().get(name.strip()) or _by_name().get(name.strip().casefold())
    if found:
        return found
    known = ", ".join(f"{one.symbol} ({one.name})" for one in metals())
    shown = f'"{name[:40]}…"' if len(name) > 40 else f'"{name}"'
    raise UnknownMetal(
        tr(
            "{shown} is not an alkali metal of this workbook. There are: {known}.",
            shown=shown,
            known=known,
        )
    )


@cache
def metals() -> tuple[Metal, ...]:
    """Lithium, sodium, potassium, rubidium and caesium."""
    return tuple(_metal(entry) for entry in read_toml("properties/data/metals.toml")["metal"])


def in_celsius(T: float) -> str:
    """A temperature in K as people say it: "205 °C", with a decimal only where there is one."""
    celsius = f"{T - _ZERO_CELSIUS:.1f}".removesuffix(".0").replace("-", "−")
    return f"{celsius}\u00a0°C"


def in_whole_celsius(T: float) -> str:
    """A temperature in K that is known to a degree at best: "87 °C"."""
    return in_celsius(round(T - _ZERO_CELSIUS) + _ZERO_CELSIUS)


@cache
def _by_name() -> Mapping[str, Metal]:
    names = {name: one for one in metals() for name in (one.symbol, one.name)}
    return {**names, "cesium": names["caesium"]}


def _metal(entry: Mapping[str, Any]) -> Metal:
    return Metal(
        entry["symbol"],
        entry["name"],
        entry["melting_point"],
        entry["boiling_point"],
        entry["points_source"],
        {name: _correlation(entry[name], unit) for name, unit in _UNITS.items()},
    )


def _correlation(record: Mapping[str, Any], unit: str) -> Correlation:
    low, high = record["valid"]
    return Correlation(
        unit,
        _FORMS[record["form"]](record),
        (low, high),
        record["relative_uncertainty"],
        record["kind"],
        record["source"],
        record.get("note", ""),
    )


def _polynomial(record: Mapping[str, Any]) -> Callable[[ArrayLike], Any]:
    origin, rising = record["origin"], tuple(record["coefficients"])

    def value(T: Any) -> Any:
        total = 0.0
        for coefficient in reversed(rising):
            total = total * (T - origin) + coefficient
        return total

    return value


def _critical(record: Mapping[str, Any]) -> Callable[[ArrayLike], Any]:
    critical = record["critical"]
    terms = tuple(zip(record["coefficients"], record["powers"], strict=True))

    def value(T: Any) -> Any:
        return sum(coefficient * (1 - T / critical) ** power for coefficient, power in terms)

    return value


def _viscosity(record: Mapping[str, Any]) -> Callable[[ArrayLike], Any]:
    a, b, c = record["coefficients"]
    return lambda T: np.exp(a + b * np.log(T) + c / np.asarray(T))


def _points(record: Mapping[str, Any]) -> Callable[[ArrayLike], Any]:
    # np.interp wants rising abscissae, and 1/T falls as T rises.
    inverse = 1 / np.array(record["temperatures"])[::-1]
    logarithms = np.log(record["values"])[::-1]
    return lambda T: np.exp(np.interp(1 / np.asarray(T), inverse, logarithms))


_FORMS = {
    "polynomial": _polynomial,
    "critical": _critical,
    "viscosity": _viscosity,
    "points": _points,
}
