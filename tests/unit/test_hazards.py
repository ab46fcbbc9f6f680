"""Hazard records as a table, incompatibilities, metal fires and the readiness check."""

import pytest

from potash import hazards
from potash.hazards import substance, substance_names
from potash.properties import liquid

CLP_DANGER = {"H225", "H260", "H271", "H301", "H304", "H311", "H314", "H331", "H350", "H370"}


@pytest.mark.parametrize("name", substance_names())
def test_each_record_has_a_source_and_statements_whose_text_is_held(name):
    found = substance(name)
    assert found.source
    assert all(hazards.statement(code) for code in (*found.statements, *found.precautions))
    assert bool(found.statements) == bool(found.signal)


@pytest.mark.parametrize("name", substance_names())
def test_the_signal_word_is_danger_where_a_statement_calls_for_it(name):
    # UN GHS, 9th revised edition, Annex 1: the statements above carry "Danger".
    found = substance(name)
    if CLP_DANGER & set(found.statements):
        assert found.signal == "Danger"


# UN GHS, 9th revised edition, Annex 1: pictogram of each statement.
PICTOGRAM = {
    "H225": "GHS02",
    "H226": "GHS02",
    "H228": "GHS02",
    "H250": "GHS02",
    "H260": "GHS02",
    "H261": "GHS02",
    "H271": "GHS03",
    "H280": "GHS04",
    "H314": "GHS05",
    "H301": "GHS06",
    "H331": "GHS06",
    "H304": "GHS08",
    "H350": "GHS08",
    "H351": "GHS08",
    "H370": "GHS08",
    "H410": "GHS09",
    "H411": "GHS09",
}


@pytest.mark.parametrize("name", substance_names())
def test_pictograms_follow_from_the_statements(name):
    found = substance(name)
    assert {PICTOGRAM[code] for code in found.statements if code in PICTOGRAM} <= set(
        found.pictograms
    )


def test_cas_numbers_carry_a_right_check_digit():
    for name in substance_names():
        cas = substance(name).cas
        if cas:
            digits = cas.replace("-", "")
            total = sum(i * int(d) for i, d in enumerate(reversed(digits[:-1]), 1))
            assert total % 10 == int(digits[-1]), name


@pytest.mark.parametrize("name", ["2-propanol", "tetralin", "toluene", "tert-butanol"])
def test_cas_numbers_are_those_of_the_liquid_table(name):
    assert substance(name).cas == liquid(name).cas


def test_a_substance_is_found_by_formula_and_by_number():
    assert substance("K").name == substance("7440-09-7").name == substance("Potassium").name


def test_an_unknown_substance_is_not_called_harmless():
    with pytest.raises(hazards.UnknownSubstance, match="does not make it harmless"):
        substance("2-propanoll")


def test_metal_and_water_must_not_meet():
    found = hazards.incompatibilities(["potassium", "water", "tetralin"])
    assert [(one.one, one.other) for one in found] == [("potassium", "water")]
    assert "hydrogen" in found[0].reason.lower()


def test_a_group_named_directly_counts_too():
    assert hazards.incompatibilities(["sodium", "halogenated solvent"])


@pytest.mark.parametrize("metal", ["Li", "Na", "K", "Rb", "Cs"])
def test_water_foam_and_carbon_dioxide_are_wrong_on_every_metal_fire(metal):
    wrong = {one.agent for one in hazards.wrong_extinguishers(metal)}
    assert {"water", "foam", "carbon dioxide"} <= wrong


def test_nitrogen_and_sand_are_wrong_on_lithium_only_among_the_alkali_metals():
    for agent in ("nitrogen", "dry sand"):
        found = [one for one in hazards.extinguishers() if one.agent == agent]
        assert [one.metals for one in found] == [("Li", "Mg")]


def test_the_readiness_check_names_what_is_not_confirmed():
    codes = [item.code for item in hazards.readiness_items()]
    assert len(set(codes)) == len(codes) >= 10
    missing = hazards.unready(set(codes) - {"hood", "class-d"})
    assert [item.code for item in missing] == ["hood", "class-d"]


def test_no_text_says_that_something_is_safe_or_allowed():
    texts = [item.question + item.reason for item in hazards.readiness_items()]
    texts += [one.reason for one in hazards.extinguishers()]
    assert not [text for text in texts if " is safe" in text or "allowed" in text]
