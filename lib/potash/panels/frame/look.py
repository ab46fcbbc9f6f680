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
from typing import Any, NamedTuple

from potash.origins import Origin, origin
from potash.words import tr

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
    return f'<div class="potash-problem"><b>{tr("Not taken:")}</b> {escape(first)}{below}</div>'


def good(message: str) -> str:
    """Something is done or holds."""
    return f'<div class="potash-good">{escape(message)}</div>'


def note(message: str) -> str:
    """A remark in plain text."""
    return f'<div class="potash-note">{escape(message)}</div>'


class Number(NamedTuple):
    """A number as a panel shows it, with its unit; origin: its name in :mod:`potash.origins`."""

    name: str
    shown: str
    origin: str


def key_numbers(*numbers: Number) -> str:
    """A row of large numbers; the name under each opens to where the number comes from."""
    cells = "".join(_key_number(number, place) for place, number in enumerate(numbers))
    return f'<div class="potash-numbers" role="list">{cells}</div>'


def _key_number(number: Number, place: int) -> str:
    # The name may carry a temperature that moves; the key stays, so that what is open stays open.
    key = escape(f"{number.origin} {place}")
    return (
        f'<div class="potash-number" role="listitem"><span class="potash-value">'
        f'{escape(number.shown)}</span> <details class="potash-origin" data-key="{key}">'
        f'<summary class="potash-name">{escape(number.name)}</summary>'
        f"{_told(origin(number.origin))}</details></div>"
    )


def _told(found: Origin) -> str:
    """An origin as a list of its parts."""
    parts = {
        tr("Equation"): found.equation,
        tr("Inputs"): found.inputs,
        tr("Source"): found.source,
        tr("Validity"): found.validity,
        tr("Computed by"): found.computed_by,
    }
    rows = "".join(f"<dt>{name}</dt><dd>{escape(text)}</dd>" for name, text in parts.items())
    return f"<dl>{rows}</dl>"


def where_from(*names: str) -> str:
    """A line that opens to the origins called ``names``, for numbers that are not key numbers."""
    told = "".join(
        f'<div class="potash-origin"><b>{escape(tr(name))}</b>{_told(origin(name))}</div>'
        for name in names
    )
    return folded(tr("Where these numbers come from"), told, key="; ".join(names))


def table(
    caption: str,
    heads: Sequence[str],
    rows: Iterable[Sequence[str]],
    origins: Sequence[str] = (),
) -> str:
    """A table of plain text; the first column names its row.

    origins: names in :mod:`potash.origins` of what it shows, told behind a line under it.
    """
    head = "".join(f'<th scope="col">{escape(name)}</th>' for name in heads)
    body = "".join(
        f'<tr><th scope="row">{escape(row[0])}</th>'
        + "".join(f"<td>{escape(cell)}</td>" for cell in row[1:])
        + "</tr>"
        for row in rows
    )
    below = where_from(*origins) if origins else ""
    return (
        f'<table class="potash-table"><caption>{escape(caption)}</caption>'
        f"<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>{below}"
    )


def folded(summary: str, content: str, *, key: str = "") -> str:
    """HTML behind a line that opens it, by mouse or keyboard.

    key: by which the page knows it again when it is drawn anew; the line itself, if none.
    """
    known = f' data-key="{escape(key)}"' if key else ""
    return f"<details{known}><summary>{escape(summary)}</summary>{content}</details>"
