"""Reading formulas, and what follows from them."""

import copy
import pickle
import time
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from potash.errors import PotashError
from potash.formulas import BadFormula, NoAtomicWeight, molar_mass, parse


@pytest.mark.parametrize(
    "text, elements",
    [
        ("K", {"K": 1}),
        ("KOH", {"K": 1, "O": 1, "H": 1}),
        ("Mg(OH)2", {"Mg": 1, "O": 2, "H": 2}),
        ("K4[Fe(CN)6]", {"K": 4, "Fe": 1, "C": 6, "N": 6}),
        ("{[(Fe2)3]2}2", {"Fe": 24}),
        ("(CH3)2C(OH)C2H5", {"C": 5, "H": 12, "O": 1}),
        ("K₂CO₃", {"K": 2, "C": 1, "O": 3}),
        ("MgSO4·7H2O", {"Mg": 1, "S": 1, "O": 11, "H": 14}),
        ("MgSO4*7H2O", {"Mg": 1, "S": 1, "O": 11, "H": 14}),
        ("MgSO4.7H2O", {"Mg": 1, "S": 1, "O": 11, "H": 14}),
        ("MgSO4 · 7 H2O", {"Mg": 1, "S": 1, "O": 11, "H": 14}),
        ("MgSO4 x 7 H2O", {"Mg": 1, "S": 1, "O": 11, "H": 14}),
        ("Na2SO4.10H2O", {"Na": 2, "S": 1, "O": 14, "H": 20}),
        ("KOH*H2O", {"K": 1, "O": 2, "H": 3}),
        ("CaSO4·0.5H2O", {"Ca": 1, "S": 1, "O": Fraction(9, 2), "H": 1}),
        ("CaSO4.0,5H2O", {"Ca": 1, "S": 1, "O": Fraction(9, 2), "H": 1}),
        ("CaSO4·1/2H2O", {"Ca": 1, "S": 1, "O": Fraction(9, 2), "H": 1}),
        ("CaSO4·½H2O", {"Ca": 1, "S": 1, "O": Fraction(9, 2), "H": 1}),
        ("CaCO3·MgCO3", {"Ca": 1, "Mg": 1, "C": 2, "O": 6}),
        ("Co", {"Co": 1}),
        ("CO", {"C": 1, "O": 1}),
        ("e-", {}),
    ],
)
def test_the_atoms_of_a_formula_are_counted(text, elements):
    assert parse(text).elements == elements


@pytest.mark.parametrize(
    "text, spelled, charge",
    [
        ("H+", "H+", 1),
        ("OH-", "OH-", -1),
        ("OH⁻", "OH-", -1),
        ("OH−", "OH-", -1),
        ("OH^-", "OH-", -1),
        ("NH4+", "NH4+", 1),
        ("MnO4-", "MnO4-", -1),
        ("O2^-", "O2^-", -1),
        ("O2^2-", "O2^2-", -2),
        ("Fe^3+", "Fe^3+", 3),
        ("Fe^+3", "Fe^3+", 3),
        ("Fe³⁺", "Fe^3+", 3),
        ("Ca++", "Ca^2+", 2),
        ("Hg2^2+", "Hg2^2+", 2),
        ("Cr2O7^2-", "Cr2O7^2-", -2),
        ("SO4^{2-}", "SO4^2-", -2),
        ("SO4^(2-)", "SO4^2-", -2),
        ("SO₄²⁻", "SO4^2-", -2),
        ("[Al(OH)4]-", "[Al(OH)4]-", -1),
        ("[Fe(CN)6]^4-", "[Fe(CN)6]^4-", -4),
        ("e-", "e-", -1),
        ("e^-", "e-", -1),
        ("e⁻", "e-", -1),
        ("K", "K", 0),
    ],
)
def test_charges_are_read_in_each_common_spelling_and_spelled_in_one(text, spelled, charge):
    formula = parse(text)
    assert formula.charge == charge
    assert formula.text == spelled
    assert parse(spelled) == formula


@pytest.mark.parametrize("phase", ["s", "cr", "l", "g", "aq"])
def test_phase_labels_are_kept_apart_from_the_atoms(phase):
    for text in (f"K2CO3({phase})", f" K2CO3 ({phase}) "):
        formula = parse(text)
        assert formula.phase == phase
        assert formula.elements == {"K": 2, "C": 1, "O": 3}
        assert formula.text == f"K2CO3({phase})"
    assert parse(f"SO4^2-({phase})").charge == -2


@pytest.mark.parametrize(
    "text, first, second",
    [
        ("Fe3+", "Fe^3+", "Fe3^+"),
        ("O2-", "O^2-", "O2^-"),
        ("SO42-", "SO4^2-", "SO42^-"),
        ("[Fe(CN)6]4-", "[Fe(CN)6]^4-", "[Fe(CN)6]4^-"),
        ("PrC", "propyl", "praseodymium"),
        ("CH3Ac", "acetyl", "actinium"),
        ("KOH(S)", "atoms", "(s)"),
    ],
)
def test_what_can_be_read_in_two_ways_is_asked_back_with_both(text, first, second):
    with pytest.raises(BadFormula) as caught:
        parse(text)
    assert first in caught.value.reason
    assert second in caught.value.reason


@pytest.mark.parametrize(
    "text, position, reason",
    [
        ("", 0, "no formula here"),
        ("   ", 0, "no formula here"),
        ("KoH", 0, "Ko is not an element. Did you mean KO"),
        ("MgKoH", 2, "Ko is not an element. Did you mean KO"),
        ("Koh", 0, "Did you mean KOH"),
        ("koh", 0, "begins with a capital letter. Did you mean KOH?"),
        ("nacl", 0, "Did you mean NaCl?"),
        ("Xq", 0, "Xq is not an element"),
        ("Mg(OH2", 2, "never closed"),
        ("Mg)OH", 2, "never opened"),
        ("Mg(OH]2", 5, "( is closed by ]"),
        ("Mg()2", 3, "nothing between"),
        ("((((((((((K))))))))))", 8, "depth of 8"),
        ("Mg0", 2, "letter O"),
        ("H20", 0, "letter O"),
        ("Fe0.95O", 2, "letter O"),
        ("Li1.5O", 3, "counts of atoms are whole"),
        ("Na2CO3·xH2O", 6, "Write a number in place of x"),
        ("Na2CO3·0H2O", 6, "multiplier lies between"),
        ("Na2CO3·1/0H2O", 6, "divided by 0"),
        ("·H2O", 0, "formula is missing"),
        ("CuSO4·", 6, "formula is missing"),
        ("(CuSO4·5H2O)2", 6, "outside brackets"),
        ("H99999", 1, "Up to 9999"),
        ("K@OH", 1, "has no place"),
        ("H٢O", 1, "has no place"),
        ("K OH", 1, "A space has no place"),
        ("2KOH", 0, "does not begin with a number"),
        ("6Li", 0, "isotopes are not read"),
        ("D2O", 0, "deuterium"),
        ("T2", 0, "tritium"),
        ("THF", 0, "tetrahydrofuran. Write its formula, C4H8O"),
        ("MeOH", 0, "methanol"),
        ("MeMgBr", 0, "methyl. Write its atoms, CH3"),
        ("AcOH", 0, "acetic acid"),
        ("ROH", 0, "any organic group"),
        ("MOH", 0, "any metal"),
        ("KOH^", 3, "no place"),
        ("KOH^0", 3, "a digit and a sign"),
        ("Fe⁰⁺", 2, "a digit and a sign"),
        ("Fe³³⁺", 2, "a digit and a sign"),
        ("Fe^(3)", 2, "a digit and a sign"),
        ("Fe^33+", 2, "a digit and a sign"),
        ("Fe+3", 2, "Fe^3+"),
        ("e", 0, "Write the electron as e-"),
        ("e+", 0, "Write the electron as e-"),
    ],
)
def test_a_bad_formula_is_refused_with_the_place_and_the_reason(text, position, reason):
    with pytest.raises(BadFormula) as caught:
        parse(text)
    assert reason in caught.value.reason
    assert caught.value.position == position


def test_the_message_points_at_the_mistake():
    with pytest.raises(BadFormula) as caught:
        parse("MgKoH")
    assert str(caught.value).splitlines()[1:] == ["  MgKoH", "    ^^"]


def test_a_very_long_text_is_refused_at_once_and_not_repeated_in_full():
    start = time.perf_counter()
    with pytest.raises(BadFormula) as caught:
        parse("K" * 100_000)
    assert time.perf_counter() - start < 1
    assert "100000 characters" in caught.value.reason
    assert len(str(caught.value)) < 300


@pytest.mark.parametrize(
    "text, hill",
    [
        ("KOH", "HKO"),
        ("C2H5OH", "C2H6O"),
        ("K2CO3", "CK2O3"),
        ("MgSO4·7H2O", "H14MgO11S"),
        ("Cr2O7^2-", "Cr2O7^2-"),
        ("e-", "e^-"),
    ],
)
def test_the_hill_formula_puts_carbon_and_hydrogen_first(text, hill):
    assert parse(text).hill == hill


@pytest.mark.parametrize(
    "text, html",
    [
        ("K2CO3", "K<sub>2</sub>CO<sub>3</sub>"),
        ("Mg(OH)2(s)", "Mg(OH)<sub>2</sub>(s)"),
        ("NH4+", "NH<sub>4</sub><sup>+</sup>"),
        ("Cr2O7^2-(aq)", "Cr<sub>2</sub>O<sub>7</sub><sup>2−</sup>(aq)"),
        ("Na2SO4·10H2O", "Na<sub>2</sub>SO<sub>4</sub>·10H<sub>2</sub>O"),
        ("e-", "e<sup>−</sup>"),
    ],
)
def test_html_lowers_counts_and_raises_charges(text, html):
    assert parse(text).html == html


def test_losing_and_gaining_electrons_conserves_mass():
    masses = [parse(text).relative_molecular_mass for text in ("Fe^3+", "e-", "Fe^2+")]
    assert masses[0] + masses[1] == pytest.approx(masses[2], rel=1e-14)


@pytest.mark.parametrize("text", ["Tc", "KTcO4", "Ra"])
def test_an_element_without_atomic_weight_has_no_molar_mass(text):
    with pytest.raises(NoAtomicWeight, match="no stable isotopes"):
        molar_mass(text)


def test_formulas_are_equal_and_hash_alike_when_they_are_the_same():
    assert parse("OH⁻") == parse("OH^-")
    assert hash(parse("OH⁻")) == hash(parse("OH^-"))
    assert parse("K(l)") != parse("K(cr)")


@pytest.mark.parametrize("text", ["KOH", "Cr2O7^2-(aq)", "CaSO4·0.5H2O", "e-"])
def test_formulas_travel_between_processes(text):
    formula = parse(text)
    assert pickle.loads(pickle.dumps(formula)) == formula  # noqa: S301 (our own bytes)
    assert copy.deepcopy(formula) == formula


_SYMBOLS = st.sampled_from(["H", "C", "O", "K", "Na", "Mg", "Al", "Fe", "Cl", "Cs"])
_COUNTS = st.integers(1, 12)


@st.composite
def _groups(draw, inner):
    """Text of a run of atoms and bracketed groups, with its atoms."""
    text, atoms = "", {}
    for part, part_atoms in draw(st.lists(inner, min_size=1, max_size=4)):
        count = draw(_COUNTS)
        text += part + (str(count) if count > 1 else "")
        for symbol, number in part_atoms.items():
            atoms[symbol] = atoms.get(symbol, 0) + number * count
    return text, atoms


_ATOMS = _SYMBOLS.map(lambda symbol: (symbol, {symbol: 1}))
_BRACKETED = _groups(_ATOMS).map(lambda group: (f"({group[0]})", group[1]))
_DEEPER = _groups(st.one_of(_ATOMS, _BRACKETED)).map(lambda group: (f"[{group[0]}]", group[1]))


@given(_groups(st.one_of(_ATOMS, _BRACKETED, _DEEPER)), st.integers(-4, 4))
def test_a_formula_made_from_counts_is_read_back_to_them(group, charge):
    text, atoms = group
    if len(text) > 190:
        return
    if charge:
        text += f"^{abs(charge)}{'+' if charge > 0 else '-'}"
    formula = parse(text)
    assert formula.elements == atoms
    assert formula.charge == charge
    assert parse(formula.text) == formula
    if max(atoms.values()) <= 9999 and atoms != {"H": 20}:  # "H20" is asked back
        assert parse(formula.hill).elements == atoms


@given(st.text(max_size=250))
def test_any_text_is_read_or_refused_with_a_place(text):
    _read_or_refused(text)


@given(
    st.lists(
        st.sampled_from([*"KOHeCMg()[]{}0123456789^+-·.* x/", "aq", "(s)", "²⁻", "₂", "H2O", "Co"]),
        max_size=60,
    ).map("".join)
)
def test_any_text_made_of_the_parts_of_formulas_is_read_or_refused(text):
    _read_or_refused(text)


def _read_or_refused(text):
    try:
        formula = parse(text)
    except BadFormula as problem:
        assert 0 <= problem.position <= len(text)
        assert len(problem.reason) > 10
    except PotashError as problem:
        pytest.fail(f"{text!r} is refused without a place: {problem}")
    else:
        assert parse(formula.text) == formula
        assert all(count > 0 for count in formula.elements.values())
