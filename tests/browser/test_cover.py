"""The cover and the page for looking things up, in real Chromium."""

from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from access import violations_in_both_themes
from playwright.sync_api import Page, expect

from potash.exercises.sheet import AnswerSheet
from potash.launch import Server, opening_page, serving, trust_chapters
from potash.lookup import chapters
from potash.workspace import lay_chapters

OpenNamed = Callable[..., Any]


@pytest.fixture(scope="module")
def named(kept_page: Callable[[str], Page]) -> OpenNamed:
    """A notebook by its name, its panels brought to life once for all tests here."""

    @cache
    def opened(name: str) -> Page:
        page = kept_page(name)
        page.get_by_text("| Idle").wait_for()
        page.locator("button[data-commandlinker-command]").first.click()
        page.locator(".potash").first.wait_for()
        page.wait_for_timeout(1500)
        page.get_by_text("| Idle").wait_for()
        return page

    return opened


def test_the_cover_lists_every_chapter_and_what_is_recorded(
    workbook: Server, named: OpenNamed
) -> None:
    assert opening_page(workbook.folder) == "start-here.ipynb"
    sheet = AnswerSheet.open(workbook.folder)
    page = named("start-here.ipynb")
    stations = page.locator(".potash .potash-station")
    assert stations.count() == len(chapters(workbook.folder))
    expect(stations.nth(1)).to_contain_text("0 of ")
    first = sheet.exercises(1)[0]
    sheet.record(first.id, {first.asked[0].name: "1 mol"})
    page.get_by_role("button", name="Look again").click()
    expect(stations.nth(1)).to_contain_text("1 of ")
    expect(page.locator(".potash-note", has_text="Go on with")).to_be_visible()


@pytest.mark.parametrize("name", ["start-here.ipynb", "look-it-up.ipynb"])
def test_axe_finds_nothing_serious(name: str, named: OpenNamed) -> None:
    found = violations_in_both_themes(named(name), ".jp-Notebook")
    ours = [one for one in found if "potash" in one[1] or "MarkdownOutput" in one[1]]
    assert ours == []


def test_a_term_a_unit_and_an_element_are_looked_up(named: OpenNamed) -> None:
    page = named("look-it-up.ipynb")
    page.get_by_label("Term or word").fill("limiting")
    page.get_by_label("Term or word").press("Tab")
    expect(page.locator(".potash-found dt").first).to_contain_text("limiting reagent")
    quantity = page.get_by_label("Quantity")
    quantity.fill("25 C")
    quantity.press("Tab")
    expect(page.locator(".potash-problem")).to_contain_text("degree Celsius or as coulomb")
    quantity.fill("25,0 °C")
    quantity.press("Tab")
    expect(page.get_by_role("row", name="K 298.2")).to_be_visible()
    grid = page.get_by_role("button", name="hydrogen, 1, in the flask. Open.")
    grid.focus()
    for key in ("ArrowDown", "ArrowDown", "ArrowRight", "Enter"):
        page.keyboard.press(key)
    expect(page.get_by_role("heading", name="12 Magnesium, reductant")).to_be_visible()


# The next two leave for a chapter.


def test_a_found_passage_opens_at_its_place(named: OpenNamed) -> None:
    page = named("look-it-up.ipynb")
    field = page.get_by_label("Words to find")
    field.fill("technical hydroxide carbonate")
    field.press("Tab")
    found = page.locator(".potash-found a.potash-link")
    expect(found.first).to_contain_text("From the label to the amount")
    found.first.click()
    expect(page.locator("h2", has_text="From the label to the amount")).to_be_in_viewport()


def test_a_chapter_of_the_path_opens_beside_the_cover_by_keyboard(named: OpenNamed) -> None:
    page = named("start-here.ipynb")
    page.evaluate("window.stillTheSamePage = true")
    page.locator(".potash-head a.potash-link").nth(2).focus()
    page.keyboard.press("Enter")
    expect(page.locator("h1", has_text="Weigh the charge")).to_be_visible()
    assert page.evaluate("window.stillTheSamePage") is True
    assert page.locator(".lm-TabBar-tab", has_text="start-here.ipynb").count() >= 1


# A busy server: each question about sessions is answered half a second later.
SLOW_SESSIONS = """
  const ask = window.fetch;
  window.fetch = async (...asked) => {
    if (String(asked[0].url ?? asked[0]).includes("/api/sessions"))
      await new Promise((done) => setTimeout(done, 500));
    return ask(...asked);
  };
"""


@pytest.mark.parametrize("script", ["", SLOW_SESSIONS], ids=["quick server", "slow server"])
def test_the_button_waits_until_the_kernel_answers(
    script: str, workbook: Server, open_page: Callable[..., Page]
) -> None:
    page = open_page(f"{workbook.page('start-here.ipynb')}&reset", script=script)
    # Pressed at once: the click waits for the button, and the run is not lost.
    page.get_by_role("button", name="Show my path").click()
    expect(page.locator(".potash .potash-station").first).to_be_visible()


def test_a_folder_opens_with_the_cover_alone_and_its_button_works(
    potash_settings: Path, tmp_path: Path, open_page: Callable[..., Page]
) -> None:
    lay_chapters(tmp_path / "new")
    trust_chapters(tmp_path / "new")
    with serving(tmp_path / "new", first="start-here.ipynb") as server:
        page = open_page(server.page("start-here.ipynb"))
        page.get_by_role("button", name="Show my path").click()
        expect(page.locator(".potash .potash-station").first).to_be_visible()
        expect(page.locator("#jp-main-dock-panel .lm-TabBar-tab")).to_have_count(1)
