"""A feedback page for each student: every answer beside its reasoning and the key.

Pages are plain HTML without scripts or links to anything. All text goes in escaped, and a content
security policy forbids whatever might slip through to run or load.

Pages of one course differ in a student's figures, answers and findings only. So the template is
filled in once a course, with a slot wherever they differ; a page is then its pieces joined.
"""

import base64
import hashlib
import re
import secrets
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache, lru_cache
from html import escape
from pathlib import Path
from typing import Any, Final, NamedTuple

from potash.errors import PotashError
from potash.exercises.course import Course, Setting
from potash.exercises.decisions import Decided, Standing
from potash.exercises.exercise import Asked
from potash.exercises.marking import MarkedExercise, MarkedSheet, Points
from potash.exercises.outcomes import Finding, Outcome
from potash.exercises.roster import Student
from potash.exercises.writing import in_asked_unit, tolerance_in_words, written
from potash.words import in_templates, tr

_FOLDER: Final = Path(__file__).with_name("templates")

# A slot's name stands between two marks that nobody can guess, so that no text can hold one.
_MARK: Final = secrets.token_hex(16)
_SLOT: Final = re.compile(f"{_MARK}(.*?){_MARK}")

# A second cue beside the colour, for print and for colour-blind readers.
_SIGNS: Final[Mapping[Outcome, str]] = {
    Outcome.CORRECT: "✓",
    Outcome.FOLLOW_THROUGH: "✓",
    Outcome.UNIT_SLIP: "≈",
    Outcome.KNOWN_SLIP: "≈",
    Outcome.WRONG: "✗",
    Outcome.BLANK: "–",
    Outcome.UNREADABLE: "?",
    Outcome.TO_BE_READ: "?",
}
_FIGURES_SAY: Final = {
    "": "",
    "too few": tr("Too few significant figures."),
    "too many": tr("Too many significant figures."),
}


class _Places(NamedTuple):
    """Where in a page the texts of one exercise go, as numbers of its pieces.

    answers: for each question, the places of what was typed, the finding, the key and the points.
    """

    earned: int
    givens: Mapping[str, Sequence[int]]
    answers: Sequence[tuple[int, int, int, int]]


class Pages:
    """The feedback pages of one course."""

    def __init__(self, course: Course) -> None:
        self._course = course
        html = _template().render(
            course=course, due=course.due_text(), exercises=_exercises(course), slot=_slot
        )
        # Every other piece is a slot's name, where its text goes; the last takes what has no slot.
        self._pieces = [*_SLOT.split(html), ""]
        self._slots: dict[str, list[int]] = {}
        for place, name in list(enumerate(self._pieces))[1:-1:2]:
            self._slots.setdefault(name, []).append(place)
        self._places = [self._places_of(*one) for one in enumerate(course.settings)]
        self._notices = _notices_template()

    def page(self, student: Student, marked: MarkedSheet, points: Points) -> str:
        """The page of one student, as HTML."""
        pieces = self._pieces.copy()
        for name, text in self._about(student, marked, points).items():
            for place in self._slots[name]:
                pieces[place] = text
        rows = zip(self._places, self._course.settings, marked.exercises, strict=True)
        for number, (places, setting, exercise) in enumerate(rows):
            pieces[places.earned] = _number(points.by_exercise[number])
            for name, given in places.givens.items():
                text = _escaped(exercise.figures[name])
                for place in given:
                    pieces[place] = text
            shares = points.shares[number]
            _fill_answers(places, setting, exercise, shares, marked.decided, pieces)
        del pieces[-1]
        return "".join(pieces)

    def _places_of(self, number: int, setting: Setting) -> _Places:
        def place(*name: str | int) -> int:
            return self._slots.get(".".join(map(str, name)), [-1])[0]

        givens = (given.name for given in setting.exercise.givens)
        return _Places(
            place(number, "earned"),
            {name: self._slots.get(f"given.{number}.{name}", ()) for name in givens},
            [
                (
                    place(number, asked.name, "typed"),
                    place(number, asked.name, "finding"),
                    place(number, asked.name, "key"),
                    place(number, asked.name, "earned"),
                )
                for asked in setting.exercise.asked
            ],
        )

    def _about(self, student: Student, marked: MarkedSheet, points: Points) -> dict[str, str]:
        told = marked.late or marked.flags or points.to_review or points.figures_cost
        return {
            "name": escape(student.name),
            "id": escape(student.id),
            "total": _number(points.total),
            "recorded": escape(marked.recorded or tr("none")),
            "notices": str(self._notices(marked=marked, points=points)) if told else "",
        }


def _fill_answers(
    places: _Places,
    setting: Setting,
    exercise: MarkedExercise,
    shares: Sequence[float],
    decided: Decided,
    pieces: list[str],
) -> None:
    each, key = setting.points_each, exercise.key
    asked_for = setting.exercise.asked
    rows = zip(places.answers, asked_for, exercise.typed, exercise.findings, shares, strict=True)
    for (at_typed, at_finding, at_key, at_earned), asked, typed, finding, share in rows:
        pieces[at_typed] = _escaped(typed) or tr("(blank)")
        pieces[at_finding] = _finding(finding)
        pieces[at_key] = _key(asked, key)
        pieces[at_earned] = _number(each * share)
        if decided:
            standing = decided.get((setting.exercise.id, asked.name))
            pieces[at_finding] += _by_a_person(standing, typed) if standing else ""


# Figures, and answers to a lesser degree, repeat from student to student.
_escaped = lru_cache(8192)(escape)


@lru_cache(4096)
def _finding(finding: Finding) -> str:
    kind = finding.outcome.name.lower().replace("_", "-")
    slip = f": {escape(tr(finding.slip))}" if finding.slip else ""
    says = " ".join(filter(None, (finding.says, _FIGURES_SAY[finding.figures])))
    sign = _SIGNS[finding.outcome]
    return (
        f'<span class="finding {kind}">{sign} {tr(finding.outcome.value)}{slip}</span>'
        f"<br>{escape(says)}"
    )


def _key(asked: Asked, values: Mapping[str, Any]) -> str:
    if asked.kind == "number":
        return _escaped(in_asked_unit(asked, values[asked.name]))
    if asked.kind == "text":
        return ""
    try:
        return _escaped(written(asked, values))
    except PotashError:
        return ""


def _by_a_person(standing: Standing, typed: str) -> str:
    """What the people who mark say of an answer: that they decided, and their comment."""
    marked = (
        f"<br><strong>{tr('Marked by a person.')}</strong>" if standing.holds_for(typed) else ""
    )
    comment = standing.comment.comment if standing.comment else ""
    return marked + (f'<br><span class="comment">{escape(comment)}</span>' if comment else "")


@lru_cache(4096)
def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _slot(*name: str | int) -> Any:
    """A mark in the page where a student's own text goes; that text comes in escaped."""
    import markupsafe

    return markupsafe.Markup("{0}{1}{0}").format(_MARK, ".".join(map(str, name)))


def _exercises(course: Course) -> Iterator[Mapping[str, Any]]:
    for number, setting in enumerate(course.settings):
        exercise = setting.exercise
        slots = {given.name: _slot("given", number, given.name) for given in exercise.givens}

        def told(text: str, slots: Mapping[str, Any] = slots) -> Any:
            return _with_slots(text, slots)

        yield {
            "title": exercise.title,
            "text": told(exercise.text),
            "outcome": exercise.outcome,
            "practice": setting.practice,
            "weight": setting.weight,
            "answers": [
                {
                    "name": asked.name,
                    "prompt": told(asked.prompt),
                    "tolerance": _tolerance(setting, asked),
                }
                for asked in exercise.asked
            ],
        }


def _with_slots(text: str, slots: Mapping[str, Any]) -> Any:
    """A text of an exercise, escaped, with a slot in place of every ``{given}``."""
    import markupsafe

    pieces = re.split(r"\{([A-Za-z_]\w*)\}", text)
    shown = [markupsafe.escape(piece) for piece in pieces]
    shown[1::2] = [slots[name] for name in pieces[1::2]]
    return markupsafe.Markup("").join(shown)


def _tolerance(setting: Setting, asked: Asked) -> str:
    if asked.kind != "number":
        return ""
    return tolerance_in_words(asked, (setting.tolerances or {}).get(asked.name, asked.tolerance))


@cache
def _environment() -> Any:
    import jinja2

    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(_FOLDER),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["number"] = _number
    environment.globals.update(in_templates())
    return environment


@cache
def _template() -> Any:
    """The template of a page, with its style sheet and a policy that lets in nothing but that."""
    style = (_FOLDER / "feedback.css").read_text(encoding="utf-8")
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    policy = f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
    return _environment().get_template("feedback.html", globals={"style": style, "policy": policy})


@cache
def _notices_template() -> Callable[..., Any]:
    render: Callable[..., Any] = _environment().get_template("notices.html").render
    return render
