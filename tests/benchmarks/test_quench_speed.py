"""A quench simulation against a bare solver of the same size, in the same run."""

import time

import numpy as np
from scipy.integrate import LSODA

from potash.quenching import Quench, simulate_quench
from potash.quenching.model import _RELATIVE, Stretch, _reacting, tolerances


def best_of(action, times=15):
    durations = []
    for _ in range(times):
        start = time.perf_counter()
        action()
        durations.append(time.perf_counter() - start)
    return min(durations)


def bare(model, points):
    """The same equations to the same end in steps no longer than ours, and nothing else."""
    derivatives = _reacting(model, Stretch(1e9), model.feed)
    after = _reacting(model, Stretch(1e9), 0.0)
    feed_ends = model.to_feed / model.feed

    def run():
        state = np.array([model.radius, 0.0, model.water, model.bath])
        for rates, start, end in ((derivatives, 0.0, feed_ends), (after, feed_ends, points[-1])):
            if end <= start:
                continue
            longest = (end - start) / (len(points) / 2)
            solver = LSODA(
                rates, start, state, end, max_step=longest, rtol=_RELATIVE, atol=tolerances(model)
            )
            while solver.status == "running":
                solver.step()
            state = solver.y.copy()

    return run


def test_a_quench_takes_at_most_twice_a_bare_solver_of_the_same_size():
    quench = Quench.planned(mass="2 g")
    course = simulate_quench(quench)
    ours = best_of(lambda: simulate_quench(quench).criticality)
    solver = best_of(bare(course.model, course.trajectory.t))
    print(f"quench {ours * 1e3:.2f} ms, bare solver {solver * 1e3:.2f} ms, {ours / solver:.2f}")
    assert ours <= 2 * solver
