"""Storage: air on its way in, the crust, and the date, with what decides it."""

from datetime import date

import numpy as np
import pytest

from potash import equations, storage
from potash.storage import Keeping, discard_by
from potash.storage.crusts import superoxide_caution
from potash.storage.ingress import closures, covers, rule
from potash.units import OutOfBounds, UnreadableQuantity
from potash.words.tables import read_csv

UNSEALED = [one.name for one in closures() if not one.sealed]
METALS = ["Li", "Na", "K", "Rb", "Cs"]


@pytest.mark.parametrize("metal", METALS)
@pytest.mark.parametrize("closure", UNSEALED)
@pytest.mark.parametrize("depth", ["1 mm", "30 mm", "1 m"])
def test_an_unsealed_date_never_exceeds_the_few_months_rule(metal, closure, depth):
    found = discard_by(metal=metal, closure=closure, depth=depth)
    assert found.days.m_as("day") <= rule("few_months")
    assert found.decided_by in ("the few-months rule", "the crust")


def test_which_of_the_two_decides_follows_from_the_early_end_of_the_band():
    slow = discard_by(metal="Na")
    fast = discard_by(metal="K", depth="2 mm", closure="loose lid")
    assert slow.decided_by == "the few-months rule"
    assert slow.days.m_as("day") == rule("few_months")
    assert fast.decided_by == "the crust"
    assert fast.days.m == fast.earliest.m < rule("few_months")


@pytest.mark.parametrize("closure", ["sealed ampoule", "inert box"])
def test_sealed_keeping_goes_beyond_the_rule_up_to_a_horizon(closure):
    found = discard_by(closure=closure)
    assert rule("few_months") < found.days.m_as("day") <= rule("horizon")
    assert found.decided_by == "the horizon of sealed keeping"


def test_nothing_reaches_a_metal_in_an_ampoule():
    keeping = Keeping.planned(closure="sealed ampoule")
    assert keeping.oxygen == keeping.water == 0.0


def test_deeper_liquid_a_tighter_lid_and_fewer_openings_let_in_less():
    base = Keeping.planned(closure="loose lid")
    assert Keeping.planned(closure="loose lid", depth="60 mm").oxygen < base.oxygen
    assert Keeping.planned(closure="ground stopper", openings="0 1/day").oxygen < base.oxygen
    assert Keeping.planned(closure="loose lid", humidity="20 %").water < base.water


def test_the_band_lies_around_the_likely_day_and_is_even_on_a_logarithmic_scale():
    found = discard_by(metal="K")
    assert found.earliest.m < found.likely.m < found.latest.m
    assert found.likely.m / found.earliest.m == pytest.approx(found.latest.m / found.likely.m)


def test_the_crust_grows_evenly_to_its_limit_on_the_likely_day():
    found = discard_by(metal="K")
    assert found.crust(found.likely).m == pytest.approx(found.crust_limit.m)
    over_time = found.crust(["10 day", "20 day", "40 day"]).m
    assert over_time / over_time[0] == pytest.approx(np.array([1, 2, 4]))


def test_the_date_counts_from_the_day_it_was_put_away():
    found = discard_by(metal="Na")
    assert found.date(date(2026, 1, 1)) == date(2026, 4, 1)


@pytest.mark.parametrize("metal", METALS)
def test_the_shock_warning_stands_wherever_superoxide_can_form_and_nowhere_else(metal):
    # Common practice: K, Rb and Cs go on to superoxide, Na to peroxide, Li to oxide and nitride.
    expected = metal in ("K", "Rb", "Cs")
    found = discard_by(metal=metal)
    assert storage.forms_superoxide(metal) == expected
    assert (found.caution is not None) == expected
    assert (superoxide_caution(metal) is not None) == expected
    assert ("explode" in found._repr_html_()) == expected


def test_each_crust_balances_and_names_its_source():
    for metal in METALS:
        for crust in storage.crusts(metal):
            assert equations.read(crust.equation).is_balanced
            assert crust.product in crust.equation and crust.source
            assert crust.volume_ratio > 0.3


def test_lithium_alone_makes_a_nitride():
    nitrides = {m for m in METALS for c in storage.crusts(m) if c.reacts_with == "nitrogen"}
    assert nitrides == {"Li"}


def test_every_row_has_a_source():
    for file in ("covers.csv", "closures.csv", "rules.csv"):
        assert all(row["source"] for row in read_csv(f"storage/data/{file}"))


def test_an_unknown_cover_or_closure_names_those_held():
    with pytest.raises(storage.UnknownCover, match="light mineral oil"):
        discard_by(cover="water")
    with pytest.raises(storage.UnknownClosure, match="screw cap"):
        discard_by(closure="cling film")


def test_bad_figures_are_refused_by_name():
    with pytest.raises(OutOfBounds, match="depth"):
        discard_by(depth="0 mm")
    with pytest.raises(UnreadableQuantity, match="metal_area"):
        discard_by(metal_area=10)


def test_keeping_is_compared_over_every_closure():
    found = storage.compare_keeping(Keeping.planned())
    assert [one.keeping.closure.name for one in found] == [one.name for one in closures()]
    assert len(covers()) >= 4
