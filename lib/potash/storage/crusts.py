"""What grows on each metal, and whether it protects: Pilling-Bedworth ratios from densities."""

from dataclasses import dataclass
from functools import cache

from potash.formulas import lowered, molar_mass, parse
from potash.hazards import Caution
from potash.properties.metals import metal as metal_named
from potash.properties.solids import solid
from potash.words import tr
from potash.words.tables import read_csv


@dataclass(frozen=True, slots=True)
class Crust:
    """One product on one metal. reacts_with: the part of air that makes it."""

    metal: str
    product: str
    equation: str
    colour: str
    reacts_with: str
    source: str

    @property
    def is_superoxide(self) -> bool:
        """Whether it holds one metal atom to two of oxygen."""
        elements = parse(self.product).elements
        return elements.get("O") == 2 and elements.get(self.metal) == 1

    @property
    def volume_ratio(self) -> float:
        """Its Pilling-Bedworth ratio."""
        return pilling_bedworth(self.metal, self.product)


def pilling_bedworth(metal: str, product: str) -> float:
    r"""Volume of the product over that of the metal it was made from.

    .. math:: R_{PB} = \frac{M_{product}}{\rho_{product}} \cdot \frac{\rho_{metal}}{n M_{metal}}

    with n atoms of metal in the formula of the product. Below 1 the crust cannot cover the metal
    and does not protect it.
    Raises: NoTrustedValue, if a density is not held.
    Source: Pilling and Bedworth, J. Inst. Met. 29 (1923) 529.
    """
    atoms = float(parse(product).elements[metal])
    made = _molar_mass(product) / solid(product).density
    used = atoms * _molar_mass(metal) / solid(metal).density
    return made / used


@cache
def crusts(metal: str) -> tuple[Crust, ...]:
    """What grows on ``metal`` in air, the one that oxygen leads to first."""
    symbol = metal_named(metal).symbol
    return tuple(crust for crust in _all() if crust.metal == symbol)


def forms_superoxide(metal: str) -> bool:
    """Whether superoxide can form on ``metal``: potassium, rubidium and caesium."""
    return any(crust.is_superoxide for crust in crusts(metal))


def superoxide_caution(metal: str) -> Caution | None:
    """The shock warning, wherever superoxide can form; None elsewhere."""
    found = next((crust for crust in crusts(metal) if crust.is_superoxide), None)
    if found is None:
        return None
    name = tr(metal_named(metal).name)
    return Caution(
        "superoxide-crust",
        tr("A {colour} crust on {name} can explode", colour=found.colour, name=name),
        tr(
            "{product} under a knife meets {name} and oil; a cut, a knock or a scrape can be "
            "enough.",
            product=lowered(found.product),
            name=name,
        ),
        tr(
            "Do not cut, scrape, open or move it. Keep others away and call whoever is "
            "responsible for it."
        ),
        tr(
            "National Research Council, Prudent Practices in the Laboratory (1995), summary of "
            "potassium"
        ),
    )


def _molar_mass(formula: str) -> float:
    return float(molar_mass(formula).m_as("kg/mol"))


@cache
def _all() -> tuple[Crust, ...]:
    return tuple(Crust(**row) for row in read_csv("storage/data/crusts.csv"))
