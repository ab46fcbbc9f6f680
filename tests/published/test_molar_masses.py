"""Molar masses against published atomic weights and handbook values."""

import pytest

from potash.formulas import molar_mass

# CIAAW, abridged standard atomic weights 2021 (Prohaska et al., Pure Appl. Chem. 2022, 94, 573,
# table 1), typed from memory; uncertain by one in the last digit or as the source states.
ABRIDGED_WEIGHTS = [
    ("H", 1.0080, 0.0002),
    ("Li", 6.94, 0.06),
    ("C", 12.011, 0.002),
    ("N", 14.007, 0.001),
    ("O", 15.999, 0.001),
    ("F", 18.998, 0.001),
    ("Na", 22.990, 0.001),
    ("Mg", 24.305, 0.002),
    ("Al", 26.982, 0.001),
    ("Si", 28.085, 0.001),
    ("P", 30.974, 0.001),
    ("S", 32.06, 0.02),
    ("Cl", 35.45, 0.01),
    ("K", 39.098, 0.001),
    ("Ca", 40.078, 0.004),
    ("Cr", 51.996, 0.001),
    ("Mn", 54.938, 0.001),
    ("Fe", 55.845, 0.002),
    ("Cu", 63.546, 0.003),
    ("Zn", 65.38, 0.02),
    ("Br", 79.904, 0.003),
    ("Rb", 85.468, 0.001),
    ("Ag", 107.87, 0.01),
    ("I", 126.90, 0.01),
    ("Cs", 132.91, 0.01),
    ("Ba", 137.33, 0.01),
]

# Sums of the abridged weights above, done by hand: 39.098 + 15.999 + 1.008 and so on.
BY_HAND = [
    ("KOH", 56.105, 0.002),
    ("NaOH", 39.997, 0.002),
    ("CsOH", 149.917, 0.007),
    ("MgO", 40.304, 0.002),
    ("H2", 2.016, 0.0005),
    ("H2O", 18.015, 0.001),
    ("K2CO3", 138.204, 0.004),
    ("KCl", 74.548, 0.004),
    ("KOH*H2O", 74.120, 0.003),
    ("MgSO4·7H2O", 246.466, 0.01),
    ("CaSO4·0.5H2O", 145.142, 0.01),
    ("C10H12", 132.206, 0.005),
    ("C2H5C(CH3)2OH", 88.150, 0.005),
]

# CAS numbers of liquids and salts of this trade; molar masses from the library `chemicals`, which
# takes them from PubChem.
BY_CAS_NUMBER = [
    ("C10H12", "119-64-2"),
    ("C5H12O", "75-85-4"),
    ("C4H10O", "75-65-0"),
    ("C3H8O", "67-63-0"),
    ("C10H18", "91-17-8"),
    ("C7H8", "108-88-3"),
    ("KOH", "1310-58-3"),
    ("NaOH", "1310-73-2"),
    ("MgO", "1309-48-4"),
    ("KCl", "7447-40-7"),
    ("CsCl", "7647-17-8"),
]


@pytest.mark.parametrize("element, weight, uncertainty", ABRIDGED_WEIGHTS)
def test_atomic_weights_are_those_of_the_iupac_commission(element, weight, uncertainty):
    assert molar_mass(element).m_as("g/mol") == pytest.approx(weight, abs=uncertainty)


@pytest.mark.parametrize("formula, expected, uncertainty", BY_HAND)
def test_molar_masses_are_sums_of_published_atomic_weights(formula, expected, uncertainty):
    assert molar_mass(formula).m_as("g/mol") == pytest.approx(expected, abs=uncertainty)


@pytest.mark.parametrize("formula, cas_number", BY_CAS_NUMBER)
def test_molar_masses_agree_with_an_independent_library(formula, cas_number):
    from chemicals import MW

    # PubChem rounds to three digits after the point at best and uses earlier atomic weights.
    assert molar_mass(formula).m_as("g/mol") == pytest.approx(MW(cas_number), abs=0.01)


def test_the_molar_mass_of_water_is_that_of_the_international_water_standard():
    # IAPWS R6-95(2018): M = 18.015268 g/mol for Vienna standard mean ocean water; the abridged
    # atomic weights are uncertain by 0.0002 (H, twice) and 0.001 (O).
    assert molar_mass("H2O").m_as("g/mol") == pytest.approx(18.015268, abs=0.0014)


def test_the_electron_weighs_what_codata_says():
    # CODATA 2018, molar mass of the electron: 5.485 799 0888(17) e-7 kg/mol, from memory.
    assert molar_mass("e-").m_as("kg/mol") == pytest.approx(5.4857990888e-7, rel=1e-8)
