"""How much liquid a run loses, under reflux or open, and what that does to its level.

Orders of magnitude: under reflux the gas that leaves carries vapour at the temperature of the
condenser; in an open flask vapour diffuses up the neck. Both leave out spray, leaks and draughts.
"""

import math
from dataclasses import dataclass
from typing import Any

from potash.properties.errors import NoTrustedValue
from potash.properties.liquids import LiquidRecord
from potash.properties.metals import in_celsius
from potash.solvents.candidates import Candidate, candidate
from potash.solvents.conditions import UnknownChoice
from potash.units import Quantity, QuantityLike, magnitude, show
from potash.words import tr

GAS_CONSTANT = 8.314462618  # J/(K mol), CODATA 2018
ATMOSPHERE = 101_325.0  # Pa
DIFFUSIVITY = 6e-6  # m2/s at 298 K: vapour of a C8 to C12 hydrocarbon in air, a teaching value


@dataclass(frozen=True, slots=True)
class SolventLoss:
    """What a run loses; teaching values, good to a factor of two or three.

    mass, volume: lost (kg, m3, the volume as cold liquid). share: of what was poured. level: of
    the liquid at the working temperature before and after (m), the vessel taken as a cylinder.
    notes: how it was reckoned and what was assumed.
    """

    liquid: str
    mass: Quantity
    volume: Quantity
    share: float
    level_before: Quantity
    level_after: Quantity
    notes: tuple[str, ...]

    def _repr_html_(self) -> str:
        import html

        words = tr(
            "{liquid} loses about {volume} ({mass}, {share:.0f} %); its level goes from "
            "{level_before} to {level_after}. ",
            liquid=self.liquid,
            volume=show(self.volume, 2, "mL"),
            mass=show(self.mass, 2, "g"),
            share=100 * self.share,
            level_before=show(self.level_before, 2, "mm"),
            level_after=show(self.level_after, 2, "mm"),
        )
        return f"<p>{html.escape(words + ' '.join(self.notes))}</p>"


def solvent_loss(
    liquid: str | Candidate,
    temperature: QuantityLike,
    duration: QuantityLike,
    *,
    operation: str = "refluxing",
    volume: QuantityLike = "100 mL",
    vessel_diameter: QuantityLike = "70 mm",
    hydrogen: QuantityLike = "0 mol",
    sweep: QuantityLike = "0 mL/min",
    condenser: QuantityLike = "20 degC",
    neck_diameter: QuantityLike = "24 mm",
    neck_length: QuantityLike = "80 mm",
) -> SolventLoss:
    r"""Liquid lost over a run, and its level before and after.

    Refluxing, with n the hydrogen and the inert gas that leave through the condenser:

    .. math:: n_{lost} = n\, p_c / (P - p_c)

    Open, by diffusion up a neck of section A and length L:

    .. math:: \dot n = \frac{D P A}{R T L} \ln \frac{P}{P - p}, \qquad D = D_0 (T / 298\,K)^{1.75}

    Parameters: liquid, name, CAS number, SMILES or candidate; volume, poured at room temperature;
    sweep, inert gas at 20 degC and 1 atm; operation, "refluxing" or "open".
    Returns: a teaching value.
    Raises: NoTrustedValue, where vapour pressure or density are unknown; UnknownChoice;
    OutOfBounds.
    Source: Bird, Stewart and Lightfoot, Transport Phenomena, 2nd ed. (2002), eq. 18.2-14, for the
    diffusion; Fuller, Schettler and Giddings, Ind. Eng. Chem. 58 (1966) 18, for its exponent.
    """
    found = candidate(liquid) if isinstance(liquid, str) else liquid
    T = float(magnitude("temperature", temperature, "K", above=0))
    seconds = float(magnitude("duration", duration, "s", at_least=0))
    if operation == "refluxing":
        cold = float(magnitude("condenser", condenser, "K", above=0))
        gas = float(magnitude("hydrogen", hydrogen, "mol", at_least=0)) + _moles(sweep, seconds)
        moles, note = _carried(found, gas, cold)
    elif operation == "open":
        area = math.pi / 4 * float(magnitude("neck_diameter", neck_diameter, "m", above=0)) ** 2
        length = float(magnitude("neck_length", neck_length, "m", above=0))
        moles, note = _diffused(found, T, seconds, area, length)
    else:
        raise UnknownChoice(
            tr(
                'operation is given as "{operation}"; write "refluxing" or "open".',
                operation=operation[:40],
            )
        )
    poured = float(magnitude("volume", volume, "m^3", above=0))
    section = math.pi / 4 * float(magnitude("vessel_diameter", vessel_diameter, "m", above=0)) ** 2
    return _loss(found, T, moles, poured, section, note)


def _moles(sweep: QuantityLike, seconds: float) -> float:
    flow = float(magnitude("sweep", sweep, "m^3/s", at_least=0))
    return flow * seconds * ATMOSPHERE / (GAS_CONSTANT * 293.15)


def _carried(found: Candidate, gas: float, cold: float) -> tuple[float, str]:
    """Moles of vapour that the leaving gas carries past the condenser."""
    record = _record(found, "vapour_pressure")
    low, high = record.temperatures[0], record.temperatures[-1]
    pressure = record.value_at(min(max(cold, low), high))
    assumed = tr("at most, since no lower vapour pressure is trusted") if cold < low else "there"
    if pressure >= ATMOSPHERE:
        return math.inf, tr("At {cold} the condenser holds nothing back.", cold=in_celsius(cold))
    return gas * pressure / (ATMOSPHERE - pressure), (
        tr(
            "The gas leaves at {cold}, with a vapour pressure of {pressure:.0f} Pa {assumed}; "
            "spray and leaks come on top. A teaching value.",
            cold=in_celsius(cold),
            pressure=pressure,
            assumed=assumed,
        )
    )


def _diffused(
    found: Candidate, T: float, seconds: float, area: float, length: float
) -> tuple[float, str]:
    """Moles of vapour that diffuse up an open neck."""
    pressure = _value(found, "vapour_pressure", T)
    if pressure >= ATMOSPHERE:
        return math.inf, tr(
            "At {temperature} it boils away; how fast, the heater decides.",
            temperature=in_celsius(T),
        )
    diffusivity = DIFFUSIVITY * (T / 298.15) ** 1.75
    rate = diffusivity * ATMOSPHERE * area / (GAS_CONSTANT * T * length)
    return rate * math.log(ATMOSPHERE / (ATMOSPHERE - pressure)) * seconds, (
        tr(
            "Vapour diffuses up the open neck through still air; a draught makes it several times "
            "as much. A teaching value."
        )
    )


def _loss(
    found: Candidate, T: float, moles: float, poured: float, section: float, note: str
) -> SolventLoss:
    from potash.formulas import molar_mass

    cold_density = _value(found, "density", _room_in_range(found))
    hot_density = _value(found, "density", T)
    mass = poured * cold_density
    grams = float(molar_mass(found.liquid.formula).m_as("kg/mol"))
    lost = min(moles * grams, mass)
    return SolventLoss(
        found.liquid.name,
        Quantity(lost, "kg"),
        Quantity(lost / cold_density, "m^3"),
        lost / mass,
        Quantity(mass / hot_density / section, "m"),
        Quantity((mass - lost) / hot_density / section, "m"),
        (note, tr("The vessel is taken as a cylinder.")),
    )


def _room_in_range(found: Candidate) -> float:
    """293 K, or the lowest temperature of the density where it melts above that."""
    return max(293.15, _record(found, "density").temperatures[0])


def _record(found: Candidate, name: str) -> LiquidRecord:
    record = found.record(name, estimates=True)
    if record is None:
        raise NoTrustedValue(
            tr(
                "There is no {name} of {liquid}, so its loss is not reckoned.",
                name=name.replace("_", " "),
                liquid=found.liquid.name,
            )
        )
    return record


def _value(found: Candidate, name: str, T: float) -> float:
    known: Any = found.value(name, T, estimates=True)
    if known is None:
        raise NoTrustedValue(
            tr(
                "The {name} of {liquid} at {temperature} is not known, so its loss is not "
                "reckoned.",
                name=name.replace("_", " "),
                liquid=found.liquid.name,
                temperature=in_celsius(T),
            )
        )
    return float(known.value)
