"""JupyterLab as a student meets it: started by ``potash.launch``, looked at with real Chromium."""

import contextlib
import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from potash import launch

CHROMIUM = Path("/usr/bin/chromium")
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


@pytest.fixture
def open_page(
    chromium: Browser, tmp_path: Path, request: pytest.FixtureRequest
) -> Iterator[Callable[[str], Page]]:
    """Opens an address in a fresh 1280 by 720 window; a picture of it is kept when a test fails."""
    with contextlib.ExitStack() as pages:

        def opened(address: str, *, colour_scheme: str = "light") -> Page:
            context = chromium.new_context(
                viewport={"width": 1280, "height": 720},
                color_scheme=colour_scheme,  # type: ignore[arg-type]
            )
            pages.callback(context.close)
            page = context.new_page()
            page.set_default_timeout(30_000)
            page.goto(address)
            return page

        yield opened


@pytest.fixture(autouse=True)
def no_litter(tmp_path: Path) -> Iterator[None]:
    """Browser tests leave megabytes behind; they go when the test passed or failed alike."""
    yield
    shutil.rmtree(tmp_path, ignore_errors=True)
