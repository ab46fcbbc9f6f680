"""A sweep of a retort against what drawing it anew would cost, in the same run.

Plain matplotlib redraws of such a picture are what kept a slider at 17 frames a second when panels
were first measured. A sweep of 200 equilibria that costs no more than two of them leaves ten.
"""

import io
import statistics
import time
from collections.abc import Callable

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from potash import retorts
from potash.retorts import AmountsOver

CHARGE = "sodium carbonate and carbon"
ROUNDS = 9


def seconds(work: Callable[[int], object]) -> float:
    """Median of ``ROUNDS`` calls, each with its number, after one to warm up."""
    times = []
    for number in range(ROUNDS + 1):
        start = time.perf_counter()
        work(number)
        times.append(time.perf_counter() - start)
    return statistics.median(times[1:])


def draw(swept: AmountsOver) -> bytes:
    figure = Figure(figsize=(8, 3.8), dpi=160)
    FigureCanvasAgg(figure)
    axes = figure.add_subplot()
    for (formula, _), moles in swept.amounts.items():
        axes.plot(swept.temperature.m_as("K"), moles, label=formula)
    axes.set(xlabel="temperature, K", ylabel="amount, mol")
    axes.legend(loc="upper left")
    drawn = io.BytesIO()
    figure.savefig(drawn, format="png")
    return drawn.getvalue()


def test_two_hundred_equilibria_cost_less_than_drawing_them_twice_anew() -> None:
    charge = retorts.retort_charge(CHARGE)

    def sweep(number: int) -> AmountsOver:
        # A pressure of its own each time, so that nothing is at hand from the round before.
        return retorts.amounts_over_temperature(charge, f"{0.5 * 0.7**number} bar")

    swept = sweep(0)
    sweeping, drawing = seconds(sweep), seconds(lambda number: draw(swept))
    print(f"\nsweep {1e3 * sweeping:.0f} ms, drawing anew {1e3 * drawing:.0f} ms")
    assert sweeping < 2 * drawing
