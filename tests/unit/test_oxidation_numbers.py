"""Oxidation numbers, electrons transferred and half-equations."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from potash.equations import (
    NoHalfEquations,
    NoOxidationNumber,
    balance,
    electrons_transferred,
    half_equations,
    oxidation_numbers,
)
from potash.formulas import parse


@pytest.mark.parametrize(
    "text, numbers",
    [
        ("K(l)", {"K": 0}),
        ("H2", {"H": 0}),
        ("K+", {"K": 1}),
        ("H-", {"H": -1}),
        ("Hg2^2+", {"Hg": 1}),
        ("KOH", {"K": 1, "O": -2, "H": 1}),
        ("KOH·H2O", {"K": 1, "O": -2, "H": 1}),
        ("Mg(OH)2", {"Mg": 2, "O": -2, "H": 1}),
        ("MgCl2", {"Mg": 2, "Cl": -1}),
        ("K2O", {"K": 1, "O": -2}),
        ("K2O2", {"K": 1, "O": -1}),
        ("KO2", {"K": 1, "O": Fraction(-1, 2)}),
        ("KO3", {"K": 1, "O": Fraction(-1, 3)}),
        ("H2O2", {"H": 1, "O": -1}),
        ("O2^-", {"O": Fraction(-1, 2)}),
        ("KH", {"K": 1, "H": -1}),
        ("LiAlH4", {"Li": 1, "Al": 3, "H": -1}),
        ("NaBH4", {"Na": 1, "B": 3, "H": -1}),
        ("OF2", {"O": 2, "F": -1}),
        ("K2CO3", {"K": 1, "C": 4, "O": -2}),
        ("Mg3N2", {"Mg": 2, "N": -3}),
        ("CaC2", {"Ca": 2, "C": -1}),
        ("Fe3O4", {"Fe": Fraction(8, 3), "O": -2}),
        ("CuSO4·5H2O", {"Cu": 2, "S": 6, "O": -2, "H": 1}),
        ("Fe2(SO4)3", {"Fe": 3, "S": 6, "O": -2}),
        ("(NH4)2Cr2O7", {"N": -3, "H": 1, "Cr": 6, "O": -2}),
        ("K4[Fe(CN)6]", {"K": 1, "Fe": 2, "C": 2, "N": -3}),
        ("(CH3)3COK", {"C": -2, "H": 1, "O": -2, "K": 1}),
        ("BrCl", {"Br": 1, "Cl": -1}),
    ],
)
def test_oxidation_numbers_follow_the_rules(text, numbers):
    assert oxidation_numbers(text) == numbers


@pytest.mark.parametrize(
    "text, reason",
    [
        ("CuFeS2", "between Cu and Fe"),
        ("NH4NO3", "nitrogen of two kinds"),
        ("CrO5", "peroxy group"),
        ("H2SO5", "peroxy group"),
        ("K2CO4", "not in use"),
        ("FeS2", "polysulfide"),
        ("NaK", "alloy"),
        ("Na2O2·8H2O", "not in use"),
        ("NCl3", "sources differ"),
        ("UO2", "outside the elements"),
        ("e-", "electron"),
    ],
)
def test_what_the_rules_do_not_decide_is_refused(text, reason):
    with pytest.raises(NoOxidationNumber) as caught:
        oxidation_numbers(text)
    assert reason in str(caught.value)


@given(
    st.dictionaries(
        st.sampled_from(["H", "O", "K", "Na", "Mg", "Al", "Cl", "S", "N", "C", "Fe", "Mn"]),
        st.integers(1, 6),
        min_size=1,
        max_size=4,
    ),
    st.integers(-3, 3),
)
def test_oxidation_numbers_always_add_up_to_the_charge(atoms, charge):
    text = "".join(f"{symbol}{count}" for symbol, count in atoms.items())
    text += f"^{abs(charge)}{'+' if charge > 0 else '-'}" if charge else ""
    try:
        numbers = oxidation_numbers(text)
    except NoOxidationNumber as reason:
        assert parse(text).text in str(reason)
        return
    assert sum(atoms[element] * number for element, number in numbers.items()) == charge


@pytest.mark.parametrize(
    "text, electrons",
    [
        ("KOH + Mg -> K + MgO + H2", 4),
        ("KCl + Na -> NaCl + K", 1),
        ("K + C4H9OH -> C4H9OK + H2", 2),
        ("K + O2 -> KO2", 1),
        ("K2O2 + H2O -> KOH + O2", 2),
        ("NaH + H2O -> NaOH + H2", 1),
        ("Cl2 + OH- -> Cl- + ClO3- + H2O", 5),
        ("IO3- + I- + H+ -> I2 + H2O", 5),
        ("KMnO4 + HCl -> KCl + MnCl2 + Cl2 + H2O", 10),
        ("Fe3O4 + H2 -> Fe + H2O", 8),
        ("MnO4- + 8 H+ + 5 e- -> Mn^2+ + 4 H2O", 5),
        ("HCl + NaOH -> NaCl + H2O", 0),
    ],
)
def test_electrons_are_counted_from_oxidised_to_reduced_atoms(text, electrons):
    assert electrons_transferred(text) == electrons
    assert electrons_transferred(balance(text)) == electrons


@pytest.mark.parametrize(
    "text, oxidation, reduction",
    [
        (
            "KOH + Mg -> K + MgO + H2",
            "Mg + O^2- -> MgO + 2 e-",
            "2 KOH + 4 e- -> 2 K + H2 + 2 O^2-",
        ),
        (
            "KOH(l) + Mg(l) -> K(l) + MgO(cr) + H2(g)",
            "Mg(l) + O^2- -> MgO(cr) + 2 e-",
            "2 KOH(l) + 4 e- -> 2 K(l) + H2(g) + 2 O^2-",
        ),
        ("KCl + Na -> NaCl + K", "Na + Cl- -> NaCl + e-", "KCl + e- -> K + Cl-"),
        ("Na + Cl2 -> NaCl", "Na -> Na+ + e-", "Cl2 + 2 e- -> 2 Cl-"),
        ("K + O2 -> KO2", "K -> K+ + e-", "O2 + e- -> O2^-"),
        ("K + H2O -> KOH + H2", "K + OH- -> KOH + e-", "2 H2O + 2 e- -> H2 + 2 OH-"),
        ("K + H2O -> K+ + OH- + H2", "K -> K+ + e-", "2 H2O + 2 e- -> H2 + 2 OH-"),
        (
            "Mg + C4H9OK -> Mg(C4H9O)2 + K",
            "Mg + 2 C4H9O- -> Mg(C4H9O)2 + 2 e-",
            "C4H9OK + e- -> K + C4H9O-",
        ),
        (
            "Cl2 + OH- -> Cl- + ClO3- + H2O",
            "Cl2 + 12 OH- -> 2 ClO3- + 6 H2O + 10 e-",
            "Cl2 + 2 e- -> 2 Cl-",
        ),
        ("H2O2 -> H2O + O2", "H2O2 -> O2 + 2 H+ + 2 e-", "H2O2 + 2 H+ + 2 e- -> 2 H2O"),
        (
            "Cu + HNO3 -> Cu(NO3)2 + NO + H2O",
            "Cu + 2 NO3- -> Cu(NO3)2 + 2 e-",
            "4 HNO3 + 3 e- -> NO + 2 H2O + 3 NO3-",
        ),
    ],
)
def test_an_equation_parts_into_oxidation_and_reduction(text, oxidation, reduction):
    halves = half_equations(text)
    assert [str(half) for half in halves] == [oxidation, reduction]
    assert all(half.is_balanced for half in halves)


@pytest.mark.parametrize(
    "text, reason",
    [
        ("HCl + NaOH -> NaCl + H2O", "no oxidation number changes"),
        ("Fe^3+ + e- -> Fe^2+", "half-equation already"),
        ("KMnO4 + HCl -> KCl + MnCl2 + Cl2 + H2O", "Write it with the ions"),
    ],
)
def test_what_has_no_half_equations_is_refused(text, reason):
    with pytest.raises(NoHalfEquations) as caught:
        half_equations(text)
    assert reason in str(caught.value)
