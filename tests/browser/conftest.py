"""JupyterLab as a student meets it: started by ``potash.launch``, looked at with real Chromium."""

import contextlib
import os
import shutil
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

import pytest
from chapter import Chapter
from playwright.sync_api import Browser, Page, expect, sync_playwright

from potash import launch
from potash.workspace import lay_chapters

CHROMIUM = Path("/usr/bin/chromium")

# A busy machine is slow, not wrong: what is expected has as long to come as a click has.
expect.set_options(timeout=30_000)
QUIET = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-default-apps",
    "--disable-sync",
    "--no-first-run",
]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Every test in this folder needs the browser."""
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents:
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """Debian's Chromium without a window, able to reach this computer only."""
    if not CHROMIUM.exists():
        if os.environ.get("POTASH_REQUIRE_BROWSER") == "1":
            pytest.fail(f"{CHROMIUM} is missing and POTASH_REQUIRE_BROWSER is 1.")
        pytest.skip(f"{CHROMIUM} is missing: install Debian's chromium to run the browser tests.")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=str(CHROMIUM), args=QUIET)
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def potash_settings(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A settings folder for these tests, so that they touch nobody's own."""
    folder = tmp_path_factory.mktemp("settings")
    before = os.environ.get("POTASH_SETTINGS")
    os.environ["POTASH_SETTINGS"] = str(folder)
    yield folder
    if before is None:
        del os.environ["POTASH_SETTINGS"]
    else:
        os.environ["POTASH_SETTINGS"] = before


@pytest.fixture
def lab(potash_settings: Path, tmp_path: Path) -> Iterator[launch.Server]:
    """JupyterLab on an empty folder, which a test fills."""
    folder = tmp_path / "workbook"
    folder.mkdir()
    with launch.serving(folder) as server:
        yield server


@pytest.fixture(scope="module")
def workbook(
    potash_settings: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[launch.Server]:
    """JupyterLab on a folder with the chapters, as ``potash open`` lays them."""
    folder = tmp_path_factory.mktemp("larkmoor") / "workbook"
    lay_chapters(folder)
    launch.trust_chapters(folder)
    with launch.serving(folder) as server:
        yield server


@pytest.fixture
def open_chapter(workbook: launch.Server, open_page: Callable[..., Page]) -> Callable[..., Chapter]:
    """Opens a chapter by its number."""

    def opened(number: int, **settings: str) -> Chapter:
        (path,) = workbook.folder.glob(f"{number:02}-*.ipynb")
        # Without the notebooks that an earlier test left open.
        return Chapter(open_page(f"{workbook.page(path.name)}&reset", **settings))

    return opened


@pytest.fixture(scope="module")
def kept_page(workbook: launch.Server, chromium: Browser) -> Iterator[Callable[[str], Page]]:
    """Opens a notebook by its name, in a window that stays for all tests of a module."""
    with contextlib.ExitStack() as pages:

        def opened(name: str) -> Page:
            page = new_window(chromium)
            pages.callback(page.context.close)
            page.goto(f"{workbook.page(name)}&reset")
            return page

        yield opened


@pytest.fixture(scope="module")
def kept_chapter(
    workbook: launch.Server, kept_page: Callable[[str], Page]
) -> Callable[[int], Chapter]:
    """A chapter by its number, opened and run once for all tests of a module."""

    @cache
    def opened(number: int) -> Chapter:
        (path,) = workbook.folder.glob(f"{number:02}-*.ipynb")
        return Chapter(kept_page(path.name)).run()

    return opened


def new_window(chromium: Browser, *, colour_scheme: str = "light") -> Page:
    """A fresh window of 1280 by 720, as on a projector."""
    context = chromium.new_context(
        viewport={"width": 1280, "height": 720},
        color_scheme=colour_scheme,  # type: ignore[arg-type]
    )
    page = context.new_page()
    page.set_default_timeout(30_000)
    return page


@pytest.fixture
def open_page(chromium: Browser) -> Iterator[Callable[..., Page]]:
    """Opens an address in a fresh window, which runs ``script`` before any other."""
    with contextlib.ExitStack() as pages:

        def opened(address: str, *, colour_scheme: str = "light", script: str = "") -> Page:
            page = new_window(chromium, colour_scheme=colour_scheme)
            pages.callback(page.context.close)
            page.add_init_script(script)
            page.goto(address)
            return page

        yield opened


@pytest.fixture(autouse=True)
def no_litter(tmp_path: Path) -> Iterator[None]:
    """Browser tests leave megabytes behind; they go when the test passed or failed alike."""
    yield
    shutil.rmtree(tmp_path, ignore_errors=True)
