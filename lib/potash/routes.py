"""Routes to an alkali metal: which compound, which reductant, and the equation they give."""

from collections.abc import Mapping
from dataclasses import dataclass

from potash.errors import PotashError
from potash.reactions import Reaction, balance

METALS: Mapping[str, str] = {
    "Li": "lithium",
    "Na": "sodium",
    "K": "potassium",
    "Rb": "rubidium",
    "Cs": "caesium",
}
"""The alkali metals of the workbook, by symbol."""

SOURCES: tuple[str, ...] = ("hydroxide", "chloride")
"""The compounds that bring the metal."""


@dataclass(frozen=True, slots=True)
class Reductant:
    """What a reductant is called, and what it becomes with a hydroxide and with a chloride.

    The product with a hydroxide is an oxide and hydrogen; sodium takes the whole hydroxide group.
    """

    name: str
    oxide: str
    chloride: str
    releases_hydrogen: bool = True


REDUCTANTS: Mapping[str, Reductant] = {
    "Mg": Reductant("magnesium", "MgO", "MgCl2"),
    "Ca": Reductant("calcium", "CaO", "CaCl2"),
    "Al": Reductant("aluminium", "Al2O3", "AlCl3"),
    "Na": Reductant("sodium", "NaOH", "NaCl", releases_hydrogen=False),
}
"""The reductants of the workbook, by symbol.

Source: Greenwood and Earnshaw, Chemistry of the Elements, 2nd ed. (1997), chapters 4, 5 and 7, from
memory.
"""


class NoSuchRoute(PotashError):
    """A route that the workbook does not have, or that leads nowhere."""


def reduction(metal: str, source: str, reductant: str) -> Reaction:
    """The balanced reduction of a metal's hydroxide or chloride.

    Parameters: metal, one of ``METALS``; source, one of ``SOURCES``; reductant, one of
    ``REDUCTANTS``.
    Raises: NoSuchRoute, if one is unknown, or reductant and metal are the same element.
    """
    for given, known in ((metal, METALS), (source, SOURCES), (reductant, REDUCTANTS)):
        if given not in known:
            raise NoSuchRoute(f"{given!r} is not one of {', '.join(known)}.")
    if metal == reductant:
        raise NoSuchRoute(
            f"{METALS[metal].capitalize()} cannot reduce its own {source}: the same substances "
            "would stand on both sides. Choose another reductant."
        )
    return balance(_skeleton(metal, source, REDUCTANTS[reductant], reductant))


def _skeleton(metal: str, source: str, reductant: Reductant, symbol: str) -> str:
    if source == "chloride":
        return f"{metal}Cl + {symbol} -> {metal} + {reductant.chloride}"
    gas = " + H2" if reductant.releases_hydrogen else ""
    return f"{metal}OH + {symbol} -> {metal} + {reductant.oxide}{gas}"
