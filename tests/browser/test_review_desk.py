"""The review desk in real Chromium: a class is marked, an answer judged, the mark book follows."""

import csv
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from access import serious_violations
from playwright.sync_api import Page, expect

from potash import launch
from potash.exercises import course as courses
from potash.exercises.assign import assign
from potash.exercises.sheet import AnswerSheet

STAFF = Path(__file__).resolve().parents[2] / "workbook" / "staff"


@pytest.fixture
def staff(potash_settings: Path, tmp_path: Path) -> Iterator[launch.Server]:
    """JupyterLab on the staff's folder, with what two students of the demonstration returned."""
    folder = tmp_path / "staff"
    folder.mkdir()
    for name in ("review-desk.ipynb", "demo-course.toml", "demo-class.csv"):
        shutil.copy(STAFF / name, folder)
    course = courses.load(folder / "demo-course.toml")
    assign(course, tmp_path / "handouts")
    (folder / "returns").mkdir()
    for number, student in enumerate(course.students()):
        sheet = AnswerSheet.open(tmp_path / "handouts" / student.id)
        sheet.record("water-takes-magnesium", {"hydroxide": f"{number + 7} mol"})
        shutil.copy(sheet.path, folder / "returns" / f"{student.id}.json")
    launch.trust_chapters(folder)
    with launch.serving(folder) as server:
        yield server


def points(folder: Path, student: str) -> str:
    with (folder / "marks" / "markbook.csv").open(encoding="utf-8", newline="") as file:
        return next(row["points"] for row in csv.DictReader(file) if row["student"] == student)


def test_a_class_is_marked_and_an_answer_judged(
    staff: launch.Server, open_page: Callable[..., Page]
) -> None:
    page = open_page(staff.page("review-desk.ipynb"))
    page.get_by_text("| Idle").wait_for()
    page.get_by_role("button", name="Bring the panels").click()
    page.wait_for_timeout(1500)
    desk = page.locator(".potash", has=page.get_by_role("heading", name="Review desk")).first
    desk.wait_for()
    desk.get_by_role("button", name="Mark the class again").click()
    expect(desk).to_contain_text("students marked", timeout=30_000)
    desk.get_by_label("Show").select_option("everybody")
    # The list shows its students at once, not a line at a time.
    listed = desk.get_by_label("Students").bounding_box()
    assert listed and listed["height"] > 100
    desk.get_by_label("Students").select_option(label="lc001  Ada Fennimore: 0 of 17 points")
    desk.get_by_label("Questions").select_option(label="water-takes-magnesium: hydroxide: wrong")
    expect(desk.locator("table").first).to_contain_text("7 mol")
    desk.get_by_label("Your name").fill("R. Marsh")
    desk.get_by_label("Share of the points").fill("0.5")
    desk.get_by_label("Reason").fill("the method was right")
    desk.get_by_role("button", name="Give this share").click()
    expect(desk).to_contain_text("Taken down at")
    expect(desk).to_contain_text("What was decided so far")
    assert points(staff.folder, "lc001") == "0"
    desk.get_by_role("button", name="Mark the class again").click()
    expect(desk.get_by_label("Students")).to_contain_text("lc001  Ada Fennimore: 0.5 of 17")
    assert points(staff.folder, "lc001") == "0.5"
    assert page.locator(".potash-problem", has_text="should not have happened").count() == 0
    assert serious_violations(page) == []
