"""Chapter 3 in real Chromium: diagram, matrix, retort and heating answer to their sliders.

Run with ``-s`` to see the latencies: from key press to the last repaint, 40 presses each.
"""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from latency import BAR_MILLISECONDS, press_and_time, run_all, write_notebook
from playwright.sync_api import Locator, Page, expect

from potash import launch
from potash.launch import Server
from potash.workspace import lay_chapters

PICTURE = "img.potash-picture"
MOST_ROUNDS = 3

WORDS = """
import ipywidgets as w
slider, out = w.IntSlider(value=50, description="Words"), w.HTML()
def show(change): out.value = f"<img alt='' width=1 height=1>{slider.value}"
slider.observe(show, "value"); show(None); display(w.VBox([slider, out]))
"""

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


def panel_of(page: Page, heading: str) -> Locator:
    return page.locator(".potash", has=page.get_by_role("heading", name=heading)).first


def into_view(page: Page, heading: str) -> Locator:
    """Scroll a panel to the top: JupyterLab hides what is far outside the window."""
    panel = panel_of(page, heading)
    panel.evaluate("(one) => one.scrollIntoView()")
    panel.get_by_text("Predict first").wait_for()
    return panel


def predict(page: Page, heading: str) -> Locator:
    """Commit a prediction, unless that was done before, and wait for what it reveals."""
    panel = into_view(page, heading)
    keep = panel.get_by_role("button", name="Keep my prediction")
    if keep.is_visible():
        if heading == RETORT:
            panel.get_by_label("Your prediction").fill(PREDICTIONS[heading])
            panel.get_by_label("Your prediction").press("Tab")
        else:
            panel.get_by_role("radio", name=PREDICTIONS[heading]).check()
        keep.click()
    revealed = ".potash-matrix" if heading == MATRIX else PICTURE
    panel.locator(revealed).first.wait_for()
    return panel


@pytest.fixture(scope="module")
def server(potash_settings: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """JupyterLab on the chapters and on a notebook with the least of sliders."""
    folder = tmp_path_factory.mktemp("larkmoor") / "workbook"
    lay_chapters(folder)
    launch.trust_chapters(folder)
    write_notebook(folder / "words.ipynb", WORDS)
    with launch.serving(folder) as running:
        yield running


@pytest.fixture(scope="module")
def new_page(chromium: Any) -> Iterator[Callable[[], Page]]:
    """Opens an empty window of 1280 by 720, as on a projector."""
    contexts = []

    def opened() -> Page:
        contexts.append(chromium.new_context(viewport={"width": 1280, "height": 720}))
        page: Page = contexts[-1].new_page()
        page.set_default_timeout(60_000)
        return page

    yield opened
    for context in contexts:
        context.close()


@pytest.fixture(scope="module")
def words(server: Server, new_page: Callable[[], Page]) -> Page:
    """A slider that changes one word: the least lag that this machine is capable of."""
    page = new_page()
    page.goto(f"{server.page('words.ipynb')}&reset")  # without the chapter beside it
    run_all(page)
    page.locator(".noUi-handle").first.wait_for()
    page.wait_for_timeout(1500)
    return page


@pytest.fixture(scope="module")
def chapter(server: Server, new_page: Callable[[], Page]) -> Page:
    """Chapter 3, run once for all tests here."""
    return _opened(new_page(), server)


def _opened(page: Page, server: Server) -> Page:
    page.set_default_timeout(60_000)
    page.goto(f"{server.page('03-will-it-go.ipynb')}&reset")
    page.get_by_text("| Idle").wait_for()
    page.get_by_role("button", name="Bring the panels").click()
    page.get_by_role("heading", name=HEATING).first.wait_for()
    page.wait_for_timeout(1500)
    page.get_by_text("| Idle").wait_for()
    return page


@each_panel
def test_nothing_is_revealed_before_a_prediction_is_kept(heading: str, chapter: Page) -> None:
    panel = into_view(chapter, heading)
    assert not panel.locator(f"{PICTURE}:visible, .potash-matrix:visible").count()
    predict(chapter, heading)
    expect(panel.get_by_text("You predicted")).to_be_visible()
    expect(panel.get_by_text("The calculation says")).to_be_visible()


@pytest.mark.parametrize("heading", [DIAGRAM, RETORT, HEATING])
def test_picture_and_words_follow_the_slider(heading: str, chapter: Page) -> None:
    panel = predict(chapter, heading)
    picture = panel.locator(PICTURE).first
    words, pixels = picture.get_attribute("alt"), picture.get_attribute("src")
    assert words and pixels
    panel.get_by_role("slider", name=SLIDERS[heading]).focus()
    for _ in range(5):
        chapter.keyboard.press("ArrowLeft")
    expect(picture).not_to_have_attribute("alt", words)
    expect(picture).not_to_have_attribute("src", pixels)


def test_the_numbers_of_the_matrix_follow_the_slider(chapter: Page) -> None:
    panel = predict(chapter, MATRIX)
    cell = panel.get_by_role("button", name="potassium with magnesium")
    before = cell.inner_text()
    assert before.startswith("▼")
    panel.get_by_role("slider", name=SLIDERS[MATRIX]).focus()
    for _ in range(20):
        chapter.keyboard.press("ArrowRight")
    expect(cell).not_to_have_text(before)


def test_each_square_of_the_matrix_opens_its_sum_by_keyboard(chapter: Page) -> None:
    panel = predict(chapter, MATRIX)
    panel.get_by_role("button", name="lithium with magnesium").focus()
    for row in ("sodium", "potassium"):
        chapter.keyboard.press("ArrowDown")
        chapter.keyboard.press("Enter")
        square = panel.get_by_role("button", name=f"{row} with magnesium")
        expect(square).to_have_attribute("aria-pressed", "true")
        expect(square).to_be_focused()
    expect(panel.locator(".potash-equation")).to_contain_text("KOH")
    expect(panel.get_by_role("table", name="Term by term")).to_be_visible()


def test_the_matrix_says_where_practice_parts_from_the_number(chapter: Page) -> None:
    panel = predict(chapter, MATRIX)
    panel.get_by_role("button", name="sodium with magnesium").click()
    expect(panel.get_by_text("widely reported as reluctant")).to_be_visible()


def test_the_diagram_lists_its_crossings_and_its_reading_rules(chapter: Page) -> None:
    panel = predict(chapter, DIAGRAM)
    expect(panel.get_by_text("The slope is minus the entropy")).to_be_visible()
    panel.get_by_text("Crossings, found as roots").click()
    rows = panel.get_by_role("row").filter(has_text="Mg / MgO").filter(has_text="C / CO")
    expect(rows.filter(has_text="2120 K")).to_be_visible()


def test_the_diagram_turns_to_chlorides(chapter: Page) -> None:
    panel = predict(chapter, DIAGRAM)
    panel.get_by_label("Diagram of the").select_option("chlorides")
    expect(panel.get_by_text("take the chlorine from KCl")).to_be_visible()
    panel.get_by_label("Diagram of the").select_option("oxides")
    expect(panel.get_by_text("take the oxygen from MgO")).to_be_visible()


def test_the_retort_sweeps_over_pressure_too(chapter: Page) -> None:
    panel = predict(chapter, RETORT)
    panel.get_by_label("Sweep over").select_option("pressure")
    picture = panel.locator(PICTURE).first
    expect(picture).to_have_attribute("alt", _containing("over pressure"), timeout=30_000)
    words = picture.get_attribute("alt") or ""
    panel.get_by_role("slider", name="Temperature, K").focus()
    chapter.keyboard.press("ArrowRight")
    expect(picture).not_to_have_attribute("alt", words)
    panel.get_by_label("Sweep over").select_option("temperature")
    expect(picture).to_have_attribute("alt", _containing("over temperature"), timeout=30_000)


def test_a_prediction_that_is_no_temperature_is_asked_back(chapter: Page) -> None:
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


@each_panel
def test_axe_finds_nothing_serious_in_what_a_prediction_reveals(
    heading: str, chapter: Page
) -> None:
    predict(chapter, heading)
    found = Axe().run(chapter, context=".potash").response["violations"]
    serious = [
        (one["id"], node["html"][:160])
        for one in found
        if one["impact"] in ("serious", "critical")
        for node in one["nodes"]
    ]
    assert serious == []


@each_panel
def test_the_picture_follows_the_hand_within_a_tenth_of_a_second(
    heading: str, chapter: Page, words: Page
) -> None:
    handle = predict(chapter, heading).get_by_role("slider", name=SLIDERS[heading])
    handle.evaluate("one => one.classList.add('timed')")
    handle.focus()
    for key in ("Home", "ArrowRight", "ArrowRight", "ArrowRight"):
        chapter.keyboard.press(key)  # away from the end, where a key moves nothing
    chapter.wait_for_timeout(4000)  # a student reads the picture before moving on
    rounds = []
    while len(rounds) < MOST_ROUNDS and (not rounds or rounds[-1] > 1):
        rounds.append(lag_over_bar(heading, chapter, words))
    handle.evaluate("one => one.classList.remove('timed')")
    # Other work on the machine only ever adds to a lag, so the calmest round is the panel's own.
    assert min(rounds) <= 1


def lag_over_bar(heading: str, chapter: Page, words: Page) -> float:
    """The 95th percentile of a panel's lag over the bar, 40 key presses.

    The floor is taken on both sides, because on a shared machine it drifts within minutes.
    """
    before, lag, after = (
        press_and_time(words, ".noUi-handle"),
        press_and_time(chapter, ".timed"),
        press_and_time(words, ".noUi-handle"),
    )
    print(
        f"\n{heading:26s} median {lag.median:.0f} ms, 95th percentile {lag.high:.0f} ms "
        f"(one word: {before.high:.0f} and {after.high:.0f} ms)"
    )
    return lag.high / max(BAR_MILLISECONDS, 3 * before.high, 3 * after.high)


# Updates a second while a key is held for two seconds: ``said`` is what every update changes, or
# nothing, to count the repaints of ``place``.
HELD = """
async ([panel, place, said]) => {
  const handle = document.activeElement;
  const seen = new Set();
  let updates = 0;
  const look = new MutationObserver(() => {
    updates += 1;
    seen.add(said ? panel.querySelector(said)?.alt : updates);
  });
  look.observe(place ? panel.querySelector(place) : panel, {
    childList: true, subtree: true, attributeFilter: ["src", "style"],
  });
  const start = performance.now();
  for (let press = 0; press < 60; press += 1) {
    handle.dispatchEvent(new KeyboardEvent("keydown", {key: "ArrowRight", bubbles: true}));
    await new Promise((resolve) => setTimeout(resolve, 33));
    if (handle.getAttribute("aria-valuenow") === handle.getAttribute("aria-valuemax")) break;
  }
  const seconds = (performance.now() - start) / 1000;
  look.disconnect();
  return seen.size / seconds;
}
"""


def held(page: Page, panel: Locator, handle: Locator, place: str, said: str) -> float:
    """Updates a second with the right arrow key held from the left end on."""
    handle.focus()
    page.keyboard.press("Home")
    page.wait_for_timeout(4000)
    rate: float = page.evaluate(HELD, [panel.element_handle(), place, said])
    return rate


@each_panel
def test_a_held_key_keeps_ten_pictures_a_second(heading: str, chapter: Page, words: Page) -> None:
    panel = predict(chapter, heading)
    handle = panel.get_by_role("slider", name=SLIDERS[heading])
    place, said = (".potash-matrix", "") if heading == MATRIX else ("", PICTURE)
    rate = held(chapter, panel, handle, place, said)
    floor = held(
        words, words.locator(".jp-OutputArea").first, words.locator(".noUi-handle").first,
        ".widget-html-content", "",
    )  # fmt: skip
    print(f"\n{heading:26s} {rate:.1f} pictures a second (one word: {floor:.1f})")
    # Where even one word comes slowly, the machine is busy, and the bar moves with it.
    assert rate >= min(10.0, floor / 2)


def _containing(words: str) -> Any:
    import re

    return re.compile(re.escape(words))
