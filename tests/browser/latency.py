"""Timing a slider as the hand feels it: from the key press to the last repaint it causes."""

import json
import os
import statistics
from dataclasses import dataclass
from pathlib import Path

import nbformat
from playwright.sync_api import Locator

KEY_PRESSES = int(os.environ.get("POTASH_KEY_PRESSES", "8"))

WATCH = """
(handle) => {
  const cell = handle.closest(".jp-CodeCell");
  if (cell.watchedAlready) return;
  cell.watchedAlready = true;
  window.watched = {start: 0, last: 0, repaints: 0};
  addEventListener("keydown", () => {
    window.watched = {start: performance.now(), last: 0, repaints: 0};
  }, true);
  new MutationObserver(() => {
    const mine = window.watched;
    const pictures = [...cell.querySelectorAll(".jp-Cell-outputWrapper img")];
    Promise.all(pictures.map((p) => p.decode().catch(() => null))).then(() =>
      requestAnimationFrame(() => requestAnimationFrame(() => {
        mine.last = performance.now(); mine.repaints += 1;
      })));
  }).observe(cell, {childList: true, subtree: true, attributes: true, attributeFilter: ["src"]});
}
"""


@dataclass(frozen=True, slots=True)
class Lag:
    """Milliseconds from key press to last repaint, one a key press."""

    times: tuple[float, ...]

    @property
    def median(self) -> float:
        return statistics.median(self.times)

    @property
    def high(self) -> float:
        """The 95th percentile."""
        return statistics.quantiles(self.times, n=20, method="inclusive")[-1]

    def __str__(self) -> str:
        return f"median {self.median:3.0f} ms, 95th percentile {self.high:3.0f} ms"


def press_and_time(handle: Locator) -> Lag:
    """Press the arrow keys on a slider, to the right and back, and time the picture behind each."""
    page = handle.page
    handle.evaluate(WATCH)
    handle.focus()
    times = []
    presses = KEY_PRESSES + 2
    for press in range(presses):
        page.keyboard.press("ArrowRight" if 2 * press < presses else "ArrowLeft")
        page.wait_for_function(
            "watched.last > 0 && performance.now() - watched.last > 200", polling=20
        )
        seen = page.evaluate("watched")
        if press >= 2:  # the first ones load fonts and warm caches
            times.append(seen["last"] - seen["start"])
    return Lag(tuple(times))


def write_notebook(path: Path, *sources: str) -> None:
    """A notebook of these cells."""
    notebook = nbformat.v4.new_notebook()
    notebook.metadata["kernelspec"] = {
        "name": "python3",
        "display_name": "Python 3",
        "language": "python",
    }
    notebook.cells = [nbformat.v4.new_code_cell(source) for source in sources]
    path.write_text(json.dumps(notebook), "utf-8")
