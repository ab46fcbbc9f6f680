"""Judging answers: every outcome, along the chain, and the common misreadings by name."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from potash.exercises import bank
from potash.exercises.judging import judge
from potash.exercises.outcomes import Outcome

CHAIN = bank.bank()["water-takes-magnesium"]
FIGURES = {
    "pellets": "10.00\u00a0g",
    "assay": "85.0\u00a0%",
    "moisture": "12.0\u00a0%",
    "turnings": "6.00\u00a0g",
    "purity": "98.0\u00a0%",
}
KEY = CHAIN.solve(FIGURES)

# Worked by hand with CIAAW abridged weights: K 39.098, O 15.999, H 1.0080, Mg 24.305.
# KOH 8.50 g / 56.105 = 0.15150 mol; water 1.20 g / 18.015 = 0.06661 mol;
# Mg 5.88 g / 24.305 = 0.24193 mol, left 0.17532 mol; K 0.15150 mol x 39.098 = 5.923 g.
RIGHT = {
    "hydroxide": "0.1515 mol",
    "magnesium_left": "0.1753 mol",
    "limiting": "KOH",
    "metal": "5.92 g",
}


def outcomes(**changed):
    findings = judge(CHAIN, KEY, {**RIGHT, **changed})
    return {name: finding.outcome for name, finding in findings.items()}


def finding(name, **changed):
    return judge(CHAIN, KEY, {**RIGHT, **changed})[name]


def test_answers_worked_by_hand_are_correct():
    assert set(outcomes().values()) == {Outcome.CORRECT}


@pytest.mark.parametrize("text", ["0,1515 mol", "151.5 mmol", "1.515e-1 mol", "1.515×10⁻¹ mol"])
def test_the_way_of_writing_does_not_matter(text):
    assert finding("hydroxide", hydroxide=text).outcome is Outcome.CORRECT


def test_blank_and_missing_are_blank():
    assert finding("hydroxide", hydroxide="  ").outcome is Outcome.BLANK
    assert judge(CHAIN, KEY, {})["metal"].outcome is Outcome.BLANK


@pytest.mark.parametrize("text", ["5 ± 0.1 g", "nine", "9**9**9 g", "1,234 g", "x" * 5000])
def test_what_cannot_be_read_is_unreadable_and_says_why(text):
    found = finding("metal", metal=text)
    assert found.outcome is Outcome.UNREADABLE
    assert found.says


@pytest.mark.parametrize(
    ("text", "slip"),
    [
        ("0.1515", "no unit"),
        ("0.1515 g", "wrong unit"),
        ("151.5 mol", "factor of a thousand"),
        ("0.0001515 mol", "factor of a thousand"),
    ],
)
def test_unit_slips_are_named(text, slip):
    found = finding("hydroxide", hydroxide=text)
    assert (found.outcome, found.slip) == (Outcome.UNIT_SLIP, slip)


@pytest.mark.parametrize(
    ("name", "text", "slip"),
    [
        ("hydroxide", "0.178 mol", "assay forgotten"),
        ("magnesium_left", "0.242 mol", "water forgotten"),
        ("metal", "2.96 g", "halved by the equation"),
        ("metal", "-5.92 g", "sign"),
        ("metal", "59.2 g", "decimal point"),
        ("metal", "11.85 g", "factor of two"),
    ],
)
def test_known_slips_are_named(name, text, slip):
    found = finding(name, **{name: text})
    assert (found.outcome, found.slip) == (Outcome.KNOWN_SLIP, slip)
    assert found.says


def test_another_kind_of_quantity_is_wrong_and_says_so():
    found = finding("metal", metal="0.33 mol")
    assert found.outcome is Outcome.WRONG
    assert found.says == "Asked is a mass; the answer is an amount."


def test_a_near_miss_is_wrong_and_says_that_it_is_near():
    found = finding("hydroxide", hydroxide="0.153 mol")
    assert found.outcome is Outcome.WRONG
    assert "Close" in found.says


def test_an_early_error_costs_only_its_own_step():
    # 0.120 mol is wrong; from it 0.120 x 39.098 = 4.69 g of potassium follows.
    assert outcomes(hydroxide="0.120 mol", metal="4.69 g") == {
        "hydroxide": Outcome.WRONG,
        "magnesium_left": Outcome.CORRECT,
        "limiting": Outcome.CORRECT,
        "metal": Outcome.FOLLOW_THROUGH,
    }


def test_a_choice_follows_from_own_figures_too():
    # With 0.290 mol of KOH the magnesium (0.1753 mol) runs out first: 6.85 g of potassium.
    assert outcomes(hydroxide="0.290 mol", limiting="Mg", metal="6.85 g") == {
        "hydroxide": Outcome.WRONG,
        "magnesium_left": Outcome.CORRECT,
        "limiting": Outcome.FOLLOW_THROUGH,
        "metal": Outcome.FOLLOW_THROUGH,
    }


def test_an_own_unit_slip_can_be_followed():
    # 151.5 mol as written; from it 151.5 x 39.098 g = 5.92 kg follows, but Mg would limit.
    assert outcomes(hydroxide="151.5 mol", limiting="Mg", metal="6.85 g") == {
        "hydroxide": Outcome.UNIT_SLIP,
        "magnesium_left": Outcome.CORRECT,
        "limiting": Outcome.FOLLOW_THROUGH,
        "metal": Outcome.FOLLOW_THROUGH,
    }


def test_an_own_figure_rounded_within_tolerance_still_ends_correct():
    # 0.151 x 39.098 = 5.904 g, which is right from a right earlier figure.
    assert finding("metal", hydroxide="0.151 mol", metal="5.90 g").outcome is Outcome.CORRECT


def test_an_impossible_earlier_figure_is_not_followed():
    # Nobody has minus 0.12 mol of hydroxide, so its consequence earns nothing.
    assert finding("metal", hydroxide="-0.12 mol", metal="-4.69 g").outcome is Outcome.WRONG


def test_a_slip_on_the_way_from_own_figures_is_seen():
    # Own 0.120 mol, halved: 2.35 g.
    found = finding("metal", hydroxide="0.120 mol", metal="2.346 g")
    assert (found.outcome, found.slip) == (Outcome.KNOWN_SLIP, "halved by the equation")


@pytest.mark.parametrize(
    ("text", "remark"),
    [
        ("0.15 mol", None),
        ("0.152 mol", ""),
        ("0.1515 mol", ""),
        ("0.15150 mol", "too many"),
    ],
)
def test_significant_figures_are_judged_apart(text, remark):
    found = finding("hydroxide", hydroxide=text)
    if remark is None:  # two figures miss the tolerance itself
        assert found.outcome is Outcome.WRONG
    else:
        assert (found.outcome, found.figures) == (Outcome.CORRECT, remark)


def test_too_few_figures_within_tolerance_are_named():
    (loose,) = bank.read(NUMBERS.format(unit="g", answer='quantity("6.02 g")'), "t")
    found = judge(loose, loose.solve({}), {"y": "6.0 g"})["y"]
    assert (found.outcome, found.figures) == (Outcome.CORRECT, "too few")


NUMBERS = """
chapter = 1
[[exercise]]
id = "number"
title = "t"
outcome = "o"
text = "t"
caution = "c"
[[exercise.asked]]
name = "y"
prompt = "y"
unit = "{unit}"
figures = 3
tolerance = {{ relative = 0.01 }}
answer = '{answer}'
"""


@pytest.mark.parametrize(
    ("unit", "answer", "typed", "outcome", "slip"),
    [
        ("K", 'quantity("473 K")', "200 °C", Outcome.CORRECT, ""),
        ("K", 'quantity("473 K")', "473 °C", Outcome.UNIT_SLIP, "Celsius for kelvin"),
        ("degC", 'quantity("200 °C")', "200 K", Outcome.UNIT_SLIP, "Celsius for kelvin"),
        ("degC", 'quantity("200 °C")', "200", Outcome.UNIT_SLIP, "no unit"),
        ("%", "0.853", "85.3 %", Outcome.CORRECT, ""),
        ("%", "0.853", "0.853", Outcome.CORRECT, ""),
        ("%", "0.853", "85.3", Outcome.UNIT_SLIP, "percent for fraction"),
        ("kJ/mol", 'quantity("-196 kJ/mol")', "−196 kJ/mol", Outcome.CORRECT, ""),
        ("kJ/mol", 'quantity("-196 kJ/mol")', "196 kJ/mol", Outcome.KNOWN_SLIP, "sign"),
        (
            "kJ/mol",
            'quantity("-196 kJ/mol")',
            "-196 J/mol",
            Outcome.UNIT_SLIP,
            "factor of a thousand",
        ),
        (
            "kJ/mol",
            'quantity("-196 kJ/mol")',
            "-46.8 kJ/mol",
            Outcome.UNIT_SLIP,
            "calories for joules",
        ),
        ("kJ/mol", 'quantity("0 kJ/mol")', "5 kJ/mol", Outcome.WRONG, ""),
    ],
)
def test_common_misreadings_are_named(unit, answer, typed, outcome, slip):
    (exercise,) = bank.read(NUMBERS.format(unit=unit, answer=answer), "t")
    found = judge(exercise, exercise.solve({}), {"y": typed})["y"]
    assert (found.outcome, found.slip) == (outcome, slip)


def test_a_temperature_difference_may_be_typed_in_degrees():
    text = NUMBERS.format(unit="K", answer='quantity("45.0 K")') + "difference = true\n"
    (exercise,) = bank.read(text, "t")
    found = judge(exercise, exercise.solve({}), {"y": "45.0 °C"})["y"]
    assert found.outcome is Outcome.CORRECT


EQUATION = """
chapter = 1
[[exercise]]
id = "equation"
title = "t"
outcome = "o"
text = "t"
caution = "c"
[[exercise.asked]]
name = "y"
prompt = "y"
kind = "equation"
answer = "KOH + Mg -> K + MgO + H2"
[[exercise.asked]]
name = "why"
prompt = "Why?"
kind = "text"
"""


# 2 KOH + 2 Mg -> 2 K + 2 MgO + H2 (textbook overall equation of the catalysed hydroxide route)
@pytest.mark.parametrize(
    ("typed", "outcome", "slip"),
    [
        ("2 KOH + 2 Mg -> 2 K + 2 MgO + H2", Outcome.CORRECT, ""),
        ("2KOH(l)+2Mg(s) = H2(g) + 2MgO(s) + 2K(l)", Outcome.CORRECT, ""),
        ("4 KOH + 4 Mg → 4 K + 4 MgO + 2 H2", Outcome.KNOWN_SLIP, "multiple of the equation"),
        ("KOH + Mg -> K + MgO + 1/2 H2", Outcome.KNOWN_SLIP, "multiple of the equation"),
        ("2 K + 2 MgO + H2 -> 2 KOH + 2 Mg", Outcome.KNOWN_SLIP, "written backwards"),
        ("KOH + Mg -> K + MgO + H2", Outcome.WRONG, ""),
        ("2 NaOH + 2 Mg -> 2 Na + 2 MgO + H2", Outcome.WRONG, ""),
        ("2 KOH + 2 Mg -> 2 K + 2 MgO", Outcome.WRONG, ""),
        ("2 KOH + 2 Mg", Outcome.UNREADABLE, ""),
        ("Qq -> K", Outcome.UNREADABLE, ""),
        ("(" * 400, Outcome.UNREADABLE, ""),
        ("K" * 9000, Outcome.UNREADABLE, ""),
    ],
)
def test_equations_are_compared_as_equations(typed, outcome, slip):
    (exercise,) = bank.read(EQUATION, "t")
    found = judge(exercise, exercise.solve({}), {"y": typed})["y"]
    assert (found.outcome, found.slip) == (outcome, slip)
    assert found.says


def test_an_unbalanced_equation_names_the_element():
    (exercise,) = bank.read(EQUATION, "t")
    found = judge(exercise, exercise.solve({}), {"y": "KOH + Mg -> K + MgO + H2"})["y"]
    assert "H 1 on the left and 2 on the right" in found.says


def test_free_text_is_never_guessed():
    (exercise,) = bank.read(EQUATION, "t")
    found = judge(exercise, exercise.solve({}), {"why": "because"})["why"]
    assert found.outcome is Outcome.TO_BE_READ


def test_a_choice_is_one_of_the_options():
    assert finding("limiting", limiting=" koh ").outcome is Outcome.CORRECT
    assert finding("limiting", limiting="Mg").outcome is Outcome.WRONG
    found = finding("limiting", limiting="both")
    assert found.outcome is Outcome.UNREADABLE
    assert "KOH, Mg" in found.says


@settings(max_examples=300, deadline=1000)
@given(st.dictionaries(st.sampled_from([*RIGHT, "other"]), st.text(max_size=80), max_size=5))
def test_any_typed_text_ends_in_a_finding_for_every_question(typed):
    findings = judge(CHAIN, KEY, typed)
    assert list(findings) == list(RIGHT)
    assert all(one.says for one in findings.values())


@settings(max_examples=200, deadline=1000)
@given(
    st.floats(0.01, 1.0).map(lambda amount: f"{amount:.4g} mol"),
    st.floats(0.01, 1.0).map(lambda amount: f"{amount:.4g} mol"),
)
def test_whoever_reasons_well_from_any_figures_loses_only_the_first_steps(hydroxide, magnesium):
    own = {"hydroxide": float(hydroxide.split()[0]), "magnesium": float(magnesium.split()[0])}
    limiting = "KOH" if own["hydroxide"] < own["magnesium"] else "Mg"
    metal = f"{min(own.values()) * 39.098:.4g} g"
    findings = judge(
        CHAIN,
        KEY,
        {
            "hydroxide": hydroxide,
            "magnesium_left": magnesium,
            "limiting": limiting,
            "metal": metal,
        },
    )
    assert findings["limiting"].holds
    assert findings["metal"].holds
