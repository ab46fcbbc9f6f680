"""Heats of the metals with water and alcohols against published values."""

import pytest

from potash.quenching import crystal_enthalpies, water_enthalpy
from potash.quenching.heat import quench_enthalpy_si
from potash.quenching.pieces import share_left, time_until_gone

# CRC Handbook of Chemistry and Physics, Standard Thermodynamic Properties: enthalpies of formation
# at 298.15 K, kJ/mol, of the ions in water and of H2O(l); typed from memory. M + H2O(l) -> M+ + OH-
# + 1/2 H2 follows as the sum; the table prints 0.1 kJ/mol, evaluations differ by 0.5 in each ion.
HYDROXIDE, WATER = -230.0, -285.8
IONS = [("Li", -278.5), ("Na", -240.1), ("K", -252.4), ("Rb", -251.2), ("Cs", -258.3)]


@pytest.mark.parametrize(("metal", "ion"), IONS)
def test_the_heat_with_water_is_that_of_the_published_ions(metal, ion):
    assert water_enthalpy(metal).m_as("kJ/mol") == pytest.approx(ion + HYDROXIDE - WATER, abs=1.0)


# The same heats as textbooks print them, such as Greenwood and Earnshaw, Chemistry of the Elements,
# 2nd ed.: Li -222, Na -184, K -196, Rb -195, Cs -203 kJ/mol (from memory).
TEXTBOOK = [("Li", -222), ("Na", -184), ("K", -196), ("Rb", -195), ("Cs", -203)]


@pytest.mark.parametrize(("metal", "heat"), TEXTBOOK)
def test_the_heat_with_water_is_that_of_the_textbooks(metal, heat):
    assert water_enthalpy(metal).m_as("kJ/mol") == pytest.approx(heat, abs=1.0)


# A second route, over the solid hydroxide: formation enthalpy of MOH(cr) and its heat of solution
# at infinite dilution, CRC Handbook: LiOH -487.5, -23.6; NaOH -425.6, -44.5; KOH -424.6, -57.6;
# RbOH -418.8, -62.3; CsOH -416.2, -71.6 kJ/mol (from memory). Evaluations differ by to 3 kJ/mol.
BY_SOLUTION = [
    ("Li", -487.5, -23.6),
    ("Na", -425.6, -44.5),
    ("K", -424.6, -57.6),
    ("Rb", -418.8, -62.3),
    ("Cs", -416.2, -71.6),
]


@pytest.mark.parametrize(("metal", "hydroxide", "solution"), BY_SOLUTION)
def test_the_heat_with_water_agrees_with_the_way_over_the_solid_hydroxide(
    metal, hydroxide, solution
):
    expected = hydroxide + solution - WATER
    assert water_enthalpy(metal).m_as("kJ/mol") == pytest.approx(expected, abs=3.0)


# Nunes et al., Chem. Eur. J. 9 (2003) 2095 (abstract): formation of KOCH3(cr) -375.2 and
# KOC2H5(cr) -434.5 kJ/mol; methanol -239.2, ethanol -277.6 (CRC Handbook, from memory).
@pytest.mark.parametrize(
    ("alcohol", "expected"), [("methanol", -375.2 + 239.2), ("ethanol", -434.5 + 277.6)]
)
def test_crystalline_potassium_alkoxides_give_the_published_difference(alcohol, expected):
    found = next(one for one in crystal_enthalpies() if (one.metal, one.alcohol) == ("K", alcohol))
    assert found.enthalpy.m_as("kJ/mol") == pytest.approx(expected, abs=0.05)


@pytest.mark.parametrize("one", crystal_enthalpies(), ids=lambda one: f"{one.metal}-{one.alcohol}")
def test_the_heat_reckoned_with_is_no_less_than_any_published_alkoxide_gives(one):
    assert -quench_enthalpy_si(one.metal) / 1e3 > -one.enthalpy.m_as("kJ/mol")


# Levenspiel, Chemical Reaction Engineering, 3rd ed., reaction control: t/tau = 1 - (1 - X)^(1/3),
# so that half of a sphere is gone at 0.2063 and seven eighths at 0.5 of the whole time.
@pytest.mark.parametrize(("gone", "share_of_time"), [(0.5, 0.2063), (0.875, 0.5), (0.999, 0.9)])
def test_shrinking_spheres_follow_the_closed_form(gone, share_of_time):
    assert share_left(share_of_time, 1.0) == pytest.approx(1 - gone, rel=1e-3)


def test_a_sphere_takes_its_radius_over_its_recession():
    assert time_until_gone("4 mm", "2 mm/h").m_as("hour") == pytest.approx(1.0)
