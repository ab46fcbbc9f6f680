"""Balance the reaction: own coefficients against a count of atoms, then a hint, then the answer."""

import re
from collections.abc import Iterator, Mapping
from fractions import Fraction
from html import escape
from typing import Any

from potash import equations
from potash.equations import CannotBalance, Equation
from potash.errors import PotashError
from potash.panels.chapter_1 import electrons
from potash.panels.chapter_1.atom_counts import AtomCounts
from potash.panels.frame import controls, look
from potash.panels.frame.shell import Shell, in_words
from potash.words import tr

# Skeletons of the trade, to begin with; any other may be typed.
EXAMPLES = (
    "KOH + Mg -> K + MgO + H2",
    "CsCl + Ca -> Cs + CaCl2",
    "KOH + Na -> K + NaOH",
    "Li2O + Si -> Li + SiO2",
    "RbOH + Al -> Rb + Al2O3 + H2",
    "K + C3H8O -> C3H7OK + H2",
    "KO2 + H2O -> KOH + H2O2 + O2",
    "Mg + H2O -> MgO + H2",
    "MnO4^- + Fe^2+ + H+ -> Mn^2+ + Fe^3+ + H2O",
)
_MOST_SPECIES = 12
_NUMBER = re.compile(r"[0-9]{1,4}(/[0-9]{1,4})?")


class NotACoefficient(PotashError):
    """What stands in front of a formula is not a positive whole number or fraction."""


@in_words(tr("Balance the reaction"))
def balance() -> Shell:
    """An equation to balance: try, then ask for a hint, then for the answer."""
    return BalancePanel().shell


class BalancePanel:
    """One equation, a field a species, and the picture that counts."""

    def __init__(self) -> None:
        self.shell = Shell(
            tr("Balance the reaction"),
            tr(
                "Choose an equation or type one. Then change the numbers until both sides count "
                "alike."
            ),
        )
        self.example = controls.choice(
            tr("Equations of the trade"), EXAMPLES, EXAMPLES[0], width="380px"
        )
        self.typed = controls.text(
            tr("Equation, as you would write it"), EXAMPLES[0], width="420px"
        )
        self.coefficients: list[Any] = []
        self.fields = controls.row()
        self.shown = controls.html(height="34px")
        self.picture = controls.html(height="292px")
        self.standing = controls.html(height="48px")
        self.standing.add_class("potash-status")
        self.hint_button = controls.button(tr("Show a hint"))
        self.answer_button = controls.button(tr("Show the answer"))
        self.electrons_button = controls.button(tr("Oxidation numbers and electrons"))
        self.help = controls.html()
        self.help.add_class("potash-status")
        self.electrons = controls.html()
        self._counts: AtomCounts | None = None
        self._equation: Equation | None = None
        self._answer: Equation | None = None
        self._reason = ""
        self._hints_shown = 0
        self._tried = False
        self._lay_out()
        self.shell.guarded(self.begin)()

    def _lay_out(self) -> None:
        guarded = self.shell.guarded
        self.example.observe(guarded(self._take_example), "value")
        self.typed.observe(guarded(self.begin), "value")
        self.hint_button.on_click(guarded(self.show_hint))
        self.answer_button.on_click(guarded(self.show_answer))
        self.electrons_button.on_click(guarded(self.show_electrons))
        self.shell.fill(
            controls.row(self.example, self.typed),
            self.shell.message,
            self.shown,
            self.fields,
            self.standing,
            self.picture,
            controls.html(look.where_from("atoms counted")),
            controls.row(self.hint_button, self.answer_button, self.electrons_button),
            self.help,
            self.electrons,
        )

    def _take_example(self) -> None:
        self.typed.value = self.example.value

    # ------------------------------------------------------------------ what the student does

    def begin(self) -> None:
        """Read the typed equation and start over with all coefficients at 1."""
        self.shell.say("")
        equation = equations.read(self.typed.value)
        if len(equation.terms) > _MOST_SPECIES:
            raise equations.BadEquation(
                tr(
                    "The equation has {number} species; this panel counts at most {most}. Balance "
                    "a part of it, such as {example}.",
                    number=len(equation.terms),
                    most=_MOST_SPECIES,
                    example=EXAMPLES[0],
                )
            )
        self._equation = equation.with_coefficients([1] * len(equation.terms))
        self._answer, self._reason = _answer_or_reason(equation)
        self._hints_shown, self._tried = 0, False
        self._counts = None
        self.help.value, self.electrons.value = "", ""
        self._lay_fields(self._equation)
        self.count()

    def count(self) -> None:
        """Count atoms with the coefficients as they stand."""
        if self._equation is None:
            return
        self.shell.say(look.problem(self._reason) if self._reason else "")
        equation = self._now()
        self.shown.value = f'<span class="potash-equation">{equation.html}</span>'
        counts = equation.atom_counts()
        if self._counts is None or not self._counts.holds(counts):
            self._counts = AtomCounts(counts)
        self.picture.value = self._counts.to_html(counts)
        self.standing.value = self._standing(equation)
        self._enable()
        self.shell.keep(
            self.shown.value + self.picture.value + _counted(counts) + self.standing.value,
            "\n".join([str(equation), *_counted_in_text(counts)]),
        )

    def show_hint(self) -> None:
        """One hint more: which element is off, then the first coefficient."""
        self._hints_shown += 1
        self.help.value = "".join(
            f'<div class="potash-hint"><b>{tr("Hint {number}.", number=number)}</b> '
            f"{escape(hint)}</div>"
            for number, hint in enumerate(self._hints()[: self._hints_shown], 1)
        )
        self._enable()

    def show_answer(self) -> None:
        """The balanced equation, filled into the fields."""
        if self._answer is None:
            return
        for field, term in zip(self.coefficients, self._answer.terms, strict=True):
            field.value = str(term.coefficient)
        told = tr("With smallest whole numbers: {equation}", equation=self._answer.html)
        self.help.value = f'<div class="potash-good">{told}</div>'

    def show_electrons(self) -> None:
        """Oxidation numbers; electrons and half-equations too, once the student has balanced it."""
        if self._equation is not None:
            now = self._now()
            self.electrons.value = electrons.told(now if now.is_balanced else self._equation)

    # ------------------------------------------------------------------ what is shown

    def _lay_fields(self, equation: Equation) -> None:
        self.coefficients = []
        parts: list[Any] = []
        for number, term in enumerate(equation.terms):
            if number:
                first_right = number == len(equation.left)
                parts.append(
                    controls.html(f'<span class="potash-sign">{"→" if first_right else "+"}</span>')
                )
            field = controls.text(term.formula.text, "1", width="92px", live=True)
            field.add_class("potash-coefficient")
            field.observe(self.shell.guarded(self._changed), "value")
            self.coefficients.append(field)
            parts.append(field)
        self.fields.children = parts

    def _changed(self) -> None:
        self._tried = True
        self.count()

    def _standing(self, equation: Equation) -> str:
        if equation.is_balanced:
            if equation.is_smallest:
                return look.good(tr("Balanced, with the smallest whole numbers."))
            return look.note(tr("Balanced. Can all numbers be made smaller, or whole?"))
        off = [name for name, (left, right) in equation.atom_counts().items() if left != right]
        return look.note(tr("Not balanced yet: {off}.", off=", ".join(off)))

    def _now(self) -> Equation:
        """The equation with the numbers that stand in the fields."""
        assert self._equation is not None
        return self._equation.with_coefficients(_coefficient(one) for one in self.coefficients)

    def _hints(self) -> list[str]:
        if self._answer is None:
            return []
        first = self._answer.terms[0]
        return [
            equations.hint(self._now()),
            tr(
                "In the answer, {coefficient} stands in front of {first}.",
                coefficient=first.coefficient,
                first=first.formula.text,
            ),
        ]

    def _enable(self) -> None:
        balanced = self._answer is not None
        shown = self._hints_shown
        self.hint_button.disabled = not (balanced and self._tried) or shown >= 2
        self.answer_button.disabled = not (balanced and shown)
        self.hint_button.description = (
            tr("Another hint")
            if shown == 1
            else tr("No more hints")
            if shown > 1
            else tr("Show a hint")
        )
        if balanced and not self._tried:
            self.hint_button.description = tr("Hint (try first)")
        self.answer_button.description = (
            tr("Show the answer") if shown else tr("Answer (hint first)")
        )


def _answer_or_reason(equation: Equation) -> tuple[Equation | None, str]:
    try:
        answer = equations.balance(equation)
    except CannotBalance as error:
        return None, str(error)
    in_order = {term.formula.text: term.coefficient for term in answer.terms}
    if set(in_order) != {term.formula.text for term in equation.terms}:
        return None, tr("Some species take no part; without them: {answer}", answer=answer)
    return equation.with_coefficients(in_order[term.formula.text] for term in equation.terms), ""


def _coefficient(field: Any) -> Fraction | int:
    text = field.value.strip()
    whole, _, parts = text.partition("/")
    number = Fraction(0)
    if _NUMBER.fullmatch(text) and int(parts or 1):
        number = Fraction(int(whole), int(parts or 1))
    if not number:
        raise NotACoefficient(
            tr(
                "{text!r} in front of {description} is no coefficient. Type a whole number from 1 "
                "up, such as 2; a fraction such as 1/2 will do while you try.",
                text=text[:20],
                description=field.description,
            )
        )
    return number if number.denominator > 1 else int(number)


def _counted_in_text(counts: Mapping[str, tuple[Any, Any]]) -> Iterator[str]:
    for name, (left, right) in counts.items():
        yield tr("{name}: {left} left, {right} right", name=name, left=left, right=right)


def _counted(counts: Mapping[str, tuple[Any, Any]]) -> str:
    rows = [
        (name, str(left), str(right), tr("yes") if left == right else tr("no"))
        for name, (left, right) in counts.items()
    ]
    heads = (tr("Element"), tr("Left"), tr("Right"), tr("Alike"))
    return look.table(tr("Atoms counted"), heads, rows, origins=["atoms counted"])
