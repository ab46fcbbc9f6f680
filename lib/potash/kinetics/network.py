"""The reactions of the catalysed hydroxide route as a table that conserves every element.

Species are named by the part they play, so that one table serves every alkali metal and every
alcohol. All are written without charge. The run is followed by the extents of these reactions:
amounts are the charge plus stoichiometry times extent, so no step of an integrator can make or
lose an atom.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

SPECIES = (
    "hydroxide",
    "bound water",
    "water",
    "reductant",
    "alcohol",
    "alkoxide",
    "reductant alkoxide",
    "metal",
    "crust",
    "oxide",
    "hydrogen",
    "impurity",
    "bound alcohol",
    "bound alkoxide",
    "spent alkoxide",
    "fouled reductant",
)
"""Parts that substances play, in the order of every array of amounts."""

REACTIONS: Mapping[str, Mapping[str, int]] = {
    "drying": {"bound water": -1, "water": 1},
    "alkoxide formation": {"alcohol": -1, "hydroxide": -1, "alkoxide": 1, "water": 1},
    "reduction": {"alkoxide": -2, "reductant": -1, "reductant alkoxide": 1, "metal": 2},
    "regeneration": {
        "reductant alkoxide": -1, "hydroxide": -2, "alkoxide": 2, "oxide": 1, "water": 1,
    },
    "scavenging": {"water": -1, "reductant": -1, "oxide": 1, "hydrogen": 1},
    "activation": {"alcohol": -2, "reductant": -1, "reductant alkoxide": 1, "hydrogen": 1},
    "alcohol binding": {"alcohol": -1, "impurity": -1, "bound alcohol": 1},
    "alkoxide binding": {"alkoxide": -1, "impurity": -1, "bound alkoxide": 1},
    "spending": {"alkoxide": -1, "spent alkoxide": 1},
    "clumping": {"alkoxide": -2, "spent alkoxide": 2},
    "impurity clearing": {"impurity": -1, "reductant": -1, "fouled reductant": 1},
    "metal and water": {"metal": -2, "water": -2, "hydroxide": 2, "hydrogen": 1},
    "metal and alcohol": {"metal": -2, "alcohol": -2, "alkoxide": 2, "hydrogen": 1},
    "tarnishing": {"metal": -2, "hydroxide": -2, "crust": 2, "hydrogen": 1},
    "cleaning": {"crust": -1, "alcohol": -1, "alkoxide": 1, "hydroxide": 1},
}  # fmt: skip
"""Each reaction as species and signed coefficients; the order is that of the extents."""

INDEX = {name: place for place, name in enumerate(SPECIES)}
"""Where each species stands in an array of amounts."""

REACTION_INDEX = {name: place for place, name in enumerate(REACTIONS)}
"""Where each reaction stands in an array of extents or rates."""


def stoichiometry() -> NDArray[np.float64]:
    """Coefficients, shape (species, reactions): ``amounts = charge + stoichiometry @ extents``."""
    matrix = np.zeros((len(SPECIES), len(REACTIONS)))
    for column, coefficients in enumerate(REACTIONS.values()):
        for name, number in coefficients.items():
            matrix[INDEX[name], column] = number
    return matrix


@dataclass(frozen=True, slots=True)
class Composition:
    """What each species is made of, for one metal, one reductant and one alcohol.

    elements: symbols; "Z" stands for the unknown impurity of the liquid, "charge" for its charge.
    matrix: atoms a formula unit, shape (elements, species).
    formulas: a formula for each species, as people write it.
    """

    elements: tuple[str, ...]
    matrix: NDArray[np.float64]
    formulas: Mapping[str, str]

    def totals(self, amounts: NDArray[np.float64]) -> NDArray[np.float64]:
        """Amount of each element (mol), shape (elements, ...), in ``amounts``, (species, ...)."""
        return np.asarray(self.matrix @ amounts)


def composition(metal: str, alcohol: str, reductant: str = "Mg") -> Composition:
    """The species of the route, written out for ``metal``, ``reductant`` and an alcohol's formula.

    Raises: BadFormula, if ``alcohol`` is no formula.
    """
    from potash.formulas import parse

    rest = {symbol: Fraction(count) for symbol, count in parse(alcohol).elements.items()}
    made_of = _made_of(metal, reductant, rest)
    symbols = tuple(dict.fromkeys(symbol for parts in made_of.values() for symbol in parts))
    rows = [[float(made_of[name].get(symbol, 0)) for name in SPECIES] for symbol in symbols]
    # Every species is neutral; the row stands there so that charge is checked like an element.
    matrix = np.array([*rows, [0.0] * len(SPECIES)])
    formulas = {name: _written(made_of[name]) for name in SPECIES}
    return Composition((*symbols, "charge"), matrix, formulas)


def _made_of(
    metal: str, reductant: str, alcohol: Mapping[str, Fraction]
) -> Mapping[str, Mapping[str, Fraction]]:
    one = Fraction(1)
    hydroxide = {metal: one, "O": one, "H": one}
    water = {"H": 2 * one, "O": one}
    alkoxide = _sum([alcohol, {metal: one}, {"H": -one}])
    return {
        "hydroxide": hydroxide,
        "bound water": water,
        "water": water,
        "reductant": {reductant: one},
        "alcohol": alcohol,
        "alkoxide": alkoxide,
        "reductant alkoxide": _sum([{reductant: one}, alcohol, alcohol, {"H": -2 * one}]),
        "metal": {metal: one},
        "crust": {metal: 2 * one, "O": one},
        "oxide": {reductant: one, "O": one},
        "hydrogen": {"H": 2 * one},
        "impurity": {"Z": one},
        "bound alcohol": _sum([alcohol, {"Z": one}]),
        "bound alkoxide": _sum([alkoxide, {"Z": one}]),
        "spent alkoxide": alkoxide,
        "fouled reductant": {reductant: one, "Z": one},
    }


def _sum(parts: Sequence[Mapping[str, Fraction]]) -> Mapping[str, Fraction]:
    total: dict[str, Fraction] = {}
    for part in parts:
        for symbol, count in part.items():
            total[symbol] = total.get(symbol, Fraction(0)) + count
    return {symbol: count for symbol, count in total.items() if count}


def _written(parts: Mapping[str, Fraction]) -> str:
    return "".join(f"{symbol}{'' if count == 1 else count}" for symbol, count in parts.items())
