"""Chemical formulas as people type them, and molar masses."""

from potash.formulas.errors import BadFormula, NoAtomicWeight
from potash.formulas.formula import (
    ELECTRON_RELATIVE_MASS,
    SUBSCRIPTS,
    Formula,
    atomic_weights,
    lowered,
)
from potash.formulas.grammar import parse
from potash.units import Quantity


def molar_mass(text: str) -> Quantity:
    """Molar mass of the species that ``text`` is the formula of (g/mol).

    Raises: BadFormula, with the position of the mistake; NoAtomicWeight, for Tc and its like.
    Source: CIAAW abridged standard atomic weights 2021, as carried by ``periodictable``.
    """
    return parse(text).molar_mass


__all__ = [
    "ELECTRON_RELATIVE_MASS",
    "SUBSCRIPTS",
    "BadFormula",
    "Formula",
    "NoAtomicWeight",
    "atomic_weights",
    "lowered",
    "molar_mass",
    "parse",
]
