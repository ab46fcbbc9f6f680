"""The functions and constants that a formula may call, each with declared dimensions.

Every function takes and gives coherent SI floats (kg, m, s, mol, K) or texts. Results are kept,
because a class asks for the same molar mass thousands of times. To offer another function, write
it here and add its row to :func:`functions`.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any, Final, Literal

from potash import units
from potash.words import tr

Dimension = tuple[float, ...]
Kind = Dimension | Literal["text", "truth"]

DIMENSIONLESS: Final[Dimension] = (0, 0, 0, 0, 0)
TEXT: Final = "text"
TRUTH: Final = "truth"

# Functions whose result follows the dimension of what they are given; the compiler knows them.
GENERIC: Final = frozenset({"abs", "max", "min", "quantity", "sqrt"})

_KEPT: Final = 4096


@dataclass(frozen=True, slots=True)
class Constant:
    """A named constant: its SI value, its kind, and where the value comes from."""

    value: float
    kind: Dimension
    source: str


@dataclass(frozen=True, slots=True)
class LibraryFunction:
    """A function that formulas may call: the kinds it takes, the kind it gives, how it reads."""

    signature: str
    arguments: tuple[Kind, ...]
    result: Kind
    call: Callable[..., Any]


@cache
def dimension_of(unit: str) -> Dimension:
    """The exponents of kg, m, s, mol and K in ``unit``; an empty unit is a plain number.

    Raises: potash.units.UnreadableQuantity, if the unit is not known.
    """
    return units.read(f"1 {unit}").dimension if unit else DIMENSIONLESS


def read_quantity(text: str) -> tuple[Dimension, float]:
    """The dimension and the SI value of a typed quantity such as ``273.15 K``.

    Raises: potash.units.UnreadableQuantity.
    """
    reading = units.read(text)
    return reading.dimension, reading.si


def describe_kind(kind: Kind) -> str:
    """What a kind is called in an error: ``a text``, ``a plain number``, ``in kg·mol⁻¹``."""
    if kind == TEXT:
        return tr("a text")
    if kind == TRUTH:
        return tr("a comparison")
    powers = zip(("kg", "m", "s", "mol", "K"), kind, strict=True)
    named = [name if power == 1 else f"{name}^{power:g}" for name, power in powers if power]
    return tr("in {named}", named=" ".join(named)) if named else tr("a plain number")


@cache
def constants() -> Mapping[str, Constant]:
    """The named constants of formulas."""
    # SI Brochure, 9th edition (BIPM 2019), table 1: exact by definition.
    boltzmann, avogadro = 1.380649e-23, 6.02214076e23
    exact = "SI Brochure, 9th edition (BIPM 2019)"
    return {
        "R": Constant(boltzmann * avogadro, dimension_of("J/(mol K)"), exact),
        "N_A": Constant(avogadro, dimension_of("mol-1"), exact),
    }


@cache
def functions() -> Mapping[str, LibraryFunction]:
    """The library by name."""
    temperature = dimension_of("K")
    molar_energy = dimension_of("J/mol")
    reaction: tuple[Kind, ...] = (TEXT, temperature)
    number: tuple[Kind, ...] = (DIMENSIONLESS,)
    rows: dict[str, tuple[tuple[Kind, ...], Kind, Callable[..., Any], str]] = {
        "molar_mass": ((TEXT,), dimension_of("kg/mol"), _molar_mass, "(formula)"),
        "atoms": ((TEXT, TEXT), DIMENSIONLESS, _atoms, "(formula, element)"),
        "coefficient": ((TEXT, TEXT), DIMENSIONLESS, _coefficient, "(equation, formula)"),
        "reaction_enthalpy": (reaction, molar_energy, _reaction_enthalpy, "(equation, T)"),
        "reaction_entropy": (
            reaction,
            dimension_of("J/(mol K)"),
            _reaction_entropy,
            "(equation, T)",
        ),
        "reaction_gibbs_energy": (reaction, molar_energy, _reaction_gibbs, "(equation, T)"),
        "equilibrium_constant": (reaction, DIMENSIONLESS, _equilibrium_constant, "(equation, T)"),
        "density": (reaction, dimension_of("kg/m3"), _density, "(liquid, T)"),
        "metal_density": (reaction, dimension_of("kg/m3"), _metal_density, "(metal, T)"),
        "boiling_point": ((TEXT,), temperature, _boiling_point, "(liquid)"),
        "flash_point": ((TEXT,), temperature, _flash_point, "(liquid)"),
        "autoignition_temperature": ((TEXT,), temperature, _autoignition, "(liquid)"),
        "attacked_group": ((TEXT,), TEXT, _attacked_group, "(liquid)"),
        "solvent_verdict": ((TEXT, TEXT, temperature), TEXT, _verdict, "(liquid, metal, T)"),
        "vapour_pressure": (reaction, dimension_of("Pa"), _vapour_pressure, "(liquid, T)"),
        "species_enthalpy": (reaction, molar_energy, _species_enthalpy, "(formula, T)"),
        "species_entropy": (
            reaction,
            dimension_of("J/(mol K)"),
            _species_entropy,
            "(formula, T)",
        ),
        "melts_at": ((TEXT,), temperature, _melts_at, "(formula)"),
        "boils_at": ((TEXT,), temperature, _boils_at, "(formula)"),
        "line_gibbs_energy": (
            (TEXT, TEXT, temperature),
            molar_energy,
            _line_gibbs_energy,
            "(family, compound, T)",
        ),
        "liquid_heat_capacity": (
            reaction,
            dimension_of("J/(mol K)"),
            _liquid_heat_capacity,
            "(liquid, T)",
        ),
        "heat_of_vaporization": ((TEXT,), molar_energy, _heat_of_vaporization, "(liquid)"),
        "exp": (number, DIMENSIONLESS, math.exp, "(number)"),
        "ln": (number, DIMENSIONLESS, math.log, "(number)"),
        "log10": (number, DIMENSIONLESS, math.log10, "(number)"),
    }
    return {
        name: LibraryFunction(f"{name}{takes}", arguments, result, call)
        for name, (arguments, result, call, takes) in rows.items()
    }


@lru_cache(_KEPT)
def _molar_mass(formula: str) -> float:
    from potash import formulas

    return float(formulas.molar_mass(formula).m_as("kg/mol"))


@lru_cache(_KEPT)
def _atoms(formula: str, element: str) -> float:
    from potash import formulas

    return float(formulas.parse(formula).elements.get(element, 0))


@lru_cache(_KEPT)
def _coefficient(equation: str, formula: str) -> float:
    coefficients = _reaction(equation).coefficients
    if formula not in coefficients:
        raise ValueError(
            tr("{formula} does not take part in {equation}", formula=formula, equation=equation)
        )
    return float(abs(coefficients[formula]))


@lru_cache(_KEPT)
def _reaction(equation: str) -> Any:
    from potash import reactions

    return reactions.balance(equation)


@lru_cache(_KEPT)
def _reaction_enthalpy(equation: str, T: float) -> float:
    return float(_reaction(equation).enthalpy(units.Quantity(T, "K")).m_as("J/mol"))


@lru_cache(_KEPT)
def _reaction_entropy(equation: str, T: float) -> float:
    return float(_reaction(equation).entropy(units.Quantity(T, "K")).m_as("J/(mol K)"))


@lru_cache(_KEPT)
def _reaction_gibbs(equation: str, T: float) -> float:
    return float(_reaction(equation).gibbs_energy(units.Quantity(T, "K")).m_as("J/mol"))


@lru_cache(_KEPT)
def _equilibrium_constant(equation: str, T: float) -> float:
    constant = _reaction(equation).equilibrium_constant(units.Quantity(T, "K"))
    return float(getattr(constant, "magnitude", constant))


@lru_cache(_KEPT)
def _density(name: str, T: float) -> float:
    from potash import properties

    return float(properties.liquid(name).density(units.Quantity(T, "K")).m_as("kg/m^3"))


@lru_cache(_KEPT)
def _metal_density(name: str, T: float) -> float:
    from potash.properties.metals import metal

    return float(metal(name).density(units.Quantity(T, "K")).m_as("kg/m^3"))


@lru_cache(_KEPT)
def _vapour_pressure(liquid: str, T: float) -> float:
    from potash.yields.vapour import vapour_pressure_si

    return vapour_pressure_si(liquid, T)


@lru_cache(_KEPT)
def _boiling_point(name: str) -> float:
    from potash import properties

    return float(properties.liquid(name).boiling_point.m_as("K"))


@lru_cache(_KEPT)
def _flash_point(name: str) -> float:
    from potash import properties

    return float(properties.liquid(name).flash_point.m_as("K"))


@lru_cache(_KEPT)
def _autoignition(name: str) -> float:
    from potash import properties

    return float(properties.liquid(name).autoignition_temperature.m_as("K"))


@lru_cache(_KEPT)
def _attacked_group(name: str) -> str:
    from potash import solvents

    structure = solvents.candidate(name).structure
    attacked = structure.with_effect("attacked") if structure else ()
    if not attacked:
        raise ValueError(tr("no group of {name} rules it out", name=name))
    return attacked[0].name


@lru_cache(_KEPT)
def _verdict(liquid: str, metal: str, T: float) -> str:
    from potash import solvents

    asked = solvents.conditions(metal, units.Quantity(T, "K"))
    return solvents.judge(solvents.candidate(liquid), asked).verdict


@lru_cache(_KEPT)
def _species_enthalpy(formula: str, T: float) -> float:
    from potash import properties

    return float(properties.species(formula).enthalpy_si(T))


@lru_cache(_KEPT)
def _species_entropy(formula: str, T: float) -> float:
    from potash import properties

    return float(properties.species(formula).entropy_si(T))


@lru_cache(_KEPT)
def _melts_at(formula: str) -> float:
    return _changes_at(formula, "melting")


@lru_cache(_KEPT)
def _boils_at(formula: str) -> float:
    return _changes_at(formula, "boiling")


def _changes_at(formula: str, kind: str) -> float:
    from potash import properties

    for change in properties.species(formula).transitions:
        if change.kind == kind:
            return float(change.temperature.m_as("K"))
    raise ValueError(tr("no {kind} of {formula} is tabulated", kind=kind, formula=formula))


@lru_cache(_KEPT)
def _line_gibbs_energy(family: str, compound: str, T: float) -> float:
    from potash import diagrams

    return float(diagrams.line(family, compound).gibbs_energy_si(T))


@lru_cache(_KEPT)
def _liquid_heat_capacity(name: str, T: float) -> float:
    from potash.properties.liquid_heat import liquid_heat

    return liquid_heat(name).heat_capacity_si(T)


@lru_cache(_KEPT)
def _heat_of_vaporization(name: str) -> float:
    from potash.properties.liquid_heat import liquid_heat

    return liquid_heat(name).vaporization_si
