"""The quick starts for staff, run as they stand: every file, every command, every promised line."""

import csv
import os
import re
import shlex
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from potash.exercises.sheet import AnswerSheet

STAFF = Path(__file__).resolve().parents[2] / "workbook" / "staff"
FENCED = re.compile(r"^```(\w+)\n(.*?)^```$", re.M | re.S)
NAMED = re.compile(r"Save this as `([^`]+)`")

pytestmark = pytest.mark.skipif(os.name != "posix", reason="ends a workbook by a POSIX signal")


@dataclass(frozen=True, slots=True)
class Block:
    """A fenced block of a page: its kind, its content, and the prose that leads to it."""

    kind: str
    content: str
    lead: str


def blocks(page: str) -> Iterator[Block]:
    text = (STAFF / page).read_text("utf-8")
    end = 0
    for match in FENCED.finditer(text):
        yield Block(match[1], match[2], text[end : match.start()])
        end = match.end()


@dataclass
class Desk:
    """A folder in which a page is followed, and what each of its commands printed."""

    folder: Path

    def follow(self, page: str) -> None:
        """Do what the page says, and look for every line that it promises."""
        printed = ""
        for block in blocks(page):
            if block.kind in ("toml", "csv"):
                (name,) = NAMED.findall(block.lead)
                (self.folder / name).write_text(block.content, "utf-8")
            elif block.kind == "sh":
                printed = "".join(self.run(line) for line in block.content.splitlines())
            else:
                assert block.kind == "text", block
                for line in block.content.splitlines():
                    assert line in printed, f"{page} promises {line!r}; printed was:\n{printed}"

    def run(self, command: str) -> str:
        """One line of a terminal; a workbook that stays open is closed once it is open."""
        process = subprocess.Popen(
            shlex.split(command),
            cwd=self.folder,
            env=self.environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            encoding="utf-8",
            start_new_session=True,
        )
        assert process.stdout is not None
        printed = ""
        for line in process.stdout:
            printed += line
            if "Ctrl-C" in line:
                time.sleep(1)  # a hand at the keyboard is not faster
                process.send_signal(signal.SIGINT)
        assert process.wait(60) == 0, f"{command}:\n{printed}"
        return printed

    @property
    def environment(self) -> dict[str, str]:
        programs = Path(sys.executable).parent
        return {
            **os.environ,
            "PATH": f"{programs}{os.pathsep}{os.environ['PATH']}",
            "POTASH_SETTINGS": str(self.folder / ".settings"),
            "BROWSER": "true",  # the program of that name: nothing opens
        }


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return Desk(tmp_path)


def commands(page: str) -> list[str]:
    return [
        line for block in blocks(page) if block.kind == "sh" for line in block.content.split("\n")
    ]


def test_the_pages_hold_commands_to_run():
    assert (
        sum(command.startswith("potash ") for command in commands("instructor-quick-start.md")) == 4
    )
    assert sum(command.startswith("potash ") for command in commands("marker-quick-start.md")) == 2


def test_the_minutes_of_the_instructors_steps_add_up_to_ten():
    text = (STAFF / "instructor-quick-start.md").read_text("utf-8")
    minutes = [int(number) for number in re.findall(r"^## \d.*\((\d+) minutes?\)$", text, re.M)]
    assert len(minutes) == 7
    assert sum(minutes) == 10


def test_the_instructors_quick_start_works_as_written(desk: Desk):
    desk.follow("instructor-quick-start.md")
    handouts = desk.folder / "handouts"
    assert sorted(path.name for path in handouts.iterdir()) == ["ab01", "ab02", "ab03"]
    assert (handouts / "ab01" / "02-weigh-the-charge.ipynb").is_file()
    figures = {(path / "handout.json").read_bytes() for path in handouts.iterdir()}
    assert len(figures) == 3
    assert (desk.folder / "course.secret").is_file()
    assert (desk.folder / "course.issued.json").is_file()
    assert (desk.folder / "ab01.zip").stat().st_size > 10_000


def test_the_markers_quick_start_works_as_written(desk: Desk):
    desk.follow("instructor-quick-start.md")
    returns = desk.folder / "returns"
    (returns / "upload 17").mkdir(parents=True)
    hand_in(desk.folder / "handouts" / "ab01", returns / "answers.json")
    hand_in(desk.folder / "handouts" / "ab02", returns / "upload 17" / "my answers (2).json")
    (returns / "holiday.json").write_text("{")

    desk.follow("marker-quick-start.md")

    marks = desk.folder / "marks"
    with (marks / "markbook.csv").open(encoding="utf-8", newline="") as file:
        book = {row["student"]: row for row in csv.DictReader(file)}
    assert list(book) == ["ab01", "ab02", "ab03"]
    assert book["ab03"]["status"] == "not handed in"
    assert "holiday.json" in (marks / "review.csv").read_text("utf-8")
    assert "Ada Fennimore" in (marks / "feedback" / "ab01.html").read_text("utf-8")
    before = (marks / "markbook.csv").read_bytes()
    desk.run(commands("marker-quick-start.md")[0])
    assert (marks / "markbook.csv").read_bytes() == before


def hand_in(folder: Path, to: Path) -> None:
    """Answer one question as a student would, and copy the sheet to the returns."""
    sheet = AnswerSheet.open(folder)
    sheet.record("water-takes-magnesium", {"hydroxide": "0.150 mol"})
    shutil.copy(sheet.path, to)


@pytest.mark.parametrize("page", ["instructor-quick-start.md", "marker-quick-start.md"])
def test_every_link_of_a_page_leads_somewhere(page: str):
    text = (STAFF / page).read_text("utf-8")
    links = re.findall(r"\]\(([^)]+)\)", text)
    assert links
    assert [link for link in links if not (STAFF / link).exists()] == []
