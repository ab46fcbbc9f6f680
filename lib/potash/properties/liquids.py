"""The liquids that the workbook offers, with properties frozen from published data.

liquids.json holds one record a property, each with its method, kind, source and range; it is
built by freeze_liquids.py. A new property is a new record there and, where it deserves a name, one
more method here.
"""

import difflib
import json
import math
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from importlib import resources
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from potash.errors import PotashError
from potash.properties.errors import NoTrustedValue, OutOfRange
from potash.units import Quantity, magnitude, show, show_number
from potash.words import tr

if TYPE_CHECKING:
    import pandas

_LONGEST_NAME = 100
# The unit that a reference table shows, and how many of it one of the record's unit makes.
_SHOWN_IN: Mapping[str, tuple[str, float]] = {
    "melting_point": ("°C", 1.0),
    "boiling_point": ("°C", 1.0),
    "flash_point": ("°C", 1.0),
    "autoignition_temperature": ("°C", 1.0),
    "density": ("kg/m³", 1.0),
    "vapour_pressure": ("kPa", 1e-3),
    "viscosity": ("mPa s", 1e3),
    "surface_tension": ("mN/m", 1e3),
}
_NAMES: Mapping[str, str] = {
    "melting_point": tr("melting point"),
    "boiling_point": tr("boiling point"),
    "flash_point": tr("flash point"),
    "autoignition_temperature": tr("autoignition temperature"),
    "density": tr("density"),
    "vapour_pressure": tr("vapour pressure"),
    "viscosity": tr("viscosity"),
    "surface_tension": tr("surface tension"),
}
_KINDS: Mapping[str, str] = {
    "measured": tr("measured"),
    "fitted": tr("fitted"),
    "estimated": tr("estimated"),
    "from memory": tr("from memory"),
}


class UnknownLiquid(PotashError):
    """No liquid of the table has this name, alias or CAS number."""


@dataclass(frozen=True, slots=True)
class LiquidRecord:
    """One property of one liquid.

    unit: of ``values``.
    temperatures, values: points (K) with straight lines between them; a constant has one value
        and no temperatures.
    scale: "linear", or "logarithmic" where the lines are those of ln(value) over 1/T.
    gate: what the value was held against before it was let in; "" for a value written by hand.
    kind: "measured", "fitted", "estimated" or "from memory".
    method, source: how the values were obtained and where they are printed.
    relative_uncertainty: a judgement of standard uncertainty; None where nothing is known.
    """

    unit: str
    temperatures: tuple[float, ...]
    values: tuple[float, ...]
    kind: str
    method: str
    source: str
    relative_uncertainty: float | None = None
    scale: str = "linear"
    gate: str = ""

    @property
    def valid(self) -> tuple[float, float] | None:
        """Lowest and highest temperature (K); None for a constant."""
        return (self.temperatures[0], self.temperatures[-1]) if self.temperatures else None

    def at(self, T: ArrayLike) -> NDArray[np.float64]:
        """Values at ``T`` (K, any shape, inside ``valid``), in ``unit``."""
        points = np.asarray(T, dtype=float)
        if self.scale == "linear":
            return np.asarray(np.interp(points, self.temperatures, self.values))
        inverse = -1 / np.asarray(self.temperatures)
        return np.asarray(np.exp(np.interp(-1 / points, inverse, np.log(self.values))))

    def covers(self, T: float) -> bool:
        """Whether ``T`` (K) lies in the range; a constant has none."""
        return bool(self.temperatures) and self.temperatures[0] <= T <= self.temperatures[-1]

    def value_at(self, T: float) -> float:
        """The same as ``at`` for one temperature (K, inside ``valid``), some ten times as fast."""
        i = min(max(bisect_right(self.temperatures, T), 1), len(self.temperatures) - 1)
        low, high = self.temperatures[i - 1], self.temperatures[i]
        at_low, at_high = self.values[i - 1], self.values[i]
        if self.scale == "linear":
            return at_low + (at_high - at_low) * (T - low) / (high - low)
        share = (1 / low - 1 / T) / (1 / low - 1 / high)
        return math.exp(math.log(at_low) + share * math.log(at_high / at_low))


@dataclass(frozen=True, slots=True)
class Liquid:
    """A pure liquid and its records, by property name.

    smiles: its structure. estimates: records for gaps, kept apart so that nobody takes them for
    data. hazards: GHS classes, None where unknown. forms_peroxides: None where in doubt.
    without_flash_point: whether it does not burn, or has no flash point.
    refused: published values that are known to be wrong, and why, by property.
    """

    name: str
    cas: str
    formula: str
    aliases: tuple[str, ...]
    records: Mapping[str, LiquidRecord]
    smiles: str = ""
    estimates: Mapping[str, LiquidRecord] = field(default_factory=dict)
    hazards: tuple[str, ...] | None = None
    forms_peroxides: bool | None = None
    without_flash_point: bool = False
    refused: Mapping[str, str] = field(default_factory=dict)

    def density(self, temperature: Any) -> Quantity:
        """Density of the liquid at its own vapour pressure or 1 bar, whichever is higher.

        Parameters: temperature, a string or quantity, scalar or array, inside the record's range.
        Returns: kg/m3, the same shape.
        Raises: OutOfRange, NoTrustedValue.
        Source: the record's, see ``record("density")``.
        """
        return self.value("density", temperature)

    def vapour_pressure(self, temperature: Any) -> Quantity:
        """Vapour pressure (Pa). Parameters, raises and source: as ``density``."""
        return self.value("vapour_pressure", temperature)

    def viscosity(self, temperature: Any) -> Quantity:
        """Dynamic viscosity (Pa s). Parameters, raises and source: as ``density``."""
        return self.value("viscosity", temperature)

    def surface_tension(self, temperature: Any) -> Quantity:
        """Surface tension against air (N/m). Parameters, raises and source: as ``density``."""
        return self.value("surface_tension", temperature)

    @property
    def flash_point(self) -> Quantity:
        """Flash point, closed cup (K). Raises: NoTrustedValue."""
        return self._constant("flash_point")

    @property
    def autoignition_temperature(self) -> Quantity:
        """Temperature at which its vapour catches fire in air by itself (K). Raises: as above."""
        return self._constant("autoignition_temperature")

    @property
    def melting_point(self) -> Quantity:
        """Melting point at 1 atm (K). Raises: NoTrustedValue."""
        return self._constant("melting_point")

    @property
    def boiling_point(self) -> Quantity:
        """Normal boiling point, at 1 atm (K). Raises: NoTrustedValue."""
        return self._constant("boiling_point")

    @property
    def source(self) -> str:
        """The sources of all records, each named once."""
        return "; ".join(dict.fromkeys(record.source for record in self.records.values()))

    def record(self, name: str) -> LiquidRecord:
        """The record of the property ``name``. Raises: NoTrustedValue, if there is none."""
        if name not in self.records:
            raise NoTrustedValue(
                tr(
                    "There is no trusted {in_words} of {name}: {why_without}. Take the value from "
                    "a cited handbook.",
                    in_words=_in_words(name),
                    name=self.name,
                    why_without=self._why_without(name),
                )
            )
        return self.records[name]

    def value(self, name: str, temperature: Any) -> Quantity:
        """The property ``name`` at ``temperature``, scalar or array. Raises: as ``density``."""
        T = magnitude("temperature", temperature, "K", above=0)
        record = self.record(name)
        self._require_inside(name, record, T)
        values = record.at(T)
        return Quantity(float(values) if values.ndim == 0 else values, record.unit)

    def _why_without(self, name: str) -> str:
        if name in self.refused:
            return self.refused[name]
        known = ", ".join(_in_words(known) for known in sorted(self.records)) or tr("nothing")
        return tr("the table holds {known}", known=known)

    def _constant(self, name: str) -> Quantity:
        record = self.record(name)
        return Quantity(record.values[0], record.unit)

    def _require_inside(self, name: str, record: LiquidRecord, T: ArrayLike) -> None:
        if record.valid is None:
            return
        low, high = record.valid
        outside = np.extract((np.asarray(T) < low) | (np.asarray(T) > high), T)
        if outside.size:
            first = float(outside[0])
            raise OutOfRange(
                tr(
                    "The {in_words} of {name} is known from {both} to {high}; {first} lies "
                    "outside{because_solid}.",
                    in_words=_in_words(name),
                    name=self.name,
                    both=_both(low),
                    high=_both(high),
                    first=_both(first),
                    because_solid=self._because_solid(first),
                )
            )

    def _because_solid(self, T: float) -> str:
        melting = self.records.get("melting_point")
        if melting is None or melting.values[0] <= T:
            return ""
        return tr(
            " and {name} is solid there (it melts at {both})",
            name=self.name,
            both=_both(melting.values[0]),
        )


def liquid(name: str) -> Liquid:
    """The liquid called ``name``: a name, an alias or a CAS number, in any case.

    Raises: UnknownLiquid, with near matches, or with the isomers that the name could mean.
    """
    by_name = _by_name()
    key = _key(name)
    if key in by_name:
        return by_name[key]
    raise UnknownLiquid(_why_unknown(name, key))


def liquids() -> tuple[Liquid, ...]:
    """All liquids of the table, in its order."""
    return _table()[0]


def liquid_names() -> tuple[str, ...]:
    """The names of all liquids of the table, in its order."""
    return tuple(found.name for found in _table()[0])


def _why_unknown(name: str, key: str) -> str:
    shown = f'"{name[:60]}…"' if len(name) > 60 else f'"{name}"'
    isomers = _table()[1].get(key)
    if isomers:
        return tr(
            "{shown} does not say which liquid: write {isomers}.",
            shown=shown,
            isomers=tr(" or ").join(isomers),
        )
    near = [] if len(name) > _LONGEST_NAME else difflib.get_close_matches(key, _by_name(), n=3)
    if near:
        names = dict.fromkeys(_by_name()[match].name for match in near)
        return tr(
            "{shown} is not in the table of liquids. Near it: {names}.",
            shown=shown,
            names=", ".join(names),
        )
    some = ", ".join(liquid_names()[::9])
    return tr(
        "{shown} is not in the table of {number} liquids. It holds {some} and others.",
        shown=shown,
        number=len(liquid_names()),
        some=some,
    )


@cache
def _table() -> tuple[tuple[Liquid, ...], Mapping[str, list[str]]]:
    text = (resources.files("potash") / "properties" / "data" / "liquids.json").read_text("utf-8")
    document = json.loads(text)
    ambiguous = {_key(name): isomers for name, isomers in document["ambiguous"].items()}
    return tuple(_liquid(entry) for entry in document["liquids"]), ambiguous


@cache
def _by_name() -> Mapping[str, Liquid]:
    return {
        _key(name): found
        for found in _table()[0]
        for name in (found.name, found.cas, *found.aliases)
    }


def reference_rows(found: Liquid, temperatures: Sequence[float]) -> tuple[tuple[str, ...], ...]:
    """What is known of a liquid, for a table: property, values, kind, source and gate.

    temperatures: K; a constant has one value in the first of their columns. A property without a
    value there says so.
    """
    rows = []
    for name in _SHOWN_IN:
        record = found.records.get(name)
        if record is None:
            because = found.refused.get(name, tr("no published value that passed its gate"))
            rows.append((_in_words(name), *(tr("no data") for _ in temperatures), "", because, ""))
            continue
        unit, factor = _SHOWN_IN[name]
        rows.append(
            (
                f"{_in_words(name)}, {unit}",
                *(_shown_at(record, T, i, factor) for i, T in enumerate(temperatures)),
                _KINDS[record.kind],
                record.source if record.method in record.source else _cited(record),
                record.gate or tr("written by hand"),
            )
        )
    return tuple(rows)


def reference_table(temperature: Any = "200 degC") -> "pandas.DataFrame":
    """The reference table of all liquids: each property at 25 °C and at ``temperature``.

    Returns: a data frame, one row a liquid and property: liquid, cas, property, the two values
    with the unit beside the property's name, kind, source, gate.
    Raises: as ``magnitude``, for text that is no temperature.
    """
    import pandas

    T = float(magnitude("temperature", temperature, "K", above=0))
    columns = (
        "property",
        "at 25 °C",
        f"at {T - 273.15:.0f} °C",
        "kind",
        "source",
        "gate",
    )
    rows = [
        {"liquid": one.name, "cas": one.cas, **dict(zip(columns, row, strict=True))}
        for one in liquids()
        for row in reference_rows(one, (298.15, T))
    ]
    return pandas.DataFrame(rows)


def _cited(record: LiquidRecord) -> str:
    return f"{record.method}: {record.source}"


def _shown_at(record: LiquidRecord, T: float, column: int, factor: float) -> str:
    if record.valid is None:
        value = record.values[0] - 273.15
        return show_number(value, 4 if abs(value) >= 100 else 3) if column == 0 else ""
    return show_number(record.value_at(T) * factor, 4) if record.covers(T) else "no data"


def liquid_from_records(
    name: str,
    cas: str,
    formula: str,
    smiles: str,
    records: Mapping[str, Mapping[str, Any]],
    estimates: Mapping[str, Mapping[str, Any]],
) -> Liquid:
    """A liquid outside the table, from records as ``published`` makes them; hazards unknown."""
    return Liquid(
        name,
        cas,
        formula,
        (),
        {key: _record(fields) for key, fields in records.items()},
        smiles,
        {key: _record(fields) for key, fields in estimates.items()},
    )


def _liquid(entry: Mapping[str, Any]) -> Liquid:
    return Liquid(
        entry["name"],
        entry["cas"],
        entry["formula"],
        tuple(entry["aliases"]),
        {name: _record(fields) for name, fields in entry["records"].items()},
        entry["smiles"],
        {name: _record(fields) for name, fields in entry["estimates"].items()},
        tuple(entry["hazards"]),
        entry["forms_peroxides"],
        entry["without_flash_point"],
        entry["refused"],
    )


def _record(fields: Mapping[str, Any]) -> LiquidRecord:
    points = {name: tuple(fields[name]) for name in ("temperatures", "values")}
    return LiquidRecord(**{**fields, **points})


def _key(name: str) -> str:
    return " ".join(name[: _LONGEST_NAME + 1].casefold().split())


def _in_words(name: str) -> str:
    return _NAMES.get(name, name.replace("_", " "))


def _both(T: float) -> str:
    return f"{show(Quantity(T, 'K'), 5)} ({T - 273.15:.1f} °C)".replace("(-", "(−")
