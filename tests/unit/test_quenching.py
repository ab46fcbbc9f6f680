"""Quenching: what is read, refused, followed over time, limited and warned of."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from potash import quenching
from potash.preparation import Preparation
from potash.quenching import BadQuench, Quench, review, simulate_quench
from potash.quenching import model as quench_model
from potash.quenching.failures import (
    END_CHOICES,
    GAS_CHOICES,
    TEMPERATURE_CHOICES,
    UnknownWhatIf,
)
from potash.quenching.limits import kept
from potash.units import OutOfBounds, Quantity, UnreadableQuantity, WrongDimension


@pytest.fixture(scope="module")
def course():
    return simulate_quench(Quench.planned())


# ------------------------------------------------------------------ alcohols


def test_acidity_falls_and_the_quench_slows_from_primary_to_tertiary():
    # Common practice; acidities after Ballinger and Long (1960) and Reeve (1979).
    ranked = quenching.alcohols()
    rates = [one.relative_rate for one in ranked]
    assert rates == sorted(rates, reverse=True)
    kinds = [one.kind for one in ranked]
    assert kinds == sorted(kinds, key=["primary", "secondary", "tertiary"].index)


@pytest.mark.parametrize("one", quenching.alcohols(), ids=lambda one: one.name)
def test_an_alcohol_is_a_listed_liquid_with_a_source_for_each_number(one):
    assert one.liquid.boiling_point.m_as("K") > 300
    assert 1500 < one.heat_capacity < 3500
    assert 0.01 < one.lower_flammable_limit < 0.08
    assert all((one.acidity_source, one.heat_capacity_source, one.flammability_source))


@pytest.mark.parametrize("one", quenching.teaching_values(), ids=lambda one: one.name)
def test_every_number_that_was_not_measured_says_so(one):
    assert any(words in one.source for words in ("teaching value", "this workbook's own"))


@pytest.mark.parametrize("one", quenching.alcohols(), ids=lambda one: one.name)
def test_no_verdict_calls_an_alcohol_safe(one):
    assert "safe" not in one.verdict and "allowed" not in one.verdict


def test_water_is_turned_away_by_name():
    with pytest.raises(quenching.UnknownAlcohol, match="no quench liquid"):
        quenching.alcohol("water")


# ------------------------------------------------------------------ balance over time


def test_all_metal_is_gone_when_bubbling_stops(course):
    assert course.ends is not None
    assert course.metal.m[-1] < 1e-6 * course.metal.m[0]
    assert course.time.m[-1] == pytest.approx(course.ends.m)


def test_alcohol_is_fed_and_used_up_mole_for_mole(course):
    fed = course.trajectory.fed[-1]
    assert fed == pytest.approx(course.quench.alcohol_amount, rel=1e-6)
    left = course.trajectory.alcohol[-1]
    assert fed - left == pytest.approx(course.quench.metal_amount, rel=1e-3)


def test_the_hydrogen_that_leaves_adds_up_to_half_the_metal(course):
    t, flow, T = course.trajectory.t, course.hydrogen_flow.m_as("m^3/s"), course.trajectory.T
    amount = np.trapezoid(flow * 1.01325e5 / (8.314462618 * T), t)
    assert amount == pytest.approx(course.quench.metal_amount / 2, rel=0.02)


def test_without_cooling_the_heat_balance_closes():
    quench = Quench.planned(feed="10 mL/min", bath="20 °C")
    run = simulate_quench(quench, (quench_model.Stretch(3e5, cooling=0.0),))
    capacity = run.model.heat_capacity + run.model.to_feed * run.model.alcohol_heat_capacity
    rise = quench.metal_amount * run.model.heat / capacity
    assert run.trajectory.T[-1] - quench.bath == pytest.approx(rise, rel=5e-3)


def test_a_large_excess_at_constant_temperature_shrinks_spheres_as_in_closed_form():
    # Alcohol comes at 20 °C, so that a bath of 20 °C leaves the temperature alone.
    quench = Quench.planned(mass="10 mg", piece="2 mm", excess=1000, feed="10 mL/min", bath="20 °C")
    run = simulate_quench(quench)
    full = np.flatnonzero(run.trajectory.fed >= run.model.to_feed * (1 - 1e-9))[1:]
    t, r = run.trajectory.t[full], run.trajectory.radius[full]
    slopes = np.diff(r) / np.diff(t)
    assert slopes[1:-1] == pytest.approx(np.mean(slopes[1:-1]), rel=0.01)
    closed = quenching.time_until_gone(Quantity(2 * r[0], "m"), Quantity(-slopes[1], "m/s"))
    assert closed.m_as("s") == pytest.approx(t[-1] - t[0], rel=0.02)


def test_a_faster_feed_lets_more_alcohol_gather_and_runs_hotter():
    slow = simulate_quench(Quench.planned(feed="0.05 mL/min"))
    fast = simulate_quench(Quench.planned(feed="5 mL/min"))
    assert fast.accumulated.m.max() > slow.accumulated.m.max()
    assert fast.peak_si > slow.peak_si
    assert fast.synthesis_si > slow.synthesis_si


def test_a_finer_solution_changes_little(course, monkeypatch):
    monkeypatch.setattr(quench_model, "_RELATIVE", 1e-9)
    finer = simulate_quench(course.quench)
    assert finer.peak_si == pytest.approx(course.peak_si, abs=0.02)
    assert finer.ends.m == pytest.approx(course.ends.m, rel=2e-3)


def test_a_preparation_is_quenched_with_all_its_theoretical_yield_as_metal():
    preparation = Preparation.default()
    run = simulate_quench(preparation, diluent_volume="300 mL", feed="0.2 mL/min")
    expected = preparation.charge().theoretical_yield.m_as("kg")
    assert run.quench.mass == pytest.approx(expected)


def test_a_course_shows_itself_as_a_table_that_says_what_it_is(course):
    html = course._repr_html_()
    assert "Teaching values" in html and "Bubbling stops after" in html


# ------------------------------------------------------------------ bad input


def test_bare_numbers_and_wrong_kinds_are_refused_by_name():
    with pytest.raises(UnreadableQuantity, match="mass"):
        Quench.planned(mass=2)
    with pytest.raises(WrongDimension, match="feed"):
        Quench.planned(feed="3 g")
    with pytest.raises(OutOfBounds, match="excess"):
        Quench.planned(excess=-1)


def test_no_diluent_over_more_than_small_pieces_is_refused():
    with pytest.raises(BadQuench, match=r"No diluent is given for 2\.00\sg of K"):
        simulate_quench(Quench.planned(mass="2 g", diluent=None))


def test_a_feed_beyond_the_pump_is_refused_with_both_figures():
    with pytest.raises(BadQuench, match=r"20\.0\smL/min is faster .* 10\.0\smL/min"):
        simulate_quench(Quench.planned(feed="20 mL/min"))


def test_short_alcohol_says_how_short_and_what_stays():
    # 1.00 g K is 25.58 mmol; 80 % of it leaves 5.115 mmol and 0.200 g (atomic weight 39.098).
    with pytest.raises(BadQuench, match=r"short of the metal by 5\.12\smmol.*0\.200\sg of K"):
        simulate_quench(Quench.planned(mass="1.00 g", excess=0.8))


def test_a_bath_above_the_boiling_point_is_refused():
    # 2-propanol boils at 82.3 °C (CRC Handbook).
    with pytest.raises(BadQuench, match=r"90\s°C is not below the boiling point of 2-propanol"):
        simulate_quench(Quench.planned(bath="90 °C"))


def test_all_reasons_are_given_at_once():
    with pytest.raises(BadQuench) as problem:
        simulate_quench(Quench.planned(mass="2 g", diluent=None, feed="20 mL/min", excess=0.5))
    assert all(words in str(problem.value) for words in ("diluent", "pump", "short"))


# ------------------------------------------------------------------ warnings


def codes(quench):
    return {one.code for one in review(quench)}


def test_a_planted_plan_raises_every_warning_that_applies_and_no_other():
    quench = Quench.planned(metal="K", mass="20 g", piece="36 mm", alcohol="water", hood=None)
    found = review(quench)
    assert codes(quench) == {
        "no-hood",
        "water-quench",
        "water-with-flammables",
        "large-piece",
        "much-metal",
        "boiling-margin",
        "boils-after-failure",
        "decomposition-after-failure",
        "metal-melts",
    }
    assert all(one.reason and one.advice and one.source for one in found)


def test_a_modest_plan_raises_none():
    assert codes(Quench.planned(mass="1.0 g", piece="4 mm")) == set()


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"hood": None}, "no-hood"),
        ({"alcohol": "methanol"}, "methanol-quench"),
        ({"alcohol": "ethanol"}, "fast-alcohol"),
        ({"alcohol": "tert-butanol"}, "slow-alcohol"),
        ({"alcohol": "tert-butanol"}, "too-long"),
        ({"mass": "4 g", "piece": "12 mm"}, "large-piece"),
        ({"mass": "8 g"}, "much-metal"),
        ({"mass": "2 g", "diluent": None}, "no-diluent"),
        ({"excess": 0.5}, "alcohol-short"),
        ({"feed": "30 mL/min"}, "feed-beyond-pump"),
        ({"water_in_diluent": "0.2 %"}, "wet-diluent"),
        ({"bath": "100 °C"}, "bath-boils"),
        ({"mass": "5 g", "feed": "1 mL/min"}, "boils-after-failure"),
        ({"mass": "5 g", "feed": "10 mL/min", "diluent_volume": "30 mL"}, "boiling-margin"),
        ({"metal": "Cs", "bath": "30 °C"}, "metal-melts"),
        ({"hood": "0.1 L/min"}, "hydrogen-limit"),
        ({"decomposition": "40 °C"}, "decomposition-after-failure"),
    ],
)
def test_each_fault_raises_its_own_warning(change, code):
    assert code in codes(Quench.planned(**change))


def test_ethanol_on_sodium_is_not_called_too_fast():
    assert "fast-alcohol" not in codes(Quench.planned(metal="Na", alcohol="ethanol"))


# ------------------------------------------------------------------ limits


@pytest.mark.parametrize(
    "planned",
    [{}, {"mass": "4 g"}, {"mass": "3 g", "piece": "3 mm"}, {"hood": "0.1 L/s"}, {"metal": "Na"}],
)
def test_limits_take_fewer_than_twenty_simulations(planned):
    quench = Quench.planned(**planned)
    assert quenching.largest_feed(quench).simulations < 20
    assert quenching.smallest_excess(quench).simulations < 20


def test_the_largest_feed_keeps_every_limit_and_a_little_more_breaks_one():
    quench = Quench.planned(mass="4 g")
    feed = quenching.largest_feed(quench).value.m_as("m^3/s")
    assert kept(simulate_quench(quench.but(feed=feed)))[0].slack >= 0
    assert kept(simulate_quench(quench.but(feed=feed * 1.05)))[0].slack < 0


def test_the_smallest_excess_ends_in_time_and_a_little_less_does_not():
    quench = Quench.planned()
    excess = quenching.smallest_excess(quench).value.m
    assert simulate_quench(quench.but(excess=excess)).trajectory.ended <= quench.session
    assert simulate_quench(quench.but(excess=excess * 0.95)).trajectory.ended > quench.session


def test_without_a_hood_no_feed_keeps_the_limits():
    found = quenching.largest_feed(Quench.planned(hood=None))
    assert found.value is None and "flammable limit" in found.decided_by


# ------------------------------------------------------------------ failures and water


@pytest.mark.parametrize("failure", quenching.failures(), ids=lambda one: one.name)
def test_a_failure_has_one_outcome_of_each_offered_kind_and_tells_it(failure):
    found = quenching.what_if(Quench.planned(mass="2 g"), failure.name)
    assert found.temperature in TEMPERATURE_CHOICES
    assert found.end in END_CHOICES
    assert found.gas in GAS_CHOICES
    assert failure.lesson in found.told
    assert found.answer in failure.choices


def test_failures_go_the_way_that_the_trade_knows():
    # Common practice, no source.
    quench = Quench.planned(mass="2 g")
    assert quenching.what_if(quench, "cooling lost").temperature == "hotter"
    assert quenching.what_if(quench, "alcohol too fast").temperature == "hotter"
    assert quenching.what_if(quench, "bead the size of a walnut").end == "later"
    assert quenching.what_if(quench, "wet diluent").gas == "stronger"
    assert quenching.what_if(quench, "stirrer stops").temperature == "hotter"


def test_an_unknown_failure_names_those_there_are():
    with pytest.raises(UnknownWhatIf, match="cooling lost"):
        quenching.what_if(Quench.planned(), "earthquake")


def test_water_gives_all_its_heat_and_gas_whatever_is_planned():
    # 2.00 g K: 51.15 mmol, at 196 kJ/mol 10.0 kJ; half of it hydrogen, 0.626 L at 25 °C and 1 atm.
    found = quenching.met_by_water("K", "2.00 g", "100 mL")
    assert found.heat.m_as("kJ") == pytest.approx(10.0, rel=0.01)
    assert found.hydrogen.m_as("L") == pytest.approx(0.626, rel=0.01)
    assert found.rise.m == pytest.approx(24.0, rel=0.02)
    assert any("lilac" in reason for reason in found.reasons)


# ------------------------------------------------------------------ whatever is planned


@given(
    metal=st.sampled_from(["Li", "Na", "K", "Rb", "Cs"]),
    alcohol=st.sampled_from([*(one.name for one in quenching.alcohols()), "water"]),
    diluent=st.sampled_from([None, *(one.name for one in quenching.diluents())]),
    mass=st.floats(0.01, 500),
    piece=st.floats(0.2, 60),
    excess=st.floats(0.1, 50),
    feed=st.floats(0.01, 100),
    bath=st.integers(-60, 200),
    hood=st.sampled_from([None, "0.2 m3/s", "1 mL/s"]),
    water=st.sampled_from(["0 %", "0.05 %", "5 %"]),
)
@settings(max_examples=200, deadline=None)
def test_every_plan_can_be_reviewed_and_what_is_simulated_is_finite(
    metal, alcohol, diluent, mass, piece, excess, feed, bath, hood, water
):
    quench = Quench.planned(
        metal=metal,
        alcohol=alcohol,
        diluent=diluent,
        mass=f"{mass} g",
        piece=f"{piece} mm",
        excess=excess,
        feed=f"{feed} mL/min",
        bath=f"{bath} °C",
        hood=hood,
        water_in_diluent=water,
    )
    found = codes(quench)
    assert ("no-hood" in found) == (hood is None)
    assert ("water-quench" in found) == (alcohol == "water")
    if not quenching.problems(quench):
        run = simulate_quench(quench)
        assert np.all(np.isfinite(run.temperature.m)) and np.all(np.isfinite(run.hydrogen_flow.m))
        # No metal comes back, within what the solver's relative tolerance of 1e-5 lets pass.
        assert np.all(np.diff(run.metal.m) <= 1e-4 * run.metal.m[0])
        assert run.synthesis_si >= run.trajectory.T[0]
