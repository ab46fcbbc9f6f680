"""Loading exercises from files: how an exercise is written, and every check made on it.

A file holds one chapter's exercises as TOML. Nothing in it is a program: answers are formulas of
:mod:`potash.exercises.formula`, whose dimensions are checked as the file is loaded.

.. code-block:: toml

    chapter = 2                          # the chapter of every exercise in this file

    [[exercise]]
    id = "weigh-hydroxide"               # lower case, digits and hyphens; never changes again
    title = "Weigh out the hydroxide"
    outcome = "Correct a weighed mass for its assay."       # what a student can do afterwards
    # {holes} are the givens; blank lines part paragraphs, an equation has a line of its own;
    # formulas are typed as H2O and shown as H₂O
    text = "You need {amount} of KOH. The label says {assay} KOH."
    caution = "Potassium hydroxide burns skin and eyes."
    hints = ["How much pure KOH is that?", "Only part of what you weigh is KOH."]
    constraints = ['mass < quantity("20 g")']               # must hold for figures and answers

    [exercise.given.amount]              # a range: every step of it may be drawn
    from = 0.100                         # decimals are shown as written: 0.100, 0.105, 0.110
    to = 0.200
    step = 0.005
    unit = "mol"

    [exercise.given.assay]               # or a list to choose from
    choices = [84.5, 85.0, 86.5]
    unit = "%"

    [exercise.given.metal]               # words serve too: {metal} in text and in formulas
    choices = ["Na", "K"]

    [[exercise.asked]]                   # the chain: a later answer may use an earlier one's name
    name = "mass"
    prompt = "Mass to weigh out"
    unit = "g"
    answer = 'amount * molar_mass("KOH") / assay'
    tolerance = { relative = 0.01 }      # or absolute = "0.5 K", or figures = 3; the widest counts
    figures = 3                          # significant figures to give (one more is accepted)

    [[exercise.asked.slip]]              # what a known mistake gives; it may use the right answer
    name = "assay forgotten"
    says = "This is the mass of pure KOH; what you weigh holds less than that."
    answer = "mass * assay"

A question has a ``kind``. Left out, it is ``"number"``, as above. The other kinds:

* ``kind = "equation"``: ``answer = "{metal}OH + Mg -> {metal} + MgO + H2"``. The library balances
  it; the student's equation counts if its species and whole-number ratio agree. Multiples,
  reversal and unbalanced elements are recognised without further slips.
* ``kind = "choice"``: ``options = ["KOH", "Mg"]`` and a formula that gives one of them:
  ``answer = '"KOH" if n_hydroxide < n_magnesium else "Mg"'``.
* ``kind = "text"``: free text, for a person to mark; ``notes`` tell that person what to look for.

Formulas see the givens and the earlier answers, all in SI, so no unit factor is ever written:
write ``quantity("22.7 L/mol")`` for a constant, ``R`` and ``N_A`` for those of nature. A
temperature given or asked in degC is in kelvin inside formulas; ``difference = true`` marks an
asked temperature difference, where 5 °C means 5 K. The functions are listed in
:mod:`potash.exercises.library`.

``potash assign COURSE.toml --check`` proves each exercise of a course over 500 sets of figures.
"""

import re
import tomllib
from collections.abc import Container, Iterator, Mapping, Sequence
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any, Final, TypeVar

from potash import units
from potash.errors import PotashError
from potash.exercises import library
from potash.exercises.exercise import (
    Asked,
    Exercise,
    Given,
    Slip,
    Tolerance,
    shown_figure,
    shown_unit,
)
from potash.exercises.formula import Formula, compile_formula, compile_template, holes
from potash.exercises.library import TEXT, TRUTH, Kind
from potash.exercises.schemas import check
from potash.files import read_capped
from potash.formulas import SUBSCRIPTS
from potash.words import tr
from potash.words.tables import in_language

MAX_FILE: Final = 1_000_000
MAX_CHOICES: Final = 10_000

SomeExercise = TypeVar("SomeExercise")

_BANK: Final = Path(__file__).with_name("bank")
# A count of atoms follows a symbol, a bracket or a hole; no charge and no year is one.
_HOLE_OR_COUNT: Final = re.compile(
    r"(\{\w+\})|(?:(?<=[A-Z])|(?<=[A-Z][a-z])|(?<=[)}]))(\d{1,2})(?![\d+]|[-\u2212](?![a-z]))"
)


class BadExercise(PotashError):
    """An exercise file cannot be used; the message names file, exercise and field."""


class UnknownExercise(PotashError):
    """No exercise has this id."""


@cache
def bank() -> Mapping[str, Exercise]:
    """Every exercise that comes with the library, by id, in order of chapter.

    Raises: BadExercise.
    """
    exercises: dict[str, Exercise] = {}
    for path in files():
        add(exercises, load(path), path.name)
    return exercises


def of_chapter(chapter: int | None) -> list[Exercise]:
    """The exercises of a chapter of the bank, or of all chapters.

    Raises: UnknownExercise, if there are none.
    """
    everything = bank().values()
    found = [one for one in everything if chapter in (None, one.chapter)]
    if not found:
        known = sorted({str(one.chapter) for one in everything})
        raise UnknownExercise(
            tr(
                "no exercise belongs to chapter {chapter}; there are some for {known}.",
                chapter=chapter,
                known=", ".join(known),
            )
        )
    return found


def files() -> list[Path]:
    """The files of the bank, one a chapter."""
    return sorted(_BANK.glob("*.toml"))


def add(
    exercises: dict[str, Exercise], more: Sequence[Exercise], where: str
) -> dict[str, Exercise]:
    """Put ``more`` into ``exercises``.

    Raises: BadExercise, if an id is there already.
    """
    for exercise in more:
        if exercise.id in exercises:
            raise BadExercise(
                tr(
                    "{where}: the id {exercise!r} belongs to another exercise already; give this "
                    "one an id of its own.",
                    where=where,
                    exercise=exercise.id,
                )
            )
        exercises[exercise.id] = exercise
    return exercises


def find(exercise_id: str, among: Mapping[str, SomeExercise]) -> SomeExercise:
    """The exercise called ``exercise_id`` ``among`` those by id.

    Raises: UnknownExercise, naming the nearest ids.
    """
    from difflib import get_close_matches

    if exercise_id in among:
        return among[exercise_id]
    near = get_close_matches(exercise_id, among, n=3) or sorted(among)[:8]
    raise UnknownExercise(
        tr(
            "no exercise is called {exercise_id!r}. Did you mean {near}?",
            exercise_id=exercise_id,
            near=tr(" or ").join(near),
        )
    )


def load(path: Path) -> tuple[Exercise, ...]:
    """The exercises of one file.

    Raises: BadExercise, naming file, exercise and field; OSError, if it cannot be read.
    """
    return read(read_capped(path, MAX_FILE), path.name)


def read(text: str | bytes, where: str) -> tuple[Exercise, ...]:
    """The exercises in ``text``; ``where`` names the file in errors.

    Raises: BadExercise.
    """
    try:
        content = text.decode("utf-8-sig") if isinstance(text, bytes) else text
        # Decimals keep the zeros that the author wrote: 0.100 is shown as 0.100.
        data = tomllib.loads(content, parse_float=Decimal)
        check("exercises", data, where)
        data = in_language(data, "exercises/bank/*.toml")
    except (PotashError, ValueError, RecursionError) as reason:
        raise BadExercise(
            f"{where}: {reason}" if where not in str(reason) else str(reason)
        ) from None
    return tuple(_exercise(row, data["chapter"], where) for row in data["exercise"])


def _exercise(row: Mapping[str, Any], chapter: int, where: str) -> Exercise:
    place = tr("{where}, exercise {exercise}", where=where, exercise=row["id"])
    givens = tuple(
        _given(name, spec, tr("{place}, given {name}", place=place, name=name))
        for name, spec in row.get("given", {}).items()
    )
    scope: dict[str, Kind] = {}
    for given in givens:
        _check_name(scope, given.name, place)
        scope[given.name] = given.kind
    asked = tuple(_chain(row["asked"], scope, place))
    exercise = Exercise(
        id=row["id"],
        chapter=chapter,
        title=_written(row["title"]),
        text=_written(_paragraphs(row["text"])),
        outcome=_written(row["outcome"]),
        caution=_written(row["caution"]),
        hints=tuple(map(_written, row.get("hints", ()))),
        givens=givens,
        constraints=tuple(_constraints(row.get("constraints", ()), scope, place)),
        asked=asked,
    )
    _check_holes(exercise, place)
    return exercise


def _paragraphs(text: str) -> str:
    """``text`` with its lines joined to paragraphs; an equation on its own line is one, too."""
    paragraphs = [""]
    for line in text.strip().splitlines():
        if not line.strip() or _is_equation(line):
            paragraphs += [line.strip(), ""]
        else:
            paragraphs[-1] = f"{paragraphs[-1]} {line.strip()}".strip()
    return "\n\n".join(filter(None, paragraphs))


def _written(text: str) -> str:
    """``text`` with the counts in its formulas below the line, also after a hole: "{metal}₂O"."""
    return _HOLE_OR_COUNT.sub(lambda found: found[1] or found[2].translate(SUBSCRIPTS), text)


def _is_equation(line: str) -> bool:
    return "->" in line and not re.search("[a-z]{3}", re.sub(r"\{\w+\}", "", line))


def _check_name(taken: Container[str], name: str, place: str) -> None:
    if name in taken:
        raise BadExercise(
            tr("{place}: two givens or questions are called {name!r}.", place=place, name=name)
        )
    if name in library.constants():
        raise BadExercise(
            tr(
                "{place}: {name!r} is a constant of the library; choose another name.",
                place=place,
                name=name,
            )
        )


def _given(name: str, spec: Mapping[str, Any], place: str) -> Given:
    if not name.isidentifier():
        raise BadExercise(
            tr("{place}: a name is made of letters, digits and _, and no digit first.", place=place)
        )
    choices: list[Any] = list(spec["choices"] if "choices" in spec else _steps(spec, place))
    unit = spec.get("unit", "")
    if all(isinstance(choice, str) for choice in choices):
        if unit:
            raise BadExercise(
                tr(
                    "{place}: words have no unit; leave out unit = {unit!r}.",
                    place=place,
                    unit=unit,
                )
            )
        return Given(name, TEXT, {choice: choice for choice in choices}, tuple(choices))
    if any(isinstance(choice, str) for choice in choices):
        raise BadExercise(tr("{place}: the choices are partly words, partly numbers.", place=place))
    figures: dict[str, float | str] = {}
    try:
        for choice in choices:
            figures[shown_figure(str(choice), unit)] = units.read(f"{choice} {unit}").si
        return Given(name, library.dimension_of(unit), figures, tuple(figures))
    except units.UnreadableQuantity as reason:
        raise BadExercise(f"{place}: {reason}") from None


def _steps(spec: Mapping[str, Any], place: str) -> Iterator[Decimal]:
    first, last, step = (Decimal(spec[key]) for key in ("from", "to", "step"))
    if not (step > 0 and last >= first and all(x.is_finite() for x in (first, last, step))):
        raise BadExercise(
            tr(
                "{place}: from {first} to {last} in steps of {step} is not a range.",
                place=place,
                first=first,
                last=last,
                step=step,
            )
        )
    count = int((last - first) / step) + 1
    if count > MAX_CHOICES:
        raise BadExercise(
            tr(
                "{place}: the range has {count} steps; at most {most} are used.",
                place=place,
                count=count,
                most=MAX_CHOICES,
            )
        )
    return (first + index * step for index in range(count))


def _chain(
    rows: Sequence[Mapping[str, Any]], scope: dict[str, Kind], place: str
) -> Iterator[Asked]:
    taken = set(scope)
    for row in rows:
        _check_name(taken, row["name"], place)
        taken.add(row["name"])
        shown = {**row, "prompt": _written(row["prompt"])}
        asked = _asked(shown, scope, tr("{place}, asked {name}", place=place, name=row["name"]))
        kind = _kind_in_formulas(asked)
        if kind is not None:
            scope[asked.name] = kind
        yield asked


def _kind_in_formulas(asked: Asked) -> Kind | None:
    """What later formulas may do with an answer; nothing refers to equations and free text."""
    if asked.kind == "number":
        return asked.dimension
    return TEXT if asked.kind == "choice" else None


def _asked(row: Mapping[str, Any], scope: Mapping[str, Kind], place: str) -> Asked:
    match row.get("kind", "number"):
        case "text":
            return Asked(row["name"], row["prompt"], "text", None, notes=row.get("notes", ""))
        case "equation":
            _require(row, ("answer",), place)
            template = _template(row["answer"], scope, tr("{place}, answer", place=place))
            return Asked(row["name"], row["prompt"], "equation", template)
        case "choice":
            return _choice(row, scope, place)
    return _number(row, scope, place)


def _choice(row: Mapping[str, Any], scope: Mapping[str, Kind], place: str) -> Asked:
    _require(row, ("answer", "options"), place)
    for option in row["options"]:
        _template(option, scope, tr("{place}, options", place=place))
    return Asked(
        row["name"],
        row["prompt"],
        "choice",
        _formula(row["answer"], scope, TEXT, tr("{place}, answer", place=place)),
        options=tuple(row["options"]),
        slips=tuple(_slips(row, scope, TEXT, place)),
    )


def _number(row: Mapping[str, Any], scope: Mapping[str, Kind], place: str) -> Asked:
    _require(row, ("answer", "unit", "tolerance"), place)
    unit = row["unit"]
    try:
        dimension = library.dimension_of(unit)
        zero, one = (units.read(f"{number} {unit}").si for number in (0, 1))
    except units.UnreadableQuantity as reason:
        raise BadExercise(tr("{place}, unit: {reason}", place=place, reason=reason)) from None
    difference = row.get("difference", False)
    return Asked(
        row["name"],
        row["prompt"],
        "number",
        _formula(row["answer"], scope, dimension, tr("{place}, answer", place=place)),
        unit=shown_unit(unit),
        dimension=dimension,
        factor=one - zero,
        offset=0.0 if difference else zero,
        difference=difference,
        tolerance=tolerance(row["tolerance"], dimension, tr("{place}, tolerance", place=place)),
        figures=row.get("figures"),
        slips=tuple(_slips(row, scope, dimension, place)),
    )


def tolerance(spec: Mapping[str, Any], dimension: Kind, place: str) -> Tolerance:
    """A tolerance as exercise and course files write it.

    Raises: BadExercise, if an absolute one is not a quantity of the asked ``dimension``.
    """
    absolute = 0.0
    if "absolute" in spec:
        try:
            reading = units.read(spec["absolute"], difference=True)
        except units.UnreadableQuantity as reason:
            raise BadExercise(f"{place}: {reason}") from None
        given: Kind = reading.dimension
        if given != dimension:
            raise BadExercise(
                tr(
                    "{place}: {absolute!r} is not {describe_kind}, as the answer is.",
                    place=place,
                    absolute=spec["absolute"],
                    describe_kind=library.describe_kind(dimension),
                )
            )
        absolute = reading.si
    return Tolerance(float(spec.get("relative", 0)), absolute, spec.get("figures"))


def _slips(
    row: Mapping[str, Any], scope: Mapping[str, Kind], kind: Kind, place: str
) -> Iterator[Slip]:
    within = {**scope, row["name"]: kind}
    for slip in row.get("slip", ()):
        where = tr("{place}, slip {name!r}", place=place, name=slip["name"])
        formula = _formula(slip["answer"], within, None, where)
        if (formula.kind == TEXT) != (kind == TEXT) or formula.kind == TRUTH:
            raise BadExercise(
                tr(
                    "{where}: the slip gives {describe_kind}, the answer is {library}.",
                    where=where,
                    describe_kind=library.describe_kind(formula.kind),
                    library=library.describe_kind(kind),
                )
            )
        yield Slip(slip["name"], _written(slip["says"]), formula)


def _constraints(texts: Sequence[str], scope: Mapping[str, Kind], place: str) -> Iterator[Formula]:
    for number, text in enumerate(texts, 1):
        yield _formula(
            text, scope, TRUTH, tr("{place}, constraint {number}", place=place, number=number)
        )


def _formula(text: str, scope: Mapping[str, Kind], wanted: Kind | None, place: str) -> Formula:
    try:
        formula = compile_formula(text, scope)
    except PotashError as reason:
        raise BadExercise(f"{place}: {reason}.") from None
    if wanted is not None and formula.kind != wanted:
        raise BadExercise(
            tr(
                "{place}: formula `{text}` gives {describe_kind}; {library} is needed.",
                place=place,
                text=text,
                describe_kind=library.describe_kind(formula.kind),
                library=library.describe_kind(wanted),
            )
        )
    return formula


def _template(text: str, scope: Mapping[str, Kind], place: str) -> Formula:
    try:
        return compile_template(text, scope)
    except PotashError as reason:
        raise BadExercise(f"{place}: {reason}.") from None


def _require(row: Mapping[str, Any], fields: Sequence[str], place: str) -> None:
    missing = [field for field in fields if field not in row]
    if missing:
        raise BadExercise(
            tr(
                "{place}: a question of this kind needs {missing}.",
                place=place,
                missing=tr(" and ").join(missing),
            )
        )


def _check_holes(exercise: Exercise, place: str) -> None:
    known = {given.name for given in exercise.givens}
    prompts = [asked.prompt for asked in exercise.asked]
    spoken = [exercise.text, exercise.caution, *exercise.hints, *prompts]
    for text in spoken:
        unknown = holes(text) - known
        if unknown:
            raise BadExercise(
                tr(
                    "{place}: {{{unknown}}} in a text names no given; the givens are {known}.",
                    place=place,
                    unknown=sorted(unknown)[0],
                    known=", ".join(sorted(known)) or tr("none"),
                )
            )
        if re.search(r"[{}]", re.sub(r"\{[A-Za-z_]\w*\}", "", text)):
            raise BadExercise(
                tr("{place}: a text has a brace that is not a {{name}} hole.", place=place)
            )
    unseen = known - set().union(*(holes(text) for text in (exercise.text, *prompts)))
    if unseen:
        raise BadExercise(
            tr(
                "{place}: the text never tells the student {{{unseen}}}; name every given in the "
                "text or in a prompt.",
                place=place,
                unseen=sorted(unseen)[0],
            )
        )
