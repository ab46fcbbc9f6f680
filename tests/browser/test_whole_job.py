"""The whole job once, as people do it: hand out, answer in the browser, hand in, mark, read."""

import contextlib
import csv
import json
import re
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

STAFF = Path(__file__).resolve().parents[2] / "workbook" / "staff"
STUDENT = "lc001"
EXERCISE = "water-takes-magnesium"
HEADING = "The water in the pellets takes its share of magnesium"
KOH, H2O, MG, K = 56.105, 18.015, 24.305, 39.098  # g/mol, CIAAW abridged atomic weights 2021


def potash(*words: object, cwd: Path) -> str:
    command = [sys.executable, "-m", "potash.cli", *map(str, words)]
    done = subprocess.run(command, cwd=cwd, capture_output=True, text=True, timeout=120)
    assert done.returncode == 0, done.stderr
    return done.stdout


@contextlib.contextmanager
def opened(folder: Path) -> Iterator[str]:
    """``potash open FOLDER --no-browser``; the address that it prints."""
    process = subprocess.Popen(
        [sys.executable, "-m", "potash.cli", "open", str(folder), "--no-browser"],
        stdout=subprocess.PIPE,
        text=True,
    )
    assert process.stdout is not None
    try:
        yield next(line.split()[-1] for line in process.stdout if "It is open at" in line)
    finally:
        process.terminate()
        process.communicate(timeout=30)


def run_chapter_two(page: Page) -> Locator:
    """Run the chapter; gives the card of the exercise."""
    page.get_by_text("| Idle").wait_for()
    page.get_by_role("button", name="Bring the panels").click()
    exercise = page.locator(".potash-exercise", has=page.get_by_role("heading", name=HEADING))
    exercise.wait_for()
    return exercise


def figures(folder: Path) -> dict[str, float]:
    """The student's own figures, as numbers in g and as fractions."""
    handout = json.loads((folder / "handout.json").read_text("utf-8"))
    given = next(one["figures"] for one in handout["exercises"] if one["id"] == EXERCISE)
    numbers = {name: float(text.split("\u00a0")[0]) for name, text in given.items()}
    return {
        name: number / 100 if given[name].endswith("%") else number
        for name, number in numbers.items()
    }


@pytest.mark.usefixtures("potash_settings")
def test_an_answer_goes_from_the_browser_into_the_mark_book(
    tmp_path: Path, open_page: Callable[..., Any]
) -> None:
    for name in ("demo-course.toml", "demo-class.csv"):
        shutil.copy(STAFF / name, tmp_path)
    potash("assign", "demo-course.toml", "--to", "handouts", cwd=tmp_path)
    folder = tmp_path / "handouts" / STUDENT
    given = figures(folder)
    hydroxide = given["pellets"] * given["assay"] / KOH
    left = given["turnings"] * given["purity"] / MG - given["pellets"] * given["moisture"] / H2O

    with opened(folder) as address:
        page = open_page(re.sub(r"tree/[^?]*", "tree/02-weigh-the-charge.ipynb", address))
        exercise = run_chapter_two(page)
        expect(exercise.locator(".potash-tag")).to_contain_text("counts")

        amount = exercise.get_by_label("Amount of KOH, in mol")
        amount.fill(f"{hydroxide:#.3g} g")
        exercise.get_by_role("button", name="Record").click()
        expect(exercise.get_by_text("Recorded in answers.json at")).to_be_visible()
        amount.fill(f"{hydroxide:#.3g} mol".replace(".", ","))
        amount.press("Tab")
        expect(exercise.get_by_text("changed; recorded is")).to_be_visible()
        exercise.get_by_label("Amount of magnesium left").fill(f"{left:#.3g} mol")
        exercise.get_by_label("Which reagent limits").select_option(
            "KOH" if hydroxide < left else "Mg"
        )
        exercise.get_by_label("Theoretical yield of potassium").fill(
            f"{min(hydroxide, left) * K:#.3g} g"
        )
        exercise.get_by_role("button", name="Record").click()
        expect(exercise.get_by_text("changed; recorded is")).to_have_count(0)
        expect(exercise.get_by_text(re.compile(r"recorded \d\d:\d\d"))).to_have_count(4)
        assert exercise.locator(".potash-good").count() == 1  # nothing tells whether it is right

        page.wait_for_timeout(1500)
        page.locator('[data-command="docmanager:save"]:visible').click()
        page.locator('[data-command="notebook:restart-kernel"]:visible').click()
        page.get_by_role("button", name="Confirm Kernel Restart").click()
        page.wait_for_timeout(1000)
        page.reload()
        exercise = run_chapter_two(page)
        expect(exercise.get_by_label("Amount of KOH, in mol")).to_have_value(
            f"{hydroxide:#.3g} mol".replace(".", ",")
        )
        expect(exercise.get_by_text(re.compile(r"recorded \d\d:\d\d"))).to_have_count(4)
        handed_in = page.locator(".potash", has=page.get_by_role("heading", name="Hand in"))
        expect(handed_in).to_contain_text(str(folder / "answers.json"))

    (tmp_path / "returns").mkdir()
    shutil.copy(folder / "answers.json", tmp_path / "returns" / f"{STUDENT}.json")
    said = potash("mark", "demo-course.toml", "returns", "--to", "marks", cwd=tmp_path)
    assert "1 student" in said

    with (tmp_path / "marks" / "markbook.csv").open(encoding="utf-8-sig", newline="") as file:
        row = next(row for row in csv.DictReader(file) if row["student"] == STUDENT)
    assert row["status"] == "marked"
    assert {row[f"{EXERCISE}: {name}"] for name in ("hydroxide", "magnesium_left")} == {"correct"}
    assert row[f"{EXERCISE}: limiting"] == "correct"
    assert row[f"{EXERCISE}: metal"] == "correct"
    assert float(row[f"{EXERCISE} points"]) == 4

    feedback = open_page((tmp_path / "marks" / "feedback" / f"{STUDENT}.html").as_uri())
    expect(feedback.get_by_text(f"{hydroxide:#.3g} mol".replace(".", ",")).first).to_be_visible()
