"""Bad days in real Chromium: what the student is told, and that no recorded answer is lost."""

import os
import signal
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from potash import launch
from potash.launch import Server
from potash.workspace import lay_chapters

pytestmark = pytest.mark.skipif(os.name != "posix", reason="ends processes by POSIX signals")

TOLD = "el => getComputedStyle(el, '::before').content"


@pytest.fixture(scope="module")
def chapter(kept_chapter: Callable[[int], Any]) -> Any:
    """Chapter 2, which lives through one bad day after the other."""
    found = kept_chapter(2)
    found.page.on("dialog", lambda dialog: dialog.accept())  # the browser asks before it leaves
    return found


def record(page: Page, folder: Path, answer: str) -> None:
    """Record a new answer in the first exercise of the chapter, and find it on the disk."""
    page.locator(".potash-exercise input[type=text]").first.fill(answer)
    page.get_by_role("button", name="Record").first.click()
    expect(page.get_by_text("Recorded in answers.json").first).to_be_visible()
    for _ in range(100):
        if answer in (folder / "answers.json").read_text("utf-8"):
            return
        page.wait_for_timeout(100)
    pytest.fail("What is shown as recorded is not on the disk.")


def expect_told(page: Page, words: str) -> None:
    """Every panel says so, in a line above its heading."""
    panels = page.locator(".potash")
    for number in range(panels.count()):
        for _ in range(100):
            if words in panels.nth(number).evaluate(TOLD):
                break
            page.wait_for_timeout(200)
        else:
            pytest.fail(f"Panel {number} does not say {words!r}.")


def bring_back(page: Page, answer: str) -> None:
    """Press the button at the top again, and find the recorded answer in its field."""
    if page.locator(".jp-Dialog").count():  # JupyterLab says that the kernel died
        page.locator(".jp-Dialog .jp-mod-accept").click()
    page.get_by_text("| Idle").wait_for()
    page.get_by_role("button", name="Bring the panels").click()
    field = page.locator(".potash:not(.jupyter-widgets-disconnected) .potash-exercise input").first
    expect(field).to_have_value(answer)
    for panel in page.locator(".potash").all():
        assert panel.evaluate(TOLD) in ("none", "normal")


def children(process: int) -> list[int]:
    listed = subprocess.run(
        ["ps", "-o", "pid=", "--ppid", str(process)], capture_output=True, text=True, check=True
    )
    return [int(word) for word in listed.stdout.split()]


def test_a_sheet_that_cannot_be_written_is_told_and_the_typed_answer_stays(
    chapter: Any, workbook: Server
) -> None:
    page = chapter.page
    lock = workbook.folder / ".answers.lock"
    lock.unlink(missing_ok=True)
    lock.mkdir()  # root writes through permissions; nobody writes into a folder
    try:
        field = page.locator(".potash-exercise input[type=text]").first
        field.fill("4.56 g")
        page.get_by_role("button", name="Record").first.click()
        told = page.locator(".potash-problem", has_text="Not recorded")
        expect(told.first).to_contain_text("record again")
        expect(field).to_have_value("4.56 g")
    finally:
        lock.rmdir()
    page.get_by_role("button", name="Record").first.click()
    expect(page.get_by_text("Recorded in answers.json").first).to_be_visible()


def test_a_kernel_that_crashes_is_told_on_every_panel_and_costs_no_recorded_answer(
    chapter: Any, workbook: Server
) -> None:
    page = chapter.page
    record(page, workbook.folder, "12.3 g")
    for kernel in children(workbook.process.pid):
        os.kill(kernel, signal.SIGKILL)
    expect_told(page, "Python has stopped behind this panel")
    bring_back(page, "12.3 g")


def test_a_kernel_that_was_shut_down_is_told_and_loading_the_page_again_brings_it_back(
    chapter: Any, workbook: Server
) -> None:
    record(chapter.page, workbook.folder, "12.4 g")
    chapter.end_kernels()
    expect_told(chapter.page, "Python does not answer")
    chapter.page.reload()
    bring_back(chapter.page, "12.4 g")


def test_the_browsers_back_button_loses_no_recorded_answer(chapter: Any, workbook: Server) -> None:
    page = chapter.page
    record(page, workbook.folder, "12.5 g")
    page.goto("about:blank")
    page.go_back()
    page.get_by_text("| Idle").wait_for()
    bring_back(page, "12.5 g")


def test_a_server_that_dies_is_told_and_what_is_typed_stays_in_its_field(
    potash_settings: Path, open_page: Callable[..., Page], tmp_path: Path
) -> None:
    folder = tmp_path / "workbook"
    lay_chapters(folder)
    launch.trust_chapters(folder)
    with launch.serving(folder) as server:
        page = open_page(server.page("02-weigh-the-charge.ipynb"))
        page.get_by_text("| Idle").wait_for()
        page.get_by_role("button", name="Bring the panels").click()
        page.get_by_role("button", name="Record").first.wait_for()
        record(page, folder, "12.6 g")
        kept = (folder / "answers.json").read_bytes()
        for kernel in children(server.process.pid):
            os.kill(kernel, signal.SIGKILL)
        server.process.kill()
        field = page.locator(".potash-exercise input[type=text]").nth(1)
        field.fill("typed too late")
        expect_told(page, "Python does not answer")
        expect(field).to_have_value("typed too late")
    assert (folder / "answers.json").read_bytes() == kept
    with launch.serving(folder) as server:
        page = open_page(server.page("02-weigh-the-charge.ipynb"))
        page.get_by_text("| Idle").wait_for()
        page.get_by_role("button", name="Bring the panels").click()
        field = page.locator(".potash-exercise input").first
        expect(field).to_have_value("12.6 g")
