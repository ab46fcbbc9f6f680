"""Reading what a person types as a quantity, in plain floats and fast enough for marking."""

from dataclasses import dataclass

from potash.units.errors import AmbiguousQuantity, UnreadableQuantity, excerpt
from potash.units.numbers import plain_typography, typed_number
from potash.units.spelling import Exponents, typed_unit
from potash.words import tr


@dataclass(frozen=True, slots=True)
class Reading:
    """A quantity as a person typed it.

    text: as typed.
    value: the number, in ``unit``.
    unit: in a spelling that Pint reads, such as "kJ/mol"; "" for a bare number.
    figures: significant figures typed, the zeros at the end of a whole number included.
    sure_figures: those that cannot be mere place holders: 3 of the 4 figures of "1230".
    si: the value in coherent SI units of kg, m, s, mol and K; a Celsius temperature in kelvin.
    dimension: powers of kg, m, s, mol and K.
    """

    text: str
    value: float
    unit: str
    figures: int
    sure_figures: int
    si: float
    dimension: Exponents


def read(text: str, *, difference: bool = False) -> Reading:
    """The quantity that ``text`` says: one number and one unit, or one number alone.

    Decimal points and commas, spaces between thousands, "e", "x 10^" and "× 10⁻³", any minus sign
    and the unit spellings of chemists are understood; nothing is evaluated. With ``difference``
    "25 °C" is a rise of 25 K; otherwise it is the temperature 298.15 K.

    Raises: UnreadableQuantity, if there is another way to say it; AmbiguousQuantity, a kind of it,
    if it says two things ("25 C", "1,234 g", "J/K mol"), naming both.
    Source: SI Brochure, 9th ed. (2019), 5.2 to 5.4, for how values of quantities are written.
    """
    plain = plain_typography(text)
    number = typed_number(plain)
    try:
        unit = typed_unit(number.rest, difference)
    except AmbiguousQuantity as problem:
        raise AmbiguousQuantity(f"{excerpt(text)}: {problem}") from None
    except UnreadableQuantity as problem:
        reason = _why_no_unit(number.rest) or str(problem)
        raise UnreadableQuantity(f"{excerpt(text)}: {reason}") from None
    return Reading(
        text,
        number.value,
        unit.name,
        number.figures,
        number.sure_figures,
        number.value * unit.factor + unit.offset,
        unit.exponents,
    )


def significant_figures(text: str) -> int:
    """Significant figures of the number in ``text``: 3 for "0.0120 mol", "1.20e3" and "120 g".

    Zeros at the end of a whole number may be measured or mere place holders; the writer gets the
    benefit of the doubt here, and ``Reading.sure_figures`` leaves them out.

    Raises: UnreadableQuantity, if no number is there.
    Source: common practice; NIST SP 811 (2008), 7.9 and B.7, on digits that are not significant.
    """
    return typed_number(plain_typography(text)).figures


def _why_no_unit(rest: str) -> str | None:
    """The better reason, where what follows the number is a known habit and no unit."""
    if rest.startswith(("±", "+/-", "+-", "(")) and any(sign.isdigit() for sign in rest):
        return tr(
            "this can be read as a value with its uncertainty or as two values. "
            'Write the value alone with its unit, such as "5.0 g".'
        )
    if rest.startswith(("-", "..", "to ", "/", "*", "^", "+")):
        return tr(
            "this is a range or a calculation, and nothing is calculated from what is typed. "
            'Write one number and one unit, such as "5.0 g".'
        )
    return None
