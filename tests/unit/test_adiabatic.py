"""Adiabatic heating of a charge, with a liquid and without."""

import pytest

from potash import balance
from potash.adiabatic import (
    Unbalanced,
    adiabatic_heating,
    charge_heating,
    heating_curve,
    run_to_the_end,
)
from potash.preparation import Preparation
from potash.properties import NoTrustedValue, OutOfRange, species
from potash.properties.liquid_heat import liquid_heat, liquids_with_heat

BEFORE = {"KOH": "0.10 mol", "Mg": "0.10 mol"}
AFTER = {"K": "0.10 mol", "MgO": "0.10 mol", "H2": "0.05 mol"}


def amounts(given):
    return {formula: float(amount.split()[0]) for formula, amount in given.items()}


def test_the_heat_is_minus_the_reaction_enthalpy():
    found = adiabatic_heating(BEFORE, AFTER, start="473 K")
    expected = -balance("2 KOH + 2 Mg -> 2 K + 2 MgO + H2").enthalpy("473 K").m_as("kJ/mol") * 0.05
    assert found.heat.m_as("kJ") == pytest.approx(expected, rel=1e-6)


def test_without_a_liquid_the_products_hold_all_the_enthalpy_at_the_end():
    found = adiabatic_heating(BEFORE, AFTER, start="473 K")
    T = found.end.m_as("K")
    was = sum(n * species(f).enthalpy_si(473.0) for f, n in amounts(BEFORE).items())
    now = sum(n * species(f).enthalpy_si(T) for f, n in amounts(AFTER).items())
    assert now == pytest.approx(was, rel=1e-6)
    assert T > 1040  # potassium has boiled


def test_in_much_liquid_the_rise_is_heat_over_heat_capacity():
    found = adiabatic_heating(BEFORE, AFTER, start="400 K", liquid="tetralin", liquid_mass="2 kg")
    # 2 kg of tetralin, 132.21 g/mol, about 265 J/(mol K) at 400 K: 4.0 kJ/K
    assert found.rise.m_as("delta_degC") == pytest.approx(found.heat.m_as("kJ") / 4.02, rel=0.02)
    assert found.boiled_away == 0 and not found.held_by


def test_a_boiling_liquid_holds_the_temperature_and_takes_the_rest_by_boiling():
    found = adiabatic_heating(BEFORE, AFTER, start="470 K", liquid="tetralin", liquid_mass="80 g")
    record = liquid_heat("tetralin")
    n, boiling = 80 / 132.206, record.boiling_point_si
    assert found.end.m_as("K") == pytest.approx(boiling)
    products = sum(n_i * species(f).enthalpy_si(boiling) for f, n_i in amounts(AFTER).items())
    was = sum(n_i * species(f).enthalpy_si(470.0) for f, n_i in amounts(BEFORE).items())
    left = was - products - n * record.uptake_si(470.0, boiling)
    assert found.boiled_away == pytest.approx(left / (n * record.vaporization_si), rel=1e-4)
    assert found.held_by == "boiling of tetralin"


def test_too_little_liquid_boils_away_and_the_residue_goes_on():
    found = adiabatic_heating(BEFORE, AFTER, start="470 K", liquid="tetralin", liquid_mass="5 g")
    dry = adiabatic_heating(BEFORE, AFTER, start="470 K")
    assert found.boiled_away == 1
    assert liquid_heat("tetralin").boiling_point_si < found.end.m_as("K") < dry.end.m_as("K")


def test_more_liquid_never_ends_hotter():
    masses = [0, 5, 20, 40, 80, 200, 500, 2000]
    ends = [
        adiabatic_heating(
            BEFORE, AFTER, start="470 K", liquid="tetralin", liquid_mass=f"{mass} g"
        ).end.m_as("K")
        for mass in masses
    ]
    assert ends == sorted(ends, reverse=True)


def test_a_boiling_metal_is_named_as_what_holds_the_temperature():
    curve = heating_curve(Preparation.default().charge(), start="473 K", liquid="tetralin")
    plateau = [v for v, T in zip(curve.volumes, curve.ends, strict=True) if abs(T - 1039.54) < 0.1]
    assert len(plateau) > 5
    found = charge_heating(
        Preparation.default().charge(),
        start="473 K", liquid="tetralin", volume=f"{plateau[2]} mL",
    )  # fmt: skip
    assert found.held_by == "boiling of K"


def test_half_a_charge_in_half_the_liquid_ends_where_the_whole_ends():
    charge = Preparation.default().charge()
    whole = charge_heating(charge, start="473 K", liquid="tetralin", volume="120 mL")
    half = charge_heating(charge, start="473 K", liquid="tetralin", volume="60 mL", share="50 %")
    assert half.end.m_as("K") == pytest.approx(whole.end.m_as("K"), abs=0.01)
    assert half.heat.m_as("kJ") == pytest.approx(whole.heat.m_as("kJ") / 2)


def test_a_liquid_that_boils_below_the_start_begins_at_its_boiling_point():
    found = charge_heating(
        Preparation.default().charge(), start="473 K", liquid="toluene", volume="85 mL"
    )
    assert found.start.m_as("K") == pytest.approx(383.75, abs=0.1)


def test_reactions_run_in_turn_until_their_limiting_substance_is_gone():
    after = run_to_the_end(
        {"KOH": 1.0, "H2O": 0.5, "Mg": 1.2},
        [balance("H2O + Mg -> MgO + H2"), balance("2 KOH + 2 Mg -> 2 K + 2 MgO + H2")],
    )
    # water takes 0.5 mol Mg; 0.7 mol are left for KOH, of which 0.3 mol remain
    assert after == pytest.approx({"KOH": 0.3, "MgO": 1.2, "H2": 0.85, "K": 0.7})


def test_vanished_atoms_are_refused():
    with pytest.raises(Unbalanced, match=r"0\.1 mol Mg"):
        adiabatic_heating(BEFORE, {**AFTER, "MgO": "0.05 mol"}, start="473 K")


def test_a_liquid_without_a_heat_capacity_is_refused_with_those_that_have_one():
    with pytest.raises(NoTrustedValue, match="tetralin"):
        adiabatic_heating(BEFORE, AFTER, start="473 K", liquid="methanol", liquid_mass="50 g")


def test_a_start_above_the_boiling_point_is_refused():
    with pytest.raises(OutOfRange, match="toluene"):
        adiabatic_heating(BEFORE, AFTER, start="473 K", liquid="toluene", liquid_mass="50 g")


@pytest.mark.parametrize("name", liquids_with_heat())
def test_the_uptake_is_the_integral_of_the_heat_capacity(name):
    record = liquid_heat(name)
    low, high = 310.0, record.boiling_point_si
    steps = 4000
    width = (high - low) / steps
    summed = sum(record.heat_capacity_si(low + (i + 0.5) * width) * width for i in range(steps))
    assert record.uptake_si(low, high) == pytest.approx(summed, rel=1e-6)
    assert record.uptake_si(high, low) == pytest.approx(-summed, rel=1e-6)
