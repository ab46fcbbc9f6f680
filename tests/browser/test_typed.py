"""What a student types is what is recorded, however quickly the button follows the last key."""

import json
from collections.abc import Callable
from typing import Any

from playwright.sync_api import expect

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
    open_chapter: Callable[..., Any], workbook: Server
) -> None:
    chapter = open_chapter(2).run()
    page = chapter.page
    exercise = page.locator(".potash-exercise").first
    field = exercise.get_by_role("textbox").first
    record = exercise.get_by_role("button", name="Record")
    page.evaluate(TYPE_AND_PRESS, [field.element_handle(), record.element_handle()])
    expect(exercise).to_contain_text("Recorded in answers.json")
    chapter.ready()
    expect(exercise).not_to_contain_text("changed; recorded is")
    assert "1.2345 g" in _texts(json.loads((workbook.folder / "answers.json").read_text("utf-8")))


def _texts(record: object) -> set[str]:
    """Every text anywhere in ``record``."""
    if isinstance(record, dict):
        record = list(record.values())
    if isinstance(record, list):
        return {text for one in record for text in _texts(one)}
    return {record} if isinstance(record, str) else set()
