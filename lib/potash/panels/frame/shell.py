"""The shell of a panel: its card, its message line, its still, and errors told in words."""

import functools
import logging
import threading
from collections.abc import Callable, Mapping
from html import escape
from typing import Any

import ipywidgets as widgets

from potash.errors import PotashError
from potash.panels.frame import access, look
from potash.panels.frame.still import Still
from potash.words import tr

log = logging.getLogger("potash.panels")


class Card:
    """A heading, a sentence under it, controls, and a line that says what was taken or not.

    tag: a word or two beside the heading.
    message: that line; it stands below the controls unless ``fill`` got it among them.
    """

    def __init__(self, title: str, lead: str = "", *, tag: str = "") -> None:
        self.title = title
        self.message = status()
        self.box = widgets.VBox([])
        self._one_at_a_time = threading.RLock()
        tagged = f'<span class="potash-tag">{escape(tag)}</span>' if tag else ""
        self._head = f"<h3>{escape(title)}{tagged}</h3>" + (
            f'<p class="potash-lead">{escape(lead)}</p>' if lead else ""
        )

    def fill(self, *children: Any) -> None:
        """Put the controls into the card."""
        below = [] if self.message in children else [self.message]
        self.box.children = [widgets.HTML(self._head), *children, *below]

    def guarded(self, handler: Callable[[], None]) -> Callable[..., None]:
        """``handler`` as a widget callback that waits for those before it and tells its errors.

        A front end may have callbacks run in two threads at once. The later one waits, so that
        what stands on the panel at the end belongs to the control that moved last.
        """

        @functools.wraps(handler)
        def in_turn() -> None:
            with self._one_at_a_time:
                handler()

        return self.told(in_turn)

    def told(self, work: Callable[[], None]) -> Callable[..., None]:
        """``work``, its errors shown instead of swallowed; for a thread that works for long.

        ipywidgets only logs what a callback raises, where no student looks.
        """

        @functools.wraps(work)
        def called(*_change: object) -> None:
            try:
                work()
            except PotashError as error:
                self.say(look.problem(str(error)))
            except Exception as error:
                log.exception("panel %r failed", self.title)
                self.say(look.problem(_unexpected(error)))

        return called

    def say(self, html: str) -> None:
        """Show ``html`` on the message line; an empty text clears it."""
        self.message.value = html


class Shell(Card):
    """The outermost card of a panel: it also brings the style, and keeps the still."""

    def __init__(self, title: str, lead: str = "") -> None:
        super().__init__(title, lead)
        self.still = Still(title)
        self.box.add_class("potash")
        self._head = f"<style>{look.stylesheet()}</style>{self.still.hiding_rule}{self._head}"

    def fill(self, *children: Any) -> None:
        """Put the controls into the card, and what names them for assistive technology."""
        super().fill(*children)
        self.box.children = [*self.box.children, access.names()]

    def keep(self, html: str, text: str, records: Mapping[str, object] | None = None) -> None:
        """Keep this state as the still of the panel."""
        self.still.update(html, text, records or {})

    def _ipython_display_(self) -> None:
        """Show the live panel, and its still for later, in the output of the running cell."""
        from IPython.display import display

        bundle = self.box._repr_mimebundle_()
        bundle["text/plain"] = tr(
            "{title}: run this cell to make the panel live.", title=self.title
        )
        display(bundle, raw=True)  # type: ignore[no-untyped-call]
        self.still.show()


def in_words(title: str) -> Callable[[Callable[..., Shell]], Callable[..., Shell]]:
    """Make a panel that cannot be built say why, on a card, instead of showing a traceback."""

    def decorated(build: Callable[..., Shell]) -> Callable[..., Shell]:
        @functools.wraps(build)
        def built(*arguments: Any, **keywords: Any) -> Shell:
            try:
                return build(*arguments, **keywords)
            except PotashError as error:
                shell = Shell(title)
                shell.say(look.problem(str(error)))
                shell.fill()
                shell.keep(look.problem(str(error)), str(error))
                return shell

        return built

    return decorated


def status() -> Any:
    """A line whose changes a screen reader reads out."""
    line = widgets.HTML("")
    line.add_class("potash-status")
    return line


def _unexpected(error: Exception) -> str:
    return tr(
        "This should not have happened: {name__}: {error}. What you typed is still here, and what "
        "was recorded is on the disk. Run the cell again; if it comes back, show this line to "
        "your instructor.",
        name__=type(error).__name__,
        error=error,
    )
