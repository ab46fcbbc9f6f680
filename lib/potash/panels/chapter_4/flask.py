"""The flask with its beads: each moves at a speed true to the others'."""

import math
from html import escape

from potash.beads import BeadMotion
from potash.units import show
from potash.words import tr

WIDTH, HEIGHT = 330, 300  # CSS pixels
_DEPTH = 0.060  # m of liquid that the drawing shows
_TOP, _BOTTOM = 40.0, 270.0
_PER_METRE = (_BOTTOM - _TOP) / _DEPTH
_SHORTEST = 1.5  # s for the fastest bead from end to end; life is slowed where it is faster
_SMALLEST = 2.0  # pixels of radius, so that a tiny bead is seen at all


def to_html(beads: list[BeadMotion], hue: str) -> str:
    """An inline drawing that moves; where motion is unwelcome it stands still.

    A standing bead shows how far it has come when the fastest is at the end of its way.
    """
    fastest = max(bead.velocity.m_as("m/s") for bead in beads)
    slowed = _slowed(fastest)
    columns = "".join(_bead(bead, i, beads, hue, slowed) for i, bead in enumerate(beads))
    words = escape(_in_words(beads))
    pace = (
        tr("true to life") if slowed == 1 else tr("{slowed} times slower than life", slowed=slowed)
    )
    drawn = tr(
        "6 cm of liquid, {pace}; the smallest beads are drawn larger than they are.", pace=pace
    )
    return (
        f'<figure class="potash-flask"><svg width="{WIDTH}" height="{HEIGHT}" role="img" '
        f'aria-label="{words}" viewBox="0 0 {WIDTH} {HEIGHT}">{_vessel()}{columns}</svg>'
        f"<figcaption>{escape(drawn)}</figcaption></figure>"
    )


def _slowed(fastest: float) -> int:
    if fastest <= 0:
        return 1
    return max(1, math.ceil(_SHORTEST / (_DEPTH / fastest)))


def _vessel() -> str:
    right = WIDTH - 14
    return (
        f'<path class="potash-liquid" d="M14 {_TOP - 14} H{right} V{_BOTTOM + 14} H14 Z"/>'
        f'<path class="potash-glass" d="M14 12 V{_BOTTOM + 14} H{right} V12"/>'
        f'<path class="potash-solids" d="M14 {_BOTTOM + 6} H{right} V{_BOTTOM + 14} H14 Z"/>'
    )


def _bead(bead: BeadMotion, i: int, beads: list[BeadMotion], hue: str, slowed: int) -> str:
    x = 14 + (WIDTH - 28) * (i + 0.5) / len(beads)
    radius = max(_SMALLEST, bead.diameter.m_as("m") * _PER_METRE / 2)
    label = escape(show(bead.diameter, 1, "mm"))
    text = f'<text x="{x:.0f}" y="{HEIGHT - 2}" class="potash-size">{label}</text>'
    if bead.direction == "too close to call" or bead.velocity.magnitude == 0:
        middle = (_TOP + _BOTTOM) / 2
        return f'<circle cx="{x:.0f}" cy="{middle:.0f}" r="{radius:.1f}" fill="{hue}"/>{text}'
    rises = bead.direction == "rises"
    start, way = (_BOTTOM, _TOP - _BOTTOM) if rises else (_TOP, _BOTTOM - _TOP)
    fastest = max(other.velocity.m_as("m/s") for other in beads)
    speed = bead.velocity.m_as("m/s")
    seconds = slowed * _DEPTH / speed
    return (
        f'<circle class="potash-bead" cx="{x:.0f}" cy="{start:.0f}" r="{radius:.1f}" fill="{hue}" '
        f'style="--potash-way:{way:.0f}px;--potash-standing:{way * speed / fastest:.1f}px;'
        f'animation-duration:{seconds:.2f}s"/>{text}'
    )


def _in_words(beads: list[BeadMotion]) -> str:
    one = beads[0]
    speeds = "; ".join(
        tr(
            "{diameter} at {velocity}",
            diameter=show(bead.diameter, 1, "mm"),
            velocity=show(bead.velocity, 2, "mm/s"),
        )
        for bead in beads
    )
    sense = {"rises": tr("rise"), "sinks": tr("sink")}.get(one.direction, "hang: too close to call")
    return tr(
        "Beads of {metal} in {liquid} {sense}. {speeds}.",
        metal=one.metal,
        liquid=one.liquid,
        sense=sense,
        speeds=speeds,
    )
