"""What people decide: taken down for good, applied to the marks, and kept when marking again."""

import csv
import json
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from potash.exercises import decisions, marks
from potash.exercises.decisions import Decision, DecisionRefused, LogNotWritten


def decision(**changes):
    taken = Decision(
        student="s01",
        exercise="two-for-one",
        question="potassium",
        kind="mark",
        by="R. Marsh",
        at="2026-11-25T10:00:00Z",
        reason="the method was right",
        typed="7 mol",
        outcome="wrong",
        earned=0.0,
        credit=0.75,
    )
    return replace(taken, **changes)


@pytest.fixture
def log(tmp_path):
    return tmp_path / "decisions.jsonl"


def test_decisions_come_back_as_they_were_taken(log):
    taken = [decision(), decision(kind="comment", credit=None, comment="Zoë: see page 3")]
    for one in taken:
        decisions.append(log, one)
    read = decisions.read(log)
    assert (list(read.lines), read.problems) == (taken, ())
    assert log.stat().st_mode & 0o777 == 0o600


def test_a_later_decision_stands_above_an_earlier_one_and_both_stay(log):
    for credit in (0.25, 1.0):
        decisions.append(log, decision(credit=credit))
    standing = decisions.read(log).of("s01")[("two-for-one", "potassium")]
    assert standing.mark.credit == 1.0
    assert len(decisions.read(log).lines) == 2


def test_a_withdrawn_decision_no_longer_stands(log):
    decisions.append(log, decision())
    decisions.append(log, decision(kind="withdraw", credit=None))
    standing = decisions.read(log).of("s01")[("two-for-one", "potassium")]
    assert (standing.mark, standing.comment) == (None, None)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"by": " "}, "Who decides"),
        ({"reason": ""}, "Why"),
        ({"credit": 1.5}, "between 0 and 1"),
        ({"credit": None}, "between 0 and 1"),
        ({"credit": float("nan")}, "between 0 and 1"),
        ({"kind": "comment", "comment": " "}, "comment is empty"),
        ({"reason": "x" * 2001}, "at most 2000"),
    ],
)
def test_a_decision_without_name_reason_or_share_is_refused(log, changes, message):
    with pytest.raises(DecisionRefused, match=message):
        decisions.append(log, decision(**changes))
    assert not log.exists()


def test_a_line_changed_or_removed_by_hand_is_noticed(log):
    for credit in (0.1, 0.2, 0.3):
        decisions.append(log, decision(credit=credit))
    whole = log.read_text().splitlines(keepends=True)
    log.write_text(whole[0] + whole[1].replace("0.2", "0.9") + whole[2])
    (problem,) = decisions.read(log).problems
    assert "line 3 does not follow the line before it" in problem
    log.write_text(whole[0] + whole[2])
    (problem,) = decisions.read(log).problems
    assert "line 2 does not follow" in problem


def test_a_line_cut_short_is_named_and_the_next_begins_anew(log):
    decisions.append(log, decision(credit=0.1))
    with log.open("a") as file:
        file.write('{"student": "s0')
    decisions.append(log, decision(credit=0.2))
    read = decisions.read(log)
    assert [one.credit for one in read.lines] == [0.1, 0.2]
    (problem,) = read.problems
    assert "line 2 cannot be read" in problem


def test_a_log_that_cannot_be_written_is_told(tmp_path):
    with pytest.raises(LogNotWritten, match="Not taken down"):
        decisions.append(tmp_path / "missing" / "decisions.jsonl", decision())


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.text(max_size=60), st.text(min_size=1, max_size=60))
def test_any_text_survives_the_log_on_one_line(log, typed, reason):
    log.unlink(missing_ok=True)
    try:
        decisions.append(log, decision(typed=typed, reason=reason))
    except DecisionRefused:
        return
    (line,) = decisions.read(log).lines
    assert line.typed == typed.encode("utf-8", "replace").decode()
    assert log.read_bytes().count(b"\n") == 1


def book(classroom):
    with (classroom.marks / "markbook.csv").open(encoding="utf-8", newline="") as file:
        return {row["student"]: row for row in csv.DictReader(file)}


def mark(classroom):
    return marks.mark_returns(classroom.course, classroom.returns, classroom.marks)


@pytest.fixture
def decided(classroom):
    """A wrong answer and a free text, both marked by a person afterwards."""
    classroom.sheet("s01").record("two-for-one", {"potassium": "7 mol", "why": "KOH"})
    classroom.hand_in("s01")
    mark(classroom)
    log = classroom.marks / decisions.LOG
    decisions.append(log, decision())
    decisions.append(
        log,
        decision(question="why", typed="KOH", outcome="to be read", credit=1.0, comment="Yes <b>!"),
    )
    return classroom


def test_a_decision_counts_and_the_outcome_that_marking_found_stays_beside_it(decided):
    mark(decided)
    row = book(decided)["s01"]
    assert row["two-for-one: potassium"] == "wrong, by hand 0.75"
    assert row["points"] == "1.75"
    assert row["to review"] == "0"
    page = (decided.marks / "feedback" / "s01.html").read_text(encoding="utf-8")
    assert "Marked by a person." in page
    assert "Yes &lt;b&gt;!" in page
    assert "the method was right" not in page


def test_the_mark_book_is_rebuilt_from_returns_and_log_to_the_same_bytes(decided):
    mark(decided)
    expected = (decided.marks / "markbook.csv").read_bytes()
    log = (decided.marks / decisions.LOG).read_bytes()
    for path in sorted(decided.marks.rglob("*"), reverse=True):
        if path.is_file() and path.name != decisions.LOG:
            path.unlink()
    mark(decided)
    assert (decided.marks / "markbook.csv").read_bytes() == expected
    assert (decided.marks / decisions.LOG).read_bytes() == log


def test_marking_again_after_an_exercise_was_corrected_keeps_what_people_decided(decided):
    own = decided.folder / "staff" / "own.toml"
    own.write_text(own.read_text().replace('answer = "2 * amount"', 'answer = "3 * amount"'))
    amount = decided.key("s02", "two-for-one")["amount"]
    decided.sheet("s02").record("two-for-one", {"potassium": f"{3 * amount:#.3g} mol"})
    decided.hand_in("s02")
    mark(decided)
    assert book(decided)["s01"]["two-for-one: potassium"] == "wrong, by hand 0.75"
    assert book(decided)["s02"]["two-for-one: potassium"] == "correct"


def test_a_decision_does_not_hold_for_an_answer_that_came_later(decided):
    decided.sheet("s01").record("two-for-one", {"potassium": "8 mol"})
    decided.hand_in("s01")
    mark(decided)
    assert book(decided)["s01"]["two-for-one: potassium"] == "wrong"
    with (decided.marks / "review.csv").open(encoding="utf-8", newline="") as file:
        told = [row["what to look at"] for row in csv.DictReader(file)]
    assert told == [
        "R. Marsh decided about another answer than this one; the answer was changed since"
    ]


def test_a_damaged_log_stops_nobody_and_is_on_the_review_list(decided):
    log = decided.marks / decisions.LOG
    log.write_text(log.read_text() + "[1, 2\n" + json.dumps({"student": 7}) + "\n")
    mark(decided)
    assert book(decided)["s01"]["points"] == "1.75"
    review = (decided.marks / "review.csv").read_text(encoding="utf-8")
    assert "line 3 cannot be read" in review
    assert "line 4 cannot be read" in review
