"""pH of strong bases, activity coefficients and the ion product of water against print."""

import pytest
from iapws import IAPWS97
from iapws._iapws import _Kw

from potash.waste import base_ph, mixture_ph, water_ion_product
from potash.waste.acidity import activity_coefficient
from potash.waste.neutralise import neutralisation_enthalpy_si


@pytest.mark.parametrize("T", [273.2, 283.15, 298.15, 313.15, 333.15])
def test_the_ion_product_agrees_with_the_later_formulation_of_the_reference_library(T):
    # iapws: IAPWS R11-07 (2007), another equation from later data; the two differ by up to 0.02.
    water = IAPWS97(T=T, P=0.101325)
    assert water_ion_product(f"{T} K") == pytest.approx(_Kw(water.rho, T), abs=0.03)


# CRC Handbook of Chemistry and Physics, ion product of water, pKw; from memory.
@pytest.mark.parametrize(
    ("temperature", "pKw"), [("0 °C", 14.95), ("25 °C", 13.995), ("50 °C", 13.26)]
)
def test_the_ion_product_is_that_of_the_handbook(temperature, pKw):
    assert water_ion_product(temperature) == pytest.approx(pKw, abs=0.02)


# Mean activity coefficients of NaOH and KOH at 25 °C: Robinson and Stokes, Electrolyte Solutions,
# 2nd ed., appendix 8.10, from memory: NaOH 0.1 m 0.766, KOH 0.1 m 0.798; HCl 0.01 m 0.904. Davies'
# equation knows no salt by name: within 0.03.
@pytest.mark.parametrize(("strength", "printed"), [(0.01, 0.904), (0.1, 0.782), (0.1, 0.766)])
def test_activity_coefficients_are_those_of_the_tables(strength, printed):
    assert activity_coefficient(strength) == pytest.approx(printed, abs=0.03)


# pH of 0.1 mol/kg NaOH from its tabulated activity coefficient: 13.995 + log(0.1 x 0.766) = 12.88;
# and of 0.01 mol/kg, 0.899: 11.95 (Robinson and Stokes, from memory).
@pytest.mark.parametrize(("concentration", "ph"), [("0.1 mol/L", 12.88), ("0.01 mol/L", 11.95)])
def test_a_strong_base_has_the_ph_of_its_tabulated_activity(concentration, ph):
    assert base_ph(concentration).ph == pytest.approx(ph, abs=0.02)


# School examples without activities: 0.010 mol/L gives 12.00, 1.0e-3 11.00, with pKw 14.00.
@pytest.mark.parametrize(("concentration", "ph"), [("0.010 mol/L", 12.0), ("0.0010 mol/L", 11.0)])
def test_without_activities_the_school_example_comes_out(concentration, ph):
    assert base_ph(concentration).by_concentration == pytest.approx(ph, abs=0.01)


# A base so dilute that water itself counts: 1.0e-8 mol/L NaOH is pH 7.02 (Harris, Quantitative
# Chemical Analysis, pattern of the worked example for 1.0e-8 M KOH, which prints 7.02).
def test_a_very_dilute_base_does_not_turn_acidic():
    assert base_ph("1.0e-8 mol/L").ph == pytest.approx(7.02, abs=0.01)


# 0.050 mol/L sodium acetate: pH 8.72 without activities, from pKa 4.756 (a standard worked example:
# [OH-] = sqrt(Kw c / Ka) = 5.3e-6).
def test_a_salt_of_a_weak_acid_has_the_ph_of_the_worked_example():
    found = mixture_ph("0.050 mol/L", "0.050 mol/L", acid_name="acetic acid")
    assert found.by_concentration == pytest.approx(8.72, abs=0.02)


def test_the_heat_of_neutralisation_is_the_published_one():
    # CRC Handbook of Chemistry and Physics: -55.8 kJ/mol at 25 °C and infinite dilution.
    assert neutralisation_enthalpy_si() / 1e3 == pytest.approx(-55.8, abs=0.2)
