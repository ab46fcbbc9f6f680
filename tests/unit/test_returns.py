"""Returns as zip files, alone, nested and hostile; and what times and likeness say."""

import io
import json
import os
import stat
import zipfile

import pytest

from potash.exercises import archives, marks, sheet_file
from potash.exercises.workers import Processes, ThisProcess


@pytest.fixture
def answered(classroom):
    """Three students who answered; the bytes of their sheets by name."""
    for number in (1, 2, 3):
        student = f"s{number:02}"
        amount = classroom.key(student, "two-for-one")["potassium"]
        classroom.sheet(student).record("two-for-one", {"potassium": f"{amount:#.3g} mol"})
    folder = classroom.folder / "handouts"
    classroom.sheets = {
        f"{path.parent.name}.json": path.read_bytes() for path in folder.glob("*/answers.json")
    }
    classroom.returns.mkdir()
    return classroom


def zipped(files):
    """A zip file of bytes by name."""
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            archive.writestr(name, data)
    return whole.getvalue()


def mark(classroom, returns=None, **options):
    return marks.mark_returns(
        classroom.course, returns or classroom.returns, classroom.marks, **options
    )


def table(classroom, name="markbook.csv"):
    import csv

    with (classroom.marks / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, strict=True))


def points(classroom):
    return [row["points"] for row in table(classroom)]


def test_a_zip_file_is_the_same_as_its_files(answered):
    (answered.returns / "class.zip").write_bytes(zipped(answered.sheets))
    assert mark(answered).marked == 3
    assert points(answered) == ["1", "1", "1"]
    assert table(answered)[0]["file"] == "class.zip/s01.json"


def test_a_zip_file_or_a_single_file_may_be_named_instead_of_a_folder(answered):
    path = answered.folder / "class.zip"
    path.write_bytes(zipped(answered.sheets))
    assert mark(answered, path).marked == 3
    single = answered.folder / "one.json"
    single.write_bytes(answered.sheets["s02.json"])
    assert mark(answered, single).marked == 1


def test_zipped_folders_and_a_zip_in_a_zip_are_looked_through(answered):
    folder = {
        "Ada/answers.json": answered.sheets["s01.json"],
        "Ada/01-chapter.ipynb": b'{"cells": []}',
        "Ada/handout.json": b"{}",
        "__MACOSX/Ada/._answers.json": b"\0",
    }
    inner = zipped({"answers.json": answered.sheets["s02.json"]})
    (answered.returns / "all.zip").write_bytes(zipped({**folder, "Bo_answers.zip": inner}))
    summary = mark(answered)
    assert (summary.marked, summary.left_out) == (2, [])


def hostile_link():
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w") as archive:
        entry = zipfile.ZipInfo("answers.json")
        entry.external_attr = (stat.S_IFLNK | 0o777) << 16
        archive.writestr(entry, "/etc/passwd")
    return whole.getvalue()


def encrypted():
    data = bytearray(zipped({"answers.json": b"{}"}))
    at = data.rfind(b"PK\x01\x02")
    data[at + 8] |= 1
    return bytes(data)


def endless():
    data = bytearray(zipped({"answers.json": b"{}"}))
    at = data.rfind(b"PK\x05\x06")
    data[at + 12 : at + 16] = (400_000_000).to_bytes(4, "little")
    return bytes(data)


def nested(depth):
    data = zipped({"answers.json": b"{}"})
    for _ in range(depth):
        data = zipped({"more.zip": data})
    return data


BAD_ARCHIVES = {
    "up.zip": (lambda: zipped({"../../s01.json": b"{}"}), "lead out of the archive"),
    "root.zip": (lambda: zipped({"/etc/s01.json": b"{}"}), "lead out of the archive"),
    "drive.zip": (lambda: zipped({"C:/s01.json": b"{}"}), "lead out of the archive"),
    "link.zip": (hostile_link, "links are not followed"),
    "secret.zip": (encrypted, "without a password"),
    "bomb.zip": (lambda: zipped({"answers.json": b" " * 300_000_000}), "it has 300.0 MB"),
    "contents.zip": (endless, "table of contents has 400 MB"),
    "nested.zip": (lambda: nested(3), "it lies too deep"),
    "deep.zip": (lambda: zipped({"a/" * 12 + "answers.json": b"{}"}), "8 folders deep"),
    "no.zip": (lambda: b"PK but no more", "no zip file that can be read"),
    "cut.zip": (lambda: zipped({"answers.json": b"{}"})[:40], "no zip file that can be read"),
    "pdf.zip": (lambda: zipped({"report.pdf": b"%PDF"}), "the file to hand in is answers.json"),
    "empty-sheet.zip": (lambda: zipped({"answers.json": b""}), "the file is empty"),
}


@pytest.mark.parametrize("name", BAD_ARCHIVES)
def test_a_hostile_archive_is_named_and_stops_nobody_else(answered, name):
    make, message = BAD_ARCHIVES[name]
    (answered.returns / name).write_bytes(make())
    (answered.returns / "good.zip").write_bytes(zipped(answered.sheets))
    before = {path for path in answered.folder.rglob("*") if answered.marks not in path.parents}
    summary = mark(answered)
    assert summary.marked == 3
    assert [message in reason for _, reason in summary.left_out] == [True], summary.left_out
    after = {path for path in answered.folder.rglob("*") if answered.marks not in path.parents}
    assert after - before == {answered.marks}


def test_a_member_that_lies_about_its_size_is_read_no_further_than_it_declares(answered):
    data = bytearray(zipped({"answers.json": b" " * 50_000_000}))
    for signature, at in ((b"PK\x01\x02", 24), (b"PK\x03\x04", 22)):
        place = data.find(signature) + at
        data[place : place + 4] = (100).to_bytes(4, "little")
    (answered.returns / "liar.zip").write_bytes(bytes(data))
    ((name, reason),) = mark(answered).left_out
    assert name == "liar.zip/answers.json"
    assert "damaged" in reason or "empty" in reason


def test_what_an_archive_declares_together_is_limited(answered, monkeypatch):
    monkeypatch.setattr(archives, "MAX_FILES", 2)
    (answered.returns / "class.zip").write_bytes(zipped(answered.sheets))
    summary = mark(answered)
    assert summary.marked == 2
    assert "more than is unpacked" in summary.left_out[0][1]


@pytest.mark.parametrize("cut", range(0, 600, 37))
def test_an_archive_with_any_byte_changed_is_read_or_refused(answered, cut):
    data = bytearray(zipped(answered.sheets))
    for place in range(cut, len(data), 600):
        data[place] ^= 0x55
    (answered.returns / "class.zip").write_bytes(bytes(data))
    summary = mark(answered)
    assert summary.marked + summary.missing == 3


def everything(folder):
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def test_two_processes_give_the_bytes_of_one(answered):
    for copy in range(70):  # several chunks
        for name, data in answered.sheets.items():
            path = answered.returns / f"{copy:02}" / name
            path.parent.mkdir(exist_ok=True)
            path.write_bytes(data)
    (answered.returns / "odd.json").write_bytes(b"{")
    alone = mark(answered, workers=ThisProcess())
    expected = everything(answered.marks)
    together = mark(answered, workers=Processes(2))
    assert everything(answered.marks) == expected
    assert together == alone
    assert alone.files == 211


def test_answers_shared_by_two_students_with_other_figures_are_pointed_out(lay_class):
    classroom = lay_class(students=4)
    classroom.hand_out()
    chain = classroom.key("s01", "water-takes-magnesium")
    typed = {
        "hydroxide": f"{chain['hydroxide']:#.4g} mol",
        "magnesium_left": f"{chain['magnesium_left']:#.4g} mol",
    }
    for student in ("s01", "s03"):
        classroom.sheet(student).record("water-takes-magnesium", typed)
        classroom.hand_in(student)
    classroom.sheet("s04").record("water-takes-magnesium", {"hydroxide": "0.1 mol"})
    classroom.hand_in("s04")
    mark(classroom)
    told = [
        row for row in table(classroom, "review.csv") if "same numbers" in row["what to look at"]
    ]
    assert [(row["student"], row["exercise"]) for row in told] == [
        ("s01", "water-takes-magnesium"),
        ("s03", "water-takes-magnesium"),
    ]
    assert "as s03" in told[0]["what to look at"]
    assert "innocent reasons" in told[0]["what to look at"]


def test_an_answer_from_after_its_file_was_written_is_pointed_out(answered):
    sheet = json.loads(answered.sheets["s01.json"])
    sheet["exercises"]["two-for-one"]["answers"]["potassium"][-1]["at"] = "2098-01-01T00:00:00Z"
    (answered.returns / "s01.json").write_text(sheet_file.dump(sheet))
    os.utime(answered.returns / "s01.json", (1_700_000_000, 1_700_000_000))
    mark(answered)
    (row,) = table(answered, "review.csv")
    assert (
        "2098-01-01T00:00:00Z, after the file was written here (2023-11-14"
        in (row["what to look at"])
    )
    assert table(answered)[0]["file dated"] == "2023-11-14T22:13:20Z"
