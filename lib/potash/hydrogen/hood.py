"""Hydrogen in a ventilated hood against a quarter of its lower flammable limit.

The air of the hood is taken as well mixed, and a mixing factor says how much less of the airflow
does that work. The gas that leaves the vent tube is above the limit near its mouth, whatever the
hood does: no number here makes an ignition source there acceptable.
"""

from dataclasses import dataclass, field
from html import escape

import numpy as np
from numpy.typing import NDArray

from potash.hydrogen.errors import NoVentilation
from potash.hydrogen.release import Release
from potash.units import Quantity, QuantityLike, magnitude, show
from potash.words import tr

LOWER_FLAMMABLE_LIMIT = 0.040
"""Hydrogen in air, volume fraction. Source: Zabetakis, US Bureau of Mines Bulletin 627 (1965)."""

DESIGN_SHARE = 0.25
"""Share of the limit that a design keeps below. Source: NFPA 69; common practice."""

SOURCES = (
    tr(
        "lower flammable limit of hydrogen in air, 4.0 vol%: Zabetakis, US Bureau of Mines "
        "Bulletin 627 (1965)"
    ),
    tr("design to 25 % of it: NFPA 69; common practice"),
    tr(
        "dilution of a well-mixed space with a mixing factor of 1 (ideal) to 10 (poor): ACGIH, "
        "Industrial Ventilation, from memory"
    ),
)
AT_THE_MOUTH = tr(
    "At the mouth of the vent tube the gas is flammable whatever the hood does: no ignition "
    "source belongs in the hood."
)


@dataclass(frozen=True, slots=True)
class HoodAir:
    """Hydrogen in the air of a hood over time.

    time (min) and fraction (percent by volume), shape (n,).
    worst, worst_time: the highest fraction at any moment and when.
    limit: what the design keeps below (percent by volume).
    needed: the smallest airflow, by the rule of ``smallest_airflow``.
    volume, airflow, mixing_factor: of the hood, as given.
    """

    time: Quantity = field(repr=False)
    fraction: Quantity = field(repr=False)
    worst: Quantity
    worst_time: Quantity
    limit: Quantity
    needed: Quantity
    volume: Quantity
    airflow: Quantity
    mixing_factor: float

    @property
    def within(self) -> bool:
        """Whether the worst moment stays below the limit, and would if it lasted."""
        below = self.worst.m_as("percent") < self.limit.m_as("percent")
        return bool(below and self.airflow >= self.needed)

    @property
    def words(self) -> str:
        """The verdict in a sentence, with its figures."""
        below = self.worst.m_as("percent") < self.limit.m_as("percent")
        told = tr(
            "In this model the hood's air {below} {limit} of hydrogen: at worst {worst}, at "
            "{worst_time}.",
            below=tr("stays below") if below else tr("passes"),
            limit=show(self.limit),
            worst=show(self.worst),
            worst_time=show(self.worst_time),
        )
        if self.airflow >= self.needed:
            return told
        return tr(
            "{told} The airflow of {airflow} is too small all the same: if the worst moment "
            "lasted, it would take {needed}.",
            told=told,
            airflow=show(self.airflow, unit="m^3/h"),
            needed=show(self.needed, unit="m^3/h"),
        )

    def _repr_html_(self) -> str:
        return f"<p>{escape(self.words)} {escape(AT_THE_MOUTH)}</p>"


def hood_air(
    release: Release,
    volume: QuantityLike,
    airflow: QuantityLike,
    *,
    mixing_factor: float = 5.0,
    share: QuantityLike | float = DESIGN_SHARE,
) -> HoodAir:
    r"""Hydrogen in the air of a hood, from a release whose points are joined by straight lines.

    .. math:: V \frac{dx}{dt} = G - \frac{Q}{K} x, \qquad x(0) = 0

    solved in closed form on each stretch, its highest moment within a stretch included.

    Parameters: release, G; volume of the hood, V, above 0; airflow that the fan draws, Q, above 0;
    mixing_factor, K, from 1 to 20; share of the lower flammable limit to keep below.
    Raises: NoVentilation, naming the airflow that would do; OutOfBounds and errors of units.
    Source: the balance of a well-mixed space; ACGIH, Industrial Ventilation, for K; the limit as in
    ``LOWER_FLAMMABLE_LIMIT``.
    """
    factor = _mixing_factor(mixing_factor)
    cubic_metres = magnitude("volume of the hood", volume, "m^3", above=0)
    limit = _limit(share)
    flow = _airflow(release, airflow, factor, limit)
    time, gas = release.floats()
    fraction = _fractions(time, gas, cubic_metres, flow / factor)
    worst, when = _highest(time, gas, fraction, cubic_metres, flow / factor)
    return HoodAir(
        time=Quantity(time / 60, "min"),
        fraction=Quantity(100 * fraction, "percent"),
        worst=Quantity(100 * worst, "percent"),
        worst_time=Quantity(when / 60, "min"),
        limit=Quantity(100 * limit, "percent"),
        needed=Quantity(_needed(gas, factor, limit), "m^3/s"),
        volume=Quantity(cubic_metres, "m^3"),
        airflow=Quantity(flow, "m^3/s"),
        mixing_factor=factor,
    )


def smallest_airflow(
    release: Release,
    *,
    mixing_factor: float = 5.0,
    share: QuantityLike | float = DESIGN_SHARE,
) -> Quantity:
    r"""The airflow (m3/s) that keeps the hood at the limit if the worst moment lasted for ever.

    .. math:: Q = K G_{worst} / x_{limit}

    The hood's own volume is given no credit: a burst may last longer than it was reckoned to.

    Raises: OutOfBounds; errors of units.
    """
    _, gas = release.floats()
    return Quantity(_needed(gas, _mixing_factor(mixing_factor), _limit(share)), "m^3/s")


def largest_scale(
    release: Release,
    airflow: QuantityLike,
    *,
    mixing_factor: float = 5.0,
    share: QuantityLike | float = DESIGN_SHARE,
) -> Quantity:
    r"""How many times this release the airflow would carry, by the rule of ``smallest_airflow``.

    .. math:: s = Q x_{limit} / (K G_{worst})

    Returns: a number; below 1 the release itself is too much. Infinite, if nothing is released.
    Raises: NoVentilation; OutOfBounds; errors of units.
    """
    factor, limit = _mixing_factor(mixing_factor), _limit(share)
    flow = _airflow(release, airflow, factor, limit)
    _, gas = release.floats()
    worst = float(gas.max())
    return Quantity(flow * limit / (factor * worst) if worst else np.inf, "dimensionless")


def washout_time(
    volume: QuantityLike,
    airflow: QuantityLike,
    start: QuantityLike,
    end: QuantityLike,
    *,
    mixing_factor: float = 5.0,
) -> Quantity:
    r"""Time (min) for the hood's air to fall from one fraction to another once the gas has stopped.

    .. math:: t = \frac{K V}{Q} \ln\frac{x_0}{x}

    Raises: OutOfBounds, if the fractions do not fall or the airflow is 0; errors of units.
    """
    cubic_metres = magnitude("volume of the hood", volume, "m^3", above=0)
    flow = magnitude("airflow", airflow, "m^3/s", above=0)
    x_0 = magnitude("fraction at the start", start, "", above=0, at_most=1)
    x = magnitude("fraction at the end", end, "", above=0, at_most=x_0)
    seconds = _mixing_factor(mixing_factor) * cubic_metres / flow * np.log(x_0 / x)
    return Quantity(float(seconds) / 60, "min")


def _fractions(
    time: NDArray[np.float64], gas: NDArray[np.float64], volume: float, flow: float
) -> NDArray[np.float64]:
    """Volume fraction at each time (s), from gas (m3/s), volume (m3) and effective flow (m3/s)."""
    rate = flow / volume
    h = np.diff(time)
    kept = np.exp(-rate * h)
    first, second = _weights(h, rate)
    slope = np.divide(np.diff(gas), h, out=np.zeros_like(h), where=h > 0)
    gained = (gas[:-1] * first + slope * second) / volume
    fraction = np.zeros_like(time)
    for at in range(h.size):
        fraction[at + 1] = fraction[at] * kept[at] + gained[at]
    return fraction


def _weights(
    h: NDArray[np.float64], rate: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    r"""\int_0^h e^{-r(h-s)} ds and \int_0^h s e^{-r(h-s)} ds."""
    first = -np.expm1(-rate * h) / rate
    return first, (h - first) / rate


def _highest(
    time: NDArray[np.float64],
    gas: NDArray[np.float64],
    fraction: NDArray[np.float64],
    volume: float,
    flow: float,
) -> tuple[float, float]:
    """The highest fraction and its time (s), between the points too.

    On a stretch x = A exp(-r s) + a + b s, which turns where r A exp(-r s) = b.
    """
    rate = flow / volume
    h = np.diff(time)
    slope = np.divide(np.diff(gas), h, out=np.zeros_like(h), where=h > 0)
    b = slope / flow
    a = gas[:-1] / flow - b / rate
    A = fraction[:-1] - a
    ratio = np.divide(b, rate * A, out=np.full_like(b, np.nan), where=A != 0)
    turn = -np.log(np.where(ratio > 0, ratio, np.nan)) / rate
    inside = (turn > 0) & (turn < h)
    turn = np.where(inside, turn, 0.0)
    between = np.where(inside, A * np.exp(-rate * turn) + a + b * turn, 0.0)
    at_points, at_turns = int(np.argmax(fraction)), int(np.argmax(between))
    if between[at_turns] > fraction[at_points]:
        return float(between[at_turns]), float(time[at_turns] + turn[at_turns])
    return float(fraction[at_points]), float(time[at_points])


def _airflow(release: Release, given: QuantityLike, factor: float, limit: float) -> float:
    flow = magnitude("airflow", given, "m^3/s", at_least=0)
    if flow == 0.0:
        _, gas = release.floats()
        needed = Quantity(_needed(gas, factor, limit), "m^3/s")
        raise NoVentilation(
            tr(
                "The airflow is given as {flow}: nothing would carry the hydrogen away. With a "
                "mixing factor of {factor:g} this release needs at least {needed} at its worst "
                "moment. Without a working hood the preparation is not done.",
                flow=given,
                factor=factor,
                needed=show(needed, unit="m^3/h"),
            )
        )
    return float(flow)


def _needed(gas: NDArray[np.float64], factor: float, limit: float) -> float:
    """Airflow (m3/s) at which the highest gas flow (m3/s) would come to rest at the limit."""
    return factor * float(gas.max()) / limit


def _mixing_factor(given: float) -> float:
    return float(magnitude("mixing factor", given, "", at_least=1, at_most=20))


def _limit(share: QuantityLike | float) -> float:
    return LOWER_FLAMMABLE_LIMIT * float(
        magnitude("share of the lower flammable limit", share, "", above=0, at_most=1)
    )
