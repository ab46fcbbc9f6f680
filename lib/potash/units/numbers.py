"""The number at the front of what people type: value, significant figures, what is left over."""

import math
import re
from typing import NamedTuple

from potash.units.errors import AmbiguousQuantity, UnreadableQuantity, excerpt
from potash.words import tr

LONGEST = 200  # characters; a quantity is a few words, and every step below is linear in this

_SPACES = "\u00a0\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a\u202f\u205f\t"
_MINUS_SIGNS = "\u2212\u2010\u2011\u2012\u2013\ufe63\uff0d"
_TYPOGRAPHY = str.maketrans(
    {
        **dict.fromkeys(_SPACES, " "),
        **dict.fromkeys(_MINUS_SIGNS, "-"),
        **dict.fromkeys("’ʼ", "'"),
        **dict.fromkeys("µμ", "u"),
        **dict.fromkeys("⋅•∙", "·"),
        **dict.fromkeys("∕⁄", "/"),
        "º": "°",
        "℃": "°C",
        "℉": "°F",
        "％": "%",
    }
)
_SUPERSCRIPTS = re.compile("[⁺⁻⁰¹²³⁴⁵⁶⁷⁸⁹]+")
_LOWERED = str.maketrans("⁺⁻⁰¹²³⁴⁵⁶⁷⁸⁹", "+-0123456789")

_NUMBER = re.compile(
    r"""
    (?P<sign> [+-]? ) \ ?
    (?P<digits> \d (?: [\d.,'\ ]* \d )? \.? | [.,] \d+ )
    (?: [eE] (?P<e> [+-]? \d+ )
      | \ ? [x×*·] \ ? 10 \ ? (?: \^ | \*\* )? \ ? (?P<x> \(? [+-]? \d+ \)? )
    )?
    (?P<rest> .* )
    """,
    re.VERBOSE | re.DOTALL,
)
_POWER_OF_TEN = re.compile(
    r"(?P<sign>[+-]?) ?10(?:\^|\*\*)(?P<power>\(?[+-]?\d{1,3}\)?)(?P<rest>.*)"
)

_SMALLEST, _LARGEST = 1e-150, 1e150  # wide enough for any equilibrium constant, far from overflow

_PLAIN = re.compile(r"\d+(?:\.\d*)?|\.\d+")
_COMMA_DECIMAL = re.compile(r"(\d*),(\d+)")
_GROUPED_BY_COMMA = re.compile(r"\d{1,3}(?:,\d{3})+(?:\.\d*)?")
_GROUPED_BY_POINT = re.compile(r"\d{1,3}(?:\.\d{3})+,\d+|\d{1,3}(?:\.\d{3}){2,}")
_GROUPED_BY_SPACE = re.compile(
    r"""
    (?: \d{1,3} (?P<gap>[ ']) \d{3} (?: (?P=gap) \d{3} )* | \d+ )
    (?: [.,] (?: \d{3} (?: \ \d{3} )* \ \d{1,3} | \d* ) )?
    """,
    re.VERBOSE,
)
_TWO_READINGS = re.compile(r"[1-9]\d{0,2},\d{3}")


class TypedNumber(NamedTuple):
    """A number as typed.

    value: the number.
    figures: significant figures, counting trailing zeros of a whole number ("200" has 3).
    sure_figures: the same without those zeros ("200" has 1); equal to ``figures`` elsewhere.
    rest: the text after the number, without spaces around it.
    """

    value: float
    figures: int
    sure_figures: int
    rest: str


def plain_typography(text: str) -> str:
    """``text`` with typographic spaces, minus signs and superscripts in their keyboard spelling.

    Raises: UnreadableQuantity, if it is longer than ``LONGEST`` characters or spans lines.
    """
    if len(text) > LONGEST:
        raise UnreadableQuantity(
            tr(
                "{excerpt} is {number} characters long; a quantity is one number and one unit, "
                'such as "5.00 g".',
                excerpt=excerpt(text),
                number=len(text),
            )
        )
    if not text.isascii():
        text = _SUPERSCRIPTS.sub(
            lambda run: "^" + run.group().translate(_LOWERED), text.translate(_TYPOGRAPHY)
        )
    text = text.strip().replace(" 1/", " /")
    if "\n" in text or "\r" in text:
        raise UnreadableQuantity(
            tr("{excerpt} has more than one line; write one quantity.", excerpt=excerpt(text))
        )
    return text


def typed_number(text: str) -> TypedNumber:
    """The number that ``text``, in plain typography, begins with.

    Point and comma both mark decimals; spaces (any width) and apostrophes group digits in threes.
    "1,234" is asked back, because half the world reads it as 1234.

    Raises: UnreadableQuantity, if there is none, it is malformed or overflows; AmbiguousQuantity.
    Source: ISO 80000-1 and NIST SP 811 (2008), 10.5.2 to 10.5.4, for decimal marks and grouping.
    """
    power = _POWER_OF_TEN.fullmatch(text)
    if power:
        return _number(text, power["sign"] + "1", power["power"], power["rest"])
    match = _NUMBER.fullmatch(text)
    if not match:
        raise UnreadableQuantity(_why_no_number(text))
    sign, digits, e, x, rest = match.groups()
    if not _PLAIN.fullmatch(digits):
        digits = _ungrouped(text, digits)
    return _number(text, sign + digits, e or x, rest)


def _number(text: str, digits: str, power: str | None, rest: str) -> TypedNumber:
    exponent = power.strip("()") if power else "0"
    value = float(f"{digits}e{exponent}") if len(exponent) <= 4 else math.inf
    figures = digits.lstrip("+-").replace(".", "").lstrip("0")
    if figures and not _SMALLEST < abs(value) < _LARGEST:
        raise UnreadableQuantity(
            tr("{excerpt} is too large or too small to work with.", excerpt=excerpt(text))
        )
    whole = "." not in digits and not power
    return TypedNumber(
        value,
        len(figures) or 1,
        len(figures.rstrip("0") if whole else figures) or 1,
        rest.strip(),
    )


def _ungrouped(text: str, digits: str) -> str:
    """``digits`` with one decimal point and no separators."""
    if _TWO_READINGS.fullmatch(digits):
        decimal, thousands = digits.replace(",", "."), digits.replace(",", "")
        raise AmbiguousQuantity(
            tr(
                "{excerpt} can be read as {decimal} (decimal comma) or as {thousands} (comma "
                "between thousands). Write {decimal} or {thousands}.",
                excerpt=excerpt(text),
                decimal=decimal,
                thousands=thousands,
            )
        )
    if _COMMA_DECIMAL.fullmatch(digits):
        return digits.replace(",", ".")
    if _GROUPED_BY_COMMA.fullmatch(digits):
        return digits.replace(",", "")
    if _GROUPED_BY_POINT.fullmatch(digits):
        return digits.replace(".", "").replace(",", ".")
    if _GROUPED_BY_SPACE.fullmatch(digits):
        return digits.replace(" ", "").replace("'", "").replace(",", ".")
    raise UnreadableQuantity(
        tr(
            "{excerpt}: {digits} is not one number. Write 1234.5, 1234,5 or 1 234.5.",
            excerpt=excerpt(text),
            digits=excerpt(digits),
        )
    )


def _why_no_number(text: str) -> str:
    if not text:
        return tr('Nothing was typed. Write a number and a unit, such as "5.00 g".')
    if text[0] in "~≈<>≤≥" or text.lower().startswith(("ca", "about", "approx")):
        return tr(
            "{excerpt} is an estimate or a bound. Write the value alone.", excerpt=excerpt(text)
        )
    return tr(
        '{excerpt} does not begin with a number. Write a number and a unit, as in "5.00 g".',
        excerpt=excerpt(text),
    )
