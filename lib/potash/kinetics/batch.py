"""What is in the flask, in plain floats: the charge sheet as the integrator sees it."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from potash.charge.stoichiometry import GAS_CONSTANT, density_of, dosing, mass_of, weigh
from potash.formulas import molar_mass
from potash.kinetics.errors import RouteNotModelled
from potash.kinetics.network import Composition, composition
from potash.preparation import Catalyst, Pour, Preparation, Reagent
from potash.properties.liquids import liquid
from potash.words import tr
from potash.words.tables import read_toml

ROOM = 293.15  # K, where heating begins


@dataclass(frozen=True, slots=True)
class Batch:
    """One flask, SI floats throughout.

    hydroxide, water, reductant: amounts charged (mol); reductant_mass: of pure reductant (kg).
    alcohol: amount of catalyst in the preparation (mol); alcohol_volume: the same as poured (m3).
    liquid_volume: as poured (m3); its expansion on heating is neglected.
    temperature: of the working liquid (K); vent_temperature (K) and vent_pressure (Pa): of the gas.
    alcohol_class: "primary", "secondary" or "tertiary".
    doses: into how many parts the preparation divides its catalyst.
    """

    metal: str
    alcohol_name: str
    alcohol_formula: str
    alcohol_class: str
    hydroxide: float
    water: float
    reductant: float
    reductant_mass: float
    alcohol: float
    alcohol_volume: float
    liquid_volume: float
    temperature: float
    vent_temperature: float
    vent_pressure: float
    doses: int

    @property
    def composition(self) -> Composition:
        """What each species of the network is made of here."""
        return composition(self.metal, self.alcohol_formula)

    @property
    def moles_per_volume_of_alcohol(self) -> float:
        """Amount in a volume of alcohol as it is measured out (mol/m3)."""
        return self.alcohol / self.alcohol_volume

    @property
    def vent_molar_volume(self) -> float:
        """Volume of a mole of ideal gas at the vent (m3/mol)."""
        return GAS_CONSTANT * self.vent_temperature / self.vent_pressure

    @property
    def yield_basis(self) -> float:
        """What a yield is a share of (mol): the most metal; where that is 0, the hydroxide."""
        return self.most_metal or self.hydroxide

    @property
    def most_metal(self) -> float:
        """Amount of metal (mol) at which hydroxide or reductant runs out, water served first."""
        return max(min(self.hydroxide, self.reductant - self.water), 0.0)


def batch(preparation: Preparation) -> Batch:
    """The flask that ``preparation`` describes.

    Raises: RouteNotModelled, if it is not an alkali hydroxide with magnesium, an alcohol of the
    table as catalyst and a liquid to work in.
    """
    hydroxide, reductant = preparation.metal_source, preparation.reductant
    catalyst = _demand_route(preparation, hydroxide, reductant)
    weighed = {one.role: one for one in map(weigh, preparation.reagents)}
    dose = dosing(catalyst, tuple(weighed.values()))
    water = sum(one.water.m_as("g") for one in weighed.values()) / molar_mass("H2O").m_as("g/mol")
    name = liquid(catalyst.name).name
    assert preparation.liquid is not None
    return Batch(
        metal=preparation.metal,
        alcohol_name=name,
        alcohol_formula=liquid(name).formula,
        alcohol_class=alcohol_classes()[name],
        hydroxide=weighed[hydroxide.role].amount.m_as("mol"),
        water=water,
        reductant=weighed[reductant.role].amount.m_as("mol"),
        reductant_mass=weighed[reductant.role].pure.m_as("kg"),
        alcohol=dose.amount.m_as("mol"),
        alcohol_volume=_volume(catalyst),
        liquid_volume=_volume(preparation.liquid),
        temperature=preparation.temperature.m_as("K"),
        vent_temperature=preparation.vent.temperature.m_as("K"),
        vent_pressure=preparation.vent.pressure.m_as("Pa"),
        doses=catalyst.doses,
    )


@cache
def alcohol_classes() -> Mapping[str, str]:
    """The class of each alcohol that the model knows, by the name in the table of liquids."""
    table = read_toml("kinetics/data/alcohols.toml")
    return {name: entry["class"] for name, entry in table.items()}


def _demand_route(preparation: Preparation, source: Reagent, reductant: Reagent) -> Catalyst:
    if source.role != "hydroxide" or source.formula != f"{preparation.metal}OH":
        raise RouteNotModelled(
            tr(
                "The metal comes from {source} here. The run follows the catalysed route from an "
                "alkali hydroxide, such as KOH; energies of other routes are in chapter 3.",
                source=source.formula,
            )
        )
    if reductant.formula != "Mg":
        raise RouteNotModelled(
            tr(
                "The reductant is {reductant} here. The run has teaching values for magnesium "
                'only: give [reagents.reductant] formula = "Mg".',
                reductant=reductant.formula,
            )
        )
    if preparation.liquid is None or preparation.catalyst is None:
        missing = "[liquid]" if preparation.liquid is None else "[catalyst]"
        raise RouteNotModelled(
            tr(
                "The preparation has no {missing}. The catalysed route needs a liquid to work in "
                'and an alcohol, such as: [catalyst] name = "2-methyl-2-butanol", volume = "0.90 '
                'mL".',
                missing=missing,
            )
        )
    name = liquid(preparation.catalyst.name).name
    if name not in alcohol_classes():
        raise RouteNotModelled(
            tr(
                "The catalyst is {name}, which is no alcohol of the model. It knows: "
                "{alcohol_classes}.",
                name=name,
                alcohol_classes=", ".join(alcohol_classes()),
            )
        )
    return preparation.catalyst


def _volume(poured: Pour) -> float:
    """Volume of a poured liquid (m3), as measured or from its mass and density."""
    if poured.volume is not None:
        return float(poured.volume.m_as("m^3"))
    return float((mass_of(poured) / density_of(poured)).m_as("m^3"))
