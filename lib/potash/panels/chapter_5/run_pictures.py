"""Pictures of a run: metal, alkoxide and gas over time up to the present moment; and its spread."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from potash.kinetics import Run
from potash.panels.frame import look
from potash.panels.frame.pictures import Picture, round_up, styled
from potash.units import show
from potash.whatif import Bar
from potash.words import tr

_OTHERS = (("#6b7280", (5, 2)), ("#9aa1ad", (1, 1.5)))  # runs kept to compare, in grey


class RunPicture:
    """One run as far as it has gone, over up to two that were kept.

    Three strips share the time: metal and crust as shares, alkoxide in solution, hydrogen flow.
    Only what lies before the present moment is drawn, so that a dose is decided on what is seen.
    """

    def __init__(self, run: Run, metal: str, kept: Sequence[Run] = ()) -> None:
        self.run = run
        self.metal = metal
        self._minutes = run.time.m_as("min")
        self._curves = _curves(run)
        self._picture = Picture(height=400)
        with styled():
            self._picture.axes.remove()
            self._strips = self._picture.figure.subplots(
                3, 1, sharex=True, height_ratios=(3, 1.5, 1.8)
            )
            self._frame(kept)
            self._lines = self._empty_lines()
            self._keep(kept)
            self._cursors = [
                strip.axvline(0, color=look.INK, linewidth=1.1) for strip in self._strips
            ]
            self._drops = self._strips[1].plot([], [], "v", color=look.WARNING, markersize=8)[0]
            self._strips[0].legend(loc="upper left", ncols=2, fontsize=8.5)
        self._picture.moving(*self._lines, *self._cursors, self._drops)
        self._settle_with_everything_drawn()

    def to_html(self, minutes: float) -> str:
        """An ``<img>`` of the run up to ``minutes`` from its start."""
        until = int(np.searchsorted(self._minutes, minutes + 1e-9, side="right"))
        for line, values in zip(self._lines, self._curves, strict=True):
            line.set_data(self._minutes[:until], values[:until])
        for cursor in self._cursors:
            cursor.set_xdata([minutes, minutes])
        given = [dose.time.m_as("min") for dose in self.run.doses]
        seen = [at for at in given if at <= minutes]
        self._drops.set_data(seen, [0.0] * len(seen))
        return self._picture.to_html(self._in_words(minutes, len(seen)))

    def _settle_with_everything_drawn(self) -> None:
        # The picture takes its shades from its first frame: a curve that is not there yet would
        # come out in another hue later.
        for line, values in zip(self._lines, self._curves, strict=True):
            line.set_data(self._minutes, values)
        self._drops.set_data([self._minutes[-1] / 2], [0.0])
        self._picture.settle()

    def _frame(self, kept: Sequence[Run]) -> None:
        runs = [_curves(one) for one in (self.run, *kept)]
        top, middle, low = self._strips
        end = float(self._minutes[-1])
        top.set(xlim=(-0.02 * end, 1.01 * end), ylim=(0, 108), ylabel=tr("% of most metal"))
        middle.set(ylim=(-0.12 * _most(runs, 2), 1.1 * _most(runs, 2)), ylabel="mmol")
        middle.set_title(tr("alkoxide in solution; ▼ a dose"), loc="left", fontsize=9, pad=3)
        low.set(
            ylim=(0, 1.1 * _most(runs, 3)), ylabel="mL/min", xlabel=tr("time from heating, min")
        )
        low.set_title(tr("hydrogen at the vent"), loc="left", fontsize=9, pad=3)

    def _keep(self, kept: Sequence[Run]) -> None:
        for one, (hue, dash) in zip(kept, _OTHERS, strict=False):
            curves = _curves(one)
            minutes = one.time.m_as("min")
            for strip, at in zip(self._strips, (0, 2, 3), strict=True):
                strip.plot(
                    minutes, curves[at], color=hue, linestyle=(0, dash), linewidth=1.3,
                    label=tr("kept: {plan}", plan=one.plan.title) if at == 0 else None,
                )  # fmt: skip

    def _empty_lines(self) -> list[Any]:
        cue = look.METALS[self.metal]
        dash = (0, cue.dash) if cue.dash else "-"
        top, middle, low = self._strips
        return [
            top.plot([], [], color=cue.hue, linestyle=dash, linewidth=2.6, label=self.metal)[0],
            top.plot([], [], color=look.WARNING, linewidth=1.6, label=tr("lost to crust"))[0],
            middle.plot([], [], color=look.ACCENT, linewidth=1.8)[0],
            low.plot([], [], color=look.CONTRAST, linewidth=1.8)[0],
        ]

    def _in_words(self, minutes: float, doses: int) -> str:
        metal, crust, alkoxide, flow = (
            float(np.interp(minutes, self._minutes, values)) for values in self._curves
        )
        return tr(
            "The run {plan} up to {minutes:.0f} min: doses given {doses}; metal {metal:.1f} % of "
            "what the charge can give, {crust:.1f} % lost to crust, alkoxide in solution "
            "{alkoxide:.2f} mmol, hydrogen {flow:.1f} mL/min.",
            plan=self.run.plan.title,
            minutes=minutes,
            doses=doses,
            metal=metal,
            crust=crust,
            alkoxide=alkoxide,
            flow=flow,
        )


class TornadoPicture:
    """What moves an outcome: a bar for each input, low and high, the longest on top."""

    def __init__(self, bars: Sequence[Bar], central: float, outcome: str, unit: str) -> None:
        self.bars = list(bars)[:8]
        self.outcome, self.unit = outcome, unit
        self._picture = Picture(height=90 + 34 * len(self.bars))
        with styled():
            self._draw(central)

    def _draw(self, central: float) -> None:
        axes = self._picture.axes
        places = np.arange(len(self.bars))[::-1]
        for side, hue, hatch in (("low", look.CONTRAST, "///"), ("high", look.ACCENT, "")):
            ends = np.array([float(getattr(bar, side).magnitude) for bar in self.bars])
            axes.barh(
                places, ends - central, left=central, height=0.62, color=hue, hatch=hatch,
                edgecolor=look.PAPER, label=tr("input {side}", side=side),
            )  # fmt: skip
        axes.axvline(central, color=look.INK, linewidth=1.2)
        axes.set_yticks(places, [bar.tolerance.sentence for bar in self.bars])
        axes.set(xlabel=f"{self.outcome}, {self.unit}")
        axes.grid(axis="y", visible=False)
        self._picture.figure.legend(loc="outside upper right", ncols=2, fontsize=8.5)

    def to_html(self) -> str:
        """An ``<img>`` of the bars, the longest told in words."""
        told = "; ".join(
            tr(
                "{sentence} {low} to {high}",
                sentence=bar.tolerance.sentence,
                low=show(bar.low),
                high=show(bar.high),
            )
            for bar in self.bars[:4]
        )
        return self._picture.to_html(
            tr("What moves the {outcome} most: {told}.", outcome=self.outcome, told=told)
        )


class SpreadPicture:
    """A histogram of an outcome over many runs, with the middle 95 % marked."""

    def __init__(self, values: Sequence[float], low: float, high: float, label: str) -> None:
        self.label, self.low, self.high = label, low, high
        self.runs = len(values)
        self._picture = Picture(width=640, height=230)
        with styled():
            axes = self._picture.axes
            axes.hist(values, bins=min(30, max(6, self.runs // 8)), color=look.ACCENT, alpha=0.75)
            for edge in (low, high):
                axes.axvline(edge, color=look.INK, linestyle=(0, (4, 2)), linewidth=1.3)
            axes.set(xlabel=label, ylabel=tr("runs"))

    def to_html(self) -> str:
        """An ``<img>`` of the histogram, its middle told in words."""
        return self._picture.to_html(
            tr(
                "{label} in {runs} runs: 19 of 20 lie between {low:.1f} and {high:.1f}.",
                label=self.label,
                runs=self.runs,
                low=self.low,
                high=self.high,
            )
        )


def _curves(run: Run) -> tuple[Any, Any, Any, Any]:
    """Metal and metal lost to crust (percent), alkoxide (mmol), gas flow (mL/min)."""
    crust = 100 * run.amounts["crust"].m_as("mol") / max(run.most_metal.m_as("mol"), 1e-12)
    return (
        run.metal_yield.m_as("percent"),
        crust,
        run.amounts["alkoxide"].m_as("mmol"),
        run.gas_flow.m_as("mL/min"),
    )


def _most(runs: Sequence[tuple[Any, ...]], at: int) -> float:
    return round_up(max(float(np.max(curves[at])) for curves in runs) or 1.0)
