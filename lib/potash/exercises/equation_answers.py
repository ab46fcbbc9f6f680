"""Judging a typed equation against the balanced one."""

from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache
from typing import Final

from potash import equations, formulas
from potash.errors import PotashError
from potash.exercises.outcomes import Finding, Outcome
from potash.words import tr

_RIGHT: Final = Finding(Outcome.CORRECT, tr("Right: balanced, in the smallest whole numbers."))
_BACKWARDS: Final = Finding(
    Outcome.KNOWN_SLIP,
    tr("Balanced, but written backwards: what is used up stands on the left."),
    "written backwards",
)
_MAX_LENGTH: Final = 500

# A species whatever its spelling or phase label: its atoms and its charge.
_Species = tuple[frozenset[tuple[str, Fraction]], int]


def judge_equation(unbalanced: str, typed: str) -> Finding:
    """What ``typed`` makes of the reaction whose species ``unbalanced`` names.

    The species and the ratio of coefficients decide; order, spelling of a formula and phase labels
    do not. Nothing here raises: an equation that cannot be read is a finding.
    """
    if len(typed) > _MAX_LENGTH:
        return Finding(
            Outcome.UNREADABLE,
            tr("An equation of {number} characters is not read.", number=len(typed)),
        )
    try:
        equation = equations.read(typed)
        given = _net(equation.coefficients)
    except PotashError as reason:
        return Finding(Outcome.UNREADABLE, str(reason))
    key = balanced(unbalanced)
    if set(given) != set(key):
        return Finding(Outcome.WRONG, _other_species(equation.coefficients, given, key))
    ratios = {given[species] / key[species] for species in key}
    if len(ratios) > 1:
        return Finding(Outcome.WRONG, _unbalanced(equation))
    return _judge_ratio(ratios.pop())


@lru_cache(1024)
def balanced(unbalanced: str) -> Mapping[_Species, Fraction]:
    """The net coefficients of the balanced equation, negative for what is used up.

    Raises: potash.equations.CannotBalance.
    """
    return _net(equations.balance(unbalanced).coefficients)


def _judge_ratio(ratio: Fraction) -> Finding:
    if ratio == 1:
        return _RIGHT
    if ratio == -1:
        return _BACKWARDS
    if ratio < 0:
        return Finding(
            _BACKWARDS.outcome, f"{_BACKWARDS.says} {_multiple(-ratio)}", _BACKWARDS.slip
        )
    return Finding(Outcome.KNOWN_SLIP, _multiple(ratio), "multiple of the equation")


def _multiple(ratio: Fraction) -> str:
    return tr(
        "Balanced, but every coefficient is {ratio} times that of the equation in the smallest "
        "whole numbers.",
        ratio=ratio,
    )


def _net(coefficients: Mapping[str, int | Fraction]) -> dict[_Species, Fraction]:
    net: dict[_Species, Fraction] = {}
    for text, coefficient in coefficients.items():
        species = _species(text)
        net[species] = net.get(species, Fraction(0)) + coefficient
    return {species: number for species, number in net.items() if number}


@lru_cache(4096)
def _species(text: str) -> _Species:
    formula = formulas.parse(text)
    atoms = frozenset((symbol, Fraction(count)) for symbol, count in formula.elements.items())
    return atoms, formula.charge


def _other_species(
    typed: Mapping[str, int | Fraction],
    given: Mapping[_Species, Fraction],
    key: Mapping[_Species, Fraction],
) -> str:
    strange = [text for text in typed if _species(text) in given.keys() - key.keys()]
    if strange:
        return tr(
            "{strange} does not belong into this equation.", strange=tr(" and ").join(strange)
        )
    return tr("A substance that takes part is missing, or stands in equal amounts on both sides.")


def _unbalanced(equation: equations.Equation) -> str:
    uneven = [
        tr(
            "{element} {left} on the left and {right} on the right",
            element=element,
            left=left,
            right=right,
        )
        for element, (left, right) in equation.atom_counts().items()
        if left != right
    ]
    if uneven:
        return tr("Not balanced: {uneven}.", uneven="; ".join(uneven))
    return tr("Atoms are balanced, but not in the ratio in which this reaction runs.")
