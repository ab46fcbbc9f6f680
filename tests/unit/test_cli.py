"""The command line: what it prints, what it refuses in one paragraph, and its exit status."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from potash import cli
from potash.exercises import bank


def run(*arguments):
    return cli.main([str(argument) for argument in arguments])


def refused(capsys, *arguments):
    """Run a command that must fail, and give back its one paragraph."""
    assert run(*arguments) == 2
    told = capsys.readouterr()
    assert told.out == ""
    message = told.err[told.err.index("potash: ") :]
    assert "Traceback" not in told.err
    assert "\n\n" not in message.strip()
    assert max(map(len, message.splitlines())) < 200
    return " ".join(message.split())


def listing(folder):
    return sorted(str(path) for path in folder.rglob("*"))


def test_the_whole_way_from_course_to_mark_book(lay_class, capsys):
    classroom = lay_class()
    handouts = classroom.folder / "handouts"
    assert run("assign", classroom.course_file, "--to", handouts) == 0
    assert "3 handouts written" in capsys.readouterr().out
    classroom.sheet("s02").record("two-for-one", {"potassium": "7 mol"})
    classroom.hand_in("s02")
    classroom.hand_in_sheet("odd\x1b[2J.json", "{")
    assert run("mark", classroom.course_file, classroom.returns, "--to", classroom.marks) == 0
    told = capsys.readouterr()
    assert "1 student marked, 2 without a sheet" in told.out
    assert re.search(r"1\s+wrong", told.out)
    assert "Not marked: 1 returned file" in told.out
    assert "\x1b[2J" not in told.out
    assert "Marking" in told.err
    assert (classroom.marks / "markbook.csv").is_file()
    assert (classroom.marks / "feedback" / "s02.html").is_file()


def test_exercises_are_listed_by_chapter_with_ids_that_a_course_can_name(capsys):
    assert run("exercises") == 0
    listed = capsys.readouterr().out.splitlines()
    assert [line.split()[1] for line in listed] == list(bank.bank())
    assert run("exercises", "--chapter", 2) == 0
    second = capsys.readouterr().out
    assert second.splitlines() == [line for line in listed if line.startswith("2 ")]
    assert re.search(r"weigh-hydroxide +1 question +Weigh out", second)
    assert "some for 1, 2, 3" in refused(capsys, "exercises", "--chapter", 42)


def test_assign_check_proves_the_exercises_and_writes_nothing(lay_class, capsys):
    classroom = lay_class()
    before = listing(classroom.folder)
    assert run("assign", classroom.course_file, "--check") == 0
    assert "two-for-one: 500 of 500 sets of figures hold" in capsys.readouterr().out
    assert listing(classroom.folder) == before


def test_the_demonstration_course_is_proved_and_says_that_it_is_invented(capsys):
    course = Path(__file__).parents[2] / "workbook" / "staff" / "demo-course.toml"
    assert "invented" in course.read_text(encoding="utf-8")
    assert run("assign", course, "--check") == 0
    assert capsys.readouterr().out.count("sets of figures hold") >= 5


def test_assign_check_refuses_a_tolerance_that_swallows_a_slip(lay_class, capsys):
    classroom = lay_class(changes={"weight = 2": "weight = 2\ntolerance = { absolute = '1 mol' }"})
    told = refused(capsys, "assign", classroom.course_file, "--check")
    assert "two-for-one, potassium, slip 'one for one': it cannot be told" in told


def test_the_key_of_one_student(classroom, capsys):
    assert run("key", classroom.course_file, "--student", "S02") == 0
    told = capsys.readouterr().out
    key = classroom.key("s02", "two-for-one")
    assert "s02  Student 2" in told
    assert "s01" not in told
    assert f"potassium = {key['potassium']:#.3g}\u00a0mol" in told
    assert f"slip: one for one = {key['potassium'] / 2:#.3g}\u00a0mol" in told


def test_the_key_of_the_class_goes_to_a_file_for_its_owner_alone(classroom, capsys):
    path = classroom.folder / "key.txt"
    assert run("key", classroom.course_file, "--to", path) == 0
    text = path.read_text(encoding="utf-8")
    assert all(f"{student}  Student" in text for student in ("s01", "s02", "s03"))
    if os.name == "posix":
        assert path.stat().st_mode & 0o777 == 0o600


def test_a_key_needs_a_known_student_with_a_handout(classroom, capsys):
    assert "names no student 's9'" in refused(
        capsys, "key", classroom.course_file, "--student", "s9"
    )
    with (classroom.folder / "staff" / "class.csv").open("a") as file:
        file.write("s9,New\n")
    told = refused(capsys, "key", classroom.course_file, "--student", "s9")
    assert "has no handout yet" in told


# Each bad input: what is changed, which command runs, what the paragraph says.
def change_course(old, new):
    def change(classroom):
        text = classroom.course_file.read_text()
        assert old in text
        classroom.course_file.write_text(text.replace(old, new, 1))

    return change


def change_class(content):
    def change(classroom):
        data = content if isinstance(content, bytes) else content.encode()
        (classroom.folder / "staff" / "class.csv").write_bytes(data)

    return change


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (
            change_course('"weigh-hydroxide"', '"weigh-hydroxid"'),
            "no exercise is called 'weigh-hydroxid'. Did you mean weigh-hydroxide",
        ),
        (change_course("weight = 4", "weight = four"), "course.toml is no course file"),
        (change_class("id,name\ns1,A\ns1,B\n"), "line 3: the student id 's1' is on line 2"),
        (change_class("id,name\n../s1,A\n"), "line 2: the student id '../s1' would lead out"),
        (change_class("id,name\n=s1,A\n"), "line 2: the student id '=s1' begins with '='"),
        (change_class("name\nA\n"), "the class list names no column 'id'"),
        (change_class(b"id,name\ns1,\xe9\n"), "line 2: byte"),
    ],
)
def test_bad_course_files_and_class_lists_are_refused_and_nothing_is_written(
    lay_class, capsys, change, message
):
    classroom = lay_class()
    change(classroom)
    before = listing(classroom.folder)
    handouts = classroom.folder / "handouts"
    assert message in refused(capsys, "assign", classroom.course_file, "--to", handouts)
    assert listing(classroom.folder) == before


@pytest.mark.parametrize(
    "content",
    ["\ufeffid,name\ns01,A\n", "id;name\ns01;A\n", "id,name\r\ns01,A\r\n"],
    ids=["byte-order mark", "semicolons", "Windows line ends"],
)
def test_class_lists_of_spreadsheets_are_welcome(lay_class, content):
    classroom = lay_class()
    change_class(content)(classroom)
    handouts = classroom.folder / "handouts"
    assert run("assign", classroom.course_file, "--to", handouts) == 0
    assert [path.name for path in handouts.iterdir()] == ["s01"]


def test_a_missing_course_file_and_a_missing_output_folder(lay_class, capsys):
    classroom = lay_class()
    none = classroom.folder / "none.toml"
    assert "there is no course file" in refused(capsys, "key", none)
    to = classroom.folder / "no" / "such"
    told = refused(capsys, "assign", classroom.course_file, "--to", to)
    assert "cannot be made: there is no folder" in told
    assert not to.parent.exists()


def test_marking_before_handing_out_says_what_to_do_first(lay_class, capsys):
    classroom = lay_class()
    (classroom.folder / "staff" / "course.secret").unlink()
    classroom.returns.mkdir()
    told = refused(
        capsys, "mark", classroom.course_file, classroom.returns, "--to", classroom.marks
    )
    assert "Run `potash assign` first" in told
    assert not classroom.marks.exists()


def test_open_hands_over_to_the_launcher(monkeypatch, tmp_path):
    from potash import launch

    called = {}
    monkeypatch.setattr(
        launch, "open_workbook", lambda folder, **options: called.update(options, folder=folder)
    )
    assert run("open", tmp_path, "--no-browser", "--port", "8899") == 0
    assert called == {"folder": tmp_path, "browser": False, "port": 8899}


def test_a_wrong_command_shows_the_usage(capsys):
    with pytest.raises(SystemExit) as stopped:
        run("grade")
    assert stopped.value.code == 2
    assert "usage: potash" in capsys.readouterr().err


def test_the_command_stays_light_until_it_works():
    program = (
        "import sys, potash.cli; potash.cli._parser();"
        "print([m for m in ('pint', 'numpy', 'pandas', 'rich', 'jinja2') if m in sys.modules])"
    )
    run = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    assert run.stdout.strip() == "[]"
