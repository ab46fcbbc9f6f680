"""The rules applied: one small function a rule, from a liquid and a question to a finding.

Everything here is plain SI floats and text, so that a whole table is judged in milliseconds.
"""

from collections.abc import Callable, Iterator, Mapping
from functools import cache

from potash.properties.metals import Metal, in_celsius, in_whole_celsius
from potash.solvents.candidates import Candidate, Known
from potash.solvents.conditions import Conditions
from potash.solvents.rulebook import rules
from potash.solvents.verdicts import CARE, FAILED, NO_DATA, PASSED, Buoyancy, Crossing, Finding
from potash.words import tr

ATMOSPHERE = 101_325.0  # Pa
ROOM = 293.15  # K
TOLERABLE_MELTING = 333.15  # K
REFLUX_SLACK = 3.0  # K, by which a flask under reflux runs hotter than the boiling point
OPEN_PASSES, OPEN_CARE = 10e3, 50e3  # Pa
IGNITION_MARGIN = 50.0  # K
WATER_COST = 1e-3  # kg of metal in 1 L of liquid: 0.1 g in 100 mL
MOLAR_MASS_WATER = 18.015e-3  # kg/mol

_GRAVE = ("Carc. 1", "Muta. 1", "Repr. 1")
_CAREFUL = ("Carc. 2", "Muta. 2", "Repr. 2", "Acute Tox. 1", "Acute Tox. 2", "Acute Tox. 3",
            "STOT RE 1", "STOT SE 1", "Skin Corr.")  # fmt: skip


def findings(candidate: Candidate, asked: Conditions, buoyancy: Buoyancy) -> Iterator[Finding]:
    """What each rule that is switched on says, in the order of the rules."""
    for one in rules():
        if one.name not in asked.without:
            yield _APPLIED[one.name](candidate, asked, buoyancy)


def _room_temperature(candidate: Candidate, asked: Conditions, _: Buoyancy) -> Finding:
    melting = candidate.constant("melting_point", asked.estimates)
    if melting is None:
        return _finding("room_temperature", NO_DATA, tr("No trusted melting point."))
    words = tr("It melts at {melting}", melting=in_celsius(melting.value))
    if melting.value <= ROOM:
        return _finding(
            "room_temperature", PASSED, tr("{words}: liquid at room temperature.", words=words)
        )
    if melting.value <= TOLERABLE_MELTING and melting.value < asked.temperature:
        return _finding(
            "room_temperature",
            CARE,
            tr(
                "{words}, above room temperature: it may set in the condenser, and the metal is "
                "embedded when the flask cools.",
                words=words,
            ),
        )
    return _finding(
        "room_temperature", FAILED, tr("{words}: it is solid where it must flow.", words=words)
    )


def _working_temperature(candidate: Candidate, asked: Conditions, _: Buoyancy) -> Finding:
    boiling = candidate.constant("boiling_point", asked.estimates)
    pressure = candidate.value("vapour_pressure", asked.temperature, asked.estimates)
    judged = {"refluxing": _refluxing, "open": _open, "closed": _closed}[asked.operation]
    return judged(boiling, pressure, asked.temperature)


def _refluxing(boiling: Known | None, pressure: Known | None, T: float) -> Finding:
    if boiling is None:
        if pressure is None:
            return _finding("working_temperature", NO_DATA, tr("No trusted boiling point."))
        holds = pressure.value < ATMOSPHERE
        words = tr(
            "Its vapour pressure at {temperature} is {pascal}",
            temperature=in_celsius(T),
            pascal=_pascal(pressure),
        )
        return _finding("working_temperature", PASSED if holds else FAILED, f"{words}.", pressure)
    at = f"{in_celsius(boiling.value)}{_mark(boiling)}"
    if boiling.value + REFLUX_SLACK < T:
        return _finding(
            "working_temperature",
            FAILED,
            tr(
                "It boils at {boiling}, so that under reflux at 1 atm it never reaches "
                "{temperature}.",
                boiling=at,
                temperature=in_celsius(T),
            ),
            boiling,
        )
    return _finding(
        "working_temperature", PASSED, tr("It boils at {boiling}.", boiling=at), boiling
    )


def _open(boiling: Known | None, pressure: Known | None, T: float) -> Finding:
    if pressure is None:
        return _without_pressure(boiling, T, tr("an open flask boils dry"))
    words = tr(
        "Its vapour pressure at {temperature} is {pascal}",
        temperature=in_celsius(T),
        pascal=_pascal(pressure),
    )
    if pressure.value <= OPEN_PASSES:
        return _finding("working_temperature", PASSED, f"{words}.", pressure)
    if pressure.value <= OPEN_CARE:
        words = tr(
            "{words}: an open flask loses liquid steadily and fills the hood with vapour.",
            words=words,
        )
        return _finding("working_temperature", CARE, words, pressure)
    words = tr("{words}: too much for an open flask.", words=words)
    return _finding("working_temperature", FAILED, words, pressure)


def _closed(boiling: Known | None, pressure: Known | None, T: float) -> Finding:
    if pressure is None:
        return _without_pressure(boiling, T, tr("a closed vessel stands under pressure"))
    words = tr(
        "Its vapour pressure at {temperature} is {pascal}",
        temperature=in_celsius(T),
        pascal=_pascal(pressure),
    )
    if pressure.value >= ATMOSPHERE:
        return _finding(
            "working_temperature",
            FAILED,
            tr("{words}: a closed vessel would burst or vent.", words=words),
            pressure,
        )
    return _finding(
        "working_temperature",
        CARE,
        tr(
            "{words}; in a closed vessel the hydrogen of the reaction adds its own pressure and "
            "needs a way out.",
            words=words,
        ),
        pressure,
    )


def _without_pressure(boiling: Known | None, T: float, consequence: str) -> Finding:
    """A boiling point below the temperature says enough; without one nothing is said."""
    if boiling is None or boiling.value > T:
        words = tr("No trusted vapour pressure at {temperature}.", temperature=in_celsius(T))
        return _finding("working_temperature", NO_DATA, words)
    at = f"{in_celsius(boiling.value)}{_mark(boiling)}"
    words = tr(
        "It boils at {boiling}, below {temperature}: {consequence}.",
        boiling=at,
        temperature=in_celsius(T),
        consequence=consequence,
    )
    return _finding("working_temperature", FAILED, words, boiling)


def _density(candidate: Candidate, asked: Conditions, found: Buoyancy) -> Finding:
    crossing = _crossing_words(found.crossing)
    if found.liquid is None or found.difference is None or found.margin is None:
        return _finding(
            "density",
            NO_DATA,
            tr(
                "No trusted density at {temperature}, so whether {metal} floats is not "
                "said.{crossing}",
                temperature=in_celsius(asked.temperature),
                metal=tr(asked.metal.name),
                crossing=crossing,
            ),
        )
    mark = tr(" (estimate)") if found.estimated else ""
    words = tr(
        "Liquid {liquid_density:.0f}{mark}, {metal} {metal_density:.0f} kg/m³: difference "
        "{signed} ± {margin:.0f} kg/m³",
        liquid_density=found.liquid,
        mark=mark,
        metal=tr(asked.metal.name),
        metal_density=found.metal,
        signed=_signed(found.difference),
        margin=found.margin,
    )
    if found.difference > found.margin:
        return Finding(
            "density",
            PASSED,
            tr("{words}; beads rise.{crossing}", words=words, crossing=crossing),
            found.estimated,
        )
    if asked.beads == "may sink":
        sense = tr("beads sink") if found.difference < -found.margin else tr("too close to call")
        words = tr(
            "{words}; {sense}, which is let pass here.{crossing}",
            words=words,
            sense=sense,
            crossing=crossing,
        )
        return Finding("density", PASSED, words, found.estimated)
    outcome = FAILED if asked.beads == "must rise" else CARE
    sense = (
        tr("beads sink onto the solids and seldom merge")
        if found.difference < -found.margin
        else tr("too close to call whether beads rise or sink")
    )
    return Finding("density", outcome, f"{words}; {sense}.{crossing}", found.estimated)


def _functional_groups(candidate: Candidate, asked: Conditions, _: Buoyancy) -> Finding:
    if candidate.structure is None:
        return _finding(
            "functional_groups", NO_DATA, tr("No structure to search for reactive groups.")
        )
    attacked = candidate.structure.with_effect("attacked")
    hot = candidate.structure.with_effect("attacked when hot")
    attacked += tuple(one for one in hot if one.above and asked.temperature >= one.above)
    if attacked:
        words = " ".join(_group_words(one.name, one.because) for one in attacked)
        return _finding("functional_groups", FAILED, words)
    careful = candidate.structure.with_effect("care") + hot
    if careful:
        words = " ".join(_group_words(one.name, one.because) for one in careful)
        return _finding("functional_groups", CARE, words)
    return _finding(
        "functional_groups", PASSED, tr("No group that molten metal or hot hydroxide attacks.")
    )


def _electron_uptake(candidate: Candidate, _: Conditions, __: Buoyancy) -> Finding:
    if candidate.structure is None:
        return _finding("electron_uptake", NO_DATA, tr("No structure to search for ring systems."))
    found = candidate.structure.with_effect("takes electrons")
    if found:
        words = " ".join(_group_words(one.name, one.because) for one in found)
        return _finding("electron_uptake", CARE, words)
    return _finding("electron_uptake", PASSED, tr("No ring system that dissolves alkali metal."))


def _flash_point(candidate: Candidate, asked: Conditions, _: Buoyancy) -> Finding:
    if candidate.liquid.without_flash_point:
        return _finding("flash_point", PASSED, tr("It has no flash point."))
    flash = candidate.constant("flash_point", asked.estimates)
    if flash is None:
        return _finding("flash_point", NO_DATA, tr("No trusted flash point."))
    words = tr("Its flash point is {flash}", flash=in_celsius(flash.value))
    if asked.temperature < flash.value:
        return _finding(
            "flash_point", PASSED, tr("{words}, above the working temperature.", words=words)
        )
    return _finding(
        "flash_point",
        CARE,
        tr(
            "{words}: at {temperature} its vapour burns at a flame or spark where air gets in.",
            words=words,
            temperature=in_celsius(asked.temperature),
        ),
    )


def _autoignition(candidate: Candidate, asked: Conditions, _: Buoyancy) -> Finding:
    if candidate.liquid.without_flash_point:
        return _finding("autoignition", PASSED, tr("It does not catch fire by itself."))
    ignites = candidate.constant("autoignition_temperature", asked.estimates)
    if ignites is None:
        return _finding("autoignition", NO_DATA, tr("No trusted autoignition temperature."))
    words = tr("It catches fire by itself in air at {ignites}", ignites=in_celsius(ignites.value))
    if asked.temperature >= ignites.value:
        return _finding(
            "autoignition",
            FAILED,
            tr(
                "{words}: at {temperature} a leak or spill burns without a spark.",
                words=words,
                temperature=in_celsius(asked.temperature),
            ),
        )
    if asked.temperature > ignites.value - IGNITION_MARGIN:
        return _finding(
            "autoignition",
            CARE,
            tr("{words}, less than 50 K above the working temperature.", words=words),
        )
    return _finding("autoignition", PASSED, f"{words}.")


def _peroxides(candidate: Candidate, _: Conditions, __: Buoyancy) -> Finding:
    forms = candidate.liquid.forms_peroxides
    if forms is None:
        return _finding("peroxides", NO_DATA, tr("On no list of peroxide formers at hand."))
    if forms:
        return _finding(
            "peroxides",
            CARE,
            tr(
                "It forms peroxides in air, which explode when it is heated: test it and free it "
                "of them first, and date the bottle."
            ),
        )
    return _finding("peroxides", PASSED, tr("It is not known to form peroxides on keeping."))


def _health_hazards(candidate: Candidate, _: Conditions, __: Buoyancy) -> Finding:
    classes = candidate.liquid.hazards
    if classes is None:
        return _finding(
            "health_hazards", NO_DATA, tr("No GHS classes at hand: read the current SDS.")
        )
    grave = [one for one in classes if one.startswith(_GRAVE)]
    careful = [one for one in classes if one.startswith(_CAREFUL)]
    listed = ", ".join(grave or careful)
    check = tr("check the supplier's current SDS")
    if grave:
        return _finding(
            "health_hazards",
            FAILED,
            tr(
                "GHS: {listed}; a less harmful liquid is to be used ({check}).",
                listed=listed,
                check=check,
            ),
        )
    if careful:
        return _finding("health_hazards", CARE, f"GHS: {listed} ({check}).")
    shown = ", ".join(classes) or tr("not classified")
    return _finding("health_hazards", PASSED, f"GHS: {shown} ({check}).")


def _water(candidate: Candidate, asked: Conditions, _: Buoyancy) -> Finding:
    known = _density_as_poured(candidate, asked.estimates)
    if known is None:
        return _finding("water", NO_DATA, tr("No trusted density, so its water is not reckoned."))
    cost = metal_lost_to_water(asked.metal, asked.water, known.value, asked.volume)
    words = tr(
        "{water:.0f} ppm of water in {volume:.0f} mL takes {cost:.0f} mg of {metal}",
        water=asked.water * 1000000.0,
        volume=asked.volume * 1000000.0,
        cost=cost * 1000000.0,
        metal=tr(asked.metal.name),
    )
    draws = candidate.structure.with_effect("takes up water") if candidate.structure else ()
    if draws:
        because = " ".join(_group_words(one.name, one.because) for one in draws)
        return _finding("water", CARE, f"{words}. {because}", known)
    if cost > WATER_COST * asked.volume * 1e3:
        return _finding("water", CARE, tr("{words}: dry it first.", words=words), known)
    return _finding("water", PASSED, f"{words}.", known)


def _density_as_poured(candidate: Candidate, estimates: bool) -> Known | None:
    """At 20 °C, or where the density begins: just above melting, for what melts warm."""
    record = candidate.record("density", estimates)
    if record is None or not record.temperatures:
        return None
    return candidate.value("density", max(ROOM, record.temperatures[0]), estimates)


def metal_lost_to_water(melt: Metal, water: float, density: float, volume: float) -> float:
    r"""Mass of alkali metal (kg) that the water of a liquid takes.

    .. math:: m = w\, \rho V \, M_{metal} / M_{water}

    One mole of metal for each mole of water: 2 M + 2 H2O -> 2 MOH + H2.
    Parameters: water, mass fraction; density, kg/m3; volume, m3.
    """
    return water * density * volume * molar_mass_of(melt.symbol) / MOLAR_MASS_WATER


@cache
def molar_mass_of(symbol: str) -> float:
    """Molar mass of an element, kg/mol."""
    from potash.formulas import molar_mass

    return float(molar_mass(symbol).m_as("kg/mol"))


def _crossing_words(crossing: Crossing | None) -> str:
    if crossing is None:
        return ""
    above = tr("sinks") if crossing.sinks_above else tr("rises")
    band = (crossing.high - crossing.low) / 2
    return tr(
        " The densities cross at {temperature} (± {band:.0f} K); above that the metal {above}.",
        temperature=in_whole_celsius(crossing.temperature),
        band=band,
        above=above,
    )


def _finding(rule: str, outcome: str, words: str, known: Known | None = None) -> Finding:
    return Finding(rule, outcome, words, bool(known and known.estimated))


def _group_words(name: str, because: str) -> str:
    told = tr(name)
    return f"{told[0].upper()}{told[1:]}: {because}."


def _mark(known: Known) -> str:
    return tr(" (estimate)") if known.estimated else ""


def _pascal(known: Known) -> str:
    if known.value < 1000:
        return f"{known.value:.0f} Pa{_mark(known)}"
    return f"{known.value / 1000:.3g} kPa{_mark(known)}"


def _signed(number: float) -> str:
    return f"{number:+.0f}".replace("-", "−")


_APPLIED: Mapping[str, Callable[[Candidate, Conditions, Buoyancy], Finding]] = {
    "room_temperature": _room_temperature,
    "working_temperature": _working_temperature,
    "density": _density,
    "functional_groups": _functional_groups,
    "electron_uptake": _electron_uptake,
    "flash_point": _flash_point,
    "autoignition": _autoignition,
    "peroxides": _peroxides,
    "health_hazards": _health_hazards,
    "water": _water,
}
