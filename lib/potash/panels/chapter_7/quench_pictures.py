"""Pictures of a quench over time: temperature, what waits and what is left, hydrogen."""

from typing import Any

import numpy as np

from potash.panels.frame import look
from potash.panels.frame.pictures import Picture, round_up, styled
from potash.quenching import QuenchCourse
from potash.units import show
from potash.words import tr

_ROOMY = 4.0  # times as wide as its curve an axis may be


class QuenchPicture:
    """Three strips that share the time; the picture is kept and its lines are moved.

    Temperature with what a cooling failure would make of it; metal left and alcohol waiting beside
    it; hydrogen as it leaves.
    """

    def __init__(self) -> None:
        self._picture = Picture(height=500)
        self._limits: tuple[float, ...] = ()
        with styled():
            self._picture.axes.remove()
            self._strips = self._picture.figure.subplots(
                3, 1, sharex=True, height_ratios=(2.6, 1.8, 1.4)
            )
            self._lines = self._empty_lines()
            self._words()
        self._picture.moving(*self._lines)

    def to_html(self, course: QuenchCourse) -> str:
        """An ``<img>`` of ``course``."""
        self._fit(course)
        minutes = course.time.m_as("min")
        metal = course.metal.m / course.metal.m[0] * 100
        boiling = course.quench.lowest_boiling[1] - 273.15
        curves = (
            course.temperature.m,
            course.after_cooling_failure.m,
            np.full_like(minutes, boiling),
            metal,
            course.accumulated.m,
            course.hydrogen_flow.m,
        )
        for line, values in zip(self._lines, curves, strict=True):
            line.set_data(minutes, values)
        return self._picture.to_html(_in_words(course))

    def _empty_lines(self) -> list[Any]:
        top, middle, low = self._strips
        styles = (
            (top, look.INK, "-", 2.2, tr("temperature")),
            (top, look.WARNING, (0, (5, 2)), 2.0, tr("if cooling failed then")),
            (top, look.FAINT, (0, (1, 2)), 1.6, tr("first boiling point")),
            (middle, look.ACCENT, "-", 2.2, tr("metal left")),
            (middle, look.WARNING, (0, (5, 2)), 1.8, tr("with alcohol waiting")),
            (low, look.CONTRAST, "-", 1.8, tr("hydrogen")),
        )
        return [
            strip.plot([], [], color=hue, linestyle=dash, linewidth=width, label=name)[0]
            for strip, hue, dash, width, name in styles
        ]

    def _words(self) -> None:
        top, middle, low = self._strips
        top.set(ylabel="°C")
        middle.set(ylabel=tr("% of metal"), ylim=(0, 105))
        low.set(ylabel="H₂, mL/min", xlabel=tr("time from the first drop, min"))
        for strip in (top, middle):
            strip.legend(loc="upper left", bbox_to_anchor=(1.0, 1.0), fontsize=8.5)

    def _fit(self, course: QuenchCourse) -> None:
        """Limits are drawn anew, which takes long, only when a curve outgrows or drowns in them."""
        reach = (
            float(course.time.m[-1]),
            max(float(course.after_cooling_failure.m.max()), 90.0),
            float(course.hydrogen_flow.m.max()),
            max(-float(course.temperature.m.min()), 0.0),
        )
        within = zip(reach, self._limits, strict=False)
        if self._limits and all(value <= limit <= _ROOMY * value + 1 for value, limit in within):
            return
        end, hottest, gas, coldest = reach
        self._limits = (
            round_up(1.2 * end),
            20 * np.ceil((hottest + 5) / 20),
            round_up(1.5 * gas),
            10 * np.ceil(coldest / 10),
        )
        top, _, low = self._strips
        top.set(xlim=(0, self._limits[0]), ylim=(-self._limits[3], self._limits[1]))
        low.set(ylim=(0, self._limits[2]))
        self._picture.settle()


def _in_words(course: QuenchCourse) -> str:
    told = "; ".join(f"{label.lower()} {value}" for label, value in course.rows())
    waiting = float(course.accumulated.m.max())
    return tr(
        "A quench of {metal} of {course} over time: {told}. At most {waiting:.0f} % of the metal "
        "has alcohol waiting beside it. Teaching values.",
        metal=show(course.metal[0]),
        course=course.quench.metal,
        told=told,
        waiting=waiting,
    )
