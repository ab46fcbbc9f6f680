"""Formulas that exercise authors write: what they may hold, and that nothing else runs."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from potash.errors import PotashError
from potash.exercises import library
from potash.exercises.formula import (
    FormulaFailed,
    FormulaRefused,
    compile_formula,
    compile_template,
)
from potash.exercises.library import DIMENSIONLESS, TEXT, TRUTH

MASS = library.dimension_of("g")
MOLAR_MASS = library.dimension_of("g/mol")
TEMPERATURE = library.dimension_of("K")
SCOPE = {
    "mass": MASS,
    "other": MASS,
    "molar": MOLAR_MASS,
    "T": TEMPERATURE,
    "x": DIMENSIONLESS,
    "metal": TEXT,
}
VALUES = {"mass": 0.005, "other": 0.002, "molar": 0.0561, "T": 300.0, "x": 0.5, "metal": "K"}


def value(text):
    return compile_formula(text, SCOPE).evaluate(VALUES)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("mass / molar", 0.005 / 0.0561),
        ("-mass + 2 * other", -0.001),
        ("x ** 2 - x ** -1", -1.75),
        ("min(mass, other)", 0.002),
        ("max(mass, other, 3 * other)", 0.006),
        ("abs(other - mass)", 0.003),
        ("sqrt(mass * mass)", 0.005),
        ("mass if mass > other else other", 0.005),
        ("mass if metal == 'Na' else other", 0.002),
        ("exp(ln(x))", 0.5),
        ("log10(1000 * x / x)", 3.0),
        ('quantity("25 °C")', 298.15),
        ('T - quantity("273.15 K")', 26.85),
    ],
)
def test_formula_gives_its_value_in_si(text, expected):
    assert value(text) == pytest.approx(expected, rel=1e-12)


# SI Brochure, 9th edition (BIPM 2019), table 1 and CODATA 2018: R = 8.314 462 618... J/(mol K)
def test_gas_constant_is_the_codata_value():
    assert value("R * T / T") == pytest.approx(8.314462618, rel=1e-9)


def test_kind_of_a_result_is_worked_out():
    assert compile_formula("mass / molar", SCOPE).kind == library.dimension_of("mol")
    assert compile_formula("(mass / other) ** 0.5", SCOPE).kind == DIMENSIONLESS
    assert compile_formula("sqrt(T ** 2)", SCOPE).kind == TEMPERATURE
    assert compile_formula("mass > other and not x > 1", SCOPE).kind == TRUTH
    assert compile_formula("'{metal}OH'", SCOPE).kind == TEXT


def test_text_holes_take_the_given_word():
    assert value("'{metal}OH'") == "KOH"
    assert compile_template("{metal}OH + Mg -> {metal}", SCOPE).evaluate(VALUES) == "KOH + Mg -> K"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("__import__('os').system('true')", "which is not in the library"),
        ("mass.__class__", "which a formula may not use"),
        ("[mass for mass in (1, 2)]", "which a formula may not use"),
        ("(lambda: mass)()", "which is not in the library"),
        ("(mass := 1)", "which a formula may not use"),
        ("f'{mass}'", "which a formula may not use"),
        ("mass[0]", "which a formula may not use"),
        ("mass % 2", "which a formula may not use"),
        ("mass // 2", "which a formula may not use"),
        ("x << 2", "which a formula may not use"),
        ("~x", "may not use"),
        ("True", "neither a number nor a text"),
        ("None", "neither a number nor a text"),
        ("1j", "neither a number nor a text"),
        ("1e999", "too large"),
        ("9" * 400, "too large"),
        ("1; 2", "cannot be read"),
        ("", "cannot be read"),
        ("x" * 501, "500 characters"),
        ("-" * 100 + "x", "nested deeper"),
        ("(" * 240 + "x" + ")" * 240, "cannot be read"),
        ("mass + T", "where in kg is needed"),
        ("mass + 1", "a plain number"),
        ("mass ** 13", "at most 12"),
        ("mass ** x", "not a plain number"),
        ("mass ** (1 / 0)", "exponent without a value"),
        ("x ** mass", "where a plain number is needed"),
        ("ln(mass)", "where a plain number is needed"),
        ("molar_mass(mass)", "where a text is needed"),
        ("molar_mass('KOH', 'K')", "it takes molar_mass(formula)"),
        ("molar_mass(formula='KOH')", "in order"),
        ("metal + 'OH'", "where a number is needed"),
        ("metal < 'OH'", "can only be == or !="),
        ("mass < other < x", "where in kg is needed"),
        ("mass in (1, 2)", "which a formula may not use"),
        ("mass if other else mass", "where a comparison is needed"),
        ("mass if x > 1 else T", "where in kg is needed"),
        ("nothing * 2", "known are N_A, R, T, mass, metal, molar, other, x"),
        ("'{mass} g'", "only text givens"),
        ("'{nothing}'", "not known here"),
        ("'{metal'", "not a {name} hole"),
        ("quantity('5 parsec')", "parsec"),
        ("quantity(metal)", "one typed quantity"),
        ("sqrt(x, x)", "gives sqrt 2 values"),
        ("min()", "gives min 0 values"),
    ],
)
def test_formula_is_refused_with_the_reason(text, message):
    with pytest.raises(PotashError) as caught:
        compile_formula(text, SCOPE)
    assert message in str(caught.value)


@pytest.mark.parametrize(
    "text", ["mass / (other - other)", "exp(1e6 * x)", "9.0 ** 9 ** 9", "ln(x - x)", "(-x) ** 0.5"]
)
def test_formula_without_a_finite_value_says_so(text):
    with pytest.raises(FormulaFailed, match="has no"):
        value(text)


def test_refusal_quotes_the_formula():
    with pytest.raises(FormulaRefused, match=r"formula `mass \+ T`"):
        compile_formula("mass + T", SCOPE)


@settings(max_examples=400, deadline=500)
@given(
    st.one_of(
        st.text(max_size=60),
        st.text(alphabet="xmassT0123456789.+-*/()<>=' ,{}", max_size=60),
        st.lists(
            st.sampled_from(["x", "2", "+", "*", "**", "(", ")", "T", "9", "-", "/", "min(", ","]),
            max_size=15,
        ).map("".join),
    )
)
def test_any_text_gives_a_finite_value_or_a_clear_refusal(text):
    try:
        result = compile_formula(text, SCOPE).evaluate(VALUES)
    except PotashError as refusal:
        assert str(refusal)
    else:
        assert isinstance(result, bool | str) or math.isfinite(result)
