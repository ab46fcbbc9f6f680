"""Limiting reagents and theoretical yields against worked examples of textbooks."""

import pytest

from potash import equations
from potash.charge import stoichiometry
from potash.charge.stoichiometry import coefficient, reduction, water_reaction
from potash.formulas import molar_mass
from potash.preparation import Reagent
from potash.units import quantity


def weighed(role, formula, mass):
    """A pure, dry reagent."""
    given = Reagent(
        role=role,
        formula=formula,
        mass=quantity(mass),
        volume=None,
        liquid=None,
        measured_at=quantity("20 °C"),
        assay=quantity("100 %"),
        moisture=quantity("0 %"),
    )
    return stoichiometry.weigh(given)


def held_against(equation, *reagents):
    water = stoichiometry.water_share(reagents)
    return reduction(equations.read(equation), reagents, water)


# OpenStax, Chemistry 2e (2019), Example 4.12 "Identifying the Limiting Reactant": 2.00 g of Si and
# 1.50 g of N2 make 0.0237 mol of Si3N4; silicon limits. From memory.
def test_silicon_limits_silicon_nitride_as_in_the_textbook():
    silicon = weighed("salt", "Si", "2.00 g")
    nitrogen = weighed("reductant", "N2", "1.50 g")
    assert silicon.amount.m_as("mol") == pytest.approx(0.0712, abs=5e-5)
    assert nitrogen.amount.m_as("mol") == pytest.approx(0.0535, abs=5e-5)
    found = held_against("3 Si + 2 N2 -> Si3N4", silicon, nitrogen)
    assert found.limiting == "Si"
    assert found.extent.m_as("mol") == pytest.approx(0.0237, abs=5e-5)


# OpenStax, Chemistry 2e (2019), Example 4.13 "Calculation of Percent Yield": 1.274 g of CuSO4 with
# excess zinc can give 0.5072 g of copper. From memory.
def test_copper_from_its_sulfate_has_the_textbook_yield():
    found = held_against(
        "CuSO4 + Zn -> Cu + ZnSO4",
        weighed("salt", "CuSO4", "1.274 g"),
        weighed("reductant", "Zn", "5 g"),
    )
    assert found.limiting == "CuSO4"
    assert (found.extent * molar_mass("Cu")).m_as("g") == pytest.approx(0.5072, abs=1.5e-4)


# Zumdahl and Zumdahl, Chemistry, the ammonia example: 25.0 kg of N2 and 5.00 kg of H2 give
# 1.65e3 mol of NH3; hydrogen limits. From memory.
def test_hydrogen_limits_ammonia_as_in_the_textbook():
    found = held_against(
        "N2 + 3 H2 -> 2 NH3",
        weighed("salt", "N2", "25.0 kg"),
        weighed("reductant", "H2", "5.00 kg"),
    )
    assert found.limiting == "H2"
    assert 2 * found.extent.m_as("mol") == pytest.approx(1.65e3, abs=5)


# The reactions of metals with water or steam: Greenwood and Earnshaw, Chemistry of the Elements,
# 2nd ed. (1997), chapters 4, 5 and 7. From memory.
@pytest.mark.parametrize(
    ("metal", "per_water", "hydrogen_per_water"),
    [("Mg", 1, 1), ("Ca", 1, 1), ("Al", 2 / 3, 1), ("Na", 1, 1 / 2), ("Li", 1, 1 / 2)],
)
def test_a_mole_of_water_takes_its_share_of_the_reductant(metal, per_water, hydrogen_per_water):
    equation = water_reaction(metal)
    water = coefficient(equation, "H2O")
    assert coefficient(equation, metal) / water == pytest.approx(per_water)
    assert coefficient(equation, "H2") / -water == pytest.approx(hydrogen_per_water)
    assert equation.is_balanced
