"""An uncertainty budget as bars: which input matters most."""

import numpy as np

from potash.panels.frame import look
from potash.panels.frame.pictures import Picture, styled
from potash.words import tr
from potash.yields import Result


def budget_picture(found: Result) -> str:
    """An ``<img>`` of the budget, the largest share of variance on top."""
    lines = found.budget[:8]
    picture = Picture(height=70 + 32 * max(len(lines), 1))
    places = np.arange(len(lines))[::-1]
    shares = [100 * one.share for one in lines]
    with styled():
        axes = picture.axes
        axes.barh(places, shares, height=0.6, color=look.ACCENT, hatch="//", edgecolor=look.PAPER)
        axes.set_yticks(places, [one.name for one in lines])
        axes.set(xlim=(0, 100), xlabel=tr("share of the variance, %"))
        axes.grid(axis="y", visible=False)
    told = "; ".join(f"{one.name} {share:.0f} %" for one, share in zip(lines, shares, strict=True))
    return picture.to_html(
        tr("What the uncertainty of {name} comes from: {told}.", name=found.name.lower(), told=told)
    )
