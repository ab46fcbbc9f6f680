"""What a liquid is screened for: metal, temperature, the way of working, and what matters."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from potash.errors import PotashError
from potash.properties.metals import Metal, in_celsius, metal
from potash.solvents.rulebook import require_rules
from potash.units import magnitude
from potash.words import later, tr

OPERATIONS = (later("refluxing"), later("open"), later("closed"))
BEADS = (later("should rise"), later("must rise"), later("may sink"))


class UnknownChoice(PotashError):
    """A way of working or a wish for the beads that does not exist."""


@dataclass(frozen=True, slots=True)
class Conditions:
    """One question to all liquids.

    metal: the melt. temperature: K. operation: one of OPERATIONS. beads: one of BEADS, whether a
    liquid in which the metal sinks is let pass, with care or not at all. without: rules switched
    off. water: mass fraction in the liquid as poured. volume: m3 poured. estimates: whether
    estimated values may fill gaps.
    """

    metal: Metal
    temperature: float
    operation: str
    beads: str
    without: frozenset[str]
    water: float
    volume: float
    estimates: bool

    def __str__(self) -> str:
        gaps = tr(", gaps filled with estimates") if self.estimates else ""
        return tr(
            "{metal} at {temperature}, {operation}, beads {beads}{gaps}",
            metal=tr(self.metal.name),
            temperature=in_celsius(self.temperature),
            operation=tr(self.operation),
            beads=tr(self.beads),
            gaps=gaps,
        )


def conditions(
    metal_name: str,
    temperature: Any,
    *,
    operation: str = "refluxing",
    beads: str = "should rise",
    without: Iterable[str] = (),
    water: Any = "200 ppm",
    volume: Any = "100 mL",
    estimates: bool = False,
) -> Conditions:
    """The question, checked.

    Parameters: as in ``screen_solvents``.
    Raises: UnknownMetal, SolidMetal or OutOfRange, for the metal; UnknownChoice; UnknownRule;
    the errors of ``quantity``, for text that is no temperature, fraction or volume.
    """
    melt = metal(metal_name)
    T = float(magnitude("temperature", temperature, "K", above=0))
    melt.require_molten(T)
    _require_one_of("operation", operation, OPERATIONS)
    _require_one_of("beads", beads, BEADS)
    return Conditions(
        melt,
        T,
        operation,
        beads,
        require_rules(without),
        float(magnitude("water", water, "", at_least=0, at_most=1)),
        float(magnitude("volume", volume, "m^3", above=0)),
        estimates,
    )


def _require_one_of(name: str, given: str, choices: tuple[str, ...]) -> None:
    if given not in choices:
        shown = str(given)[:40]
        raise UnknownChoice(
            tr(
                '{name} is given as "{shown}"; write one of: {choices}.',
                name=name,
                shown=shown,
                choices=", ".join(choices),
            )
        )
