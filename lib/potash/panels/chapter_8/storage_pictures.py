"""The crust on a stored metal over time, with its band, its limit and the few-months rule."""

from typing import Any

import numpy as np

from potash.panels.frame import look
from potash.panels.frame.pictures import Picture, round_up, styled
from potash.storage import Discard
from potash.storage.ingress import rule
from potash.units import Quantity, show
from potash.words import tr

_DAYS = 365.0


class CrustPicture:
    """Likely crust, its band of two standard deviations, and both things that can decide.

    The frame is drawn once for each metal; a change of keeping moves line and band.
    """

    def __init__(self) -> None:
        self._metal = ""

    def to_html(self, found: Discard) -> str:
        """An ``<img>`` of ``found``."""
        if found.keeping.metal != self._metal:
            self._begin(found)
        # The crust grows evenly: two points make its line, three its band.
        likely = float(found.crust(Quantity(_DAYS, "day")).m_as("um"))
        spread = found.keeping.factor**2
        self._line.set_data([0, _DAYS], [0, likely])
        self._band.set_xy(
            np.array([(0, 0), (_DAYS, likely * spread), (_DAYS, likely / spread), (0, 0)])
        )
        return self._picture.to_html(_in_words(found))

    def _begin(self, found: Discard) -> None:
        self._metal = found.keeping.metal
        self._picture = Picture(height=330)
        limit = float(found.crust_limit.m_as("um"))
        cue = look.METALS[self._metal]
        with styled():
            axes = self._picture.axes
            axes.set(
                xlim=(0, _DAYS),
                ylim=(0, round_up(limit * 3)),
                xlabel=tr("days since it was put away"),
                ylabel=tr("crust, µm"),
            )
            self._band: Any = axes.fill([0], [0], color=cue.hue, alpha=0.18, label=tr("19 of 20"))[
                0
            ]
            (self._line,) = axes.plot([], [], color=cue.hue, label=tr("likely crust"))
            dash, dots = (0, (5, 2)), (0, (1, 1.5))
            axes.axhline(limit, color=look.INK, linestyle=dash, label=tr("discarded at"))
            axes.axvline(
                rule("few_months"), color=look.WARNING, linestyle=dots, label=tr("rule of 3 months")
            )
            axes.legend(loc="upper left", bbox_to_anchor=(1.0, 1.0), fontsize=8.5)
        self._picture.moving(self._band, self._line)


def _in_words(found: Discard) -> str:
    return (
        tr("Crust on {metal} over a year: ", metal=found.keeping.metal)
        + "; ".join(f"{label.lower()} {value}" for label, value in found.rows())
        + tr(". After 90 days it is likely {crust} thick.", crust=show(found.crust("90 day")))
    )
