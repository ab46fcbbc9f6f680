"""Oxidation numbers of an equation's species, and the electrons that change hands in it."""

from fractions import Fraction

from potash import equations
from potash.equations import Equation
from potash.errors import PotashError
from potash.panels.frame import look
from potash.words import tr


def told(equation: Equation) -> str:
    """A table of oxidation numbers; for a balanced equation, its electrons and half-equations."""
    below = _electrons(equation) if equation.is_balanced else _WAIT
    heads = (tr("Species"), tr("Oxidation numbers"))
    return look.table(tr("Oxidation numbers"), heads, _rows(equation), origins=_ORIGINS) + below


_ORIGINS = ("oxidation numbers", "electrons transferred")
_WAIT = look.note(tr("Electrons and half-equations appear once the equation is balanced."))


def _rows(equation: Equation) -> list[tuple[str, str]]:
    formulas = dict.fromkeys(term.formula for term in equation.terms)
    rows = []
    for formula in formulas:
        try:
            numbers = equations.oxidation_numbers(formula)
        except PotashError as error:
            rows.append((formula.text, str(error)))
        else:
            shown = ", ".join(f"{element} {_signed(n)}" for element, n in numbers.items())
            rows.append((formula.text, shown))
    return rows


def _electrons(equation: Equation) -> str:
    try:
        count = equations.electrons_transferred(equation)
    except PotashError as error:
        return look.note(str(error))
    if not count:
        return look.note(tr("No electrons change hands: this is no redox reaction."))
    passed = look.note(
        tr("Electrons that change hands in the equation as written: {count}.", count=count)
    )
    try:
        oxidation, reduction = equations.half_equations(equation)
    except PotashError as error:
        return passed + look.note(str(error))
    told = (
        tr("Oxidation: {half_equation}", half_equation=oxidation.html),
        tr("Reduction: {half_equation}", half_equation=reduction.html),
    )
    return f'{passed}<div class="potash-note">{"<br>".join(told)}</div>'


def _signed(number: int | Fraction) -> str:
    return f"{number:+}".replace("-", "\u2212") if number else "0"
