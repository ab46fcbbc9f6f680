"""The table of liquids as a table, and the questions it must refuse."""

import json
from importlib import resources

import numpy as np
import pytest

from potash.formulas import molar_mass
from potash.properties import freeze_liquids
from potash.properties.errors import NoTrustedValue, OutOfRange
from potash.properties.liquids import (
    UnknownLiquid,
    liquid,
    liquid_names,
    reference_rows,
    reference_table,
)
from potash.units import Quantity

RECORDS = [
    (name, prop, record) for name in liquid_names() for prop, record in liquid(name).records.items()
]


@pytest.mark.parametrize(("name", "prop", "record"), RECORDS)
def test_each_record_names_its_source_method_kind_and_unit(name, prop, record):
    assert record.source and record.method and record.unit
    assert record.kind in {"measured", "fitted", "estimated", "from memory"}


@pytest.mark.parametrize("name", liquid_names())
def test_melting_lies_below_boiling_and_density_falls_within_the_range(name):
    found = liquid(name)
    if name != "squalane":  # breaks down before it boils
        assert 100 < found.melting_point.m_as("K") < found.boiling_point.m_as("K") < 700
    record = found.record("density")
    assert len(record.temperatures) == len(record.values)
    assert np.all(np.diff(record.temperatures) > 0)
    if name != "water":  # densest at 4 °C
        assert np.all(np.diff(record.values) < 0)


@pytest.mark.parametrize("name", liquid_names())
def test_a_formula_has_the_molar_mass_that_the_cas_number_has_elsewhere(name):
    import chemicals

    found = liquid(name)
    # chemicals' own table of identifiers, by CAS number; atomic weights differ in the last digits.
    assert molar_mass(found.formula).m_as("g/mol") == pytest.approx(
        chemicals.MW(found.cas), abs=0.02
    )


@pytest.mark.parametrize("name", liquid_names())
def test_a_cas_number_has_its_check_digit(name):
    # CAS rule: the last digit is the sum of the others, weighted from the right, modulo 10.
    *digits, check = liquid(name).cas.replace("-", "")
    weighted = sum(place * int(digit) for place, digit in enumerate(reversed(digits), start=1))
    assert weighted % 10 == int(check)


def test_a_liquid_answers_to_name_alias_and_cas_number_in_any_case():
    for name in ("tetralin", "TETRALIN", " tetralin ", "1,2,3,4-Tetrahydronaphthalene", "119-64-2"):
        assert liquid(name).name == "tetralin"


def test_a_name_that_means_several_liquids_is_asked_back():
    with pytest.raises(
        UnknownLiquid, match=r'"Decalin" does not say.*cis-decalin or trans-decalin'
    ):
        liquid("Decalin")


def test_a_misspelt_liquid_is_offered_its_neighbours():
    with pytest.raises(UnknownLiquid, match=r'"tetrlin" is not in the table.*Near it: tetralin'):
        liquid("tetrlin")


def test_a_name_of_100_kilobytes_is_refused_in_one_short_line():
    with pytest.raises(UnknownLiquid) as refused:
        liquid("x" * 100_000)
    assert len(str(refused.value)) < 1000


def test_density_takes_arrays_and_keeps_their_shape():
    densities = liquid("toluene").density(Quantity(np.array([293.15, 373.15]), "K"))
    assert densities.shape == (2,)
    assert densities.m[0] > densities.m[1]


def test_density_at_a_bare_number_asks_for_the_unit():
    with pytest.raises(ValueError, match="temperature"):
        liquid("toluene").density(25)


def test_a_solid_has_no_liquid_density_and_the_message_says_that_it_is_solid():
    with pytest.raises(OutOfRange, match=r"solid there.*25\.8"):
        liquid("tert-butanol").density("20 °C")


def test_outside_its_range_a_density_is_refused_not_extrapolated():
    with pytest.raises(OutOfRange, match=r"is known from 288\.15"):
        liquid("2-methyl-2-butanol").density("100 °C")


def test_a_property_without_a_record_is_no_trusted_value():
    with pytest.raises(NoTrustedValue, match="no trusted viscosity of p-cymene"):
        liquid("p-cymene").value("viscosity", "25 °C")


def test_the_frozen_table_is_what_its_script_makes(tmp_path, monkeypatch):
    monkeypatch.setattr(freeze_liquids, "FROZEN", tmp_path / "liquids.json")
    freeze_liquids.main()
    shipped = resources.files("potash") / "properties" / "data" / "liquids.json"
    anew = json.loads((tmp_path / "liquids.json").read_text("utf-8"))
    assert anew == json.loads(shipped.read_text("utf-8"))


def test_the_reference_table_has_every_property_of_every_liquid_with_its_source():
    table = reference_table("200 degC")
    assert len(table) == 8 * len(liquid_names())
    known = table[table["at 25 °C"] != "no data"]
    assert (known["source"].str.len() > 10).all()
    row = table[(table["liquid"] == "toluene") & table["property"].str.startswith("density")].iloc[
        0
    ]
    assert row["at 25 °C"] == "862.2"
    assert row["gate"].startswith("agrees with")


def test_what_was_refused_says_why_in_the_reference_table():
    rows = {row[0]: row for row in reference_rows(liquid("diphenyl ether"), (298.15,))}
    assert "a handbook prints 39" in rows["surface tension"][3]


def test_one_temperature_at_a_time_gives_what_the_array_gives():
    for name, prop in (
        ("toluene", "density"),
        ("toluene", "vapour_pressure"),
        ("toluene", "viscosity"),
    ):
        record = liquid(name).record(prop)
        low, high = record.valid
        T = np.linspace(low, high, 97)
        assert [record.value_at(one) for one in T] == pytest.approx(record.at(T), rel=1e-12)
