"""A table of buttons coloured by value, each opening what stands behind its number."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

from potash.panels.frame import look

# Share of the hue in the ground; deeper, neither ink nor paper would hold 4.5:1 on it.
_PALEST, _DEEPEST = 0.10, 0.66


@dataclass(frozen=True, slots=True)
class Face:
    """How one cell looks: its text, ground and ink, and what a screen reader says."""

    text: str
    ground: str
    ink: str
    label: str
    chosen: bool = False

    def as_dict(self) -> dict[str, object]:
        """As the script reads it; ``dataclasses.asdict`` takes ten times as long."""
        return {name: getattr(self, name) for name in self.__slots__}


class ButtonGrid:
    """Rows and columns of buttons. chosen: called with row and column when one is pressed."""

    def __init__(
        self,
        corner: str,
        rows: Sequence[str],
        columns: Sequence[str],
        chosen: Callable[[int, int], None],
    ) -> None:
        self._frame = {"corner": corner, "rows": list(rows), "columns": list(columns)}
        self.widget = _widget_class()()
        self.widget.observe(lambda change: chosen(*change["new"]), "chosen")

    def show(self, faces: Sequence[Sequence[Face]]) -> None:
        """Show ``faces``, row by row."""
        self.widget.grid = {**self._frame, "cells": [[one.as_dict() for one in r] for r in faces]}


def tint(value: float, deepest_at: float) -> str:
    """The ground for a signed value: the further from zero, the deeper.

    Negative values take the contrasting hue, positive ones the warning hue; ``deepest_at`` is the
    size from which on nothing gets deeper. Ink holds 4.5:1 on every ground.
    """
    hue = look.CONTRAST if value < 0 else look.WARNING
    share = _PALEST + (_DEEPEST - _PALEST) * min(abs(value) / deepest_at, 1.0)
    ground = (round(255 + share * (int(hue[i : i + 2], 16) - 255)) for i in (1, 3, 5))
    return "#" + "".join(f"{channel:02x}" for channel in ground)


@cache
def _widget_class() -> Any:
    import anywidget
    import traitlets

    folder = resources.files("potash.panels.frame")
    traits = {
        "_esm": (folder / "grid.js").read_text("utf-8"),
        "_css": (folder / "grid.css").read_text("utf-8"),
        "grid": traitlets.Dict().tag(sync=True),
        "chosen": traitlets.List().tag(sync=True),
    }
    return type("ButtonTable", (anywidget.AnyWidget,), traits)
