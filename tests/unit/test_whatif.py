"""Sweeps: the same numbers from the same seed anywhere, progress, cancelling, what moves most."""

import builtins

import numpy as np
import pytest

from potash import Preparation
from potash.kinetics import at_times, on_tarnish, simulate_reduction
from potash.kinetics.errors import BadPlan
from potash.whatif import OUTCOMES, BadSweep, NoCluster, monte_carlo, tolerances, tornado
from potash.whatif.inputs import draw, outcome, problem
from potash.whatif.montecarlo import chunk


@pytest.fixture(scope="module")
def preparation():
    return Preparation.default()


@pytest.fixture(scope="module")
def spread(preparation):
    return monte_carlo(preparation, samples=60, seed=7)


def _problem(preparation, **settings):
    given = {"duration": "5 h", "stirred": True, "surface": "ordinary", "seed": 7}
    return problem(preparation, None, None, None, **{**given, **settings})


def test_an_unmoved_run_of_a_sweep_is_the_simulated_run(preparation):
    run = simulate_reduction(preparation)
    yielded, metal, hydrogen, peak = outcome(_problem(preparation), {})
    assert yielded == pytest.approx(run.final_yield.m_as("percent"), rel=1e-12)
    assert metal == pytest.approx(run.amounts["metal"].m_as("mol")[-1], rel=1e-12)
    assert hydrogen == pytest.approx(run.total_gas.m_as("mol"), rel=1e-12)
    assert peak == pytest.approx(run.peak_gas_flow[0].m_as("mL/min"), rel=1e-12)


def test_the_same_seed_gives_the_same_numbers_and_another_gives_others(preparation, spread):
    again = monte_carlo(preparation, samples=60, seed=7)
    other = monte_carlo(preparation, samples=20, seed=8)
    for name in OUTCOMES:
        assert np.array_equal(again.samples[name].magnitude, spread.samples[name].magnitude)
    assert other.samples["metal"].magnitude[0] != spread.samples["metal"].magnitude[0]


def test_a_longer_sweep_begins_with_the_shorter_one(preparation, spread):
    short = monte_carlo(preparation, samples=25, seed=7)
    assert np.array_equal(
        short.samples["hydrogen"].magnitude, spread.samples["hydrogen"].magnitude[:25]
    )


def test_pieces_made_in_any_order_give_the_same_numbers(preparation, spread):
    given = _problem(preparation)
    for at in (50, 0, 20):
        first, rows = chunk(given, at, at + 10)
        expected = spread.samples["metal yield"].magnitude[first : first + 10]
        assert [row[0] for row in rows] == expected.tolist()


def test_inputs_are_drawn_normal_and_independent(preparation):
    given = _problem(preparation)
    drawn = np.array([list(draw(given, number).values()) for number in range(4000)])
    assert np.all(np.abs(drawn.mean(axis=0)) < 5 / np.sqrt(4000))
    assert np.all(np.abs(drawn.std(axis=0) - 1) < 0.06)
    related = np.corrcoef(drawn.T) - np.eye(drawn.shape[1])
    assert np.abs(related).max() < 0.08


def test_the_spread_of_hydrogen_is_about_what_the_tolerances_propagate_to(preparation):
    """JCGM 100:2008, 5.1: with rates fixed, hydrogen is hydroxide/2 + water + alcohol/2."""
    weighed = [one for one in tolerances() if one.name in ("hydroxide_assay", "hydroxide_moisture")]
    found = monte_carlo(
        preparation, on_tarnish("0.3 mL"), samples=120, inputs=weighed, duration="8 h"
    )
    assay = 9.30 / 56.1056 * 0.01 / 2
    moisture = 9.30 / 18.0153 * 0.015
    expected = float(np.hypot(assay, moisture))
    assert found.samples["hydrogen"].magnitude.std(ddof=1) == pytest.approx(expected, rel=0.25)


def test_progress_counts_up_to_the_end(preparation):
    seen = []
    monte_carlo(preparation, samples=45, progress=lambda done, asked: seen.append((done, asked)))
    assert seen[0] == (0, 45) and seen[-1] == (45, 45)
    assert [done for done, _ in seen] == sorted(done for done, _ in seen)


def test_a_cancelled_sweep_keeps_what_it_made(preparation, spread):
    asked = iter([False, False, True])
    stopped = monte_carlo(preparation, samples=60, seed=7, cancelled=lambda: next(asked))
    assert stopped.cancelled and stopped.done == 40 and stopped.asked == 60
    assert np.array_equal(
        stopped.samples["metal"].magnitude, spread.samples["metal"].magnitude[:40]
    )
    assert "stopped after 40" in stopped._repr_html_()


def test_a_sweep_cancelled_at_once_has_no_spread(preparation):
    none = monte_carlo(preparation, samples=20, cancelled=lambda: True)
    assert none.done == 0
    with pytest.raises(BadSweep, match="before its first run"):
        none.median("metal")
    assert "Cancelled" in none._repr_html_()


@pytest.mark.parametrize("samples", [0, -5, 2.5, True, "100", 10_000_000])
def test_a_number_of_samples_that_is_none_is_refused(preparation, samples):
    with pytest.raises(BadSweep, match="whole number from 1"):
        monte_carlo(preparation, samples=samples)


def test_an_outcome_that_is_not_known_is_refused_with_those_that_are(preparation, spread):
    with pytest.raises(BadSweep, match="metal yield, metal, hydrogen, peak gas flow"):
        spread.interval("colour")
    with pytest.raises(BadSweep, match="metal yield"):
        tornado(preparation, duration="1 h").bars("colour")


def test_a_plan_past_the_end_is_refused_as_in_a_single_run(preparation):
    with pytest.raises(BadPlan, match="run ends"):
        monte_carlo(preparation, at_times([("6 h", "0.3 mL")]), samples=5)


def test_a_tornado_is_sorted_and_its_bars_are_runs(preparation):
    found = tornado(preparation)
    for name in OUTCOMES:
        lengths = [bar.length for bar in found.bars(name)]
        assert lengths == sorted(lengths, reverse=True)
    moisture = next(b for b in found.bars("hydrogen") if b.tolerance.name == "hydroxide_moisture")
    given = _problem(preparation)
    assert moisture.high.magnitude == outcome(given, {"hydroxide_moisture": 2.0})[2]
    assert "What moves the hydrogen" in found._repr_html_()


def test_more_moisture_gives_more_hydrogen_and_more_temperature_more_metal(preparation):
    found = tornado(preparation)
    by_name = {bar.tolerance.name: bar for bar in found.bars("hydrogen")}
    assert by_name["hydroxide_moisture"].high > by_name["hydroxide_moisture"].low
    metal = {bar.tolerance.name: bar for bar in found.bars("metal yield")}
    assert metal["temperature"].high > metal["temperature"].low
    assert metal["impurity"].high < metal["impurity"].low


def test_tolerances_are_labelled_and_name_inputs_that_exist():
    for one in tolerances():
        assert one.label == "teaching value"
        assert one.kind in ("absolute", "relative")
        assert one.si > 0


def test_a_sweep_on_a_cluster_without_the_package_says_how_to_get_it(preparation, monkeypatch):
    real = builtins.__import__

    def without(name, *arguments, **named):
        if name == "distributed":
            raise ImportError(name)
        return real(name, *arguments, **named)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(NoCluster, match=r'pip install "potash\[cluster\]"'):
        monte_carlo(preparation, samples=5, cluster="tcp://127.0.0.1:8786")


def test_a_cluster_gives_the_same_numbers(preparation, spread):
    distributed = pytest.importorskip("distributed")
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None
    ) as local:
        found = monte_carlo(preparation, samples=60, seed=7, cluster=local.scheduler_address)
    for name in OUTCOMES:
        assert np.array_equal(found.samples[name].magnitude, spread.samples[name].magnitude)


def test_nobody_at_the_address_of_a_cluster_is_said_so(preparation, monkeypatch):
    pytest.importorskip("distributed")
    monkeypatch.setattr("potash.whatif.cluster._PATIENCE", "1s")
    with pytest.raises(NoCluster, match="No Dask scheduler answers"):
        monte_carlo(preparation, samples=5, cluster="tcp://127.0.0.1:1")
