"""What a student types is what is recorded, however quickly or slowly the button is pressed."""

import json
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from potash.launch import Server

# Keys, leaving the field, and the button, all before Python has answered the first key.
TYPE_AND_PRESS = """
([field, button]) => {
  for (const text of ["1", "1.2345", "1.2345 g"]) {
    field.value = text;
    field.dispatchEvent(new InputEvent("input", { bubbles: true }));
  }
  field.dispatchEvent(new Event("change", { bubbles: true }));
  button.click();
}
"""


def test_a_button_pressed_at_once_finds_all_that_was_typed(
    kept_chapter: Callable[[int], Any], workbook: Server
) -> None:
    chapter = kept_chapter(2)
    page = chapter.page
    exercise = page.locator(".potash-exercise").first
    field = exercise.get_by_role("textbox").first
    record = exercise.get_by_role("button", name="Record")
    page.evaluate(TYPE_AND_PRESS, [field.element_handle(), record.element_handle()])
    expect(exercise).to_contain_text("Recorded in answers.json")
    chapter.ready()
    expect(exercise).not_to_contain_text("changed; recorded is")
    assert "1.2345 g" in _recorded(workbook)


@pytest.mark.parametrize("text", ["2.5 g", "no number at all", "3.5 g"])
def test_a_button_that_moves_under_a_slow_press_is_pressed(
    text: str, kept_chapter: Callable[[int], Any], workbook: Server
) -> None:
    page = kept_chapter(2).page
    exercise = _begin_to_record(page, text)
    page.wait_for_timeout(500)  # Python hears that the field was left, and says how it reads it
    page.mouse.up()
    expect(exercise).to_contain_text("recorded ")
    expect(exercise).not_to_contain_text("changed; recorded is")
    assert text in _recorded(workbook)


def test_a_press_is_taken_back_by_moving_away(
    kept_chapter: Callable[[int], Any], workbook: Server
) -> None:
    page = kept_chapter(2).page
    exercise = _begin_to_record(page, "4.5 g")
    page.mouse.move(5, 5, steps=4)
    page.mouse.up()
    expect(exercise).to_contain_text("Read as 4.5")
    assert "4.5 g" not in _recorded(workbook)


def _begin_to_record(page: Page, text: str) -> Locator:
    """Type ``text`` into the first field, and press, but do not release, its button."""
    exercise = page.locator(".potash-exercise").first
    exercise.get_by_role("textbox").first.fill(text)
    record = exercise.get_by_role("button", name="Record")
    record.scroll_into_view_if_needed()
    record.hover()
    page.mouse.down()
    return exercise


def _recorded(workbook: Server) -> set[str]:
    return _texts(json.loads((workbook.folder / "answers.json").read_text("utf-8")))


def _texts(record: object) -> set[str]:
    """Every text anywhere in ``record``."""
    if isinstance(record, dict):
        record = list(record.values())
    if isinstance(record, list):
        return {text for one in record for text in _texts(one)}
    return {record} if isinstance(record, str) else set()
