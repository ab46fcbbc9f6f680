"""JupyterLab as a student meets it: started by ``potash.launch``, looked at with real Chromium."""

import contextlib
import os
import re
import shutil
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, Page, expect, sync_playwright

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


_END_KERNELS = """
async () => {
  const token = document.cookie.match(/_xsrf=([^;]+)/)[1];
  const kernels = await (await fetch("/api/kernels")).json();
  for (const kernel of kernels) {
    await fetch("/api/kernels/" + kernel.id, {method: "DELETE", headers: {"X-XSRFToken": token}});
  }
}
"""


class Chapter:
    """A chapter in a window, and what a student does first with it."""

    def __init__(self, page: Page) -> None:
        self.page = page

    def ready(self) -> "Chapter":
        """Wait until its kernel is there, and has nothing left to do."""
        self.page.get_by_text("| Idle").wait_for()
        notebook = self.page.locator(".jp-NotebookPanel:visible")
        notebook.locator('.jp-Notebook-ExecutionIndicator[data-status="idle"]').wait_for()
        return self

    def run(self) -> "Chapter":
        """Press the button at the top and wait for the first panel."""
        self.ready()
        self.page.get_by_role("button", name="Bring the panels").click()
        self.page.locator(".potash").first.wait_for()
        self.page.wait_for_timeout(1500)
        return self.ready()

    def panel(self, heading: str) -> Locator:
        """The panel with that heading."""
        found = self.page.locator(".potash", has=self.page.get_by_role("heading", name=heading))
        return found.first

    def predict(self, heading: str, answer: str) -> Locator:
        """The panel with what a prediction opens.

        ``answer`` is one of the choices, or typed where there are none. A prediction that an
        earlier test kept stands.
        """
        panel = self.panel(heading)
        panel.evaluate("one => one.scrollIntoView()")
        either = panel.get_by_role("button", name=re.compile("Keep my prediction|Predict again"))
        either.filter(visible=True).first.wait_for()
        keep = panel.get_by_role("button", name="Keep my prediction")
        if keep.is_visible():
            asked = keep.locator("xpath=ancestor::*[contains(@class, 'widget-vbox')][1]")
            if asked.get_by_role("radio").count():
                asked.get_by_role("radio", name=answer).first.check()
            else:
                asked.get_by_role("textbox").fill(answer)
                asked.get_by_role("textbox").press("Tab")
            keep.click()
        panel.locator("img.potash-picture, .potash-matrix").first.wait_for()
        return panel

    def save(self) -> None:
        """Save the notebook by the toolbar, and wait until it is on the disk."""
        with self.page.expect_response(
            lambda answer: answer.request.method == "PUT" and "/api/contents/" in answer.url
        ):
            self.page.locator('[data-command="docmanager:save"]').first.click()

    def end_kernels(self) -> None:
        """End every kernel of the server, as a crash or a closed laptop does."""
        self.page.evaluate(_END_KERNELS)


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
