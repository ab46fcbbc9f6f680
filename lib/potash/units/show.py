"""Quantities as people like to read them: rounded, with a true minus sign and spaced units."""

import math
from functools import lru_cache

from potash.units.registry import Quantity, ureg

NO_BREAK_SPACE = "\u00a0"
NARROW_NO_BREAK_SPACE = "\u202f"
MINUS = "\u2212"

_SYMBOLS = {
    "percent": "%", "molar": "mol/L", "year": "year", "delta_degree_Celsius": "K",
}  # fmt: skip
_RAISED = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")


def show(given: Quantity, figures: int = 3, unit: str | None = None) -> str:
    """``given`` rounded to significant figures, for people: "12.3 g", "−196 kJ/mol", "473 K".

    Parameters: given, a scalar quantity; figures, 1 or more; unit, to convert to, in Pint's terms.
    Returns: text with no-break spaces that ``read`` reads back. Differences of temperature are
    shown in kelvin.
    Raises: pint.DimensionalityError, if ``given`` cannot be expressed in ``unit``.
    Source: SI Brochure, 9th ed. (2019), 5.4.3 and 5.4.4, for the spaces.
    """
    found = given.to(unit) if unit else given
    written = show_number(float(found.magnitude), figures)
    symbol = show_unit(str(found.units))
    return f"{written}{NO_BREAK_SPACE}{symbol}" if symbol else written


def show_number(number: float, figures: int = 3) -> str:
    """``number`` rounded to significant figures; beyond 0.001 to 999 999 with a power of ten."""
    if not math.isfinite(number):
        return str(number).replace("-", MINUS)
    rounded = f"{abs(number):.{figures - 1}e}"
    digits, _, power = rounded.partition("e")
    exponent = int(power)
    if -4 < exponent < 6:
        decimals = max(figures - 1 - exponent, 0)
        written = f"{float(rounded):.{decimals}f}"
        written = _grouped(written) if exponent > 3 else written
    else:
        written = f"{digits}{NO_BREAK_SPACE}×{NO_BREAK_SPACE}10{str(exponent).translate(_RAISED)}"
    return f"{MINUS}{written}" if number < 0 and float(digits) else written


@lru_cache(maxsize=1024)
def show_unit(unit: str) -> str:
    """The symbol that people write for a unit in Pint's terms: "J/(K mol)", "cm³", "°C", "%"."""
    if unit in ("", "dimensionless"):
        return ""
    powers = sorted((_symbol(name), power) for name, power in ureg.Unit(unit)._units.items())
    above = " ".join(_powered(symbol, power) for symbol, power in powers if power > 0)
    if not above:
        return " ".join(_powered(symbol, power) for symbol, power in powers)
    below = [_powered(symbol, -power) for symbol, power in powers if power < 0]
    denominator = f"({' '.join(below)})" if len(below) > 1 else "".join(below)
    return f"{above}/{denominator}" if below else above


def _symbol(name: str) -> str:
    symbol = str(_SYMBOLS.get(name) or ureg.get_symbol(name))
    if name.endswith("liter"):
        symbol = symbol.removesuffix("l") + "L"
    return symbol.replace("μ", "µ")


def _powered(symbol: str, power: float) -> str:
    return symbol if power == 1 else symbol + f"{power:g}".translate(_RAISED)


def _grouped(written: str) -> str:
    whole, point, decimals = written.partition(".")
    if len(whole) > 4:
        whole = f"{int(whole):,}".replace(",", NARROW_NO_BREAK_SPACE)
    return f"{whole}{point}{decimals}"
