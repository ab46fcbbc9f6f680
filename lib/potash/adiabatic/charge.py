"""The heat of a weighed charge: water first, then the reduction, all at once, nothing lost."""

from dataclasses import dataclass

import numpy as np

from potash.adiabatic.balance import Heating, heating_si, run_to_the_end
from potash.charge import Charge
from potash.properties.curves import Floats
from potash.properties.liquid_heat import liquid_heat
from potash.properties.liquids import liquid as liquid_record
from potash.reactions import Reaction
from potash.units import Quantity, QuantityLike, magnitude

_WHERE_MEASURED = 298.15  # K
# Volumes for a whole charge at which a curve is worked out, mL: close together where it bends.
_VOLUMES = np.concatenate([np.linspace(0, 320, 129), np.geomspace(330, 6000, 40)])


def charge_heating(
    charge: Charge,
    *,
    start: QuantityLike,
    liquid: str,
    volume: QuantityLike,
    share: QuantityLike = "100 %",
) -> Heating:
    """Where the temperature ends if a ``share`` of the charge reacts at once in the liquid.

    Parameters: start, a temperature, taken as the boiling point of the liquid if that is lower;
    liquid, a name with a heat capacity; volume, of it at 25 °C; share, of the charge: the rest
    counts as not yet added. Water that came with the reagents counts as steam above 373 K.
    Raises: as ``adiabatic_heating``.
    """
    part = float(magnitude("share", share, "", above=0, at_most=1))
    litres = float(magnitude("volume", volume, "m^3", at_least=0))
    T = float(magnitude("start", start, "K", above=0))
    T = min(T, liquid_heat(liquid).boiling_point_si)
    before = {formula: part * moles for formula, moles in _before(charge).items()}
    after = run_to_the_end(before, _reactions(charge))
    mass = litres * liquid_record(liquid).records["density"].at(_WHERE_MEASURED)
    return heating_si(before, after, T, liquid if litres else None, float(mass))


@dataclass(frozen=True, slots=True, eq=False)
class HeatingCurve:
    """End temperatures of one charge in one liquid over its volume.

    volumes: mL for the whole charge, ends: K, both shape (n,).
    """

    volumes: Floats
    ends: Floats

    def ends_si(self, volumes: Floats, share: float) -> Floats:
        """End temperatures (K) with ``volumes`` (mL), if a ``share`` (0 to 1) reacts at once.

        Only the ratio of liquid to what reacts counts: half a charge in half the liquid ends where
        the whole ends. Straight lines between the points of the curve.
        """
        values: Floats = np.interp(volumes / share, self.volumes, self.ends)
        return values


def heating_curve(charge: Charge, *, start: QuantityLike, liquid: str) -> HeatingCurve:
    """``charge_heating`` of the whole charge in volumes from nothing to 6 L.

    Raises: as ``charge_heating``.
    """
    ends = [
        charge_heating(charge, start=start, liquid=liquid, volume=Quantity(float(one), "mL")).end
        for one in _VOLUMES
    ]
    return HeatingCurve(_VOLUMES, np.array([end.m_as("K") for end in ends]))


def _before(charge: Charge) -> dict[str, float]:
    """Amounts of the reagents and of their water, mol."""
    amounts = {one.formula: float(one.amount.m_as("mol")) for one in charge.weighed}
    water = float(charge.water.water.m_as("mol"))
    return amounts | ({"H2O": amounts.get("H2O", 0.0) + water} if water else {})


def _reactions(charge: Charge) -> tuple[Reaction, ...]:
    main = Reaction(charge.preparation.equation)
    water = charge.water.equation
    return (main,) if water is None else (Reaction(water), main)
