"""The picture that counts atoms on both sides of an equation."""

from collections.abc import Mapping
from typing import Any

from potash.equations import CHARGE
from potash.panels.frame import look
from potash.panels.frame.pictures import Picture, round_up, styled
from potash.words import tr

Counts = Mapping[str, tuple[Any, Any]]


class AtomCounts:
    """Two bars an element, left and right side; they move as the coefficients change."""

    def __init__(self, counts: Counts) -> None:
        self.elements = tuple(counts)
        self._limit = round_up(1.25 * _highest(counts))
        self._picture = Picture(height=290)
        with styled():
            self._draw()

    def holds(self, counts: Counts) -> bool:
        """Whether this picture has the elements, and the height, for ``counts``."""
        highest = _highest(counts)
        return tuple(counts) == self.elements and self._limit / 4 < highest <= 0.9 * self._limit

    def to_html(self, counts: Counts) -> str:
        """An ``<img>`` of the counts."""
        for pair, bars, labels in zip(counts.values(), self._bars, self._labels, strict=True):
            for count, bar, label in zip(pair, bars, labels, strict=True):
                bar.set_height(float(count))
                label.set_y(float(count))
                label.set_text(str(count))
                label.set_fontweight("bold" if pair[0] != pair[1] else "normal")
        told = "; ".join(
            tr("{name} {left} left, {right} right", name=name, left=left, right=right)
            for name, (left, right) in counts.items()
        )
        return self._picture.to_html(tr("Atoms counted on both sides: {told}.", told=told))

    def _draw(self) -> None:
        from matplotlib.ticker import MaxNLocator

        axes = self._picture.axes
        axes.set(
            xlim=(-0.6, len(self.elements) - 0.4),
            ylim=(-self._limit if CHARGE in self.elements else 0.0, self._limit),
            xticks=range(len(self.elements)),
            xticklabels=self.elements,
            ylabel=tr("count"),
        )
        axes.grid(axis="x", visible=False)
        axes.yaxis.set_major_locator(MaxNLocator(nbins=6, integer=True))
        axes.axhline(0, color=look.FAINT, linewidth=1)
        axes.tick_params(axis="x", labelsize=12)
        places = range(len(self.elements))
        left = axes.bar(
            [x - 0.19 for x in places], 1, 0.34, color=look.ACCENT, label=tr("left side")
        )
        right = axes.bar(
            [x + 0.19 for x in places], 1, 0.34, color=look.CONTRAST, hatch="///",
            edgecolor=look.PAPER, label=tr("right side"),
        )  # fmt: skip
        self._bars = list(zip(left, right, strict=True))
        self._labels = [
            tuple(axes.text(x + shift, 0, "", ha="center", va="bottom") for shift in (-0.19, 0.19))
            for x in range(len(self.elements))
        ]
        axes.legend(loc="upper left", bbox_to_anchor=(1.0, 1.0))
        bars = [bar for pair in self._bars for bar in pair]
        self._picture.moving(*bars, *(label for pair in self._labels for label in pair))


def _highest(counts: Counts) -> float:
    return (
        max((abs(float(count)) for pair in counts.values() for count in pair), default=1.0) or 1.0
    )
