"""Adiabatic temperature rise, MTSR and criticality classes against published statements."""

import pytest

from potash.quenching import adiabatic_rise, criticality, maximum_synthesis_temperature
from potash.quenching.criticality import BadTemperatures

# Stoessel, Thermal Safety of Chemical Processes (2008), Table 2.2 (from memory): a desired reaction
# of 100 kJ/kg raises an organic mixture of 2 kJ/(kg K) by 50 K, a decomposition of 2000 kJ/kg by
# 1000 K.
ENERGY_EQUIVALENTS = [("100 kJ", 50), ("2000 kJ", 1000)]


@pytest.mark.parametrize(("energy", "rise"), ENERGY_EQUIVALENTS)
def test_the_adiabatic_rise_is_that_of_the_published_table(energy, rise):
    assert adiabatic_rise(energy, "1 kg", "2 kJ/(kg K)").m == pytest.approx(rise, rel=0.01)


# By hand: 1 kg of water at 4.18 kJ/(kg K) warmed by the neutralisation of 1 mol, 55.8 kJ: 13.3 K.
def test_the_adiabatic_rise_of_neutralising_a_mole_in_a_litre_is_thirteen_kelvin():
    assert adiabatic_rise("55.8 kJ", "1 kg", "4.18 kJ/(kg K)").m == pytest.approx(13.35, abs=0.01)


# By hand, after the definition in Stoessel (2008), ch. 3: 80 °C and 40 % of 100 K is 120 °C.
def test_the_synthesis_temperature_adds_the_accumulated_share_of_the_rise():
    found = maximum_synthesis_temperature("80 °C", "40 %", "100 K")
    assert found.m_as("degC") == pytest.approx(120.0)


# Stoessel (2008), ch. 3, the figure of criticality classes, from memory: the order of process
# temperature, MTSR, MTT (boiling point) and TD24 in each class, here with round temperatures.
CLASSES = [
    (1, "80 °C", "100 °C", "120 °C", "140 °C"),
    (2, "80 °C", "100 °C", "140 °C", "120 °C"),
    (3, "80 °C", "120 °C", "100 °C", "140 °C"),
    (4, "80 °C", "140 °C", "100 °C", "120 °C"),
    (5, "80 °C", "120 °C", "140 °C", "100 °C"),
    (5, "80 °C", "140 °C", "120 °C", "100 °C"),
]


@pytest.mark.parametrize(("number", "process", "synthesis", "technical", "decomposition"), CLASSES)
def test_each_order_of_the_four_temperatures_has_its_published_class(
    number, process, synthesis, technical, decomposition
):
    found = criticality(process, synthesis, technical, decomposition)
    assert found.number == number
    assert len(found.reasons) == 3 and "Stoessel" in found.source


def test_a_process_above_its_own_boiling_point_has_no_class():
    with pytest.raises(BadTemperatures, match="no class"):
        criticality("110 °C", "120 °C", "100 °C", "150 °C")


def test_a_synthesis_temperature_below_the_process_is_refused():
    with pytest.raises(BadTemperatures, match="ends above where it began"):
        criticality("80 °C", "70 °C", "100 °C", "150 °C")


def test_no_class_is_called_safe():
    for row in CLASSES:
        assert "safe" not in str(criticality(*row[1:]))
