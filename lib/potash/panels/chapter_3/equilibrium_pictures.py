"""Pictures of a retort: amounts over temperature or pressure, and vapour pressures."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from potash.formulas import lowered
from potash.panels.chapter_3.diagram_picture import cue
from potash.panels.frame import look
from potash.panels.frame.pictures import Picture, styled
from potash.retorts import AmountsOver, VapourCurve
from potash.words import tr

# A species is told by hue and by dash: no two share both.
_HUES = (look.CONTRAST, look.WARNING, "#3b6fa0", "#5b6478", "#7a4a35", look.ACCENT)
_DASHES: tuple[Any, ...] = ("-", (0, (5, 2)), (0, (1.5, 1.2)), (0, (7, 2, 1.5, 2)))
_LEAST = 0.02  # of the largest amount; what never comes to that is left out of the picture

Key = tuple[str, bool]


class AmountsPicture:
    """Lines of fixed species, whose values follow a slider; their sweep may be over T or p."""

    def __init__(self, sweeps: Sequence[AmountsOver]) -> None:
        first, self.species = sweeps[0], shown_species(sweeps)
        most = max(float(moles.max()) for one in sweeps for moles in one.amounts.values())
        self._over_temperature = bool(np.ptp(first.temperature.m_as("K")) > 0)
        self._picture = Picture(width=800, height=380)
        x = self._x(first)
        with styled():
            axes = self._picture.axes
            self._lines = [self._line(x, key, i) for i, key in enumerate(self.species)]
            self._where = axes.axvline(x[0], color=look.INK, linewidth=1.0, linestyle=(0, (4, 3)))
            axes.legend(loc="upper left", bbox_to_anchor=(1.0, 1.0), handlelength=3.4, fontsize=9)
            axes.set(
                xlim=(x[0], x[-1]), ylim=(-0.03 * most, 1.08 * most), ylabel=tr("amount, mol"),
                xlabel=tr("temperature, K") if self._over_temperature else tr("pressure, bar"),
            )  # fmt: skip
            if not self._over_temperature:
                axes.set_xscale("log")
        self._picture.moving(*self._lines, self._where)

    def to_html(self, swept: AmountsOver, mark: float | None, alternative: str) -> str:
        """An ``<img>`` of ``swept`` with a line at ``mark``, K or bar."""
        nothing = np.zeros(len(swept.metal_vapour))
        for line, key in zip(self._lines, self.species, strict=True):
            line.set_ydata(swept.amounts.get(key, nothing))
        self._where.set_xdata([np.nan if mark is None else mark] * 2)
        return self._picture.to_html(alternative)

    def _x(self, swept: AmountsOver) -> Any:
        if self._over_temperature:
            return swept.temperature.m_as("K")
        return swept.pressure.m_as("bar")

    def _line(self, x: Any, key: Key, number: int) -> Any:
        formula, is_vapour = key
        hue = _HUES[number % len(_HUES)]
        dash = _DASHES[number // len(_HUES) % 2 * 2 + is_vapour]
        width = 1.8
        if is_vapour and formula.rstrip("2") in look.METALS:
            hue, width = cue(formula.rstrip("2")).hue, 2.6
        (line,) = self._picture.axes.plot(
            x, np.zeros(len(x)), color=hue, linestyle=dash, linewidth=width, label=told(key)
        )
        return line


class VapourPicture:
    """The pressure of the vapours over a charge, with the pressure of the vessel across it."""

    def __init__(self, curve: VapourCurve, metal: str, lowest: float, highest: float) -> None:
        self._picture = Picture(width=800, height=300)
        drawn = cue(metal)
        T, total, vapour = _smooth(curve)
        with styled():
            axes = self._picture.axes
            axes.semilogy(T, total, color=look.INK, label=tr("all vapours"))
            axes.semilogy(
                T, vapour, color=drawn.hue, linewidth=2.6, label=tr("{metal} vapour", metal=metal),
                linestyle=(0, drawn.dash or (5, 2)),
            )  # fmt: skip
            self._level = axes.axhline(
                1.0, color=look.WARNING, linewidth=1.4, label=tr("pressure of the vessel")
            )
            self._place = axes.axvline(lowest, color=look.WARNING, linewidth=1.0, linestyle=":")
            axes.legend(loc="upper left", bbox_to_anchor=(1.0, 1.0), handlelength=3.4, fontsize=9)
            axes.set(
                xlim=(lowest, highest), xlabel=tr("temperature, K"),
                ylabel=tr("vapour pressure, bar"),
            )  # fmt: skip
        self._picture.moving(self._level, self._place)

    def to_html(self, pressure: float | None, temperature: float | None, alternative: str) -> str:
        """An ``<img>`` with the vessel at ``pressure`` (bar) or at ``temperature`` (K)."""
        self._level.set_ydata([np.nan if pressure is None else pressure] * 2)
        self._place.set_xdata([np.nan if temperature is None else temperature] * 2)
        return self._picture.to_html(alternative)


def _smooth(curve: VapourCurve) -> tuple[Any, Any, Any]:
    """Points between those of ``curve``, where ln p is nearly straight over 1/T."""
    known = curve.temperature.m_as("K")
    T = np.linspace(known[0], known[-1], 80)
    total, metal = (
        np.exp(np.interp(-1 / T, -1 / known, np.log(pressure.m_as("bar"))))
        for pressure in (curve.total, curve.metal)
    )
    return T, total, metal


def shown_species(sweeps: Sequence[AmountsOver]) -> list[Key]:
    """The species that come to two per cent of the largest amount in any of ``sweeps``."""
    most: dict[Key, float] = {}
    for swept in sweeps:
        for key, moles in swept.amounts.items():
            most[key] = max(most.get(key, 0.0), float(moles.max()))
    largest = max(most.values())
    return sorted(
        (key for key, amount in most.items() if amount > _LEAST * largest),
        key=lambda key: (key[1], -most[key]),
    )


def told(key: Key) -> str:
    """A species with its state: "KCl, solid or melt", "K vapour"."""
    formula, is_vapour = key
    return lowered(formula) + (tr(" vapour") if is_vapour else tr(", solid or melt"))
