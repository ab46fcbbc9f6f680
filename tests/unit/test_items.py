"""Item statistics against pandas, which knows nothing of ours, and what is withheld and when."""

import csv
import random

import pandas as pd
import pytest

from potash.exercises import marks

QUESTIONS = [
    ("water-takes-magnesium", name) for name in ("hydroxide", "magnesium_left", "limiting", "metal")
] + [("two-for-one", "potassium")]


def answer(classroom, student, chance):
    """Answers of one student: more or less able, and right or wrong by chance."""
    able = chance.uniform(0.1, 0.95)
    chain = classroom.key(student, "water-takes-magnesium")
    two = classroom.key(student, "two-for-one")["potassium"]
    factor = lambda: 1 if chance.random() < able else 1.31  # noqa: E731
    typed = {
        "hydroxide": f"{chain['hydroxide'] * factor():#.4g} mol",
        "magnesium_left": f"{chain['magnesium_left'] * factor():#.4g} mol",
        "metal": f"{1000 * chain['metal'] * factor():#.4g} g",
    }
    sheet = classroom.sheet(student)
    sheet.record("water-takes-magnesium", typed)
    half = 1 if chance.random() < able else 0.5
    sheet.record("two-for-one", {"potassium": f"{two * half:#.3g} mol"})


def marked(lay_class, students):
    classroom = lay_class(students=students)
    classroom.hand_out()
    chance = random.Random(3)
    for number in range(1, students + 1):
        answer(classroom, f"s{number:02}", chance)
        classroom.hand_in(f"s{number:02}")
    marks.mark_returns(classroom.course, classroom.returns, classroom.marks)
    with (classroom.marks / "items.csv").open(encoding="utf-8", newline="") as file:
        return classroom, list(csv.DictReader(file, strict=True))


def shares(classroom):
    """What each answer earned, worked out from the mark book alone."""
    worth = {"correct": 1, "follow-through": 1, "unit slip": 0.5, "known slip": 0.5}
    book = pd.read_csv(classroom.marks / "markbook.csv")
    columns = [f"{exercise}: {name}" for exercise, name in [*QUESTIONS, ("two-for-one", "why")]]
    return book[columns].map(lambda cell: worth.get(cell, 0))


def test_difficulty_and_discrimination_agree_with_pandas(lay_class):
    classroom, rows = marked(lay_class, students=40)
    earned = shares(classroom)
    points = earned * [1, 1, 1, 1, 1, 1]  # 4 points over 4 questions, 2 over 2
    compared = 0
    for row in rows:
        column = f"{row['exercise']}: {row['question']}"
        if column not in earned:
            continue  # practice
        assert float(row["difficulty"]) == pytest.approx(earned[column].mean(), abs=5e-4)
        rest = points.drop(columns=column).sum(axis=1)
        expected = earned[column].corr(rest)
        if pd.isna(expected):
            assert row["discrimination"] == ""
        else:
            assert float(row["discrimination"]) == pytest.approx(expected, abs=6e-4)
            compared += 1
    assert compared >= 4


def test_the_most_frequent_slip_is_named_and_outcomes_are_counted(lay_class):
    classroom, rows = marked(lay_class, students=40)
    (row,) = [row for row in rows if row["question"] == "potassium"]
    book = pd.read_csv(classroom.marks / "markbook.csv")["two-for-one: potassium"]
    assert row["most frequent slip"] == "one for one"
    assert int(row["students with it"]) == (book == "known slip").sum()
    counted = {name: int(row[name]) for name in ("correct", "known slip", "wrong", "blank")}
    assert counted == {name: (book == name).sum() for name in counted}


def test_nothing_is_told_of_a_group_too_small(lay_class):
    _, rows = marked(lay_class, students=9)
    assert {row["students"] for row in rows} == {"9"}
    told = ("difficulty", "discrimination", "correct", "most frequent slip", "median minutes")
    assert {row[name] for row in rows for name in told} == {""}


def test_time_on_task_is_the_median_of_those_who_recorded_more_than_once(lay_class):
    import json

    classroom = lay_class(students=12)
    classroom.hand_out()
    for number in range(1, 13):
        student = f"s{number:02}"
        classroom.sheet(student).record("two-for-one", {"potassium": "7 mol"})
        path = classroom.hand_in(student)
        sheet = json.loads(path.read_text(encoding="utf-8"))
        attempts = sheet["exercises"]["two-for-one"]["answers"]["potassium"]
        attempts.insert(0, {"typed": "1 mol", "at": "2026-11-25T10:00:00Z"})
        attempts[-1]["at"] = f"2026-11-25T10:{number:02}:00Z"
        path.write_text(json.dumps(sheet))
    marks.mark_returns(classroom.course, classroom.returns, classroom.marks)
    with (classroom.marks / "items.csv").open(encoding="utf-8", newline="") as file:
        rows = {row["question"]: row for row in csv.DictReader(file)}
    assert (rows["potassium"]["median minutes"], rows["potassium"]["students timed"]) == (
        "6.5",
        "12",
    )
    assert rows["hydroxide"]["median minutes"] == ""
