"""Speed of the run and of sweeps, as ratios within one run of the tests."""

import time
import tracemalloc

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from potash import Preparation
from potash.kinetics import batch, simulate_reduction, teaching_values
from potash.kinetics.network import INDEX
from potash.kinetics.rates import STATES, laws, right_hand_side
from potash.whatif import monte_carlo


@pytest.fixture(scope="module")
def preparation():
    found = Preparation.default()
    simulate_reduction(found)  # imports scipy and reads the tables
    return found


def _fastest(work, times):
    durations = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        durations.append(time.perf_counter() - start)
    return min(durations)


def test_a_run_of_five_hours_costs_at_most_twice_the_bare_integrator(preparation):
    """The yardstick: solve_ivp on the bare right-hand side, three doses, nothing read out."""
    flask = batch(preparation)
    law = laws(flask, teaching_values(), stirred=True, surface="ordinary")
    third = flask.alcohol / 3

    def bare():
        present, state, now = law.charge.copy(), np.zeros(STATES), 0.0
        state[-1] = law.bare_share
        for end, dose in ((1800.0, third), (3600.0, 0.0), (7200.0, third), (18000.0, third)):
            present[INDEX["alcohol"]] += dose
            found = solve_ivp(
                right_hand_side(law, present), (now, end), state,
                method="LSODA", rtol=1e-6, atol=1e-9,
            )  # fmt: skip
            state, now = found.y[:, -1], end
        return state

    theirs = _fastest(bare, 15)
    ours = _fastest(lambda: simulate_reduction(preparation), 15)
    print(f"\nrun of 5 h: {ours * 1e3:.1f} ms, {ours / theirs:.2f} times the bare integrator")
    assert ours / theirs <= 2.0


def test_a_sweep_costs_in_proportion_to_its_samples(preparation):
    few = _fastest(lambda: monte_carlo(preparation, samples=40), 2)
    many = _fastest(lambda: monte_carlo(preparation, samples=160), 1)
    print(f"\n160 samples cost {many / few:.2f} times 40")
    assert many / few < 4 * 1.4


def test_a_sweep_keeps_four_numbers_a_sample_and_no_run(preparation):
    def most(samples):
        tracemalloc.start()
        monte_carlo(preparation, samples=samples)
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        return peak

    most(10)
    little, more = most(10), most(40)
    print(f"\npeak of 10 samples {little / 1e6:.2f} MB, of 40 samples {more / 1e6:.2f} MB")
    assert more - little < 30 * 8 * 4 * 20
