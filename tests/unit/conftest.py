"""What the unit tests share: a loop to wait in, and a class of an invented college to mark."""

import asyncio
from collections.abc import Callable, Coroutine
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from potash.exercises import course as courses
from potash.exercises import sheet_file
from potash.exercises.assign import assign
from potash.exercises.register import read_register
from potash.exercises.secret import read_secret
from potash.exercises.sheet import AnswerSheet
from potash.exercises.variants import draw_figures


@pytest.fixture
def wait_for() -> Callable[[Coroutine[Any, Any, object]], object]:
    """Runs what is awaited to its end, in a thread of its own: the browser tests leave a loop
    running in the main thread, and a thread has one loop at most."""

    def run(coroutine: Coroutine[Any, Any, object]) -> object:
        with ThreadPoolExecutor(1) as thread:
            return thread.submit(asyncio.run, coroutine).result()

    return run


COURSE = """
id = "larkmoor-test"
title = "Before the laboratory"
institution = "Larkmoor College (invented)"
due = 2099-12-04T17:00:00+00:00
class_list = "class.csv"
figures_cost = 0.5

[[exercise]]
id = "weigh-hydroxide"
use = "practice"

[[exercise]]
id = "water-takes-magnesium"
weight = 4

[[exercise]]
id = "two-for-one"
weight = 2
"""

# An exercise of the course's own: the slip is a factor of two, and a word is asked.
OWN = """
chapter = 2

[[exercise]]
id = "two-for-one"
title = "Two for one"
outcome = "Use the coefficients of an equation."
text = "{amount} of hydrogen left the flask. 2 KOH + 2 Mg -> 2 K + 2 MgO + H2"
caution = "Hydrogen burns with a flame that is hardly seen."

[exercise.given.amount]
from = 0.050
to = 0.150
step = 0.001
unit = "mol"

[[exercise.asked]]
name = "potassium"
prompt = "Amount of potassium"
unit = "mol"
answer = "2 * amount"
tolerance = { relative = 0.01 }
figures = 3

[[exercise.asked.slip]]
name = "one for one"
says = "Each mole of hydrogen comes with two moles of potassium."
answer = "amount"

[[exercise.asked]]
name = "why"
prompt = "Where does the hydrogen come from?"
kind = "text"
notes = "From the hydroxide."
"""


@dataclass
class Classroom:
    """A course in a folder of its own, with handouts and returns beside it."""

    folder: Path

    @property
    def course_file(self) -> Path:
        return self.folder / "staff" / "course.toml"

    @property
    def returns(self) -> Path:
        return self.folder / "returns"

    @property
    def marks(self) -> Path:
        return self.folder / "marks"

    @property
    def course(self) -> courses.Course:
        return courses.load(self.course_file)

    def hand_out(self) -> None:
        assign(self.course, self.folder / "handouts")

    def key(self, student: str, exercise_id: str) -> dict:
        """The solved figures of one student, in SI."""
        course = self.course
        setting = next(one for one in course.settings if one.exercise.id == exercise_id)
        draw = read_register(course)[student][exercise_id]
        figures = draw_figures(setting.exercise, read_secret(course.path), course.id, student, draw)
        return setting.exercise.solve(figures)

    def sheet(self, student: str) -> AnswerSheet:
        return AnswerSheet.open(self.folder / "handouts" / student)

    def hand_in(self, student: str, name: str | None = None) -> Path:
        """Copy the student's answer sheet, as recorded, to the returns."""
        self.returns.mkdir(exist_ok=True)
        path = self.returns / (name or f"{student}.json")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(self.sheet(student).path.read_bytes())
        return path

    def hand_in_sheet(self, name: str, content: dict | str | bytes) -> Path:
        """Put a file of any content to the returns."""
        self.returns.mkdir(exist_ok=True)
        if isinstance(content, dict):
            content = sheet_file.dump(content)
        path = self.returns / name
        path.write_bytes(content.encode() if isinstance(content, str) else content)
        return path


@pytest.fixture
def lay_class(tmp_path):
    """Lay a course with so many students; ``changes`` replace text in the course file."""

    def lay(students: int = 3, changes: dict[str, str] | None = None) -> Classroom:
        staff = tmp_path / "staff"
        staff.mkdir()
        (staff / "own.toml").write_text(OWN)
        course = 'own_exercises = ["own.toml"]' + COURSE
        for old, new in (changes or {}).items():
            assert old in course
            course = course.replace(old, new, 1)
        (staff / "course.toml").write_text(course)
        # A fixed secret: the figures, and so the tests, are the same in every run.
        (staff / "course.secret").write_text("5a" * 32)
        (staff / "course.secret").chmod(0o600)
        lines = [f"s{number:02},Student {number}" for number in range(1, students + 1)]
        (staff / "class.csv").write_text("id,name\n" + "\n".join(lines) + "\n")
        return Classroom(tmp_path)

    return lay


@pytest.fixture
def classroom(lay_class):
    """Three students with their handouts."""
    laid = lay_class()
    laid.hand_out()
    return laid
