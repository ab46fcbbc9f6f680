"""Proving an exercise before anyone is set it: hundreds of figures are drawn, solved and compared.

What can be seen without figures (unknown names, dimensions that do not fit, holes that name
nothing) is refused as the file is loaded; here comes what only figures show.
"""

from collections.abc import Iterator, Mapping
from typing import Any, Final

from potash.errors import PotashError
from potash.exercises.exercise import Asked, Exercise, Slip
from potash.exercises.formula import FormulaFailed, fill
from potash.exercises.judging import judge
from potash.exercises.outcomes import Outcome
from potash.exercises.variants import draw_figures
from potash.exercises.writing import written
from potash.words import tr

_SEED: Final = b"potash proof figures"

# Constraints may turn away draws, but an exercise that turns away nearly all has the wrong ranges.
_LEAST_ALLOWED: Final = 0.05


class Unproved(PotashError):
    """An exercise fails for some figures; the message names them."""


def prove(exercise: Exercise, variants: int = 500) -> int:
    """Solve ``variants`` sets of figures, and give back how many met the constraints.

    For each of these the key is finite, no answer slips through zero under a relative tolerance,
    every choice is among the options, every equation balances, the key itself is marked correct
    as a student would type it, and each slip lies further from it than the tolerance.

    Raises: Unproved, naming exercise, question and figures.
    """
    signs: dict[str, bool] = {}
    told_apart: set[tuple[str, str]] = set()
    allowed = 0
    for draw in range(variants):
        figures = draw_figures(exercise, _SEED, "proof", "proof", draw)
        if not exercise.allows(exercise.values(figures)):
            continue
        values = _solve(exercise, figures)
        if not exercise.allows(values):
            continue
        allowed += 1
        for asked in exercise.asked:
            _prove_answer(exercise, asked, values, figures, signs)
            told_apart.update(_slips_apart(exercise, asked, values, figures))
        _prove_key_is_marked_right(exercise, values, figures)
    _prove_enough(exercise, allowed, variants)
    _prove_slips(exercise, told_apart)
    return allowed


def _solve(exercise: Exercise, figures: Mapping[str, str]) -> dict[str, Any]:
    try:
        return exercise.solve(figures)
    except FormulaFailed as reason:
        raise Unproved(
            tr(
                "{reason}. The figures were {told}.",
                reason=str(reason).rstrip(chr(46)),
                told=_told(figures),
            )
        ) from None


def _prove_answer(
    exercise: Exercise,
    asked: Asked,
    values: Mapping[str, Any],
    figures: Mapping[str, str],
    signs: dict[str, bool],
) -> None:
    where = f"{exercise.id}, {asked.name}"
    if asked.kind == "choice":
        options = [fill(option, values) for option in asked.options]
        if values[asked.name] not in options:
            raise Unproved(
                tr(
                    "{where}: the key {values!r} is none of the options {options}. The figures "
                    "were {told}.",
                    where=where,
                    values=values[asked.name],
                    options=", ".join(options),
                    told=_told(figures),
                )
            )
    if asked.kind == "number":
        positive = values[asked.name] > 0
        changed = signs.setdefault(asked.name, positive) != positive
        if changed and not asked.tolerance.absolute:
            raise Unproved(
                tr(
                    "{where}: the answer changes its sign from one student to the next, and a "
                    "relative tolerance shrinks to nothing in between; add a constraint or an "
                    "absolute tolerance. The figures were {told}.",
                    where=where,
                    told=_told(figures),
                )
            )


def _slips_apart(
    exercise: Exercise, asked: Asked, values: Mapping[str, Any], figures: Mapping[str, str]
) -> Iterator[tuple[str, str]]:
    for slip in asked.slips:
        try:
            slipped = slip.answer.evaluate(values)
        except FormulaFailed as reason:
            raise Unproved(
                tr(
                    "{exercise}, {asked}, slip {slip!r}: {reason}. The figures were {told}.",
                    exercise=exercise.id,
                    asked=asked.name,
                    slip=slip.name,
                    reason=reason,
                    told=_told(figures),
                )
            ) from None
        if _differs(asked, slip, slipped, values[asked.name]):
            yield asked.name, slip.name
        elif asked.kind == "number":
            raise Unproved(
                tr(
                    "{exercise}, {asked}, slip {slip!r}: it cannot be told from the right answer "
                    "within the tolerance. The figures were {told}.",
                    exercise=exercise.id,
                    asked=asked.name,
                    slip=slip.name,
                    told=_told(figures),
                )
            )


def _differs(asked: Asked, slip: Slip, slipped: Any, key: Any) -> bool:
    if asked.kind == "choice":
        return bool(slipped != key)
    if slip.answer.kind != asked.dimension:
        return True
    return bool(abs(slipped - key) > asked.tolerance.around(key))


def _prove_key_is_marked_right(
    exercise: Exercise, values: Mapping[str, Any], figures: Mapping[str, str]
) -> None:
    typed = {asked.name: written(asked, values) for asked in exercise.asked}
    for name, finding in judge(exercise, values, typed).items():
        if finding.outcome not in (Outcome.CORRECT, Outcome.TO_BE_READ) or finding.figures:
            raise Unproved(
                tr(
                    "{exercise}, {name}: the key typed as {typed!r} is marked {outcome} "
                    "{figures}: {says} The tolerance may be too narrow for the figures asked. The "
                    "figures given were {told}.",
                    exercise=exercise.id,
                    name=name,
                    typed=typed[name],
                    outcome=finding.outcome,
                    figures=finding.figures,
                    says=finding.says,
                    told=_told(figures),
                )
            )


def _prove_enough(exercise: Exercise, allowed: int, variants: int) -> None:
    if allowed < max(1, _LEAST_ALLOWED * variants):
        raise Unproved(
            tr(
                "{exercise}: only {allowed} of {variants} sets of figures meet the constraints; "
                "change the ranges so that most do.",
                exercise=exercise.id,
                allowed=allowed,
                variants=variants,
            )
        )


def _prove_slips(exercise: Exercise, told_apart: set[tuple[str, str]]) -> None:
    for asked in exercise.asked:
        for slip in asked.slips:
            if (asked.name, slip.name) not in told_apart:
                raise Unproved(
                    tr(
                        "{exercise}, {asked}, slip {slip!r}: it gives the right answer for every "
                        "set of figures.",
                        exercise=exercise.id,
                        asked=asked.name,
                        slip=slip.name,
                    )
                )


def _told(figures: Mapping[str, str]) -> str:
    return ", ".join(f"{name} = {shown}" for name, shown in figures.items()) or tr("none")
