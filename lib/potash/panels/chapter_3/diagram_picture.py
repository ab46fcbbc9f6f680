"""The picture of a Gibbs energy diagram, with a cursor over temperature and one pair picked out."""

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np

from potash.diagrams import PER_OXIDANT, ROOM, Exchange, Line
from potash.formulas import lowered
from potash.panels.frame import look
from potash.panels.frame.look import MetalCue
from potash.panels.frame.pictures import Picture, styled
from potash.properties.curves import Floats
from potash.words import tr

LOWEST, HIGHEST = 300.0, 2400.0  # K

_POINTS = 300
_THIN, _THICK = 1.4, 3.2
_LABEL_SHARE = 0.042  # of the axis: what a label needs so as not to run into the next one

# Elements other than the alkali metals have no flame hue: quiet inks, told apart by dash and label.
OTHERS = {
    "Mg": MetalCue("#2f6b2f", "p", (5, 1.5)),
    "Ca": MetalCue("#9a4a00", "h", (9, 2, 2, 2)),
    "Al": MetalCue("#5b6478", "P", (1.5, 1)),
    "Si": MetalCue("#0a6e6e", "X", (4, 1, 1, 1)),
    "Fe": MetalCue("#7a4a35", "d", (7, 3)),
    "C": MetalCue("#1d2433", "*", (3, 1)),
    "H2": MetalCue("#3b6fa0", "<", (1, 1.5)),
}


def cue(element: str) -> MetalCue:
    """How the line of an element is told apart."""
    return look.METALS.get(element) or OTHERS[element]


class DiagramPicture:
    """All lines of one family, for one mole of the shared gas or of the element's atoms."""

    def __init__(self, lines: Sequence[Line], per: str) -> None:
        self.lines = lines
        self.per = per
        self._pair: tuple[str, str] = ("", "")
        self._picture = Picture(width=780, height=440)
        self._drawn: dict[str, list[Any]] = {}
        with styled():
            self._draw_lines()
            self._draw_cursor()
        self._picture.moving(self._cursor, self._gap, *self._dots)

    def pick_out(self, exchange: Exchange) -> None:
        """Draw the two lines of ``exchange`` thick."""
        pair = (exchange.taker.compound, exchange.giver.compound)
        if pair == self._pair:
            return
        self._pair = pair
        for compound, artists in self._drawn.items():
            for artist in artists:
                artist.set_linewidth(_THICK if compound in pair else _THIN)
        self._picture.settle()

    def to_html(self, T: float, alternative: str) -> str:
        """An ``<img>`` with the cursor at ``T`` (K)."""
        values = [float(line.gibbs_energy_si(T, self.per)) / 1e3 for line in self.lines]
        self._cursor.set_xdata([T, T])
        for dot, value in zip(self._dots, values, strict=True):
            dot.set_data([T], [value])
        ends = [
            value
            for line, value in zip(self.lines, values, strict=True)
            if line.compound in self._pair
        ]
        self._gap.set_data([T] * len(ends), ends)
        return self._picture.to_html(alternative)

    def _draw_lines(self) -> None:
        axes = self._picture.axes
        T = np.linspace(ROOM, HIGHEST, _POINTS)
        values = {line.compound: line.gibbs_energy_si(T, self.per) / 1e3 for line in self.lines}
        for line in self.lines:
            drawn = cue(line.element)
            (artist,) = axes.plot(
                T, values[line.compound], color=drawn.hue, linewidth=_THIN,
                linestyle=(0, drawn.dash) if drawn.dash else "-",
            )  # fmt: skip
            self._drawn[line.compound] = [artist]
            if line.is_point:
                self._draw_point(line, float(values[line.compound][0]))
            else:
                self._mark(line)
        low, high = _limits(values.values())
        unit = (
            tr("mole of {gas}", gas=lowered(self.lines[0].gas))
            if self.per == PER_OXIDANT
            else tr("mole of atoms")
        )
        axes.set(
            xlim=(ROOM - 10, HIGHEST + 10), ylim=(low, high),
            xlabel=tr("temperature, K"), ylabel=tr("ΔG of formation, kJ per {unit}", unit=unit),
        )  # fmt: skip
        self._label_ends(T, values, high - low)

    def _draw_point(self, line: Line, value: float) -> None:
        drawn = cue(line.element)
        self._picture.axes.plot([ROOM], [value], drawn.marker, color=drawn.hue)
        self._picture.axes.annotate(
            tr("{compound} (298 K only)", compound=lowered(line.compound)),
            (ROOM, value), xytext=(7, 7),
            textcoords="offset points", fontsize=8.5, color=drawn.hue, fontweight="bold",
        )  # fmt: skip

    def _mark(self, line: Line) -> None:
        factor = 1.0 if self.per == PER_OXIDANT else line.per_atom / line.per_oxidant
        for mark in line.marks:
            T = mark.temperature.m_as("K")
            if ROOM < T < HIGHEST:
                self._picture.axes.text(
                    T, factor * mark.gibbs_energy.m_as("kJ/mol"), mark.label, fontsize=7.5,
                    fontweight="bold", ha="center", va="center", color=cue(line.element).hue,
                    bbox={"facecolor": look.PAPER, "edgecolor": "none", "pad": 0.6, "alpha": 0.85},
                )  # fmt: skip

    def _label_ends(self, T: Floats, values: dict[str, Floats], height: float) -> None:
        """Names beside the right ends, moved apart where they would run into each other."""
        ends = []
        for line in self.lines:
            if not line.is_point:
                known = np.flatnonzero(np.isfinite(values[line.compound]))
                ends.append((float(values[line.compound][known[-1]]), float(T[known[-1]]), line))
        ends.sort(key=lambda end: end[0])
        places = _spread([value for value, _, _ in ends], _LABEL_SHARE * height)
        for (value, end, line), place in zip(ends, places, strict=True):
            self._picture.axes.annotate(
                lowered(line.compound), xy=(end, value), xytext=(HIGHEST + 45, place),
                fontsize=8.5, va="center", color=cue(line.element).hue, fontweight="bold",
                annotation_clip=False,
                arrowprops={"arrowstyle": "-", "color": look.FAINT, "linewidth": 0.5, "shrinkB": 1},
            )  # fmt: skip

    def _draw_cursor(self) -> None:
        axes = self._picture.axes
        self._cursor = axes.axvline(LOWEST, color=look.INK, linewidth=1.0)
        (self._gap,) = axes.plot([], [], color=look.ACCENT, linewidth=5, alpha=0.55, zorder=4)
        self._dots = [
            axes.plot(
                [], [], cue(line.element).marker, color=cue(line.element).hue,
                markeredgecolor=look.PAPER, markersize=7, zorder=5,
            )[0]
            for line in self.lines
        ]  # fmt: skip


def _limits(values: Iterable[Floats]) -> tuple[float, float]:
    """Calm limits in steps of 50 that hold all lines."""
    every = np.concatenate(list(values))
    low, high = np.nanmin(every), max(float(np.nanmax(every)), 0.0)
    return 50 * float(np.floor((low - 10) / 50)), 50 * float(np.ceil((high + 10) / 50))


def _spread(values: Sequence[float], least: float) -> list[float]:
    """Rising ``values`` moved as little as needed to stand ``least`` apart."""
    places = list(values)
    for _ in range(200):
        moved = False
        for i in range(len(places) - 1):
            missing = least - (places[i + 1] - places[i])
            if missing > 1e-6:
                places[i] -= missing / 2
                places[i + 1] += missing / 2
                moved = True
        if not moved:
            break
    return places
