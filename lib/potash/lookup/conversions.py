"""How a quantity that somebody types is read, and what it is in other units of its kind."""

from dataclasses import dataclass

from potash.units import DIMENSIONS, Quantity, Reading, read, show_number, show_unit

# Units that people of this trade write for each kind of quantity, in Pint's spelling.
_CUSTOMARY = {
    "mass": ("mg", "g", "kg"),
    "volume": ("uL", "mL", "L", "m**3"),
    "amount": ("umol", "mmol", "mol"),
    "length": ("um", "mm", "cm", "m"),
    "area": ("mm**2", "cm**2", "m**2"),
    "time": ("s", "min", "h", "d"),
    "temperature": ("K", "degC", "degF"),
    "temperature difference": ("K", "delta_degC", "delta_degF"),
    "pressure": ("Pa", "hPa", "kPa", "bar", "atm", "mmHg"),
    "force": ("mN", "N"),
    "energy": ("J", "kJ", "cal", "kcal"),
    "power": ("mW", "W", "kW"),
    "density": ("g/mL", "kg/m**3", "kg/L"),
    "concentration": ("mol/L", "mmol/L", "mol/m**3"),
    "molar mass": ("g/mol", "kg/mol"),
    "molar volume": ("L/mol", "mL/mol", "m**3/mol"),
    "molar energy": ("J/mol", "kJ/mol", "kcal/mol"),
    "molar entropy": ("J/K/mol", "kJ/K/mol", "cal/K/mol"),
    "specific energy": ("J/g", "kJ/kg"),
    "specific heat capacity": ("J/g/K", "kJ/kg/K"),
    "heat capacity": ("J/K", "kJ/K"),
    "heat transfer coefficient": ("W/m**2/K",),
    "thermal conductivity": ("W/m/K",),
    "velocity": ("mm/s", "cm/s", "m/s"),
    "rate": ("1/s", "1/min", "1/h"),
    "mass flow": ("g/min", "g/h", "kg/h"),
    "volume flow": ("mL/min", "L/min", "L/h", "m**3/h", "m**3/s"),
    "molar flow": ("mmol/min", "mol/h", "mol/s"),
    "viscosity": ("mPa*s", "Pa*s", "cP"),
    "diffusivity": ("m**2/s", "cm**2/s"),
    "surface tension": ("mN/m", "N/m"),
    "fraction": ("percent", "ppm"),
}

_FEWEST = 3  # figures of a conversion: 1 bar is 750 mmHg, not 800


@dataclass(frozen=True, slots=True)
class Conversion:
    """The same quantity in another unit, as people write both."""

    value: str
    unit: str


@dataclass(frozen=True, slots=True)
class Told:
    """What a typed quantity says: how it was read, of which kind it is, and its conversions.

    kinds: every kind of quantity with these dimensions; () where it has no name here.
    """

    reading: Reading
    read_as: str
    figures: int
    kinds: tuple[str, ...]
    conversions: tuple[Conversion, ...]


def tell(text: str, *, difference: bool = False) -> Told:
    """How ``text`` is read, and the same in other units of its kind.

    With ``difference`` "25 °C" is a rise of temperature.

    Raises: UnreadableQuantity and AmbiguousQuantity, as ``potash.units.read``.
    """
    reading = read(text, difference=difference)
    kinds = _kinds(reading, difference)
    figures = max(reading.figures, 1)
    number = show_number(reading.value, figures)
    units = _CUSTOMARY.get(kinds[0], ()) if kinds else ()
    return Told(
        reading=reading,
        read_as=f"{number}\u00a0{show_unit(reading.unit)}".strip(),
        figures=reading.figures,
        kinds=kinds,
        conversions=tuple(_converted(reading, unit) for unit in units),
    )


def _kinds(reading: Reading, difference: bool) -> tuple[str, ...]:
    difference = difference or "delta_" in reading.unit
    found = tuple(
        one.name
        for one in DIMENSIONS.values()
        if one.exponents == reading.dimension and one.name != "number"
    )
    apart = "temperature" if difference else "temperature difference"
    return tuple(name for name in found if name != apart)


def _converted(reading: Reading, unit: str) -> Conversion:
    quantity = Quantity(reading.value, reading.unit or "dimensionless").to(unit)
    # 298.15 lies a hair below itself in binary, and would round down.
    number = float(quantity.magnitude) * (1 + 1e-12)
    return Conversion(show_number(number, _figures(reading, number, unit)), show_unit(unit))


def _figures(reading: Reading, number: float, unit: str) -> int:
    """The figures that were typed, and never fewer than three.

    Between temperature scales it is the decimal places that stay: 25 °C is 298 K.
    """
    scales = ("degC", "degF", "K")
    if reading.unit == unit or reading.unit not in scales or unit not in scales:
        return max(reading.figures, _FEWEST if reading.unit != unit else 1)
    places = max(reading.figures - _whole_digits(reading.value), 0)
    return _whole_digits(number) + places


def _whole_digits(number: float) -> int:
    return len(str(int(abs(number))))
