"""A class of 500 with every outcome and every attack planted, marked exactly as planned."""

import csv
import json
import os
import pickle
import zipfile
from collections import Counter

from potash.exercises import marks, sheet_file
from potash.exercises.register import complete, write_register
from potash.exercises.secret import read_secret
from potash.exercises.variants import draw_figures, seal

STUDENTS = 500
CHAIN = ("hydroxide", "magnesium_left", "limiting", "metal")
MOLAR_POTASSIUM = 0.0390983  # kg/mol, CIAAW standard atomic weight
IN_TIME, LATE = "2099-11-25T09:30:00Z", "2099-12-25T09:30:00Z"
RIGHT = dict.fromkeys((*CHAIN, "potassium"), "correct") | {"why": "to be read"}


class Sheets:
    """The returned sheets of a class, written without a handout folder for each student."""

    def __init__(self, classroom):
        course = classroom.course
        secret = read_secret(course.path)
        self.register = complete(course, course.students(), secret, {})
        write_register(course, self.register)
        self.course, self.secret, self.returns = course, secret, classroom.returns
        self.returns.mkdir()

    def row(self, student, setting):
        draw = self.register[student][setting.exercise.id]
        where = (setting.exercise, self.secret, self.course.id, student, draw)
        figures = draw_figures(*where)
        mark = seal(self.secret, self.course.id, student, setting.exercise.id, draw, figures)
        return {"figures": figures, "draw": draw, "seal": mark, "answers": {}}

    def keys(self, student):
        solved = {}
        for setting in self.course.settings[1:]:
            solved |= setting.exercise.solve(self.row(student, setting)["figures"])
        return solved

    def right(self, student):
        key = self.keys(student)
        return {
            "hydroxide": f"{key['hydroxide']:#.4g} mol",
            "magnesium_left": f"{key['magnesium_left']:#.4g} mol",
            "limiting": key["limiting"],
            "metal": f"{1000 * key['metal']:#.4g} g",
            "potassium": f"{key['potassium']:#.3g} mol",
            "why": "from the hydroxide",
        }

    def sheet(self, student, typed, at=IN_TIME):
        sheet = sheet_file.new_sheet(self.course.id, student)
        for setting in self.course.settings[1:]:
            row = self.row(student, setting)
            for asked in setting.exercise.asked:
                if asked.name in typed:
                    row["answers"][asked.name] = [{"typed": typed[asked.name], "at": at}]
            sheet["exercises"][setting.exercise.id] = row
        return sheet

    def write(self, name, content):
        data = content if isinstance(content, bytes) else sheet_file.dump(content).encode()
        path = self.returns / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
        os.utime(path, (4_100_000_000, 4_100_000_000))  # 2099-12-03, so no answer is from after it


# What a student may do to the right answers, and how each question that changes then ends.
def nothing(typed, key):
    return {}


def blank(typed, key):
    typed.clear()
    return dict.fromkeys(RIGHT, "blank")


def unit_slip(typed, key):
    typed["metal"] = typed["metal"].replace(" g", " kg")
    return {"metal": "unit slip"}


def no_unit(typed, key):
    typed["metal"] = typed["metal"].removesuffix(" g")
    return {"metal": "unit slip"}


def known_slip(typed, key):
    typed["potassium"] = f"{key['potassium'] / 2:#.3g} mol"
    return {"potassium": "known slip"}


def sign_slip(typed, key):
    typed["potassium"] = f"−{key['potassium']:#.3g} mol"
    return {"potassium": "known slip"}


def wrong(typed, key):
    typed["potassium"] = f"{key['potassium'] * 1.37:#.3g} mol"
    return {"potassium": "wrong"}


def near_miss(typed, key):
    typed["potassium"] = f"{key['potassium'] * 1.02:#.4g} mol"
    return {"potassium": "wrong"}


def unreadable(typed, key):
    typed["potassium"] = "9**9**9 mol"
    return {"potassium": "unreadable"}


def formula(typed, key):
    typed["why"] = "=HYPERLINK(A1)"
    return {}


def script(typed, key):
    typed["why"] = "<script>alert(1)</script>{{ 7 * 7 }}"
    return {}


def long(typed, key):
    typed["why"] = "x" * 10_000
    typed["potassium"] = f"{key['potassium']:.9000f} mol"
    return {"potassium": "unreadable"}


def controls(typed, key):
    typed["why"] = "a\x00b\x1b[31m\r\n\u202e"
    return {}


def follow_through(typed, key):
    own = key["hydroxide"] / 1.07
    limiting = "KOH" if own < key["magnesium_left"] else "Mg"
    metal = min(own, key["magnesium_left"]) * MOLAR_POTASSIUM
    typed |= {
        "hydroxide": f"{own:#.4g} mol",
        "limiting": limiting,
        "metal": f"{1000 * metal:#.4g} g",
    }
    return {
        "hydroxide": "wrong",
        "limiting": "correct" if limiting == key["limiting"] else "follow-through",
        "metal": "follow-through" if own < key["magnesium_left"] else "correct",
    }


PLANTS = (
    nothing, blank, unit_slip, no_unit, known_slip, sign_slip, wrong, near_miss, unreadable,
    formula, script, long, controls, follow_through,
)  # fmt: skip


def plant_attacks(sheets):
    """Files that must not be marked, or not as they pretend; the reason for each by name."""
    first = sheets.sheet("s01", sheets.right("s01"))
    sheets.write("attacks/unknown.json", first | {"student": "s999999"})
    sheets.write("attacks/escape.json", first | {"student": "../../s01"})
    sheets.write("attacks/course.json", first | {"course": "another"})
    sheets.write("attacks/extra.json", json.dumps(first | {"grade": 10}).encode())
    sheets.write("attacks/nan.json", b'{"format": NaN}')
    sheets.write("attacks/deep.json", b"[" * 100_000)
    sheets.write("attacks/empty.json", b"")
    sheets.write("attacks/code.py", b"raise SystemExit")
    sheets.write("attacks/pickle.pkl", pickle.dumps(first))
    sheets.write("attacks/run.ipynb", b'{"cells": [{"cell_type": "code", "source": "1/0"}]}')
    sheets.write("attacks/huge.json", b" " * 6_000_000)
    (sheets.returns / "attacks" / "link.json").symlink_to("/etc/passwd")
    with zipfile.ZipFile(sheets.returns / "attacks" / "up.zip", "w") as archive:
        archive.writestr("../../../s01.json", sheet_file.dump(first))
        archive.writestr("bomb.json", b" " * 60_000_000, zipfile.ZIP_DEFLATED)
    return {
        "unknown.json": "names no student",
        "escape.json": "names no student",
        "course.json": "from the course 'another'",
        "extra.json": "grade",
        "nan.json": "NaN is not",
        "deep.json": "nested too deeply",
        "empty.json": "is empty",
        "code.py": "no answer sheet",
        "pickle.pkl": "no answer sheet",
        "run.ipynb": "no answers were recorded",
        "huge.json": "6.0 MB",
        "link.json": "not followed",
        "up.zip/../../../s01.json": "lead out of the archive",
        "up.zip/bomb.json": "60.0 MB",
    }


def table(classroom, name):
    with (classroom.marks / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, strict=True))


def test_a_class_of_500_is_marked_exactly_as_planned(lay_class):
    classroom = lay_class(STUDENTS)
    sheets = Sheets(classroom)
    students = [student.id for student in sheets.course.students()]
    expected, flags = {}, {}
    for number, student in enumerate(students[:-12]):
        typed, key = sheets.right(student), sheets.keys(student)
        expected[student] = RIGHT | PLANTS[number % len(PLANTS)](typed, key)
        sheets.write(f"{student}.json", sheets.sheet(student, typed))
    late, again, tampered, sealed, easy, copied, chapter, zipped, both, *missing = students[-12:]

    sheets.write(f"{late}.json", sheets.sheet(late, sheets.right(late), LATE))
    expected[late], flags[late] = RIGHT, "late: last answer"

    sheets.write(f"a/{again}.json", sheets.sheet(again, sheets.right(again), LATE))
    sheets.write(f"b/{again}.json", sheets.sheet(again, {"potassium": "7 mol"}))
    expected[again] = dict.fromkeys(RIGHT, "blank") | {"potassium": "wrong"}
    flags[again] = "handed in again: b/"  # the one in time counts, though it is worse

    sheet = sheets.sheet(tampered, sheets.right(tampered))
    sheet["exercises"]["water-takes-magnesium"]["figures"]["pellets"] = "1.00\u00a0g"
    sheets.write(f"{tampered}.json", sheet)
    expected[tampered], flags[tampered] = RIGHT, "not those handed out"

    sheet = sheets.sheet(sealed, sheets.right(sealed))
    sheet["exercises"]["two-for-one"]["seal"] = "0" * 64
    sheets.write(f"{sealed}.json", sheet)
    expected[sealed], flags[sealed] = RIGHT, "not those handed out"

    typed = sheets.right(easy) | {"potassium": "0.002 mol"}
    sheet = sheets.sheet(easy, typed)
    sheet["exercises"]["two-for-one"]["figures"]["amount"] = "0.001\u00a0mol"
    sheets.write(f"{easy}.json", sheet)
    expected[easy], flags[easy] = RIGHT | {"potassium": "wrong"}, "not those handed out"

    source = sheets.right(students[0])
    sheets.write(f"{copied}.json", sheets.sheet(copied, source))
    flags[copied] = flags[students[0]] = "the same numbers as"

    outputs = [{"data": {sheet_file.MIME: sheets.sheet(chapter, sheets.right(chapter))}}]
    notebook = {"cells": [{"cell_type": "code", "outputs": outputs}]}
    sheets.write(f"{chapter}.ipynb", json.dumps(notebook).encode())
    expected[chapter] = RIGHT

    whole = sheets.returns / "one.zip"
    with zipfile.ZipFile(whole, "w") as archive:
        archive.writestr(
            "x/answers.json", sheet_file.dump(sheets.sheet(zipped, sheets.right(zipped)))
        )
    os.utime(whole, (4_100_000_000, 4_100_000_000))
    expected[zipped] = RIGHT

    sheets.write(f"{both}.json", sheets.sheet(both, sheets.right(both)))
    outputs[0]["data"][sheet_file.MIME] = sheets.sheet(both, {"potassium": "7 mol"})
    sheets.write(f"{both}.ipynb", json.dumps(notebook).encode())
    expected[both], flags[both] = RIGHT, "other answers in"

    reasons = plant_attacks(sheets)
    before = set(classroom.folder.rglob("*"))
    summary = marks.mark_returns(classroom.course, classroom.returns, classroom.marks)

    assert {
        path for path in classroom.folder.rglob("*") if classroom.marks not in path.parents
    } == (before | {classroom.marks})
    left_out = {name.removeprefix("attacks/"): reason for name, reason in summary.left_out}
    assert left_out.keys() == reasons.keys()
    assert [name for name in reasons if reasons[name] not in left_out[name]] == []
    assert (summary.marked, summary.missing) == (STUDENTS - len(missing), len(missing))

    book = {row["student"]: row for row in table(classroom, "markbook.csv")}
    columns = {name: f"water-takes-magnesium: {name}" for name in CHAIN}
    columns |= {name: f"two-for-one: {name}" for name in ("potassium", "why")}
    found = {
        student: {name: book[student][column] for name, column in columns.items()}
        for student in expected
    }
    assert found == expected
    assert {book[student]["status"] for student in missing} == {"not handed in"}
    outcomes = Counter(outcome for row in expected.values() for outcome in row.values())
    assert len(outcomes) == 8  # each outcome is there

    review = table(classroom, "review.csv")
    told = {student: [row for row in review if row["student"] == student] for student in flags}
    for student, flag in flags.items():
        assert any(flag in row["what to look at"] for row in told[student]), student
    accused = {row["student"] for row in review if "same numbers" in row["what to look at"]}
    assert accused == {copied, students[0]}
    for student in book.keys() - flags.keys() - set(missing):
        assert book[student]["late"] == ""
    assert not any(row["typed"].startswith("=") for row in review)

    pages = list((classroom.marks / "feedback").iterdir())
    assert {page.stem for page in pages} == set(book) - set(missing)
    assert not any(b"<script" in page.read_bytes() for page in pages)
