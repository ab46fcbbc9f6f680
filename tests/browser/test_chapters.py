"""Chapters in real Chromium: what follows a key, what is refused in words, what stays behind."""

import re
from collections.abc import Callable
from typing import Any

import nbformat
from nbclient import NotebookClient
from playwright.sync_api import Page, expect

from potash.launch import Server

OpenChapter = Callable[..., Any]


def test_the_temperature_follows_the_arrow_keys(open_chapter: OpenChapter) -> None:
    chapter = open_chapter(3).run()
    panel = chapter.panel("Will it go?")
    panel.get_by_role("radio", name="downhill").focus()
    chapter.page.keyboard.press("Space")
    panel.get_by_role("button", name="Keep my prediction").focus()
    chapter.page.keyboard.press("Enter")
    picture = panel.locator("img.potash-picture")
    picture.wait_for()
    before = picture.get_attribute("alt") or ""
    assert "At 473.0" in before
    panel.get_by_role("slider", name="Temperature, K").focus()
    chapter.page.keyboard.press("ArrowRight")
    expect(picture).not_to_have_attribute("alt", before)
    assert "At 474.0" in (picture.get_attribute("alt") or "")


def test_a_bad_field_and_a_typed_comma_are_told_and_nothing_else_is_set(
    open_chapter: OpenChapter,
) -> None:
    chapter = open_chapter(2).run()
    panel = chapter.panel("The charge")
    chapter.page.wait_for_timeout(1000)  # a slider could answer with a value of its own
    assert panel.get_by_label("Mass of Mg as weighed").input_value() == "6.10 g"
    field = panel.get_by_label("Mass of KOH as weighed")
    field.fill("12,5")
    field.press("Tab")
    expect(panel.locator(".potash-problem")).to_contain_text("12,5")
    expect(field).to_have_value("12,5")
    field.fill("12,5 g")
    field.press("Tab")
    expect(panel.locator(".potash-problem")).to_have_count(0)
    panel.get_by_role("button", name="Save this preparation").click()
    expect(panel.get_by_text("Saved in preparation.toml")).to_be_visible()


def test_a_panel_without_its_kernel_leaves_its_still(
    open_chapter: OpenChapter, workbook: Server
) -> None:
    chapter = open_chapter(1).run()
    panel = chapter.panel("Balance the reaction")
    panel.locator(".potash-coefficient input").first.fill("2")
    expect(panel.get_by_text("Not balanced yet: K, O")).to_be_visible()
    chapter.page.wait_for_timeout(2000)  # the still follows once the hand has come to rest
    chapter.save()
    (path,) = workbook.folder.glob("01-*.ipynb")
    assert "K 2 left, 1 right" in path.read_text("utf-8")
    assert path.stat().st_size < 300_000
    chapter.end_kernels()
    chapter.page.reload()
    picture = chapter.page.locator(".potash-still").get_by_role("img").first
    picture.wait_for()
    assert "K 2 left, 1 right" in (picture.get_attribute("alt") or "")


def test_an_untrusted_chapter_shows_its_still_and_what_to_do(
    workbook: Server, open_page: Callable[[str], Page]
) -> None:
    source = next(workbook.folder.glob("01-*.ipynb"))
    notebook = nbformat.read(source, as_version=4)
    resources = {"metadata": {"path": workbook.folder}}
    NotebookClient(notebook, timeout=120, resources=resources).execute()
    nbformat.write(notebook, workbook.folder / "from-somebody-else.ipynb")
    page = open_page(f"{workbook.page('from-somebody-else.ipynb')}&reset")
    page.get_by_text("| Idle").wait_for()
    still = page.locator(".potash-still").first
    still.scroll_into_view_if_needed()
    expect(still.get_by_role("img")).to_have_attribute("alt", re.compile("K 1 left, 1 right"))
    expect(page.get_by_text("run this cell to make the panel live").first).to_be_visible()
    page.get_by_role("button", name="Bring the panels").click()
    expect(page.locator(".jp-Dialog")).to_contain_text("not trusted")
    page.locator(".jp-Dialog").get_by_role("button", name="Trust").click()
    expect(page.locator(".jp-Dialog")).to_contain_text("Trust this notebook?")
    page.locator(".jp-Dialog").get_by_role("button", name="Trust").click()
    page.locator(".potash").first.wait_for()
