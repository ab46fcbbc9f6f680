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
        return _finding("room_temperature", NO_DATA, "No trusted melting point.")
    words = f"It melts at {in_celsius(melting.value)}"
    if melting.value <= ROOM:
        return _finding("room_temperature", PASSED, f"{words}: liquid at room temperature.")
    if melting.value <= TOLERABLE_MELTING and melting.value < asked.temperature:
        return _finding(
            "room_temperature",
            CARE,
            f"{words}, above room temperature: it may set in the condenser, and the metal is "
            "embedded when the flask cools.",
        )
    return _finding("room_temperature", FAILED, f"{words}: it is solid where it must flow.")


def _working_temperature(candidate: Candidate, asked: Conditions, _: Buoyancy) -> Finding:
    boiling = candidate.constant("boiling_point", asked.estimates)
    pressure = candidate.value("vapour_pressure", asked.temperature, asked.estimates)
    judged = {"refluxing": _refluxing, "open": _open, "closed": _closed}[asked.operation]
    return judged(boiling, pressure, asked.temperature)


def _refluxing(boiling: Known | None, pressure: Known | None, T: float) -> Finding:
    if boiling is None:
        if pressure is None:
            return _finding("working_temperature", NO_DATA, "No trusted boiling point.")
        holds = pressure.value < ATMOSPHERE
        words = f"Its vapour pressure at {in_celsius(T)} is {_pascal(pressure)}"
        return _finding("working_temperature", PASSED if holds else FAILED, f"{words}.", pressure)
    at = f"{in_celsius(boiling.value)}{_mark(boiling)}"
    if boiling.value + REFLUX_SLACK < T:
        return _finding(
            "working_temperature",
            FAILED,
            f"It boils at {at}, so that under reflux at 1 atm it never reaches {in_celsius(T)}.",
            boiling,
        )
    return _finding("working_temperature", PASSED, f"It boils at {at}.", boiling)


def _open(boiling: Known | None, pressure: Known | None, T: float) -> Finding:
    if pressure is None:
        return _without_pressure(boiling, T, "an open flask boils dry")
    words = f"Its vapour pressure at {in_celsius(T)} is {_pascal(pressure)}"
    if pressure.value <= OPEN_PASSES:
        return _finding("working_temperature", PASSED, f"{words}.", pressure)
    if pressure.value <= OPEN_CARE:
        words = f"{words}: an open flask loses liquid steadily and fills the hood with vapour."
        return _finding("working_temperature", CARE, words, pressure)
    words = f"{words}: too much for an open flask."
    return _finding("working_temperature", FAILED, words, pressure)


def _closed(boiling: Known | None, pressure: Known | None, T: float) -> Finding:
    if pressure is None:
        return _without_pressure(boiling, T, "a closed vessel stands under pressure")
    words = f"Its vapour pressure at {in_celsius(T)} is {_pascal(pressure)}"
    if pressure.value >= ATMOSPHERE:
        return _finding(
            "working_temperature",
            FAILED,
            f"{words}: a closed vessel would burst or vent.",
            pressure,
        )
    return _finding(
        "working_temperature",
        CARE,
        f"{words}; in a closed vessel the hydrogen of the reaction adds its own pressure and needs "
        "a way out.",
        pressure,
    )


def _without_pressure(boiling: Known | None, T: float, consequence: str) -> Finding:
    """A boiling point below the temperature says enough; without one nothing is said."""
    if boiling is None or boiling.value > T:
        words = f"No trusted vapour pressure at {in_celsius(T)}."
        return _finding("working_temperature", NO_DATA, words)
    at = f"{in_celsius(boiling.value)}{_mark(boiling)}"
    words = f"It boils at {at}, below {in_celsius(T)}: {consequence}."
    return _finding("working_temperature", FAILED, words, boiling)


def _density(candidate: Candidate, asked: Conditions, found: Buoyancy) -> Finding:
    crossing = _crossing_words(found.crossing)
    if found.liquid is None or found.difference is None or found.margin is None:
        return _finding(
            "density",
            NO_DATA,
            f"No trusted density at {in_celsius(asked.temperature)}, so whether "
            f"{asked.metal.name} floats is not said.{crossing}",
        )
    mark = " (estimate)" if found.estimated else ""
    words = (
        f"Liquid {found.liquid:.0f}{mark}, {asked.metal.name} {found.metal:.0f} kg/m³: difference "
        f"{_signed(found.difference)} ± {found.margin:.0f} kg/m³"
    )
    if found.difference > found.margin:
        return Finding("density", PASSED, f"{words}; beads rise.{crossing}", found.estimated)
    if asked.beads == "may sink":
        sense = "beads sink" if found.difference < -found.margin else "too close to call"
        words = f"{words}; {sense}, which is let pass here.{crossing}"
        return Finding("density", PASSED, words, found.estimated)
    outcome = FAILED if asked.beads == "must rise" else CARE
    sense = (
        "beads sink onto the solids and seldom merge"
        if found.difference < -found.margin
        else "too close to call whether beads rise or sink"
    )
    return Finding("density", outcome, f"{words}; {sense}.{crossing}", found.estimated)


def _functional_groups(candidate: Candidate, asked: Conditions, _: Buoyancy) -> Finding:
    if candidate.structure is None:
        return _finding("functional_groups", NO_DATA, "No structure to search for reactive groups.")
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
        "functional_groups", PASSED, "No group that molten metal or hot hydroxide attacks."
    )


def _electron_uptake(candidate: Candidate, _: Conditions, __: Buoyancy) -> Finding:
    if candidate.structure is None:
        return _finding("electron_uptake", NO_DATA, "No structure to search for ring systems.")
    found = candidate.structure.with_effect("takes electrons")
    if found:
        words = " ".join(_group_words(one.name, one.because) for one in found)
        return _finding("electron_uptake", CARE, words)
    return _finding("electron_uptake", PASSED, "No ring system that dissolves alkali metal.")


def _flash_point(candidate: Candidate, asked: Conditions, _: Buoyancy) -> Finding:
    if candidate.liquid.without_flash_point:
        return _finding("flash_point", PASSED, "It has no flash point.")
    flash = candidate.constant("flash_point", asked.estimates)
    if flash is None:
        return _finding("flash_point", NO_DATA, "No trusted flash point.")
    words = f"Its flash point is {in_celsius(flash.value)}"
    if asked.temperature < flash.value:
        return _finding("flash_point", PASSED, f"{words}, above the working temperature.")
    return _finding(
        "flash_point",
        CARE,
        f"{words}: at {in_celsius(asked.temperature)} its vapour burns at a flame or spark where "
        "air gets in.",
    )


def _autoignition(candidate: Candidate, asked: Conditions, _: Buoyancy) -> Finding:
    if candidate.liquid.without_flash_point:
        return _finding("autoignition", PASSED, "It does not catch fire by itself.")
    ignites = candidate.constant("autoignition_temperature", asked.estimates)
    if ignites is None:
        return _finding("autoignition", NO_DATA, "No trusted autoignition temperature.")
    words = f"It catches fire by itself in air at {in_celsius(ignites.value)}"
    if asked.temperature >= ignites.value:
        return _finding(
            "autoignition",
            FAILED,
            f"{words}: at {in_celsius(asked.temperature)} a leak or spill burns without a spark.",
        )
    if asked.temperature > ignites.value - IGNITION_MARGIN:
        return _finding(
            "autoignition", CARE, f"{words}, less than 50 K above the working temperature."
        )
    return _finding("autoignition", PASSED, f"{words}.")


def _peroxides(candidate: Candidate, _: Conditions, __: Buoyancy) -> Finding:
    forms = candidate.liquid.forms_peroxides
    if forms is None:
        return _finding("peroxides", NO_DATA, "On no list of peroxide formers at hand.")
    if forms:
        return _finding(
            "peroxides",
            CARE,
            "It forms peroxides in air, which explode when it is heated: test it and free it of "
            "them first, and date the bottle.",
        )
    return _finding("peroxides", PASSED, "It is not known to form peroxides on keeping.")


def _health_hazards(candidate: Candidate, _: Conditions, __: Buoyancy) -> Finding:
    classes = candidate.liquid.hazards
    if classes is None:
        return _finding("health_hazards", NO_DATA, "No GHS classes at hand: read the current SDS.")
    grave = [one for one in classes if one.startswith(_GRAVE)]
    careful = [one for one in classes if one.startswith(_CAREFUL)]
    listed = ", ".join(grave or careful)
    check = "check the supplier's current SDS"
    if grave:
        return _finding(
            "health_hazards",
            FAILED,
            f"GHS: {listed}; a less harmful liquid is to be used ({check}).",
        )
    if careful:
        return _finding("health_hazards", CARE, f"GHS: {listed} ({check}).")
    shown = ", ".join(classes) or "not classified"
    return _finding("health_hazards", PASSED, f"GHS: {shown} ({check}).")


def _water(candidate: Candidate, asked: Conditions, _: Buoyancy) -> Finding:
    known = _density_as_poured(candidate, asked.estimates)
    if known is None:
        return _finding("water", NO_DATA, "No trusted density, so its water is not reckoned.")
    cost = metal_lost_to_water(asked.metal, asked.water, known.value, asked.volume)
    words = (
        f"{asked.water * 1e6:.0f} ppm of water in {asked.volume * 1e6:.0f} mL takes "
        f"{cost * 1e6:.0f} mg of {asked.metal.name}"
    )
    draws = candidate.structure.with_effect("takes up water") if candidate.structure else ()
    if draws:
        because = " ".join(_group_words(one.name, one.because) for one in draws)
        return _finding("water", CARE, f"{words}. {because}", known)
    if cost > WATER_COST * asked.volume * 1e3:
        return _finding("water", CARE, f"{words}: dry it first.", known)
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
    above = "sinks" if crossing.sinks_above else "rises"
    band = (crossing.high - crossing.low) / 2
    return (
        f" The densities cross at {in_whole_celsius(crossing.temperature)} (± {band:.0f} K); "
        f"above that the metal {above}."
    )


def _finding(rule: str, outcome: str, words: str, known: Known | None = None) -> Finding:
    return Finding(rule, outcome, words, bool(known and known.estimated))


def _group_words(name: str, because: str) -> str:
    return f"{name[0].upper()}{name[1:]}: {because}."


def _mark(known: Known) -> str:
    return " (estimate)" if known.estimated else ""


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
