"""The crust on a stored metal over time, with its band, its limit and the few-months rule."""

import numpy as np

from potash.panels import look
from potash.panels.pictures import Picture, round_up, styled
from potash.storage import Discard
from potash.storage.ingress import rule
from potash.units import Quantity, show


class CrustPicture:
    """One keeping: likely crust, band of two standard deviations, and both things that can decide.

    The band is drawn anew with each keeping; frame and words stay while the limits do.
    """

    def __init__(self) -> None:
        self._days = np.linspace(0, 365, 60)

    def to_html(self, found: Discard) -> str:
        """An ``<img>`` of ``found``."""
        picture = Picture(height=330)
        likely = np.asarray(found.crust(Quantity(self._days, "day")).m_as("um"))
        spread = found.keeping.factor**2
        limit = float(found.crust_limit.m_as("um"))
        cue = look.METALS[found.keeping.metal]
        with styled():
            axes = picture.axes
            axes.fill_between(
                self._days, likely / spread, likely * spread, color=cue.hue, alpha=0.18, linewidth=0
            )
            axes.plot(self._days, likely, color=cue.hue, label="likely crust")
            axes.axhline(limit, color=look.INK, linestyle=(0, (5, 2)), label="discarded at")
            axes.axvline(
                rule("few_months"),
                color=look.WARNING,
                linestyle=(0, (1, 1.5)),
                label="rule of 3 months",
            )
            axes.set(
                xlim=(0, 365),
                ylim=(0, round_up(limit * 3)),
                xlabel="days since it was put away",
                ylabel="crust, µm",
            )
            axes.legend(loc="upper left", bbox_to_anchor=(1.0, 1.0), fontsize=8.5)
        return picture.to_html(_in_words(found))


def _in_words(found: Discard) -> str:
    return (
        f"Crust on {found.keeping.metal} over a year: "
        + "; ".join(f"{label.lower()} {value}" for label, value in found.rows())
        + f". After 90 days it is likely {show(found.crust('90 day'))} thick."
    )
