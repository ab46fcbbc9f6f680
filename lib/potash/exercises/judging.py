"""Judging typed answers against the key, along the whole chain, as a careful marker would.

Each answer is held against two targets: the key, and what the student's own earlier figures lead
to. Whoever went astray in the first step and reasoned well from there loses only the first step.
Then come the misreadings, from the particular to the general: the slips that the exercise's author
foresaw, a misplaced unit (a factor of a thousand, Celsius for kelvin, percent for fraction), and
the plain slips of any calculation (sign, decimal point, a factor of two).
"""

from collections.abc import Callable, Iterator, Mapping
from functools import cache, lru_cache
from math import isfinite
from typing import Any, Final

from potash import units
from potash.errors import PotashError
from potash.exercises.equation_answers import judge_equation
from potash.exercises.exercise import Asked, Exercise, Tolerance
from potash.exercises.formula import FormulaFailed, fill
from potash.exercises.library import DIMENSIONLESS, Dimension, describe_kind
from potash.exercises.outcomes import HOLDS, Finding, Outcome
from potash.words import tr

ZERO_CELSIUS: Final = 273.15  # K, exact: SI Brochure, 9th edition, 2.3.1
CALORIE: Final = 4.184  # J, the thermochemical calorie, exact: NIST SP 811 (2008), B.8

_RIGHT: Final = Outcome.CORRECT
_TEMPERATURE: Final[Dimension] = (0, 0, 0, 0, 1)

BLANK: Final = Finding(Outcome.BLANK, tr("No answer was given."))
CORRECT: Final = Finding(Outcome.CORRECT, tr("Right."))
FOLLOW_THROUGH: Final = Finding(
    Outcome.FOLLOW_THROUGH, tr("Right from your own earlier figure, which was not.")
)
WRONG: Final = Finding(Outcome.WRONG, tr("Not right, and no common slip explains it."))
TO_BE_READ: Final = Finding(Outcome.TO_BE_READ, tr("A person reads and marks this answer."))
NEAR_MISS: Final = Finding(
    Outcome.WRONG, tr("Close, but outside the tolerance: was something rounded too early?")
)

Typed = Mapping[str, str]
Values = Mapping[str, Any]
Tolerances = Mapping[str, Tolerance]


class _Chain:
    """One student's chain: the values of the key, and the student's own as they come."""

    __slots__ = ("astray", "key", "own")

    def __init__(self, key: Values) -> None:
        self.key = key
        self.own: dict[str, Any] = {}
        self.astray: set[str] = set()

    def takes(self, name: str, value: Any, finding: Finding) -> None:
        """Go on with the student's own ``value``."""
        self.own[name] = value
        if finding.outcome is not _RIGHT:
            self.astray.add(name)

    def takes_number(self, name: str, value: float, finding: Finding) -> None:
        """Go on with the student's figure, unless it is none that could be meant physically."""
        key = self.key[name]
        if (value * key > 0 or key == 0) and isfinite(value):
            self.takes(name, value, finding)

    def carried(self, asked: Asked) -> Any:
        """What the student's own earlier figures lead to; None where that is the key."""
        assert asked.answer is not None
        if asked.answer.names.isdisjoint(self.own):
            return None
        try:
            return asked.answer.evaluate({**self.key, **self.own})
        except FormulaFailed:
            return None

    def went_astray_before(self, asked: Asked) -> bool:
        assert asked.answer is not None
        return not self.astray.isdisjoint(asked.answer.names)

    def slips(self, asked: Asked, carried: Any) -> Iterator[tuple[Any, Any]]:
        """Each foreseen slip with what it gives, from the key's figures and from the student's."""
        scopes = [self.key]
        if carried is not None:
            scopes.append({**self.key, **self.own, asked.name: carried})
        for slip in asked.slips:
            for values in scopes:
                try:
                    yield slip, slip.answer.evaluate(values)
                except FormulaFailed:
                    continue


def judge(
    exercise: Exercise, key: Values, typed: Typed, tolerances: Tolerances | None = None
) -> dict[str, Finding]:
    """A finding for every asked quantity of ``exercise``.

    key: the solved figures of this student. typed: answers by name, missing or empty for blank.
    tolerances: those that a course sets instead of the exercise's own, by name.
    """
    chain = _Chain(key)
    findings: dict[str, Finding] = {}
    for asked in exercise.asked:
        name, tolerance = asked.name, asked.tolerance
        text = typed.get(name, "").strip()
        if not text:
            findings[name] = BLANK
            continue
        if tolerances is not None:
            tolerance = tolerances.get(name, tolerance)
        findings[name] = _JUDGES[asked.kind](asked, text, chain, tolerance)
    return findings


def _judge_text(asked: Asked, text: str, chain: _Chain, tolerance: Tolerance) -> Finding:
    return TO_BE_READ


def _judge_equation(asked: Asked, text: str, chain: _Chain, tolerance: Tolerance) -> Finding:
    assert asked.answer is not None
    return judge_equation(asked.answer.evaluate(chain.key), text)


def _judge_choice(asked: Asked, text: str, chain: _Chain, tolerance: Tolerance) -> Finding:
    options = [fill(option, chain.key) for option in asked.options]
    chosen = next((option for option in options if option.casefold() == text.casefold()), None)
    if chosen is None:
        return Finding(
            Outcome.UNREADABLE,
            tr("This is none of the choices: {options}.", options=", ".join(options)),
        )
    finding = _compare_choice(asked, chosen, chain)
    chain.takes(asked.name, chosen, finding)
    return finding


def _compare_choice(asked: Asked, chosen: str, chain: _Chain) -> Finding:
    if chosen == chain.key[asked.name]:
        return CORRECT
    carried = chain.carried(asked)
    if chosen == carried:
        return FOLLOW_THROUGH if chain.went_astray_before(asked) else CORRECT
    for slip, value in chain.slips(asked, carried):
        if chosen == value:
            return Finding(Outcome.KNOWN_SLIP, slip.says, slip.name)
    return WRONG


def _judge_number(asked: Asked, text: str, chain: _Chain, tolerance: Tolerance) -> Finding:
    try:
        reading = _read(text, asked.difference)
    except PotashError as reason:
        return Finding(Outcome.UNREADABLE, str(reason))
    dimension: Dimension = reading.dimension
    if dimension != asked.dimension:
        return _judge_other_unit(asked, reading, chain, tolerance)
    value, key = reading.si, chain.key[asked.name]
    if abs(value - key) <= tolerance.around(key):  # seen to at once: most answers are right
        finding = CORRECT
    else:
        finding = _explain(asked, value, chain, tolerance)
    if asked.figures is not None and finding.outcome in HOLDS:
        finding = _with_figures(asked.figures, reading, finding)
    chain.takes_number(asked.name, value, finding)
    return finding


@lru_cache(8192)
def _read(text: str, difference: bool) -> units.Reading:
    # A class types the same few thousand texts over and over.
    return units.read(text, difference=difference)


def _with_figures(wanted: int, reading: units.Reading, finding: Finding) -> Finding:
    if reading.figures < wanted:
        return finding._replace(figures="too few")
    if reading.sure_figures > wanted + 1:
        return finding._replace(figures="too many")
    return finding


def _explain(asked: Asked, value: float, chain: _Chain, tolerance: Tolerance) -> Finding:
    """What led to a number that is not the key's."""
    key = chain.key[asked.name]
    carried = chain.carried(asked)
    if carried is not None and abs(value - carried) <= tolerance.around(carried):
        return FOLLOW_THROUGH if chain.went_astray_before(asked) else CORRECT
    for slip, slipped in chain.slips(asked, carried):
        if slip.answer.kind == asked.dimension and _agrees(value, slipped, tolerance):
            return Finding(Outcome.KNOWN_SLIP, slip.says, slip.name)
    found = _misread(asked, value, key, tolerance)
    if found is WRONG and carried is not None:
        found = _misread(asked, value, carried, tolerance)
    return found


def _misread(asked: Asked, value: float, target: float, tolerance: Tolerance) -> Finding:
    """The common misreading that turns ``target`` into ``value``; a near miss; or just wrong."""
    margin = tolerance.around(target)
    if target != 0:
        for factor, shift, finding in _misreadings(asked.dimension, asked.difference):
            if -margin <= (value - shift) / factor - target <= margin:  # no call: many are tried
                return finding
    return NEAR_MISS if abs(value - target) <= 3 * margin else WRONG


def _agrees(value: float, target: float, tolerance: Tolerance) -> bool:
    return abs(value - target) <= tolerance.around(target)


def _judge_other_unit(
    asked: Asked, reading: units.Reading, chain: _Chain, tolerance: Tolerance
) -> Finding:
    """A readable answer of another dimension than asked: no unit, or the unit of something else."""
    as_asked = reading.value * asked.factor + asked.offset
    dimension: Dimension = reading.dimension
    carried = chain.carried(asked)
    targets = [chain.key[asked.name]] if carried is None else [chain.key[asked.name], carried]
    right_number = any(_agrees(as_asked, target, tolerance) for target in targets)
    if dimension == DIMENSIONLESS and not reading.unit:
        return _judge_bare_number(asked, as_asked, right_number, chain, tolerance)
    for slip, slipped in chain.slips(asked, carried):
        if slip.answer.kind == dimension and _agrees(reading.si, slipped, tolerance):
            return Finding(Outcome.KNOWN_SLIP, slip.says, slip.name)
    asked_kind, given_kind = _kind_of(asked.dimension), _kind_of(dimension)
    if right_number:
        says = tr(
            "The number is right, but the unit belongs to {given_kind}; asked is {asked_kind}.",
            given_kind=given_kind,
            asked_kind=asked_kind,
        )
        return Finding(Outcome.UNIT_SLIP, says, "wrong unit")
    return Finding(
        Outcome.WRONG,
        tr(
            "Asked is {asked_kind}; the answer is {given_kind}.",
            asked_kind=asked_kind,
            given_kind=given_kind,
        ),
    )


def _kind_of(dimension: Dimension) -> str:
    """What people call such a quantity: "a mass", "an amount"."""
    for named in units.DIMENSIONS.values():
        exponents: Dimension = named.exponents
        if exponents == dimension:
            return f"{'an' if named.name[0] in 'aeiou' else 'a'} {named.name}"
    return tr("a quantity {describe_kind}", describe_kind=describe_kind(dimension))


def _judge_bare_number(
    asked: Asked, as_asked: float, right_number: bool, chain: _Chain, tolerance: Tolerance
) -> Finding:
    if right_number:
        says = tr("The number is right in {unit}, but it has no unit.", unit=asked.unit)
        finding = Finding(Outcome.UNIT_SLIP, says, "no unit")
    else:
        found = _explain(asked, as_asked, chain, tolerance)
        finding = found._replace(says=tr("{says} The unit is missing, too.", says=found.says))
    chain.takes_number(asked.name, as_asked, finding)
    return finding


# A common misreading: the answer is a factor times the target, plus a shift.
_Misreading = tuple[float, float, Finding]


def _factor(factor: float, outcome: Outcome, name: str, says: str) -> _Misreading:
    return factor, 0.0, Finding(outcome, says, name)


_THOUSAND_SAYS: Final = (
    "The figures are right, but the answer is out by a power of a thousand: "
    "look at the prefix of the unit (k, m, µ)."
)
_PREFIXES: Final = tuple(
    _factor(10.0**power, Outcome.UNIT_SLIP, "factor of a thousand", _THOUSAND_SAYS)
    for power in (3, -3, 6, -6)
)
_CELSIUS: Final = tuple(
    (
        1.0,
        shift,
        Finding(
            Outcome.UNIT_SLIP,
            tr(
                "Out by 273.15: a temperature in °C was taken for one in K, or the other way round."
            ),
            "Celsius for kelvin",
        ),
    )
    for shift in (ZERO_CELSIUS, -ZERO_CELSIUS)
)
_PERCENT: Final = tuple(
    _factor(
        factor,
        Outcome.UNIT_SLIP,
        "percent for fraction",
        tr(
            "Out by a factor of 100: a fraction was taken for a percentage, or the other way round."
        ),
    )
    for factor in (100.0, 0.01)
)
_CALORIES: Final = tuple(
    _factor(
        factor,
        Outcome.UNIT_SLIP,
        "calories for joules",
        tr("Out by a factor of 4.184: calories were taken for joules, or the other way round."),
    )
    for factor in (CALORIE, 1 / CALORIE)
)
_PLAIN_SLIPS: Final = (
    _factor(
        -1.0,
        Outcome.KNOWN_SLIP,
        "sign",
        tr("The size is right and the sign is not: which way does the quantity change?"),
    ),
    *(
        _factor(
            factor,
            Outcome.KNOWN_SLIP,
            "decimal point",
            tr("The figures are right, but the decimal point is in the wrong place."),
        )
        for factor in (10.0, 0.1, 100.0, 0.01)
    ),
    *(
        _factor(
            factor,
            Outcome.KNOWN_SLIP,
            "factor of two",
            tr("Out by a factor of two: look at the coefficients of the equation."),
        )
        for factor in (2.0, 0.5)
    ),
)


@cache
def _misreadings(dimension: Dimension, difference: bool) -> tuple[_Misreading, ...]:
    """The common misreadings that make sense for what is asked, the likeliest first."""
    if dimension == DIMENSIONLESS:
        return (*_PERCENT, *_PLAIN_SLIPS)
    if dimension == _TEMPERATURE:
        return _PLAIN_SLIPS if difference else (*_CELSIUS, *_PREFIXES, *_PLAIN_SLIPS)
    if dimension[:3] == (1, 2, -2):
        return (*_PREFIXES, *_CALORIES, *_PLAIN_SLIPS)
    return (*_PREFIXES, *_PLAIN_SLIPS)


_JUDGES: Final[dict[str, Callable[[Asked, str, _Chain, Tolerance], Finding]]] = {
    "number": _judge_number,
    "equation": _judge_equation,
    "choice": _judge_choice,
    "text": _judge_text,
}
