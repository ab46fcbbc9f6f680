"""A next step for somebody who balances an equation by hand."""

from math import gcd, lcm

from potash.equations.equation import CHARGE, Equation
from potash.words import tr


def hint(equation: Equation) -> str:
    """One sentence on what to look at next, without giving a coefficient away.

    It points to the element that is off and stands in the fewest species, because its coefficients
    are settled first; then to the charge; then to a common factor.
    """
    off = {e: counts for e, counts in equation.atom_counts().items() if counts[0] != counts[1]}
    if not off:
        return _about_common_factor(equation)
    species = {element: _species_with(equation, element) for element in off}
    element = min(off, key=lambda each: (each == CHARGE, len(species[each])))
    left, right = off[element]
    if element == CHARGE:
        return tr(
            "The atoms are balanced; the charge is {left} on the left, {right} on the right.",
            left=left,
            right=right,
        )
    return tr(
        "{element}: {left} on the left, {right} on the right. It stands in {species}.",
        element=element,
        left=left,
        right=right,
        species=tr(" and ").join(species[element]),
    )


def _species_with(equation: Equation, element: str) -> list[str]:
    formulas = [term.formula for term in equation.terms]
    return list(dict.fromkeys(f.text for f in formulas if element in f.elements))


def _about_common_factor(equation: Equation) -> str:
    if equation.is_smallest:
        return tr("It is balanced, with the smallest whole numbers.")
    numbers = [term.coefficient for term in equation.terms]
    denominator = lcm(*(number.denominator for number in numbers))
    if denominator > 1:
        return tr(
            "It is balanced; multiply all coefficients by {denominator} for whole numbers.",
            denominator=denominator,
        )
    factor = gcd(*map(int, numbers))
    return tr("It is balanced; all coefficients can still be divided by {factor}.", factor=factor)
