"""Going through a chapter by keyboard alone: Tab from control to control, and move each one."""

from collections.abc import Callable
from dataclasses import dataclass

from playwright.sync_api import Page

MOST_STOPS = 300

FOCUSED = """
() => {
  const one = document.activeElement;
  const panel = one.closest(".potash");
  const told = (name) => one.getAttribute(name) ?? "";
  const style = getComputedStyle(one);
  one.reachedByKeyboard = true;
  return {
    inNotebook: one.closest(".jp-Notebook") !== null,
    panel: panel?.querySelector("h3")?.textContent ?? "",
    kind: told("role") || (one.tagName === "INPUT" ? one.type : one.tagName.toLowerCase()),
    name: (told("aria-label") || one.labels?.[0]?.textContent || one.textContent).trim(),
    value: told("aria-valuetext") || (one.type === "checkbox" || one.type === "radio"
      ? String(one.checked) : one.value ?? ""),
    hint: told("placeholder"),
    last: one.options ? one.selectedIndex === one.options.length - 1
      : told("aria-valuenow") !== "" && told("aria-valuenow") === told("aria-valuemax"),
    opened: one.parentElement?.open ?? false,
    ringed: style.outlineStyle !== "none" || style.boxShadow !== "none",
  };
}
"""

# A group of radio buttons is one stop: the keyboard enters it at the chosen button or the first.
NOT_REACHED = """
() => [...document.querySelectorAll(
  ".potash :is(a[href], button, input, select, textarea, summary, [tabindex])")]
  .filter((one) => one.checkVisibility() && !one.disabled && one.tabIndex >= 0)
  .filter((one) => !one.reachedByKeyboard && one.type !== "radio")
  .map((one) => one.outerHTML.slice(0, 160))
"""

MOVING = """
() => document.getAnimations()
  .filter((one) => one.playState === "running" && one.effect.target.closest?.(".potash"))
  .map((one) => one.effect.target.outerHTML.slice(0, 160))
"""

# A reader looks before the next key. Chromium also loses a Space that goes down on a radio button
# before the page moves and comes up after it.
AT_REST = """
() => new Promise((resolve) => {
  const limit = performance.now() + 5000;
  const kernel = document.querySelector(
    ".jp-NotebookPanel:not(.lm-mod-hidden) .jp-Notebook-ExecutionIndicator");
  const watch = new MutationObserver(wait);
  let quiet;
  function wait() {
    clearTimeout(quiet);
    quiet = setTimeout(look, 100);
  }
  function look() {
    if (kernel.dataset.status !== "idle" && performance.now() < limit) return wait();
    watch.disconnect();
    resolve();
  }
  setTimeout(look, 5000);
  watch.observe(document.body, { childList: true, characterData: true, subtree: true });
  wait();
})
"""


@dataclass(frozen=True, slots=True)
class Stop:
    """A control that has the focus: where it is, what it is called, what it stands at."""

    inNotebook: bool  # noqa: N815 - as the page says it
    panel: str
    kind: str
    name: str
    value: str
    hint: str
    last: bool  # it cannot go further on
    opened: bool
    ringed: bool

    def __str__(self) -> str:
        return f"{self.panel}: {self.kind} {self.name!r} at {self.value!r}"


def focused(page: Page) -> Stop:
    return Stop(**page.evaluate(FOCUSED))


def go_to_button(page: Page, name: str) -> None:
    """Tab until a button with that name has the focus."""
    for _ in range(MOST_STOPS):
        page.keyboard.press("Tab")
        stop = focused(page)
        if stop.kind == "button" and name in stop.name:
            return
    raise AssertionError(f"Tab never leads to {name!r}.")


def stops(page: Page, do: Callable[[Page, Stop], None]) -> list[Stop]:
    """Tab through the notebook, and ``do`` something at each stop in a panel."""
    go_to_button(page, "Bring the panels")
    seen: list[Stop] = []
    for _ in range(MOST_STOPS):
        page.keyboard.press("Tab")
        stop = focused(page)
        if not stop.inNotebook:
            return seen
        if stop.panel:
            do(page, stop)
            seen.append(stop)
    raise AssertionError(f"Tab never leaves the notebook; it is at {stop}.")


def move(page: Page, stop: Stop) -> None:
    """Move the focused control by its own keys, and back where that is possible."""
    _MOVES.get(stop.kind, look)(page, stop)
    page.evaluate(AT_REST)


def look(page: Page, stop: Stop) -> None:
    """Nothing to move: a place to read and scroll, or the typed form of a slider."""


def _there_and_back(page: Page, stop: Stop, there: str, back: str) -> None:
    if stop.last:
        there, back = back, there
    page.keyboard.press(there)
    assert _changes(page, stop), f"{there} does not move {stop}"
    page.keyboard.press(back)


def _changes(page: Page, stop: Stop) -> bool:
    """Whether the control moves away from where it stood, within the time of a busy machine."""
    for _ in range(100):
        now = focused(page)
        if (now.value, now.opened) != (stop.value, stop.opened):
            return True
        page.wait_for_timeout(50)
    return False


def _slide(page: Page, stop: Stop) -> None:
    _there_and_back(page, stop, "ArrowRight", "ArrowLeft")


def _choose(page: Page, stop: Stop) -> None:
    if page.evaluate("document.activeElement.options.length") > 1:
        _there_and_back(page, stop, "ArrowDown", "ArrowUp")


def _type(page: Page, stop: Stop) -> None:
    """Type what the field suggests; what stands in it already is typed anew."""
    page.keyboard.press("Control+A")
    page.keyboard.type(stop.value or stop.hint.strip("\u200b").removeprefix("such as ") or "1.00")


def _check(page: Page, stop: Stop) -> None:
    if stop.value == "false":
        page.keyboard.press("Space")
        assert _changes(page, stop), f"Space does nothing to {stop}"


def _open(page: Page, stop: Stop) -> None:
    page.keyboard.press("Enter")
    assert _changes(page, stop), f"Enter does nothing to {stop}"


def _press(page: Page, stop: Stop) -> None:
    """Press it, and give what it brings the time to come; but keep what a prediction opened."""
    if stop.name == "Predict again":
        return
    page.keyboard.press("Enter")
    if stop.name.startswith("Keep my prediction"):
        panel = page.locator(".potash", has=page.get_by_role("heading", name=stop.panel))
        panel.get_by_role("button", name="Predict again").wait_for()


_MOVES = {
    "slider": _slide,
    "select": _choose,
    "text": _type,
    "textarea": _type,
    "radio": _check,
    "checkbox": _check,
    "summary": _open,
    "button": _press,
}
