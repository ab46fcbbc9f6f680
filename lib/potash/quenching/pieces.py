"""Shrinking spheres: how long a piece of metal takes, in closed form."""

import math
from typing import Any

from potash.units import Quantity, magnitude


def piece_count(mass: float, diameter: float, density: float) -> float:
    """Number of equal spheres of ``diameter`` (m) that ``mass`` (kg) makes; at least one."""
    one = density * math.pi * diameter**3 / 6
    return float(max(mass / one, 1.0))


def piece_radius(mass: float, diameter: float, density: float) -> float:
    """Radius (m) of each sphere; the diameter cannot exceed that of one piece of all the metal."""
    whole = (6 * mass / (math.pi * density)) ** (1 / 3)
    return float(min(diameter, whole) / 2)


def time_until_gone(diameter: Any, recession: Any) -> Quantity:
    r"""Time in which a sphere of ``diameter`` is gone when its surface recedes at ``recession``.

    .. math:: t = r_0 / v

    At a constant concentration the rate per area is constant, so the radius falls linearly and
    the volume left is :math:`(1 - t/t_{end})^3`.

    Parameters: diameter, a length; recession, a velocity.
    Returns: time (min). Raises: OutOfBounds, UnreadableQuantity, WrongDimension.
    Source: Levenspiel, Chemical Reaction Engineering, 3rd ed. (1999), shrinking particle with
    reaction control, eq. 25.23 and following (from memory).
    """
    d = magnitude("diameter", diameter, "m", above=0)
    v = magnitude("recession", recession, "m/s", above=0)
    return Quantity(d / 2 / v / 60, "min")


def share_left(time: float, end: float) -> float:
    """Share of a sphere's mass left at ``time``, of ``end`` in the same unit (0 to 1)."""
    return float(max(1 - time / end, 0.0) ** 3)
