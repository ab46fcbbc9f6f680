"""The still of a panel: its last state as ordinary cell output, for when no kernel runs it.

A live panel is gone once its kernel is, and was never there for a reader whose JupyterLab does not
trust the notebook. The still below it stays in both cases and in an exported page. While the
panel lives, a rule that the panel itself carries hides its still; when the panel does not load,
neither does the rule.
"""

import asyncio
import datetime
import secrets
from collections.abc import Mapping
from html import escape
from typing import Any

from potash.panels.frame.pictures import packed
from potash.words import tr

# Each update of the still edits the notebook: one after the hand has come to rest is enough.
_REST_SECONDS = 1.0


class Still:
    """The last state of one panel, kept up to date in the output of its cell."""

    def __init__(self, title: str) -> None:
        self.title = title
        self._mark = f"potash-still-{secrets.token_hex(4)}"
        self._bundle: dict[str, Any] = {"text/plain": title}
        self._output: Any = None
        self._waiting: asyncio.TimerHandle | None = None

    @property
    def hiding_rule(self) -> str:
        """HTML that hides this still for as long as it is on the page."""
        return f"<style>.{self._mark} {{ display: none; }}</style>"

    @property
    def bundle(self) -> Mapping[str, Any]:
        """The still as last updated, by MIME type."""
        return self._bundle

    def update(self, html: str, text: str, records: Mapping[str, object]) -> None:
        """Replace the still: ``html`` and the same in plain ``text``.

        ``records`` are further MIME types with their JSON content, for readers that are programs.
        """
        when = f"{datetime.datetime.now().astimezone():%d %B %Y, %H:%M}"
        stood = tr("As it stood on {when}. Run the cell to make it live again.", when=when)
        self._bundle = {
            "text/html": (
                f'<div class="potash-still {self._mark}"><h3>{escape(self.title)}</h3>{html}'
                f'<p class="potash-still-when">{escape(stood)}</p></div>'
            ),
            "text/plain": tr(
                "{title}, as it stood on {when}\n{text}", title=self.title, when=when, text=text
            ),
            **records,
        }
        self._write_when_at_rest()

    def show(self) -> None:
        """Put the still into the output of the cell that runs."""
        from IPython.display import display

        self._output = display(  # type: ignore[no-untyped-call]
            self._packed(), raw=True, display_id=True
        )

    def write(self) -> None:
        """Bring the output up to date now."""
        if self._waiting is not None:
            self._waiting.cancel()
            self._waiting = None
        if self._output is not None:
            self._output.update(self._packed(), raw=True)

    def _packed(self) -> dict[str, Any]:
        """The still as it is saved: with its pictures in less room."""
        html = self._bundle.get("text/html")
        return self._bundle if html is None else {**self._bundle, "text/html": packed(html)}

    def _write_when_at_rest(self) -> None:
        if self._output is None:
            return
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:
            self.write()
            return
        if self._waiting is not None:
            self._waiting.cancel()
        self._waiting = loop.call_later(_REST_SECONDS, self.write)
