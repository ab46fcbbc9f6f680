"""The elements that matter to this trade: their place in the periodic table and their data."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from potash import properties
from potash.errors import PotashError
from potash.formulas import molar_mass
from potash.properties import metals, solids
from potash.units import Quantity, show
from potash.words import tr
from potash.words.tables import read_toml

ATOMIC_WEIGHTS = "IUPAC Commission on Isotopic Abundances and Atomic Weights, via periodictable"
_WORKING = Quantity(473.15, "K")


class UnknownElement(PotashError):
    """Not one of the elements that are kept here."""


@dataclass(frozen=True, slots=True)
class Fact:
    """One number of an element, as people read it, and where it comes from."""

    name: str
    value: str
    source: str


@dataclass(frozen=True, slots=True)
class Element:
    """An element, its place (period and group), its part in this trade, and what is known of it.

    species: the form it comes in, "H2" for hydrogen.
    """

    symbol: str
    period: int
    group: int
    part: str
    species: str
    says: str

    @property
    def name(self) -> str:
        """Its English name, as IUPAC spells it."""
        import periodictable

        name = str(getattr(periodictable, self.symbol).name)
        return {"cesium": "caesium", "aluminum": "aluminium"}.get(name, name)

    @property
    def number(self) -> int:
        """Its atomic number."""
        import periodictable

        return int(getattr(periodictable, self.symbol).number)

    def facts(self) -> tuple[Fact, ...]:
        """What the properties hold of it; what they do not hold is left out, never guessed."""
        return tuple(_facts(self))


def element(symbol: str) -> Element:
    """The element with that symbol.

    Raises: UnknownElement, naming those kept.
    """
    for one in elements():
        if one.symbol == symbol.strip():
            return one
    kept = ", ".join(one.symbol for one in elements())
    raise UnknownElement(
        tr('"{symbol}" is not kept here. There are: {kept}.', symbol=symbol[:20], kept=kept)
    )


@cache
def elements() -> tuple[Element, ...]:
    """The elements that matter here, by atomic number."""
    return tuple(Element(**row) for row in read_toml("lookup/elements.toml")["element"])


def _facts(one: Element) -> Iterator[Fact]:
    yield Fact(tr("Molar mass of the atoms"), _weight(one.symbol), ATOMIC_WEIGHTS)
    if one.species != one.symbol:
        yield Fact(
            tr("Molar mass of {species}", species=one.species), _weight(one.species), ATOMIC_WEIGHTS
        )
    if one.part == "alkali metal":
        yield from _melt_facts(metals.metal(one.symbol))
    else:
        yield from _transition_facts(one.species)
    yield from _solid_facts(one.symbol)


def _weight(formula: str) -> str:
    # Atomic weights differ in the figures to which they are known: none is added, none cut.
    return f"{molar_mass(formula).m_as('g/mol'):.7g}\u00a0g/mol"


def _melt_facts(metal: metals.Metal) -> Iterator[Fact]:
    yield Fact(tr("Melts at 1 bar"), metals.in_celsius(metal.melting_point_si), metal.points_source)
    yield Fact(tr("Boils at 1 bar"), metals.in_celsius(metal.boiling_point_si), metal.points_source)
    density = metal.correlations["density"]
    yield Fact(
        tr(
            "Density of the melt at {temperature}",
            temperature=metals.in_celsius(_WORKING.m_as("K")),
        ),
        show(metal.density(_WORKING).to("g/mL"), 3),
        density.source,
    )


def _transition_facts(species: str) -> Iterator[Fact]:
    words = {"melting": tr("Melts at 1 bar"), "boiling": tr("Boils at 1 bar")}
    for transition in properties.species(species).transitions:
        if transition.kind in words:
            at = metals.in_celsius(transition.temperature.m_as("K"))
            yield Fact(words[transition.kind], at, transition.source)


def _solid_facts(symbol: str) -> Iterator[Fact]:
    try:
        record = solids.solid(symbol)
    except properties.NoTrustedValue:
        return
    density = show(Quantity(record.density, "kg/m^3").to("g/mL"), 3)
    at = metals.in_celsius(record.temperature)
    yield Fact(tr("Density of the solid at {temperature}", temperature=at), density, record.source)
