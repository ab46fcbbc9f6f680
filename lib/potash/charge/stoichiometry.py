"""The amounts behind a charge sheet: reagents taken apart, water's share, the limiting reagent."""

from collections.abc import Mapping
from dataclasses import dataclass

from potash import equations
from potash.equations import Equation
from potash.formulas import molar_mass, parse
from potash.preparation import METAL_SOURCES, Catalyst, Pour, Reagent, same_substance
from potash.properties.liquids import liquid
from potash.units import Quantity, QuantityLike, magnitude

GAS_CONSTANT = 8.31446261815324
"""Molar gas constant, J/(mol K), exact. Source: CODATA 2018; R = N_A k, SI Brochure, 9th ed."""

# What a reductant becomes with water, hot and in excess: its oxide; an alkali metal its hydroxide.
# Source: Greenwood and Earnshaw, Chemistry of the Elements, 2nd ed. (1997), chapters 4, 5 and 7,
# from memory.
PRODUCT_WITH_WATER: Mapping[str, str] = {
    "Mg": "MgO", "Ca": "CaO", "Sr": "SrO", "Ba": "BaO", "Al": "Al2O3",
    "Li": "LiOH", "Na": "NaOH", "K": "KOH", "Rb": "RbOH", "Cs": "CsOH",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Weighed:
    """A reagent taken apart: mass = pure + water + impurity, and amount = pure / molar mass."""

    role: str
    formula: str
    mass: Quantity
    pure: Quantity
    water: Quantity
    impurity: Quantity
    amount: Quantity


@dataclass(frozen=True, slots=True)
class WaterShare:
    """What the water takes before any metal forms.

    equation: of the reductant with water; None, if none is known for this reductant.
    water: amount that came with the reagents.
    reductant, hydrogen: amounts of reductant taken and of hydrogen released by it.
    """

    equation: Equation | None
    water: Quantity
    reductant: Quantity
    hydrogen: Quantity

    @property
    def per_water(self) -> float:
        """Amount of reductant that one mole of water takes: 1 for magnesium, 2/3 for aluminium."""
        return _reductant_per_water(self.equation) if self.equation else 0.0


@dataclass(frozen=True, slots=True)
class Reduction:
    """The main reaction, after the water's share.

    available: amount of each substance on the left that is left for it.
    extent: amount of reaction as the equation is written, until the limiting substance is used up.
    limiting: formula of that substance.
    excess: of each other substance, what is left over as a part of what was needed (percent);
        empty, if nothing reacts.
    """

    available: Mapping[str, Quantity]
    extent: Quantity
    limiting: str
    excess: Mapping[str, Quantity]


@dataclass(frozen=True, slots=True)
class Dosing:
    """The catalyst.

    mass, amount: of the whole.
    mole_percent: amount of catalyst per amount of metal source.
    dose, dose_amount: one of the ``doses`` equal parts, as it is measured and as an amount.
    """

    mass: Quantity
    amount: Quantity
    mole_percent: Quantity
    doses: int
    dose: Quantity
    dose_amount: Quantity


def gas_volume(amount: QuantityLike, temperature: QuantityLike, pressure: QuantityLike) -> Quantity:
    r"""Volume of an ideal gas.

    .. math:: V = n R T / p

    Parameters: amount (0 or more), temperature (above 0 K) and pressure (above 0).
    Returns: litres. Raises: OutOfBounds, WrongDimension, UnreadableQuantity.
    Source: ideal gas law; R of CODATA 2018. Hydrogen departs from it by 0.1 % at 1 bar and 25 °C.
    """
    n = magnitude("amount", amount, "mol", at_least=0)
    T = magnitude("temperature", temperature, "K", above=0)
    p = magnitude("pressure", pressure, "Pa", above=0)
    return Quantity(1000 * n * GAS_CONSTANT * T / p, "L")


def mass_of(measured: Pour | Reagent) -> Quantity:
    """Mass of what was weighed or poured (g): as typed, or volume times density where it was read.

    Raises: OutOfRange or NoTrustedValue, if the density is not known at that temperature.
    """
    mass = measured.mass
    if measured.volume is not None:
        mass = measured.volume * density_of(measured)
    assert mass is not None  # one of the two is there, or it would not be a preparation
    return mass.to("g")


def density_of(measured: Pour | Reagent) -> Quantity:
    """Density of a poured liquid where its volume was read (g/mL). Raises: as ``mass_of``."""
    name = measured.liquid if isinstance(measured, Reagent) else measured.name
    return liquid(name or "").density(measured.measured_at).to("g/mL")


def weigh(reagent: Reagent) -> Weighed:
    """Take a reagent apart by its assay and moisture, mass fractions of what is weighed."""
    mass = mass_of(reagent)
    pure = mass * reagent.assay.m_as("")
    water = mass * reagent.moisture.m_as("")
    return Weighed(
        role=reagent.role,
        formula=reagent.formula,
        mass=mass,
        pure=pure,
        water=water,
        impurity=max(mass - pure - water, 0 * mass),
        amount=(pure / molar_mass(reagent.formula)).to("mol"),
    )


def water_reaction(reductant: str) -> Equation | None:
    """The balanced reaction of ``reductant`` with water; None, if none is known here."""
    elements = parse(reductant).elements
    symbol = next(iter(elements))
    if len(elements) > 1 or symbol not in PRODUCT_WITH_WATER:
        return None
    return equations.balance(f"H2O + {symbol} -> {PRODUCT_WITH_WATER[symbol]} + H2")


def water_share(weighed: tuple[Weighed, ...]) -> WaterShare:
    """What the water of all reagents takes of the reductant, at most all of it."""
    water = sum((one.water for one in weighed), Quantity(0.0, "g"))
    amount = (water / molar_mass("H2O")).to("mol")
    reductant = next(one for one in weighed if one.role == "reductant")
    equation = water_reaction(reductant.formula)
    if equation is None:
        return WaterShare(None, amount, 0 * amount, 0 * amount)
    taken = min(amount * _reductant_per_water(equation), reductant.amount)
    hydrogen = taken * coefficient(equation, "H2") / -_of_reductant(equation)
    return WaterShare(equation, amount, taken, hydrogen)


def reduction(equation: Equation, weighed: tuple[Weighed, ...], water: WaterShare) -> Reduction:
    """Hold what the water left against the main equation, which must hold all reagents."""
    available = {
        one.formula: one.amount - water.reductant if one.role == "reductant" else one.amount
        for one in weighed
    }
    needs = {formula: -coefficient(equation, formula) for formula in available}
    reach = {formula: amount / needs[formula] for formula, amount in available.items()}
    limiting = min(reach, key=lambda formula: reach[formula].magnitude)
    extent = reach[limiting]
    excess = {
        formula: ((reached - extent) / extent).to("percent")
        for formula, reached in reach.items()
        if formula != limiting and extent.magnitude > 0
    }
    return Reduction(available, extent, limiting, excess)


def dosing(catalyst: Catalyst, weighed: tuple[Weighed, ...]) -> Dosing:
    """The catalyst's amount against the metal source's, whole and a dose.

    Raises: OutOfRange or NoTrustedValue, if its density is not known where it was measured.
    """
    source = next(one for one in weighed if one.role in METAL_SOURCES)
    mass = mass_of(catalyst)
    amount = (mass / molar_mass(liquid(catalyst.name).formula)).to("mol")
    return Dosing(
        mass=mass,
        amount=amount,
        mole_percent=(amount / source.amount).to("percent"),
        doses=catalyst.doses,
        dose=catalyst.measured / catalyst.doses,
        dose_amount=amount / catalyst.doses,
    )


def coefficient(equation: Equation, formula: str) -> float:
    """Coefficient of a substance, negative on the left; 0, if the equation does not hold it."""
    return float(
        sum(
            number
            for term, number in equation.coefficients.items()
            if same_substance(term, formula)
        )
    )


def _of_reductant(equation: Equation) -> float:
    """Coefficient of the reductant, the substance on the left of a water reaction beside water."""
    return float(
        next(
            number
            for term, number in equation.coefficients.items()
            if number < 0 and not same_substance(term, "H2O")
        )
    )


def _reductant_per_water(equation: Equation) -> float:
    return _of_reductant(equation) / coefficient(equation, "H2O")
