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

OpenChapter = Callable[..., Any]

pytestmark = pytest.mark.skipif(os.name != "posix", reason="ends processes by POSIX signals")

TOLD = "el => getComputedStyle(el, '::before').content"
RECORDED = "12.3 g"


def record(page: Page) -> None:
    """Record an answer in the first exercise of the chapter."""
    page.locator(".potash-exercise input[type=text]").first.fill(RECORDED)
    page.get_by_role("button", name="Record").first.click()
    expect(page.get_by_text("Recorded in answers.json").first).to_be_visible()


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


def bring_back(page: Page) -> None:
    """Press the button at the top again, and find the recorded answer in its field."""
    if page.locator(".jp-Dialog").count():  # JupyterLab says that the kernel died
        page.locator(".jp-Dialog .jp-mod-accept").click()
    page.get_by_text("| Idle").wait_for()
    page.get_by_role("button", name="Bring the panels").click()
    field = page.locator(".potash:not(.jupyter-widgets-disconnected) .potash-exercise input").first
    expect(field).to_have_value(RECORDED, timeout=30_000)
    for panel in page.locator(".potash").all():
        assert panel.evaluate(TOLD) in ("none", "normal")


def children(process: int) -> list[int]:
    listed = subprocess.run(
        ["ps", "-o", "pid=", "--ppid", str(process)], capture_output=True, text=True, check=True
    )
    return [int(word) for word in listed.stdout.split()]


def test_a_kernel_that_crashes_is_told_on_every_panel_and_costs_no_recorded_answer(
    open_chapter: OpenChapter, workbook: Server
) -> None:
    page = open_chapter(2).run().page
    record(page)
    for kernel in children(workbook.process.pid):
        os.kill(kernel, signal.SIGKILL)
    expect_told(page, "Python has stopped behind this panel")
    bring_back(page)


def test_a_kernel_that_was_shut_down_is_told_and_loading_the_page_again_brings_it_back(
    open_chapter: OpenChapter,
) -> None:
    chapter = open_chapter(2).run()
    record(chapter.page)
    chapter.end_kernels()
    expect_told(chapter.page, "Python does not answer")
    chapter.page.on("dialog", lambda dialog: dialog.accept())
    chapter.page.reload()
    bring_back(chapter.page)


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
        record(page)
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
        expect(field).to_have_value(RECORDED, timeout=30_000)


def test_a_sheet_that_cannot_be_written_is_told_and_the_typed_answer_stays(
    open_chapter: OpenChapter, workbook: Server
) -> None:
    page = open_chapter(2).run().page
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


def test_the_browsers_back_button_loses_no_recorded_answer(open_chapter: OpenChapter) -> None:
    page = open_chapter(2).run().page
    record(page)
    page.on("dialog", lambda dialog: dialog.accept())
    page.goto("about:blank")
    page.go_back()
    page.get_by_text("| Idle").wait_for()
    bring_back(page)
