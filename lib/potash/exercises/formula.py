"""Safe formulas: what an exercise author may write, checked once, then evaluated quickly.

A formula is one line such as ``amount * molar_mass("KOH") / assay``. It is read with Python's own
grammar and then rebuilt, node by node, from the short list of things that are allowed: numbers,
names of givens and of earlier answers, ``+ - * / **``, comparisons with ``and``/``or``/``not``,
``a if condition else b``, text in quotes, and calls of the functions in
:mod:`potash.exercises.library`. There are no attributes, no indexing, no loops, no assignment, and
nothing is ever handed to ``eval``.

Values are plain floats in coherent SI units (kg, m, s, mol, K); the dimension of every step is
checked when the formula is compiled, so that a mass can never be added to a volume. Text values
(``"{metal}OH"`` with the given ``metal`` filled in) serve as arguments and as choices.
"""

import ast
import math
import operator
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from math import isfinite
from typing import Any, Final

from potash.errors import PotashError
from potash.exercises import library
from potash.exercises.library import DIMENSIONLESS, TEXT, TRUTH, Kind, describe_kind
from potash.words import tr

MAX_LENGTH: Final = 500
MAX_DEPTH: Final = 40
MAX_EXPONENT: Final = 12

Value = float | str | bool
Values = Mapping[str, Any]
Step = Callable[[Values], Any]

_HOLE = re.compile(r"\{([A-Za-z_]\w*)\}")


class FormulaRefused(PotashError):
    """A formula holds something that is not allowed, unknown, or does not fit in dimension."""


class FormulaFailed(PotashError):
    """A formula has no finite value for these figures."""


@dataclass(frozen=True, slots=True)
class Formula:
    """A checked formula: its text, what kind of value it gives, and the names it uses."""

    text: str
    kind: Kind
    names: frozenset[str]
    _step: Step = field(repr=False, compare=False)

    def evaluate(self, values: Values) -> Any:
        """The value for ``values`` (name to SI float or text): an SI float, a text or a truth.

        Raises: FormulaFailed, if there is no finite value, or a library function refuses.
        """
        try:
            value = self._step(values)
        except (ArithmeticError, ValueError) as reason:
            raise FormulaFailed(
                tr("formula `{text}` has no value: {reason}", text=self.text, reason=reason)
            ) from reason
        if type(value) is float and not isfinite(value):
            raise FormulaFailed(
                tr(
                    "formula `{text}` has no finite value: it gives {value}",
                    text=self.text,
                    value=value,
                )
            )
        return value


def compile_formula(text: str, scope: Mapping[str, Kind]) -> Formula:
    """Read and check ``text``; ``scope`` names the values it may use and the kind of each.

    Raises: FormulaRefused, which quotes the formula and says what would be right.
    """
    if len(text) > MAX_LENGTH:
        raise FormulaRefused(
            tr(
                "a formula may have {most} characters, this one has {number}",
                most=MAX_LENGTH,
                number=len(text),
            )
        )
    try:
        tree = ast.parse(text.strip(), mode="eval")
    except (SyntaxError, ValueError, RecursionError, MemoryError) as reason:
        raise FormulaRefused(
            tr("formula `{text}` cannot be read: {reason}", text=text, reason=reason)
        ) from None
    compiler = _Compiler(text, scope)
    kind, step = compiler.build(tree.body, 0)
    return Formula(text, kind, frozenset(compiler.names), step)


def compile_template(text: str, scope: Mapping[str, Kind]) -> Formula:
    """A text with ``{given}`` holes, such as the equation ``{metal}OH + Mg -> {metal} + MgO + H2``.

    Raises: FormulaRefused, if a hole names nothing in ``scope`` or a number.
    """
    compiler = _Compiler(text, scope)
    return Formula(text, TEXT, frozenset(_HOLE.findall(text)), compiler.fill_holes(text))


def fill(text: str, shown: Mapping[str, str]) -> str:
    """``text`` with every ``{name}`` hole replaced by its figure as ``shown``."""
    return _HOLE.sub(lambda hole: shown[hole[1]], text) if "{" in text else text


def holes(text: str) -> set[str]:
    """The names of the ``{name}`` holes in ``text``."""
    return set(_HOLE.findall(text))


# Written out, since a call of operator.add and the like would take longer than adding.
_ARITHMETIC: Final[dict[type[ast.operator], Callable[[Step, Step], Step]]] = {
    ast.Add: lambda left, right: lambda values: left(values) + right(values),
    ast.Sub: lambda left, right: lambda values: left(values) - right(values),
    ast.Mult: lambda left, right: lambda values: left(values) * right(values),
    ast.Div: lambda left, right: lambda values: left(values) / right(values),
}
_COMPARISONS: Final[dict[type[ast.cmpop], Callable[[Any, Any], bool]]] = {
    ast.Lt: operator.lt,
    ast.LtE: operator.le,
    ast.Gt: operator.gt,
    ast.GtE: operator.ge,
    ast.Eq: operator.eq,
    ast.NotEq: operator.ne,
}


class _Compiler:
    """Turns a syntax tree into closures, one per node, refusing whatever is not on the list."""

    def __init__(self, text: str, scope: Mapping[str, Kind]) -> None:
        self.text = text
        self.scope = scope
        self.names: set[str] = set()

    def build(self, node: ast.expr, depth: int) -> tuple[Kind, Step]:
        if depth > MAX_DEPTH:
            raise self.refuse(tr("is nested deeper than {most} levels", most=MAX_DEPTH))
        match node:
            case ast.Constant():
                return self.constant(node.value)
            case ast.Name():
                return self.name(node.id)
            case ast.UnaryOp():
                return self.sign(node, depth)
            case ast.BinOp(op=ast.Pow()):
                return self.power(node, depth)
            case ast.BinOp() if type(node.op) in _ARITHMETIC:
                return self.arithmetic(node, depth)
            case ast.Compare():
                return self.comparison(node, depth)
            case ast.BoolOp():
                return self.logic(node, depth)
            case ast.IfExp():
                return self.condition(node, depth)
            case ast.Call():
                return self.call(node, depth)
        raise self.refuse(
            tr(
                "holds `{unparse}`, which a formula may not use; allowed are numbers, names, + - "
                "* / **, comparisons, `a if condition else b` and the library's functions",
                unparse=ast.unparse(node),
            )
        )

    def refuse(self, what: str) -> FormulaRefused:
        return FormulaRefused(f"formula `{self.text}` {what}")

    def constant(self, value: object) -> tuple[Kind, Step]:
        if isinstance(value, str):
            return TEXT, self.fill_holes(value)
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self.refuse(
                tr("holds {value!r}, which is neither a number nor a text", value=value)
            )
        try:
            number = float(value)
        except OverflowError:
            raise self.refuse(tr("holds a number that is too large")) from None
        if not isfinite(number):
            raise self.refuse(tr("holds a number that is too large"))
        return DIMENSIONLESS, lambda values: number

    def fill_holes(self, text: str) -> Step:
        names = _HOLE.findall(text)
        if "{" in _HOLE.sub("", text) or "}" in _HOLE.sub("", text):
            raise self.refuse(tr("has a brace that is not a {name} hole"))
        for name in names:
            if self.name(name)[0] != TEXT:
                raise self.refuse(
                    tr(
                        "puts the number `{name}` into a text; only text givens fit there",
                        name=name,
                    )
                )
        if not names:
            return lambda values: text
        return text.format_map  # a brace opens nothing but the name of a text here

    def name(self, name: str) -> tuple[Kind, Step]:
        if name in self.scope:
            self.names.add(name)
            return self.scope[name], operator.itemgetter(name)
        constant = library.constants().get(name)
        if constant is not None:
            return constant.kind, lambda values: constant.value
        known = ", ".join(sorted([*self.scope, *library.constants()]))
        raise self.refuse(
            tr("uses `{name}`, which is not known here; known are {known}", name=name, known=known)
        )

    def sign(self, node: ast.UnaryOp, depth: int) -> tuple[Kind, Step]:
        kind, inner = self.build(node.operand, depth + 1)
        if isinstance(node.op, ast.Not):
            self.expect(kind, TRUTH, node.operand)
            return TRUTH, lambda values: not inner(values)
        self.expect_number(kind, node.operand)
        if isinstance(node.op, ast.USub):
            return kind, lambda values: -inner(values)
        if isinstance(node.op, ast.UAdd):
            return kind, inner
        raise self.refuse(tr("uses `~`, which a formula may not use"))

    def arithmetic(self, node: ast.BinOp, depth: int) -> tuple[Kind, Step]:
        left_kind, left = self.build(node.left, depth + 1)
        right_kind, right = self.build(node.right, depth + 1)
        left_dimension = self.expect_number(left_kind, node.left)
        right_dimension = self.expect_number(right_kind, node.right)
        if isinstance(node.op, ast.Mult | ast.Div):
            turn = 1 if isinstance(node.op, ast.Mult) else -1
            kind = tuple(a + turn * b for a, b in zip(left_dimension, right_dimension, strict=True))
        else:
            self.expect(right_kind, left_kind, node.right)
            kind = left_dimension
        return kind, _ARITHMETIC[type(node.op)](left, right)

    def power(self, node: ast.BinOp, depth: int) -> tuple[Kind, Step]:
        base_kind, base = self.build(node.left, depth + 1)
        base_dimension = self.expect_number(base_kind, node.left)
        before = set(self.names)
        exponent_kind, exponent = self.build(node.right, depth + 1)
        self.expect(exponent_kind, DIMENSIONLESS, node.right)
        if base_dimension == DIMENSIONLESS:
            return DIMENSIONLESS, lambda values: math.pow(base(values), exponent(values))
        if self.names != before or any(isinstance(part, ast.Call) for part in ast.walk(node.right)):
            raise self.refuse(
                tr(
                    "raises {describe_kind} to a power that is not a plain number",
                    describe_kind=describe_kind(base_kind),
                )
            )
        fixed = self.fixed_exponent(exponent)
        return (
            tuple(part * fixed for part in base_dimension),
            lambda values: math.pow(base(values), fixed),
        )

    def fixed_exponent(self, exponent: Step) -> float:
        try:
            fixed = float(exponent({}))
        except (ArithmeticError, ValueError) as reason:
            raise self.refuse(
                tr("has an exponent without a value: {reason}", reason=reason)
            ) from None
        if abs(fixed) > MAX_EXPONENT:
            raise self.refuse(
                tr(
                    "has the exponent {fixed:g}; at most {most} is allowed",
                    fixed=fixed,
                    most=MAX_EXPONENT,
                )
            )
        return fixed

    def comparison(self, node: ast.Compare, depth: int) -> tuple[Kind, Step]:
        parts = [self.build(part, depth + 1) for part in (node.left, *node.comparators)]
        tests: list[tuple[Step, Callable[[Any, Any], bool], Step]] = []
        pairs = zip(parts, parts[1:], node.ops, node.comparators, strict=False)
        for (kind, left), (other, right), sign, shown in pairs:
            self.expect(other, kind, shown)
            if type(sign) not in _COMPARISONS:
                raise self.refuse(tr("compares with `in` or `is`; use < <= > >= == !="))
            if kind == TEXT and not isinstance(sign, ast.Eq | ast.NotEq):
                raise self.refuse(tr("orders texts; texts can only be == or !="))
            tests.append((left, _COMPARISONS[type(sign)], right))
        return TRUTH, lambda values: all(
            compare(left(values), right(values)) for left, compare, right in tests
        )

    def logic(self, node: ast.BoolOp, depth: int) -> tuple[Kind, Step]:
        steps: list[Step] = []
        for part in node.values:
            kind, step = self.build(part, depth + 1)
            self.expect(kind, TRUTH, part)
            steps.append(step)
        combine = all if isinstance(node.op, ast.And) else any
        return TRUTH, lambda values: combine(step(values) for step in steps)

    def condition(self, node: ast.IfExp, depth: int) -> tuple[Kind, Step]:
        test_kind, test = self.build(node.test, depth + 1)
        self.expect(test_kind, TRUTH, node.test)
        kind, yes = self.build(node.body, depth + 1)
        other, no = self.build(node.orelse, depth + 1)
        self.expect(other, kind, node.orelse)
        return kind, lambda values: yes(values) if test(values) else no(values)

    def call(self, node: ast.Call, depth: int) -> tuple[Kind, Step]:
        name = node.func.id if isinstance(node.func, ast.Name) else ast.unparse(node.func)
        if node.keywords or any(isinstance(part, ast.Starred) for part in node.args):
            raise self.refuse(
                tr("calls {name} with named or starred values; give them in order", name=name)
            )
        if name in library.GENERIC:
            return self.generic_call(name, node, depth)
        function = library.functions().get(name)
        if function is None:
            known = ", ".join(sorted([*library.GENERIC, *library.functions()]))
            raise self.refuse(
                tr(
                    "calls `{name}`, which is not in the library; known are {known}",
                    name=name,
                    known=known,
                )
            )
        if len(node.args) != len(function.arguments):
            raise self.refuse(
                tr(
                    "gives {name} {number} values; it takes {signature}",
                    name=name,
                    number=len(node.args),
                    signature=function.signature,
                )
            )
        steps: list[Step] = []
        for part, wanted in zip(node.args, function.arguments, strict=True):
            kind, step = self.build(part, depth + 1)
            self.expect(kind, wanted, part)
            steps.append(step)
        return function.result, _calling(function.call, steps)

    def generic_call(self, name: str, node: ast.Call, depth: int) -> tuple[Kind, Step]:
        if name == "quantity":
            return self.literal_quantity(node)
        if not node.args or (name in {"abs", "sqrt"} and len(node.args) != 1):
            raise self.refuse(tr("gives {name} {number} values", name=name, number=len(node.args)))
        built = [self.build(part, depth + 1) for part in node.args]
        dimension = self.expect_number(built[0][0], node.args[0])
        for (kind, _), part in zip(built[1:], node.args[1:], strict=True):
            self.expect(kind, dimension, part)
        steps = [step for _, step in built]
        if name == "sqrt":
            return tuple(part / 2 for part in dimension), _calling(math.sqrt, steps)
        return dimension, _calling(_SAME_DIMENSION[name], steps)

    def literal_quantity(self, node: ast.Call) -> tuple[Kind, Step]:
        match node.args:
            case [ast.Constant(value=str(text))]:
                kind, number = library.read_quantity(text)
                return kind, lambda values: number
        raise self.refuse(
            tr('wants quantity("...") to hold one typed quantity, such as "273.15 K"')
        )

    def expect(self, kind: Kind, wanted: Kind, node: ast.expr) -> None:
        if kind != wanted:
            raise self.refuse(
                tr(
                    "has `{unparse}`, which is {describe_kind}, where {wanted} is needed",
                    unparse=ast.unparse(node),
                    describe_kind=describe_kind(kind),
                    wanted=describe_kind(wanted),
                )
            )

    def expect_number(self, kind: Kind, node: ast.expr) -> tuple[float, ...]:
        if isinstance(kind, str):
            raise self.refuse(
                tr(
                    "has `{unparse}`, which is {describe_kind}, where a number is needed",
                    unparse=ast.unparse(node),
                    describe_kind=describe_kind(kind),
                )
            )
        return kind


_SAME_DIMENSION: Final[dict[str, Callable[..., float]]] = {
    "abs": abs,
    "min": lambda *values: min(values),
    "max": lambda *values: max(values),
}


def _calling(call: Callable[..., Any], steps: list[Step]) -> Step:
    # One and two arguments are by far the most common; a star call costs twice as much.
    if len(steps) == 1:
        only = steps[0]
        return lambda values: call(only(values))
    if len(steps) == 2:
        first, second = steps
        return lambda values: call(first(values), second(values))
    return lambda values: call(*(step(values) for step in steps))
