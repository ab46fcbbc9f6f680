"""Volume of an ideal gas against IUPAC's and NIST's molar volumes."""

import pytest

from potash.charge import GAS_CONSTANT, gas_volume


# CODATA recommended values 2018 and 2022 (NIST): molar volume of an ideal gas, L/mol.
@pytest.mark.parametrize(
    ("temperature", "pressure", "expected"),
    [
        ("273.15 K", "100 kPa", 22.71095464),  # IUPAC standard temperature and pressure, since 1982
        ("273.15 K", "101.325 kPa", 22.41396954),  # the older standard of 1 atm
    ],
)
def test_molar_volume_matches_codata(temperature, pressure, expected):
    volume = gas_volume("1 mol", temperature, pressure)
    assert volume.m_as("L") == pytest.approx(expected, rel=1e-9)


# IUPAC standard ambient temperature and pressure: 24.790 L/mol (Atkins, Physical Chemistry, data
# section: 24.789 57).
def test_molar_volume_at_ambient_conditions_matches_atkins():
    assert gas_volume("1 mol", "25 °C", "1 bar").m_as("L") == pytest.approx(24.78957, abs=5e-5)


def test_the_gas_constant_is_the_one_that_scipy_carries_from_codata():
    from scipy.constants import R

    assert abs(GAS_CONSTANT / R - 1) < 1e-14


# Real hydrogen at 0 °C and 1 atm has 22.428 L/mol (Atkins, Physical Chemistry, from memory): the
# ideal gas is within 0.1 % of it, as the docstring says.
def test_the_ideal_gas_is_near_enough_to_real_hydrogen():
    assert gas_volume("1 mol", "0 °C", "1 atm").m_as("L") == pytest.approx(22.428, rel=0.001)
