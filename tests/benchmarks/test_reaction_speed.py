"""Speed of reaction Gibbs energies, as ratios within one run."""

import time

import cantera
import numpy as np
import pytest

import potash

TEMPERATURES = np.linspace(300.0, 1300.0, 100_000)


@pytest.fixture(scope="module")
def reaction():
    found = potash.balance("2 KOH + 2 Mg -> 2 K + 2 MgO + H2")
    found.gibbs_energy_si(TEMPERATURES)  # reads the tables
    return found


def _fastest(work, times):
    durations = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        durations.append(time.perf_counter() - start)
    return min(durations)


def _cantera_species():
    """The liquid or gas of each species, so that no search for the stable phase is timed."""
    wanted = {"KOH(L)": -2, "Mg(L)": -2, "K(L)": 2, "MgO(s)": 2}
    solids = cantera.Species.list_from_file("nasa_condensed.yaml")
    gases = cantera.Species.list_from_file("nasa_gas.yaml")
    terms = [(wanted[s.name], s.thermo) for s in solids if s.name in wanted]
    terms += [(1, s.thermo) for s in gases if s.name == "H2"]
    assert len(terms) == 5
    return terms


def test_a_reaction_over_temperature_is_twenty_times_faster_than_a_loop_over_species(reaction):
    terms = _cantera_species()

    def loop():
        return [sum(n * (t.h(T) - T * t.s(T)) for n, t in terms) for T in TEMPERATURES.tolist()]

    ours = _fastest(lambda: reaction.gibbs_energy_si(TEMPERATURES), 7)
    theirs = _fastest(loop, 1)
    print(f"\nGibbs energy at 100,000 temperatures: {theirs / ours:.0f} times as fast as Cantera")
    assert theirs / ours > 20


def test_a_reaction_over_temperature_costs_at_most_ten_polynomials(reaction):
    coefficients = np.arange(1.0, 7.0)  # six, as many as a piece of the curve has
    ours = _fastest(lambda: reaction.gibbs_energy_si(TEMPERATURES), 15)
    polynomial = _fastest(lambda: np.polyval(coefficients, TEMPERATURES), 15)
    print(f"\nGibbs energy at 100,000 temperatures: {ours / polynomial:.1f} times a polynomial")
    assert ours / polynomial < 10


def test_one_temperature_costs_at_most_as_much_as_two_hundred_float_multiplications(reaction):
    """Marking asks for one value at a time, 100,000 times a class."""
    x = 1.000001

    def multiplications():
        y = x
        for _ in range(200):
            y = y * x
        return y

    ours = _fastest(lambda: [reaction.gibbs_energy_si(473.15) for _ in range(2_000)], 7)
    theirs = _fastest(lambda: [multiplications() for _ in range(2_000)], 7)
    print(f"\none Gibbs energy: {ours / 2_000 * 1e6:.1f} us, {ours / theirs:.2f} of the yardstick")
    assert ours < theirs
