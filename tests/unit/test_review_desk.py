"""The review desk without a browser: a class, its answers beside the key, and what is decided."""

import csv
import logging
from pathlib import Path

import pytest

from potash.exercises import marks
from potash.exercises.desk import DECIDED, EVERYBODY, MISSING, TO_REVIEW, Desk, NoMarkBook
from potash.panels.staff.items import NoItems, items, read_items
from potash.panels.staff.review import ReviewDesk, review


@pytest.fixture(autouse=True)
def no_swallowed_error(caplog):
    """ipywidgets and the panels log what a callback raises; here that is a failure."""
    yield
    assert not [one.getMessage() for one in caplog.records if one.levelno >= logging.ERROR]


@pytest.fixture
def returned(classroom):
    """Three students, two of whom handed in: one wrong number, one free text."""
    classroom.sheet("s01").record("two-for-one", {"potassium": "7 mol", "why": "<b>KOH</b>"})
    classroom.hand_in("s01")
    key = classroom.key("s02", "two-for-one")
    classroom.sheet("s02").record("two-for-one", {"potassium": f"{key['potassium']:#.3g} mol"})
    classroom.hand_in("s02")
    return classroom


@pytest.fixture
def panel(returned):
    marks.mark_returns(returned.course, returned.returns, returned.marks)
    made = ReviewDesk(*map(str, (returned.course_file, returned.returns, returned.marks)))
    made.open_button.click()
    return made


def listed(listing):
    return [value for _, value in listing.options]


def points(classroom):
    with (classroom.marks / "markbook.csv").open(encoding="utf-8", newline="") as file:
        return {row["student"]: row["points"] for row in csv.DictReader(file)}


def test_the_class_is_listed_and_filtered(panel):
    assert listed(panel.students) == ["s01"]  # something to review
    for show, expected in (
        (EVERYBODY, ["s01", "s02", "s03"]),
        (MISSING, ["s03"]),
        ("wrong", ["s01"]),
        ("correct", ["s02"]),
        (DECIDED, []),
    ):
        panel.show.value = show
        assert listed(panel.students) == expected, show
    panel.show.value = EVERYBODY
    panel.contains.value = "STUDENT 2"
    assert listed(panel.students) == ["s02"]
    assert panel.students.options[0][0] == "s02  Student 2: 1 of 6 points"


def test_an_answer_stands_beside_its_key_and_reasoning(panel, returned):
    panel.students.value = "s01"
    assert panel.answers.questions.value == "two-for-one: why"  # it waits for a person
    assert "From the hydroxide." in panel.answers.detail.value
    assert "&lt;b&gt;KOH&lt;/b&gt;" in panel.answers.detail.value
    panel.answers.questions.value = "two-for-one: potassium"
    key = returned.key("s01", "two-for-one")["potassium"]
    shown = panel.answers.detail.value
    assert f"{key:#.3g}\u00a0mol" in shown
    assert "7 mol" in shown
    assert "no common slip explains it" in shown


def decide(panel, share, reason="the method was right", by="R. Marsh", comment=""):
    panel.answers.by.value = by
    panel.answers.share.value = share
    panel.answers.reason.value = reason
    panel.answers.comment.value = comment
    panel.answers.decide_button.click()


def test_a_decision_is_in_the_log_at_once_and_in_the_mark_book_after_marking(panel, returned):
    panel.students.value = "s01"
    panel.answers.questions.value = "two-for-one: potassium"
    decide(panel, "0,75", comment="Well reasoned")
    assert "Taken down" in panel.answers.card.message.value
    assert "R. Marsh" in panel.answers.detail.value
    assert "0.75 of 1.00" in panel.answers.detail.value
    assert points(returned)["s01"] == "0"
    panel.mark_button.click()
    assert "2 students marked, 1 without" in panel.shell.message.value
    assert points(returned)["s01"] == "0.75"
    page = (returned.marks / "feedback" / "s01.html").read_text(encoding="utf-8")
    assert "Well reasoned" in page
    panel.show.value = DECIDED
    assert listed(panel.students) == ["s01"]


def test_a_decision_can_be_withdrawn_and_its_history_stays(panel, returned):
    panel.students.value = "s01"
    decide(panel, "100 %")
    panel.answers.reason.value = "misread"
    panel.answers.withdraw_button.click()
    assert panel.answers.detail.value.count("R. Marsh") == 2
    panel.mark_button.click()
    assert points(returned)["s01"] == "0"


@pytest.mark.parametrize(
    ("share", "reason", "by", "message"),
    [
        ("all", "x", "R. Marsh", "is no share of the points"),
        ("", "x", "R. Marsh", "is no share of the points"),
        ("7", "x", "R. Marsh", "between 0 and 1"),
        ("nan", "x", "R. Marsh", "between 0 and 1"),
        ("0.5", " ", "R. Marsh", "Why?"),
        ("0.5", "x", " ", "Who decides?"),
    ],
)
def test_what_is_missing_is_asked_for_and_nothing_typed_is_lost(
    panel, returned, share, reason, by, message
):
    panel.students.value = "s01"
    decide(panel, share, reason, by)
    assert message in panel.answers.card.message.value
    assert panel.answers.share.value == share
    assert panel.answers.reason.value == reason
    assert not (returned.marks / "decisions.jsonl").exists()


def test_marking_again_after_a_correction_keeps_the_decision(panel, returned):
    panel.students.value = "s01"
    panel.answers.questions.value = "two-for-one: potassium"
    decide(panel, "0.5")
    own = returned.folder / "staff" / "own.toml"
    own.write_text(own.read_text().replace('answer = "2 * amount"', 'answer = "3 * amount"'))
    panel.mark_button.click()
    assert points(returned) == {"s01": "0.5", "s02": "0", "s03": ""}
    panel.answers.questions.value = None
    panel.students.value = None
    panel.students.value = "s01"
    panel.answers.questions.value = "two-for-one: potassium"
    key = returned.key("s01", "two-for-one")["potassium"]
    assert f"{key:#.3g}\u00a0mol" in panel.answers.detail.value


def test_a_desk_without_marks_says_what_to_do(returned):
    made = ReviewDesk(*map(str, (returned.course_file, returned.returns, returned.marks)))
    made.open_button.click()
    assert "mark the class first" in made.shell.message.value
    made.mark_button.click()
    assert listed(made.students) == ["s01"]


def test_a_course_that_is_not_there_is_told(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    made = ReviewDesk("none.toml", "returns", "marks")
    made.open_button.click()
    assert "there is no course file" in made.shell.message.value
    assert review().title == "Review desk"


def test_a_damaged_mark_book_is_told(returned):
    returned.marks.mkdir()
    (returned.marks / "markbook.csv").write_bytes(b"\xff\xfe,1")
    desk = Desk(returned.course_file, returned.returns, returned.marks)
    with pytest.raises(NoMarkBook, match="Mark the class again"):
        desk.find(TO_REVIEW)


def test_the_items_of_a_class_are_drawn_and_told_in_words(lay_class):
    classroom = lay_class(students=12)
    classroom.hand_out()
    for number in range(1, 13):
        student = f"s{number:02}"
        potassium = classroom.key(student, "two-for-one")["potassium"]
        right = f"{potassium / (1 if number % 3 else 2):#.3g} mol"
        classroom.sheet(student).record("two-for-one", {"potassium": right})
        classroom.hand_in(student)
    marks.mark_returns(classroom.course, classroom.returns, classroom.marks)
    shell = items(str(classroom.marks))
    shown = " ".join(str(getattr(part, "value", "")) for part in shell.box.children)
    assert "two-for-one: potassium: 67 % right, 33 % a slip" in shown
    assert "one for one (4)" in shown
    assert "data:image/png;base64" in shown


def test_a_small_group_and_a_missing_table_are_told(panel, returned, tmp_path):
    shell = items(str(returned.marks))
    assert "Numbers are shown from 10 sheets on" in shell.message.value
    with pytest.raises(NoItems, match="mark the class first"):
        read_items(Path(tmp_path / "none"))
