"""The answer sheet: nothing that was shown as recorded is ever lost."""

import json
import os
import subprocess
import sys
import textwrap
from pathlib import Path

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from potash import files
from potash.exercises import bank, sheet_file
from potash.exercises.bank import UnknownExercise
from potash.exercises.issued import CannotCheck, NotForPractice
from potash.exercises.outcomes import Outcome
from potash.exercises.sheet import (
    AnswerRefused,
    AnswerSheet,
    BadHandout,
    SheetNotWritten,
)
from potash.exercises.sheet_file import BadSheet

AS_ROOT = hasattr(os, "geteuid") and os.geteuid() == 0
SCHEMAS = Path(sheet_file.__file__).with_name("schemas")


@pytest.fixture
def sheet(classroom):
    return classroom.sheet("s01")


def on_disk(sheet):
    return json.loads(sheet.path.read_text(encoding="utf-8"))


def test_a_folder_without_a_handout_practises_the_whole_bank(tmp_path):
    sheet = AnswerSheet.open(tmp_path)
    assert not sheet.has_handout
    assert [one.id for one in sheet.exercises()] == list(bank.bank())
    assert all(one.practice and "{" not in one.text for one in sheet.exercises())
    assert {one.chapter for one in sheet.exercises(2)} == {2}
    assert not sheet.path.exists()


def test_practice_figures_are_the_same_for_everybody(tmp_path):
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    first, second = AnswerSheet.open(tmp_path / "a"), AnswerSheet.open(tmp_path / "b")
    assert first.exercises() == second.exercises()


def test_recorded_answers_are_read_back_from_the_disk(sheet):
    told = sheet.record("water-takes-magnesium", {"hydroxide": "0,150 mol", "limiting": "KOH"})
    assert told == {"hydroxide": "0,150 mol", "limiting": "KOH"}
    assert AnswerSheet.open(sheet.path.parent).answers("water-takes-magnesium") == told


def test_every_attempt_is_kept_as_typed_with_its_time(sheet):
    for text in ("1 g", "2 g", "2 g", "2,00 g"):
        sheet.record("weigh-hydroxide", {"pellets": text})
    attempts = sheet.attempts("weigh-hydroxide")["pellets"]
    assert [one.typed for one in attempts] == ["1 g", "2 g", "2,00 g"]
    assert all(one.at.endswith("Z") and len(one.at) == 20 for one in attempts)


def test_an_answer_can_be_taken_back_to_blank(sheet):
    assert sheet.record("weigh-hydroxide", {"pellets": " "}) == {}
    sheet.record("weigh-hydroxide", {"pellets": "1 g"})
    assert sheet.record("weigh-hydroxide", {"pellets": ""}) == {"pellets": ""}


def test_the_file_follows_its_published_schema(sheet):
    sheet.record("water-takes-magnesium", {"hydroxide": "0.150 mol"})
    sheet.record_prediction("more-water", "less metal", "less metal")
    schema = json.loads((SCHEMAS / "answer-sheet.schema.json").read_text())
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(on_disk(sheet), schema, jsonschema.Draft202012Validator)


@pytest.mark.parametrize("name", ["answer-sheet", "course", "exercises", "handout"])
def test_every_schema_is_valid_itself(name):
    schema = json.loads((SCHEMAS / f"{name}.schema.json").read_text())
    jsonschema.Draft202012Validator.check_schema(schema)


def test_two_notebooks_do_not_lose_each_others_answers(classroom):
    first, second = classroom.sheet("s01"), classroom.sheet("s01")
    first.record("weigh-hydroxide", {"pellets": "1 g"})
    second.record("two-for-one", {"potassium": "0.2 mol"})
    first.record("water-takes-magnesium", {"limiting": "Mg"})
    assert second.answers("weigh-hydroxide") == {"pellets": "1 g"}
    assert first.answers("two-for-one") == {"potassium": "0.2 mol"}
    assert second.answers("water-takes-magnesium") == {"limiting": "Mg"}


def test_kernels_that_record_at_the_same_time_lose_nothing(classroom):
    program = textwrap.dedent(
        """
        import sys
        from potash.exercises.sheet import AnswerSheet
        sheet = AnswerSheet.open(sys.argv[1])
        for number in range(25):
            sheet.record("two-for-one", {sys.argv[2]: f"{number}"})
        """
    )
    folder = str(classroom.sheet("s01").path.parent)
    kernels = [
        subprocess.Popen([sys.executable, "-c", program, folder, name])
        for name in ("potassium", "why")
    ]
    assert [kernel.wait(timeout=120) for kernel in kernels] == [0, 0]
    attempts = classroom.sheet("s01").attempts("two-for-one")
    for name in ("potassium", "why"):
        assert [one.typed for one in attempts[name]] == [str(number) for number in range(25)]


def test_a_moved_folder_keeps_its_answers(classroom):
    sheet = classroom.sheet("s01")
    sheet.record("weigh-hydroxide", {"pellets": "1 g"})
    moved = classroom.folder / "elsewhere"
    sheet.path.parent.rename(moved)
    assert AnswerSheet.open(moved).answers("weigh-hydroxide") == {"pellets": "1 g"}


def test_a_refusing_disk_is_told_and_leaves_the_old_sheet_whole(sheet, monkeypatch):
    sheet.record("weigh-hydroxide", {"pellets": "1 g"})
    before = sheet.path.read_bytes()

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files.os, "fsync", full)
    with pytest.raises(SheetNotWritten, match="No space left on device"):
        sheet.record("weigh-hydroxide", {"pellets": "2 g"})
    assert sheet.path.read_bytes() == before
    assert sheet.answers("weigh-hydroxide") == {"pellets": "1 g"}
    assert not list(sheet.path.parent.glob("*.part"))


@pytest.mark.skipif(AS_ROOT, reason="root may write everywhere")
def test_a_read_only_folder_is_told(sheet):
    sheet.path.parent.chmod(0o500)
    try:
        with pytest.raises(SheetNotWritten, match="Permission denied"):
            sheet.record("weigh-hydroxide", {"pellets": "2 g"})
    finally:
        sheet.path.parent.chmod(0o700)


def test_a_folder_that_vanished_is_told(sheet):
    sheet.path.parent.rename(sheet.path.parent.with_name("gone"))
    with pytest.raises(SheetNotWritten, match="What you typed is still in its box"):
        sheet.record("weigh-hydroxide", {"pellets": "2 g"})


@pytest.mark.parametrize(
    "damage", [b"", b"{", b"\xff\xfe", b"[" * 100_000, b'{"format": "another"}', b"[NaN]"]
)
def test_a_damaged_sheet_is_set_aside_and_never_overwritten(sheet, damage):
    sheet.path.write_bytes(damage)
    reopened = AnswerSheet.open(sheet.path.parent)
    aside = sheet.path.with_name("answers-damaged-1.json")
    assert aside.read_bytes() == damage
    assert "answers-damaged-1.json" in reopened.notices[0]
    assert reopened.record("weigh-hydroxide", {"pellets": "1 g"}) == {"pellets": "1 g"}
    assert aside.read_bytes() == damage


def test_damage_between_two_records_is_set_aside_too(sheet):
    for number in (1, 2):
        sheet.path.write_text(f"damage {number}")
        assert sheet.record("weigh-hydroxide", {"pellets": "1 g"}) == {"pellets": "1 g"}
        aside = sheet.path.with_name(f"answers-damaged-{number}.json")
        assert aside.read_text() == f"damage {number}"


def test_somebody_elses_sheet_is_set_aside(classroom):
    other = classroom.sheet("s02")
    other.record("weigh-hydroxide", {"pellets": "2 g"})
    mine = classroom.sheet("s01")
    mine.path.write_bytes(other.path.read_bytes())
    assert mine.answers("weigh-hydroxide") == {}
    assert "belongs to course 'larkmoor-test' and student 's02'" in mine.notices[0]
    aside = mine.path.with_name("answers-other-1.json")
    assert aside.read_bytes() == other.path.read_bytes()


def test_answers_to_earlier_figures_are_kept_apart(sheet):
    sheet.record("weigh-hydroxide", {"pellets": "1 g"})
    content = on_disk(sheet)
    content["exercises"]["weigh-hydroxide"]["figures"]["amount"] = "9.999 mol"
    sheet.path.write_text(sheet_file.dump(content))
    assert sheet.answers("weigh-hydroxide") == {}
    assert sheet.record("weigh-hydroxide", {"pellets": "2 g"}) == {"pellets": "2 g"}
    earlier = sheet.path.with_name("answers-earlier-figures-1.json")
    assert json.loads(earlier.read_text()) == content
    assert earlier.name in sheet.notices[0]


def test_answers_that_cannot_be_kept_are_refused_in_words(sheet):
    with pytest.raises(UnknownExercise, match="Did you mean weigh-hydroxide"):
        sheet.record("weigh-hydroxid", {"pellets": "1 g"})
    with pytest.raises(AnswerRefused, match="does not ask for 'mass'"):
        sheet.record("weigh-hydroxide", {"mass": "1 g"})
    with pytest.raises(AnswerRefused, match="10001 characters"):
        sheet.record("weigh-hydroxide", {"pellets": "1" * 10_001})
    assert not sheet.path.exists()


def test_half_a_character_does_not_lose_the_answer(sheet):
    assert sheet.record("two-for-one", {"why": "a\ud800b"}) == {"why": "a?b"}


def test_predictions_are_kept_with_their_results(sheet):
    sheet.record_prediction("more-water", "more metal", "less metal")
    sheet.record_prediction("hotter", "more", "less")
    (kept,) = AnswerSheet.open(sheet.path.parent).predictions("more-water")
    assert (kept.predicted, kept.result) == ("more metal", "less metal")
    assert len(sheet.predictions()) == 2


def test_practice_is_checked_at_once_and_credit_is_not(sheet, classroom):
    key = classroom.key("s01", "weigh-hydroxide")
    exercise = sheet.exercise("weigh-hydroxide")
    found = exercise.check({"pellets": f"{1000 * key['pellets']:.3g} g"})
    assert found["pellets"].outcome is Outcome.CORRECT
    with pytest.raises(NotForPractice, match="counts towards your mark"):
        sheet.exercise("two-for-one").check({"potassium": "1 mol"})


def test_practice_of_an_instructors_own_exercise_says_that_it_cannot_be_checked(lay_class):
    classroom = lay_class(changes={'"two-for-one"': '"two-for-one"\nuse = "practice"'})
    classroom.hand_out()
    with pytest.raises(CannotCheck, match="your instructor's own exercise"):
        classroom.sheet("s01").exercise("two-for-one").check({"potassium": "1 mol"})


def test_a_damaged_handout_is_told_and_left_alone(sheet):
    handout = sheet.path.with_name("handout.json")
    handout.write_text("{")
    with pytest.raises(BadHandout, match="Ask your instructor for the handout again"):
        AnswerSheet.open(sheet.path.parent)
    assert handout.read_text() == "{"


def test_the_notebook_record_holds_the_sheet_and_reads_as_text(sheet):
    sheet.record("weigh-hydroxide", {"pellets": "1 g"})
    text, record = sheet.notebook_record()
    assert "weigh-hydroxide  pellets = 1 g" in text
    assert record == on_disk(sheet)


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.sampled_from(["format", "version", "course", "exercises", "answers", "x"]), inner
        )
    ),
    max_leaves=12,
)


@settings(max_examples=300)
@given(st.one_of(st.binary(max_size=200), json_values.map(lambda v: json.dumps(v).encode())))
def test_any_bytes_are_a_sheet_or_a_clear_refusal(data):
    try:
        sheet = sheet_file.parse(data)
    except BadSheet as refusal:
        assert str(refusal)
    else:
        assert sheet["format"] == sheet_file.FORMAT


@settings(max_examples=200)
@given(json_values, st.data())
def test_a_sheet_with_any_one_part_replaced_is_a_sheet_or_a_clear_refusal(value, data):
    sheet = sheet_file.new_sheet("c", "s")
    attempt = {"typed": "1 g", "at": "2026-11-25T09:30:00Z"}
    row = {"figures": {"x": "1"}, "draw": 0, "seal": "", "answers": {"y": [attempt]}}
    sheet["exercises"]["e"] = row
    part = data.draw(st.sampled_from([sheet, row, row["answers"], attempt]))
    part[data.draw(st.sampled_from(sorted(part)))] = value
    try:
        parsed = sheet_file.parse(json.dumps(sheet).encode())
    except BadSheet as refusal:
        assert str(refusal)
    else:
        assert sheet_file.last_recorded(parsed) <= "9999"
