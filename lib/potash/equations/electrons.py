"""Electrons that an equation transfers: which atoms are oxidised and which are reduced."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from potash.equations.balancing import balance
from potash.equations.equation import Equation, Number, Term
from potash.equations.errors import NoOxidationNumber
from potash.equations.oxidation import oxidation_numbers
from potash.equations.reading import read
from potash.formulas import Formula
from potash.words import tr


class Move(NamedTuple):
    """Atoms of one element that go from a reactant into a product."""

    element: str
    atoms: Number
    source: Formula
    target: Formula
    change: Number


class _Atoms(NamedTuple):
    oxidation_number: Number
    atoms: Number
    formula: Formula


def electrons_transferred(given: str | Equation) -> int:
    """Electrons that pass from the oxidised to the reduced atoms, for the coefficients as balanced.

    Atoms of one element go from the lowest oxidation number on the left to the lowest on the
    right, and so on: that is the least number of electrons, and serves disproportionation too. In
    a half-equation it is the number of free electrons. 0 means no redox reaction.

    Raises: NoOxidationNumber, if the rules do not decide a species; CannotBalance, BadEquation or
    BadFormula, if the equation is none.
    """
    moves = moves_of(balanced(given))
    lost = sum((move.atoms * move.change for move in moves if move.change > 0), start=0)
    gained = -sum((move.atoms * move.change for move in moves if move.change < 0), start=0)
    electrons = max(lost, gained)
    if electrons.denominator != 1:
        raise NoOxidationNumber(
            tr(
                "{species}: average oxidation numbers do not give a whole number of electrons.",
                species=given,
            )
        )
    return int(electrons)


def balanced(given: str | Equation) -> Equation:
    """The equation as it stands if it is balanced, and balanced if not."""
    equation = read(given) if isinstance(given, str) else given
    return equation if equation.is_balanced else balance(equation)


def moves_of(equation: Equation) -> list[Move]:
    """Where the atoms of each element go, in the order of oxidation numbers."""
    moves: list[Move] = []
    for element in equation.atom_counts():
        left, right = _sorted_atoms(equation.left, element), _sorted_atoms(equation.right, element)
        moves += _matched(element, left, right)
    return moves


def _sorted_atoms(terms: Sequence[Term], element: str) -> list[_Atoms]:
    atoms = [
        _Atoms(
            oxidation_numbers(term.formula)[element],
            term.coefficient * term.formula.elements[element],
            term.formula,
        )
        for term in terms
        if element in term.formula.elements
    ]
    # Hydrogen comes off H+ before H2O, and off H2O before OH-.
    return sorted(atoms, key=lambda each: (each.oxidation_number, -each.formula.charge))


def _matched(element: str, left: list[_Atoms], right: list[_Atoms]) -> Iterator[Move]:
    while left and right:
        source, target = left[0], right[0]
        atoms = min(source.atoms, target.atoms)
        change = target.oxidation_number - source.oxidation_number
        yield Move(element, atoms, source.formula, target.formula, change)
        left = _less(left, atoms)
        right = _less(right, atoms)


def _less(atoms: list[_Atoms], taken: Number) -> list[_Atoms]:
    first, *rest = atoms
    left_over = first.atoms - taken
    return [first._replace(atoms=left_over), *rest] if left_over else rest
