"""The kinetic model where closed forms exist, where a second integrator answers, and in the trade.

Shrinking particles: Levenspiel, Chemical Reaction Engineering, 3rd ed. (1999), chapter 25, reaction
control. First order, zero order and logistic growth: elementary integration.
"""

import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from potash import Preparation
from potash.kinetics import (
    all_at_once,
    at_times,
    batch,
    on_tarnish,
    simulate_reduction,
    staggered,
    teaching_values,
)
from potash.kinetics.integration import Watch, follow
from potash.kinetics.network import INDEX, SPECIES, stoichiometry
from potash.kinetics.rates import _RATES, STATES, laws, right_hand_side
from potash.units import Quantity

PRECISE = {"relative_tolerance": 1e-10, "absolute_tolerance": 1e-16}


@pytest.fixture(scope="module")
def preparation():
    return Preparation.default()


@pytest.fixture(scope="module")
def usual(preparation):
    return laws(batch(preparation), teaching_values(), stirred=True, surface="ordinary")


def _only(law, charge, rates, **others):
    """The same laws with a charge of our own and every rate zero but those named."""
    charged = np.array([charge.get(name, 0.0) for name in SPECIES])
    constants = tuple(rates.get(name, 0.0) for name in _RATES)
    return dataclasses.replace(
        law, charge=charged, rates_at_reference=constants, heating_time=0.0, **others
    )


def _hot(law):
    """No change by temperature: rates hold at the reference."""
    return {"working_temperature": law.reference_temperature}


def _along(law, name, end, **settings):
    found = follow(law, end, (), **{**PRECISE, **settings})
    return found.time, found.amounts(law)[INDEX[name]]


def test_alkoxide_lost_by_itself_falls_by_first_order(usual):
    law = _only(usual, {"alkoxide": 0.02}, {"spending_rate": 3e-4}, **_hot(usual))
    time, alkoxide = _along(law, "alkoxide", 3600.0)
    assert alkoxide == pytest.approx(0.02 * np.exp(-3e-4 * time), rel=1e-6)


def test_alkoxide_lost_by_pairs_falls_by_second_order(usual):
    law = _only(usual, {"alkoxide": 0.02}, {"clumping_rate": 1e-5}, **_hot(usual))
    time, alkoxide = _along(law, "alkoxide", 3600.0)
    decay = 2 * 1e-5 * 0.02 / law.volume
    assert alkoxide == pytest.approx(0.02 / (1 + decay * time), rel=1e-6)


def test_regeneration_with_hydroxide_to_spare_is_of_zero_order(usual):
    # Reduction a hundred million times faster keeps all alkoxide on the reductant's side.
    law = _only(
        usual,
        {"reductant alkoxide": 0.004, "hydroxide": 0.2, "reductant": 0.3},
        {"regeneration_rate": 5e-3, "reduction_rate": 1e3},
        bare_share=1.0,
        reserve=0.0,
        crusting=0.0,
        **_hot(usual),
    )
    time, hydroxide = _along(law, "hydroxide", 3000.0)
    assert hydroxide == pytest.approx(0.2 - 2 * 5e-3 * 0.004 * time, rel=1e-6)


def test_reductant_under_alkoxide_to_spare_shrinks_as_a_sphere(usual):
    law = _only(
        usual,
        {"reductant": 1e-8, "alkoxide": 1.0},
        {"reduction_rate": 1e-5},
        reductant=1e-8,
        area=1e-8,
        bare_share=1.0,
        crusting=0.0,
        **_hot(usual),
    )
    lifetime = 3 * 1e-8 / (1e-5 * law.area * 1.0 / law.volume)
    found = follow(law, 0.9 * lifetime, (), relative_tolerance=1e-11, absolute_tolerance=1e-20)
    left = found.amounts(law)[INDEX["reductant"]] / 1e-8
    assert left == pytest.approx((1 - found.time / lifetime) ** 3, rel=1e-6, abs=1e-9)
    assert left[-1] == pytest.approx(0.1**3, rel=1e-4)


def test_bare_share_grows_as_a_logistic_curve(usual):
    law = _only(usual, {"reductant": 0.1}, {"film_rate": 2e-3}, bare_share=0.01, **_hot(usual))
    found = follow(law, 6000.0, (), **PRECISE)
    assert found.bare == pytest.approx(1 / (1 + 99 * np.exp(-2e-3 * found.time)), rel=1e-6)


def test_alkoxide_formation_comes_to_rest_at_its_equilibrium(usual):
    law = _only(
        usual,
        {"alcohol": 0.01, "hydroxide": 5.0, "water": 0.002},
        {"alkoxide_formation_rate": 1e-2},
        reserve=0.0,
        **_hot(usual),
    )
    last = follow(law, 1e5, (), **PRECISE).amounts(law)[:, -1]
    quotient = last[INDEX["alkoxide"]] * last[INDEX["water"]] / last[INDEX["alcohol"]] / law.volume
    assert quotient == pytest.approx(law.equilibrium, rel=1e-6)


def test_a_rate_follows_arrhenius(usual):
    # k doubles from 298.15 K to 308.15 K for 52.9 kJ/mol: the rule of thumb of every textbook,
    # e.g. Atkins and de Paula, Physical Chemistry (from memory).
    law = dataclasses.replace(
        usual,
        rates_at_reference=(1.0,) * len(_RATES),
        barriers=(52_900 / 8.314462618,) * len(_RATES),
        reference_temperature=298.15,
    )
    assert law.constants(308.15)[0] == pytest.approx(2.0, rel=2e-3)


def _by_radau(law, doses, moments):
    """Amounts (species, n) at ``moments``, by scipy's Radau at tight tolerance."""
    present, state, now, kept = law.charge.copy(), np.zeros(STATES), 0.0, []
    state[-1] = law.bare_share
    for end, dose in doses:
        present[INDEX["alcohol"]] += dose
        inside = moments[(moments >= now) & ((moments < end) | (moments == moments[-1]))]
        found = solve_ivp(
            right_hand_side(law, present.copy()), (now, end), state,
            method="Radau", rtol=1e-10, atol=1e-14, dense_output=True,
        )  # fmt: skip
        inside = inside[inside <= end]
        kept.append(present[:, None] + stoichiometry() @ found.sol(inside)[:-1])
        state, now = found.y[:, -1], end
    return np.concatenate(kept, axis=1)


def test_a_second_integrator_finds_the_same_run(preparation, usual):
    """Implicit Runge-Kutta of order five (Radau; Hairer and Wanner), against LSODA."""
    moles = batch(preparation).alcohol / 3
    ours = follow(usual, 18000.0, ((0.0, moles), (3600.0, moles), (7200.0, moles)))
    moments = np.unique(ours.time)
    last_of_each = np.searchsorted(ours.time, moments, side="right") - 1
    stretches = ((1800.0, moles), (3600.0, 0.0), (7200.0, moles), (18000.0, moles))
    tight = _by_radau(usual, stretches, moments)
    amounts = ours.amounts(usual)[:, last_of_each]
    assert moments.size > 500
    # Over the whole run, to 1e-5 of the hydroxide charged, at the default tolerance.
    assert amounts == pytest.approx(tight, rel=0, abs=1e-5 * 0.143)


@pytest.mark.parametrize("metal, hydroxide", [("K", "KOH"), ("Na", "NaOH"), ("Cs", "CsOH")])
@pytest.mark.parametrize("alcohol", ["2-methyl-2-butanol", "2-propanol", "methanol"])
def test_every_element_and_the_charge_are_conserved_at_every_step(
    preparation, metal, hydroxide, alcohol
):
    other = preparation.replace(
        {"reagents.hydroxide.formula": hydroxide, "catalyst.name": alcohol},
        equation=f"2 {hydroxide} + 2 Mg -> 2 {metal} + 2 MgO + H2",
    )
    flask, moles = batch(other), batch(other).alcohol / 3
    law = laws(flask, teaching_values(), stirred=True, surface="ordinary")
    watch = Watch(moles=moles, at_most=3, wait=900.0, threshold=0.03)
    followed = follow(law, 18000.0, ((0.0, moles), (5000.0, moles)), watch)
    elements = flask.composition.elements
    assert {metal, "Mg", "C", "H", "O", "Z", "charge"} <= set(elements)
    brought = flask.composition.matrix[:, INDEX["alcohol"], None] * followed.added
    totals = flask.composition.totals(followed.amounts(law)) - brought
    charged = flask.composition.totals(law.charge)
    for row, symbol in enumerate(elements):
        steps = np.full(followed.time.size, charged[row])
        # Carbon comes with the alcohol alone: nothing is charged, so its sum is held against that.
        size = brought[row].max() if symbol == "C" else charged[row]
        assert totals[row] == pytest.approx(steps, rel=0, abs=1e-9 * size), symbol


@settings(max_examples=40, deadline=None)
@given(
    shares=st.lists(st.floats(0, 1), min_size=len(_RATES), max_size=len(_RATES)),
    doses=st.lists(st.tuples(st.floats(0, 17_000), st.floats(1e-5, 0.02)), max_size=5),
    surface=st.sampled_from(["fresh", "ordinary", "oxidised"]),
)
def test_no_numbers_of_the_model_and_no_doses_lose_an_atom(preparation, shares, doses, surface):
    numbers = teaching_values()
    moved = {
        name: Quantity(entry.lowest + share**3 * (entry.highest - entry.lowest), entry.unit)
        for share, (name, entry) in zip(shares, ((n, numbers[n]) for n in _RATES), strict=True)
    }
    flask = batch(preparation)
    law = laws(flask, numbers.changed(**moved), stirred=True, surface=surface)
    followed = follow(law, 18_000.0, tuple(sorted(doses)))
    amounts = followed.amounts(law)
    brought = flask.composition.matrix[:, INDEX["alcohol"], None] * followed.added
    change = flask.composition.totals(amounts) - brought
    change -= flask.composition.totals(law.charge)[:, None]
    assert np.abs(change).max() < 1e-9 * law.charge.max()
    assert amounts.min() > -1e-4 * law.charge.max()


def test_the_gas_of_a_finished_run_is_what_the_charge_sheet_says(preparation):
    """One H2 for two hydroxides, one for each water, and half of one for each alcohol."""
    run = simulate_reduction(preparation, on_tarnish("0.3 mL"), duration="12 h")
    left = run.amounts["hydroxide"].m_as("mol")[-1] / batch(preparation).hydroxide
    assert left < 1e-3
    flask = batch(preparation)
    alcohol = run.alcohol_used.m_as("mL") * 1e-6 * flask.moles_per_volume_of_alcohol
    unspent = sum(run.amounts[name].m_as("mol")[-1] for name in ("alcohol", "bound alcohol"))
    kept = unspent + flask.hydroxide * left
    stoichiometry = flask.hydroxide / 2 + flask.water + alcohol / 2
    assert run.total_gas.m_as("mol") == pytest.approx(stoichiometry - kept / 2, rel=1e-6)


def test_the_heat_of_the_run_is_that_of_the_tabulated_reaction(preparation):
    """Whatever the two teaching values: Hess's law, with the NIST-JANAF tables for the sum."""
    import potash

    dry = preparation.replace({"reagents.hydroxide.moisture": "0 %"})
    no_loss = teaching_values().changed(
        impurity="0 mol/m^3", spending_rate="0 1/s", clumping_rate="0 m^3/mol/s",
        tarnishing_rate="0 1/s", activation_rate="0 m/s",
    )  # fmt: skip
    heats = []
    for formation in ("15 kJ/mol", "-20 kJ/mol"):
        numbers = no_loss.changed(formation_enthalpy=formation)
        run = simulate_reduction(dry, all_at_once("0.05 mL"), numbers, duration="48 h")
        heats.append(run.heat.m_as("kJ")[-1])
        extent = run.amounts["metal"].m_as("mol")[-1] / 2
    table = potash.balance("2 KOH + 2 Mg -> 2 K + 2 MgO + H2").enthalpy("473.15 K").m_as("kJ/mol")
    assert extent > 0.005
    # The alcohol itself, 0.5 mmol, turns to alkoxide once and gives or takes a few joules.
    assert heats[0] == pytest.approx(-table * extent, rel=0.03)


# Facts of the trade: common practice, no source


@pytest.fixture(scope="module")
def yields(preparation):
    def found(**settings):
        plan = settings.pop("plan", None)
        given = preparation.replace(settings.pop("changes", {}))
        return float(simulate_reduction(given, plan, **settings).final_yield.m_as("percent"))

    return found


@pytest.mark.parametrize("tertiary", ["2-methyl-2-butanol", "tert-butanol"])
def test_tertiary_alcohols_carry_the_catalysis(yields, tertiary):
    changes = {"catalyst.name": tertiary, "catalyst.measured_at": "30 °C"}
    assert yields(changes=changes) > 60


@pytest.mark.parametrize("other", ["methanol", "ethanol", "2-propanol", "2-butanol"])
def test_primary_and_secondary_alcohols_fail(yields, other):
    assert yields(changes={"catalyst.name": other}) < 5


def test_without_alcohol_no_metal_forms_and_water_gives_its_hydrogen(preparation):
    numbers = teaching_values()
    run = simulate_reduction(preparation, at_times([("299 min", "1 uL")]), numbers)
    assert run.final_yield.m_as("percent") < 0.1
    water = batch(preparation).water
    assert run.total_gas.m_as("mol") == pytest.approx(water, rel=0.01)


def test_one_large_early_dose_gives_less_than_the_same_alcohol_in_small_doses(yields):
    once = yields(plan=all_at_once("0.9 mL"))
    three = yields(plan=staggered("0.9 mL", 3, "60 min"))
    assert three > once + 5


def test_beads_dosed_when_they_tarnish_do_best(preparation, yields):
    run = simulate_reduction(preparation, on_tarnish("0.3 mL"))
    assert run.final_yield.m_as("percent") > yields(plan=staggered("0.9 mL", 3, "60 min"))
    assert len(run.doses) >= 2


def test_a_dose_restores_tarnished_beads_if_not_left_too_late(preparation):
    spent = [("90 min", "0.3 mL")]
    left = simulate_reduction(preparation, at_times(spent), duration="12 h")
    seen = [sign.name for sign in left.signs]
    assert seen[-3:] == ["beads growing", "tarnishing", "grains"]
    dull = left.signs[-2]
    moment = dull.start.m_as("min") + 5
    crust = left.at(f"{moment} min")["crust"].m_as("mol")

    def dosed(at):
        plan = at_times([*spent, (f"{at} min", "0.3 mL")])
        return simulate_reduction(preparation, plan, duration="12 h")

    soon, late = dosed(moment), dosed(moment + 180)
    assert soon.at(f"{moment + 10} min")["crust"].m_as("mol") < 0.5 * crust
    assert soon.sign_at(f"{moment + 15} min").name == "beads growing"
    assert soon.best_yield.m_as("percent") > late.best_yield.m_as("percent") > 0


def test_stirring_raises_rate_and_yield(yields):
    assert yields(stirred=True) > yields(stirred=False) + 20


def test_badly_oxidised_reductant_starts_late_and_a_fresh_surface_early(preparation):
    def induction(surface):
        run = simulate_reduction(preparation, surface=surface)
        minutes = run.time.m_as("min")
        return float(minutes[np.argmax(run.metal_yield.m_as("percent") > 5)])

    fresh, ordinary, oxidised = map(induction, ("fresh", "ordinary", "oxidised"))
    assert fresh < ordinary < oxidised
    assert oxidised > ordinary + 20


def test_wet_hydroxide_gives_less_metal_for_the_same_hydroxide(yields):
    dry = yields(changes={"reagents.hydroxide.moisture": "1 %"})
    assert dry > yields(changes={"reagents.hydroxide.moisture": "13 %"})


def test_sodium_is_reluctant_although_potassium_runs(preparation, yields):
    sodium = preparation.replace(
        {"reagents.hydroxide.formula": "NaOH"}, equation="2 NaOH + 2 Mg -> 2 Na + 2 MgO + H2"
    )
    run = simulate_reduction(sodium)
    assert run.final_yield.m_as("percent") < 10 < yields()
    assert any("kinetic" in warning for warning in run.warnings)


def test_a_hotter_bath_runs_faster(preparation):
    def reached(temperature):
        run = simulate_reduction(preparation.replace(temperature=temperature))
        return run.at("90 min")["metal"].m_as("mol")

    assert reached("180 °C") < reached("200 °C") < reached("215 °C")
