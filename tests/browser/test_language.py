"""The workbook in another language: its prose, its panels, and an answer that is recorded in it."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect
from pseudo_language import dressed, write

from potash import launch, words
from potash.workspace import lay_chapters


@pytest.fixture
def foreign(
    potash_settings: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[launch.Server]:
    """JupyterLab on a folder of chapters in the language that nobody speaks."""
    monkeypatch.setenv(words.LANGUAGE, str(write(tmp_path / "pseudo.po")))
    words._catalogue.cache_clear()
    folder = tmp_path / "workbook"
    lay_chapters(folder)
    launch.trust_chapters(folder)
    with launch.serving(folder) as server:
        yield server
    monkeypatch.undo()
    words._catalogue.cache_clear()


def test_a_chapter_is_read_predicted_in_and_answered_in_another_language(
    foreign: launch.Server, open_page: Any
) -> None:
    page: Page = open_page(foreign.page("04-choose-the-liquid.ipynb"))
    expect(page.get_by_role("heading", name=dressed("Choose the liquid")).first).to_be_visible()
    bring = page.get_by_role("button", name=dressed("Bring the panels"))
    expect(bring).to_be_visible()
    page.get_by_text("| Idle").wait_for()
    bring.click()
    panel = page.locator(".potash", has=page.get_by_text(dressed("Say what you work with"))).first
    panel.get_by_role("radio", name=dressed("unsuitable")).check()
    panel.get_by_role("button", name=dressed("Keep my prediction, show the result")).click()
    expect(panel).to_contain_text(dressed("The calculation says:"))
    exercise = page.locator(".potash-exercise").first
    exercise.get_by_role("textbox").first.fill("812 kg/m3")
    exercise.get_by_role("button", name=dressed("Record")).click()
    expect(exercise).to_contain_text(dressed("Recorded in"))

    # What a program reads is the same in every language.
    sheet = json.loads((foreign.folder / "answers.json").read_text("utf-8"))
    assert "unsuitable" in json.dumps(sheet)
    assert "812 kg/m3" in json.dumps(sheet)
