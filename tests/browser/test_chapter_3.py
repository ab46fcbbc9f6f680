"""Chapter 3 in real Chromium: diagram, matrix, retort and heating answer to their sliders."""

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Locator, expect

PICTURE = "img.potash-picture"

DIAGRAM = "Who takes it from whom?"
MATRIX = "Metals against reductants"
RETORT = "What leaves the retort?"
HEATING = "Why the liquid is there"

# How a student opens each panel: by a choice, or by a typed temperature.
PREDICTIONS = {DIAGRAM: "uphill", MATRIX: "half or more", RETORT: "900 °C", HEATING: "all of it"}
SLIDERS = {
    DIAGRAM: "Temperature, K",
    MATRIX: "Temperature, K",
    RETORT: "Pressure, bar",
    HEATING: "Volume of the liquid, mL",
}
each_panel = pytest.mark.parametrize("heading", PREDICTIONS)


def predict(chapter: Any, heading: str) -> Locator:
    panel: Locator = chapter.predict(heading, PREDICTIONS[heading])
    return panel


@pytest.fixture(scope="module")
def chapter(kept_chapter: Callable[[int], Any]) -> Any:
    """Chapter 3, run once for all tests here."""
    return kept_chapter(3)


@each_panel
def test_nothing_is_revealed_before_a_prediction_is_kept(heading: str, chapter: Any) -> None:
    panel = chapter.panel(heading)
    panel.evaluate("one => one.scrollIntoView()")
    panel.get_by_text("Predict first").wait_for()
    assert not panel.locator(f"{PICTURE}:visible, .potash-matrix:visible").count()
    predict(chapter, heading)
    expect(panel.get_by_text("You predicted")).to_be_visible()
    expect(panel.get_by_text("The calculation says")).to_be_visible()


@pytest.mark.parametrize("heading", [DIAGRAM, RETORT, HEATING])
def test_picture_and_words_follow_the_slider(heading: str, chapter: Any) -> None:
    panel = predict(chapter, heading)
    picture = panel.locator(PICTURE).first
    words, pixels = picture.get_attribute("alt"), picture.get_attribute("src")
    assert words and pixels
    panel.get_by_role("slider", name=SLIDERS[heading]).focus()
    for _ in range(5):
        chapter.page.keyboard.press("ArrowLeft")
    expect(picture).not_to_have_attribute("alt", words)
    expect(picture).not_to_have_attribute("src", pixels)


def test_the_numbers_of_the_matrix_follow_the_slider(chapter: Any) -> None:
    panel = predict(chapter, MATRIX)
    cell = panel.get_by_role("button", name="potassium with magnesium")
    before = cell.inner_text()
    assert before.startswith("▼")
    panel.get_by_role("slider", name=SLIDERS[MATRIX]).focus()
    for _ in range(20):
        chapter.page.keyboard.press("ArrowRight")
    expect(cell).not_to_have_text(before)


def test_each_square_of_the_matrix_opens_its_sum_by_keyboard(chapter: Any) -> None:
    panel = predict(chapter, MATRIX)
    panel.get_by_role("button", name="lithium with magnesium").focus()
    for row in ("sodium", "potassium"):
        chapter.page.keyboard.press("ArrowDown")
        chapter.page.keyboard.press("Enter")
        square = panel.get_by_role("button", name=f"{row} with magnesium")
        expect(square).to_have_attribute("aria-pressed", "true")
        expect(square).to_be_focused()
    expect(panel.locator(".potash-equation")).to_contain_text("KOH")
    expect(panel.get_by_role("table", name="Term by term")).to_be_visible()


def test_the_matrix_says_where_practice_parts_from_the_number(chapter: Any) -> None:
    panel = predict(chapter, MATRIX)
    panel.get_by_role("button", name="sodium with magnesium").click()
    expect(panel.get_by_text("widely reported as reluctant")).to_be_visible()


def test_the_diagram_lists_its_crossings_and_its_reading_rules(chapter: Any) -> None:
    panel = predict(chapter, DIAGRAM)
    expect(panel.get_by_text("The slope is minus the entropy")).to_be_visible()
    panel.get_by_text("Crossings, found as roots").click()
    rows = panel.get_by_role("row").filter(has_text="Mg / MgO").filter(has_text="C / CO")
    expect(rows.filter(has_text="2120 K")).to_be_visible()


def test_the_diagram_turns_to_chlorides(chapter: Any) -> None:
    panel = predict(chapter, DIAGRAM)
    panel.get_by_label("Diagram of the").select_option("chlorides")
    expect(panel.get_by_text("take the chlorine from KCl")).to_be_visible()
    panel.get_by_label("Diagram of the").select_option("oxides")
    expect(panel.get_by_text("take the oxygen from MgO")).to_be_visible()


def test_the_retort_sweeps_over_pressure_too(chapter: Any) -> None:
    panel = predict(chapter, RETORT)
    panel.get_by_label("Sweep over").select_option("pressure")
    picture = panel.locator(PICTURE).first
    expect(picture).to_have_attribute("alt", _containing("over pressure"), timeout=30_000)
    words = picture.get_attribute("alt") or ""
    panel.get_by_role("slider", name="Temperature, K").focus()
    chapter.page.keyboard.press("ArrowRight")
    expect(picture).not_to_have_attribute("alt", words)
    panel.get_by_label("Sweep over").select_option("temperature")
    expect(picture).to_have_attribute("alt", _containing("over temperature"), timeout=30_000)


def test_a_prediction_that_is_no_temperature_is_asked_back(chapter: Any) -> None:
    panel = predict(chapter, RETORT)
    panel.get_by_role("button", name="Predict again").click()
    field = panel.get_by_label("Your prediction")
    field.fill("5 g")
    field.press("Tab")
    panel.get_by_role("button", name="Keep my prediction").click()
    expect(panel.locator(".potash-problem")).to_contain_text("5 g", timeout=30_000)
    expect(field).to_have_value("5 g")
    field.fill("1000 °C")
    field.press("Tab")
    panel.get_by_role("button", name="Keep my prediction").click()
    expect(panel.locator(".potash-problem")).to_have_count(0)


def _containing(words: str) -> re.Pattern[str]:
    return re.compile(re.escape(words))
