"""The same charge met by water: heat, gas, ignition, and why not."""

from dataclasses import dataclass
from typing import Any

from potash.formulas import molar_mass
from potash.properties.metals import metal as metal_named
from potash.quenching.alcohols import QuenchedMetal, quenched_metals
from potash.quenching.heat import GAS_CONSTANT, water_enthalpy_si
from potash.units import Quantity, magnitude, show
from potash.words import tr

WATER_HEAT_CAPACITY = 4181.0  # J/(kg K), 25 °C, CRC Handbook, 95th ed.
STEAM_HEAT = 2.257e6  # J/kg at 100 °C, CRC Handbook, 95th ed.


@dataclass(frozen=True, slots=True)
class MetByWater:
    """What a charge of metal does to water: figures, and what no figure shows.

    rise: if all the heat spread through all the water; it does not. local_steam: mass of water
    that the same heat would boil where it is made.
    """

    metal: QuenchedMetal
    amount: Quantity
    heat: Quantity
    hydrogen: Quantity
    rise: Quantity
    local_steam: Quantity
    flammable_air: Quantity

    @property
    def reasons(self) -> tuple[str, ...]:
        """Why water is for no one, in figures where there are any."""
        name = tr(metal_named(self.metal.metal).name)
        return (
            tr(
                "It gives {heat}, all of it at once: no funnel leads it, because water is there "
                "from the start.",
                heat=show(self.heat),
            ),
            tr(
                "Spread through all the water that is {rise}; it is not spread: where it is made "
                "it would boil {local_steam} of water.",
                rise=show(self.rise),
                local_steam=show(self.local_steam),
            ),
            tr(
                "{hydrogen} of hydrogen come with it, enough to make {flammable_air} of air "
                "flammable.",
                hydrogen=show(self.hydrogen),
                flammable_air=show(self.flammable_air),
            ),
            tr("With {name} {with_water}.", name=name, with_water=self.metal.with_water),
            tr("Whatever flammable liquid or vapour is about burns with it."),
        )


def met_by_water(metal: str, mass: Any, water: Any = "100 mL") -> MetByWater:
    r"""The same charge met by water.

    .. math:: Q = n |\Delta H|, \quad V = n R T / (2 p), \quad \Delta T = Q / (m_w c_p)

    Parameters: metal, symbol or name; mass, of metal; water, its volume.
    Raises: UnknownMetal, OutOfBounds, UnreadableQuantity, WrongDimension.
    Source: enthalpies of formation of the ions; lower flammable limit 4.0 % (Zabetakis, 1965).
    """
    symbol = metal_named(metal).symbol
    n = magnitude("mass", mass, "kg", above=0) / float(molar_mass(symbol).m_as("kg/mol"))
    volume = magnitude("water", water, "m^3", above=0)
    heat = -n * water_enthalpy_si(symbol)
    gas = n / 2 * GAS_CONSTANT * 298.15 / 1.01325e5
    return MetByWater(
        metal=quenched_metals()[symbol],
        amount=Quantity(n * 1e3, "mmol"),
        heat=Quantity(heat / 1e3, "kJ"),
        hydrogen=Quantity(gas * 1e3, "L"),
        rise=Quantity(heat / (volume * 997.0 * WATER_HEAT_CAPACITY), "delta_degC"),
        local_steam=Quantity(heat / (75 * WATER_HEAT_CAPACITY + STEAM_HEAT) * 1e3, "g"),
        flammable_air=Quantity(gas / 0.04 * 1e3, "L"),
    )
