"""The run: what is refused, how plans read, what an observer sees, how a result shows itself."""

import pickle

import numpy as np
import pytest

from potash import Preparation
from potash.kinetics import (
    LABEL,
    REACTIONS,
    SURFACES,
    WORDS,
    BadPlan,
    OutOfReach,
    RouteNotModelled,
    RunNotFollowed,
    UnknownParameter,
    alcohol_classes,
    all_at_once,
    at_times,
    batch,
    compare,
    composition,
    least_alcohol,
    on_tarnish,
    simulate_reduction,
    staggered,
    standing_plan,
    stoichiometry,
    teaching_values,
    with_dose,
)
from potash.properties.liquids import liquid
from potash.units import OutOfBounds, Quantity, UnreadableQuantity, WrongDimension


@pytest.fixture(scope="module")
def preparation():
    return Preparation.default()


@pytest.fixture(scope="module")
def run(preparation):
    return simulate_reduction(preparation)


# The network


@pytest.mark.parametrize("metal", ["Li", "Na", "K", "Rb", "Cs"])
@pytest.mark.parametrize("alcohol", ["C5H12O", "C4H10O", "CH4O"])
def test_no_reaction_makes_or_loses_an_atom_or_a_charge(metal, alcohol):
    made_of = composition(metal, alcohol)
    assert np.array_equal(
        made_of.matrix @ stoichiometry(), np.zeros((len(made_of.elements), len(REACTIONS)))
    )


def test_the_four_steps_add_up_to_the_equation_of_the_preparation():
    matrix = stoichiometry()
    order = list(REACTIONS)
    total = sum(
        matrix[:, order.index(name)] for name in ("reduction", "regeneration", "scavenging")
    )
    named = dict(zip(composition("K", "C5H12O").formulas, total, strict=True))
    left = {name: number for name, number in named.items() if number}
    assert left == {"hydroxide": -2, "reductant": -2, "metal": 2, "oxide": 2, "hydrogen": 1}


def test_species_are_written_out_for_the_metal_and_the_alcohol():
    formulas = composition("K", "C5H12O").formulas
    assert formulas["hydroxide"] == "KOH"
    assert formulas["crust"] == "K2O"
    assert sorted(formulas["alkoxide"]) == sorted("C5H11OK")


# The batch


def test_the_flask_holds_what_the_charge_sheet_says(preparation):
    flask, sheet = batch(preparation), preparation.charge()
    assert flask.water == pytest.approx(sheet.water.water.m_as("mol"), rel=1e-9)
    assert flask.most_metal == pytest.approx(2 * sheet.reduction.extent.m_as("mol"), rel=1e-9)


def test_alcohols_of_the_model_are_liquids_of_the_table_with_one_hydroxyl_group():
    for name in alcohol_classes():
        assert liquid(name).formula.endswith("O"), name


def test_a_catalyst_given_by_mass_is_poured_as_its_volume(preparation):
    by_mass = preparation.replace({"catalyst.mass": "0.73 g"})
    density = liquid("2-methyl-2-butanol").density("20 °C").m_as("g/mL")
    assert batch(by_mass).alcohol_volume * 1e6 == pytest.approx(0.73 / density, rel=1e-9)


@pytest.mark.parametrize(
    "changes, says",
    [
        ({"catalyst": None}, r"has no \[catalyst\]"),
        ({"liquid": None}, r"has no \[liquid\]"),
        ({"catalyst.name": "toluene"}, "toluene, which is no alcohol"),
    ],
)
def test_a_preparation_off_the_route_is_refused_with_what_it_lacks(preparation, changes, says):
    with pytest.raises(RouteNotModelled, match=says):
        simulate_reduction(preparation.replace(changes))


def test_a_chloride_is_refused_and_told_where_its_energies_are(preparation):
    text = """format = 1
title = "Chloride"
equation = "KCl + Na -> NaCl + K"
temperature = "800 °C"
[reagents.salt]
formula = "KCl"
mass = "5 g"
[reagents.reductant]
formula = "Na"
mass = "2 g"
[vent]
temperature = "20 °C"
pressure = "1013 mbar"
"""
    with pytest.raises(RouteNotModelled, match=r"comes from KCl here.*chapter 3"):
        simulate_reduction(Preparation.load(text))


# Plans


def test_a_staggered_plan_divides_the_alcohol():
    plan = staggered("0.9 mL", 3, "60 min")
    assert [dose.time.m_as("min") for dose in plan.doses] == [0, 60, 120]
    assert [dose.volume.m_as("mL") for dose in plan.doses] == pytest.approx([0.3, 0.3, 0.3])


def test_doses_at_chosen_moments_are_put_in_order():
    plan = at_times([("90 min", "0.2 mL"), ("10 min", "0,3 mL")])
    assert [dose.volume.m_as("mL") for dose in plan.doses] == [0.3, 0.2]


def test_the_standing_plan_is_the_preparations_own(preparation):
    plan = standing_plan(preparation)
    assert len(plan.doses) == 3
    assert plan.planned_volume.m_as("mL") == pytest.approx(0.9)


def test_a_dose_by_hand_leaves_what_went_before_and_comes_before_what_is_planned(preparation):
    plan = staggered("0.9 mL", 3, "60 min")
    run = simulate_reduction(preparation, plan)
    by_hand = with_dose(plan, run.doses, "100 min", "0.2 mL")
    assert [dose.time.m_as("min") for dose in by_hand.doses] == [0, 60, 100, 120]
    assert by_hand.title == "3 doses, one every 60.0\u00a0min, and by hand"
    again = with_dose(by_hand, run.doses, "110 min", "0.2 mL")
    assert again.title.count("by hand") == 1


def test_a_dose_by_hand_keeps_the_doses_that_the_beads_asked_for(preparation):
    plan = on_tarnish("0.3 mL", at_most=4)
    run = simulate_reduction(preparation, plan)
    asked = [dose for dose in run.doses if dose.time.m_as("min") > 0]
    assert asked
    moment = asked[0].time.m_as("min") + 10
    by_hand = with_dose(plan, run.doses, f"{moment} min", "0.1 mL")
    assert len(by_hand.doses) == 3
    assert by_hand.on_tarnish.at_most == 2
    other = simulate_reduction(preparation, by_hand)
    before = asked[0].time.m_as("min")
    metal = other.at(f"{before} min")["metal"].m_as("mol")
    assert metal == pytest.approx(run.at(f"{before} min")["metal"].m_as("mol"), rel=1e-5)
    assert [dose.time.m_as("min") for dose in other.doses[:3]] == pytest.approx([0, before, moment])


def test_two_doses_at_one_moment_are_refused(preparation):
    plan = all_at_once("0.9 mL", "60 min")
    with pytest.raises(BadPlan, match="Two doses are planned at 60"):
        with_dose(plan, (), "60 min", "0.2 mL")


def test_alcohol_at_hand_counts_the_doses_that_the_beads_may_ask_for():
    assert on_tarnish("0.2 mL", at_most=5).most_volume.m_as("mL") == pytest.approx(1.0)


@pytest.mark.parametrize(
    "make, says",
    [
        (lambda: all_at_once("-0.3 mL"), "never comes out again"),
        (lambda: all_at_once("0 mL"), 'A dose that works: "0.30 mL"'),
        (lambda: all_at_once("0.3 mL", "-5 min"), "before the run starts"),
        (lambda: at_times([("5 min", "1 mL"), ("5 min", "2 mL")]), r"one dose of 3\.00"),
        (lambda: staggered("1 mL", 0, "30 min"), "whole number from 1 to 100"),
        (lambda: staggered("1 mL", 2, "0 min"), "some time between them"),
        (lambda: staggered("1 mL", True, "30 min"), "whole number"),
        (lambda: on_tarnish("1 mL", threshold=3.0), "between 0 and 1"),
        (lambda: at_times([(f"{n} min", "1 mL") for n in range(101)]), "at most 100"),
    ],
)
def test_a_plan_that_cannot_be_carried_out_is_refused(make, says):
    with pytest.raises(BadPlan, match=says):
        make()


def test_a_dose_after_the_end_is_refused_with_both_times(preparation):
    with pytest.raises(BadPlan, match=r"planned at 360.*ends at 300"):
        simulate_reduction(preparation, all_at_once("0.9 mL", "6 h"))


def test_a_mass_for_a_dose_and_a_bare_time_are_refused():
    with pytest.raises(WrongDimension, match="volume of a dose"):
        all_at_once("0.9 g")
    with pytest.raises(UnreadableQuantity, match="time of a dose"):
        all_at_once("0.9 mL", "30")


@pytest.mark.parametrize("duration", ["0 h", "-1 h", "49 h"])
def test_a_duration_out_of_bounds_is_refused(preparation, duration):
    with pytest.raises(OutOfBounds, match="duration"):
        simulate_reduction(preparation, duration=duration)


def test_a_surface_that_is_not_known_is_refused_with_those_that_are(preparation):
    with pytest.raises(RouteNotModelled, match="fresh, ordinary, oxidised"):
        simulate_reduction(preparation, surface="shiny")


# Parameters


def test_every_teaching_value_has_a_range_a_unit_that_reads_and_a_sentence():
    for name, entry in teaching_values().items():
        assert entry.lowest <= entry.value <= entry.highest, name
        assert entry.lowest < entry.highest, name
        assert entry.sentence.endswith("."), name
        assert entry.label == LABEL == "teaching value"
        assert np.isfinite(entry.si), name


def test_a_moved_parameter_says_so():
    moved = teaching_values().changed(protection="2 mol/m^3")
    assert moved["protection"].label == "changed here"
    assert teaching_values()["protection"].label == LABEL


def test_a_parameter_out_of_its_range_or_without_a_name_is_refused():
    with pytest.raises(OutOfBounds, match="protection"):
        teaching_values().changed(protection="5000 mol/m^3")
    with pytest.raises(UnknownParameter, match="protection"):
        teaching_values().changed(protecton="2 mol/m^3")


def test_every_parameter_moves_the_run_or_belongs_to_another_case(preparation, run):
    """A slider that does nothing would be a lie."""
    elsewhere = ("metal_share_", "working_share_", "bare_share_", "crusting_still")
    for name, entry in teaching_values().items():
        if name.startswith(elsewhere):
            continue
        share = 0.3 if entry.value > entry.lowest + 0.5 * (entry.highest - entry.lowest) else 0.7
        value = entry.lowest + share * (entry.highest - entry.lowest)
        numbers = teaching_values().changed(**{name: Quantity(value, entry.unit)})
        other = simulate_reduction(preparation, parameters=numbers)
        moved = abs(other.heat.magnitude[-1] - run.heat.magnitude[-1]) + abs(
            other.final_yield.magnitude - run.final_yield.magnitude
        )
        moved += float(np.ptp(other.heat_rate.magnitude) - np.ptp(run.heat_rate.magnitude)) ** 2
        assert moved > 1e-6, name


# The run


def test_a_run_reads_as_quantities_of_one_length(run):
    n = run.time.size
    for name in ("temperature", "gas_rate", "gas_flow", "gas_volume", "heat_rate", "metal_yield"):
        assert getattr(run, name).size == n
    assert all(amount.size == n for amount in run.amounts.values())
    assert run.time.m_as("h")[-1] == pytest.approx(5.0)


def test_the_same_run_comes_twice(preparation, run):
    again = simulate_reduction(preparation)
    assert np.array_equal(again.amounts["metal"].magnitude, run.amounts["metal"].magnitude)


def test_no_amount_falls_below_zero_by_more_than_the_tolerance(run):
    assert min(amount.magnitude.min() for amount in run.amounts.values()) > -1e-7


def test_the_gas_is_the_integral_of_its_rate(run):
    seconds = run.time.m_as("s")
    total = np.trapezoid(run.gas_rate.m_as("mol/s"), seconds)
    assert total == pytest.approx(run.total_gas.m_as("mol"), rel=2e-3)


def test_the_heat_is_the_integral_of_its_rate(run):
    joules = np.trapezoid(run.heat_rate.m_as("W"), run.time.m_as("s"))
    assert joules / 1e3 == pytest.approx(run.heat.m_as("kJ")[-1], rel=2e-3)


def test_a_later_dose_changes_nothing_before_it(preparation):
    one = simulate_reduction(preparation, at_times([("0 min", "0.3 mL"), ("100 min", "0.3 mL")]))
    other = simulate_reduction(preparation, at_times([("0 min", "0.3 mL"), ("100 min", "0.9 mL")]))
    assert one.at("95 min")["metal"].m_as("mol") == pytest.approx(
        other.at("95 min")["metal"].m_as("mol"), rel=1e-9
    )
    assert one.at("200 min")["metal"].m_as("mol") != pytest.approx(
        other.at("200 min")["metal"].m_as("mol"), rel=1e-2
    )


def test_a_dose_onto_metal_gives_a_burst_of_hydrogen(preparation):
    run = simulate_reduction(preparation, at_times([("0 min", "0.9 mL"), ("200 min", "0.9 mL")]))
    minutes, flow = run.time.m_as("min"), run.gas_flow.m_as("mL/min")
    before = flow[(minutes > 190) & (minutes < 200)].max()
    after = flow[(minutes >= 200) & (minutes < 210)].max()
    assert after > 3 * before


def test_signs_cover_the_run_without_a_gap(run):
    assert run.signs[0].start.m_as("min") == 0
    assert run.signs[-1].end.m_as("min") == pytest.approx(300)
    for earlier, later in zip(run.signs, run.signs[1:], strict=False):
        assert earlier.end == later.start
        assert earlier.name != later.name
    assert all(sign.name in WORDS and sign.words for sign in run.signs)


def test_what_is_seen_follows_the_state(preparation):
    plain = [sign.name for sign in simulate_reduction(preparation, on_tarnish("0.3 mL")).signs]
    assert plain[0] == "cold"
    assert "bubbling" in plain and "beads growing" in plain
    poor = simulate_reduction(preparation, at_times([("90 min", "0.2 mL")]), duration="12 h")
    assert [sign.name for sign in poor.signs][-2:] == ["tarnishing", "grains"]
    assert poor.sign_at("1 min").name == "cold"


def test_asking_beyond_the_end_is_refused(run):
    with pytest.raises(OutOfBounds, match="time"):
        run.at("6 h")
    with pytest.raises(OutOfBounds, match="time"):
        run.sign_at("6 h")


def test_every_run_says_that_it_is_no_prediction(run):
    assert "Teaching values" in run.warnings[0]
    assert "Teaching values" in run._repr_html_()
    assert "<script" not in run._repr_html_()


def test_a_title_is_escaped_in_a_notebook(preparation):
    run = simulate_reduction(preparation.replace(title="<b>K</b>"))
    assert "&lt;b&gt;K&lt;/b&gt;" in run._repr_html_()


def test_water_enough_for_all_the_reductant_leaves_no_metal(preparation):
    wet = preparation.replace({"reagents.reductant.mass": "1.0 g"})
    run = simulate_reduction(wet)
    assert run.final_yield.m_as("percent") == pytest.approx(0, abs=0.5)
    assert any("takes all of the reductant" in warning for warning in run.warnings)


def test_a_metal_without_tables_has_its_heat_marked_as_missing(preparation):
    rubidium = preparation.replace(
        {"reagents.hydroxide.formula": "RbOH"}, equation="2 RbOH + 2 Mg -> 2 Rb + 2 MgO + H2"
    )
    assert any(
        "for want of a table" in warning for warning in simulate_reduction(rubidium).warnings
    )


def test_parameters_travel_to_another_process():
    assert pickle.loads(pickle.dumps(teaching_values())) == teaching_values()  # noqa: S301


# Choosing


def test_plans_are_compared_side_by_side(preparation):
    plans = [all_at_once("0.9 mL"), staggered("0.9 mL", 3, "60 min"), on_tarnish("0.3 mL")]
    runs = compare(preparation, plans, duration="4 h")
    assert [run.plan for run in runs] == plans
    assert all(run.time.m_as("h")[-1] == pytest.approx(4.0) for run in runs)


def test_the_least_alcohol_reaches_what_is_wanted_and_a_little_less_does_not(preparation):
    found = least_alcohol(preparation, "60 %", doses=2, every="60 min")
    assert found.run.final_yield.m_as("percent") >= 60
    less = staggered(0.98 * found.volume, 2, "60 min")
    assert simulate_reduction(preparation, less).final_yield.m_as("percent") < 60


def test_a_yield_out_of_reach_is_named_with_the_best_there_is(preparation):
    with pytest.raises(OutOfReach, match=r"99\.0.*out of reach.*gives the most"):
        least_alcohol(preparation, "99 %", stirred=False)


@pytest.mark.parametrize("wanted", ["0 %", "100 %", "-5 %"])
def test_a_wanted_yield_out_of_bounds_is_refused(preparation, wanted):
    with pytest.raises(OutOfBounds, match="wanted yield"):
        least_alcohol(preparation, wanted)


def test_every_surface_has_its_share():
    for surface in SURFACES:
        assert f"bare_share_{surface}" in teaching_values()


def test_an_integrator_that_gives_up_says_where(preparation, monkeypatch):
    import scipy.integrate

    def given_up(slope, state, time, **_):
        return np.zeros((time.size, state.size)), {"message": "Excess work done."}

    monkeypatch.setattr(scipy.integrate, "odeint", given_up)
    with pytest.raises(RunNotFollowed, match=r"past 0\.0 min: Excess work"):
        simulate_reduction(preparation)
