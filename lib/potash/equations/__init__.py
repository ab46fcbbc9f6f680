"""Chemical equations: reading, balancing, oxidation numbers and half-equations."""

from potash.equations.balancing import balance, independent_reactions
from potash.equations.electrons import electrons_transferred
from potash.equations.equation import CHARGE, Equation, Term
from potash.equations.errors import (
    BadEquation,
    CannotBalance,
    NoHalfEquations,
    NoOxidationNumber,
)
from potash.equations.half_equations import half_equations
from potash.equations.hints import hint
from potash.equations.oxidation import oxidation_numbers
from potash.equations.reading import read

__all__ = [
    "CHARGE",
    "BadEquation",
    "CannotBalance",
    "Equation",
    "NoHalfEquations",
    "NoOxidationNumber",
    "Term",
    "balance",
    "electrons_transferred",
    "half_equations",
    "hint",
    "independent_reactions",
    "oxidation_numbers",
    "read",
]
