"""Gas volumetry: metal from the hydrogen that it gives."""

from dataclasses import dataclass
from typing import Any

from potash.errors import PotashError
from potash.formulas import molar_mass
from potash.properties.liquids import liquid
from potash.properties.metals import metal as metal_named
from potash.units import Quantity, magnitude, read, show
from potash.words import tr
from potash.yields.budget import BadMeasurement, Measured, Result, measured, result
from potash.yields.vapour import vapour_pressure_si

GAS_CONSTANT = 8.314462618  # J/(mol K), CODATA 2018
GRAVITY = 9.80665  # m/s2, standard acceleration of free fall
_LOWEST, _HIGHEST = 5.0e4, 1.1e5  # Pa, barometer from high mountains to a strong high
_COMMON = (("mmHg", 133.322), ("mbar", 100.0), ("hPa", 100.0), ("kPa", 1e3))

Pair = tuple[Any, Any]


@dataclass(frozen=True, slots=True)
class Volumetry:
    """What a collected volume of hydrogen says: two moles of metal for each mole of it."""

    hydrogen: Result
    metal_mass: Result
    purity: Result
    vapour_pressure: Quantity
    gas_pressure: Quantity
    notes: tuple[str, ...]


def gas_volumetry(
    *,
    metal: str,
    sample: Pair,
    volume: Pair,
    temperature: Pair,
    barometer: Pair,
    over: str = "water",
    level: Pair = ("0 mm", "1 mm"),
    leak: Pair = ("0 mL", "0 mL"),
) -> Volumetry:
    r"""Metal in a sample from the volume of hydrogen that it gave with an alcohol or with water.

    .. math:: n(H_2) = \frac{(p_{bar} - p_{vap}(T) - \rho g h)(V - V_{leak})}{R T}, \quad
              w = \frac{2\,n(H_2)\,M}{m}

    Parameters: each pair is a value and its standard uncertainty. over, the liquid the gas stands
    over ("none" for a dry one); level, how much higher it stands inside than outside; leak, air
    that a leak test of the same length let in.
    Raises: BadMeasurement, OutOfRange, UnknownSealLiquid, UnknownMetal, and what ``magnitude``
    raises; each names what came and a line that works.
    Source: ideal gas; JCGM 100:2008 (GUM).
    """
    from uncertainties import nominal_value

    symbol = metal_named(metal).symbol
    inputs = _inputs(sample, volume, temperature, barometer, level, leak)
    m, V, T, p, h, lost = (inputs[name].variable for name in inputs)
    vapour = _vapour(over, T)
    pressure = p - vapour - _density(over) * GRAVITY * h
    _demand_sense(nominal_value(pressure), nominal_value(V - lost), inputs)
    n = pressure * (V - lost) / (GAS_CONSTANT * T)
    mass = 2 * n * float(molar_mass(symbol).m_as("kg/mol"))
    return Volumetry(
        hydrogen=result(tr("Hydrogen"), n, "mmol", 1e3),
        metal_mass=result(tr("{symbol} by its hydrogen", symbol=symbol), mass, "g", 1e3),
        purity=result(tr("Purity by gas volumetry"), mass / m, "percent", 100.0),
        vapour_pressure=Quantity(nominal_value(vapour) / 100, "hPa"),
        gas_pressure=Quantity(nominal_value(pressure) / 100, "hPa"),
        notes=_notes(over),
    )


def barometer_reading(reading: Any) -> float:
    """A barometer reading in Pa, if it is one that an atmosphere can have.

    Raises: BadMeasurement, naming the unit that was probably meant.
    """
    p = float(magnitude("barometer", reading, "Pa", above=0))
    if _LOWEST <= p <= _HIGHEST:
        return p
    number = _leading_number(reading)
    meant = [unit for unit, factor in _COMMON if number and _LOWEST <= number * factor <= _HIGHEST]
    hint = (
        tr(" Was {number:g} {meant} meant?", number=number, meant=tr(" or ").join(meant))
        if meant
        else ""
    )
    raise BadMeasurement(
        tr(
            "The barometer is given as {reading}, which is {pressure}; the atmosphere has 500 to "
            '1100 hPa.{hint} A line that works: "1013 hPa".',
            reading=reading,
            pressure=show(Quantity(p / 100, "hPa")),
            hint=hint,
        )
    )


def _inputs(
    sample: Pair, volume: Pair, temperature: Pair, barometer: Pair, level: Pair, leak: Pair
) -> dict[str, Measured]:
    barometer_reading(barometer[0])
    found = (
        measured(tr("sample mass"), *sample, "kg"),
        measured(tr("gas volume"), *volume, "m^3"),
        measured(tr("gas temperature"), *temperature, "K"),
        measured(tr("barometer"), *barometer, "Pa"),
        measured(tr("level difference"), *level, "m"),
        measured(tr("leak"), *leak, "m^3"),
    )
    for one in found[:3]:
        if one.value <= 0:
            raise BadMeasurement(tr("The {name} must be above zero.", name=one.name))
    return {one.name: one for one in found}


def _vapour(over: str, T: Any) -> Any:
    from uncertainties import nominal_value, wrap

    vapour_pressure_si(over, nominal_value(T))  # refuses in its own words, before the derivative
    return wrap(lambda t: vapour_pressure_si(over, t))(T)


def _density(over: str) -> float:
    if over == "none":
        return 0.0
    return float(liquid(over).record("density").at(298.15))


def _demand_sense(pressure: float, volume: float, inputs: dict[str, Measured]) -> None:
    if pressure <= 0:
        raise BadMeasurement(
            tr(
                "Vapour and level difference together exceed the barometer: no gas would be left. "
                "Check the level difference of {level_difference:g} mm and the temperature.",
                level_difference=inputs["level difference"].value * 1000.0,
            )
        )
    if volume <= 0:
        raise BadMeasurement(
            tr(
                "The leak test let in {leak:g} mL, as much as was collected ({gas_volume:g} mL). "
                "Seal the apparatus and measure again.",
                leak=inputs["leak"].value * 1000000.0,
                gas_volume=inputs["gas volume"].value * 1000000.0,
            )
        )


def _leading_number(reading: Any) -> float | None:
    try:
        return read(reading).value if isinstance(reading, str) else float(reading.magnitude)
    except (PotashError, AttributeError, TypeError):
        return None


def _notes(over: str) -> tuple[str, ...]:
    notes = [tr("Counted is hydrogen from metal only; oxide and hydroxide give none.")]
    if over not in ("water", "none"):
        notes.append(
            tr(
                "Over {over} the vapour takes more of the volume than over water, and its "
                "pressure rises faster with temperature: read the thermometer in the gas.",
                over=over,
            )
        )
    return tuple(notes)
