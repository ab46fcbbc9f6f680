"""The look of the panels: palette, styles, and the few pieces of HTML that they are built from.

Colours hold 4.5:1 for text and 3:1 for lines on their ground, in JupyterLab's light and dark
themes (WCAG 2.2 AA; the tests compute it). A metal is never told by its hue alone: it has a marker
and a dash of its own, and its symbol stands beside its line.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from html import escape
from importlib import resources
from typing import Any

PAPER = "#ffffff"  # ground of every picture, in both themes
INK = "#1d2433"
FAINT = "#5b6478"
GRID = "#d9dde5"
ACCENT = "#5a3d99"
CONTRAST = "#0a6e6e"
WARNING = "#9a4a00"


@dataclass(frozen=True, slots=True)
class MetalCue:
    """How a metal is told apart in pictures: hue of its flame test, marker and dash."""

    hue: str
    marker: str
    dash: tuple[float, ...]


# Flame-test hues: Li crimson, Na yellow, K lilac, Rb red-violet, Cs blue (common practice, no
# source), each darkened until it holds 3:1 on paper.
METALS: Mapping[str, MetalCue] = {
    "Li": MetalCue("#c2183c", "o", ()),
    "Na": MetalCue("#a87900", "s", (6, 2)),
    "K": MetalCue("#8358bd", "D", (2, 1.5)),
    "Rb": MetalCue("#9c1f6e", "^", (6, 2, 1.5, 2)),
    "Cs": MetalCue("#1f5fbf", "v", (9, 3)),
}

PICTURE_STYLE: Mapping[Any, Any] = {
    "axes.edgecolor": FAINT,
    "axes.facecolor": PAPER,
    "axes.grid": True,
    "axes.labelcolor": INK,
    "axes.spines.right": False,
    "axes.spines.top": False,
    "axes.titlesize": 11,
    "figure.facecolor": PAPER,
    "font.family": "DejaVu Sans",
    "font.size": 9.5,
    "grid.color": GRID,
    "grid.linewidth": 0.7,
    "legend.frameon": False,
    "lines.linewidth": 2,
    "text.color": INK,
    "xtick.color": FAINT,
    "xtick.labelcolor": INK,
    "ytick.color": FAINT,
    "ytick.labelcolor": INK,
}


@cache
def stylesheet(name: str = "potash.css") -> str:
    """The rules that all panels share, or those in another file of this folder, as CSS."""
    return (resources.files("potash.panels.frame") / name).read_text("utf-8")


def paragraphs(text: str) -> str:
    """Plain text as HTML paragraphs, split at blank lines, nothing in it taken for markup."""
    return "".join(f"<p>{escape(part)}</p>" for part in text_parts(text))


def text_parts(text: str) -> list[str]:
    """The paragraphs of a plain text."""
    return [part.strip() for part in text.split("\n\n") if part.strip()]


def caution(title: str, points: Iterable[str]) -> str:
    """A caution box: a heading and plain-text points."""
    listed = "".join(f"<li>{escape(point)}</li>" for point in points)
    return (
        f'<div class="potash-caution"><p class="potash-caution-title">{escape(title)}</p>'
        f"<ul>{listed}</ul></div>"
    )


def problem(message: str) -> str:
    """What was typed cannot be used: the message as it stands.

    Lines after the first point at a place in the line above them, so they keep their columns.
    """
    first, *pointing = message.split("\n")
    below = f"<pre>{escape(chr(10).join(pointing))}</pre>" if pointing else ""
    return f'<div class="potash-problem"><b>Not taken.</b> {escape(first)}{below}</div>'


def good(message: str) -> str:
    """Something is done or holds."""
    return f'<div class="potash-good">{escape(message)}</div>'


def note(message: str) -> str:
    """A remark in plain text."""
    return f'<div class="potash-note">{escape(message)}</div>'


def key_numbers(numbers: Mapping[str, str]) -> str:
    """A row of large numbers with their names under them."""
    cells = "".join(
        f'<div class="potash-number" role="listitem"><span class="potash-value">{escape(value)}'
        f'</span> <span class="potash-name">{escape(name)}</span></div>'
        for name, value in numbers.items()
    )
    return f'<div class="potash-numbers" role="list">{cells}</div>'


def table(caption: str, heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A table of plain text; the first column names its row."""
    head = "".join(f'<th scope="col">{escape(name)}</th>' for name in heads)
    body = "".join(
        f'<tr><th scope="row">{escape(row[0])}</th>'
        + "".join(f"<td>{escape(cell)}</td>" for cell in row[1:])
        + "</tr>"
        for row in rows
    )
    return (
        f'<table class="potash-table"><caption>{escape(caption)}</caption>'
        f"<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
    )


def folded(summary: str, content: str) -> str:
    """HTML behind a line that opens it, by mouse or keyboard."""
    return f"<details><summary>{escape(summary)}</summary>{content}</details>"
