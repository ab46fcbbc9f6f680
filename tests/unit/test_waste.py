"""Waste: neutralising, pH, streams, labels, and what is refused."""

from datetime import date

import pytest

from potash import waste
from potash.units import OutOfBounds, WrongDimension


def test_acid_is_needed_mole_for_mole():
    # 51.15 mmol of potassium takes 51.15 mL of 1 mol/L hydrochloric acid.
    found = waste.neutralise(metal_amount="51.15 mmol", acid_concentration="1 mol/L")
    assert found.acid_volume.m_as("mL") == pytest.approx(51.15)
    assert found.volume.m_as("mL") == pytest.approx(551.15)


def test_heat_and_rise_follow_from_the_heat_of_neutralisation():
    # 55.8 kJ/mol (CRC Handbook): 0.100 mol gives 5.58 kJ, in 600 mL of water 2.2 K.
    found = waste.neutralise(metal_amount="0.100 mol", water="500 mL")
    assert found.heat.m_as("kJ") == pytest.approx(5.58, abs=0.02)
    assert found.rise.m == pytest.approx(2.22, abs=0.02)


def test_a_strong_acid_ends_neutral_and_a_weak_one_above():
    strong = waste.neutralise(metal_amount="50 mmol")
    weak = waste.neutralise(metal_amount="50 mmol", acid="acetic acid")
    assert strong.final.ph == pytest.approx(7.0, abs=0.1)
    assert 8.0 < weak.final.ph < 9.5


def test_a_little_too_much_or_too_little_acid_swings_a_strong_one_by_units():
    found = waste.neutralise(metal_amount="50 mmol")
    assert found.with_less_acid.ph > 10 and found.with_more_acid.ph < 4
    soft = waste.neutralise(metal_amount="50 mmol", acid="acetic acid")
    assert soft.with_more_acid.ph > 5


def test_a_concentrated_solution_names_the_limit_of_its_ph():
    found = waste.neutralise(metal_amount="1 mol", water="200 mL", acid_concentration="6 mol/L")
    assert any("indicator paper" in limit for limit in found.final.limits)
    assert any("cool in ice" in remark for remark in found.remarks)


def test_a_dilute_and_cool_one_names_none():
    found = waste.neutralise(metal_amount="20 mmol")
    assert found.final.limits == () and not any("ice" in remark for remark in found.remarks)


def test_an_oxidising_or_unknown_acid_is_refused():
    with pytest.raises(waste.BadNeutralisation, match="Oxidising acids"):
        waste.neutralise(metal_amount="50 mmol", acid="nitric acid")


def test_bad_figures_are_refused_by_name():
    with pytest.raises(WrongDimension, match="metal_amount"):
        waste.neutralise(metal_amount="2 g")
    with pytest.raises(OutOfBounds, match="acid_concentration"):
        waste.neutralise(metal_amount="50 mmol", acid_concentration="0 mol/L")


def test_streams_hold_all_the_volume_that_was_poured():
    found = waste.streams(
        diluent="tetralin",
        diluent_volume="100 mL",
        alcohol="2-propanol",
        alcohol_volume="8 mL",
        aqueous_volume="550 mL",
        solids="5 g",
    )
    liquid = sum(one.volume.m_as("mL") for one in found[:2])
    assert liquid == pytest.approx(658.0)
    assert [one.name for one in found][2].startswith("Solids")
    assert all("decide" in one.advice for one in found)


def test_without_a_diluent_there_is_no_solvent_stream():
    found = waste.streams(
        diluent=None,
        diluent_volume="0 mL",
        alcohol="2-propanol",
        alcohol_volume="20 mL",
        aqueous_volume="200 mL",
    )
    assert [one.name for one in found] == ["Aqueous, neutral, with alcohol"]
    assert found[0].volume.m_as("mL") == pytest.approx(220.0)


def test_a_label_carries_signal_pictograms_statements_and_the_day():
    stream = waste.streams(
        diluent="tetralin",
        diluent_volume="100 mL",
        alcohol="methanol",
        alcohol_volume="8 mL",
        aqueous_volume="550 mL",
    )[0]
    found = waste.label(
        stream, laboratory="Larkmoor College", person="A. Student", on=date(2026, 3, 2)
    )
    assert found.signal == "Danger"
    assert "GHS06" in found.pictograms and "GHS07" not in found.pictograms
    assert any(text.startswith("H225") for text in found.statements)
    assert 1 < len(found.precautions) <= 6
    assert "2026-03-02" in found.text and "safety data sheet" in found.text


def test_a_label_names_what_it_holds_no_record_of():
    stream = waste.WasteStream("Odd", ("tetralin", "glycerol"), waste_volume(), "")
    found = waste.label(stream, laboratory="Larkmoor College", person="A", on=date(2026, 3, 2))
    assert "glycerol" in found.note


def waste_volume():
    from potash.units import Quantity

    return Quantity(10.0, "mL")


def test_every_wait_for_says_how_it_is_seen_and_why():
    assert len(waste.WAIT_FOR) >= 5
    assert all(one.condition and one.sign and one.reason for one in waste.WAIT_FOR)
