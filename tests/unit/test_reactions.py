"""Reactions: sums over species, verdicts, explanations, ranges and what is missing."""

import math
import subprocess
import sys
from fractions import Fraction

import numpy as np
import pytest

import potash
from potash import equations
from potash.errors import PotashError
from potash.properties import NoTrustedValue, OutOfRange
from potash.reactions import NotBalanced, Reaction
from potash.units import OutOfBounds, Quantity, UnreadableQuantity

ROUTE = "KOH + Mg -> K + MgO + H2"


@pytest.fixture
def route():
    return potash.balance(ROUTE)


def test_a_reaction_is_balanced_and_reads_as_an_equation(route):
    assert str(route) == "2 KOH + 2 Mg -> 2 K + 2 MgO + H2"
    assert route.coefficients == {"KOH": -2, "Mg": -2, "K": 2, "MgO": 2, "H2": 1}


def test_gibbs_energy_is_the_sum_over_the_species(route):
    T = Quantity(np.linspace(250.0, 1300.0, 43), "K")
    total = sum(
        number * potash.species(formula).gibbs_energy(T)
        for formula, number in route.coefficients.items()
    )
    assert np.allclose(route.gibbs_energy(T).m_as("J/mol"), total.m_as("J/mol"), rtol=0, atol=1e-5)


def test_gibbs_energy_is_enthalpy_less_temperature_times_entropy(route):
    T = Quantity(np.linspace(300.0, 1300.0, 41), "K")
    difference = route.enthalpy(T) - T * route.entropy(T) - route.gibbs_energy(T)
    assert np.abs(difference.m_as("kJ/mol")).max() < 1e-9


def test_scalars_and_arrays_agree(route):
    several = route.gibbs_energy(["25 °C", "200 °C", "800 K"]).m_as("kJ/mol")
    assert several[1] == pytest.approx(route.gibbs_energy("473.15 K").m_as("kJ/mol"), abs=1e-9)
    assert route.gibbs_energy_si(473.15) == pytest.approx(1e3 * several[1], abs=1e-6)


def test_a_reaction_written_backwards_has_the_opposite_values(route):
    back = potash.balance("K + MgO + H2 -> KOH + Mg")
    assert back.gibbs_energy("473 K") == -route.gibbs_energy("473 K")
    assert back.verdict("473 K") == "uphill"


def test_a_phase_label_changes_the_value():
    vapour = potash.balance("KCl + Na -> NaCl + K(g)")
    assert vapour.enthalpy("900 K") > potash.balance("KCl + Na -> NaCl + K").enthalpy("900 K")


def test_half_a_mole_of_hydrogen_is_kept_as_written():
    half = Reaction(equations.read("K + H2O(l) -> K+ + OH- + 1/2 H2"))
    assert half.coefficients["H2"] == Fraction(1, 2)
    whole = potash.balance("K + H2O(l) -> K+ + OH- + H2")
    assert half.enthalpy_si(298.15) == pytest.approx(whole.enthalpy_si(298.15) / 2)


def test_an_equation_that_is_not_balanced_is_no_reaction():
    with pytest.raises(NotBalanced, match=r"potash\.balance"):
        Reaction(equations.read("KOH + Mg -> K + MgO + H2"))


# ------------------------------------------------------------------ verdicts


def test_the_hydroxide_route_runs_downhill_for_sodium_as_for_potassium():
    for metal in ("Li", "Na", "K", "Cs"):
        reaction = potash.balance(f"{metal}OH + Mg -> {metal} + MgO + H2")
        assert reaction.verdict("473 K") == "downhill"


def test_no_conclusion_is_drawn_below_ten_kilojoules():
    exchange = potash.balance("KOH + Na -> NaOH + K")
    assert abs(exchange.gibbs_energy("473 K").m_as("kJ/mol")) < 10
    assert exchange.verdict("473 K") == "too close to call"
    assert "too close to call" in str(exchange.explain("473 K"))


def test_near_a_crossing_the_verdict_is_open_and_away_from_it_decided():
    calcination = potash.balance("CaCO3 -> CaO + CO2")
    (crossing,) = calcination.crossing_temperatures
    T = crossing.m_as("K")
    assert calcination.gibbs_energy_si(T) == pytest.approx(0, abs=1.0)
    verdicts = calcination.verdict(Quantity(np.array([T - 200, T, T + 30]), "K"))
    assert list(verdicts[:2]) == ["uphill", "too close to call"]


def test_the_verdict_widens_with_the_uncertainty_of_the_superoxide():
    reaction = potash.balance("KO2 + K -> K2O2")
    assert reaction.uncertainty("298.15 K").m_as("kJ/mol") > 8
    assert potash.balance(ROUTE).uncertainty("298.15 K").m_as("kJ/mol") == pytest.approx(5, abs=1)


# ------------------------------------------------------------------ equilibrium constants


def test_the_equilibrium_constant_follows_from_the_gibbs_energy():
    calcination = potash.balance("CaCO3 -> CaO + CO2")
    K = calcination.equilibrium_constant("1000 K")
    # Molar gas constant from the SI Brochure, 9th ed.
    expected = math.exp(-calcination.gibbs_energy_si(1000.0) / (8.31446261815324 * 1000.0))
    assert K.check("[]")
    assert K.m_as("dimensionless") == pytest.approx(expected, rel=1e-12)


def test_an_enormous_equilibrium_constant_has_a_finite_logarithm():
    thermite = potash.balance("Fe3O4 + Al -> Al2O3 + Fe")
    assert math.isinf(thermite.equilibrium_constant("298.15 K").magnitude)
    # 3348 kJ/mol over R T
    assert 1200 < thermite.ln_equilibrium_constant("298.15 K").magnitude < 1400
    back = potash.balance("Al2O3 + Fe -> Fe3O4 + Al")
    assert back.equilibrium_constant("298.15 K").magnitude == 0.0


# ------------------------------------------------------------------ explanations


def test_an_explanation_adds_up(route):
    told = route.explain("200 °C")
    total = sum(term.coefficient * term.gibbs_energy.m_as("kJ/mol") for term in told.terms)
    assert total == pytest.approx(told.gibbs_energy.m_as("kJ/mol"), abs=1e-9)
    assert [term.phase for term in told.terms] == ["cr, alpha", "cr", "l", "cr", "g"]
    assert told.verdict == "downhill"
    assert all("Chase" in source for source in told.sources)


def test_an_explanation_reads_as_text_and_as_an_escaped_table(route):
    told = route.explain("473 K")
    assert "says nothing about its rate" in str(told)
    html = told._repr_html_()
    assert html.count("<tr>") == 1 + len(told.terms) + 1
    assert "-&gt;" in html
    assert 'scope="row"' in html


def test_an_explanation_warns_of_solids_beyond_their_melting_point():
    told = potash.balance("K2O2 -> K2O + O2").explain("1100 K")
    assert any("K2O2" in note and "melting point" in note for note in told.notes)
    assert any("K2O:" in note for note in told.notes)


def test_an_explanation_takes_one_temperature(route):
    with pytest.raises(PotashError, match="one temperature"):
        route.explain(["300 K", "400 K"])


def test_transitions_are_listed_in_rising_temperature_with_their_species(route):
    marks = [(name, t.kind) for name, t in route.transitions]
    assert marks[:4] == [
        ("K", "melting"),
        ("KOH", "solid-solid"),
        ("KOH", "melting"),
        ("Mg", "melting"),
    ]


# ------------------------------------------------------------------ what is missing


def test_each_species_without_data_is_named_with_its_reason():
    reaction = potash.balance("Rb2O + Mg -> Rb + MgO")
    assert str(reaction) == "Rb2O + Mg -> 2 Rb + MgO"
    with pytest.raises(NoTrustedValue, match=r"Rb2O.*no entropy"):
        reaction.gibbs_energy("298.15 K")
    assert reaction.enthalpy("298.15 K").m_as("kJ/mol") == pytest.approx(-262, abs=3)


def test_a_reaction_of_unlisted_species_is_balanced_but_not_calculated():
    reaction = potash.balance("BaO + Al -> Ba + Al2O3")
    assert str(reaction) == "3 BaO + 2 Al -> 3 Ba + Al2O3"
    with pytest.raises(NoTrustedValue, match=r"'BaO'.*'Ba'"):
        reaction.gibbs_energy("1000 K")


def test_out_of_range_names_the_species_that_ends_the_range():
    rubidium = potash.balance("RbOH + Mg -> Rb + MgO + H2")
    assert rubidium.gibbs_energy("25 °C").m_as("kJ/mol") < -300
    with pytest.raises(OutOfRange, match=r"RbOH has none beyond \(only values at 298\.15 K"):
        rubidium.gibbs_energy("473 K")


def test_species_that_share_no_temperature_are_told_apart():
    with pytest.raises(OutOfRange, match=r"K\(l\) 336\.35 to"):
        potash.balance("K(l) + H2O(l) -> K+ + OH- + H2").enthalpy("298.15 K")


@pytest.mark.parametrize(
    ("temperature", "error"),
    [("473", UnreadableQuantity), (473, UnreadableQuantity), ("-1 K", OutOfBounds)],
)
def test_a_bad_temperature_is_refused(route, temperature, error):
    with pytest.raises(error):
        route.gibbs_energy(temperature)


def test_not_a_number_is_refused_on_the_fast_path(route):
    with pytest.raises(OutOfRange):
        route.gibbs_energy_si(float("nan"))


def test_reactions_load_none_of_the_heavy_libraries():
    heavy = ("scipy.optimize", "pandas", "thermo", "matplotlib", "polars")
    code = (
        "import sys, potash; potash.balance('KOH + Mg -> K + MgO + H2').explain('473 K');"
        f"print([name for name in {heavy} if name in sys.modules])"
    )
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert out.stdout.strip() == "[]"


# ------------------------------------------------------------------ without loss of heat


def test_the_adiabatic_temperature_closes_the_heat_balance(route):
    C = 800.0
    T = route.adiabatic_temperature("200 °C", ballast=Quantity(C, "J/(mol K)")).m_as("K")
    products = sum(
        n * (potash.species(f).enthalpy_si(T) - potash.species(f).enthalpy_si(473.15))
        for f, n in route.coefficients.items()
        if n > 0
    )
    assert products + C * (T - 473.15) == pytest.approx(-route.enthalpy_si(473.15), abs=5.0)


def test_a_ballast_lowers_the_adiabatic_temperature(route):
    bare = route.adiabatic_temperature("200 °C")
    with_liquid = route.adiabatic_temperature("200 °C", ballast="2 kJ/(mol K)")
    assert with_liquid < bare
    assert with_liquid > Quantity(473.15, "K")


def test_boiling_metal_holds_the_adiabatic_temperature_at_its_boiling_point(route):
    # Of 352 kJ about 250 heat products and ballast to 1039.54 K; boiling all K takes 159.
    held = route.adiabatic_temperature("200 °C", ballast="250 J/(mol K)")
    assert held.m_as("K") == pytest.approx(1039.54, abs=0.01)


def test_an_endothermic_reaction_cools():
    calcination = potash.balance("CaCO3 -> CaO + CO2")
    with pytest.raises(OutOfRange, match="beyond"):
        calcination.adiabatic_temperature("1100 K")
    cooled = calcination.adiabatic_temperature("1100 K", ballast="1 kJ/(mol K)")
    assert 900 < cooled.m_as("K") < 1000


def test_a_reaction_hotter_than_all_data_is_refused():
    with pytest.raises(OutOfRange, match="end beyond 2500 K"):
        potash.balance("Fe3O4 + Al -> Al2O3 + Fe").adiabatic_temperature("25 °C")
