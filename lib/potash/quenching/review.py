"""What an expert would stop at in a planned quench: every rule that applies, with its reason."""

from collections.abc import Iterator
from dataclasses import dataclass

from potash.hazards import Caution
from potash.properties.metals import in_celsius
from potash.properties.metals import metal as metal_named
from potash.quenching.alcohols import WATER, alcohol, quenched_metals, teaching
from potash.quenching.course import QuenchCourse, simulate_quench
from potash.quenching.criticality import SOURCE as STOESSEL
from potash.quenching.gas import (
    ALLOWED,
    DESIGN_SOURCE,
    LIMIT_SOURCE,
    least_hood,
)
from potash.quenching.heat import water_enthalpy_si
from potash.quenching.setup import Quench, molar_mass_si, problems
from potash.units import Quantity, show

OWN_RULE = "this workbook's own limit"
TRADE = "common practice, no source"
_MUCH_METAL = 5e-3  # kg


@dataclass(frozen=True, slots=True)
class Outlook:
    """The temperatures (K) a plan leads to, and where they come from.

    peak: as planned. failure: with the cooling lost at the worst moment. hydrogen: share of the
    hood's air, or None where no rate is known. at_once: that all is reckoned to react in a moment.
    """

    peak: float
    failure: float
    hydrogen: float | None
    course: QuenchCourse | None

    @property
    def at_once(self) -> bool:
        return self.course is None


def review(quench: Quench) -> tuple[Caution, ...]:
    """Every caution that applies to ``quench``; it never refuses, whatever the plan.

    What can be simulated is judged by its simulation. What cannot (water, no alcohol to speak of)
    is judged as if everything reacted at once.
    """
    outlook = _outlook(quench)
    return (*_plain(quench), *_thermal(quench, outlook))


def _outlook(quench: Quench) -> Outlook:
    if not problems(quench):
        course = simulate_quench(quench)
        return Outlook(course.peak_si, course.synthesis_si, course.hydrogen_share_si, course)
    hot = quench.bath + _rise_at_once(quench)
    return Outlook(hot if quench.alcohol == WATER else quench.bath, hot, None, None)


def _rise_at_once(quench: Quench) -> float:
    """Temperature rise (K) if all that can react did so in a moment and kept its heat."""
    amount = quench.metal_amount * min(quench.excess, 1.0)
    per_kilogram = 4181.0 if quench.alcohol == WATER else quench.alcohol_record.heat_capacity
    liquid_mass = quench.alcohol_amount * (
        0.018015 if quench.alcohol == WATER else molar_mass_si(quench.alcohol_record.liquid.formula)
    )
    found = quench.diluent_record
    diluent = quench.diluent_mass * found.heat_capacity if found else 0.0
    capacity = liquid_mass * per_kilogram + diluent + quench.metal_amount * 30.0
    return -amount * water_enthalpy_si(quench.metal) / capacity


# ---------------------------------------------------------------------- rules on the plan as such


def _plain(quench: Quench) -> Iterator[Caution]:
    rules = (
        _no_hood,
        _water,
        _methanol,
        _fast_alcohol,
        _slow_alcohol,
        _large_piece,
        _much_metal,
        _no_diluent,
        _alcohol_short,
        _feed_beyond_pump,
        _wet_diluent,
    )
    for rule in rules:
        yield from rule(quench)


def _no_hood(quench: Quench) -> Iterator[Caution]:
    if quench.hood <= 0:
        yield Caution(
            "no-hood",
            "No hood draws the hydrogen away",
            f"{show(quench.hydrogen_volume)} of hydrogen and flammable vapour stay in the room; "
            "every amount of it passes through the flammable range on its way.",
            "Without a hood whose flow was measured this is not done.",
            f"{LIMIT_SOURCE}; {TRADE}",
        )


def _water(quench: Quench) -> Iterator[Caution]:
    if quench.alcohol != WATER:
        return
    metal = quenched_metals()[quench.metal]
    yield Caution(
        "water-quench",
        "Water instead of an alcohol",
        f"With water {metal.with_water}. Heat and hydrogen come at once, however it is poured.",
        "Choose a secondary alcohol under an inert hydrocarbon; water never, while metal is there.",
        f"CLP statements H260 and EUH014; {TRADE}",
    )
    if quench.diluent:
        yield Caution(
            "water-with-flammables",
            "Water while flammable liquid is about",
            f"{show(Quantity(quench.diluent_volume * 1e6, 'mL'))} of {quench.diluent} burns with "
            "the hydrogen that lights.",
            "Water never, while flammable liquid or vapour is about.",
            TRADE,
        )


def _methanol(quench: Quench) -> Iterator[Caution]:
    if quench.alcohol == "methanol":
        yield Caution(
            "methanol-quench",
            "Methanol as the quench",
            "It reacts nearly as water does, boils lowest of all and is toxic.",
            "Methanol is for no one while flammable liquid or vapour is about; choose a secondary "
            "alcohol.",
            f"Ballinger and Long (1960) for its acidity; {TRADE}",
        )


def _fast_alcohol(quench: Quench) -> Iterator[Caution]:
    if quench.alcohol in (WATER, "methanol") or alcohol(quench.alcohol).kind != "primary":
        return
    if quenched_metals()[quench.metal].reactivity < 1:
        return
    yield Caution(
        "fast-alcohol",
        f"A primary alcohol on {metal_named(quench.metal).name}",
        f"{quench.alcohol.capitalize()} is more acidic than a secondary alcohol and reacts faster; "
        "with so active a metal the flask has no patience.",
        "Choose a secondary alcohol such as 2-propanol.",
        TRADE,
    )


def _slow_alcohol(quench: Quench) -> Iterator[Caution]:
    if quench.alcohol != WATER and alcohol(quench.alcohol).kind == "tertiary":
        yield Caution(
            "slow-alcohol",
            "A tertiary alcohol",
            "It reacts so slowly that alcohol gathers and metal remains when all seems over.",
            "Choose a secondary alcohol such as 2-propanol.",
            TRADE,
        )


def _large_piece(quench: Quench) -> Iterator[Caution]:
    limit = teaching("large_piece")
    diameter = 2 * quench.radius
    if diameter <= limit * (1 + 1e-9):
        return
    yield Caution(
        "large-piece",
        "A large piece of metal",
        f"Pieces of {show(Quantity(diameter * 1e3, 'mm'))} have little surface for their mass: "
        "they outlast everybody's patience, hide under their own crust, and react at once where "
        "they break open or melt.",
        f"Pieces of at most {show(Quantity(limit * 1e3, 'mm'))}, cut under the covering liquid, if "
        "the metal carries no coloured crust.",
        OWN_RULE,
    )


def _much_metal(quench: Quench) -> Iterator[Caution]:
    if quench.mass > _MUCH_METAL * (1 + 1e-9):
        yield Caution(
            "much-metal",
            "More metal than a teaching laboratory quenches at once",
            f"{show(Quantity(quench.mass * 1e3, 'g'))} hold "
            f"{show(Quantity(-quench.metal_amount * water_enthalpy_si(quench.metal) / 1e3, 'kJ'))} "
            f"and {show(quench.hydrogen_volume)} of hydrogen.",
            f"Quench at most {show(Quantity(_MUCH_METAL * 1e3, 'g'))} at a time.",
            OWN_RULE,
        )


def _no_diluent(quench: Quench) -> Iterator[Caution]:
    limit = teaching("small_piece_limit")
    if quench.diluent is None and quench.mass > limit:
        yield Caution(
            "no-diluent",
            "No diluent over the metal",
            f"{show(Quantity(quench.mass * 1e3, 'g'))} lies bare: nothing takes up the heat, and "
            "air reaches metal, hydrogen and vapour.",
            f"More than {show(Quantity(limit * 1e3, 'g'))} lies under an inert hydrocarbon.",
            f"{OWN_RULE}; {TRADE}",
        )


def _alcohol_short(quench: Quench) -> Iterator[Caution]:
    if quench.excess < 1:
        left = (1 - quench.excess) * quench.mass
        yield Caution(
            "alcohol-short",
            "Less alcohol than metal",
            f"{show(Quantity(left * 1e3, 'g'))} of {quench.metal} stays unreacted and goes "
            "into the waste.",
            "One mole of metal takes one mole of alcohol; plan several times that.",
            "the reaction's own stoichiometry",
        )


def _feed_beyond_pump(quench: Quench) -> Iterator[Caution]:
    if quench.feed > quench.pump * (1 + 1e-9):
        yield Caution(
            "feed-beyond-pump",
            "A feed that the pump cannot give",
            f"{show(Quantity(quench.feed * 6e7, 'mL/min'))} is planned, "
            f"{show(Quantity(quench.pump * 6e7, 'mL/min'))} is the most it gives.",
            "Plan a feed that can be held.",
            "the plan's own figures",
        )


def _wet_diluent(quench: Quench) -> Iterator[Caution]:
    water = quench.water_in_diluent * quench.diluent_mass
    if quench.water_in_diluent > 2e-4:
        yield Caution(
            "wet-diluent",
            "Water in the diluent",
            f"{show(Quantity(water * 1e6, 'mg'))} of water meets the metal before any alcohol is "
            "fed and takes no notice of the funnel.",
            "Dry the diluent before the metal goes in.",
            TRADE,
        )


# ---------------------------------------------------------------------- rules on heat, gas, time


def _thermal(quench: Quench, outlook: Outlook) -> Iterator[Caution]:
    for rule in (_bath, _boiling, _failure, _decomposition, _melting, _hydrogen, _too_long):
        yield from rule(quench, outlook)


def _bath(quench: Quench, _: Outlook) -> Iterator[Caution]:
    name, boiling = quench.lowest_boiling
    if quench.bath >= boiling:
        yield Caution(
            "bath-boils",
            "A bath above the boiling point",
            f"The bath at {in_celsius(quench.bath)} boils {name} ({in_celsius(boiling)}).",
            "Quench cold.",
            TRADE,
        )


def _boiling(quench: Quench, outlook: Outlook) -> Iterator[Caution]:
    name, boiling = quench.lowest_boiling
    margin = teaching("boiling_margin")
    if quench.bath >= boiling or outlook.peak <= boiling - margin:
        return
    how = (
        "If all reacts at once and the heat stays in"
        if outlook.at_once
        else "As planned, by teaching values,"
    )
    yield Caution(
        "boiling-margin",
        "It comes too near to boiling",
        f"{how} it reaches {_hot(outlook.peak)}; {name} boils at {in_celsius(boiling)}, and "
        f"{margin:g} K is the least distance.",
        "Feed more slowly, cool better, take more diluent or less metal.",
        OWN_RULE,
    )


def _failure(quench: Quench, outlook: Outlook) -> Iterator[Caution]:
    name, boiling = quench.lowest_boiling
    if outlook.failure < boiling:
        return
    share = ""
    if outlook.course is not None:
        most = float(outlook.course.accumulated.m_as("").max())
        share = f"Up to {most * 100:.0f} % of the metal has its alcohol waiting beside it. "
    yield Caution(
        "boils-after-failure",
        "A cooling failure brings it to the boil",
        f"{share}If the cooling is lost at the worst moment it reaches {_hot(outlook.failure)}; "
        f"{name} boils at {in_celsius(boiling)}.",
        "Let less alcohol gather: smaller pieces, slower feed, more diluent, less metal.",
        STOESSEL,
    )


def _decomposition(quench: Quench, outlook: Outlook) -> Iterator[Caution]:
    if outlook.failure < quench.decomposition:
        return
    yield Caution(
        "decomposition-after-failure",
        "A cooling failure brings it into decomposition",
        f"It would reach {_hot(outlook.failure)}; from {in_celsius(quench.decomposition)} on a "
        "runaway decomposition is reckoned with.",
        "Less metal at a time, more diluent.",
        STOESSEL,
    )


def _melting(quench: Quench, outlook: Outlook) -> Iterator[Caution]:
    found = metal_named(quench.metal)
    if outlook.peak < found.melting_point_si:
        return
    when = "already in the bath" if quench.bath >= found.melting_point_si else "as it warms"
    yield Caution(
        "metal-melts",
        "The metal melts",
        f"{found.name.capitalize()} melts at {in_celsius(found.melting_point_si)}, {when}. Melted "
        "metal sheds its crust, runs together or breaks into beads, and reacts faster than before.",
        "Keep it solid: cool better, feed more slowly.",
        TRADE,
    )


def _hydrogen(quench: Quench, outlook: Outlook) -> Iterator[Caution]:
    if outlook.hydrogen is None or quench.hood <= 0 or outlook.hydrogen <= ALLOWED:
        return
    assert outlook.course is not None
    most = float(outlook.course.highest_hydrogen_flow.m_as("m^3/s"))
    yield Caution(
        "hydrogen-limit",
        "Too much hydrogen for the hood",
        f"At its worst {outlook.hydrogen * 100:.2g} % of the hood's air is hydrogen where the two "
        f"mix; {ALLOWED * 100:g} % is a quarter of the lower flammable limit.",
        f"Feed more slowly, or draw {show(Quantity(least_hood(most) * 3600, 'm^3/hour'))}.",
        f"{LIMIT_SOURCE}; {DESIGN_SOURCE}",
    )


def _too_long(quench: Quench, outlook: Outlook) -> Iterator[Caution]:
    if outlook.course is None:
        return
    end = outlook.course.trajectory.ended
    if end is not None and end <= quench.session:
        return
    lasts = "more than three days" if end is None else show(Quantity(end / 3600, "hour"))
    yield Caution(
        "too-long",
        "It outlasts the session",
        f"By teaching values bubbling goes on for {lasts}; somebody stays with it for "
        f"{show(Quantity(quench.session / 3600, 'hour'))}. Metal that is left overnight is found "
        "by whoever washes up.",
        "Smaller pieces, more alcohol, a secondary alcohol, or a longer watch.",
        OWN_RULE,
    )


def _hot(T: float) -> str:
    if T > 1273.15:
        return "more than 1000\u00a0°C on paper"
    return in_celsius(round(T - 273.15) + 273.15)
