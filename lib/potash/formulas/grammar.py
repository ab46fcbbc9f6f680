"""Reading a formula as it is typed: brackets, hydrates, charges and phase labels."""

import re
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType

from potash.formulas.advice import (
    ABBREVIATIONS,
    ELEMENTS_TAKEN_FOR_GROUPS,
    about_small_letters,
    about_symbol,
)
from potash.formulas.errors import BadFormula
from potash.formulas.formula import Formula, atomic_weights, signed
from potash.units.errors import excerpt
from potash.words import tr

LONGEST = 200  # characters
DEEPEST = 8  # brackets within brackets
LARGEST_COUNT = 9999

Atoms = dict[str, int | Fraction]

# One character for one, so that a position in the plain text is a position in the typed text.
_PLAIN = str.maketrans(
    {
        **dict(zip("₀₁₂₃₄₅₆₇₈₉", "0123456789", strict=True)),
        **dict.fromkeys("₊＋", "+"),
        **dict.fromkeys("₋−–‐‑‒﹣－", "-"),
        **dict.fromkeys("⋅•∙*×", "·"),
        **dict.fromkeys("\u00a0\u202f\u2009\t", " "),
    }
)
_RAISED = dict(zip("⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻", "0123456789+-", strict=True))

_PHASE = re.compile(r" *\((s|l|g|aq|cr|S|L|G|AQ|Aq|CR|Cr)\)$")
_RAISED_CHARGE = re.compile(r"(?:[⁰¹²³⁴⁵⁶⁷⁸⁹]*[⁺⁻]|[⁺⁻][⁰¹²³⁴⁵⁶⁷⁸⁹]+)$")
_CARET_CHARGE = re.compile(r"\^(?:\{[^}]*\}|\([^)]*\)|[\d+-]+)$", re.ASCII)
_ONE_CHARGE = re.compile(r"[1-9]?[+-]|[+-][1-9]")
_BARE_CHARGE = re.compile(r"(?:\+{1,4}|-{1,4})$")
_SIGN_FIRST = re.compile(r"(?P<sign>[+-])(?P<size>\d)$")
_LAST_COUNT = re.compile(r"(?P<last>[A-Z][a-z]?|[)\]}])(?P<count>\d+)$")

_TOKEN = re.compile(
    r"(?P<symbol>[A-Z][a-z]*)(?P<symbol_count>\d*)"
    r"|(?P<open>[(\[{])"
    r"|(?P<close>[)\]}])(?P<close_count>\d*)"
    r"|(?P<dot> *[·.] *| +x +)(?P<times>\d+/\d+|\d+[.,]\d+|\d+|[½¼¾])? *"
    r"|(?P<small>[a-z]+)",
    re.ASCII,
)
_VULGAR_FRACTIONS = {"½": Fraction(1, 2), "¼": Fraction(1, 4), "¾": Fraction(3, 4)}
_PAIRS = {")": "(", "]": "[", "}": "{"}
_SOLVATES = ("H2O", "NH3", "CH3OH", "C2H5OH", "HCl")


@lru_cache(maxsize=4096)
def parse(text: str) -> Formula:
    """The formula that ``text`` says.

    Understood are nested brackets of three kinds, hydrates with ``·``, ``*`` or ``.`` and a
    multiplier (KOH*H2O, CaSO4·0.5H2O), charges (Fe^3+, Cr2O7^2-, OH-, NH4+, SO₄²⁻), phase labels
    (s), (cr), (l), (g) and (aq), subscript digits, and ``e-`` for the electron.

    Raises: BadFormula, with the position of what is wrong and what would be right. Abbreviations
    (THF, EtOH), isotopes (D2O) and charges with two readings (Fe3+, SO42-) are refused.
    Source: IUPAC Red Book, Nomenclature of Inorganic Chemistry, 2005, IR-4.
    """
    if len(text) > LONGEST:
        raise BadFormula(
            tr(
                "A formula of {number} characters is not read; {limit} is the limit.",
                number=len(text),
                limit=LONGEST,
            ),
            text,
            0,
        )
    start = len(text) - len(text.lstrip())
    body = text.translate(_PLAIN).rstrip()
    body, phase = _without_phase(text, body)
    _refuse_whole(text, body[start:], start)
    body, charge = _without_charge(text, body, start)
    _refuse_whole(text, body[start:], start)
    electron = body[start:] == "e" and charge == -1
    spelling, atoms = ("e", {}) if electron else _Reader(text, body, start).read()
    ending = _spelled(charge, spelling) + (f"({phase})" if phase else "")
    return Formula(spelling + ending, MappingProxyType(atoms), charge, phase)


def _without_phase(text: str, body: str) -> tuple[str, str | None]:
    match = _PHASE.search(body)
    if not match:
        return body, None
    if not match[1].islower():
        small = match[1].lower()
        raise BadFormula(
            tr(
                "({match}) at the end can be read as atoms or as a phase label. Write the label "
                "({small}) in small letters.",
                match=match[1],
                small=small,
            ),
            text,
            match.start(),
            len(match[0]),
        )
    return body[: match.start()], match[1]


def _refuse_whole(text: str, body: str, start: int) -> None:
    """Refuse what is no formula as a whole, although parts of it could pass as one."""
    if not body:
        raise BadFormula(
            tr("There is no formula here. Write one such as KOH or MgSO4·7H2O."), text, 0
        )
    if body in ABBREVIATIONS:
        name, formula = ABBREVIATIONS[body]
        raise BadFormula(
            tr(
                "{body} is an abbreviation of {name}. Write its formula, {formula}.",
                body=body,
                name=name,
                formula=formula,
            ),
            text,
            start,
            len(body),
        )
    if body == "H20":
        raise BadFormula(
            tr("H20 is 20 atoms of hydrogen. Water is H2O, with a letter O."), text, start, 3
        )
    if body[0].isdigit() or body[0] in _RAISED:
        raise BadFormula(
            tr(
                "A formula does not begin with a number: coefficients belong in an equation, and "
                "isotopes are not read here."
            ),
            text,
            start,
        )


def _without_charge(text: str, body: str, start: int) -> tuple[str, int]:
    """``body`` without its charge, and the charge in elementary charges."""
    marked = _RAISED_CHARGE.search(body) or _CARET_CHARGE.search(body)
    if marked:
        written = "".join(_RAISED.get(sign, sign) for sign in marked[0]).strip("^{}()")
        if not _ONE_CHARGE.fullmatch(written):
            raise BadFormula(
                tr("Write the charge as a digit and a sign, as in Fe^3+ or SO4^2-."),
                text,
                marked.start(),
                len(marked[0]),
            )
        return body[: marked.start()], _charge(written)
    bare = _BARE_CHARGE.search(body)
    if bare:
        rest = body[: bare.start()]
        _refuse_two_readings(text, rest, bare[0], start)
        return rest, len(bare[0]) * _charge(bare[0][0])
    backwards = _SIGN_FIRST.search(body)
    if backwards:
        ion = f"{body[start : backwards.start()]}^{backwards['size']}{backwards['sign']}"
        raise BadFormula(tr("Write the charge as {ion}.", ion=ion), text, backwards.start(), 2)
    return body, 0


def _charge(written: str) -> int:
    size = int(written.strip("+-") or 1)
    return -size if "-" in written else size


def _refuse_two_readings(text: str, rest: str, signs: str, start: int) -> None:
    ion = rest[start:]
    if len(signs) > 1 or not _ends_in_doubt(ion):
        return
    raise BadFormula(
        tr(
            "{ion}{signs} can be read as {shorter}^{charge}{signs} or as {ion}^{signs}. Write the "
            "one you mean.",
            ion=ion,
            signs=signs,
            shorter=ion[:-1],
            charge=ion[-1],
        ),
        text,
        start,
        len(ion) + 1,
    )


def _ends_in_doubt(ion: str) -> bool:
    """Whether a sign right after ``ion`` leaves open if its last digit counts atoms or charge.

    So it is in Fe3+, [Fe(CN)6]4- and SO42-; in NH4+ and NO3- nobody takes the digit for the charge.
    """
    match = _LAST_COUNT.search(ion)
    if match is None:
        return False
    return match.start() == 0 or match["last"] in _PAIRS or len(match["count"]) > 1


def _spelled(charge: int, ion: str) -> str:
    if charge == 0:
        return ""
    return signed(charge) if abs(charge) == 1 and not _ends_in_doubt(ion) else f"^{signed(charge)}"


class _Reader:
    """One pass over the atoms of a formula, from left to right."""

    def __init__(self, text: str, body: str, start: int) -> None:
        self.text = text
        self.body = body
        self.position = start
        self.spelling: list[str] = []
        self.open: list[tuple[str, int]] = []
        self.groups: list[Atoms] = [{}]
        self.total: Atoms = {}
        self.times: int | Fraction = 1

    def read(self) -> tuple[str, Atoms]:
        """The formula in plain spelling, and its atoms."""
        while self.position < len(self.body):
            token = _TOKEN.match(self.body, self.position)
            if not token:
                sign = self.body[self.position]
                shown = tr("A space") if sign == " " else excerpt(sign)
                raise self._bad(tr("{shown} has no place inside a formula.", shown=shown))
            self._take(token)
            self.position = token.end()
        if self.open:
            bracket, self.position = self.open[-1]
            raise self._bad(tr("The bracket {bracket} is never closed.", bracket=bracket))
        self._end_part()
        self._refuse_groups()
        return "".join(self.spelling), self.total

    def _take(self, token: re.Match[str]) -> None:
        if token["small"]:
            raise self._bad(self._about_small(token), len(token["small"]))
        if token["symbol"]:
            self._symbol(token["symbol"], self._count(token, "symbol_count"))
        elif token["open"]:
            self._open(token["open"])
        elif token["close"]:
            self._close(token["close"], self._count(token, "close_count"))
        else:
            self._dot(token)
            return
        self.spelling.append(token[0])

    def _symbol(self, symbol: str, count: int) -> None:
        if symbol not in atomic_weights():
            raise self._bad(about_symbol(symbol), len(symbol))
        _add(self.groups[-1], symbol, count)

    def _open(self, bracket: str) -> None:
        if len(self.open) == DEEPEST:
            raise self._bad(tr("Brackets are read to a depth of {deepest}.", deepest=DEEPEST))
        self.open.append((bracket, self.position))
        self.groups.append({})

    def _close(self, bracket: str, count: int) -> None:
        if not self.open:
            raise self._bad(tr("The bracket {bracket} was never opened.", bracket=bracket))
        opened, _ = self.open.pop()
        if opened != _PAIRS[bracket]:
            raise self._bad(
                tr("The bracket {opened} is closed by {bracket}.", opened=opened, bracket=bracket)
            )
        group = self.groups.pop()
        if not group:
            raise self._bad(tr("There is nothing between these brackets."))
        for symbol, atoms in group.items():
            _add(self.groups[-1], symbol, atoms * count)

    def _dot(self, token: re.Match[str]) -> None:
        if self.open:
            raise self._bad(tr("The dot of a hydrate stands outside brackets."))
        self._end_part()
        addend = self.body[token.end() :]
        if "." in token["dot"] and not addend.startswith(_SOLVATES):
            raise self._bad(
                tr(
                    "A point is read as the dot of a hydrate, before H2O and the like, and never "
                    "as a decimal point: counts of atoms are whole. Write · or * for a dot."
                )
            )
        if addend[:1] in ("x", "n"):
            raise self._bad(
                tr("Write a number in place of {addend}, as in Na2CO3·10H2O.", addend=addend[0])
            )
        self.times = self._multiplier(token["times"])
        self.spelling.append("·" + (token["times"] or ""))

    def _multiplier(self, written: str | None) -> int | Fraction:
        if written is None:
            return 1
        times = _VULGAR_FRACTIONS.get(written)
        if times is None:
            over = written.partition("/")[2]
            if over and not int(over):
                raise self._bad(tr("Nothing can be divided by 0."))
            times = Fraction(written.replace(",", "."))
        if not 0 < times <= LARGEST_COUNT:
            raise self._bad(
                tr(
                    "A multiplier lies between 0 and {largest}, not at {written}.",
                    largest=LARGEST_COUNT,
                    written=written,
                )
            )
        return _whole(times)

    def _end_part(self) -> None:
        if not self.groups[0]:
            raise self._bad(tr("Here a formula is missing."))
        for symbol, atoms in self.groups[0].items():
            _add(self.total, symbol, atoms * self.times)
        self.groups = [{}]

    def _count(self, token: re.Match[str], name: str) -> int:
        written = token[name]
        if not written:
            return 1
        where = token.start(name) - self.position
        if written.startswith("0"):
            raise self._bad(
                tr(
                    "A number of atoms does not begin with 0. If oxygen is meant, type the letter "
                    "O."
                ),
                at=where,
            )
        if len(written) > len(str(LARGEST_COUNT)):
            raise self._bad(
                tr("Up to {largest} atoms are counted.", largest=LARGEST_COUNT),
                len(written),
                at=where,
            )
        return int(written)

    def _refuse_groups(self) -> None:
        for symbol, (group, formula, element) in ELEMENTS_TAKEN_FOR_GROUPS.items():
            if symbol in self.total and self.total.keys() & {"C", "H"}:
                self.position = self.body.index(symbol)
                raise self._bad(
                    tr(
                        "{symbol} can be read as {group} or as {element}. Write its atoms, "
                        "{formula}.",
                        symbol=symbol,
                        group=group,
                        element=element,
                        formula=formula,
                    ),
                    len(symbol),
                )

    def _about_small(self, token: re.Match[str]) -> str:
        if token["small"] == "e" and self.body == "e":
            return tr("Write the electron as e-.")
        return about_small_letters(token["small"])

    def _bad(self, reason: str, length: int = 1, at: int = 0) -> BadFormula:
        return BadFormula(reason, self.text, self.position + at, length)


def _add(atoms: Atoms, symbol: str, count: int | Fraction) -> None:
    atoms[symbol] = _whole(atoms.get(symbol, 0) + count)


def _whole(count: int | Fraction) -> int | Fraction:
    return int(count) if count == int(count) else count
