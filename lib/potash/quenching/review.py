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
from potash.words import tr

OWN_RULE = tr("this workbook's own limit")
TRADE = tr("common practice, no source")
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
            tr("No hood draws the hydrogen away"),
            tr(
                "{hydrogen_volume} of hydrogen and flammable vapour stay in the room; every "
                "amount of it passes through the flammable range on its way.",
                hydrogen_volume=show(quench.hydrogen_volume),
            ),
            tr("Without a hood whose flow was measured this is not done."),
            f"{LIMIT_SOURCE}; {TRADE}",
        )


def _water(quench: Quench) -> Iterator[Caution]:
    if quench.alcohol != WATER:
        return
    metal = quenched_metals()[quench.metal]
    yield Caution(
        "water-quench",
        tr("Water instead of an alcohol"),
        tr(
            "With water {with_water}. Heat and hydrogen come at once, however it is poured.",
            with_water=metal.with_water,
        ),
        tr(
            "Choose a secondary alcohol under an inert hydrocarbon; water never, while metal is "
            "there."
        ),
        tr("CLP statements H260 and EUH014; {practice}", practice=TRADE),
    )
    if quench.diluent:
        yield Caution(
            "water-with-flammables",
            tr("Water while flammable liquid is about"),
            tr(
                "{volume} of {diluent} burns with the hydrogen that lights.",
                volume=show(Quantity(quench.diluent_volume * 1000000.0, "mL")),
                diluent=quench.diluent,
            ),
            tr("Water never, while flammable liquid or vapour is about."),
            TRADE,
        )


def _methanol(quench: Quench) -> Iterator[Caution]:
    if quench.alcohol == "methanol":
        yield Caution(
            "methanol-quench",
            tr("Methanol as the quench"),
            tr("It reacts nearly as water does, boils lowest of all and is toxic."),
            tr(
                "Methanol is for no one while flammable liquid or vapour is about; choose a "
                "secondary alcohol."
            ),
            tr("Ballinger and Long (1960) for its acidity; {practice}", practice=TRADE),
        )


def _fast_alcohol(quench: Quench) -> Iterator[Caution]:
    if quench.alcohol in (WATER, "methanol") or alcohol(quench.alcohol).kind != "primary":
        return
    if quenched_metals()[quench.metal].reactivity < 1:
        return
    yield Caution(
        "fast-alcohol",
        tr("A primary alcohol on {metal_named}", metal_named=metal_named(quench.metal).name),
        tr(
            "{alcohol} is more acidic than a secondary alcohol and reacts faster; with so active "
            "a metal the flask has no patience.",
            alcohol=quench.alcohol.capitalize(),
        ),
        tr("Choose a secondary alcohol such as 2-propanol."),
        TRADE,
    )


def _slow_alcohol(quench: Quench) -> Iterator[Caution]:
    if quench.alcohol != WATER and alcohol(quench.alcohol).kind == "tertiary":
        yield Caution(
            "slow-alcohol",
            tr("A tertiary alcohol"),
            tr("It reacts so slowly that alcohol gathers and metal remains when all seems over."),
            tr("Choose a secondary alcohol such as 2-propanol."),
            TRADE,
        )


def _large_piece(quench: Quench) -> Iterator[Caution]:
    limit = teaching("large_piece")
    diameter = 2 * quench.radius
    if diameter <= limit * (1 + 1e-9):
        return
    yield Caution(
        "large-piece",
        tr("A large piece of metal"),
        tr(
            "Pieces of {diameter} have little surface for their mass: they outlast everybody's "
            "patience, hide under their own crust, and react at once where they break open or "
            "melt.",
            diameter=show(Quantity(diameter * 1000.0, "mm")),
        ),
        tr(
            "Pieces of at most {diameter}, cut under the covering liquid, if the metal carries no "
            "coloured crust.",
            diameter=show(Quantity(limit * 1000.0, "mm")),
        ),
        OWN_RULE,
    )


def _much_metal(quench: Quench) -> Iterator[Caution]:
    if quench.mass > _MUCH_METAL * (1 + 1e-9):
        yield Caution(
            "much-metal",
            tr("More metal than a teaching laboratory quenches at once"),
            tr(
                "{mass} hold {quench} and {hydrogen_volume} of hydrogen.",
                mass=show(Quantity(quench.mass * 1000.0, "g")),
                quench=show(
                    Quantity(-quench.metal_amount * water_enthalpy_si(quench.metal) / 1000.0, "kJ")
                ),
                hydrogen_volume=show(quench.hydrogen_volume),
            ),
            tr(
                "Quench at most {mass} at a time.",
                mass=show(Quantity(_MUCH_METAL * 1000.0, "g")),
            ),
            OWN_RULE,
        )


def _no_diluent(quench: Quench) -> Iterator[Caution]:
    limit = teaching("small_piece_limit")
    if quench.diluent is None and quench.mass > limit:
        yield Caution(
            "no-diluent",
            tr("No diluent over the metal"),
            tr(
                "{mass} lies bare: nothing takes up the heat, and air reaches metal, hydrogen and "
                "vapour.",
                mass=show(Quantity(quench.mass * 1000.0, "g")),
            ),
            tr(
                "More than {mass} lies under an inert hydrocarbon.",
                mass=show(Quantity(limit * 1000.0, "g")),
            ),
            f"{OWN_RULE}; {TRADE}",
        )


def _alcohol_short(quench: Quench) -> Iterator[Caution]:
    if quench.excess < 1:
        left = (1 - quench.excess) * quench.mass
        yield Caution(
            "alcohol-short",
            tr("Less alcohol than metal"),
            tr(
                "{mass} of {metal} stays unreacted and goes into the waste.",
                mass=show(Quantity(left * 1000.0, "g")),
                metal=quench.metal,
            ),
            tr("One mole of metal takes one mole of alcohol; plan several times that."),
            tr("the reaction's own stoichiometry"),
        )


def _feed_beyond_pump(quench: Quench) -> Iterator[Caution]:
    if quench.feed > quench.pump * (1 + 1e-9):
        yield Caution(
            "feed-beyond-pump",
            tr("A feed that the pump cannot give"),
            tr(
                "{feed} is planned, {quench} is the most it gives.",
                feed=show(Quantity(quench.feed * 60000000.0, "mL/min")),
                quench=show(Quantity(quench.pump * 60000000.0, "mL/min")),
            ),
            tr("Plan a feed that can be held."),
            tr("the plan's own figures"),
        )


def _wet_diluent(quench: Quench) -> Iterator[Caution]:
    water = quench.water_in_diluent * quench.diluent_mass
    if quench.water_in_diluent > 2e-4:
        yield Caution(
            "wet-diluent",
            tr("Water in the diluent"),
            tr(
                "{mass} of water meets the metal before any alcohol is fed and takes no notice of "
                "the funnel.",
                mass=show(Quantity(water * 1000000.0, "mg")),
            ),
            tr("Dry the diluent before the metal goes in."),
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
            tr("A bath above the boiling point"),
            tr(
                "The bath at {bath} boils {name} ({boiling}).",
                bath=in_celsius(quench.bath),
                name=name,
                boiling=in_celsius(boiling),
            ),
            tr("Quench cold."),
            TRADE,
        )


def _boiling(quench: Quench, outlook: Outlook) -> Iterator[Caution]:
    name, boiling = quench.lowest_boiling
    margin = teaching("boiling_margin")
    if quench.bath >= boiling or outlook.peak <= boiling - margin:
        return
    how = (
        tr("If all reacts at once and the heat stays in")
        if outlook.at_once
        else tr("As planned, by teaching values,")
    )
    yield Caution(
        "boiling-margin",
        tr("It comes too near to boiling"),
        tr(
            "{how} it reaches {hot}; {name} boils at {boiling}, and {margin:g} K is the least "
            "distance.",
            how=how,
            hot=_hot(outlook.peak),
            name=name,
            boiling=in_celsius(boiling),
            margin=margin,
        ),
        tr("Feed more slowly, cool better, take more diluent or less metal."),
        OWN_RULE,
    )


def _failure(quench: Quench, outlook: Outlook) -> Iterator[Caution]:
    name, boiling = quench.lowest_boiling
    if outlook.failure < boiling:
        return
    share = ""
    if outlook.course is not None:
        most = float(outlook.course.accumulated.m_as("").max())
        share = tr(
            "Up to {most:.0f} % of the metal has its alcohol waiting beside it. ", most=most * 100
        )
    yield Caution(
        "boils-after-failure",
        tr("A cooling failure brings it to the boil"),
        tr(
            "{share}If the cooling is lost at the worst moment it reaches {hot}; {name} boils at "
            "{boiling}.",
            share=share,
            hot=_hot(outlook.failure),
            name=name,
            boiling=in_celsius(boiling),
        ),
        tr("Let less alcohol gather: smaller pieces, slower feed, more diluent, less metal."),
        STOESSEL,
    )


def _decomposition(quench: Quench, outlook: Outlook) -> Iterator[Caution]:
    if outlook.failure < quench.decomposition:
        return
    yield Caution(
        "decomposition-after-failure",
        tr("A cooling failure brings it into decomposition"),
        tr(
            "It would reach {hot}; from {decomposition} on a runaway decomposition is reckoned "
            "with.",
            hot=_hot(outlook.failure),
            decomposition=in_celsius(quench.decomposition),
        ),
        tr("Less metal at a time, more diluent."),
        STOESSEL,
    )


def _melting(quench: Quench, outlook: Outlook) -> Iterator[Caution]:
    found = metal_named(quench.metal)
    if outlook.peak < found.melting_point_si:
        return
    when = tr("already in the bath") if quench.bath >= found.melting_point_si else tr("as it warms")
    yield Caution(
        "metal-melts",
        tr("The metal melts"),
        tr(
            "{name} melts at {melting_point}, {when}. Melted metal sheds its crust, runs together "
            "or breaks into beads, and reacts faster than before.",
            name=found.name.capitalize(),
            melting_point=in_celsius(found.melting_point_si),
            when=when,
        ),
        tr("Keep it solid: cool better, feed more slowly."),
        TRADE,
    )


def _hydrogen(quench: Quench, outlook: Outlook) -> Iterator[Caution]:
    if outlook.hydrogen is None or quench.hood <= 0 or outlook.hydrogen <= ALLOWED:
        return
    assert outlook.course is not None
    most = float(outlook.course.highest_hydrogen_flow.m_as("m^3/s"))
    yield Caution(
        "hydrogen-limit",
        tr("Too much hydrogen for the hood"),
        tr(
            "At its worst {hydrogen:.2g} % of the hood's air is hydrogen where the two mix; "
            "{allowed:g} % is a quarter of the lower flammable limit.",
            hydrogen=outlook.hydrogen * 100,
            allowed=ALLOWED * 100,
        ),
        tr(
            "Feed more slowly, or draw {flow}.",
            flow=show(Quantity(least_hood(most) * 3600, "m^3/hour")),
        ),
        f"{LIMIT_SOURCE}; {DESIGN_SOURCE}",
    )


def _too_long(quench: Quench, outlook: Outlook) -> Iterator[Caution]:
    if outlook.course is None:
        return
    end = outlook.course.trajectory.ended
    if end is not None and end <= quench.session:
        return
    lasts = tr("more than three days") if end is None else show(Quantity(end / 3600, "hour"))
    yield Caution(
        "too-long",
        tr("It outlasts the session"),
        tr(
            "By teaching values bubbling goes on for {lasts}; somebody stays with it for "
            "{session}. Metal that is left overnight is found by whoever washes up.",
            lasts=lasts,
            session=show(Quantity(quench.session / 3600, "hour")),
        ),
        tr("Smaller pieces, more alcohol, a secondary alcohol, or a longer watch."),
        OWN_RULE,
    )


def _hot(T: float) -> str:
    if T > 1273.15:
        return tr("more than 1000\u00a0°C on paper")
    return in_celsius(round(T - 273.15) + 273.15)
