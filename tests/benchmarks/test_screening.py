"""Screening the whole table at a new temperature, as a ratio to reading the table once.

The slider asks for a verdict on every liquid at each step: that must cost a small part of the
150 ms from key press to new pixels.
"""

import statistics
import time
from collections.abc import Callable

from potash.solvents import conditions, offered, screen
from potash.solvents.structures import structure


def _median(work: Callable[[int], object], times: int) -> float:
    taken = []
    for i in range(times):
        start = time.perf_counter()
        work(i)
        taken.append(time.perf_counter() - start)
    return statistics.median(taken)


def test_a_new_temperature_costs_less_than_a_fifth_of_searching_the_structures_anew(
    capsys,
) -> None:
    screen(conditions("K", "205 degC"))
    smiles = [one.liquid.smiles for one in offered()]

    def anew(_: int) -> None:
        structure.cache_clear()
        for one in smiles:
            structure(one)

    searched = _median(anew, 5)
    screened = _median(lambda i: screen(conditions("K", f"{100 + 2 * i} degC")), 60)
    with capsys.disabled():
        print(
            f"\n{len(smiles)} liquids at a new temperature: {1e3 * screened:.1f} ms; their "
            f"structures, searched once: {1e3 * searched:.1f} ms"
        )
    assert screened < searched / 5


def test_more_temperatures_cost_no_more_each() -> None:
    screen(conditions("K", "205 degC"))
    few = _median(lambda i: screen(conditions("K", f"{101 + i} degC")), 20)
    many = _median(lambda i: screen(conditions("K", f"{101 + i % 190} degC")), 200)
    assert many < 1.7 * few
