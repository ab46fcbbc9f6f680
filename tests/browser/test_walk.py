"""Every chapter in real Chromium, as a student without a mouse goes through it.

It opens trusted and runs by its button; each control is reached by Tab, has a name and a ring, and
moves by its own keys. What is then on the page can be read in both themes, on a projector at 200 %
and without motion, is small when saved, and asked nothing of the network. Set POTASH_SCREENSHOTS to
a folder to look at each chapter afterwards.
"""

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any
from urllib.parse import urlparse

import pytest
import walking
from access import violations_in_both_themes
from playwright.sync_api import Page, expect

from potash.launch import Server
from potash.workspace import chapters_source

OpenChapter = Callable[..., Any]

CHAPTERS = sorted(int(path.name[:2]) for path in chapters_source().glob("[0-9][0-9]-*.ipynb"))

PROJECTOR = {"width": 1280, "height": 720}
AT_200_PERCENT = {"width": 640, "height": 360}

# What sticks out of its panel to the right, where nothing lets one scroll to it.
CUT_OFF = """
() => [...document.querySelectorAll(".potash")].filter((one) => one.checkVisibility())
  .flatMap((panel) => {
    const edge = panel.getBoundingClientRect().right + 1;
    return [...panel.querySelectorAll("*")]
      .filter((one) => one.checkVisibility())
      .filter((one) => !one.closest(".potash-scrolls, .potash-grid, svg, math"))
      .filter((one) => one.offsetWidth !== 0 && one.getBoundingClientRect().right > edge)
      .map((one) => one.outerHTML.slice(0, 160));
  })
"""


@pytest.mark.parametrize("number", CHAPTERS)
def test_a_chapter_is_walked_by_keyboard_alone_and_everybody_can_read_it(
    number: int, open_chapter: OpenChapter, workbook: Server
) -> None:
    chapter = open_chapter(number).ready()
    page = chapter.page
    left = requests_leaving(page)
    walking.go_to_button(page, "Bring the panels")
    page.keyboard.press("Enter")
    page.locator(".potash").first.wait_for()
    expect(page.locator(".potash-still:visible")).to_have_count(0)
    chapter.ready()
    assert page.locator(".jp-Dialog, .jp-toast-button, .Toastify__toast").count() == 0
    assert page.locator(".jp-InputPlaceholder:visible, .jp-CodeMirrorEditor:visible").count() == 0
    assert page.locator(".potash").count() >= 2

    moved = walking.stops(page, walking.move)
    chapter.ready()
    print(*moved, sep="\n")
    assert [stop for stop in moved if not stop.name or not stop.ringed] == []
    assert page.locator(".potash-problem", has_text="should not have happened").count() == 0
    if page.evaluate(walking.NOT_REACHED):  # what came once the walk was past it
        walking.stops(page, walking.look)
    assert page.evaluate(walking.NOT_REACHED) == []

    photograph(page, number, "light")
    assert violations_in_both_themes(page) == []
    photograph(page, number, "dark")
    page.emulate_media(reduced_motion="reduce")
    assert left_over(page, walking.MOVING) == []
    page.set_viewport_size(AT_200_PERCENT)  # type: ignore[arg-type]
    assert left_over(page, CUT_OFF) == []
    chapter.save()
    (path,) = workbook.folder.glob(f"{number:02}-*.ipynb")
    assert path.stat().st_size < 300_000
    assert left == []


def left_over(page: Page, script: str) -> list[str]:
    """What ``script`` still finds when the page had its time to settle."""
    for _ in range(20):
        page.wait_for_timeout(500)
        found: list[str] = page.evaluate(script)
        if not found:
            break
    return found


def requests_leaving(page: Page) -> list[str]:
    """Collects every request that would leave this computer."""
    left: list[str] = []

    def look(request: Any) -> None:
        address = urlparse(request.url)
        if address.scheme in ("http", "https", "ws", "wss") and address.hostname != "127.0.0.1":
            left.append(request.url)

    page.on("request", look)
    return left


def photograph(page: Page, number: int, theme: str) -> None:
    """A picture of the whole chapter, for who asks for it."""
    if folder := os.environ.get("POTASH_SCREENSHOTS"):
        inner = page.locator(".jp-WindowedPanel-outer").first
        height = inner.evaluate("one => one.scrollHeight") + 200
        page.set_viewport_size({"width": PROJECTOR["width"], "height": int(height)})
        page.wait_for_timeout(800)
        inner.evaluate("one => one.scrollTo(0, 0)")
        page.wait_for_timeout(200)
        page.screenshot(path=Path(folder) / f"{number:02}-{theme}.png")
        page.set_viewport_size(PROJECTOR)  # type: ignore[arg-type]
