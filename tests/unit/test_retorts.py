"""Charges of retort and vacuum routes, swept over temperature and over pressure."""

import math

import numpy as np
import pytest

from potash import balance, retorts
from potash.retorts import UnknownCharge, retort_charge, retort_charges

CARBONATE = "potassium carbonate and carbon"
GAS_CONSTANT = 8.31446  # J/(mol K), SI Brochure, 9th ed.


@pytest.mark.parametrize("charge", retort_charges(), ids=lambda charge: charge.name)
def test_every_charge_can_be_swept_and_keeps_its_metal(charge):
    swept = retorts.amounts_over_temperature(charge, "1e-3 bar")
    from potash.formulas import parse

    metal = sum(
        moles * float(parse(formula).elements.get(charge.metal, 0))
        for (formula, _), moles in swept.amounts.items()
    )
    assert metal == pytest.approx(np.full(200, charge.metal_put_in.m_as("mol")), rel=1e-6)
    assert (swept.metal_vapour >= -1e-12).all() and (swept.metal_vapour <= 1 + 1e-9).all()
    assert charge.says and charge.source


def test_less_pressure_brings_the_metal_over_at_less_heat():
    charge = retort_charge(CARBONATE)
    reached = [
        retorts.amounts_over_temperature(charge, p).reaches_si(0.1)
        for p in ("1 bar", "0.1 bar", "0.01 bar")
    ]
    assert reached == sorted(reached, reverse=True)


def test_the_carbonate_turns_where_its_equilibrium_constant_says():
    # K2CO3 + 2 C -> 2 K + 3 CO at total pressure p: K = (2p/5)^2 (3p/5)^3, pairs K2 left out
    T = retorts.amounts_over_temperature(retort_charge(CARBONATE), "0.01 bar").reaches_si(0.1)
    reaction = balance("K2CO3 + 2 C -> 2 K(g) + 3 CO")
    G = float(reaction.gibbs_energy_si(T))
    expected = 2 * math.log(0.4 * 0.01) + 3 * math.log(0.6 * 0.01)
    assert pytest.approx(expected, abs=0.3) == -G / (GAS_CONSTANT * T)


def test_a_sweep_over_pressure_agrees_with_one_over_temperature():
    charge = retort_charge(CARBONATE)
    T = retorts.amounts_over_temperature(charge, "0.1 bar").reaches_si(0.1)
    p = retorts.amounts_over_pressure(charge, f"{T} K").reaches_si(0.1)
    assert p == pytest.approx(0.1, rel=0.1)


def test_the_vapour_pressure_reaches_the_vessel_where_the_metal_comes_over():
    charge = retort_charge(CARBONATE)
    curve = retorts.vapour_curve(charge)
    T = retorts.amounts_over_temperature(charge, "0.1 bar").reaches_si(0.01)
    known = curve.temperature.m_as("K")
    pressure = math.exp(np.interp(-1 / T, -1 / known, np.log(curve.total.m_as("bar"))))
    assert pressure == pytest.approx(0.1, rel=0.05)
    assert (curve.metal.m_as("bar") < curve.total.m_as("bar")).all()


def test_what_is_not_reached_is_none():
    swept = retorts.amounts_over_temperature(retort_charge("magnesia and silicon"), "1 bar")
    assert swept.reaches_si(0.1) is None


def test_an_unknown_charge_is_refused_with_the_known_ones():
    with pytest.raises(UnknownCharge, match=CARBONATE):
        retort_charge("lead into gold")
