"""Names and states for assistive technology, where ipywidgets has no trait for them.

A slider, a group of radio buttons and a status line of ipywidgets reach a screen reader without a
name or role. An invisible widget, one a panel, sets them from the labels that stand beside them.
"""

from functools import cache
from importlib import resources
from typing import Any


def names() -> Any:
    """The invisible widget that names the controls of the panel it lies in."""
    return _widget_class()()


@cache
def _widget_class() -> Any:
    import anywidget

    script = (resources.files("potash.panels.frame") / "access.js").read_text("utf-8")
    return type("ControlNames", (anywidget.AnyWidget,), {"_esm": script})
