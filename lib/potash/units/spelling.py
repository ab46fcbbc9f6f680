"""The unit at the end of what people type: a listed set of units, their spellings and powers."""

import difflib
import math
import re
from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache
from typing import Any, NamedTuple, cast

from potash.units.errors import AmbiguousQuantity, UnreadableQuantity, WrongDimension, excerpt
from potash.units.registry import ureg
from potash.words import tr

HIGHEST_POWER = 6
MOST_FACTORS = 8
_LONGEST_SYMBOL = 4

Exponents = tuple[int, int, int, int, int]
"""Powers of kilogram, metre, second, mole and kelvin."""

_BASES = ("[mass]", "[length]", "[time]", "[substance]", "[temperature]")
_DEGREE_ALONE = {"degC": "delta_degC", "degF": "delta_degF"}

_PREFIXES = {
    "k": "kilo", "M": "mega", "h": "hecto", "d": "deci", "c": "centi", "m": "milli",
    "u": "micro", "n": "nano",
}  # fmt: skip

# Pint's symbol, prefixes in use, other symbols, names. Only what this trade measures in.
_UNITS = """
g    | k m u n |                | gram grams gramme grammes
mol  | k m u n |                | mole moles mols
L    | m u c d | l              | liter liters litre litres
m    | k c d m u n |            | meter meters metre metres
s    | m u     | sec            | second seconds
min  |         | mins           | minute minutes
h    |         | hr hrs         | hour hours
d    |         |                | day days
week |         | wk             | week weeks
month |        |                | month months
year |         | yr             | year years
K    | m       |                | kelvin kelvins
Pa   | k h M m |                | pascal pascals
bar  | m       |                | bar bars
atm  |         |                | atmosphere atmospheres
mmHg |         |                |
torr | m       | Torr           |
psi  |         |                |
J    | k M m   |                | joule joules
cal  | k       |                | calorie calories
W    | k m M   |                | watt watts
N    | k m u   |                | newton newtons
P    | c m     |                | poise
M    | m u n   |                | molar
percent |      | %              | percent
ppm  |         |                |
degC |         | °C             | celsius
degF |         | °F             | fahrenheit
delta_degC |   | Δ°C            |
delta_degF |   | Δ°F            |
"""

# Spellings of more than one word or sign, and shorthand of the trade.
_PHRASES = {
    **dict.fromkeys(("cc", "ccm"), "cm^3"),
    **dict.fromkeys(("mls", "mLs"), "mL"),
    **dict.fromkeys(
        ("wt%", "wt.%", "wt.-%", "wt-%", "mass%", "%w/w", "%(w/w)", "vol%", "vol.%", "vol.-%",
         "vol-%", "%v/v", "%(v/v)", "mol%", "mol.%", "mol-%", "mole%"),
        "%",
    ),
}  # fmt: skip

_DEGREE = re.compile(
    r"(?:(?<!Δ)°|\bdeg(?:rees?)?\b\.?) *([CF])(?:elsius|ahrenheit)?\b", re.IGNORECASE
)
_PER = re.compile(r" +per +")
_BETWEEN = re.compile(r"[ ·*.×]+")
_FACTOR = re.compile(r"(Δ?°?[A-Za-z_%]+)(?:\^\(([+-]?\d{1,2})\)|\^?([+-]?\d{1,2}))?")

_READ_TWO_WAYS = {
    "C": tr('C can be read as degree Celsius or as coulomb. Write "°C" or "degC".'),
    "F": tr('F can be read as degree Fahrenheit or as farad. Write "°F" or "degF".'),
    "pH": tr(
        "pH can be read as the acidity, which is a number without a unit, or as picohenry. Write "
        "the acidity as a number alone."
    ),
}
_READ_TWO_WAYS_ALONE = {
    "N": tr(
        "N can be read as newton (a force) or as normal (an old unit of concentration). "
        'Write a concentration in "mol/L".'
    ),
    "°": tr('° can be read as degree Celsius or as degree Fahrenheit. Write "°C" or "°F".'),
    "deg": tr('deg can be read as degree Celsius or as degree Fahrenheit. Write "°C" or "°F".'),
}


class Unit(NamedTuple):
    """One unit, resolved.

    name: a spelling that Pint reads; "" for none.
    factor: coherent SI units in one of it, so that ``si = value * factor + offset``.
    offset: kelvin to add for the Celsius and Fahrenheit scales, else 0.
    exponents: powers of kg, m, s, mol and K.
    """

    name: str
    factor: float
    offset: float
    exponents: Exponents


@lru_cache(maxsize=4096)
def typed_unit(text: str, difference: bool = False) -> Unit:
    """The unit that ``text``, in plain typography, spells; "" is the unit of bare numbers.

    With ``difference`` the Celsius and Fahrenheit scales stand for their degree alone.

    Raises: UnreadableQuantity, if it is not in the list; AmbiguousQuantity, for "C" or "J/K mol".
    Source: SI Brochure, 9th ed. (2019), 5.2, for writing products, quotients and powers.
    """
    if text in _READ_TWO_WAYS_ALONE:
        raise AmbiguousQuantity(_READ_TWO_WAYS_ALONE[text])
    factors = _factors(_PHRASES.get(text.replace(" ", ""), text))
    if text and not factors:
        raise _unknown(text)
    scale = factors in ({"degC": 1}, {"degF": 1})
    if difference or not scale:
        factors = {_DEGREE_ALONE.get(name, name): power for name, power in factors.items()}
    return pint_unit(_spelled(factors))


@lru_cache(maxsize=4096)
def pint_unit(name: str) -> Unit:
    """The unit that Pint reads from ``name``, a spelling of ours or Pint's, never a student's."""
    offset = ureg.Quantity(0.0, name).to_base_units().magnitude
    factor = ureg.Quantity(1.0, _DEGREE_ALONE.get(name, name)).to_base_units().magnitude
    return Unit(
        name, _tidied(float(factor)), float(offset), exponents(ureg.get_dimensionality(name))
    )


def _tidied(factor: float) -> float:
    """``factor`` without the noise in the last digit that Pint's arithmetic leaves."""
    short = float(f"{factor:.12g}")
    return short if math.isclose(short, factor, rel_tol=1e-15) else factor


def exponents(dimensionality: Any) -> Exponents:
    """Powers of kg, m, s, mol and K in a dimensionality of Pint's.

    Raises: WrongDimension, for electric current, luminous intensity and broken powers.
    """
    powers = dict(dimensionality)
    found = [powers.pop(base, 0) for base in _BASES]
    if powers or any(power != int(power) for power in found):
        names = " ".join(str(base) for base in dict(dimensionality))
        raise WrongDimension(
            tr("A quantity of dimension {names} has no place in this workbook.", names=names)
        )
    return cast(Exponents, tuple(int(power) for power in found))


def _factors(text: str) -> dict[str, int]:
    """Pint symbols and their powers, in the order typed."""
    text = _DEGREE.sub(lambda degree: " °" + degree[1].upper(), text.replace("**", "^"))
    above, *below = (part.strip() for part in _PER.sub("/", text).split("/"))
    factors = _product(above)
    for part in below:
        in_brackets = part.startswith("(") and part.endswith(")")
        divisors = _product(part[1:-1] if in_brackets else part)
        if not divisors:
            raise _unknown(text)
        if len(divisors) > 1 and not in_brackets:
            raise _quotient_asked_back(text.removesuffix(part), part)
        factors += [(name, -power) for name, power in divisors]
    return _gathered(factors)


def _product(text: str) -> list[tuple[str, int]]:
    """Pint symbol and power of each factor of a product without brackets."""
    written = [part for part in _BETWEEN.split(text) if part]
    if len(written) > MOST_FACTORS:
        raise _unknown(text)
    return [_factor(part) for part in written]


def _factor(written: str) -> tuple[str, int]:
    match = _FACTOR.fullmatch(written)
    if not match:
        raise _unknown(written)
    symbol, bracketed, power = match.groups()
    if symbol in _READ_TWO_WAYS:
        raise AmbiguousQuantity(_READ_TWO_WAYS[symbol])
    name = _SPELLINGS.get(symbol)
    if name is None and len(symbol) > _LONGEST_SYMBOL:  # a name, which may have a capital letter
        name = _SPELLINGS.get(symbol.lower())
    if name is None:
        raise _unknown(symbol)
    return name, int(bracketed or power or 1)


def _gathered(factors: Iterable[tuple[str, int]]) -> dict[str, int]:
    powers: dict[str, int] = {}
    for name, power in factors:
        powers[name] = powers.get(name, 0) + power
        if abs(powers[name]) > HIGHEST_POWER:
            raise UnreadableQuantity(
                tr("a power of {powers} is not in use for a unit.", powers=powers[name])
            )
    return powers


def _spelled(powers: Mapping[str, int]) -> str:
    """Pint's spelling: "J/K/mol", "1/s", "cm**3", or "" where nothing is left."""
    above = "*".join(_powered(name, power) for name, power in powers.items() if power > 0)
    below = "".join("/" + _powered(name, -power) for name, power in powers.items() if power < 0)
    return f"{above or 1}{below}" if above or below else ""


def _powered(name: str, power: int) -> str:
    return name if power == 1 else f"{name}**{power}"


def _quotient_asked_back(head: str, loose: str) -> AmbiguousQuantity:
    head = head.strip().removesuffix("/")
    below, *others = (part for part in _BETWEEN.split(loose) if part)
    first = f"{head}/({' '.join([below, *others])})"
    second = f"{' '.join([head, *others])}/{below}"
    return AmbiguousQuantity(
        tr(
            'the unit can be read as "{first}" or as "{second}". Write the one you mean.',
            first=first,
            second=second,
        )
    )


def _unknown(part: str) -> UnreadableQuantity:
    near = [known for known in _SPELLINGS if known.lower() == part.lower()]
    near += difflib.get_close_matches(part[:20], _SPELLINGS, n=3, cutoff=0.6)
    distinct = {_SPELLINGS[known]: known for known in reversed(near)}
    hint = tr(" or ").join(f'"{known}"' for known in reversed(distinct.values()))
    advice = (
        tr("Did you mean {hint}?", hint=hint)
        if hint
        else tr('Write a unit such as "g", "mL", "°C" or "kJ/mol".')
    )
    return UnreadableQuantity(
        tr(
            "{excerpt} is not a unit that is read here. {advice}",
            excerpt=excerpt(part),
            advice=advice,
        )
    )


def _spellings() -> Iterator[tuple[str, str]]:
    """Each spelling that is read, with Pint's symbol for it."""
    for row in _UNITS.strip().splitlines():
        symbol, prefixes, symbols, names = (cell.split() for cell in row.split("|"))
        for prefix in ["", *prefixes]:
            word = _PREFIXES.get(prefix, "")
            for written in [*symbol, *symbols]:
                yield prefix + written, prefix + symbol[0]
                if prefix == "k":  # nothing else begins with K, so "KJ" has one reading
                    yield "K" + written, "k" + symbol[0]
            for name in names:
                yield word + name, prefix + symbol[0]


_SPELLINGS = dict(_spellings())
