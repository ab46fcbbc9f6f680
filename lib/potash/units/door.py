"""The door of the library: text and quantities come in, checked quantities and floats go on."""

from collections.abc import Sequence
from functools import lru_cache
from typing import Any, TypeAlias

import numpy as np
import pint

from potash.errors import PotashError
from potash.units.dimensions import Dimension, dimension_named, dimension_of, kind
from potash.units.errors import OutOfBounds, UnreadableQuantity, WrongDimension, excerpt
from potash.units.reading import read
from potash.units.registry import Quantity, ureg
from potash.units.show import show_unit
from potash.units.spelling import exponents, pint_unit
from potash.words import tr

QuantityLike: TypeAlias = str | Quantity | Sequence[str | Quantity]
"""Text, a quantity (scalar or array), or a sequence of them."""


def quantity(given: object, dimension: str | None = None) -> Quantity:
    """The quantity that ``given`` is or says, of the kind that ``dimension`` names.

    Parameters: given, text such as "3,5 mL", or a quantity, scalar or array; dimension, a name from
    ``DIMENSIONS``, or None for any.
    Returns: a quantity in the unit given. A bare number is one only for "fraction" and "number".
    Raises: UnreadableQuantity, if the text is no quantity or has no unit; WrongDimension, if it is
    of another kind.
    """
    return _taken(given, dimension_named(dimension) if dimension else None)


def magnitude(
    name: str,
    value: object,
    unit: str,
    *,
    above: float | None = None,
    at_least: float | None = None,
    below: float | None = None,
    at_most: float | None = None,
) -> Any:
    """The number of ``unit`` in ``value``, checked: where a public function lets a quantity in.

    Parameters: name, of the argument, for messages; value, text, a quantity, or an array or
    sequence of them; unit, in Pint's spelling ("K", "J/K/mol", "delta_degC" for a difference, ""
    for a fraction, which may come bare); the bounds, in ``unit``.
    Returns: a float, or a float array of the shape of ``value``.
    Raises: UnreadableQuantity or WrongDimension, naming the argument and a line that works;
    OutOfBounds, if any number is not finite or not within the bounds.
    """
    wanted = dimension_of(pint_unit(unit).exponents, unit.startswith("delta_"))
    try:
        numbers = _numbers(value, unit, wanted)
    except PotashError as problem:
        raise type(problem)(f"{name}: {problem}") from None
    for holds, demand in (
        (np.isfinite(numbers), tr("a finite number")),
        (
            above is None or numbers > above,
            tr("above {above} {show_unit}", above=above, show_unit=show_unit(unit)),
        ),
        (
            at_least is None or numbers >= at_least,
            tr("at least {at_least} {show_unit}", at_least=at_least, show_unit=show_unit(unit)),
        ),
        (
            below is None or numbers < below,
            tr("below {below} {show_unit}", below=below, show_unit=show_unit(unit)),
        ),
        (
            at_most is None or numbers <= at_most,
            tr("at most {at_most} {show_unit}", at_most=at_most, show_unit=show_unit(unit)),
        ),
    ):
        # A scalar's comparison is a bool, and np.all would take longer than all the rest.
        if not (holds if isinstance(holds, bool) else np.all(holds)):
            raise OutOfBounds(
                tr(
                    "{name} is given as {shown}; it must be {demand}.",
                    name=name,
                    shown=_shown(value),
                    demand=demand.strip(),
                )
            )
    return numbers


def _taken(given: object, wanted: Dimension | None) -> Quantity:
    difference = bool(wanted and wanted.is_difference)
    if isinstance(given, pint.Quantity):
        found = _degrees_alone(given) if difference else given
    elif isinstance(given, str):
        reading = read(given, difference=difference)
        found = Quantity(reading.value, reading.unit or "dimensionless")
        if not reading.unit and not (wanted and wanted.allows_bare_numbers):
            raise UnreadableQuantity(_lacks_unit(given, wanted))
    elif _is_number(given) and wanted and wanted.allows_bare_numbers:
        found = Quantity(given, "dimensionless")
    elif _is_number(given):
        raise UnreadableQuantity(_lacks_unit(str(given), wanted))
    else:
        raise UnreadableQuantity(
            tr(
                "A quantity is text with a number and a unit, not a {name__}: {shown}.",
                name__=type(given).__name__,
                shown=_shown(given),
            )
        )
    if wanted:
        _demand_kind(given, found, wanted)
    return found


def _numbers(value: object, unit: str, wanted: Dimension | None) -> Any:
    if isinstance(value, (list, tuple)) or (
        isinstance(value, np.ndarray) and value.dtype.kind in "OU"
    ):
        return np.array([_numbers(one, unit, wanted) for one in value], dtype=float)
    if isinstance(value, pint.Quantity) and value.units == _as_unit(unit):
        return _floats(value.magnitude)  # nothing to convert, which Pint takes long to find out
    found = _taken(value, wanted)
    if exponents(found.dimensionality) != pint_unit(unit).exponents:
        raise WrongDimension(
            tr(
                "{shown} cannot be expressed in {show_unit}. Write a number and its unit, such as "
                '"5.00 {show_unit}".',
                shown=_shown(value),
                show_unit=show_unit(unit),
            )
        )
    return _floats(found.m_as(_as_unit(unit)))


def _floats(numbers: Any) -> Any:
    return np.asarray(numbers, dtype=float) if np.ndim(numbers) else float(numbers)


@lru_cache(maxsize=4096)
def _as_unit(unit: str) -> Any:
    return ureg.Unit(unit or "dimensionless")


def _demand_kind(given: object, found: Quantity, wanted: Dimension) -> None:
    found_exponents = exponents(found.dimensionality)
    fits = found_exponents == wanted.exponents
    if fits and wanted.name != "temperature":
        return
    is_difference = "delta_" in str(found.units) and not wanted.is_difference
    if fits and not is_difference:
        return
    found_kind = tr("a temperature difference") if is_difference else kind(found_exponents)
    raise WrongDimension(
        tr(
            '{shown} is {given_kind}; {kind} is asked for, such as "{example}".',
            shown=_shown(given),
            given_kind=found_kind,
            kind=kind(wanted.exponents, wanted.name),
            example=wanted.example,
        )
    )


def _degrees_alone(given: Quantity) -> Quantity:
    """A Celsius or Fahrenheit temperature as the difference of the same number of degrees."""
    for scale, degree in (("degree_Celsius", "delta_degC"), ("degree_Fahrenheit", "delta_degF")):
        if given.units == ureg.Unit(scale):
            return Quantity(given.magnitude, degree)
    return given


def _is_number(given: object) -> bool:
    return isinstance(given, (int, float, np.number)) and not isinstance(given, bool)


def _lacks_unit(given: str, wanted: Dimension | None) -> str:
    unit = wanted.unit if wanted and wanted.unit else "g"
    alone = given.strip()[:20]
    return tr(
        '{excerpt} has no unit. Write a number and its unit, such as "{alone} {unit}".',
        excerpt=excerpt(given),
        alone=alone,
        unit=unit,
    )


def _shown(given: object) -> str:
    return excerpt(given if isinstance(given, str) else str(given))
