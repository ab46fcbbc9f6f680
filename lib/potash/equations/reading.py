"""Reading an equation as it is typed."""

import re
from collections.abc import Iterator
from fractions import Fraction

from potash.equations.equation import Equation, Number, Side, Term, whole
from potash.equations.errors import BadEquation
from potash.formulas import BadFormula, parse
from potash.words import tr

LONGEST = 2000  # characters
MOST_TERMS = 30
LARGEST_COEFFICIENT = 1_000_000

# Gas and precipitate arrows say nothing about atoms; the rest has a keyboard spelling.
_PLAIN = str.maketrans({"↑": " ", "↓": " ", "＋": "+", "−": "-", "–": "-", "\u00a0": " "})
# The hyphen of a free electron is no part of the arrow after it.
_ARROW = re.compile(r"<=+>|<-+>|=+>|(?<!^e)(?<![^A-Za-z]e)-+>|[⇌⇄⇋↔→⟶⟷➔⇒]|=+")
_PHASE = re.compile(r"\((?:s|l|g|aq|cr)\)")
_CARET_BEFORE = re.compile(r"\^[({]?\d*$")
_COEFFICIENT = re.compile(r" *(?P<number>\(\d+/\d+\)|\d+/\d+|\d+[.,]\d+|\d+|½)? *[·*]? *", re.ASCII)


def read(text: str) -> Equation:
    """The equation that ``text`` says, with the coefficients typed, or 1 where there is none.

    Arrows are ->, →, =, =>, ⇌, <=> and their like. Coefficients may be fractions ("1/2 O2").
    A plus sign parts two species, unless it ends a charge ("K+ + OH-", "Fe^3+", "H+(aq)").

    Raises: BadEquation, if there is no arrow, more than one, or nothing on a side; BadFormula, with
    the place in ``text``, if a formula is none.
    """
    if len(text) > LONGEST:
        raise BadEquation(
            tr(
                "An equation of {number} characters is not read; {limit} is the limit.",
                number=len(text),
                limit=LONGEST,
            )
        )
    plain = text.translate(_PLAIN)
    arrow = _only_arrow(text, plain)
    left = _terms(text, plain, 0, arrow.start(), "left")
    right = _terms(text, plain, arrow.end(), len(plain), "right")
    if len(left) + len(right) > MOST_TERMS:
        raise BadEquation(
            tr("An equation of more than {most} species is not read.", most=MOST_TERMS)
        )
    return Equation((*left, *right))


def _only_arrow(text: str, plain: str) -> re.Match[str]:
    arrows = list(_ARROW.finditer(plain))
    if not plain.strip():
        raise BadEquation(tr("The equation is empty. Write one such as KOH + Mg -> K + MgO + H2."))
    if not arrows:
        raise BadEquation(
            tr(
                "{quoted} has no arrow. Write -> (or =) between reactants and products.",
                quoted=_quoted(text),
            )
        )
    if len(arrows) > 1:
        raise BadEquation(
            tr(
                "{quoted} has {number} arrows. Write one equation with one arrow.",
                quoted=_quoted(text),
                number=len(arrows),
            )
        )
    arrow = arrows[0]
    if arrow[0].startswith("--") and plain[: arrow.start()][-1:] not in ("", " "):
        raise BadEquation(
            tr(
                "{quoted}: the hyphens before > can be a charge or part of the arrow. Write a "
                "space before the arrow.",
                quoted=_quoted(text),
            )
        )
    return arrow


def _terms(text: str, plain: str, start: int, end: int, side: Side) -> list[Term]:
    if not plain[start:end].strip():
        quoted = _quoted(text)
        if side == "left":
            raise BadEquation(tr("{quoted} has nothing on the left of the arrow.", quoted=quoted))
        raise BadEquation(tr("{quoted} has nothing on the right of the arrow.", quoted=quoted))
    return [_term(text, plain, *bounds, side) for bounds in _parted(plain, start, end)]


def _parted(plain: str, start: int, end: int) -> Iterator[tuple[int, int]]:
    """Where each term of one side begins and ends."""
    begin = start
    for plus in range(start, end):
        if plain[plus] == "+" and not _ends_charge(plain[start:end], plus - start):
            yield begin, plus
            begin = plus + 1
    yield begin, end


def _ends_charge(side: str, plus: int) -> bool:
    """Whether the plus sign at ``plus`` belongs to a charge and does not part two species."""
    before, after = side[:plus], side[plus + 1 :]
    if not before or before.isspace() or before[-1] == " ":
        return False
    following = after.lstrip()
    closes_caret = bool(_CARET_BEFORE.search(before[-6:]))
    return closes_caret or following[:1] in ("", "+") or bool(_PHASE.match(after))


def _term(text: str, plain: str, start: int, end: int, side: Side) -> Term:
    coefficient = _COEFFICIENT.match(plain, start, end)
    begin = coefficient.end() if coefficient else start
    written = coefficient["number"] if coefficient else None
    if begin >= end:
        raise BadFormula(tr("Here a species is missing."), text, min(start, len(text)), end - start)
    try:
        formula = parse(plain[begin:end].strip())
    except BadFormula as problem:
        raise problem.inside(text, begin) from None
    return Term(_number(text, written, start), formula, side)


def _number(text: str, written: str | None, position: int) -> Number:
    if written is None:
        return 1
    if written == "½":
        return Fraction(1, 2)
    above, _, below = written.strip("()").replace(",", ".").partition("/")
    if len(written) <= 16 and (not below or int(below)):
        number = Fraction(above) / int(below or 1)
        if 0 < number <= LARGEST_COEFFICIENT:
            return whole(number)
    raise BadFormula(
        tr(
            "A coefficient lies between 0 and {largest}; leave out what takes no part.",
            largest=LARGEST_COEFFICIENT,
        ),
        text,
        position + text[position:].find(written),
        len(written),
    )


def _quoted(text: str) -> str:
    return f'"{text[:80]}…"' if len(text) > 80 else f'"{text}"'
