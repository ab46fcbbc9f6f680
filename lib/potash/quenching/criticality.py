"""Criticality classes 1 to 5 of a cooling failure, with their reasons."""

from dataclasses import dataclass
from typing import Any

from potash.errors import PotashError
from potash.units import Quantity, magnitude
from potash.words import tr

SOURCE = "Stoessel, Thermal Safety of Chemical Processes (Wiley-VCH, 2008), ch. 3"


class BadTemperatures(PotashError):
    """Temperatures that no process can have."""


@dataclass(frozen=True, slots=True)
class Criticality:
    """A criticality class. 1 is the mildest, 5 the worst; none of them means safe.

    reasons: the comparisons of temperatures that lead to the class.
    """

    number: int
    reasons: tuple[str, ...]
    meaning: str
    source: str = SOURCE

    def __str__(self) -> str:
        return tr(
            "Class {number}: {reasons} {meaning}",
            number=self.number,
            reasons=" ".join(self.reasons),
            meaning=self.meaning,
        )


_MEANINGS = {
    1: tr(
        "After a cooling failure neither boiling nor decomposition is reached by this reaction "
        "alone, as long as the heat is not kept in for long."
    ),
    2: tr(
        "Boiling is not reached, yet heat kept in for long could bring the decomposition: nothing "
        "would boil off and hold the temperature before it."
    ),
    3: tr(
        "The contents boil after a cooling failure. Boiling holds the temperature only while the "
        "condenser and the vapour path can carry it."
    ),
    4: tr(
        "The contents boil, and if boiling does not hold the temperature the decomposition "
        "starts: everything hangs on the condenser."
    ),
    5: tr(
        "The reaction alone heats the contents into the decomposition, and boiling comes too late "
        "to hold it."
    ),
}


def adiabatic_rise(heat: Any, mass: Any, specific_heat: Any) -> Quantity:
    r"""Temperature rise if all ``heat`` stays in the contents.

    .. math:: \Delta T_{ad} = Q / (m c_p)

    Parameters: heat, an energy; mass; specific_heat, such as "1.7 J/(g K)".
    Returns: a difference, K. Raises: OutOfBounds, UnreadableQuantity, WrongDimension.
    Source: Stoessel (2008), eq. 2.5 (number from memory).
    """
    Q = magnitude("heat", heat, "J", at_least=0)
    m = magnitude("mass", mass, "kg", above=0)
    cp = magnitude("specific_heat", specific_heat, "J/kg/K", above=0)
    return Quantity(Q / (m * cp), "delta_degC")


def maximum_synthesis_temperature(
    process: Any, accumulation: Any, adiabatic_temperature_rise: Any
) -> Quantity:
    r"""Temperature that the accumulated reactants heat the contents to when cooling fails (MTSR).

    .. math:: MTSR = T_p + X_{acc}\,\Delta T_{ad}

    Parameters: process, a temperature; accumulation, the share of the reaction still to come that
    would run without further feed (0 to 1); adiabatic_temperature_rise, a difference.
    Returns: K. Raises: OutOfBounds, UnreadableQuantity, WrongDimension.
    Source: Stoessel (2008), ch. 3.
    """
    T = magnitude("process", process, "K", above=0)
    share = magnitude("accumulation", accumulation, "", at_least=0, at_most=1)
    rise = magnitude("adiabatic_temperature_rise", adiabatic_temperature_rise, "delta_degC")
    return Quantity(T + share * rise, "K")


def criticality(process: Any, synthesis: Any, technical: Any, decomposition: Any) -> Criticality:
    """The criticality class of four temperatures.

    Parameters, all temperatures: process, of the process; synthesis, the maximum temperature of
    the synthesis reaction; technical, the maximum temperature for technical reasons, in an open
    vessel the boiling point; decomposition, from which a runaway decomposition takes less than
    a day.
    Raises: BadTemperatures, if the process runs above the other three or above its MTSR.
    Source: Stoessel (2008), ch. 3.
    """
    names = ("process", "synthesis", "technical", "decomposition")
    values = (process, synthesis, technical, decomposition)
    return criticality_si(
        *(magnitude(name, value, "K", above=0) for name, value in zip(names, values, strict=True))
    )


def criticality_si(Tp: float, MTSR: float, MTT: float, TD24: float) -> Criticality:
    """``criticality`` of temperatures in K."""
    if Tp > MTSR:
        raise BadTemperatures(
            tr(
                "The maximum temperature of the synthesis reaction ({highest}) lies below the "
                "process temperature ({process}); a reaction that gives heat ends above where it "
                "began.",
                highest=_c(MTSR),
                process=_c(Tp),
            )
        )
    if min(MTT, TD24) <= Tp:
        raise BadTemperatures(
            tr(
                "The process temperature ({process}) is at or above the boiling point ({boiling}) "
                "or the decomposition ({decomposition}); a process planned so has no class.",
                process=_c(Tp),
                boiling=_c(MTT),
                decomposition=_c(TD24),
            )
        )
    number = _class(MTSR, MTT, TD24)
    return Criticality(number, _reasons(MTSR, MTT, TD24), _MEANINGS[number])


def _class(MTSR: float, MTT: float, TD24: float) -> int:
    if MTSR < MTT:
        if MTSR >= TD24:
            return 5
        return 1 if MTT < TD24 else 2
    if MTSR < TD24:
        return 3
    return 4 if MTT < TD24 else 5


def _reasons(MTSR: float, MTT: float, TD24: float) -> tuple[str, ...]:
    return (
        _compared(tr("After a cooling failure it reaches {},"), MTSR, tr("the boiling point"), MTT),
        _compared(tr("At {} it is"), MTSR, tr("the decomposition"), TD24),
        _compared(tr("Boiling at {} it is"), MTT, tr("the decomposition"), TD24),
    )


def _compared(opening: str, one: float, name: str, other: float) -> str:
    where = tr("below") if one < other else tr("not below")
    return f"{opening.format(_c(one))} {where} {name}, {_c(other)}."


def _c(T: float) -> str:
    return f"{T - 273.15:.0f}\u00a0°C".replace("-", "−")
