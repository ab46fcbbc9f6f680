"""Vapour pressure of the liquid that a gas was collected over."""

import math
from functools import cache
from typing import Any

from potash.errors import PotashError
from potash.properties.errors import OutOfRange
from potash.units import Quantity, magnitude
from potash.words import tr
from potash.words.tables import read_csv

_CRITICAL_TEMPERATURE, _CRITICAL_PRESSURE = 647.096, 22.064e6  # K, Pa
_POWERS = (1.0, 1.5, 3.0, 3.5, 4.0, 7.5)
_COEFFICIENTS = (-7.85951783, 1.84408259, -11.7866497, 22.6807411, -15.9618719, 1.80122502)


class UnknownSealLiquid(PotashError):
    """No vapour pressure of this liquid is held."""


def vapour_pressure(liquid: str, temperature: Any) -> Quantity:
    """Vapour pressure of "water" or of an alcohol at ``temperature``, hPa.

    Raises: UnknownSealLiquid; OutOfRange; OutOfBounds, UnreadableQuantity, WrongDimension.
    Source: see ``water_si`` and ``alcohol_si``.
    """
    T = magnitude("temperature", temperature, "K", above=0)
    return Quantity(vapour_pressure_si(liquid, T) / 100, "hPa")


def vapour_pressure_si(liquid: str, T: float) -> float:
    """Vapour pressure, Pa, at ``T`` (K). Raises: UnknownSealLiquid, OutOfRange."""
    if liquid == "water":
        return water_si(T)
    if liquid == "none":
        return 0.0
    return alcohol_si(liquid, T)


def water_si(T: float) -> float:
    r"""Vapour pressure of water, Pa, at ``T`` (K) from 273.15 K to the critical point.

    .. math:: \ln(p/p_c) = (T_c/T) \sum a_i \tau^{k_i}, \quad \tau = 1 - T/T_c

    Raises: OutOfRange.
    Source: Wagner and Pruss, J. Phys. Chem. Ref. Data 22 (1993) 783; IAPWS SR1-86(1992).
    """
    if not 273.15 <= T <= _CRITICAL_TEMPERATURE:
        raise OutOfRange(
            tr(
                "The vapour pressure of liquid water is known from 0 to 374\u00a0°C; "
                "{temperature:.1f}\u00a0°C lies outside. Give the temperature of the collected "
                "gas, such as 21.5 °C.",
                temperature=T - 273.15,
            )
        )
    tau = 1 - T / _CRITICAL_TEMPERATURE
    terms = sum(a * tau**k for a, k in zip(_COEFFICIENTS, _POWERS, strict=True))
    return _CRITICAL_PRESSURE * math.exp(_CRITICAL_TEMPERATURE / T * terms)


def alcohol_si(liquid: str, T: float) -> float:
    r"""Vapour pressure of an alcohol, Pa, at ``T`` (K).

    .. math:: \log_{10}(p/Pa) = A - B / (T + C)

    A few kelvin below the range of the fit it is carried on, by at most 5 K.
    Raises: UnknownSealLiquid, OutOfRange.
    Source: Antoine constants of Poling, Prausnitz and O'Connell, 5th ed. (2001), appendix A.
    """
    if liquid not in _antoine():
        held = ", ".join(("water", *_antoine(), "none"))
        raise UnknownSealLiquid(
            tr(
                'No vapour pressure of "{liquid}" is held; there are: {held}.',
                liquid=liquid[:60],
                held=held,
            )
        )
    A, B, C, low, high = _antoine()[liquid]
    if not low - 5 <= T <= high:
        raise OutOfRange(
            tr(
                "The vapour pressure of {liquid} is known from {low:.0f} to {high:.0f}\u00a0°C; "
                "{temperature:.1f}\u00a0°C lies outside.",
                liquid=liquid,
                low=low - 273.15,
                high=high - 273.15,
                temperature=T - 273.15,
            )
        )
    return float(10 ** (A - B / (T + C)))


@cache
def _antoine() -> dict[str, tuple[float, float, float, float, float]]:
    return {
        row["liquid"]: tuple(float(row[key]) for key in ("A", "B", "C", "low", "high"))  # type: ignore[misc]
        for row in read_csv("yields/data/antoine.csv")
    }
