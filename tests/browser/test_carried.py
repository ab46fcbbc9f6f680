"""What a student did carries through: two chapters at once, a folder that moves."""

import contextlib
import re
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from chapter import Chapter
from playwright.sync_api import Locator, Page, expect

from potash import launch
from potash.workspace import lay_chapters

WEIGHED = "Mass of KOH as weighed"


@contextlib.contextmanager
def opened(folder: Path) -> Iterator[launch.Server]:
    """As ``potash open`` does it."""
    lay_chapters(folder)
    launch.trust_chapters(folder)
    with launch.serving(folder) as server:
        yield server


def text_of(frame: str | bytes) -> str:
    return frame if isinstance(frame, str) else frame.decode("utf-8", "replace")


def answer(chapter: Chapter) -> Locator:
    """The first field of the first exercise."""
    return chapter.page.locator(".potash-exercise").first.get_by_role("textbox").first


def record(chapter: Chapter, text: str) -> None:
    exercise = chapter.page.locator(".potash-exercise").first
    answer(chapter).fill(text)
    exercise.get_by_role("button", name="Record").click()
    read = text.replace(" ", ".")  # a number and its unit are kept on one line
    expect(exercise).to_contain_text(re.compile(f"Read as {read} · recorded"))


def test_what_is_typed_and_the_button_pressed_next_go_to_python_one_after_the_other(
    potash_settings: Path, open_page: Callable[..., Page], tmp_path: Path
) -> None:
    # JupyterLab would send what a panel says to a thread of its own, from where ipykernel 7.4 hands
    # some of it back to the main one: a button could overtake the field before it.
    with opened(tmp_path / "workbook") as server:
        page = open_page("about:blank")
        sent: list[str] = []
        page.on(
            "websocket",
            lambda socket: socket.on("framesent", lambda frame: sent.append(text_of(frame))),
        )
        page.goto(server.page("02-weigh-the-charge.ipynb"))
        chapter = Chapter(page).run()
        for number in range(5):
            record(chapter, f"{number}.333 mol")
    said = [frame for frame in sent if '"comm_msg"' in frame]
    assert sum('"event":"click"' in frame for frame in said) == 5
    assert not [frame for frame in said if re.search(r'"subshell_id":\s*"', frame)]


def test_two_chapters_open_at_once_leave_each_others_answers_alone(
    kept_chapter: Callable[[int], Chapter], workbook: launch.Server
) -> None:
    charge = kept_chapter(2)
    page = charge.page.context.new_page()  # a second window of the same browser
    page.goto(workbook.page("03-will-it-go.ipynb"))
    energy = Chapter(page).run()
    for number in range(3):
        record(charge, f"{number}.111 mol")
        record(energy, f"{number}.222 kJ/mol")
    on_disk = (workbook.folder / "answers.json").read_text("utf-8")
    assert "2.111 mol" in on_disk
    assert "2.222 kJ/mol" in on_disk
    for chapter, text in ((charge, "2.111 mol"), (energy, "2.222 kJ/mol")):
        chapter.page.on("dialog", lambda dialog: dialog.accept())  # the browser asks first
        chapter.page.reload()
        chapter.run()
        expect(answer(chapter)).to_have_value(text)


@pytest.mark.parametrize("computer", ["this one", "another"])
def test_a_folder_that_moved_has_everything_in_it(
    computer: str,
    potash_settings: Path,
    open_page: Callable[..., Page],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    here, there = tmp_path / "here", tmp_path / "a stick" / "Übung 2"
    there.parent.mkdir()
    with opened(here) as server:
        chapter = Chapter(open_page(server.page("02-weigh-the-charge.ipynb"))).run()
        panel = chapter.predict("The charge", "3 g")
        panel.get_by_label(WEIGHED).fill("7.77 g")
        panel.get_by_role("button", name="Save this preparation").click()
        expect(panel).to_contain_text("Saved in preparation.toml")
        record(chapter, "0.1234 mol")
        chapter.page.wait_for_timeout(2000)  # the still follows once the hand has come to rest
        chapter.save()
    shutil.move(here, there)
    if computer == "another":
        monkeypatch.setenv("POTASH_SETTINGS", str(tmp_path / "settings"))
    with opened(there) as server:
        chapter = Chapter(open_page(server.page("02-weigh-the-charge.ipynb"))).ready()
        if computer == "another":
            trust(chapter.page)
        chapter.run()
        panel = chapter.panel("The charge")
        expect(panel.get_by_role("button", name="Predict again")).to_be_visible()
        expect(panel.get_by_label(WEIGHED)).to_have_value("7.77 g")
        expect(answer(chapter)).to_have_value("0.1234 mol")


def trust(page: Page) -> None:
    """As JupyterLab says when a button of a chapter that it does not know is pressed."""
    page.get_by_role("button", name="Bring the panels").click()
    dialog = page.locator(".jp-Dialog")
    expect(dialog).to_contain_text("not trusted")
    dialog.get_by_role("button", name="Trust").click()
    expect(dialog).to_contain_text("Trust this notebook?")
    dialog.get_by_role("button", name="Trust").click()
    expect(dialog).to_have_count(0)
