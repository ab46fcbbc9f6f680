"""How long a picture lags behind the hand: for each slider, and for four ways to make a picture.

Run ``pytest tests/browser/test_latency.py -s`` on a quiet machine to see the table, and set
POTASH_KEY_PRESSES for more presses than a few. Times run from the key press to the last repaint.
A panel redraws picture, numbers and tables; its peer is a bare picture made the plain way, timed
just before. Other work on the machine only adds to a time: the calmest round is ours.
"""

from collections.abc import Callable
from typing import Any

import pytest
from latency import Lag, press_and_time, write_notebook
from playwright.sync_api import Locator, Page

from potash.launch import Server

MOST_ROUNDS = 3

# Chapter, panel, a prediction that opens it, a slider of it.
SLIDERS = [
    (2, "The charge", "3 g", "Excess of Mg, %"),
    (3, "Will it go?", "downhill", "Temperature, K"),
    (3, "Who takes it from whom?", "uphill", "Temperature, K"),
    (3, "Metals against reductants", "half or more", "Temperature, K"),
    (3, "What leaves the retort?", "900 °C", "Pressure, bar"),
    (3, "Why the liquid is there", "all of it", "Volume of the liquid, mL"),
    (4, "Choose the liquid", "suitable with care", "Temperature, °C"),
    (4, "Beads in the flask", "rises", "Temperature, °C"),
    (5, "Run and dose", "no difference", "Time from heating, min"),
    (6, "Carry the hydrogen away", "about as much", "Scale of the preparation, times"),
    (7, "Quench the rest", "about half of it", "Feed, mL/min"),
    (8, "Store or destroy", "the crust", "Liquid over the metal, mm"),
]

LAYOUT = """
(panel) => {
  const top = panel.getBoundingClientRect().top;
  return [...panel.querySelectorAll("img.potash-picture, .noUi-target")]
    .filter((one) => one.checkVisibility())
    .map((one) => one.getBoundingClientRect())
    .map((box) => [Math.round(box.top - top), Math.round(box.height)]);
}
"""

CHOSEN = "matplotlib, kept figure, potash picture"
PLAIN = "matplotlib, plain savefig, display handle"

COMMON = """
import base64, io, ipywidgets as w, numpy as np
from IPython.display import HTML, display
T = np.linspace(298, 1300, 400)
slider = w.IntSlider(value=50, min=0, max=100, description="Temperature")
def curves(v): return -100 + 0.05 * T + v, -80 + 0.03 * T - v / 2
"""

FIGURE = """
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
figure = Figure(figsize=(7.2, 3.4), dpi=160); FigureCanvasAgg(figure); axes = figure.add_subplot()
"""

ARTISTS = """
axes.set(xlabel="temperature, K", ylabel="kJ/mol", ylim=(-160, 80)); axes.grid(True)
first, = axes.plot(T, curves(50)[0], label="first")
second, = axes.plot(T, curves(50)[1], "--", label="second")
axes.legend(loc="upper left")
def move(v):
    a, b = curves(v); first.set_ydata(a); second.set_ydata(b)
"""

WAYS = {
    "words only (the floor)": COMMON
    + """
out = w.HTML()
def show(change): out.value = f"<img alt='' width=1 height=1>{slider.value}"
slider.observe(show, "value"); show(None); display(w.VBox([slider, out]))
""",
    "own SVG as <img>": COMMON
    + """
out = w.HTML()
def line(y, dash):
    xy = " ".join(f"{(t - 298) * 0.7:.1f},{200 - v:.1f}" for t, v in zip(T, y))
    return f'<polyline points="{xy}" fill="none" stroke="#333" stroke-dasharray="{dash}"/>'
def show(change):
    a, b = curves(slider.value)
    svg = ('<svg xmlns="http://www.w3.org/2000/svg" width="720" height="340">'
           + line(a, "") + line(b, "4") + "</svg>")
    data = base64.b64encode(svg.encode()).decode()
    out.value = f'<img width="720" height="340" alt="x" src="data:image/svg+xml;base64,{data}">'
slider.observe(show, "value"); show(None); display(w.VBox([slider, out]))
""",
    CHOSEN: COMMON
    + """
from potash.panels.frame.pictures import Picture
picture = Picture(); axes = picture.axes
"""
    + ARTISTS
    + """
picture.moving(first, second)
out = w.HTML()
def show(change): move(slider.value); out.value = picture.to_html("x")
slider.observe(show, "value"); show(None); display(w.VBox([slider, out]))
""",
    PLAIN: COMMON
    + FIGURE
    + ARTISTS
    + """
display(slider)
def bundle():
    move(slider.value); b = io.BytesIO(); figure.savefig(b, format="png")
    data = base64.b64encode(b.getvalue()).decode()
    return HTML(f'<img width="720" height="340" alt="x" src="data:image/png;base64,{data}">')
handle = display(bundle(), display_id=True)
slider.observe(lambda change: handle.update(bundle()), "value")
""",
}


@pytest.fixture(scope="module")
def ways(workbook: Server, kept_page: Callable[[str], Page]) -> Page:
    """A notebook with a slider for each way, all of them run; the first changes one word only."""
    write_notebook(workbook.folder / "ways.ipynb", *WAYS.values())
    page = kept_page("ways.ipynb")
    page.get_by_text("| Idle").wait_for()
    page.locator(".jp-CodeCell").first.click()
    for _ in WAYS:
        page.keyboard.press("Shift+Enter")
    page.locator(".noUi-handle").nth(len(WAYS) - 1).wait_for()
    page.get_by_text("| Idle").wait_for()
    page.wait_for_timeout(1500)
    return page


def peer(ways: Page) -> Lag:
    """How long a bare picture takes this machine now, made the plain way."""
    return press_and_time(ways.locator(".noUi-handle").nth(list(WAYS).index(PLAIN)))


def test_the_chosen_way_to_make_a_picture_is_quicker_than_the_plain_one(ways: Page) -> None:
    lags = {}
    for number, name in enumerate(WAYS):
        lags[name] = press_and_time(ways.locator(".noUi-handle").nth(number))
        print(f"\n{name:45s} {lags[name]}", end="")
    assert lags[CHOSEN].median < lags[PLAIN].median


@pytest.mark.parametrize(("number", "heading", "answer", "name"), SLIDERS)
def test_a_panel_follows_the_hand_within_twice_the_time_of_a_bare_picture(
    number: int, heading: str, answer: str, name: str, kept_chapter: Callable[..., Any], ways: Page
) -> None:
    panel = kept_chapter(number).predict(heading, answer)
    handle = panel.get_by_role("slider", name=name)
    away_from_the_end(handle)
    before = layout(panel)
    shares: list[float] = []
    while len(shares) < MOST_ROUNDS and (not shares or shares[-1] > 2):
        bare, lag = peer(ways), press_and_time(handle)
        print(f"\n{number} {heading:26s} {lag} (bare: {bare})", end="")
        shares.append(lag.median / bare.median)
    assert min(shares) <= 2
    assert layout(panel) == before  # nothing jumps while the slider moves


def layout(panel: Locator) -> list[tuple[float, float]]:
    """Where each picture and slider of a panel stands below its heading, and how high it is."""
    return panel.evaluate(LAYOUT)  # type: ignore[no-any-return]


def away_from_the_end(handle: Locator) -> None:
    """Where a key moves something, after the time in which a student reads the picture."""
    handle.focus()
    for key in ("Home", "ArrowRight", "ArrowRight", "ArrowRight"):
        handle.press(key)
    handle.page.wait_for_timeout(4000)
