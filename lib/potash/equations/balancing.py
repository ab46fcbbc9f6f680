"""Balancing by exact whole-number arithmetic: the null space of the composition matrix.

Each element, and the charge, gives one linear equation in the coefficients. One solution (up to a
factor) is the balanced equation; none, or several, is told apart and explained.
"""

from collections.abc import Iterable, Sequence
from itertools import combinations, islice
from typing import NamedTuple

from potash.equations.equation import (
    CHARGE,
    Equation,
    Side,
    Term,
    composition,
    smallest_whole_numbers,
)
from potash.equations.errors import CannotBalance
from potash.equations.null_space import Matrix, Vector, cleared, is_independent, null_space
from potash.equations.reading import read
from potash.formulas import Formula
from potash.words import tr

_MOST_SUBSETS = 1_000  # choices of species tried in the search for readable reactions


class Species(NamedTuple):
    """A formula, and the side it was typed on; None where it stands on both."""

    formula: Formula
    side: Side | None


def balance(given: str | Equation) -> Equation:
    """The equation with the smallest positive whole numbers that balance it.

    Coefficients typed are a first try: where they balance, they are kept in their proportion, also
    if other numbers would balance as well. Species typed on both sides count once, by their net
    amount, and are left out as spectators where nothing is left of them.

    Raises: CannotBalance, with the reason; BadEquation or BadFormula, if the text is no equation.
    """
    equation = read(given) if isinstance(given, str) else given
    species = _species(equation)
    basis = null_space(composition_matrix(species))
    if len(basis) == 1:
        return _signed_right(equation, species, basis[0])
    if equation.is_balanced and equation.coefficients:
        numbers = equation.coefficients
        typed = [-numbers.get(each.formula.text, 0) for each in species]
        return equation_of(species, smallest_whole_numbers(typed))
    if not basis:
        raise CannotBalance(_why_none(equation, species))
    raise CannotBalance(
        tr(
            "{equation} is a mixture of {number} independent reactions, so that many sets of "
            "coefficients balance it. Balance one at a time, or type the coefficients you want:",
            equation=equation,
            number=len(basis),
        ),
        _readable_reactions(species, basis),
    )


def independent_reactions(given: str | Equation) -> tuple[Equation, ...]:
    """The independent reactions among the species of the equation, each with smallest numbers.

    There are as many as the species leave free: none where nothing balances, one for an ordinary
    equation. Those that run in the direction typed, with few species, come first; where there are
    not enough of these, species change sides.

    Raises: BadEquation or BadFormula, if the text is no equation.
    """
    equation = read(given) if isinstance(given, str) else given
    species = _species(equation)
    return _readable_reactions(species, null_space(composition_matrix(species)))


def _species(equation: Equation) -> list[Species]:
    """Each species once, in the order typed."""
    sides: dict[Formula, Side | None] = {}
    for term in equation.terms:
        both = term.formula in sides and sides[term.formula] != term.side
        sides[term.formula] = None if both else term.side
    return [Species(formula, side) for formula, side in sides.items()]


def composition_matrix(species: Sequence[Species]) -> Matrix:
    """One row an element, the charge included; one column a species."""
    columns = [composition(each.formula) for each in species]
    elements = dict.fromkeys(element for column in columns for element in column)
    rows = ([column.get(element, 0) for column in columns] for element in elements)
    return [cleared(row) for row in rows]


def _signed_right(equation: Equation, species: Sequence[Species], solution: Vector) -> Equation:
    """The balanced equation from the only solution there is, if each species is on its side."""
    aligned = _aligned(species, solution)
    zero = [each for each, number in zip(species, aligned, strict=True) if not number and each.side]
    if zero:
        because = "".join(f"{reason}; " for reason in _one_sided(equation))
        raise CannotBalance(
            tr(
                "{equation} cannot be balanced: {because}the coefficient of {listed} must be "
                "zero. What balances is {equation_of}. Leave out what takes no part, or add the "
                "species that is missing.",
                equation=equation,
                because=because,
                listed=_listed(zero),
                equation_of=equation_of(species, aligned),
            )
        )
    wrong = [
        each
        for each, number in zip(species, aligned, strict=True)
        if each.side and (number > 0) != (each.side == "left")
    ]
    if wrong:
        raise CannotBalance(
            tr(
                "{equation} balances only if {listed} changes sides: {equation_of}.",
                equation=equation,
                listed=_listed(wrong),
                equation_of=equation_of(species, aligned),
            )
        )
    return equation_of(species, aligned)


def _aligned(species: Sequence[Species], solution: Vector) -> Vector:
    """``solution``, positive for reactants, in the direction that keeps most species in place."""
    signs = [
        number if each.side == "left" else -number
        for each, number in zip(species, solution, strict=True)
        if each.side
    ]
    forward = sum(sign > 0 for sign in signs) - sum(sign < 0 for sign in signs)
    return solution if forward >= 0 else [-number for number in solution]


def equation_of(species: Sequence[Species], numbers: Vector) -> Equation:
    """The equation whose species have these coefficients, positive for reactants."""
    sides: tuple[Side, Side] = ("left", "right")
    terms = [
        Term(abs(number), each.formula, side)
        for side in sides
        for each, number in zip(species, numbers, strict=True)
        if (number > 0 if side == "left" else number < 0)
    ]
    idle = [e.formula for e, number in zip(species, numbers, strict=True) if not (number or e.side)]
    return Equation(tuple(terms), tuple(idle))


def _readable_reactions(species: Sequence[Species], basis: Matrix) -> tuple[Equation, ...]:
    """As many independent reactions as ``basis`` has, those with few species first."""
    candidates = sorted(
        (_aligned(species, vector) for vector in _fewest_species(species, len(basis))),
        key=lambda vector: _readability(species, vector),
    )
    chosen: Matrix = []
    for vector in (*candidates, *basis):
        if len(chosen) < len(basis) and is_independent(chosen, vector):
            chosen.append(_aligned(species, vector))
    return tuple(equation_of(species, vector) for vector in chosen)


def _fewest_species(species: Sequence[Species], free: int) -> Iterable[Vector]:
    """Reactions from which no species can be left out."""
    matrix = composition_matrix(species)
    size = len(species) - free + 1  # one more species than there are independent conditions
    for subset in islice(combinations(range(len(species)), size), _MOST_SUBSETS):
        solutions = null_space([[row[i] for i in subset] for row in matrix])
        if len(solutions) == 1:
            vector = [0] * len(species)
            for i, number in zip(subset, solutions[0], strict=True):
                vector[i] = number
            yield vector


def _readability(species: Sequence[Species], vector: Vector) -> tuple[int, int, int]:
    misplaced = sum(
        number != 0 and each.side is not None and (number > 0) != (each.side == "left")
        for each, number in zip(species, vector, strict=True)
    )
    return misplaced, sum(number != 0 for number in vector), sum(map(abs, vector))


def _why_none(equation: Equation, species: Sequence[Species]) -> str:
    """Why only zeros balance the equation."""
    if not equation.coefficients:
        return tr(
            "{equation} says that nothing changes: the same species stand on both sides.",
            equation=equation,
        )
    one_sided = _one_sided(equation)
    if one_sided:
        return tr(
            "{equation} cannot be balanced: {one_sided}.",
            equation=equation,
            one_sided="; ".join(one_sided),
        )
    matrix = composition_matrix(species)
    elements = list(dict.fromkeys(e for each in species for e in composition(each.formula)))
    if CHARGE in elements:
        atoms_only = [row for row, e in zip(matrix, elements, strict=True) if e != CHARGE]
        if null_space(atoms_only):
            return tr(
                "{equation}: the atoms can be balanced, the charge cannot. An ion or an electron "
                "(H+, OH-, e-) is missing, or a charge is mistyped.",
                equation=equation,
            )
    blocking = [
        element for i, element in enumerate(elements) if null_space([*matrix[:i], *matrix[i + 1 :]])
    ]
    return tr(
        "{equation} cannot be balanced: no numbers fit all of {elements} at once. A species with "
        "{blocking} is missing.",
        equation=equation,
        elements=", ".join(elements),
        blocking=tr(" or ").join(blocking) or tr("several of them"),
    )


def _one_sided(equation: Equation) -> list[str]:
    """What stands on one side only, in words."""
    counts = equation.atom_counts().items()
    return [
        tr("{element} stands only on the left", element=element)
        if left
        else tr("{element} stands only on the right", element=element)
        for element, (left, right) in counts
        if element != CHARGE and not (left and right)
    ]


def _listed(species: Iterable[Species]) -> str:
    return tr(" and ").join(each.formula.text for each in species)
