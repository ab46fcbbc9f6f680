"""Own figures: reproducible, different from the neighbours', and sealed."""

import hashlib
import hmac
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from potash.exercises import bank
from potash.exercises.register import complete
from potash.exercises.roster import Student
from potash.exercises.variants import (
    NoFigures,
    Seals,
    draw_figures,
    find_draw,
    is_allowed,
    seal,
)

SECRET = bytes(range(32))
CHAIN = bank.bank()["water-takes-magnesium"]


def test_figures_are_the_same_anywhere():
    # By hand from RFC 2104 and the documented message: each part with its length in front.
    parts = ["figures", "c", CHAIN.id, "ada", "3", "pellets"]
    message = "".join(f"{len(part)}:{part}," for part in parts).encode()
    number = int(hmac.new(SECRET, message, hashlib.sha256).hexdigest()[:16], 16)
    choices = CHAIN.givens[0].choices
    figures = draw_figures(CHAIN, SECRET, "c", "ada", 3)
    assert figures["pellets"] == choices[number % len(choices)]


def test_figures_depend_on_secret_course_student_and_draw():
    base = (SECRET, "c", "ada", 0)
    others = [(b"other", *base[1:]), (SECRET, "d", "ada", 0), (SECRET, "c", "bo", 0)]
    others.append((SECRET, "c", "ada", 1))
    first = draw_figures(CHAIN, *base)
    assert all(draw_figures(CHAIN, *other) != first for other in others)


def test_a_found_draw_meets_the_constraints():
    for number in range(50):
        draw = find_draw(CHAIN, SECRET, "c", f"s{number}")
        assert is_allowed(CHAIN, draw_figures(CHAIN, SECRET, "c", f"s{number}", draw))


class SmallCourse:
    id = "c"

    def __init__(self, *exercise_ids):
        self.settings = [
            type("Setting", (), {"exercise": bank.bank()[one]}) for one in exercise_ids
        ]


def test_no_two_neighbours_share_a_figure():
    students = [Student(f"s{number:03}", "") for number in range(120)]
    course = SmallCourse("weigh-hydroxide", "water-takes-magnesium")
    register = complete(course, students, SECRET, {})
    for setting in course.settings:
        exercise = setting.exercise
        rows = [
            draw_figures(exercise, SECRET, "c", one.id, register[one.id][exercise.id])
            for one in students
        ]
        for mine, next_ones in pairwise(rows):
            assert all(mine[name] != next_ones[name] for name in mine)


def test_a_newcomer_differs_from_both_neighbours_and_changes_neither():
    course = SmallCourse("water-takes-magnesium")
    before = [Student(name, "") for name in ("ada", "cyd")]
    register = complete(course, before, SECRET, {})
    after = [before[0], Student("bo", ""), before[1]]
    renewed = complete(course, after, SECRET, register)
    assert {name: renewed[name] for name in ("ada", "cyd")} == register
    rows = [
        draw_figures(CHAIN, SECRET, "c", name, renewed[name][CHAIN.id])
        for name in ("ada", "bo", "cyd")
    ]
    assert all(rows[1][name] not in (rows[0][name], rows[2][name]) for name in rows[1])


def test_constraints_that_nothing_meets_are_named():
    text = """
chapter = 1
[[exercise]]
id = "never"
title = "Never"
outcome = "None."
text = "{x}"
caution = "None."
constraints = ["x > 2"]
given.x = { choices = [1, 2] }
[[exercise.asked]]
name = "y"
prompt = "y"
unit = ""
answer = "x"
tolerance = { relative = 0.01 }
"""
    (never,) = bank.read(text, "never.toml")
    with pytest.raises(NoFigures, match="exercise never: none of 400"):
        find_draw(never, SECRET, "c", "ada")


names = st.text(min_size=1, max_size=8)


@given(names, names, names, st.integers(0, 50), st.dictionaries(names, names, max_size=3))
def test_a_seal_holds_for_just_what_was_sealed(course, student, exercise, draw, figures):
    mark = seal(SECRET, course, student, exercise, draw, figures)
    seals = Seals(SECRET, course)
    assert seals.hold(mark, student, exercise, draw, figures)
    assert not seals.hold(mark, student + "x", exercise, draw, figures)
    assert not seals.hold(mark, student, exercise, draw + 1, figures)
    assert not seals.hold(mark, student, exercise, draw, {**figures, "new": "1"})
    assert not seals.hold("", student, exercise, draw, figures)
    assert not Seals(SECRET, course + "x").hold(mark, student, exercise, draw, figures)
    assert not Seals(b"other", course).hold(mark, student, exercise, draw, figures)


def test_a_seal_is_the_plain_hmac_of_its_parts_with_their_lengths():
    told = "4:seal,1:c,3:ada,5:chain,1:3,4:mass,5:9.3 g,5:metal,1:K,"
    plain = hmac.digest(SECRET, told.encode(), "sha256").hex()
    assert seal(SECRET, "c", "ada", "chain", 3, {"metal": "K", "mass": "9.3 g"}) == plain


def test_moving_a_border_between_parts_breaks_the_seal():
    mark = seal(SECRET, "c", "ab", "e", 0, {"x": "1"})
    assert not Seals(SECRET, "ca").hold(mark, "b", "e", 0, {"x": "1"})
    assert not Seals(SECRET, "c").hold(mark, "ab", "e", 0, {"x": "11"})
