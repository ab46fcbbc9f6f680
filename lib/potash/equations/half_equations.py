"""The oxidation and the reduction that an equation is made of."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from math import gcd, lcm

from potash.equations.balancing import (
    Species,
    composition_matrix,
    equation_of,
)
from potash.equations.electrons import Move, balanced, electrons_transferred, moves_of
from potash.equations.equation import Equation, Number, Side, Term
from potash.equations.errors import NoHalfEquations
from potash.equations.null_space import null_space
from potash.equations.oxidation import oxidation_numbers
from potash.formulas import Formula, parse
from potash.words import tr

_ELECTRON = parse("e-")
_HIGHEST_CHARGE = 4  # no anion of a salt carries more
_METAL_IONS = {
    **dict.fromkeys(("Li", "Na", "K", "Rb", "Cs"), 1),
    **dict.fromkeys(("Mg", "Ca", "Sr", "Ba"), 2),
    "Al": 3,
}
_SIMPLE_IONS = {
    "H": 1,
    **_METAL_IONS,
    **dict.fromkeys(("F", "Cl", "Br", "I"), -1),
    **dict.fromkeys(("O", "S"), -2),
}


def half_equations(given: str | Equation) -> tuple[Equation, Equation]:
    """The oxidation and the reduction, each balanced with free electrons and smallest numbers.

    They are balanced with the other species of the equation, with simple ions of the elements that
    keep their oxidation number (Mg + O^2- -> MgO + 2 e-, as in a melt), or with the anions of its
    salts (K + OH- -> KOH + e-). Multiplied up to the same number of electrons, the two add up to
    the equation. A compound of which one half makes the cation and the other the anion
    (2 Na + Cl2 -> 2 NaCl) is counted as its ions.

    Raises: NoHalfEquations, if nothing is oxidised or no such pair adds up to the equation: then
    write it with ions; NoOxidationNumber, CannotBalance, BadEquation or BadFormula.
    """
    equation = balanced(given)
    if any(term.formula.is_electron for term in equation.terms):
        raise NoHalfEquations(tr("{equation} is a half-equation already.", equation=equation))
    moves = moves_of(equation)
    if not any(move.change for move in moves):
        raise NoHalfEquations(tr("In {equation} no oxidation number changes.", equation=equation))
    ionic = _with_shared_compounds_as_ions(equation, moves)
    oxidation = [move for move in moves_of(ionic) if move.change > 0]
    reduction = [move for move in moves_of(ionic) if move.change < 0]
    for helpers in _helpers(ionic, oxidation + reduction):
        halves = _half(oxidation, helpers), _half(reduction, helpers)
        if halves[0] and halves[1] and _add_up(halves[0], halves[1], ionic):
            return halves[0], halves[1]
    raise NoHalfEquations(
        tr(
            "{equation} does not part into one oxidation and one reduction. Write it with the "
            "ions that take part, such as MnO4-, H+ or OH-, and without those that do not.",
            equation=equation,
        )
    )


def _with_shared_compounds_as_ions(equation: Equation, moves: Sequence[Move]) -> Equation:
    """The equation with the compounds in which both halves meet by different elements, as ions."""
    raised, lowered = _meetings(moves, 1), _meetings(moves, -1)
    shared = {
        formula for formula in raised.keys() & lowered.keys() if raised[formula] != lowered[formula]
    }
    terms: list[Term] = []
    for term in equation.terms:
        terms += _as_ions(term) if term.formula in shared else [term]
    return Equation(tuple(terms))


def _meetings(moves: Sequence[Move], sign: int) -> dict[Formula, set[str]]:
    """For each species, the elements that are raised in it (or lowered, for a sign of -1)."""
    found: dict[Formula, set[str]] = {}
    for move in moves:
        if move.change * sign > 0:
            found.setdefault(move.source, set()).add(move.element)
            found.setdefault(move.target, set()).add(move.element)
    return found


def _as_ions(term: Term) -> Iterator[Term]:
    numbers = oxidation_numbers(term.formula)
    if all(_is_simple(element, number) for element, number in numbers.items()):
        for element, number in numbers.items():
            coefficient = term.coefficient * term.formula.elements[element]
            yield Term(coefficient, _ion({element: 1}, int(number)), term.side)
        return
    anion = _anion(term.formula)
    if anion is None:
        raise NoHalfEquations(
            tr(
                "Oxidation and reduction meet in {term}, which is no salt of simple ions, so that "
                "half-equations do not part them.",
                term=term.formula,
            )
        )
    for element, charge in _METAL_IONS.items():
        if element in term.formula.elements:
            coefficient = term.coefficient * term.formula.elements[element]
            yield Term(coefficient, _ion({element: 1}, charge), term.side)
    share = _atoms_beside_metals(term.formula)
    factor = sum(share.values()) // sum(map(int, anion.elements.values()))
    yield Term(term.coefficient * factor, anion, term.side)


def _is_simple(element: str, number: Number) -> bool:
    return _SIMPLE_IONS.get(element, number if number in (1, 2, 3) else 0) == number


def _anion(formula: Formula) -> Formula | None:
    """The anion of a salt, hydroxide or alkoxide of a metal, or of an acid written H... first."""
    rest = _atoms_beside_metals(formula)
    charge = sum(
        int(formula.elements[metal]) * number
        for metal, number in _METAL_IONS.items()
        if metal in formula.elements
    )
    if not charge and formula.text.startswith("H") and "O" not in list(rest)[:2]:
        charge = rest.pop("H", 0)
    if formula.charge or not (rest and charge):
        return None
    # K2C2O4 holds one C2O4^2-, but Mg(OH)2 two OH-: only metals of higher charge share anions out.
    univalent = any(formula.elements.get(metal) == charge for metal in _METAL_IONS)
    factor = 1 if univalent else gcd(charge, *rest.values())
    if charge // factor > _HIGHEST_CHARGE:
        return None
    return _ion({element: atoms // factor for element, atoms in rest.items()}, -charge // factor)


def _atoms_beside_metals(formula: Formula) -> dict[str, int]:
    elements = formula.elements.items()
    return {element: int(atoms) for element, atoms in elements if element not in _METAL_IONS}


def _ion(atoms: Mapping[str, int], charge: int) -> Formula:
    body = "".join(f"{element}{count if count > 1 else ''}" for element, count in atoms.items())
    return parse(f"{body}^{abs(charge)}{'+' if charge > 0 else '-'}")


def _helpers(equation: Equation, moves: Sequence[Move]) -> Iterator[list[Formula]]:
    """Sets of species with which the halves may be balanced, to be tried in turn."""
    moving = {formula for move in moves for formula in (move.source, move.target)}
    bystanders = [term.formula for term in equation.terms if term.formula not in moving]
    numbers: dict[str, set[Number]] = {}
    for term in equation.terms:
        for element, number in oxidation_numbers(term.formula).items():
            numbers.setdefault(element, set()).add(number)
    unchanged = {e: ion for e, ion in _SIMPLE_IONS.items() if numbers.get(e) == {ion}}
    present = {e: ion for e, ion in _SIMPLE_IONS.items() if ion in numbers.get(e, ())}
    anions = [anion for term in equation.terms if (anion := _anion(term.formula))]
    unchanged_ions = [_ion({element: 1}, charge) for element, charge in unchanged.items()]
    yield bystanders
    yield unchanged_ions
    yield [*bystanders, *anions]
    for ion in unchanged_ions:
        yield [*bystanders, ion]
    yield [_ion({element: 1}, charge) for element, charge in present.items()]


def _half(moves: Sequence[Move], helpers: Sequence[Formula]) -> Equation | None:
    """The half-equation of these moves, or None if it cannot be balanced or not in one way."""
    sides: dict[Formula, Side | None] = {move.source: "left" for move in moves}
    sides.update({move.target: "right" for move in moves})
    for formula in (*helpers, _ELECTRON):
        sides.setdefault(formula, None)
    species = [Species(formula, side) for formula, side in sides.items()]
    solutions = null_space(composition_matrix(species))
    if len(solutions) != 1:
        return None
    numbers = solutions[0] if solutions[0][0] > 0 else [-number for number in solutions[0]]
    placed = zip(species, numbers, strict=True)
    if any(each.side and (number > 0) != (each.side == "left") for each, number in placed):
        return None
    return Equation(equation_of(species, numbers).terms)


def _add_up(oxidation: Equation, reduction: Equation, equation: Equation) -> bool:
    """Whether the halves give the equation, and pass the electrons that are counted in it."""
    lost, gained = (half.coefficients.get("e-", 0) for half in (oxidation, reduction))
    if not lost > 0 > gained:
        return False
    electrons = lcm(int(lost), int(gained))
    total: Counter[str] = Counter()
    for half, share in ((oxidation, electrons // lost), (reduction, -electrons // gained)):
        total.update({text: int(number * share) for text, number in half.coefficients.items()})
    multiple = Fraction(electrons, electrons_transferred(equation))
    found = {text: number for text, number in total.items() if number}
    return found == {text: multiple * number for text, number in equation.coefficients.items()}
