"""Gibbs energy diagrams: lines, marks, crossings, and what is not concluded."""

import math

import numpy as np
import pytest

from potash import balance, diagrams
from potash.diagrams import PER_ATOM, Exchange, NoSuchDiagram, crossings, line, lines
from potash.properties import NoTrustedValue

LOWEST, HIGHEST = 300.0, 2400.0


@pytest.mark.parametrize("family", diagrams.FAMILIES)
def test_every_line_holds_for_one_mole_of_the_shared_gas(family):
    gas = diagrams.FAMILIES[family].gas
    for one in lines(family):
        assert one.reaction.coefficients[gas] * one.per_oxidant == pytest.approx(-1)
        T = 298.15
        expected = one.reaction.gibbs_energy_si(T) * one.per_oxidant
        assert float(one.gibbs_energy_si(T)) == pytest.approx(expected)


def test_a_line_per_metal_atom_counts_the_atoms_of_the_compound():
    # 4 Al + 3 O2 -> 2 Al2O3: a mole of O2 goes with 4/3 mol Al
    alumina = line("oxides", "Al2O3")
    per_gas, per_atom = alumina.gibbs_energy_si(1000.0), alumina.gibbs_energy_si(1000.0, PER_ATOM)
    assert float(per_atom) == pytest.approx(float(per_gas) * 3 / 4)


def test_lines_are_arrays_with_gaps_where_there_are_no_data():
    T = np.array([300.0, 1500.0, 2399.0])
    values = line("oxides", "K2O").gibbs_energy_si(T)
    assert np.isfinite(values[:2]).all() and math.isnan(values[2])


def test_a_compound_without_an_entropy_is_named_and_not_drawn():
    assert "Rb2O" not in {one.compound for one in lines("oxides")}
    assert any("Rb2O" in gap for gap in diagrams.missing("oxides"))


def test_marks_stand_on_the_line_and_tell_element_from_compound():
    sodium = line("oxides", "Na2O")
    labels = [(mark.label, mark.of) for mark in sodium.marks]
    assert labels == [("M", "Na"), ("B", "Na"), ("(M)", "Na2O")]
    for mark in sodium.marks:
        T = mark.temperature.m_as("K")
        assert mark.gibbs_energy.m_as("J/mol") == pytest.approx(float(sodium.gibbs_energy_si(T)))


@pytest.mark.parametrize("family", diagrams.FAMILIES)
def test_at_a_crossing_the_gap_is_nought_and_changes_its_sign(family):
    found = crossings(family, LOWEST, HIGHEST)
    assert found
    for crossing in found:
        T = crossing.temperature.m_as("K")
        exchange = Exchange(crossing.lower_below, crossing.lower_above)
        assert abs(exchange.gibbs_energy_si(T)) < 1.0  # J
        assert exchange.gibbs_energy_si(T - 2) < 0 < exchange.gibbs_energy_si(T + 2)


def test_no_crossing_of_a_fine_grid_is_missed():
    T = np.linspace(LOWEST, HIGHEST, 4001)
    values = {one.compound: one.gibbs_energy_si(T) for one in lines("oxides") if not one.is_point}
    counted = 0
    names = list(values)
    for i, first in enumerate(names):
        for second in names[i + 1 :]:
            gap = values[first] - values[second]
            gap = gap[np.isfinite(gap)]
            counted += int(np.sum(np.sign(gap[:-1]) != np.sign(gap[1:])))
    assert counted == len(crossings("oxides", LOWEST, HIGHEST))


def test_the_gap_of_two_lines_is_the_exchange_written_as_a_reaction():
    exchange = Exchange(line("oxides", "CO"), line("oxides", "MgO"))
    as_written = balance("MgO + C -> Mg + CO").gibbs_energy_si(1500.0)
    assert exchange.gibbs_energy_si(1500.0) == pytest.approx(2 * as_written)
    assert exchange.reaction.coefficients == balance("MgO + C -> Mg + CO").coefficients


def test_no_verdict_is_given_near_a_crossing_nor_without_data():
    exchange = Exchange(line("oxides", "CO"), line("oxides", "MgO"))
    (T,) = (
        one.temperature.m_as("K")
        for one in crossings("oxides", LOWEST, HIGHEST)
        if {one.lower_below.compound, one.lower_above.compound} == {"CO", "MgO"}
    )
    assert exchange.verdict(T + 5) == "too close to call"
    assert (exchange.verdict(T - 200), exchange.verdict(T + 200)) == ("uphill", "downhill")
    with pytest.raises(NoTrustedValue, match="2300 K"):
        Exchange(line("oxides", "CO"), line("oxides", "K2O")).verdict(2300.0)


def test_a_glancing_crossing_is_less_certain_than_a_sharp_one():
    spread = {
        (one.lower_below.compound, one.lower_above.compound): one.uncertainty.m_as("K")
        for one in crossings("oxides", LOWEST, HIGHEST)
    }
    assert spread["FeO", "CO2"] > 4 * spread["MgO", "CO"]


@pytest.mark.parametrize("asked", [("sulphides", "MgO"), ("oxides", "NaCl")])
def test_what_is_not_in_a_diagram_is_refused_with_what_is(asked):
    with pytest.raises(NoSuchDiagram, match="oxides"):
        line(*asked)
