"""pH of strong bases and of their mixtures with acids, with activity coefficients."""

import math
from dataclasses import dataclass

from potash.units import Quantity, QuantityLike, magnitude
from potash.words import later, tr

DEBYE_SLOPE = 0.509  # at 25 °C, kg^(1/2) mol^(-1/2), CRC Handbook of Chemistry and Physics
HIGHEST_STRENGTH = 0.5  # mol/L, where Davies' equation still holds to some per cent
ACIDS = {later("hydrochloric acid"): None, later("acetic acid"): 4.756}
"""pKa at 25 °C and zero ionic strength; None for a strong acid. CRC Handbook (from memory)."""

_ION_PRODUCT = (-4.098, -3245.2, 2.2362e5, -3.984e7)
_ION_PRODUCT_DENSITY = (13.957, -1262.3, 8.5641e5)


@dataclass(frozen=True, slots=True)
class AcidityRange:
    """A calculated pH with what limits it.

    ph: by activity. by_concentration: what leaving activities out would give.
    ionic_strength: mol/L. limits: in words; empty where the equation holds.
    """

    ph: float
    by_concentration: float
    ionic_strength: float
    limits: tuple[str, ...]


def activity_coefficient(ionic_strength: float) -> float:
    r"""Mean activity coefficient of an ion of charge one at 25 °C, ionic strength in mol/L.

    .. math:: \log_{10}\gamma = -A\left(\frac{\sqrt I}{1 + \sqrt I} - 0.3\,I\right)

    Beyond 0.5 mol/L it is held at its value there.
    Source: Davies, Ion Association (1962), eq. 3.13 (number from memory).
    """
    strength = min(ionic_strength, HIGHEST_STRENGTH)
    root = math.sqrt(strength)
    return float(10 ** (-DEBYE_SLOPE * (root / (1 + root) - 0.3 * strength)))


def water_ion_product(temperature: QuantityLike) -> float:
    r"""pKw of water at its own vapour pressure, molal scale, 0 to 100 °C.

    .. math:: \log K_w = A + B/T + C/T^2 + D/T^3 + (E + F/T + G/T^2)\log_{10}(\rho/(g\,cm^{-3}))

    Raises: OutOfBounds, UnreadableQuantity, WrongDimension.
    Source: Marshall and Franck, J. Phys. Chem. Ref. Data 10 (1981) 295, eq. 4.
    """
    T = magnitude("temperature", temperature, "K", at_least=273.15, at_most=373.15)
    return _ion_product(T)


def _ion_product(T: float) -> float:
    from potash.properties.liquids import liquid

    density = float(liquid("water").record("density").at(max(T, 273.16))) / 1000
    plain = sum(a / T**power for power, a in enumerate(_ION_PRODUCT))
    dense = sum(a / T**power for power, a in enumerate(_ION_PRODUCT_DENSITY))
    return float(-(plain + dense * math.log10(density)))


def base_ph(concentration: QuantityLike, temperature: QuantityLike = "25 °C") -> AcidityRange:
    """pH of a strong base alone. Raises: as ``magnitude``."""
    c = magnitude("concentration", concentration, "mol/L", above=0)
    return mixture_ph(Quantity(c, "mol/L"), "0 mol/L", temperature=temperature)


def mixture_ph(
    base: QuantityLike,
    acid: QuantityLike,
    *,
    acid_name: str = "hydrochloric acid",
    temperature: QuantityLike = "25 °C",
) -> AcidityRange:
    r"""pH of a strong base and an acid of one proton in the same solution.

    .. math:: [M^+] + [H^+] = [OH^-] + [A^-], \quad a_{H} a_{OH} = K_w, \quad
              a_H [A^-]\gamma / [HA] = K_a

    Parameters: base, acid: total concentrations in the mixture.
    Raises: OutOfBounds, UnreadableQuantity, WrongDimension.
    Source: charge balance with Davies activity coefficients.
    """
    b = magnitude("base", base, "mol/L", at_least=0)
    a = magnitude("acid", acid, "mol/L", at_least=0)
    T = magnitude("temperature", temperature, "K", at_least=273.15, at_most=373.15)
    pKw, pKa = _ion_product(T), ACIDS[acid_name]
    strength = max(b, min(a, b) if pKa is not None else a)
    gamma = activity_coefficient(strength)
    return AcidityRange(
        ph=_solved(b, a, pKw, pKa, gamma),
        by_concentration=_solved(b, a, pKw, pKa, 1.0),
        ionic_strength=strength,
        limits=_limits(strength, T),
    )


def _solved(base: float, acid: float, pKw: float, pKa: float | None, gamma: float) -> float:
    from scipy.optimize import brentq

    def charge(ph: float) -> float:
        activity: float = 10.0**-ph
        hydroxide: float = 10.0 ** (ph - pKw) / gamma
        dissociated = 1.0 if pKa is None else 1 / (1 + activity * gamma / 10.0**-pKa)
        return base + activity / gamma - hydroxide - acid * dissociated

    return float(brentq(charge, -2.0, 17.0, xtol=1e-6))


def _limits(strength: float, T: float) -> tuple[str, ...]:
    found = []
    if strength > HIGHEST_STRENGTH:
        found.append(
            tr(
                "At {strength:.2g} mol/L the activity equation no longer holds (its end is "
                "{highest:g} mol/L): the pH is a rough figure; use indicator paper.",
                strength=strength,
                highest=HIGHEST_STRENGTH,
            )
        )
    if abs(T - 298.15) > 10:
        found.append(tr("Activity coefficients are those of 25\u00a0°C."))
    return tuple(found)
