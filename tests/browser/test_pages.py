"""Pages to read: every chapter in Chromium without kernel, script and network."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from potash.exercises.sheet import AnswerSheet
from potash.pages import write_pages
from potash.workspace import chapters_source, lay_chapters

NAMES = [path.stem for path in sorted(chapters_source().glob("*.ipynb"))]
each_page = pytest.mark.parametrize("name", NAMES)
HOSTILE = '<img src=x onerror="document.title=1">'


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Pages of the workbook itself."""
    to = tmp_path_factory.mktemp("pages")
    written = write_pages(None, to)
    assert written[0] == "start-here.html"
    assert sorted(written) == sorted(f"{name}.html" for name in NAMES)
    return to


@pytest.fixture
def offline(chromium: Browser) -> Iterator[Page]:
    """A window without any network."""
    context = chromium.new_context(viewport={"width": 1280, "height": 720}, offline=True)
    page = context.new_page()
    yield page
    context.close()


@each_page
def test_a_page_asks_the_network_for_nothing_and_shows_every_picture(
    name: str, pages: Path, offline: Page
) -> None:
    asked: list[str] = []
    complaints: list[str] = []
    offline.on("request", lambda request: asked.append(request.url))
    offline.on("console", lambda message: complaints.append(message.text))
    offline.goto((pages / f"{name}.html").as_uri())
    assert [url for url in asked if not url.startswith(("file:", "data:"))] == []
    assert [url for url in asked if url.startswith("file:")] == [(pages / f"{name}.html").as_uri()]
    assert complaints == []
    broken = "() => [...document.images].filter((one) => !one.naturalWidth).length"
    assert offline.evaluate(broken) == 0
    assert offline.evaluate("[...document.images].filter((one) => !one.alt).length") == 0
    assert offline.evaluate("document.scripts.length") == 0


@each_page
def test_a_page_keeps_its_caution_and_has_no_button_and_no_raw_formula(
    name: str, pages: Path, offline: Page
) -> None:
    offline.goto((pages / f"{name}.html").as_uri())
    assert "Caution." in offline.locator("blockquote").first.inner_text()
    assert offline.locator("button").count() == 0
    text = offline.locator("main").inner_text()
    assert "\\mathrm" not in text and "$$" not in text
    assert "should not have happened" not in text
    assert "No prediction yet" not in text
    width = offline.evaluate("document.documentElement.scrollWidth")
    assert width <= 1280


@pytest.mark.parametrize("name", [name for name in NAMES if name[:2].isdigit() and name > "01"])
def test_a_chapter_shows_its_worked_example_and_at_least_one_picture(
    name: str, pages: Path, offline: Page
) -> None:
    offline.goto((pages / f"{name}.html").as_uri())
    assert re.search("worked example", offline.locator("main").inner_text(), re.I)
    assert offline.locator(".potash-still :is(img, svg)").count() >= 1


def test_links_between_chapters_lead_to_pages(pages: Path, offline: Page) -> None:
    offline.goto((pages / "start-here.html").as_uri())
    for link in offline.locator("a").all():
        assert (pages / (link.get_attribute("href") or "").split("#")[0]).is_file()
    assert offline.locator(".potash-path a").count() >= 4


def test_a_students_page_shows_data_runs_no_code_of_the_folder_and_hides_results(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, offline: Page
) -> None:
    folder, to = tmp_path / "student", tmp_path / "pages"
    lay_chapters(folder)
    (path,) = folder.glob("02-*.ipynb")
    trap = f"open({str(tmp_path / 'sprung')!r}, 'w'); panels.charge()"
    path.write_text(path.read_text("utf-8").replace("panels.charge()", trap), "utf-8")
    sheet = AnswerSheet.open(folder)
    asked = sheet.exercises(2)[0]
    sheet.record(asked.id, {asked.asked[0].name: HOSTILE})
    before = {one: one.read_bytes() for one in folder.iterdir() if one.is_file()}
    keep_only(monkeypatch, tmp_path, "02")
    write_pages(folder, to)
    assert not (tmp_path / "sprung").exists()
    assert before == {one: one.read_bytes() for one in folder.iterdir() if one.is_file()}
    offline.goto((to / path.with_suffix(".html").name).as_uri())
    text = offline.locator("main").inner_text()
    assert HOSTILE in text
    assert "The charge sheet opens when your prediction is kept." in text
    assert "Theoretical yield of K" not in text
    assert offline.title() != "1"


def keep_only(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, number: str) -> None:
    """Let the workbook have one chapter, so that the test is short."""
    import potash.pages.page as page

    few = tmp_path / "few"
    few.mkdir()
    (original,) = chapters_source().glob(f"{number}-*.ipynb")
    (few / original.name).write_bytes(original.read_bytes())
    monkeypatch.setattr(page, "chapters_source", lambda: few)
