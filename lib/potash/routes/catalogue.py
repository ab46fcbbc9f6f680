"""Which compound brings the metal, which reductant takes its partner, and the equation."""

from collections.abc import Mapping
from dataclasses import dataclass

from potash.errors import PotashError
from potash.reactions import Reaction, balance
from potash.words import later, tr

METALS: Mapping[str, str] = {
    "Li": tr("lithium"),
    "Na": tr("sodium"),
    "K": tr("potassium"),
    "Rb": tr("rubidium"),
    "Cs": tr("caesium"),
}
"""The alkali metals of the workbook, by symbol."""

SOURCES: tuple[str, ...] = (
    later("hydroxide"), later("chloride"), later("fluoride"), later("oxide"), later("carbonate"),
)  # fmt: skip
"""The compounds that bring the metal."""


@dataclass(frozen=True, slots=True)
class Reductant:
    """What a reductant is called, and what it becomes with each kind of compound.

    chloride, fluoride: None where it forms none that would last in the heat.
    takes_groups: whether it takes hydroxide and carbonate groups whole, as sodium does; all others
    take the oxygen and leave hydrogen or carbon.
    """

    name: str
    oxide: str
    chloride: str | None
    fluoride: str | None
    takes_groups: bool = False


REDUCTANTS: Mapping[str, Reductant] = {
    "Mg": Reductant(tr("magnesium"), "MgO", "MgCl2", "MgF2"),
    "Ca": Reductant(tr("calcium"), "CaO", "CaCl2", "CaF2"),
    "Al": Reductant(tr("aluminium"), "Al2O3", "AlCl3", "AlF3"),
    "Na": Reductant(tr("sodium"), "Na2O", "NaCl", "NaF", takes_groups=True),
    "Si": Reductant(tr("silicon"), "SiO2", "SiCl4", "SiF4"),
    "C": Reductant(tr("carbon"), "CO", None, None),
    "Fe": Reductant(tr("iron"), "Fe3O4", "FeCl2", None),
}
"""The reductants of the workbook, by symbol.

Source: Greenwood and Earnshaw, Chemistry of the Elements, 2nd ed. (1997), chapters 4, 5, 7, 8, 9
and 25, from memory. With alkali oxides about, alumina and silica go on to aluminates and silicates,
which runs further downhill than the plain oxides written here.
"""


class NoSuchRoute(PotashError):
    """A route that the workbook does not have, or that leads nowhere."""


def reduction(metal: str, source: str, reductant: str) -> Reaction:
    """The balanced reduction of a compound of a metal.

    Parameters: metal, one of ``METALS``; source, one of ``SOURCES``; reductant, one of
    ``REDUCTANTS``.
    Raises: NoSuchRoute, if one is unknown, reductant and metal are the same element, or the
    reductant forms no product with such a compound.
    """
    for given, known in ((metal, METALS), (source, SOURCES), (reductant, REDUCTANTS)):
        if given not in known:
            raise NoSuchRoute(
                tr("{given!r} is not one of {known}.", given=given, known=", ".join(known))
            )
    if metal == reductant:
        raise NoSuchRoute(
            tr(
                "{metal} cannot reduce its own {source}: the same substances would stand on both "
                "sides. Choose another reductant.",
                metal=METALS[metal].capitalize(),
                source=source,
            )
        )
    return balance(_skeleton(metal, source, reductant))


def _skeleton(metal: str, source: str, symbol: str) -> str:
    reductant = REDUCTANTS[symbol]
    match source:
        case "chloride" | "fluoride":
            taken = reductant.chloride if source == "chloride" else reductant.fluoride
            if taken is None:
                raise NoSuchRoute(
                    tr(
                        "{reductant} forms no {source} that would last in the heat of such a "
                        "route, so it takes nothing from a {source}.",
                        reductant=reductant.name.capitalize(),
                        source=source,
                    )
                )
            anion = "Cl" if source == "chloride" else "F"
            return f"{metal}{anion} + {symbol} -> {metal} + {taken}"
        case "oxide":
            return f"{metal}2O + {symbol} -> {metal} + {reductant.oxide}"
        case "carbonate":
            return _carbonate(metal, symbol, reductant)
    if reductant.takes_groups:
        return f"{metal}OH + {symbol} -> {metal} + {symbol}OH"
    return f"{metal}OH + {symbol} -> {metal} + {reductant.oxide} + H2"


def _carbonate(metal: str, symbol: str, reductant: Reductant) -> str:
    if reductant.takes_groups:
        return f"{metal}2CO3 + {symbol} -> {metal} + {symbol}2CO3"
    carbon = "" if symbol == "C" else " + C"
    return f"{metal}2CO3 + {symbol} -> {metal} + {reductant.oxide}{carbon}"
