"""Links from a panel to chapters and to places in them."""

from functools import cache
from html import escape
from importlib import resources
from typing import Any
from urllib.parse import quote


def link(text: str, file: str, cell: str = "") -> str:
    """A link to the chapter in ``file``, or to one of its cells by id."""
    place = f"#cell-id={quote(cell)}" if cell else ""
    return f'<a class="potash-link" href="{escape(quote(file) + place)}">{escape(text)}</a>'


def opened_here() -> Any:
    """The invisible widget that makes the links of the panel it lies in open in JupyterLab."""
    return _widget_class()()


@cache
def _widget_class() -> Any:
    import anywidget

    script = (resources.files("potash.panels.frame") / "links.js").read_text("utf-8")
    return type("ChapterLinks", (anywidget.AnyWidget,), {"_esm": script})
