"""A chemical equation with its coefficients, balanced or not."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import gcd, lcm
from typing import Literal

from potash.equations.errors import BadEquation
from potash.formulas import Formula, lowered
from potash.words import tr

Side = Literal["left", "right"]
Number = int | Fraction

CHARGE = "charge"
"""Key under which the charge is counted beside the elements."""


@dataclass(frozen=True, slots=True)
class Term:
    """One species in an equation: a positive coefficient, its formula and its side."""

    coefficient: Number
    formula: Formula
    side: Side

    def __str__(self) -> str:
        return self.formula.text if self.coefficient == 1 else f"{self.coefficient} {self.formula}"

    @property
    def html(self) -> str:
        """The term with subscripts and superscripts, as a safe piece of HTML."""
        shown = self.formula.html
        return shown if self.coefficient == 1 else f"{self.coefficient}\u00a0{shown}"


@dataclass(frozen=True, slots=True)
class Equation:
    """Reactants and products with their coefficients, in the order typed.

    terms: reactants first.
    spectators: species that were typed on both sides and take no part, so that they were left out.
    """

    terms: tuple[Term, ...]
    spectators: tuple[Formula, ...] = ()

    @property
    def left(self) -> tuple[Term, ...]:
        """The reactants."""
        return tuple(term for term in self.terms if term.side == "left")

    @property
    def right(self) -> tuple[Term, ...]:
        """The products."""
        return tuple(term for term in self.terms if term.side == "right")

    @property
    def coefficients(self) -> dict[str, Number]:
        """Stoichiometric number by formula: negative for reactants, as in {'KOH': -2, 'K': 2}."""
        net: dict[str, Number] = {}
        for term in self.terms:
            signed = -term.coefficient if term.side == "left" else term.coefficient
            net[term.formula.text] = net.get(term.formula.text, 0) + signed
        return {text: whole(number) for text, number in net.items() if number}

    def atom_counts(self) -> dict[str, tuple[Number, Number]]:
        """Atoms of each element on the left and on the right, and the charge where there is any."""
        counts: dict[str, list[Number]] = {}
        for term in self.terms:
            column = 0 if term.side == "left" else 1
            for element, atoms in composition(term.formula).items():
                counts.setdefault(element, [0, 0])[column] += term.coefficient * atoms
        if CHARGE in counts:
            counts[CHARGE] = counts.pop(CHARGE)
        return {element: (whole(left), whole(right)) for element, (left, right) in counts.items()}

    @property
    def is_balanced(self) -> bool:
        """Whether each element and the charge count the same on both sides."""
        return all(left == right for left, right in self.atom_counts().values())

    @property
    def is_smallest(self) -> bool:
        """Whether the coefficients are whole numbers without a common factor."""
        numbers = [term.coefficient for term in self.terms]
        return numbers == smallest_whole_numbers(numbers)

    def with_coefficients(self, coefficients: Iterable[Number]) -> "Equation":
        """The same equation with other coefficients, one a term in order; for a student's own try.

        Raises: BadEquation, if their number is not that of the terms or one is not positive.
        """
        given = list(coefficients)
        if len(given) != len(self.terms) or any(number <= 0 for number in given):
            raise BadEquation(
                tr(
                    "{equation} needs {number} positive coefficients, not {given}.",
                    equation=self,
                    number=len(self.terms),
                    given=given,
                )
            )
        pairs = zip(given, self.terms, strict=True)
        terms = (Term(whole(number), term.formula, term.side) for number, term in pairs)
        return Equation(tuple(terms), self.spectators)

    @property
    def html(self) -> str:
        """The equation with subscripts, superscripts and an arrow, as a safe piece of HTML."""
        left, right = ([term.html for term in side] for side in (self.left, self.right))
        return f"{' + '.join(left)} → {' + '.join(right)}"

    @property
    def shown(self) -> str:
        """The equation as plain text with subscripts and an arrow: "2 Na + Cl₂ → 2 NaCl"."""
        return lowered(str(self)).replace("->", "→")

    def _repr_html_(self) -> str:
        return self.html

    def __str__(self) -> str:
        return f"{' + '.join(map(str, self.left))} -> {' + '.join(map(str, self.right))}"


def composition(formula: Formula) -> Mapping[str, Number]:
    """Atoms of each element in ``formula``, and its charge among them where there is any."""
    return {**formula.elements, CHARGE: formula.charge} if formula.charge else formula.elements


def smallest_whole_numbers(numbers: Sequence[Number]) -> list[int]:
    """``numbers`` in the same proportion, whole and without a common factor."""
    scale = lcm(*(number.denominator for number in numbers))
    wholes = [int(number * scale) for number in numbers]
    factor = gcd(*wholes) or 1
    return [number // factor for number in wholes]


def whole(number: Number) -> Number:
    """``number`` as an int where it is one."""
    return int(number) if number.denominator == 1 else number
