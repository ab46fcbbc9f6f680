"""Right answers and tolerances, written as people write them."""

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from potash.exercises.exercise import Asked, Tolerance
from potash.units import show_number
from potash.words import tr

_FIGURES = 4

# Answers of the key repeat from student to student.
_shown = lru_cache(8192)(show_number)


def written(asked: Asked, values: Mapping[str, Any], figures: int | None = None) -> str:
    """The key to ``asked`` as a careful student would type it, from solved ``values``.

    A number comes in the asked unit, to ``figures`` significant figures or as many as are asked
    for; an equation balanced; for free text there is only what the author notes.

    Raises: potash.equations.CannotBalance, for an equation without a balance.
    """
    if asked.kind == "text" or asked.answer is None:
        return asked.notes or tr("for a person to read")
    if asked.kind == "equation":
        from potash import equations

        return str(equations.balance(asked.answer.evaluate(values)))
    value = values[asked.name]
    return value if asked.kind == "choice" else in_asked_unit(asked, value, figures)


def in_asked_unit(asked: Asked, value: float, figures: int | None = None) -> str:
    """The SI ``value`` in the asked unit, to as many figures as are asked for."""
    number = _shown(asked.in_unit(value), figures or asked.figures or _FIGURES)
    return f"{number}\u00a0{asked.unit}" if asked.unit else number


def tolerance_in_words(asked: Asked, tolerance: Tolerance) -> str:
    """A tolerance for people: "± 1 %", "± 0.5 K"."""
    parts = []
    if tolerance.relative:
        parts.append(f"±\u00a0{100 * tolerance.relative:g}\u00a0%")
    if tolerance.absolute:
        parts.append(f"±\u00a0{tolerance.absolute / asked.factor:g}\u00a0{asked.unit}".rstrip())
    if tolerance.figures:
        parts.append(tr("to {figures} significant figures", figures=tolerance.figures))
    return tr(" or ").join(parts)
