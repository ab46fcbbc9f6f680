"""Balancing, oxidation numbers and half-equations against what textbooks print."""

from fractions import Fraction
from pathlib import Path

import pytest

from potash.equations import (
    NoHalfEquations,
    NoOxidationNumber,
    balance,
    electrons_transferred,
    half_equations,
    oxidation_numbers,
    read,
)

_LINES = Path(__file__).with_name("balanced_equations.txt").read_text(encoding="utf-8").splitlines()
PRINTED = [line for line in _LINES if line and not line.startswith("#")]

# IUPAC, Compendium of Chemical Terminology (Gold Book), "oxidation number", and Karen, McArdle and
# Takats, Pure Appl. Chem. 2016, 88, 831; the rest as general chemistry textbooks work them
# (Petrucci et al., General Chemistry, 10th ed., section 3.4); from memory.
OXIDATION_NUMBERS = [
    ("H2SO4", "S", 6),
    ("SO2", "S", 4),
    ("S2O3^2-", "S", 2),
    ("S4O6^2-", "S", Fraction(5, 2)),
    ("MnO4-", "Mn", 7),
    ("MnO2", "Mn", 4),
    ("Cr2O7^2-", "Cr", 6),
    ("KClO4", "Cl", 7),
    ("HClO", "Cl", 1),
    ("NH4+", "N", -3),
    ("N2H4", "N", -2),
    ("NO3-", "N", 5),
    ("KNO2", "N", 3),
    ("H2O2", "O", -1),
    ("KO2", "O", Fraction(-1, 2)),
    ("NaH", "H", -1),
    ("CH4", "C", -4),
    ("H2C2O4", "C", 3),
    ("Fe3O4", "Fe", Fraction(8, 3)),
    ("K2FeO4", "Fe", 6),
    ("Hg2Cl2", "Hg", 1),
    ("OF2", "O", 2),
]

# Standard electrode reactions, written as tables of electrode potentials print them (CRC Handbook
# of Chemistry and Physics, section 5; Petrucci et al., table 20.1); from memory; oxidations are
# reversed.
HALF_REACTIONS = [
    (
        "MnO4- + Fe^2+ + H+ -> Mn^2+ + Fe^3+ + H2O",
        "Fe^2+ -> Fe^3+ + e-",
        "MnO4- + 8 H+ + 5 e- -> Mn^2+ + 4 H2O",
    ),
    (
        "Cr2O7^2- + Fe^2+ + H+ -> Cr^3+ + Fe^3+ + H2O",
        "Fe^2+ -> Fe^3+ + e-",
        "Cr2O7^2- + 14 H+ + 6 e- -> 2 Cr^3+ + 7 H2O",
    ),
    (
        "Cu + NO3- + H+ -> Cu^2+ + NO + H2O",
        "Cu -> Cu^2+ + 2 e-",
        "NO3- + 4 H+ + 3 e- -> NO + 2 H2O",
    ),
    (
        "MnO4- + C2O4^2- + H+ -> Mn^2+ + CO2 + H2O",
        "C2O4^2- -> 2 CO2 + 2 e-",
        "MnO4- + 8 H+ + 5 e- -> Mn^2+ + 4 H2O",
    ),
    (
        "S2O3^2- + I2 -> S4O6^2- + I-",
        "2 S2O3^2- -> S4O6^2- + 2 e-",
        "I2 + 2 e- -> 2 I-",
    ),
    (
        "K + H2O -> K+ + OH- + H2",
        "K -> K+ + e-",
        "2 H2O + 2 e- -> H2 + 2 OH-",
    ),
    (
        "MnO4- + SO3^2- + H2O -> MnO2 + SO4^2- + OH-",
        "SO3^2- + 2 OH- -> SO4^2- + H2O + 2 e-",
        "MnO4- + 2 H2O + 3 e- -> MnO2 + 4 OH-",
    ),
    (
        "Zn + H+ -> Zn^2+ + H2",
        "Zn -> Zn^2+ + 2 e-",
        "2 H+ + 2 e- -> H2",
    ),
]

# Electrons an equation transfers, as textbooks count them for cell reactions; from memory.
ELECTRONS = [
    ("MnO4- + 5 Fe^2+ + 8 H+ -> Mn^2+ + 5 Fe^3+ + 4 H2O", 5),
    ("Cr2O7^2- + 6 Fe^2+ + 14 H+ -> 2 Cr^3+ + 6 Fe^3+ + 7 H2O", 6),
    ("3 Cu + 8 HNO3 -> 3 Cu(NO3)2 + 2 NO + 4 H2O", 6),
    ("Zn + Cu^2+ -> Zn^2+ + Cu", 2),
    ("2 H2 + O2 -> 2 H2O", 4),
    ("Pb + PbO2 + 2 H2SO4 -> 2 PbSO4 + 2 H2O", 2),
    ("Fe2O3 + 2 Al -> 2 Fe + Al2O3", 6),
]


def _without_coefficients(printed):
    equation = read(printed)
    return str(equation.with_coefficients([1] * len(equation.terms)))


def test_the_collection_holds_two_hundred_different_equations():
    assert len(PRINTED) == len(set(PRINTED)) == 200


@pytest.mark.parametrize("printed", PRINTED)
def test_an_equation_without_coefficients_is_balanced_as_printed(printed):
    assert str(balance(_without_coefficients(printed))) == printed


@pytest.mark.parametrize("species, element, expected", OXIDATION_NUMBERS)
def test_oxidation_numbers_are_those_of_the_textbooks(species, element, expected):
    assert oxidation_numbers(species)[element] == expected


@pytest.mark.parametrize("equation, oxidation, reduction", HALF_REACTIONS)
def test_half_equations_are_the_tabulated_electrode_reactions(equation, oxidation, reduction):
    assert [str(half) for half in half_equations(equation)] == [oxidation, reduction]


@pytest.mark.parametrize("equation, electrons", ELECTRONS)
def test_electrons_transferred_are_counted_as_for_a_cell(equation, electrons):
    assert electrons_transferred(equation) == electrons


def test_half_equations_add_up_to_the_printed_equation_wherever_it_parts():
    parted = 0
    for printed in PRINTED:
        try:
            halves = half_equations(printed)
        except (NoHalfEquations, NoOxidationNumber):
            continue
        lost, gained = (abs(half.coefficients["e-"]) for half in halves)
        sums: dict[str, int] = {}
        for half, times in zip(halves, (gained, lost), strict=True):
            for text, number in half.coefficients.items():
                sums[text] = sums.get(text, 0) + times * number
        expected = read(printed).coefficients
        left_over = {text: number for text, number in sums.items() if number}
        ratios = {left_over.get(text, 0) / number for text, number in expected.items()}
        # Halves that make one salt between them, as of Na and Cl2, end in its ions.
        assert len(ratios) == 1 or _ions_of_one_salt(left_over, expected), printed
        parted += 1
    assert parted >= 115


def _ions_of_one_salt(left_over, expected):
    missing = [text for text in expected if text not in left_over]
    ions = [text for text in left_over if text not in expected]
    return len(missing) == 1 and len(ions) == 2 and all(text[-1] in "+-" for text in ions)
