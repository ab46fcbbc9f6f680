"""Every chapter in real Chromium: it opens, runs, answers to the keyboard, and can be read."""

import re
from collections.abc import Callable
from typing import Any
from urllib.parse import urlparse

import nbformat
import pytest
from access import violations_in_both_themes
from nbclient import NotebookClient
from playwright.sync_api import Page, expect

from potash.launch import Server
from potash.workspace import chapters_source

OpenChapter = Callable[..., Any]

CHAPTERS = sorted(int(path.name[:2]) for path in chapters_source().glob("[0-9][0-9]-*.ipynb"))
each_chapter = pytest.mark.parametrize("number", CHAPTERS)

NAMELESS = """
() => [...document.querySelectorAll(
  ".potash :is(input, select, textarea, button, [role=slider], [contenteditable=true])")]
  .filter((one) => one.checkVisibility())
  .filter((one) => !(one.getAttribute("aria-label") || one.labels?.[0]?.textContent.trim()
                     || one.textContent.trim()))
  .map((one) => one.outerHTML.slice(0, 200))
"""

# What sticks out of its panel to the right, where nothing lets one scroll to it.
CUT_OFF = """
() => [...document.querySelectorAll(".potash")].filter((one) => one.checkVisibility())
  .flatMap((panel) => {
    const edge = panel.getBoundingClientRect().right + 1;
    return [...panel.querySelectorAll("*")]
      .filter((one) => one.checkVisibility() && !one.closest(".potash-scrolls, svg, math"))
      .filter((one) => one.offsetWidth !== 0 && one.getBoundingClientRect().right > edge)
      .map((one) => one.outerHTML.slice(0, 160));
  })
"""


def offsite(page: Page) -> list[str]:
    """Collects every request that would leave this computer."""
    left: list[str] = []

    def look(request: Any) -> None:
        address = urlparse(request.url)
        if address.scheme in ("http", "https", "ws", "wss") and address.hostname != "127.0.0.1":
            left.append(request.url)

    page.on("request", look)
    return left


@each_chapter
def test_a_chapter_opens_trusted_runs_by_its_button_and_is_usable_in_both_themes(
    number: int, open_chapter: OpenChapter, workbook: Server
) -> None:
    chapter = open_chapter(number)
    left = offsite(chapter.page)
    chapter.run()
    page = chapter.page
    assert page.locator(".jp-Dialog").count() == 0
    assert page.locator(".jp-toast-button, .Toastify__toast").count() == 0
    expect(page.locator(".jp-MarkdownCell h1").first).to_be_in_viewport()
    assert page.locator(".potash").count() >= 2
    assert page.locator(".jp-InputPlaceholder:visible").count() == 0
    assert page.locator(".jp-CodeMirrorEditor:visible").count() == 0
    assert page.locator(".potash-still:visible").count() == 0
    assert page.locator(".potash-problem", has_text="should not have happened").count() == 0
    assert page.evaluate(NAMELESS) == []
    assert violations_in_both_themes(page) == []
    page.set_viewport_size({"width": 640, "height": 360})  # 1280 by 720 at 200 %
    page.wait_for_timeout(500)
    assert page.evaluate(CUT_OFF) == []
    chapter.save()
    (path,) = workbook.folder.glob(f"{number:02}-*.ipynb")
    assert path.stat().st_size < 300_000
    assert left == []


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


def test_nothing_jumps_when_the_temperature_moves(open_chapter: OpenChapter) -> None:
    chapter = open_chapter(3).run()
    panel = chapter.panel("Will it go?")
    if panel.get_by_role("button", name="Keep my prediction").is_visible():
        panel.get_by_role("radio", name="downhill").check()
        panel.get_by_role("button", name="Keep my prediction").click()
    panel.locator("img.potash-picture").wait_for()
    handle = panel.get_by_role("slider", name="Temperature, K")
    handle.focus()
    places = set()
    for _ in range(12):
        chapter.page.keyboard.press("ArrowRight")
        chapter.page.wait_for_timeout(120)
        box = panel.locator("img.potash-picture").bounding_box()
        assert box is not None
        slider = handle.bounding_box()
        assert slider is not None
        places.add((round(box["y"] - slider["y"]), round(box["height"])))
    assert len(places) == 1


def test_a_typed_comma_and_a_bad_field_are_both_told(open_chapter: OpenChapter) -> None:
    chapter = open_chapter(2).run()
    panel = chapter.panel("The charge")
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


def test_the_slider_sets_nothing_that_nobody_moved(open_chapter: OpenChapter) -> None:
    chapter = open_chapter(2).run()
    panel = chapter.panel("The charge")
    chapter.page.wait_for_timeout(1000)
    assert panel.get_by_label("Mass of Mg as weighed").input_value() == "6.10 g"


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
