"""Piecewise polynomials in temperature: what every tabulated property is read from.

Plain SI floats: kelvin in, J/mol or J/(mol K) out. Scalars take a path of a microsecond without
numpy; arrays are evaluated at once. Sums of curves are curves, so that the Gibbs energy of a whole
reaction costs no more than that of one species.
"""

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import comb, copysign
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from potash.words import tr

Floats = NDArray[np.float64]
FloatOrArray = TypeVar("FloatOrArray", float, Floats)

_ORDER = 6  # coefficients a piece: a quintic


@dataclass(frozen=True, slots=True, eq=False)
class Curve:
    """A function of temperature, a quintic between each pair of neighbouring edges.

    edges: temperatures in K, rising, shape (n + 1,).
    pieces: coefficients in rising powers of (T - left edge), shape (n, 6).
    At an edge the piece above it holds, so that a transition counts as passed at its temperature.
    """

    edges: tuple[float, ...]
    pieces: tuple[tuple[float, ...], ...]
    _edges: Floats = field(init=False, repr=False)
    _powers: tuple[Floats, ...] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_edges", np.array(self.edges))
        columns = np.array(self.pieces).T
        object.__setattr__(self, "_powers", tuple(np.ascontiguousarray(c) for c in columns))

    @property
    def low(self) -> float:
        return self.edges[0]

    @property
    def high(self) -> float:
        return self.edges[-1]

    def __call__(self, T: Any) -> Any:
        """Value at ``T`` (K), float or array of any shape; the caller has checked the range."""
        if isinstance(T, np.ndarray) and T.ndim:
            return self._over(T)
        return self.at(float(T))

    def outside(self, T: Any) -> float | None:
        """One of the temperatures in ``T`` (K) that lies outside the edges, or None."""
        if isinstance(T, (float, int)):
            coldest = hottest = T
        elif np.size(T):
            coldest, hottest = np.min(T), np.max(T)
        else:
            return None
        # Written so that not-a-number counts as outside.
        if self.low <= coldest and hottest <= self.high:
            return None
        return float(hottest if coldest >= self.low else coldest)

    def at(self, T: float) -> float:
        """Value at one ``T`` (K), for callers that know that it is a float."""
        i = bisect_right(self.edges, T, 1, len(self.pieces)) - 1
        x = T - self.edges[i]
        a, b, c, d, e, f = self.pieces[i]
        return a + x * (b + x * (c + x * (d + x * (e + x * f))))

    def _over(self, T: Floats) -> Floats:
        i = np.searchsorted(self._edges[1:-1], T, side="right")
        x = T - self._edges[i]
        *lower, highest = self._powers
        value = highest[i]
        for power in reversed(lower):
            value *= x
            value += power[i]
        return value

    def between(self, low: float, high: float) -> "Curve":
        """The same function from ``low`` to ``high`` (K) only; both inside the present range."""
        edges = [low, *(T for T in self.edges if low < T < high), high]
        return Curve(tuple(edges), tuple(self._piece_from(T) for T in edges[:-1]))

    def _piece_from(self, T: float) -> tuple[float, ...]:
        """The coefficients of the piece that holds at ``T``, about ``T`` (Taylor shift)."""
        i = bisect_right(self.edges, T, 1, len(self.pieces)) - 1
        x = T - self.edges[i]
        piece = self.pieces[i]
        if x == 0:
            return piece
        return tuple(
            sum(comb(k, j) * piece[k] * x ** (k - j) for k in range(j, _ORDER))
            for j in range(_ORDER)
        )


def joined(curves: Sequence[Curve]) -> Curve:
    """One curve from several that follow each other: each begins where the one before ends."""
    edges = [*(T for curve in curves for T in curve.edges[:-1]), curves[-1].high]
    return Curve(tuple(edges), tuple(piece for curve in curves for piece in curve.pieces))


def weighted_sum(terms: Iterable[tuple[float, Curve]]) -> Curve:
    """The curve of sum(weight * curve) over the range that all of them share.

    Raises: ValueError, if they share no range.
    """
    terms = list(terms)
    low = max(curve.low for _, curve in terms)
    high = min(curve.high for _, curve in terms)
    if not low < high:
        raise ValueError(tr("the curves share no range"))
    inside = {T for _, curve in terms for T in curve.edges if low < T < high}
    edges = (low, *sorted(inside), high)
    return Curve(edges, tuple(_sum_from(T, terms) for T in edges[:-1]))


def _sum_from(T: float, terms: list[tuple[float, Curve]]) -> tuple[float, ...]:
    pieces = [(weight, curve._piece_from(T)) for weight, curve in terms]
    return tuple(sum(weight * piece[k] for weight, piece in pieces) for k in range(_ORDER))


def cubic(T: Sequence[float], values: Sequence[float], slopes: Sequence[float]) -> Curve:
    """The cubic Hermite curve through ``values`` with ``slopes`` at the temperatures ``T``."""
    pieces = []
    for i in range(len(T) - 1):
        h = T[i + 1] - T[i]
        rise = (values[i + 1] - values[i]) / h
        c = (3 * rise - 2 * slopes[i] - slopes[i + 1]) / h
        d = (slopes[i] + slopes[i + 1] - 2 * rise) / h**2
        pieces.append((values[i], slopes[i], c, d, 0.0, 0.0))
    return Curve(tuple(T), tuple(pieces))


def quintic(
    T: Sequence[float],
    values: Sequence[float],
    slopes: Sequence[float],
    curvatures: Sequence[float],
) -> Curve:
    """The quintic Hermite curve with these values, first and second derivatives at ``T``."""
    pieces = []
    for i in range(len(T) - 1):
        h = T[i + 1] - T[i]
        c = curvatures[i] / 2
        # What is left for the cubic and higher terms to make up at the right edge.
        value = values[i + 1] - values[i] - slopes[i] * h - c * h**2
        slope = slopes[i + 1] - slopes[i] - curvatures[i] * h
        bend = curvatures[i + 1] - curvatures[i]
        pieces.append(
            (
                values[i],
                slopes[i],
                c,
                (10 * value - 4 * slope * h + bend * h**2 / 2) / h**3,
                (-15 * value + 7 * slope * h - bend * h**2) / h**4,
                (6 * value - 3 * slope * h + bend * h**2 / 2) / h**5,
            )
        )
    return Curve(tuple(T), tuple(pieces))


def slopes_through(T: Sequence[float], values: Sequence[float]) -> list[float]:
    """Slopes at each point of the parabola through it and its neighbours (ends: the outermost).

    With two points only, the slope of the line between them.
    """
    n = len(T)
    if n == 2:
        return [(values[1] - values[0]) / (T[1] - T[0])] * 2
    slopes = []
    for i in range(n):
        a = min(max(i - 1, 0), n - 3)
        x0, x1, x2 = T[a : a + 3]
        y0, y1, y2 = values[a : a + 3]
        first, second = (y1 - y0) / (x1 - x0), (y2 - y1) / (x2 - x1)
        bend = (second - first) / (x2 - x0)
        slopes.append(first + bend * (2 * T[i] - x0 - x1))
    return slopes


def sign_changes(curve: Curve) -> Iterator[float]:
    """The temperatures (K) where ``curve`` passes through zero, to 1 mK, rising.

    Between two edges a Gibbs energy is nearly straight, so quarters of an interval separate its
    zeros.
    """
    grid = [
        low + (high - low) * quarter / 4
        for low, high in pairwise(curve.edges)
        for quarter in range(4)
    ]
    for low, high in pairwise([*grid, curve.high]):
        if curve(low) == 0.0:
            yield low
        elif curve(low) * curve(high) < 0:
            yield _root(curve, low, high)


def _root(curve: Curve, low: float, high: float) -> float:
    sign = copysign(1.0, curve(low))
    while high - low > 1e-3:
        middle = (low + high) / 2
        low, high = (middle, high) if sign * curve(middle) > 0 else (low, middle)
    return (low + high) / 2
