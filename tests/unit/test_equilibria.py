"""Equilibrium compositions: balances, phases, sweeps, and what cannot be calculated."""

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

import potash
from potash.equilibria import (
    BadMixture,
    NoFeasibleComposition,
    equilibrium,
    gas_pressure,
    sweep,
)
from potash.equilibria.minimiser import Minimiser
from potash.equilibria.mixture import mixture
from potash.equilibria.programme import Programme
from potash.errors import PotashError
from potash.formulas import BadFormula, parse
from potash.units import OutOfBounds, Quantity, WrongDimension

# Whole numbers leave balances that two sets of phases meet alike.
MOLES = st.one_of(st.floats(0.001, 10.0), st.integers(1, 4).map(float))
PUT_IN = (
    "KCl", "Na", "K2CO3", "C", "MgO", "CaO", "Si", "KOH", "Mg", "Al", "H2O", "F2", "LiCl", "Al2O3",
    "CsCl", "Fe", "KO2", "CaCO3", "N2", "O2",
)  # fmt: skip
CHARGES = st.dictionaries(st.sampled_from(PUT_IN), MOLES, min_size=1, max_size=4)


def _atoms(found):
    totals = {}
    for name, amount in found.amounts.items():
        for element, number in parse(name).elements.items():
            totals[element] = totals.get(element, 0.0) + float(number) * amount.m_as("mol")
    return totals


# ------------------------------------------------------------------ what comes out


def test_the_public_name_is_a_function():
    found = potash.equilibrium({"KCl": "1 mol", "Na": "1 mol"}, temperature="1150 K")
    assert found.amount("KCl(l)").m_as("mol") > 0.5


def test_elements_are_conserved():
    found = equilibrium({"KOH": "2 mol", "Mg": "2 mol"}, temperature="1300 K")
    assert _atoms(found) == pytest.approx({"K": 2, "O": 2, "H": 2, "Mg": 2}, abs=1e-9)


def test_partial_pressures_add_up_to_the_pressure_and_follow_the_amounts():
    found = equilibrium({"CsCl": "2 mol", "Ca": "1 mol"}, temperature="1100 K", pressure="0.1 kPa")
    total = sum(p.m_as("bar") for p in found.partial_pressures.values())
    assert total == pytest.approx(1e-3, rel=1e-9)
    share = found.amount("Cs(g)") / found.gas_amount
    assert found.partial_pressures["Cs(g)"].m_as("bar") == pytest.approx(1e-3 * share.magnitude)


def test_without_a_gas_there_are_no_partial_pressures():
    found = equilibrium({"KCl": "1 mol", "Na": "1 mol"}, temperature="400 K")
    assert set(found.amounts) == {"KCl(cr)", "Na(l)"}
    assert found.partial_pressures == {}
    assert found.gas_amount.m_as("mol") == 0


def test_calcite_gives_off_its_carbon_dioxide_above_its_decomposition_temperature_only():
    below = equilibrium({"CaCO3": "1 mol"}, temperature="1150 K")
    above = equilibrium({"CaCO3": "1 mol"}, temperature="1185 K")
    assert below.amount("CaCO3(cr)").m_as("mol") == pytest.approx(1.0)
    assert above.amount("CaO(cr)").m_as("mol") == pytest.approx(1.0)
    assert above.amount("CO2(g)").m_as("mol") == pytest.approx(1.0, abs=1e-3)


@pytest.mark.parametrize("T", [900.0, 1000.0, 1100.0])
def test_a_single_gas_settles_at_the_pressure_of_its_equilibrium_constant(T):
    """CaCO3 -> CaO + CO2 with K = p(CO2)/bar: it holds just above that pressure, not below."""
    K = potash.balance("CaCO3 -> CaO + CO2").equilibrium_constant_si(T)
    only = ("CaCO3", "CaO", "CO2(g)")
    above, below = (
        equilibrium({"CaCO3": "1 mol"}, temperature=f"{T} K", pressure=f"{K * f} bar", species=only)
        for f in (1.0001, 0.9999)
    )
    assert above.amount("CaCO3(cr)").m_as("mol") == pytest.approx(1.0)
    assert below.amount("CO2(g)").m_as("mol") == pytest.approx(1.0)


def test_the_dissociation_of_potassium_vapour_follows_its_closed_form():
    """K2 -> 2 K in the gas: x^2/(1 - x) = K/p for the mole fraction x of atoms."""
    T = 1200.0
    K = potash.balance("K2(g) -> K(g)").equilibrium_constant_si(T)
    found = equilibrium({"K": "1 mol"}, temperature=f"{T} K", species=["K(g)", "K2(g)"])
    x = found.partial_pressures["K(g)"].m_as("bar")
    assert x**2 / (1 - x) == pytest.approx(K, rel=1e-9)


def test_equilibria_obey_each_reaction_among_the_species_present():
    found = equilibrium({"KCl": "1 mol", "Na": "1 mol"}, temperature="1150 K")
    p = {name: q.m_as("bar") for name, q in found.partial_pressures.items()}
    for text, ratio in (
        ("Na(g) + KCl(l) -> NaCl(l) + K(g)", p["K(g)"] / p["Na(g)"]),
        ("Na2(g) -> 2 Na(g)", p["Na(g)"] ** 2 / p["Na2(g)"]),
        ("KCl(l) -> KCl(g)", p["KCl(g)"]),
    ):
        expected = potash.balance(text).equilibrium_constant_si(1150.0)
        assert ratio == pytest.approx(expected, rel=1e-6)


def test_the_alkali_metal_boils_off_under_vacuum_when_it_would_not_at_one_bar():
    charge = {"CsCl": "2 mol", "Ca": "1 mol"}
    at_1_bar = equilibrium(charge, temperature="900 K")
    in_vacuum = equilibrium(charge, temperature="900 K", pressure="1 Pa")
    assert in_vacuum.amount("Cs(g)") > 5 * at_1_bar.amount("Cs(g)")


def test_only_the_species_named_are_considered():
    found = equilibrium(
        {"KCl": "1 mol", "Na": "1 mol"}, temperature="900 K", species=["KCl", "NaCl", "Na", "K"]
    )
    assert set(found.considered) == {
        "KCl(cr)", "NaCl(cr)", "Na(l)", "K(l)", "KCl(g)", "NaCl(g)", "Na(g)", "K(g)",
    }  # fmt: skip
    assert found.amount("K(g)").m_as("mol") == 0
    with pytest.raises(KeyError, match="not considered"):
        found.amount("K2(g)")


def test_the_result_says_what_it_leaves_out_and_reads_as_text_and_table():
    found = equilibrium({"Mg(OH)2": "1 mol"}, temperature="1100 K")
    assert any("Mg(OH)2(cr)" in note for note in found.notes)
    assert any("pure" in note for note in found.notes)
    assert "MgO(cr)" in str(found)
    assert found._repr_html_().count("<tr>") == 1 + len(found.amounts)


def test_the_amount_put_in_scales_the_result():
    small, large = (
        equilibrium({"KOH": f"{n} mol", "Mg": f"{n} mol"}, temperature="1200 K")
        for n in (1e-6, 1e3)
    )
    for name, amount in small.amounts.items():
        assert large.amount(name).m_as("mol") == pytest.approx(1e9 * amount.m_as("mol"), rel=1e-6)


@pytest.mark.parametrize("T", [700.0, 900.0, 1100.0])
def test_the_first_gas_over_calcite_forms_at_its_equilibrium_constant(T):
    found = gas_pressure(
        {"CaCO3": "1 mol"}, temperature=f"{T} K", species=["CaCO3", "CaO", "CO2(g)"]
    )
    K = potash.balance("CaCO3 -> CaO + CO2").equilibrium_constant_si(T)
    assert found.pressure.m_as("bar") == pytest.approx(K, rel=3e-6)


def test_the_first_gas_over_potassium_is_its_vapour_of_atoms_and_pairs():
    found = gas_pressure({"K": "1 mol"}, temperature="800 K")
    atoms = potash.balance("K(l) -> K(g)").equilibrium_constant_si(800.0)
    pairs = potash.balance("2 K(l) -> K2(g)").equilibrium_constant_si(800.0)
    assert found.partial_pressures["K(g)"].m_as("bar") == pytest.approx(atoms, rel=3e-6)
    assert found.pressure.m_as("bar") == pytest.approx(atoms + pairs, rel=3e-6)


def test_the_first_gas_over_caesium_chloride_and_calcium_follows_its_reaction():
    """2 CsCl + Ca -> CaCl2 + 2 Cs(g): with three pure solids the pressure of Cs is fixed."""
    found = gas_pressure({"CsCl": "2 mol", "Ca": "1 mol"}, temperature="800 K")
    K = potash.balance("2 CsCl(s) + Ca(s) -> CaCl2(s) + 2 Cs(g)").equilibrium_constant_si(800.0)
    assert found.partial_pressures["Cs(g)"].m_as("bar") == pytest.approx(K**0.5, rel=1e-5)


def test_a_charge_that_always_or_never_has_gas_has_no_such_pressure():
    with pytest.raises(BadMixture, match="at any pressure"):
        gas_pressure({"N2": "1 mol"}, temperature="800 K")
    with pytest.raises(BadMixture, match="only below"):
        gas_pressure({"MgO": "1 mol"}, temperature="500 K")


# ------------------------------------------------------------------ ties between phases


@pytest.mark.parametrize("T", [550.0, 785.0, 950.0])
def test_two_metals_and_their_hydroxides_do_not_stay_side_by_side(T):
    """Na + KOH -> K + NaOH among pure liquids runs to one end, whichever its Gibbs energy says."""
    found = equilibrium(
        {"KOH": "4 mol", "Na": "2 mol"}, temperature=f"{T} K", species=["KOH", "NaOH", "K", "Na"],
        pressure="10 bar",
    )  # fmt: skip
    runs = potash.balance("Na(l) + KOH -> K(l) + NaOH").gibbs_energy_si(T) < 0
    assert found.amount("K(l)").m_as("mol") == pytest.approx(2.0 if runs else 0.0, abs=1e-6)


def test_iron_monoxide_does_not_form_below_its_eutectoid():
    """It falls apart into iron and magnetite below about 570 °C: common practice, no source."""
    found = equilibrium({"KO2": "3 mol", "Mg": "2 mol", "Fe": "3 mol"}, temperature="450 K")
    assert found.amount("FeO(cr)").m_as("mol") == pytest.approx(0.0, abs=1e-9)
    assert found.amount("Fe3O4(cr)").m_as("mol") > 0.1


def test_a_phase_that_forms_beside_one_gas_leaves_the_gas_there():
    found = equilibrium({"LiCl": "8 mol", "Al2O3": "0.2 mol", "O2": "3.6 mol"}, temperature="329 K")
    assert found.amount("O2(g)").m_as("mol") == pytest.approx(3.6)
    assert found.amount("LiCl(cr)").m_as("mol") == pytest.approx(8.0)


# ------------------------------------------------------------------ sweeps


def test_a_sweep_agrees_with_single_equilibria():
    T = np.linspace(500.0, 1400.0, 19)
    charge = {"KCl": "1 mol", "Na": "1 mol"}
    swept = sweep(charge, temperature=Quantity(T, "K"))
    for i in (0, 7, 13, 18):
        single = equilibrium(charge, temperature=f"{T[i]} K")
        for name, moles in swept.amounts.items():
            expected = single.amounts.get(name, Quantity(0.0, "mol"))
            assert moles[i].m_as("mol") == pytest.approx(expected.m_as("mol"), abs=1e-9)


@settings(max_examples=20, deadline=None)
@given(CHARGES, st.floats(-5.0, 1.5))
@example({"K2CO3": 1.0, "KCl": 1.0, "N2": 1.0}, 0.0)  # traces of 1e-10 mol came and went
def test_where_a_sweep_comes_from_does_not_matter(charge, log_p):
    T = np.linspace(320.0, 1600.0, 9)
    p = np.full(9, 10**log_p)
    charge = {formula: f"{n} mol" for formula, n in charge.items()}
    there, back = (
        sweep(charge, temperature=Quantity(T[::way], "K"), pressure=Quantity(p, "bar"))
        for way in (1, -1)
    )
    assert set(there.amounts) == set(back.amounts)
    for name, moles in there.amounts.items():
        assert moles.m_as("mol") == pytest.approx(back.amounts[name].m_as("mol")[::-1], abs=1e-8)


def test_a_sweep_over_pressure_keeps_the_temperature():
    swept = sweep(
        {"CaCO3": "1 mol"}, temperature="1000 K", pressure=Quantity([1.0, 0.1, 0.01, 0.001], "bar")
    )
    calcite = swept.amounts["CaCO3(cr)"].m_as("mol")
    assert swept.temperature.m_as("K") == pytest.approx([1000.0] * 4)
    assert list(calcite > 0.5) == [True, True, False, False]


# ------------------------------------------------------------------ linear programmes


def test_a_programme_that_goes_round_in_circles_comes_to_its_end():
    """Beale, Naval Res. Logist. Q. 1955, 2, 269 (from memory): the minimum is -1/20."""
    unknowns = [[0.25, 0.5, 0.0], [-60.0, -90.0, 0.0], [-0.04, -0.02, 1.0], [9.0, 3.0, 0.0]]
    left_over = np.eye(3).tolist()
    programme = Programme([*unknowns, *left_over], [0.0, 0.0, 1.0])
    programme.price([-0.75, 150.0, -0.02, 6.0, 0.0, 0.0, 0.0])
    programme.optimise()
    assert programme.unmet == pytest.approx(0.0)
    assert programme.reduced[0] == pytest.approx(0.05)


@settings(max_examples=50, deadline=None)
@given(st.integers(0, 2**32 - 1), st.integers(1, 5), st.integers(1, 8))
def test_a_programme_ends_where_scipy_ends(seed, balances, species):
    from scipy.optimize import linprog

    rng = np.random.default_rng(seed)
    atoms = rng.integers(0, 4, (species, balances)).astype(float)
    costs = rng.normal(size=species)
    totals = atoms.T @ rng.random(species)
    programme = Programme(atoms.tolist(), totals.tolist())
    programme.price(costs.tolist())
    reference = linprog(costs, A_eq=atoms.T, b_eq=totals)
    if reference.status == 3:  # a species without atoms and below zero in cost
        return
    programme.optimise()
    amounts = {j: row[0] for j, row in zip(programme.basis, programme.rows, strict=True)}
    found = sum(amount * programme.costs[j] for j, amount in amounts.items() if amount > 1e-9)
    assert found == pytest.approx(reference.fun, abs=1e-7)


# ------------------------------------------------------------------ what cannot be


@pytest.mark.parametrize(
    ("arguments", "error", "match"),
    [
        ({"given": {}}, BadMixture, "Nothing was put in"),
        ({"given": {"KCl": "0 mol"}}, BadMixture, "Nothing was put in"),
        ({"given": {"KCl": "-1 mol"}}, OutOfBounds, "at least 0"),
        ({"given": {"KCl": "1 g"}}, WrongDimension, "amount of KCl"),
        ({"given": {"Qx": "1 mol"}}, BadFormula, "Qx"),
        ({"given": {"K+": "1 mol"}}, BadMixture, "charged"),
        ({"given": {"SnO2": "1 mol"}}, NoFeasibleComposition, "Sn"),
        ({"given": {"KCl": "1 mol"}, "pressure": "0 bar"}, OutOfBounds, "above 0"),
        ({"given": {"KCl": "1 mol"}, "temperature": "-3 K"}, OutOfBounds, "above 0"),
        ({"given": {"KCl": "1 mol"}, "temperature": "5000 K"}, NoFeasibleComposition, "5000 K"),
        (
            {"given": {"KCl": "1 mol", "K": "1 mol"}, "species": ["KCl"]},
            NoFeasibleComposition,
            "2 mol K, 1 mol Cl",
        ),
        ({"given": {"KCl": "1 mol"}, "species": ["K", "Na"]}, NoFeasibleComposition, "Cl"),
        ({"given": {"KCl": "1 mol"}, "species": ["Kalium"]}, PotashError, "Kalium"),
    ],
)
def test_what_cannot_be_calculated_is_refused_with_its_reason(arguments, error, match):
    with pytest.raises(error, match=match):
        equilibrium(**{"temperature": "900 K", **arguments})


# ------------------------------------------------------------------ the minimum is the minimum


@settings(max_examples=300, deadline=None)
@given(CHARGES, st.floats(320.0, 1500.0), st.floats(-5.0, 1.5))
def test_the_gibbs_energy_equals_its_lower_bound(charge, T, log_p):
    _assert_is_the_minimum(charge, T, log_p)


def _assert_is_the_minimum(charge, T, log_p):
    """Weak duality: potentials that violate no constraint bound the Gibbs energy from below."""
    mixed = mixture({formula: Quantity(n, "mol") for formula, n in charge.items()}, None)
    solids = [c for c in mixed.condensed if c.has_data_at(T)]
    vapours = [c for c in mixed.gas if c.has_data_at(T)]
    g = np.array([c.energy(T) for c in solids])
    h = np.array([c.energy(T) for c in vapours]) + log_p * np.log(10)
    columns = mixed.atoms((*solids, *vapours))
    found = Minimiser(columns[: len(g)], columns[len(g) :], mixed.totals).at(g.tolist(), h.tolist())
    amounts = np.array([*found.condensed, *found.gas])
    potentials, totals, atoms = (
        np.array(found.potentials),
        np.array(mixed.totals),
        np.array(columns),
    )
    assert (amounts >= 0).all()
    assert amounts @ atoms == pytest.approx(totals, rel=1e-8, abs=1e-8)
    worth = atoms @ potentials
    assert (g - worth[: len(g)] >= -1e-8).all()
    assert np.exp(worth[len(g) :] - h).sum() <= 1 + 1e-8
    gas, fractions = amounts[len(g) :], np.array(found.fractions)
    present = gas > 0
    primal = found.condensed @ g + gas[present] @ (h + np.log(fractions))[present]
    # The solver meets balances to 1e-9 of the largest total; each costs its potential.
    allowed = 1e-9 * np.abs(potentials).sum() * totals.max()
    assert primal == pytest.approx(potentials @ totals, abs=allowed)
