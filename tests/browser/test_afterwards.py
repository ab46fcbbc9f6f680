"""Chapters 7 to 9 in real Chromium: predict, change, be refused in words, write the plan."""

import re
from collections.abc import Callable
from typing import Any

from playwright.sync_api import Locator, Page, expect

from potash.launch import Server

KeptChapter = Callable[[int], Any]


def retype(field: Locator, text: str) -> None:
    field.fill(text)
    field.press("Enter")
    field.press("Tab")


def value(panel: Locator, name: str) -> Locator:
    """What is shown over ``name``, without the origin that the name opens to."""
    named = panel.page.locator(".potash-name", has_text=name)
    return panel.locator(".potash-number", has=named).locator(".potash-value")


def number(panel: Locator, name: str) -> float:
    return float(re.match(r"[\d.]+", value(panel, name).inner_text())[0])  # type: ignore[index]


def test_a_quench_opens_after_a_prediction_and_follows_the_keyboard(
    kept_chapter: KeptChapter,
) -> None:
    expect(kept_chapter(7).panel("Quench the rest").locator(".potash-picture")).to_have_count(0)
    panel = kept_chapter(7).predict("Quench the rest", "nearly all of it")
    picture = panel.locator(".potash-picture")
    expect(picture).to_be_visible()
    assert "bubbling stops after" in str(picture.get_attribute("alt"))
    before = number(panel, "most hydrogen")
    handle = panel.get_by_role("slider", name="Feed, mL/min")
    handle.focus()
    for _ in range(20):
        handle.press("ArrowRight")
    expect(value(panel, "most hydrogen")).not_to_contain_text(f"{before:g}")
    assert number(panel, "most hydrogen") > before


def test_water_without_a_hood_is_refused_with_every_reason(kept_chapter: KeptChapter) -> None:
    panel = kept_chapter(7).predict("Quench the rest", "nearly all of it")
    retype(panel.get_by_label("Air of the hood, or none"), "none")
    retype(panel.get_by_label("Metal to quench"), "20 g")
    retype(panel.get_by_label("Size of its pieces"), "36 mm")
    panel.get_by_label("Quenched with").select_option("water")
    expect(panel.locator(".potash-problem")).to_contain_text("Water is no quench liquid")
    cautions = panel.locator(".potash-cautions")
    for title in (
        "No hood draws the hydrogen away",
        "Water instead of an alcohol",
        "Water while flammable liquid is about",
        "A large piece of metal",
        "More metal than a teaching laboratory quenches at once",
    ):
        expect(cautions).to_contain_text(title)


def test_a_failure_is_predicted_before_it_is_shown(kept_chapter: KeptChapter) -> None:
    panel = kept_chapter(7).panel("What if it goes wrong?")
    panel.get_by_label("What goes wrong").select_option("cooling lost")
    expect(panel.locator(".potash-picture")).to_have_count(0)
    kept_chapter(7).predict("What if it goes wrong?", "hotter")
    expect(panel.locator(".potash-picture")).to_be_visible()
    expect(panel).to_contain_text("You predicted “hotter”")


def test_storage_says_what_decides_and_warns_of_the_crust(kept_chapter: KeptChapter) -> None:
    panel = kept_chapter(8).predict("Store or destroy", "the crust")
    expect(panel).to_contain_text("can explode")
    panel.get_by_label("Metal", exact=True).select_option("sodium (Na)")
    expect(panel).not_to_contain_text("can explode")
    expect(value(panel, "decided by")).to_contain_text("the few-months rule")


def test_a_barometer_in_bar_is_asked_back(kept_chapter: KeptChapter) -> None:
    panel = kept_chapter(9).predict("Report an honest yield", "gas volume")
    expect(panel).to_contain_text("90.51")
    retype(panel.get_by_label("Barometer", exact=True), "750 bar")
    expect(panel.locator(".potash-problem").first).to_contain_text("750 mmHg")


def test_the_plan_is_written_beside_the_chapters(
    kept_chapter: KeptChapter, workbook: Server, chromium: Any
) -> None:
    panel = kept_chapter(9).panel("The plan on paper")
    panel.get_by_role("button", name="Write plan.html and plan.pdf").click()
    expect(panel.locator(".potash-good")).to_contain_text("NOT APPROVED")
    assert (workbook.folder / "plan.pdf").read_bytes().startswith(b"%PDF")
    page: Page = chromium.new_page()
    page.goto((workbook.folder / "plan.html").as_uri())
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    expect(page.locator(".watermark")).to_have_text("NOT APPROVED")
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    page.close()
