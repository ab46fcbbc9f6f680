"""A feedback page for each student: every answer beside its reasoning and the key.

Pages are plain HTML without scripts or links to anything. All text goes in escaped, and a content
security policy forbids whatever might slip through to run or load.
"""

import base64
import hashlib
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any, Final

from potash.errors import PotashError
from potash.exercises.course import Course, Setting
from potash.exercises.exercise import Asked
from potash.exercises.marking import MarkedExercise, MarkedSheet, Points
from potash.exercises.outcomes import Finding, Outcome
from potash.exercises.roster import Student
from potash.exercises.variants import Figures
from potash.exercises.writing import tolerance_in_words, written

_FOLDER: Final = Path(__file__).with_name("templates")

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
    "too few": "Too few significant figures.",
    "too many": "Too many significant figures.",
}


def page(
    course: Course,
    student: Student,
    marked: MarkedSheet,
    points: Points,
    figures: Mapping[str, Figures],
) -> str:
    """The feedback page of one student, as HTML.

    figures: those handed out, by exercise, also where the student left an exercise blank.
    """
    template, style, policy = _template()
    return str(
        template.render(
            course=course,
            due=course.due_text(),
            student=student,
            marked=marked,
            points=points,
            style=style,
            policy=policy,
            exercises=list(_exercises(course, marked, points, figures)),
        )
    )


@cache
def _template() -> tuple[Any, str, str]:
    """The template, its style sheet, and a policy that lets in just that style sheet."""
    import jinja2

    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(_FOLDER),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["number"] = lambda value: f"{value:.2f}".rstrip("0").rstrip(".")
    style = (_FOLDER / "feedback.css").read_text(encoding="utf-8")
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    policy = f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
    return environment.get_template("feedback.html"), style, policy


def _exercises(
    course: Course, marked: MarkedSheet, points: Points, figures: Mapping[str, Figures]
) -> Iterator[Mapping[str, Any]]:
    rows = zip(course.settings, marked.exercises, points.by_exercise, strict=True)
    for setting, exercise, earned in rows:
        handed_out = exercise.figures or figures[setting.exercise.id]
        yield {
            "title": setting.exercise.title,
            "text": setting.exercise.told(setting.exercise.text, handed_out),
            "outcome": setting.exercise.outcome,
            "practice": setting.practice,
            "earned": earned,
            "weight": setting.weight,
            "answers": list(_answers(course, setting, exercise, handed_out)),
        }


def _answers(
    course: Course, setting: Setting, exercise: MarkedExercise, figures: Figures
) -> Iterator[Mapping[str, Any]]:
    values = setting.exercise.solve(figures)
    rows = zip(setting.exercise.asked, exercise.typed, exercise.findings, strict=True)
    for asked, typed, finding in rows:
        tolerance = (setting.tolerances or {}).get(asked.name, asked.tolerance)
        yield {
            "prompt": setting.exercise.told(asked.prompt, figures),
            "typed": typed,
            "sign": _SIGNS[finding.outcome],
            "kind": finding.outcome.name.lower().replace("_", "-"),
            "finding": finding.outcome.value,
            "slip": finding.slip,
            "says": " ".join(filter(None, (finding.says, _FIGURES_SAY[finding.figures]))),
            "key": _key(asked, values),
            "tolerance": tolerance_in_words(asked, tolerance) if asked.kind == "number" else "",
            "earned": _earned(course, setting, finding),
        }


def _key(asked: Asked, values: Mapping[str, Any]) -> str:
    if asked.kind == "text":
        return ""
    try:
        return written(asked, values)
    except PotashError:
        return ""


def _earned(course: Course, setting: Setting, finding: Finding) -> float:
    return setting.points_each * course.credit[finding.outcome]
