"""Vapour pressures against the reference library, its tables and boiling points."""

import pytest
from iapws import IAPWS97

from potash.properties.liquids import liquid
from potash.yields import vapour_pressure
from potash.yields.vapour import alcohol_si, water_si


@pytest.mark.parametrize("T", [274.0, 283.15, 293.15, 294.65, 298.15, 303.15, 333.15, 372.0])
def test_water_agrees_with_the_industrial_formulation_of_the_reference_library(T):
    # iapws: IAPWS-IF97 saturation line; the two formulations agree to 0.02 %.
    assert water_si(T) == pytest.approx(IAPWS97(T=T, x=0).P * 1e6, rel=3e-4)


# Wagner and Pruss (1993) and CRC Handbook, vapour pressure of water, kPa; typed from memory.
TABLE = [("20 °C", 2.3393), ("25 °C", 3.1699), ("30 °C", 4.2470), ("100 °C", 101.42)]


@pytest.mark.parametrize(("temperature", "pressure"), TABLE)
def test_water_is_that_of_the_printed_table(temperature, pressure):
    assert vapour_pressure("water", temperature).m_as("kPa") == pytest.approx(pressure, rel=2e-4)


@pytest.mark.parametrize("name", ["methanol", "ethanol", "2-propanol", "tert-butanol"])
def test_an_alcohol_boils_at_one_atmosphere_where_the_handbook_says(name):
    # Boiling points: CRC Handbook, 95th ed., as in the table of liquids; within 0.3 K.
    boiling = liquid(name).boiling_point.m_as("K")
    assert alcohol_si(name, boiling - 0.3) < 101325 < alcohol_si(name, boiling + 0.3)


# Poling, Prausnitz and O'Connell and handbooks at 25 °C, hPa, from memory; within 3 %.
ROOM = [("methanol", 169.6), ("ethanol", 79.0), ("2-propanol", 60.2)]


@pytest.mark.parametrize(("name", "pressure"), ROOM)
def test_an_alcohol_at_room_temperature_is_that_of_the_handbook(name, pressure):
    assert vapour_pressure(name, "25 °C").m_as("hPa") == pytest.approx(pressure, rel=0.03)
