"""Densities of liquids against handbook values and published measurements."""

import numpy as np
import pytest

from potash.properties.liquids import liquid

# CRC Handbook of Chemistry and Physics, Physical Constants of Organic Compounds, and Riddick,
# Bunger and Sakano, Organic Solvents, 4th ed. (1986); g/cm3. All typed from memory. They print 4
# digits; 0.4 % is what a fit over 400 K may differ from them.
HANDBOOK = [
    ("tetralin", "20 °C", 0.9702),
    ("tetralin", "25 °C", 0.9645),
    ("toluene", "20 °C", 0.8669),
    ("toluene", "25 °C", 0.8622),
    ("tert-butanol", "30 °C", 0.7757),
    ("o-xylene", "25 °C", 0.8755),
    ("m-xylene", "25 °C", 0.8601),
    ("p-xylene", "25 °C", 0.8566),
    ("mesitylene", "25 °C", 0.8611),
    ("cumene", "25 °C", 0.8575),
    ("1-methylnaphthalene", "20 °C", 1.0202),
    ("heptane", "25 °C", 0.6795),
    ("decane", "25 °C", 0.7266),
    ("dodecane", "25 °C", 0.7452),
    ("hexadecane", "20 °C", 0.7733),
    ("tetrahydrofuran", "20 °C", 0.8892),
    ("1,4-dioxane", "25 °C", 1.0280),
    ("methanol", "25 °C", 0.7864),
    ("ethanol", "25 °C", 0.7849),
    ("2-propanol", "25 °C", 0.7813),
    ("2-butanol", "25 °C", 0.8024),
    ("water", "20 °C", 0.99821),
    ("water", "25 °C", 0.99705),
]


@pytest.mark.parametrize(("name", "temperature", "expected"), HANDBOOK)
def test_density_matches_the_handbook(name, temperature, expected):
    assert liquid(name).density(temperature).m_as("g/cm^3") == pytest.approx(expected, rel=0.005)


# Luning Prak, Cowart and Trulove, Density and Viscosity from 293.15 to 373.15 K ... of Binary
# Mixtures of Bicyclohexyl and 1,2,3,4-Tetrahydronaphthalene ..., J. Chem. Eng. Data (2016),
# abstract: pure tetralin, 303.15 K, 960.9 kg/m3.
def test_density_of_tetralin_matches_a_vibrating_tube_measurement():
    assert liquid("tetralin").density("303.15 K").m_as("kg/m^3") == pytest.approx(960.9, rel=0.003)


# Density of water at 1 atm, IAPWS-95 as tabulated by Wagner and Pruss (2002), kg/m3; from memory.
@pytest.mark.parametrize(
    ("T", "expected"), [("0 °C", 999.84), ("50 °C", 988.03), ("100 °C", 958.37)]
)
def test_density_of_water_matches_the_reference_equation(T, expected):
    assert liquid("water").density(T).m_as("kg/m^3") == pytest.approx(expected, abs=0.3)


# CRC Handbook of Chemistry and Physics, normal melting and boiling points in °C; from memory.
@pytest.mark.parametrize(
    ("name", "melting", "boiling"),
    [
        ("tetralin", -35.7, 207.6),
        ("toluene", -94.9, 110.6),
        ("2-methyl-2-butanol", -9.1, 102.4),
        ("tert-butanol", 25.7, 82.4),
        ("1-methylnaphthalene", -30.4, 244.7),
        ("2-propanol", -87.9, 82.3),
        ("diphenyl ether", 26.9, 258.0),
    ],
)
def test_melting_and_boiling_points_match_the_handbook(name, melting, boiling):
    found = liquid(name)
    assert found.melting_point.m_as("degC") == pytest.approx(melting, abs=0.5)
    assert found.boiling_point.m_as("degC") == pytest.approx(boiling, abs=0.5)


def test_tetralin_is_denser_than_molten_potassium_over_the_working_range():
    # Molten potassium, 0.828 g/cm3 at its melting point (CRC Handbook, from memory), falls by
    # 0.23 kg/m3 a kelvin (Addison, The Chemistry of the Liquid Alkali Metals, 1984, from memory).
    T = np.linspace(340, 480, 15)
    potassium = 828 - 0.23 * (T - 336.7)
    densities = [liquid("tetralin").density(f"{one} K").m_as("kg/m^3") for one in T]
    assert np.all(densities > potassium)
