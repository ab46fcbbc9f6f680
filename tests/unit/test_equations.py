"""Reading and balancing equations."""

import pickle
import time
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from potash.equations import (
    BadEquation,
    CannotBalance,
    balance,
    independent_reactions,
    read,
)
from potash.errors import PotashError
from potash.formulas import BadFormula


@pytest.mark.parametrize(
    "arrow", ["->", "-->", "→", "⟶", "=", "==", "=>", "⇌", "<=>", "<->", "↔", " -> "]
)
def test_every_common_arrow_parts_the_sides(arrow):
    equation = read(f"2 KOH + 2 Mg {arrow} 2 K + 2 MgO + H2")
    assert str(equation) == "2 KOH + 2 Mg -> 2 K + 2 MgO + H2"


@pytest.mark.parametrize(
    "text, coefficients",
    [
        ("KOH+Mg->K+MgO+H2", {"KOH": -1, "Mg": -1, "K": 1, "MgO": 1, "H2": 1}),
        ("2KOH+2Mg->2K+2MgO+H2↑", {"KOH": -2, "Mg": -2, "K": 2, "MgO": 2, "H2": 1}),
        ("H2 + 1/2 O2 -> H2O", {"H2": -1, "O2": Fraction(-1, 2), "H2O": 1}),
        ("H2 + 0,5 O2 -> H2O", {"H2": -1, "O2": Fraction(-1, 2), "H2O": 1}),
        ("H2 + ½O2 -> H2O", {"H2": -1, "O2": Fraction(-1, 2), "H2O": 1}),
        ("H2 + (1/2)O2 -> H2O", {"H2": -1, "O2": Fraction(-1, 2), "H2O": 1}),
        ("Na+ + Cl- -> NaCl", {"Na+": -1, "Cl-": -1, "NaCl": 1}),
        ("Na+(aq)+Cl-(aq)->NaCl(s)", {"Na+(aq)": -1, "Cl-(aq)": -1, "NaCl(s)": 1}),
        ("H++OH- ->H2O", {"H+": -1, "OH-": -1, "H2O": 1}),
        ("Fe^3++e-->Fe^2+", {"Fe^3+": -1, "e-": -1, "Fe^2+": 1}),
        ("e- + Fe³⁺ --> Fe²⁺", {"Fe^3+": -1, "e-": -1, "Fe^2+": 1}),
        ("Ca++ + 2OH⁻ → Ca(OH)2", {"Ca^2+": -1, "OH-": -2, "Ca(OH)2": 1}),
        ("2 H2O + K -> H2O + KOH", {"H2O": -1, "K": -1, "KOH": 1}),
        ("K(cr) -> K(l)", {"K(cr)": -1, "K(l)": 1}),
    ],
)
def test_an_equation_is_read_as_typed(text, coefficients):
    assert read(text).coefficients == coefficients


def test_each_side_keeps_its_terms_in_order():
    equation = read("2 KOH + Mg -> K + MgO")
    assert [str(term) for term in equation.left] == ["2 KOH", "Mg"]
    assert [term.formula.text for term in equation.right] == ["K", "MgO"]
    assert {term.side for term in equation.right} == {"right"}


def test_atoms_and_charge_are_counted_on_each_side():
    counts = read("MnO4- + Fe^2+ + 8 H+ -> Mn^2+ + Fe^3+ + 4 H2O").atom_counts()
    assert counts == {"Mn": (1, 1), "O": (4, 4), "Fe": (1, 1), "H": (8, 8), "charge": (9, 5)}
    assert list(counts)[-1] == "charge"


def test_a_try_of_own_coefficients_is_counted():
    equation = read("KOH + Mg -> K + MgO + H2")
    assert not equation.is_balanced
    assert equation.atom_counts()["H"] == (1, 2)
    own = equation.with_coefficients([4, 4, 4, 4, 2])
    assert own.is_balanced
    assert not own.is_smallest
    assert own.with_coefficients([2, 2, 2, 2, 1]).is_smallest
    assert own.with_coefficients([1, 1, 1, 1, Fraction(1, 2)]).is_balanced


@pytest.mark.parametrize("given", [[], [1, 1], [1, 1, 1, 1, 0], [1, 1, 1, 1, -1]])
def test_a_try_with_missing_or_impossible_coefficients_is_refused(given):
    with pytest.raises(BadEquation, match="needs 5 positive coefficients"):
        read("KOH + Mg -> K + MgO + H2").with_coefficients(given)


@pytest.mark.parametrize(
    "text, balanced",
    [
        ("KOH + Mg -> K + MgO + H2", "2 KOH + 2 Mg -> 2 K + 2 MgO + H2"),
        ("7 KOH + Mg = 3 K + MgO + 9 H2", "2 KOH + 2 Mg -> 2 K + 2 MgO + H2"),
        ("4 H2 + 2 O2 -> 4 H2O", "2 H2 + O2 -> 2 H2O"),
        ("K(s) -> K(l)", "K(s) -> K(l)"),
        ("KOH*H2O + Mg -> K + MgO + H2", "2 KOH·H2O + 4 Mg -> 2 K + 4 MgO + 3 H2"),
        ("CaSO4·2H2O -> CaSO4·0.5H2O + H2O", "2 CaSO4·2H2O -> 2 CaSO4·0.5H2O + 3 H2O"),
        ("Fe^3+ + e- -> Fe^2+", "Fe^3+ + e- -> Fe^2+"),
        ("Mg + Mg + O2 -> MgO", "2 Mg + O2 -> 2 MgO"),
        ("K + H2O -> KOH + H2 + H2O", "2 K + 2 H2O -> 2 KOH + H2"),
    ],
)
def test_an_equation_is_balanced_with_smallest_whole_numbers(text, balanced):
    equation = balance(text)
    assert str(equation) == balanced
    assert equation.is_balanced
    assert equation.is_smallest


def test_coefficients_that_balance_choose_among_many_solutions():
    typed = "2 KMnO4 + 5 H2O2 + 3 H2SO4 -> K2SO4 + 2 MnSO4 + 5 O2 + 8 H2O"
    assert str(balance(typed)) == typed
    doubled = "4 KMnO4 + 10 H2O2 + 6 H2SO4 -> 2 K2SO4 + 4 MnSO4 + 10 O2 + 16 H2O"
    assert str(balance(doubled)) == typed


def test_a_species_that_takes_no_part_is_left_out_and_named():
    equation = balance("KOH + Mg + C10H12 -> K + MgO + H2 + C10H12")
    assert str(equation) == "2 KOH + 2 Mg -> 2 K + 2 MgO + H2"
    assert [formula.text for formula in equation.spectators] == ["C10H12"]


@pytest.mark.parametrize(
    "text, reasons",
    [
        ("KOH + Mg -> K + MgO", ["H stands only on the left"]),
        ("KOH + Na -> K + MgO + H2", ["Na stands only on the left", "Mg stands only on the right"]),
        ("KOH + Mg -> K + MgO + H2 + Na", ["Na stands only on the right", "of Na must be zero"]),
        ("KOH + Mg + H2 -> K + MgO", ["H2 changes sides", "2 KOH + 2 Mg -> H2 + 2 K + 2 MgO"]),
        ("Fe^2+ -> Fe^3+", ["the charge cannot", "e-"]),
        ("H2O -> H2O2", ["no numbers fit all of H, O"]),
        ("KOH -> KOH", ["nothing changes"]),
        ("Cu + HNO3 -> Cu(NO3)2 + NO + NO2 + H2O", ["2 independent reactions"]),
    ],
)
def test_what_cannot_be_balanced_is_explained(text, reasons):
    with pytest.raises(CannotBalance) as caught:
        balance(text)
    for reason in reasons:
        assert reason in str(caught.value)


def test_a_mixture_of_reactions_is_parted_into_independent_ones():
    text = "Cu + HNO3 -> Cu(NO3)2 + NO + NO2 + H2O"
    reactions = ["Cu + 4 HNO3 -> Cu(NO3)2 + 2 NO2 + 2 H2O",
                 "3 Cu + 8 HNO3 -> 3 Cu(NO3)2 + 2 NO + 4 H2O"]  # fmt: skip
    assert [str(reaction) for reaction in independent_reactions(text)] == reactions
    with pytest.raises(CannotBalance) as caught:
        balance(text)
    assert [str(reaction) for reaction in caught.value.independent] == reactions


def test_phases_of_one_substance_are_species_of_their_own():
    reactions = independent_reactions("KOH + Mg -> K(l) + K(g) + MgO + H2")
    assert {str(reaction) for reaction in reactions} == {
        "2 KOH + 2 Mg -> 2 K(l) + 2 MgO + H2",
        "2 KOH + 2 Mg -> 2 K(g) + 2 MgO + H2",
    }


def test_there_is_no_independent_reaction_where_nothing_balances():
    assert independent_reactions("KOH + Mg -> K + MgO") == ()


@pytest.mark.parametrize(
    "text, reason",
    [
        ("", "equation is empty"),
        ("  \n ", "equation is empty"),
        ("KOH", "has no arrow"),
        ("KOH + Mg", "has no arrow"),
        ("->", "nothing on the left"),
        ("KOH ->", "nothing on the right"),
        ("-> K", "nothing on the left"),
        ("KOH -> K -> Mg", "2 arrows"),
        ("H+ + OH-->H2O", "Write a space before the arrow"),
        ("+".join(["K"] * 40) + "->Mg", "more than 30 species"),
    ],
)
def test_what_is_no_equation_is_refused_with_the_reason(text, reason):
    with pytest.raises(BadEquation) as caught:
        read(text)
    assert reason in str(caught.value)


@pytest.mark.parametrize(
    "text, position, reason",
    [
        ("KOH + Mg -> Ko + H2", 12, "Ko is not an element"),
        ("KOH + Mg(OH -> K", 8, "never closed"),
        ("KOH + + Mg -> K", 5, "species is missing"),
        ("KOH + 5 -> K", 5, "species is missing"),
        ("KOH + Mg + -> K", 10, "species is missing"),
        ("0 KOH -> K", 0, "coefficient lies between"),
        ("K + 99999999 Mg -> K", 4, "coefficient lies between"),
        ("K + 1/0 Mg -> K", 4, "coefficient lies between"),
        ("KOH + THF -> K", 6, "tetrahydrofuran"),
        ("K + Fe3+ -> K+ + Fe", 4, "Fe^3+"),
        ("-2 KOH -> K", 0, "no place"),
    ],
)
def test_a_bad_formula_is_shown_at_its_place_in_the_equation(text, position, reason):
    with pytest.raises(BadFormula) as caught:
        read(text)
    assert reason in caught.value.reason
    assert caught.value.position == position
    assert caught.value.text == text


def test_a_very_long_text_is_refused_at_once_and_not_repeated_in_full():
    for text in ("K + " * 25_000, "K" * 100_000, "=" * 100_000):
        start = time.perf_counter()
        with pytest.raises(BadEquation) as caught:
            balance(text)
        assert time.perf_counter() - start < 1
        assert len(str(caught.value)) < 300


def test_equations_hash_and_travel_between_processes():
    equation = balance("KOH + Mg -> K + MgO + H2")
    assert pickle.loads(pickle.dumps(equation)) == equation  # noqa: S301 (our own bytes)
    assert len({equation, balance("KOH + Mg = K + MgO + H2")}) == 1


def test_html_shows_subscripts_charges_and_an_arrow():
    html = balance("MnO4- + Fe^2+ + H+ -> Mn^2+ + Fe^3+ + H2O").html
    assert html.startswith("MnO<sub>4</sub><sup>−</sup> + 5\u00a0Fe<sup>2+</sup>")
    assert " → " in html


def test_the_plain_text_that_is_shown_has_subscripts_and_an_arrow():
    assert balance("K + Cl2 -> KCl").shown == "2 K + Cl₂ → 2 KCl"
    assert balance("KOH*H2O + CO2 -> K2CO3 + H2O").shown == "2 KOH·H₂O + CO₂ → K₂CO₃ + 3 H₂O"


_SPECIES = ["K", "KOH", "KCl", "KO2", "K2O", "Mg", "MgO", "MgCl2", "H2", "H2O", "O2", "HCl", "K+",
            "OH-", "H+", "e-", "Mg^2+", "Cl-", "Cl2", "KH", "K2CO3", "CO2", "C"]  # fmt: skip
_SIDES = st.lists(st.sampled_from(_SPECIES), min_size=1, max_size=5, unique=True)


@given(_SIDES, _SIDES)
def test_whatever_is_balanced_conserves_each_element_and_the_charge(left, right):
    text = f"{' + '.join(left)} -> {' + '.join(right)}"
    for reaction in independent_reactions(text):
        assert reaction.is_balanced
        assert reaction.is_smallest
    try:
        equation = balance(text)
    except CannotBalance as problem:
        assert str(problem)
        return
    assert equation.is_balanced
    assert equation.is_smallest
    assert str(balance(str(equation))) == str(equation)


@given(st.permutations(["KMnO4", "HCl"]), st.permutations(["KCl", "MnCl2", "Cl2", "H2O"]))
def test_the_order_of_species_does_not_change_the_coefficients(left, right):
    equation = balance(f"{' + '.join(left)} -> {' + '.join(right)}")
    expected = {"KMnO4": -2, "HCl": -16, "KCl": 2, "MnCl2": 2, "Cl2": 5, "H2O": 8}
    assert equation.coefficients == expected


@given(st.text(max_size=2100))
def test_any_text_is_read_or_refused(text):
    _balanced_or_refused(text)


@given(
    st.lists(
        st.sampled_from(
            [
                "K",
                "OH",
                "Mg",
                "H2O",
                "e-",
                "^2+",
                "+",
                "-",
                ">",
                "=",
                " ",
                "2",
                "1/2",
                "(",
                ")",
                "·",
            ]
        ),
        max_size=60,
    ).map("".join)
)
def test_any_text_made_of_the_parts_of_equations_is_read_or_refused(text):
    _balanced_or_refused(text)


def _balanced_or_refused(text):
    start = time.perf_counter()
    try:
        equation = balance(text)
    except PotashError as reason:
        assert len(str(reason)) > 10
    else:
        assert equation.is_balanced
    assert time.perf_counter() - start < 1
