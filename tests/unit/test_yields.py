"""An honest yield: gas, titration, purity, balance, and what is refused."""

import math
import warnings

import pytest

from potash import yields
from potash.properties.errors import OutOfRange
from potash.units import OutOfBounds, UnreadableQuantity
from potash.yields import BadMeasurement

GAS = {
    "metal": "K",
    "sample": ("0.2000 g", "0.2 mg"),
    "volume": ("62.0 mL", "0.2 mL"),
    "temperature": ("21.5 °C", "0.3 K"),
    "barometer": ("1003 hPa", "1 hPa"),
}
TITRATION = {
    "metal": "K",
    "sample": ("0.2000 g", "0.2 mg"),
    "acid_volume": ("100.00 mL", "0.06 mL"),
    "acid_concentration": ("0.1000 mol/L", "0.0002 mol/L"),
    "titre": ("49.50 mL", "0.03 mL"),
    "base_concentration": ("0.1000 mol/L", "0.0001 mol/L"),
}


def test_dry_gas_at_standard_conditions_gives_the_molar_volume():
    # 22.711 L/mol at 273.15 K and 1 bar (IUPAC; CODATA 2018): 22.711 mL is a millimole.
    found = yields.gas_volumetry(
        **{
            **GAS,
            "volume": ("22.711 mL", "0 mL"),
            "temperature": ("273.15 K", "0 K"),
            "barometer": ("1 bar", "0 bar"),
            "over": "none",
            "level": ("0 mm", "0 mm"),
        }
    )
    assert found.hydrogen.value == pytest.approx(1.0, rel=1e-4)
    # Two moles of potassium, 39.098 g/mol, for each mole of hydrogen.
    assert found.metal_mass.value == pytest.approx(2 * 0.039098, rel=1e-4)


def test_vapour_level_and_leak_each_take_from_the_hydrogen():
    plain = yields.gas_volumetry(**GAS, over="none").hydrogen.value
    assert yields.gas_volumetry(**GAS, over="water").hydrogen.value < plain
    assert yields.gas_volumetry(**GAS, over="2-propanol").hydrogen.value < (
        yields.gas_volumetry(**GAS, over="water").hydrogen.value
    )
    higher = yields.gas_volumetry(**GAS, over="water", level=("50 mm", "1 mm"))
    leaky = yields.gas_volumetry(**GAS, over="water", leak=("1.0 mL", "0.1 mL"))
    for less in (higher, leaky):
        assert less.hydrogen.value < yields.gas_volumetry(**GAS, over="water").hydrogen.value


def test_a_column_of_water_takes_its_own_weight_from_the_pressure():
    # 100 mm of water at 25 °C: 997 kg/m3 x 9.80665 m/s2 x 0.1 m = 9.78 hPa.
    flat = yields.gas_volumetry(**GAS, level=("0 mm", "0 mm"))
    high = yields.gas_volumetry(**GAS, level=("100 mm", "0 mm"))
    difference = (flat.gas_pressure - high.gas_pressure).m_as("hPa")
    assert difference == pytest.approx(9.78, abs=0.01)


def test_the_shares_of_a_budget_add_up_to_one():
    for budget in (
        yields.gas_volumetry(**GAS).purity.budget,
        yields.back_titration(**TITRATION).purity.budget,
    ):
        assert sum(one.share for one in budget) == pytest.approx(1.0)
        assert [one.contribution for one in budget] == sorted(
            (one.contribution for one in budget), reverse=True
        )


def test_values_without_uncertainty_pass_without_a_warning():
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        found = yields.honest_yield(
            isolated=("3.0 g", "0 g"), purity=("95 %", "0 %"), theoretical=("6.0 g", "0 g")
        )
    assert found.value == pytest.approx(47.5) and found.budget == ()
    assert "no uncertainty given" in found.shown


def test_the_back_titration_counts_what_the_acid_lacks():
    # 10.000 mmol of acid less 4.950 mmol of base: 5.050 mmol, times 39.098 g/mol 0.19745 g.
    found = yields.back_titration(**TITRATION)
    assert found.alkali.value == pytest.approx(5.050)
    assert found.metal_mass.value == pytest.approx(0.19745, rel=1e-4)
    assert found.purity.value == pytest.approx(98.72, abs=0.01)


def test_a_yield_has_the_uncertainty_of_its_factors_in_squares():
    found = yields.honest_yield(
        isolated=("3.00 g", "0.03 g"), purity=("90 %", "1.8 %"), theoretical=("6.00 g", "0.12 g")
    )
    relative = math.sqrt(0.01**2 + 0.02**2 + 0.02**2)
    assert found.uncertainty / found.value == pytest.approx(relative)


def test_a_result_is_reported_with_two_figures_of_uncertainty():
    found = yields.honest_yield(
        isolated=("3.00 g", "0.03 g"), purity=("90 %", "1.8 %"), theoretical=("6.00 g", "0.12 g")
    )
    assert found.shown == "(45.0 ± 2.7) % (k = 2)"
    assert "45.0 ± 2.7" in found._repr_html_()


def test_half_widths_become_standard_uncertainties():
    # JCGM 100:2008, 4.3.7: a/sqrt(3); 4.3.9: a/sqrt(6).
    assert yields.measured("x", "10 mL", "0.03 mL", "mL", "rectangular").uncertainty == (
        pytest.approx(0.03 / math.sqrt(3))
    )
    assert yields.measured("x", "10 mL", "0.03 mL", "mL", "triangular").uncertainty == (
        pytest.approx(0.03 / math.sqrt(6))
    )


@pytest.mark.parametrize(
    ("isolated", "words"),
    [("2.95 g", "balance closes"), ("1.0 g", "More is missing"), ("4.5 g", "More came out")],
)
def test_the_mass_balance_judges_what_is_unaccounted_for(isolated, words):
    balance = yields.mass_balance(
        ("5.60 g", "0.03 g"),
        {"isolated": (isolated, "0.03 g"), "residues": ("2.60 g", "0.08 g")},
    )
    assert words in balance.verdict
    assert balance.unaccounted.value + sum(share for _, share in balance.shares) == (
        pytest.approx(100.0)
    )


# ------------------------------------------------------------------ bad input


@pytest.mark.parametrize("reading", ["750 bar", "29.9 bar", "101.3 Pa", "1013 Pa"])
def test_a_barometer_in_the_wrong_unit_is_refused_with_the_range(reading):
    with pytest.raises(BadMeasurement, match="500 to 1100 hPa"):
        yields.gas_volumetry(**{**GAS, "barometer": (reading, "1 hPa")})


def test_750_bar_is_asked_back_as_millimetres_of_mercury_or_millibars():
    with pytest.raises(BadMeasurement, match=r"750 bar.*Was 750 mmHg or mbar or hPa meant"):
        yields.barometer_reading("750 bar")


def test_a_titre_larger_than_the_burette_is_refused_with_both():
    with pytest.raises(BadMeasurement, match=r"62\.0\smL is larger than .* 50\.0\smL"):
        yields.back_titration(**{**TITRATION, "titre": ("62.0 mL", "0.03 mL")})


def test_more_base_than_acid_is_refused():
    with pytest.raises(BadMeasurement, match="no less than the acid"):
        yields.back_titration(**{**TITRATION, "acid_volume": ("40 mL", "0.03 mL")})


def test_a_leak_as_large_as_the_gas_is_refused():
    with pytest.raises(BadMeasurement, match="Seal the apparatus"):
        yields.gas_volumetry(**GAS, leak=("70 mL", "1 mL"))


def test_a_level_that_leaves_no_pressure_is_refused():
    with pytest.raises(BadMeasurement, match="no gas would be left"):
        yields.gas_volumetry(**GAS, level=("11 m", "1 mm"))


def test_a_frozen_seal_and_an_unknown_one_are_refused():
    with pytest.raises(OutOfRange, match="vapour pressure of liquid water"):
        yields.gas_volumetry(**{**GAS, "temperature": ("-5 °C", "0.3 K")})
    with pytest.raises(yields.UnknownSealLiquid, match="there are: water"):
        yields.gas_volumetry(**GAS, over="mercury")


def test_bare_numbers_negative_masses_and_impossible_purities_are_refused():
    with pytest.raises(UnreadableQuantity, match="gas volume"):
        yields.gas_volumetry(**{**GAS, "volume": (62, "0.2 mL")})
    with pytest.raises(BadMeasurement, match="purity"):
        yields.honest_yield(
            isolated=("3 g", "0 g"), purity=("960 %", "1 %"), theoretical=("6 g", "0 g")
        )
    with pytest.raises(OutOfBounds, match="residues"):
        yields.mass_balance(("5 g", "0 g"), {"residues": ("-1 g", "0 g")})
    with pytest.raises(BadMeasurement, match="gaussian"):
        yields.measured("x", "1 g", "1 g", "g", "gaussian")
