"""``Quench``: everything that is chosen for a quench, read from quantities and checked as such."""

from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING, Any

from potash.errors import PotashError
from potash.formulas import molar_mass
from potash.properties.liquids import liquid
from potash.properties.metals import in_celsius
from potash.properties.metals import metal as metal_named
from potash.properties.solids import solid
from potash.quenching.alcohols import WATER, Alcohol, Diluent, alcohol, diluent, teaching
from potash.quenching.pieces import piece_count, piece_radius
from potash.units import Quantity, magnitude, show
from potash.words import tr

if TYPE_CHECKING:
    from potash.preparation import Preparation


class BadQuench(PotashError):
    """A quench that cannot be simulated; the message says each reason and what would be right."""


@dataclass(frozen=True, slots=True)
class Quench:
    """A planned quench. That it can be described does not mean that it may be done.

    metal: symbol. mass: of metal (kg). piece: diameter of its pieces or beads (m).
    alcohol: name; "water" can be written down, and is then refused with its reasons.
    excess: moles of alcohol fed for each mole of metal.
    diluent: name, or None; diluent_volume (m3).
    bath: temperature of the cooling bath (K). feed: of alcohol (m3/s).
    pump: highest feed that pump or funnel can give (m3/s).
    hood: air drawn by the hood (m3/s); 0, if there is none.
    water_in_diluent: mass fraction.
    session: longest time that somebody can stay with it (s).
    decomposition: temperature at which a runaway decomposition is reckoned with (K).
    """

    metal: str
    mass: float
    piece: float
    alcohol: str
    excess: float
    diluent: str | None
    diluent_volume: float
    bath: float
    feed: float
    pump: float
    hood: float
    water_in_diluent: float
    session: float
    decomposition: float

    @classmethod
    def planned(
        cls,
        *,
        metal: str = "K",
        mass: Any = "1.0 g",
        piece: Any = "4 mm",
        alcohol: str = "2-propanol",
        excess: Any = 4.0,
        diluent: str | None = "tetralin",
        diluent_volume: Any = "100 mL",
        bath: Any = "15 °C",
        feed: Any = "0.25 mL/min",
        pump: Any = "10 mL/min",
        hood: Any | None = "0.20 m3/s",
        water_in_diluent: Any = "0 %",
        session: Any | None = None,
        decomposition: Any | None = None,
    ) -> "Quench":
        """A quench from what people type; every argument is a quantity with its unit or a name.

        Parameters: excess, a plain number of moles of alcohol a mole of metal; hood, None if
        there is none; session and decomposition, None for the workbook's teaching values.
        Raises: UnreadableQuantity, WrongDimension, OutOfBounds, UnknownMetal, UnknownAlcohol,
        UnknownDiluent.
        """
        return cls(
            metal=metal_named(metal).symbol,
            mass=magnitude("mass", mass, "kg", above=0, at_most=10),
            piece=magnitude("piece", piece, "m", above=0, at_most=1),
            alcohol=_quench_liquid(alcohol),
            excess=magnitude("excess", excess, "", above=0, at_most=1000),
            diluent=_diluent(diluent),
            diluent_volume=_volume(diluent, diluent_volume),
            bath=magnitude("bath", bath, "K", at_least=173.15, at_most=573.15),
            feed=magnitude("feed", feed, "m^3/s", above=0),
            pump=magnitude("pump", pump, "m^3/s", above=0),
            hood=0.0 if hood is None else magnitude("hood", hood, "m^3/s", at_least=0),
            water_in_diluent=magnitude(
                "water_in_diluent", water_in_diluent, "", at_least=0, at_most=0.05
            ),
            session=_or_teaching("session", session, "s"),
            decomposition=_or_teaching("decomposition", decomposition, "K"),
        )

    @classmethod
    def of(cls, preparation: "Preparation", **planned: Any) -> "Quench":
        """The quench of a preparation: all of its theoretical yield still there as metal.

        Parameters: planned, as for ``planned``; they win over what the preparation says.
        """
        sheet = preparation.charge()
        return cls.planned(
            **{"metal": preparation.metal, "mass": sheet.theoretical_yield, **planned}
        )

    def but(self, **changes: Any) -> "Quench":
        """The same quench with fields changed, in SI floats or names, as the fields hold them."""
        return replace(self, **changes)

    # ------------------------------------------------------------------ what follows from it

    @property
    def metal_amount(self) -> float:
        """Amount of metal, mol."""
        return self.mass / molar_mass_si(self.metal)

    @property
    def density(self) -> float:
        """Density of the solid metal, kg/m3."""
        return solid(self.metal).density

    @property
    def radius(self) -> float:
        """Radius of each piece, m."""
        return piece_radius(self.mass, self.piece, self.density)

    @property
    def pieces(self) -> float:
        """Number of equal pieces, at least one."""
        return piece_count(self.mass, self.piece, self.density)

    @property
    def alcohol_record(self) -> Alcohol:
        """The alcohol's record. Raises: UnknownAlcohol, for water."""
        return alcohol(self.alcohol)

    @property
    def diluent_record(self) -> Diluent | None:
        """The diluent's record, or None."""
        return diluent(self.diluent) if self.diluent else None

    @property
    def diluent_mass(self) -> float:
        """Mass of the diluent, kg."""
        if self.diluent is None:
            return 0.0
        molar = molar_mass_si(liquid(self.diluent).formula)
        return self.diluent_volume * molar / molar_volume(self.diluent)

    @property
    def alcohol_amount(self) -> float:
        """Amount of alcohol fed in all, mol."""
        return self.excess * self.metal_amount

    @property
    def alcohol_molar_volume(self) -> float:
        """Molar volume of the alcohol at 30 °C, where all of them are liquid, m3/mol."""
        return molar_volume(self.alcohol)

    @property
    def alcohol_volume(self) -> Quantity:
        """Volume of alcohol fed in all, mL."""
        return Quantity(self.alcohol_amount * self.alcohol_molar_volume * 1e6, "mL")

    @property
    def lowest_boiling(self) -> tuple[str, float]:
        """Name and boiling point (K) of whichever boils first: alcohol or diluent."""
        names = [self.alcohol, *([self.diluent] if self.diluent else [])]
        return min(((name, _boiling(name)) for name in names), key=lambda pair: pair[1])

    @property
    def hydrogen_volume(self) -> Quantity:
        """All the hydrogen, as dry ideal gas at 20 °C and 1 bar, L."""
        return Quantity(self.metal_amount / 2 * 8.314462618 * 293.15 / 1e5 * 1e3, "L")


def problems(quench: Quench) -> tuple[str, ...]:
    """Why ``quench`` cannot be simulated: each reason in figures; none, if it can."""
    checks = (_water, _no_diluent, _feed, _bath, _short)
    return tuple(found for check in checks if (found := check(quench)))


def demand_simulable(quench: Quench) -> None:
    """Let pass a quench that can be simulated. Raises: BadQuench, with every reason."""
    found = problems(quench)
    if found:
        raise BadQuench(" ".join(found))


def _water(quench: Quench) -> str | None:
    if quench.alcohol != WATER:
        return None
    return tr(
        "Water is no quench liquid: heat and hydrogen come at once, however slowly it is fed. "
        "Choose a secondary alcohol such as 2-propanol under an inert hydrocarbon."
    )


def _no_diluent(quench: Quench) -> str | None:
    limit = teaching("small_piece_limit")
    if quench.diluent is not None or quench.mass <= limit:
        return None
    return tr(
        "No diluent is given for {mass} of {metal}; more than {limit} lies under an inert "
        'hydrocarbon. Give one, such as diluent="tetralin", diluent_volume="100 mL".',
        mass=show(Quantity(quench.mass * 1000.0, "g")),
        metal=quench.metal,
        limit=show(Quantity(limit * 1000.0, "g")),
    )


def _feed(quench: Quench) -> str | None:
    if quench.feed <= quench.pump * (1 + 1e-9):
        return None
    fed, most = (_millilitres_a_minute(flow) for flow in (quench.feed, quench.pump))
    return tr(
        "The feed of {fed} is faster than the pump, which gives {most} at most.", fed=fed, most=most
    )


def _bath(quench: Quench) -> str | None:
    name, boiling = quench.lowest_boiling
    if quench.bath < boiling:
        return None
    return tr(
        "The bath at {bath} is not below the boiling point of {name}, {boiling}. Cool the bath, "
        "for instance to 10\u00a0°C.",
        bath=in_celsius(quench.bath),
        name=name,
        boiling=in_celsius(boiling),
    )


def _short(quench: Quench) -> str | None:
    if quench.excess >= 1:
        return None
    lacking = (1 - quench.excess) * quench.metal_amount
    left = (1 - quench.excess) * quench.mass
    lacking_volume = lacking * quench.alcohol_molar_volume
    return tr(
        "The alcohol is short of the metal by {lacking}, {lacking_volume} of {alcohol}: {left} of "
        "{metal} would stay unreacted. One mole of metal takes one mole of alcohol; plan several "
        "times that.",
        lacking=show(Quantity(lacking * 1000.0, "mmol")),
        lacking_volume=show(Quantity(lacking_volume * 1000000.0, "mL")),
        alcohol=quench.alcohol,
        left=show(Quantity(left * 1000.0, "g")),
        metal=quench.metal,
    )


@cache
def molar_mass_si(formula: str) -> float:
    """Molar mass, kg/mol."""
    return float(molar_mass(formula).m_as("kg/mol"))


@cache
def molar_volume(name: str) -> float:
    """Molar volume (m3/mol) of a liquid at 30 °C, or at the warmest its density is known."""
    found = liquid(name)
    record = found.record("density")
    warmest = record.valid[1] if record.valid else 303.15
    density = float(record.at(min(303.15, warmest)))
    return molar_mass_si(found.formula) / density


@cache
def _boiling(name: str) -> float:
    return float(liquid(name).boiling_point.m_as("K"))


def _quench_liquid(name: str) -> str:
    return WATER if name.strip().casefold() in (WATER, "h2o") else alcohol(name).name


def _diluent(name: str | None) -> str | None:
    return None if name is None or not name.strip() else diluent(name).name


def _volume(name: str | None, typed: Any) -> float:
    if _diluent(name) is None:
        return 0.0
    return float(magnitude("diluent_volume", typed, "m^3", above=0, at_most=0.1))


def _or_teaching(name: str, typed: Any | None, unit: str) -> float:
    if typed is None:
        return teaching("decomposition_temperature" if name == "decomposition" else name)
    return float(magnitude(name, typed, unit, above=0))


def _millilitres_a_minute(flow: float) -> str:
    return show(Quantity(flow * 6e7, "mL/min"))
