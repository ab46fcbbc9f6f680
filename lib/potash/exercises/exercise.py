"""What an exercise is: figures to be given, a chain of asked quantities, slips people make."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final, Literal

from potash import units
from potash.errors import PotashError
from potash.exercises.equation_answers import balanced
from potash.exercises.formula import Formula, FormulaFailed, fill
from potash.exercises.library import DIMENSIONLESS, TEXT, Dimension, Kind

AskedKind = Literal["number", "equation", "choice", "text"]

NO_BREAK_SPACE: Final = "\u00a0"
_MICRO: Final = re.compile(r"\bu(?=(m|mol|g|L|s)\b)")
_POWER: Final = re.compile(r"(?<=[a-zA-Z])\d")
_RAISED: Final = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")


@dataclass(frozen=True, slots=True)
class Given:
    """A figure or a word that differs from student to student.

    choices: as the student reads them ("9.30 g", "KOH"). values: what formulas compute with, in SI,
    by choice.
    """

    name: str
    kind: Kind
    values: Mapping[str, float | str]
    choices: tuple[str, ...]

    def value_of(self, shown: str) -> float | str:
        """What ``shown`` means to a formula; a figure outside the present range is read as typed.

        Raises: potash.units.UnreadableQuantity, if it is not a quantity at all.
        """
        known = self.values.get(shown)
        if known is not None:
            return known
        return shown if self.kind == TEXT else units.read(shown).si


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How far an answer may lie from the key: the widest of what is set.

    relative: a fraction of the key. absolute: in SI units. figures: half a unit in that figure.
    """

    relative: float = 0.0
    absolute: float = 0.0
    figures: int | None = None

    def around(self, key: float) -> float:
        """The greatest deviation from ``key`` that still counts as right, in SI units."""
        widest = abs(key) * self.relative
        if widest < self.absolute:
            widest = self.absolute
        if self.figures is not None and key:
            widest = max(widest, float(f"5e{int(f'{key:e}'.partition('e')[2]) - self.figures}"))
        return widest or abs(key) * 1e-9


@dataclass(frozen=True, slots=True)
class Slip:
    """A mistake that students are known to make: its name, what to tell them, what it gives."""

    name: str
    says: str
    answer: Formula


@dataclass(frozen=True, slots=True)
class Asked:
    """One asked quantity of the chain.

    answer: the key's formula; for an equation a template that the library balances; for free text
    None. unit, factor, offset: an answer of x in ``unit`` is ``x * factor + offset`` in SI.
    difference: a temperature difference, where 5 °C means 5 K. notes: for whoever marks by hand.
    """

    name: str
    prompt: str
    kind: AskedKind
    answer: Formula | None
    unit: str = ""
    dimension: Dimension = DIMENSIONLESS
    factor: float = 1.0
    offset: float = 0.0
    difference: bool = False
    tolerance: Tolerance = Tolerance()
    figures: int | None = None
    options: tuple[str, ...] = ()
    slips: tuple[Slip, ...] = ()
    notes: str = ""

    def in_unit(self, value: float) -> float:
        """The SI ``value`` in the asked unit."""
        return (value - self.offset) / self.factor


@dataclass(frozen=True, slots=True)
class Exercise:
    """An exercise of the bank, checked and ready to be set."""

    id: str
    chapter: int
    title: str
    text: str
    outcome: str
    caution: str
    hints: tuple[str, ...]
    givens: tuple[Given, ...]
    constraints: tuple[Formula, ...]
    asked: tuple[Asked, ...]

    def values(self, figures: Mapping[str, str]) -> dict[str, Any]:
        """The SI values of the given ``figures`` as a student reads them.

        Raises: KeyError, if a given is missing; potash.units.UnreadableQuantity.
        """
        values: dict[str, Any] = {}
        for given in self.givens:
            shown = figures[given.name]
            known = given.values.get(shown)  # asked for here, as a call would take longer
            values[given.name] = given.value_of(shown) if known is None else known
        return values

    def solve(self, figures: Mapping[str, str]) -> dict[str, Any]:
        """The givens and every answer of the key, by name, in SI.

        Raises: FormulaFailed, if an answer has no finite value or is an equation that does not
        balance, naming exercise and question.
        """
        values = self.values(figures)
        for asked in self.asked:
            if asked.answer is not None:
                try:
                    values[asked.name] = asked.answer.evaluate(values)
                    if asked.kind == "equation":
                        balanced(values[asked.name])
                except PotashError as reason:
                    raise FormulaFailed(f"{self.id}, {asked.name}: {reason}") from reason
        return values

    def allows(self, values: Mapping[str, Any]) -> bool:
        """Whether ``values``, solved or givens only, meet each constraint that they can decide."""
        return all(
            constraint.evaluate(values)
            for constraint in self.constraints
            if constraint.names <= values.keys()
        )

    def told(self, text: str, figures: Mapping[str, str]) -> str:
        """``text`` of this exercise with the student's figures filled in."""
        return fill(text, figures)


def shown_unit(unit: str) -> str:
    """A unit as people write it: °C for degC, µm for um, m² for m2."""
    written = _MICRO.sub("µ", unit.replace("degC", "°C"))
    return _POWER.sub(lambda power: power[0].translate(_RAISED), written)


def shown_figure(number: str, unit: str) -> str:
    """A figure as a person writes it: true minus sign, and no line break before the unit."""
    digits, power, exponent = number.replace("E+", "E").partition("E")
    written = f"{digits} × 10{exponent.translate(_RAISED)}" if power else digits
    written = written.replace("-", "\u2212").replace(" ", NO_BREAK_SPACE)
    return f"{written}{NO_BREAK_SPACE}{shown_unit(unit)}" if unit else written
