"""Hints for balancing by hand."""

from fractions import Fraction

import pytest

from potash.equations import hint, read


@pytest.mark.parametrize(
    "text, expected",
    [
        ("KOH + Mg -> K + MgO + H2", "H: 1 on the left, 2 on the right. It stands in KOH and H2."),
        ("2 KOH + Mg -> K + MgO + H2", "K: 2 on the left, 1 on the right. It stands in KOH and K."),
        ("Zn + 2 H+ -> Zn^2+ + H2", "It is balanced, with the smallest whole numbers."),
        ("Fe^3+ + e- -> Fe", "the charge is 2 on the left, 0 on the right"),
        ("4 KOH + 4 Mg -> 4 K + 4 MgO + 2 H2", "all coefficients can still be divided by 2"),
    ],
)
def test_a_hint_names_what_to_look_at_next(text, expected):
    assert expected in hint(read(text))


def test_a_hint_on_fractions_names_the_factor():
    halves = read("KOH + Mg -> K + MgO + 1/2 H2")
    assert halves.right[2].coefficient == Fraction(1, 2)
    assert hint(halves) == "It is balanced; multiply all coefficients by 2 for whole numbers."


def test_a_hint_never_names_a_coefficient_of_the_answer():
    text = hint(read("Fe + H2O -> Fe3O4 + H2"))
    assert text == "Fe: 1 on the left, 3 on the right. It stands in Fe and Fe3O4."
