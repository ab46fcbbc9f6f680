"""Marking a class: planted mistakes come out as planted, and nothing returned can do harm."""

import csv
import json
import os
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from potash.exercises import assign as assigning
from potash.exercises import marks, sheet_file
from potash.exercises.assign import BadOutput
from potash.exercises.marking import Marker, NotOurs
from potash.exercises.register import register_path
from potash.exercises.returns import BadReturns
from potash.exercises.secret import BadSecret, read_secret, secret_path
from potash.exercises.sheet_file import BadSheet

MOLAR_POTASSIUM = 0.0390983  # kg/mol, CIAAW standard atomic weight


def mark(classroom, **options):
    return marks.mark_returns(classroom.course, classroom.returns, classroom.marks, **options)


def rows(path):
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, strict=True))


def book(classroom):
    return {row["student"]: row for row in rows(classroom.marks / "markbook.csv")}


def review(classroom):
    return rows(classroom.marks / "review.csv")


def right_answers(classroom, student):
    """Answers as a careful student types them, worked out from the key in SI."""
    chain = classroom.key(student, "water-takes-magnesium")
    two = classroom.key(student, "two-for-one")
    return {
        "water-takes-magnesium": {
            "hydroxide": f"{chain['hydroxide']:#.4g} mol",
            "magnesium_left": f"{chain['magnesium_left']:#.4g} mol",
            "limiting": chain["limiting"],
            "metal": f"{1000 * chain['metal']:#.4g} g",
        },
        "two-for-one": {"potassium": f"{two['potassium']:#.3g} mol"},
    }


def record(classroom, student, answers):
    sheet = classroom.sheet(student)
    for exercise_id, typed in answers.items():
        sheet.record(exercise_id, typed)


def hand_in_right(classroom, student, name=None):
    record(classroom, student, right_answers(classroom, student))
    return classroom.hand_in(student, name)


CHAIN = ("hydroxide", "magnesium_left", "limiting", "metal")
RIGHT = dict.fromkeys(CHAIN, "correct") | {"potassium": "correct", "why": "blank"}


def plant_right(answers, key):
    return RIGHT


def plant_blank(answers, key):
    answers["water-takes-magnesium"] = {}
    return RIGHT | dict.fromkeys(CHAIN, "blank")


def plant_wrong_unit(answers, key):
    answers["water-takes-magnesium"]["metal"] = f"{1000 * key['metal']:#.4g} kg"
    return RIGHT | {"metal": "unit slip"}


def plant_factor_of_two(answers, key):
    potassium = answers["two-for-one"]["potassium"].removesuffix(" mol")
    answers["two-for-one"]["potassium"] = f"{float(potassium) / 2:#.3g} mol"
    return RIGHT | {"potassium": "known slip"}


def plant_early_error(answers, key):
    # Off by a seventh in the first step, and everything else worked out well from there.
    own = key["hydroxide"] / 1.07
    limiting = "KOH" if own < key["magnesium_left"] else "Mg"
    metal = min(own, key["magnesium_left"]) * MOLAR_POTASSIUM
    answers["water-takes-magnesium"] |= {
        "hydroxide": f"{own:#.4g} mol",
        "limiting": limiting,
        "metal": f"{1000 * metal:#.4g} g",
    }
    carried = own < key["magnesium_left"]
    changed = limiting != key["limiting"]
    return RIGHT | {
        "hydroxide": "wrong",
        "limiting": "follow-through" if changed else "correct",
        "metal": "follow-through" if carried else "correct",
    }


PLANTS = (plant_right, plant_blank, plant_wrong_unit, plant_factor_of_two, plant_early_error)


def test_a_class_of_thirty_is_marked_exactly_as_planted(lay_class):
    classroom = lay_class(students=30)
    classroom.hand_out()
    planted = {}
    for number in range(1, 31):
        student = f"s{number:02}"
        answers = right_answers(classroom, student)
        plant = PLANTS[number % len(PLANTS)]
        planted[student] = plant(answers, classroom.key(student, "water-takes-magnesium"))
        record(classroom, student, answers)
        classroom.hand_in(student)
    summary = mark(classroom)
    assert (summary.marked, summary.missing, summary.left_out) == (30, 0, [])
    found = book(classroom)
    for student, expected in planted.items():
        row = found[student]
        outcomes = {name: row[f"water-takes-magnesium: {name}"] for name in CHAIN}
        outcomes |= {name: row[f"two-for-one: {name}"] for name in ("potassium", "why")}
        assert outcomes == expected, student
    assert len(set(PLANTS)) == 5
    assert found["s05"]["points"] == "5"  # 4 of 4, and 1 of 2 with the text left blank
    assert found["s02"]["points"] == "4.5"  # the unit slip earns half of its point
    assert found["s03"]["points"] == "4.5"
    assert found["s01"]["points"] == "1"
    assert all((classroom.marks / "feedback" / f"{student}.html").is_file() for student in planted)


def test_the_same_returns_give_the_same_bytes(classroom):
    hand_in_right(classroom, "s01")
    classroom.hand_in_sheet("bad.json", "{")

    def everything():
        mark(classroom)
        return {
            path.relative_to(classroom.marks): path.read_bytes()
            for path in sorted(classroom.marks.rglob("*"))
            if path.is_file()
        }

    first = everything()
    (classroom.marks / "markbook.csv").write_text("half a")
    again = everything()
    assert again.pop(Path("markbook-edited-1.csv")) == b"half a"
    assert again == first
    tables = {"markbook.csv", "review.csv", "items.csv"}
    assert {str(path) for path in first if not path.name.startswith(".")} == {
        *tables,
        "feedback/s01.html",
    }


def test_a_student_without_a_sheet_is_in_the_mark_book(classroom):
    hand_in_right(classroom, "s02")
    assert mark(classroom).missing == 2
    assert [row["status"] for row in book(classroom).values()] == [
        "not handed in",
        "marked",
        "not handed in",
    ]


def test_practice_earns_nothing_and_has_no_column(classroom):
    hand_in_right(classroom, "s01")
    mark(classroom)
    assert not any("weigh-hydroxide" in column for column in book(classroom)["s01"])


def test_figures_cost_once_a_sheet(classroom):
    answers = right_answers(classroom, "s01")
    key = classroom.key("s01", "water-takes-magnesium")
    chain = answers["water-takes-magnesium"]
    chain["hydroxide"] = f"{key['hydroxide']:.7f} mol"
    chain["metal"] = f"{1000 * key['metal']:.7f} g"
    record(classroom, "s01", answers)
    classroom.hand_in("s01")
    mark(classroom)
    row = book(classroom)["s01"]
    assert (row["water-takes-magnesium points"], row["figures cost"]) == ("4", "0.5")
    assert row["points"] == "4.5"


def test_free_text_goes_to_the_review_list(classroom):
    record(classroom, "s01", {"two-for-one": {"why": "=HYPERLINK(A1) <b>the hydroxide</b>"}})
    classroom.hand_in("s01")
    mark(classroom)
    (line,) = review(classroom)
    assert line["typed"] == "'=HYPERLINK(A1) <b>the hydroxide</b>"
    assert (line["exercise"], line["question"]) == ("two-for-one", "why")
    assert line["what to look at"] == "to be read: From the hydroxide."
    assert book(classroom)["s01"]["to review"] == "1"


def test_unreadable_answers_go_to_the_review_list(classroom):
    record(classroom, "s01", {"two-for-one": {"potassium": "9**9**9 g"}})
    classroom.hand_in("s01")
    mark(classroom)
    (line,) = review(classroom)
    assert line["typed"] == "9**9**9 g"
    assert line["what to look at"].startswith("unreadable:")


def test_late_answers_are_flagged(lay_class):
    classroom = lay_class(changes={"2099-12-04": "2020-12-04"})
    classroom.hand_out()
    hand_in_right(classroom, "s01")
    mark(classroom)
    assert book(classroom)["s01"]["late"] == "late"
    assert "late" in review(classroom)[0]["what to look at"]


# What may be handed in by mistake or malice: content and what the review list says of it.
DEEP = b'{"format":' * 100_000 + b"1" + b"}" * 100_000
BAD_FILES = {
    "empty.json": (b"", "the file is empty"),
    "blank.json": (b" \n ", "the file is empty"),
    "words.json": (b"here are my answers", "not JSON"),
    "half.json": (b'{"format": "potash answer sheet", ', "not JSON"),
    "list.json": (b"[1, 2, 3]", "no answer sheet"),
    "other.json": (b'{"format": "another"}', 'lacks "format"'),
    "brackets.json": (b"[" * 100_000, "nested too deeply"),
    "deep.json": (DEEP, "nested too deeply"),
    "nan.json": (b'{"x": NaN}', "NaN is not a JSON number"),
    "infinity.json": (b'{"x": -Infinity}', "-Infinity is not a JSON number"),
    "digits.json": (b'{"x": ' + b"9" * 100_000 + b"}", "not JSON"),
    "surrogate.json": (b'{"format": "\\ud800"}', "half a character"),
    "latin.json": ("{Zoë}".encode("latin-1"), "not UTF-8"),
    "utf16.json": ("{}".encode("utf-16"), "not UTF-8"),
    "report.pdf": (b"%PDF-1.7", "the file to hand in is answers.json"),
    "pickle.pkl": (b"cos\nsystem\n(S'true'\ntR.", "the file to hand in is answers.json"),
    "chapter.ipynb": (b'{"cells": [], "metadata": {}}', "no answers were recorded"),
    "odd.ipynb": (b'{"cells": {"a": [7]}}', "no answers were recorded"),
    "large.json": (b" " * 50_000_000, "it has 50.0 MB"),
}


@pytest.mark.parametrize("name", BAD_FILES)
def test_a_bad_file_is_named_and_stops_nobody_else(classroom, name):
    content, message = BAD_FILES[name]
    hand_in_right(classroom, "s01")
    classroom.hand_in_sheet(name, content)
    before = {path for path in classroom.folder.rglob("*") if classroom.marks not in path.parents}
    summary = mark(classroom)
    ((left_out, reason),) = summary.left_out
    assert left_out == name
    assert message in reason
    assert book(classroom)["s01"]["points"] == "5"
    assert message in review(classroom)[0]["what to look at"]
    after = {path for path in classroom.folder.rglob("*") if classroom.marks not in path.parents}
    assert after - before == {classroom.marks}


def sheet_of(path):
    return json.loads(path.read_text(encoding="utf-8"))


def test_a_sheet_from_another_course_is_named(classroom):
    path = hand_in_right(classroom, "s01")
    path.write_text(sheet_file.dump(sheet_of(path) | {"course": "another"}))
    assert "from the course 'another'" in mark(classroom).left_out[0][1]
    assert book(classroom)["s01"]["status"] == "not handed in"


@pytest.mark.parametrize("student", ["nobody", "../s01", "S01", "=1+1", ""])
def test_a_sheet_of_an_unknown_student_is_named(classroom, student):
    path = hand_in_right(classroom, "s01")
    path.write_text(sheet_file.dump(sheet_of(path) | {"student": student}))
    assert f"names no student {student!r}" in mark(classroom).left_out[0][1]
    assert book(classroom)["s01"]["status"] == "not handed in"
    assert not list((classroom.marks / "feedback").iterdir())


def test_figures_changed_by_hand_are_flagged_and_do_not_count(classroom):
    path = hand_in_right(classroom, "s01")
    sheet = sheet_of(path)
    sheet["exercises"]["water-takes-magnesium"]["figures"]["pellets"] = "1.00\u00a0g"
    path.write_text(sheet_file.dump(sheet))
    mark(classroom)
    assert book(classroom)["s01"]["points"] == "5"  # right for the figures handed out
    assert (
        "figures on the sheet are not those handed out" in review(classroom)[0]["what to look at"]
    )


def test_easier_figures_bring_nothing(classroom):
    # The student invents figures and answers rightly for them.
    record(classroom, "s01", {"two-for-one": {"potassium": "0.002 mol"}})
    path = classroom.hand_in("s01")
    sheet = sheet_of(path)
    sheet["exercises"]["two-for-one"]["figures"]["amount"] = "0.001\u00a0mol"
    path.write_text(sheet_file.dump(sheet))
    mark(classroom)
    assert book(classroom)["s01"]["two-for-one: potassium"] == "wrong"


def test_a_neighbours_figures_and_seal_bring_nothing(classroom):
    hand_in_right(classroom, "s01")
    neighbour = sheet_of(hand_in_right(classroom, "s02"))
    classroom.hand_in_sheet("s02.json", neighbour | {"student": "s03"})
    mark(classroom)
    row = book(classroom)["s03"]
    assert row["two-for-one: potassium"] != "correct"
    assert sum("not those handed out" in line["what to look at"] for line in review(classroom)) == 2


WITH_OXIDE = """
chapter = 1

[[exercise]]
id = "two-for-one"
title = "Which oxide"
outcome = "Balance the reduction of a hydroxide."
text = "Balance: KOH + Mg -> K + {oxide} + H2"
caution = "Hydrogen burns with a flame that is hardly seen."

[exercise.given.oxide]
choices = ["MgO"]

[[exercise.asked]]
name = "equation"
prompt = "Balanced equation"
kind = "equation"
answer = "KOH + Mg -> K + {oxide} + H2"
"""


@pytest.fixture
def oxides(lay_class):
    """A class that was handed the equation with magnesium oxide, and has answered it rightly."""
    classroom = lay_class()
    classroom.course_file.with_name("own.toml").write_text(WITH_OXIDE)
    classroom.hand_out()
    record(classroom, "s01", {"two-for-one": {"equation": "2 KOH + 2 Mg -> 2 K + 2 MgO + H2"}})
    classroom.hand_in("s01")
    return classroom


def change(classroom, old, new):
    own = classroom.course_file.with_name("own.toml")
    assert old in own.read_text()
    own.write_text(own.read_text().replace(old, new))


def test_an_equation_that_no_longer_balances_is_marked_on_what_is_handed_out_now(oxides):
    change(oxides, "KOH + Mg", "KOH + Al")
    change(oxides, '["MgO"]', '["Al2O3"]')
    mark(oxides)
    assert book(oxides)["s01"]["two-for-one: equation"] == "wrong"
    assert "changed since the handout" in review(oxides)[0]["what to look at"]


def test_a_key_that_never_balances_is_told_and_stops_nobody_else(oxides):
    change(oxides, "KOH + Mg", "KOH + Al")
    ((name, reason),) = mark(oxides).left_out
    assert name == "s01.json"
    assert "two-for-one, equation: " in reason
    assert "Mg" in reason


def test_a_lost_register_is_found_again_from_the_class_list(classroom):
    path = hand_in_right(classroom, "s02")
    register_path(classroom.course_file).unlink()
    sheet = sheet_of(path)
    for row in sheet["exercises"].values():
        row["seal"] = ""
    path.write_text(sheet_file.dump(sheet))
    mark(classroom)
    assert book(classroom)["s02"]["points"] == "5"


def test_answers_to_exercises_that_were_not_set_are_flagged(classroom):
    path = hand_in_right(classroom, "s01")
    sheet = sheet_of(path)
    sheet["exercises"]["invented"] = sheet["exercises"]["two-for-one"]
    path.write_text(sheet_file.dump(sheet))
    mark(classroom)
    assert "not set: invented" in review(classroom)[0]["what to look at"]


def test_the_later_of_two_sheets_counts_and_both_are_kept(classroom):
    record(classroom, "s01", {"two-for-one": {"potassium": "7 mol"}})
    early = classroom.hand_in("s01", "a-first.json")
    sheet = sheet_of(early)
    attempts = sheet["exercises"]["two-for-one"]["answers"]["potassium"]
    attempts[-1]["at"] = "2026-01-01T00:00:00Z"
    early.write_text(sheet_file.dump(sheet))
    hand_in_right(classroom, "s01", "b-second.json")
    early_bytes = early.read_bytes()
    mark(classroom)
    assert book(classroom)["s01"]["points"] == "5"
    again = review(classroom)[-1]
    assert again["file"] == "a-first.json"
    assert "handed in again: b-second.json counts, this one does not" in again["what to look at"]
    assert "other answers in water-takes-magnesium, two-for-one" in again["what to look at"]
    assert early.read_bytes() == early_bytes


def test_a_whole_folder_handed_in_is_read(classroom):
    record(classroom, "s01", right_answers(classroom, "s01"))
    classroom.returns.mkdir()
    (classroom.folder / "handouts" / "s01").rename(classroom.returns / "s01")
    (classroom.returns / "s01" / ".ipynb_checkpoints").mkdir()
    (classroom.returns / "s01" / ".ipynb_checkpoints" / "x.json").write_text("{")
    (classroom.returns / "s01" / "01-chapter.ipynb").write_text('{"cells": []}')
    summary = mark(classroom)
    assert (summary.marked, summary.left_out) == (1, [])
    assert book(classroom)["s01"]["points"] == "5"


def notebook(*records):
    outputs = [
        {
            "output_type": "display_data",
            "metadata": {},
            "data": {"text/plain": "Recorded", sheet_file.MIME: record},
        }
        for record in records
    ]
    return json.dumps({"cells": [{"cell_type": "code", "outputs": outputs}], "nbformat": 4})


def test_a_notebook_handed_in_by_mistake_is_marked(classroom):
    sheet = classroom.sheet("s01")
    sheet.record("two-for-one", {"potassium": "7 mol"})
    _, first = sheet.notebook_record()
    sheet.record("two-for-one", right_answers(classroom, "s01")["two-for-one"])
    _, second = sheet.notebook_record()
    classroom.hand_in_sheet("chapter.ipynb", notebook(first, second))
    assert mark(classroom).marked == 1
    assert book(classroom)["s01"]["two-for-one: potassium"] == "correct"


def test_where_notebook_and_sheet_differ_a_person_decides(classroom):
    sheet = classroom.sheet("s01")
    sheet.record("two-for-one", {"potassium": "7 mol"})
    classroom.hand_in_sheet("chapter.ipynb", notebook(sheet.notebook_record()[1]))
    hand_in_right(classroom, "s01")
    mark(classroom)
    assert book(classroom)["s01"]["points"] == "5"
    assert "chapter.ipynb" in review(classroom)[-1]["file"]
    assert "other answers in" in review(classroom)[-1]["what to look at"]


def test_a_notebook_with_two_students_is_left_to_a_person(classroom):
    records = []
    for student in ("s01", "s02"):
        record(classroom, student, {"two-for-one": {"potassium": "7 mol"}})
        records.append(classroom.sheet(student).notebook_record()[1])
    classroom.hand_in_sheet("chapter.ipynb", notebook(*records))
    assert "more than one student" in mark(classroom).left_out[0][1]


def test_half_a_character_in_an_answer_stops_nobody_else(classroom):
    path = hand_in_right(classroom, "s01")
    sheet = sheet_of(path)
    sheet["exercises"]["two-for-one"]["answers"]["potassium"][-1]["typed"] = "\ud800"
    path.write_text(json.dumps(sheet))
    hand_in_right(classroom, "s02")
    summary = mark(classroom)
    assert summary.marked == 1
    assert "half a character" in summary.left_out[0][1]


@pytest.mark.skipif(os.name != "posix", reason="needs file names that are bytes")
def test_a_file_name_that_is_not_text_stops_nobody_else(classroom):
    path = hand_in_right(classroom, "s01")
    path.rename(os.fsdecode(os.fsencode(path.parent) + b"/\xff\x1b.json"))
    classroom.hand_in_sheet(os.fsdecode(b"\xfe.json"), "{")
    summary = mark(classroom)
    assert (summary.marked, len(summary.left_out)) == (1, 1)
    assert len(review(classroom)) == 1


def test_control_characters_in_answers_reach_no_table_and_no_markup(classroom):
    record(classroom, "s01", {"two-for-one": {"why": "a\x00b\x1b[31m\r\n=1+1\u202e"}})
    classroom.hand_in("s01")
    mark(classroom)
    (line,) = review(classroom)
    assert line["typed"] == "a b [31m =1+1"
    assert (classroom.marks / "feedback" / "s01.html").is_file()


def test_links_are_not_followed(classroom):
    path = hand_in_right(classroom, "s01")
    outside = classroom.folder / "outside.json"
    path.rename(outside)
    (classroom.returns / "s01.json").symlink_to(outside)
    (classroom.returns / "loop").symlink_to(classroom.returns)
    summary = mark(classroom)
    assert summary.marked == 0
    assert [name for name, _ in summary.left_out] == ["loop", "s01.json"]
    assert all("links are not followed" in reason for _, reason in summary.left_out)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs named pipes")
def test_a_pipe_does_not_hang_the_marker(classroom):
    hand_in_right(classroom, "s01")
    os.mkfifo(classroom.returns / "pipe.json")
    assert mark(classroom).left_out == [("pipe.json", "it is not a regular file")]


def test_a_link_in_the_marks_is_replaced_and_not_written_through(classroom):
    hand_in_right(classroom, "s01")
    victim = classroom.folder / "victim"
    victim.write_text("whole")
    (classroom.marks / "feedback").mkdir(parents=True)
    (classroom.marks / "feedback" / "s01.html").symlink_to(victim)
    (classroom.marks / "markbook.csv").symlink_to(victim)
    mark(classroom)
    assert victim.read_text() == "whole"
    assert not (classroom.marks / "markbook.csv").is_symlink()


def test_a_feedback_folder_that_leads_elsewhere_is_refused(classroom):
    hand_in_right(classroom, "s01")
    elsewhere = classroom.folder / "elsewhere"
    elsewhere.mkdir()
    classroom.marks.mkdir()
    (classroom.marks / "feedback").symlink_to(elsewhere)
    with pytest.raises(BadOutput, match="is a link"):
        mark(classroom)
    assert not list(elsewhere.iterdir())


class Tags(HTMLParser):
    def __init__(self):
        super().__init__()
        self.tags = []
        self.policy = ""

    def handle_starttag(self, tag, attributes):
        self.tags.append(tag)
        if dict(attributes).get("http-equiv") == "Content-Security-Policy":
            self.policy = dict(attributes)["content"]
        assert not any(name.startswith("on") or name in ("href", "src") for name, _ in attributes)


def test_feedback_shows_what_was_typed_and_runs_nothing(classroom):
    evil = "<script>alert(1)</script><img src=x onerror=alert(1)>{{ 7 * 7 }}"
    record(classroom, "s01", {"two-for-one": {"why": evil, "potassium": "</td><b>"}})
    classroom.hand_in("s01")
    mark(classroom)
    text = (classroom.marks / "feedback" / "s01.html").read_text(encoding="utf-8")
    tags = Tags()
    tags.feed(text)
    assert not {"script", "img", "b", "a", "iframe"} & set(tags.tags)
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in text
    assert "{{ 7 * 7 }}" in text
    assert tags.policy.startswith("default-src 'none'; style-src 'sha256-")


def test_feedback_gives_the_key_the_reason_and_the_caution_about_permission(classroom):
    answers = right_answers(classroom, "s01")
    answers["water-takes-magnesium"]["metal"] = "1 mol"
    record(classroom, "s01", answers)
    classroom.hand_in("s01")
    mark(classroom)
    text = (classroom.marks / "feedback" / "s01.html").read_text(encoding="utf-8")
    key = classroom.key("s01", "water-takes-magnesium")
    assert f"{1000 * key['metal']:.2f}\u00a0g" in text
    assert "Asked is" in text
    assert "licensed supervision" in text


def test_the_secret_is_made_once_and_for_its_owner_alone(lay_class):
    classroom = lay_class()
    path = secret_path(classroom.course_file)
    path.unlink()
    classroom.hand_out()
    secret = path.read_text()
    assert len(secret.strip()) == 64
    assert path.stat().st_mode & 0o777 == 0o600
    classroom.hand_out()
    assert path.read_text() == secret
    path.chmod(0o644)
    hand_in_right(classroom, "s01")
    mark(classroom)
    assert path.stat().st_mode & 0o777 == 0o600


def test_handouts_hold_neither_answers_nor_formulas_nor_secret(classroom):
    secret = secret_path(classroom.course_file).read_text().strip()
    folder = classroom.folder / "handouts"
    for student in ("s01", "s02", "s03"):
        data = json.loads((folder / student / "handout.json").read_text(encoding="utf-8"))
        text = json.dumps(data["exercises"], ensure_ascii=False)
        for exercise_id, typed in right_answers(classroom, student).items():
            key = classroom.key(student, exercise_id)
            numbers = [name for name in typed if name != "limiting"]
            assert not any(typed[name].split()[0] in text for name in numbers)
            assert not any(repr(key[name]) in text for name in numbers)
        for word in ("molar_mass(", "answer", "tolerance", "slip", "forgotten"):
            assert word not in text
    everything = b"".join(path.read_bytes() for path in folder.rglob("*") if path.is_file())
    assert secret.encode() not in everything
    assert bytes.fromhex(secret) not in everything


def test_handing_out_again_changes_nothing_and_keeps_answers(classroom):
    record(classroom, "s01", {"two-for-one": {"potassium": "7 mol"}})
    folder = classroom.folder / "handouts"
    before = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    done = assigning.assign(classroom.course, folder)
    assert (done.written, done.unchanged) == (0, 3)
    assert {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()} == before


def test_a_newcomer_gets_a_handout_and_nobody_elses_changes(classroom):
    folder = classroom.folder / "handouts"
    before = (folder / "s01" / "handout.json").read_bytes()
    with (classroom.folder / "staff" / "class.csv").open("a") as file:
        file.write("s00,Newcomer\n")
    done = assigning.assign(classroom.course, folder)
    assert (done.written, done.unchanged) == (1, 3)
    assert (folder / "s01" / "handout.json").read_bytes() == before


def listing(folder):
    return sorted(str(path) for path in folder.rglob("*"))


@pytest.mark.parametrize(
    ("to", "message"),
    [
        ("missing/handouts", "there is no folder"),
        ("staff/own.toml", "is a file"),
        ("staff", "holds the course file and its secret"),
        (".", "holds the course file and its secret"),
    ],
)
def test_an_output_folder_that_cannot_serve_is_refused_before_anything_is_written(
    lay_class, to, message
):
    classroom = lay_class()
    before = listing(classroom.folder)
    with pytest.raises(BadOutput, match=message):
        assigning.assign(classroom.course, classroom.folder / to)
    assert listing(classroom.folder) == before


@pytest.mark.parametrize("work", ["assign", "mark"])
def test_a_read_only_output_folder_is_told_and_nothing_is_written(classroom, monkeypatch, work):
    hand_in_right(classroom, "s01")
    before = listing(classroom.folder)
    # The tests may run as root, whom no folder refuses; so the system's answer is given here.
    monkeypatch.setattr(os, "access", lambda *_: False)
    with pytest.raises(BadOutput, match="is read-only for you"):
        if work == "mark":
            mark(classroom)
        else:
            assigning.assign(classroom.course, classroom.folder / "new")
    assert listing(classroom.folder) == before


def test_a_disk_that_fills_while_marking_leaves_the_old_mark_book(classroom, monkeypatch):
    hand_in_right(classroom, "s01")
    mark(classroom)
    before = (classroom.marks / "markbook.csv").read_bytes()
    hand_in_right(classroom, "s02")

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("potash.files.os.fsync", full)
    with pytest.raises(BadOutput, match="No space left on device"):
        mark(classroom)
    assert (classroom.marks / "markbook.csv").read_bytes() == before
    assert not list(classroom.marks.rglob("*.part"))


def test_a_folder_with_another_courses_handouts_is_refused(classroom, tmp_path):
    classroom.course_file.write_text(
        classroom.course_file.read_text().replace("larkmoor-test", "larkmoor-next")
    )
    before = (classroom.folder / "handouts" / "s01" / "handout.json").read_bytes()
    with pytest.raises(BadOutput, match="a handout of the course 'larkmoor-test'"):
        classroom.hand_out()
    assert (classroom.folder / "handouts" / "s01" / "handout.json").read_bytes() == before


def test_marks_and_returns_must_lie_apart(classroom):
    hand_in_right(classroom, "s01")
    with pytest.raises(BadOutput, match="lie inside each other"):
        marks.mark_returns(classroom.course, classroom.returns, classroom.returns / "marks")
    assert not (classroom.returns / "marks").exists()


def test_missing_returns_and_a_missing_secret_are_told(classroom):
    with pytest.raises(BadReturns, match="does not exist"):
        mark(classroom)
    hand_in_right(classroom, "s01")
    secret_path(classroom.course_file).unlink()
    with pytest.raises(BadSecret, match="Run `potash assign` first"):
        mark(classroom)
    secret_path(classroom.course_file).write_text("damaged")
    with pytest.raises(BadSecret, match="Restore it from a copy"):
        mark(classroom)
    assert not classroom.marks.exists()


def test_the_mark_book_follows_rfc_4180(classroom):
    (classroom.folder / "staff" / "class.csv").write_text('id,name\ns01,"=1+1, ""Zed"""\n')
    hand_in_right(classroom, "s01")
    mark(classroom)
    data = (classroom.marks / "markbook.csv").read_bytes()
    lines = data.split(b"\r\n")
    assert lines[-1] == b""
    assert b"\n" not in b"".join(lines)
    # RFC 4180, section 2: fields with quotes or commas are quoted, quotes are doubled.
    assert b's01,"\'=1+1, ""Zed""",marked,' in data
    assert not data.startswith(b"\xef\xbb\xbf")
    assert re.fullmatch(rb"[\x20-\x7e\r\n]+", data)


odd_values = st.recursive(
    st.none() | st.integers() | st.floats(allow_nan=False) | st.text(max_size=30),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner),
    max_leaves=5,
)


def places(value):
    """Every container within a JSON value, with each of its keys."""
    keys = value.keys() if isinstance(value, dict) else range(len(value))
    for key in list(keys):
        yield value, key
        if isinstance(value[key], dict | list):
            yield from places(value[key])


@settings(
    max_examples=300, deadline=2000, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(odd_values, st.data())
def test_a_genuine_sheet_with_any_one_part_replaced_is_marked_or_refused(classroom, value, data):
    if not classroom.sheet("s01").path.exists():
        record(classroom, "s01", right_answers(classroom, "s01"))
    course = classroom.course
    marker = Marker(course, course.students(), read_secret(course.path))
    sheet = sheet_of(classroom.sheet("s01").path)
    container, key = data.draw(st.sampled_from(list(places(sheet))))
    container[key] = value
    try:
        marked = marker.mark(sheet_file.parse(json.dumps(sheet).encode()))
    except (BadSheet, NotOurs) as refusal:
        assert str(refusal)
    else:
        assert marked.student == "s01"
        assert [len(one.findings) for one in marked.exercises] == [1, 4, 2]
