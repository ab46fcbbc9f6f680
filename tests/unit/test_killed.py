"""Handing out and marking, killed at random moments: nothing is lost, and the next run completes.

POTASH_KILLS sets how often each is killed; a few times by default.
"""

import contextlib
import os
import random
import signal
import subprocess
import sys
import time

import psutil
import pytest

from potash.exercises import job, marks
from potash.exercises.workers import ThisProcess

KILLS = int(os.environ.get("POTASH_KILLS", "2"))
STUDENTS = 12

pytestmark = pytest.mark.skipif(os.name != "posix", reason="needs kill -9")


def start(*words):
    command = [sys.executable, "-m", "potash.cli", *map(str, words)]
    # A group of its own, so that its marking processes are killed with it.
    return subprocess.Popen(
        command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True
    )


def kill_at_random(chance, seconds, *words):
    """Run a command and kill it at some moment of its life; says whether that came in time."""
    running = start(*words)
    time.sleep(chance.uniform(0.3, 1.0) * seconds)
    in_time = running.poll() is None
    if in_time:
        os.killpg(running.pid, signal.SIGKILL)
    running.wait()
    return in_time


def seconds_for(*words):
    begin = time.monotonic()
    assert start(*words).wait() == 0
    return time.monotonic() - begin


def living(group):
    """The processes of a group that run; one that ended and was not asked for is none."""
    members = []
    for process in psutil.process_iter(["status"]):
        with contextlib.suppress(ProcessLookupError):
            if os.getpgid(process.pid) == group and process.info["status"] != psutil.STATUS_ZOMBIE:
                members.append(process)
    return members


def content(folder):
    """Every file but locks, which hold nothing."""
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and not path.name.endswith("lock")
    }


def whole_or_absent(folder, expected):
    """No file of its own name holds anything but what a whole run writes into it."""
    for name, data in content(folder).items():
        if not name.rpartition("/")[2].startswith(".") and ".unfinished" not in name:
            assert data == expected[name], f"{name} is neither the old nor the new file"


def test_handing_out_killed_at_any_moment_loses_nothing(lay_class):
    classroom = lay_class(STUDENTS)
    handouts = classroom.folder / "handouts"
    words = ("assign", classroom.course_file, "--to", handouts)
    seconds = seconds_for(*words)
    expected = content(handouts)
    assert len(expected) > STUDENTS
    chance, hits = random.Random(7), 0
    for _ in range(KILLS):
        for path in sorted(handouts.rglob("*"), reverse=True):
            if path.is_file():
                path.unlink()
            else:
                path.rmdir()
        hits += kill_at_random(chance, seconds, *words)
        whole_or_absent(handouts, expected)
        assert start(*words).wait() == 0
        assert content(handouts) == expected
    print(f"\nkilled {hits} of {KILLS} times before the end")
    assert hits


def test_what_a_killed_handing_out_left_half_written_is_swept_away(lay_class):
    classroom = lay_class(2)
    classroom.hand_out()
    whole = content(classroom.folder / "handouts")
    for complete, student in ((True, "s01"), (False, "s02")):
        folder = classroom.folder / "handouts" / student
        for name in (
            ".handout.json.x1.part",
            ".03-will-it-go.ipynb.x2.part",
            "assets/.cover.svg.x3.part",
        ):
            (folder / name).write_bytes(b"half")
        if not complete:
            (folder / "handout.json").unlink()
    classroom.hand_out()
    assert content(classroom.folder / "handouts") == whole


def lay_returns(lay_class, copies):
    """A class whose sheets were each handed in so many times."""
    classroom = lay_class(STUDENTS)
    classroom.hand_out()
    for number in range(1, STUDENTS + 1):
        student = f"s{number:02}"
        amount = f"{0.1 + number / 1000:.4f} mol"
        classroom.sheet(student).record("two-for-one", {"potassium": amount, "why": "water"})
        for copy in range(copies):
            classroom.hand_in(student, f"{copy:03}/{student}.json")
    return classroom


def test_marking_killed_at_any_moment_loses_nothing(lay_class):
    classroom = lay_returns(lay_class, copies=40)  # enough files for several chunks
    words = ("mark", classroom.course_file, classroom.returns, "--to", classroom.marks)
    seconds = seconds_for(*words)
    expected = content(classroom.marks)
    chance, hits = random.Random(11), 0
    for _ in range(KILLS):
        for name in chance.sample(sorted(expected), len(expected) // 2):
            (classroom.marks / name).unlink()
        hits += kill_at_random(chance, seconds, *words)
        whole_or_absent(classroom.marks, expected)
        assert start(*words).wait() == 0
        assert content(classroom.marks) == expected
    print(f"\nkilled {hits} of {KILLS} times before the end")
    assert hits


def test_no_process_outlives_a_killed_marker(lay_class):
    classroom = lay_returns(lay_class, copies=200)
    words = ("mark", classroom.course_file, classroom.returns, "--to", classroom.marks)
    marker = start(*words, "--workers", 2)
    while not any(classroom.marks.glob("feedback/*.html")):
        assert marker.poll() is None
        time.sleep(0.005)
    marker.kill()
    assert marker.wait() == -signal.SIGKILL
    end = time.monotonic() + 20
    while living(marker.pid):
        assert time.monotonic() < end, "marking processes wait for a marker that is gone"
        time.sleep(0.05)


def test_a_killed_run_goes_on_where_it_stopped(lay_class, monkeypatch):
    classroom = lay_class(STUDENTS)
    classroom.hand_out()
    for number in range(1, STUDENTS + 1):
        classroom.sheet(f"s{number:02}").record("two-for-one", {"potassium": "0.2 mol"})
        classroom.hand_in(f"s{number:02}")
    monkeypatch.setattr("potash.exercises.job.CHUNK", 5)

    class Stops(ThisProcess):
        def run(self, work, tasks):
            for number, task in enumerate(tasks):
                if number == 2:
                    raise KeyboardInterrupt
                yield work(task)

    arguments = (classroom.course, classroom.returns, classroom.marks)
    with pytest.raises(KeyboardInterrupt):
        marks.mark_returns(*arguments, workers=Stops())
    assert not (classroom.marks / "markbook.csv").exists()
    read = []
    monkeypatch.setattr(
        job, "read_returned", lambda one, real=job.read_returned: read.append(one.name) or real(one)
    )
    summary = marks.mark_returns(*arguments, workers=ThisProcess())
    assert summary.marked == STUDENTS
    assert read == ["s11.json", "s12.json"]
    assert not (classroom.marks / ".unfinished").exists()


def test_two_markers_at_once_leave_what_one_would_have_left(lay_class):
    classroom = lay_class(STUDENTS)
    classroom.hand_out()
    for number in range(1, STUDENTS + 1):
        classroom.sheet(f"s{number:02}").record("two-for-one", {"potassium": "0.2 mol"})
        classroom.hand_in(f"s{number:02}")
    words = ("mark", classroom.course_file, classroom.returns, "--to", classroom.marks)
    assert start(*words).wait() == 0
    expected = content(classroom.marks)
    for path in classroom.marks.glob("*.csv"):
        path.unlink()
    ends = sorted(running.wait() for running in [start(*words) for _ in range(3)])
    assert ends[0] == 0
    assert set(ends) <= {0, 2}  # whoever came too late was refused in words
    assert content(classroom.marks) == expected
