"""Hydrogen on its way out: what is refused, and how verdicts read."""

import numpy as np
import pytest

from potash import Preparation
from potash.hydrogen import (
    BadRelease,
    BalloonTooSmall,
    NoVentilation,
    back_pressure,
    balloon,
    bubble_rate,
    condenser_power,
    heat_check,
    hood_air,
    largest_scale,
    release,
    smallest_airflow,
    steady_release,
    suck_back,
    washout_time,
    wet_gas_volume,
)
from potash.kinetics import simulate_reduction
from potash.units import OutOfBounds, Quantity, UnreadableQuantity, WrongDimension


def _release(minutes, rates):
    times = Quantity(np.array(minutes, dtype=float), "min")
    return release(times, Quantity(np.array(rates, dtype=float), "mmol/min"))


@pytest.fixture(scope="module")
def run():
    return simulate_reduction(Preparation.default())


def test_a_run_releases_what_it_made(run):
    assert run.release.total.m_as("mol") == pytest.approx(run.total_gas.m_as("mol"), rel=2e-3)
    assert run.release.worst[0].m_as("mL/min") == pytest.approx(run.peak_gas_flow[0].m_as("mL/min"))


def test_no_ventilation_is_refused_with_the_airflow_that_would_do(run):
    with pytest.raises(NoVentilation, match=r"at least .*m³/h.*Without a working hood"):
        hood_air(run.release, "1 m3", "0 m3/h")
    with pytest.raises(NoVentilation):
        largest_scale(run.release, "0 m3/h")


@pytest.mark.parametrize(
    "name, call",
    [
        ("volume of the hood", lambda r: hood_air(r, "0 m3", "0.2 m3/s")),
        ("airflow", lambda r: hood_air(r, "1 m3", "-0.2 m3/s")),
        ("mixing factor", lambda r: hood_air(r, "1 m3", "0.2 m3/s", mixing_factor=0.5)),
        ("share of the lower flammable limit", lambda r: smallest_airflow(r, share="120 %")),
    ],
)
def test_a_hood_out_of_bounds_is_refused(run, name, call):
    with pytest.raises(OutOfBounds, match=name):
        call(run.release)


def test_an_airflow_without_a_unit_or_as_a_velocity_is_refused(run):
    with pytest.raises(UnreadableQuantity, match="airflow"):
        hood_air(run.release, "1 m3", "0.2")
    with pytest.raises(WrongDimension, match="airflow"):
        hood_air(run.release, "1 m3", "0.5 m/s")


def test_a_hood_says_whether_its_worst_moment_stays_below_a_quarter_of_the_limit():
    strong = steady_release("5 L/min", "30 min")
    assert hood_air(strong, "1 m3", "0.5 m3/s").within
    narrow = hood_air(strong, "1 m3", "0.01 m3/s")
    assert not narrow.within
    assert "passes 1.00" in narrow.words
    assert "ignition source" in narrow._repr_html_()


def test_an_airflow_is_too_small_even_where_the_hood_itself_takes_up_a_short_burst():
    burst = steady_release("5 L/min", "10 s")
    air = hood_air(burst, "2 m3", "1 m3/h", mixing_factor=5)
    assert air.worst < air.limit and air.needed == smallest_airflow(burst, mixing_factor=5)
    assert not air.within
    assert "stays below" in air.words and "too small all the same" in air.words


def test_no_gas_needs_no_airflow_and_allows_any_scale():
    nothing = steady_release("0 mL/min", "10 min")
    assert smallest_airflow(nothing).m_as("m^3/s") == 0
    assert largest_scale(nothing, "0.2 m3/s").m_as("") == np.inf


@pytest.mark.parametrize(
    "minutes, rates, says",
    [
        ([0, 1, 2], [1, 1], "3 times and 2 rates"),
        ([0], [1], "at least two"),
        ([0, 2, 1], [1, 1, 1], "after 2 min comes 1 min"),
        ([3, 3], [1, 1], "all times are the same"),
    ],
)
def test_times_and_rates_that_are_no_release_are_refused(minutes, rates, says):
    with pytest.raises(BadRelease, match=says):
        _release(minutes, rates)


def test_a_negative_rate_is_refused():
    with pytest.raises(OutOfBounds, match="rate"):
        _release([0, 1], [-1, 1])


def test_a_balloon_smaller_than_the_gas_is_refused_with_one_that_would_do(run):
    litres = run.gas_volume.m_as("L")[-1]
    with pytest.raises(
        BalloonTooSmall, match=rf"releases {litres:.2f}.*at least {litres / 0.8:.2f}"
    ):
        balloon(run.total_gas, "2 L")


def test_a_balloon_large_enough_says_how_full_it_gets():
    found = balloon("0.1 mol", "5 L", "25 °C", "100 kPa")
    assert found.fill.m_as("percent") == pytest.approx(100 * 2.4790 / 5, abs=0.01)
    assert "store of fuel" in found._repr_html_()


def test_bubbles_are_counted_by_their_volume():
    # 60 bubbles of 5 mm, 65.45 microlitres each, in a minute
    assert bubble_rate("3.927 mL/min", "5 mm").m_as("1/s") == pytest.approx(1.0, rel=1e-4)


def test_a_bubbler_lays_its_head_of_oil_on_the_vessel():
    # 10 mm of water: 0.98 mbar
    assert back_pressure("10 mm", "1000 kg/m3").m_as("mbar") == pytest.approx(0.980665, rel=1e-9)


def test_vapour_that_is_condensed_on_cooling_draws_back_more():
    dry = suck_back("300 mL", "200 °C").volume
    wet = suck_back("300 mL", "200 °C", vapour_pressure_hot="60 kPa").volume
    assert wet > dry


def test_a_trap_holds_what_is_drawn_back_or_is_too_small():
    assert suck_back("300 mL", "200 °C", trap="250 mL").held
    small = suck_back("300 mL", "200 °C", trap="50 mL")
    assert not small.held and "too small" in small.words
    assert "no trap" in suck_back("300 mL", "200 °C").words


@pytest.mark.parametrize(
    "name, call",
    [
        ("cold temperature", lambda: suck_back("1 L", "20 °C", "200 °C")),
        ("vapour pressure", lambda: wet_gas_volume("1 mol", "100 °C", "1 bar", "1.1 bar")),
        ("depth", lambda: back_pressure("-1 mm")),
        ("airflow", lambda: washout_time("1 m3", "0 m3/s", "1 %", "0.1 %")),
        ("fraction at the end", lambda: washout_time("1 m3", "1 m3/s", "0.1 %", "1 %")),
        ("largest fill", lambda: balloon("1 mmol", "1 L", largest_fill="120 %")),
    ],
)
def test_a_vessel_out_of_bounds_is_refused(name, call):
    with pytest.raises(OutOfBounds, match=name):
        call()


def test_heat_is_held_against_condenser_and_bath_at_the_worst_moment(run):
    weak = heat_check(run.time, run.heat_rate, condenser="2 W", bath="1 W")
    assert not weak.carried and "do not carry" in weak.words
    strong = heat_check(run.time, run.heat_rate, condenser="60 W", bath="1 W")
    assert strong.carried
    assert strong.worst.m_as("W") == run.heat_rate.m_as("W").max()


def test_boil_up_is_what_the_bath_leaves_over_the_latent_heat():
    time = Quantity(np.array([0.0, 1.0]), "min")
    heat = Quantity(np.array([5.0, 60.0]), "W")
    found = heat_check(time, heat, condenser="50 W", bath="5 W", latent_heat="330 kJ/kg")
    assert found.boil_up.m_as("g/min") == pytest.approx([0.0, 10.0])


def test_a_condenser_carries_its_coefficient_times_area_times_difference():
    assert condenser_power("100 W/(m2 K)", "0.02 m2", "50 K").m_as("W") == pytest.approx(100.0)
