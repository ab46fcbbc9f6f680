"""Fitting a gas log: first pace, how fast the pace falls, induction, and the end with its band.

After an induction t0 the gas comes at a pace that falls exponentially, as a first-order reaction
gives it:

    n(t) = (r/k) (1 - exp(-k (t - t0)))   for t > t0, else 0

Pace r and constant k are fitted rather than the total r/k, because a log that has not bent yet
tells r well and the total not at all.
"""

from dataclasses import dataclass, field
from html import escape
from typing import Any

import numpy as np
from numpy.typing import NDArray

from potash.gas_log.errors import CannotFit, NotBent
from potash.gas_log.reading import GasLog
from potash.units import Quantity, QuantityLike, magnitude, show
from potash.words import tr

CONFIDENCE = 0.95
_BENT_TO = 0.7  # pace at the last reading, of the first pace, that the log must have fallen to
_RELATED = 0.4  # correlation of neighbouring residuals that noise alone does not give
_NO_SHAPE = tr(
    "The gas in this log does not start and then slow down, so pace and induction cannot be told "
    "apart. Cut it to one stretch of gas that starts from rest."
)
SOURCES = (
    tr(
        "nonlinear least squares with linearised intervals: Bates and Watts, Nonlinear Regression "
        "Analysis and Its Applications (1988), chapter 2"
    ),
    tr("end time by the law of propagation of uncertainty: JCGM 100:2008 (GUM), 5.2"),
)


@dataclass(frozen=True, slots=True)
class Estimate:
    """A fitted value with its 95 % confidence interval."""

    value: Quantity
    low: Quantity
    high: Quantity

    def holds(self, true: QuantityLike) -> bool:
        """Whether ``true`` lies inside the interval."""
        unit = str(self.value.units)
        return bool(self.low.magnitude <= magnitude("value", true, unit) <= self.high.magnitude)

    def __str__(self) -> str:
        return tr(
            "{value} (95 %: {low} to {high})",
            value=show(self.value),
            low=show(self.low),
            high=show(self.high),
        )


@dataclass(frozen=True, slots=True)
class GasFit:
    """A fit to a gas log.

    rate: pace just after the induction (mmol/min); decay: k (1/min); induction: t0 (min).
    residuals: reading minus fit, (n,), in the unit of the log's gas; noise: their standard
        deviation.
    pace_left: share of the first pace at the last reading (percent).
    covariance: (3, 3), of rate, decay and induction, in the units above.
    warnings: of the log, and where the model does not follow it.
    """

    log: GasLog = field(repr=False)
    rate: Estimate
    decay: Estimate
    induction: Estimate
    pace_left: Estimate
    residuals: Quantity = field(repr=False)
    noise: Quantity
    covariance: NDArray[np.float64] = field(repr=False)
    quantile: float
    warnings: tuple[str, ...]

    @property
    def has_bent(self) -> bool:
        """Whether the pace has surely fallen far enough to tell where the gas will end."""
        return bool(self.pace_left.high.m_as("percent") <= 100 * _BENT_TO)

    @property
    def total(self) -> Estimate:
        """All gas that will come (mmol), r/k. Raises: NotBent."""
        self._demand_bent()
        r, k, _ = self._floats()
        return self._estimate(r / k, np.array([1 / k, -r / k**2, 0.0]), "mmol")

    def end_time(self, share: QuantityLike = "95 %") -> Estimate:
        r"""When ``share`` of all gas will have come (min).

        .. math:: t = t_0 - \ln(1 - s)/k

        Raises: NotBent, if the log still runs too straight; OutOfBounds, if the share is not
        between 0 and 1.
        """
        s = magnitude("share of the gas", share, "", above=0, below=1)
        self._demand_bent()
        _, k, t_0 = self._floats()
        waits = -np.log1p(-s)
        return self._estimate(t_0 + waits / k, np.array([0.0, -waits / k**2, 1.0]), "min")

    def curve(self, time: QuantityLike) -> Quantity:
        """The fitted gas at ``time``, in the unit of the log's gas and the shape of ``time``."""
        minutes = magnitude("time", time, "min")
        half = _half_interval(self.log.time.m_as("min"))
        values = _MODELS[self.log.kind](np.atleast_1d(minutes), *self._floats(), half)
        return Quantity(values if np.ndim(minutes) else float(values[0]), str(self.log.gas.units))

    @property
    def sources(self) -> tuple[str, ...]:
        """Where the method is published."""
        return SOURCES

    def _floats(self) -> tuple[float, float, float]:
        return (
            float(self.rate.value.m_as("mmol/min")),
            float(self.decay.value.m_as("1/min")),
            float(self.induction.value.m_as("min")),
        )

    def _estimate(self, value: float, gradient: NDArray[np.float64], unit: str) -> Estimate:
        half = self.quantile * float(np.sqrt(gradient @ self.covariance @ gradient))
        return _interval(value, half, unit)

    def _demand_bent(self) -> None:
        if not self.has_bent:
            raise NotBent(
                tr(
                    "The log has not bent: at its last reading the gas still comes at {pace_left} "
                    "of its first pace. Its end cannot be told from it. Go on reading until the "
                    "pace has fallen clearly below {share:.0f} %.",
                    pace_left=self.pace_left,
                    share=100 * _BENT_TO,
                )
            )

    def _repr_html_(self) -> str:
        rows = [(tr("pace at first"), self.rate), (tr("fall of the pace"), self.decay)]
        rows += [(tr("induction"), self.induction)]
        if self.has_bent:
            rows += [
                (tr("gas in all"), self.total),
                (tr("95 % of it has come at"), self.end_time()),
            ]
        body = "".join(
            f"<tr><th scope='row'>{name}</th><td>{escape(str(value))}</td></tr>"
            for name, value in rows
        )
        notes = list(self.warnings)
        if not self.has_bent:
            notes.append(tr("The log has not bent yet: no end is told from it."))
        listed = "".join(f"<li>{escape(note)}</li>" for note in notes)
        caption = escape(tr("Fit to {name}", name=self.log.name))
        return (
            f"<table class='potash-gas-fit'><caption>{caption}</caption>"
            f"<tbody>{body}</tbody></table><ul>{listed}</ul>"
        )


def fit_gas_log(log: GasLog) -> GasFit:
    """Fit pace, fall of the pace and induction to a log, by least squares.

    Intervals are the linearised ones at 95 %, with Student's t for the readings left over.

    Raises: CannotFit, if no gas comes or the fit does not settle.
    Source: Bates and Watts (1988), chapter 2.
    """
    from scipy.stats import t as student

    time, gas = log.time.m_as("min"), np.asarray(log.gas.magnitude, dtype=float)
    if not np.any(gas > 0):
        raise CannotFit(tr("No gas comes in this log: no reading is above 0. Look for a leak."))
    best, residuals, jacobian = _least_squares(time, gas, log.kind)
    freedom = gas.size - best.size
    covariance = _inverse(jacobian) * float(residuals @ residuals) / freedom
    quantile = float(student.ppf(0.5 + CONFIDENCE / 2, freedom))
    return _gas_fit(log, best, covariance, quantile, residuals)


def _least_squares(
    time: NDArray[np.float64], gas: NDArray[np.float64], kind: str
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Best (r, k, t0), shape (3,); residuals, (n,); derivatives of the model, (n, 3)."""
    from scipy.optimize import least_squares

    model, half = _MODELS[kind], _half_interval(time)
    scale = float(np.max(np.abs(gas)))

    def misses(best: NDArray[np.float64]) -> NDArray[np.float64]:
        return (model(time, best[0], best[1], best[2], half) - gas) / scale

    start = _start(time, gas, kind)
    found: Any = least_squares(
        misses, start, x_scale=np.maximum(np.abs(start), 1e-6), xtol=1e-12, ftol=1e-12
    )
    if not found.success or found.x[0] <= 0:
        raise CannotFit(_NO_SHAPE)
    return found.x, -scale * found.fun, scale * found.jac


def _inverse(jacobian: NDArray[np.float64]) -> NDArray[np.float64]:
    """(J^T J)^-1, its columns brought to one length first. Raises: CannotFit, if it has none."""
    lengths = np.linalg.norm(jacobian, axis=0)
    if np.any(lengths == 0.0):
        raise CannotFit(_NO_SHAPE)
    normal = (jacobian / lengths).T @ (jacobian / lengths)
    if np.linalg.cond(normal) > 1e12:
        raise CannotFit(_NO_SHAPE)
    return np.asarray(np.linalg.inv(normal) / np.outer(lengths, lengths))


def _gas_fit(
    log: GasLog,
    best: NDArray[np.float64],
    covariance: NDArray[np.float64],
    quantile: float,
    residuals: NDArray[np.float64],
) -> GasFit:
    halves = quantile * np.sqrt(np.diag(covariance))
    unit = str(log.gas.units)
    return GasFit(
        log=log,
        rate=_interval(best[0], halves[0], "mmol/min"),
        decay=_interval(best[1], halves[1], "1/min"),
        induction=_interval(best[2], halves[2], "min"),
        pace_left=_pace_left(best, covariance, quantile, float(log.time.m_as("min")[-1])),
        residuals=Quantity(residuals, unit),
        noise=Quantity(float(np.sqrt(np.sum(residuals**2) / (residuals.size - 3))), unit),
        covariance=covariance,
        quantile=quantile,
        warnings=(*log.warnings, *_misfit(residuals)),
    )


def _pace_left(
    best: NDArray[np.float64], covariance: NDArray[np.float64], quantile: float, last: float
) -> Estimate:
    """exp(-x) with x = k (t_last - t0), its interval carried over from that of x."""
    _, k, t_0 = best
    gradient = np.array([0.0, last - t_0, -k])
    x = float(k * (last - t_0))
    half = quantile * float(np.sqrt(gradient @ covariance @ gradient))
    shares = 100 * np.exp(-np.clip([x, x + half, x - half], -5.0, 50.0))
    return Estimate(*(Quantity(float(share), "percent") for share in shares))


def _misfit(residuals: NDArray[np.float64]) -> list[str]:
    spread = float(residuals @ residuals)
    related = float(residuals[1:] @ residuals[:-1]) / spread if spread else 0.0
    if related < _RELATED:
        return []
    return [
        tr(
            "Neighbouring residuals go together: this gas does not follow the model, and the "
            "intervals are too narrow. Look at the residuals before you use the numbers."
        )
    ]


def _start(time: NDArray[np.float64], gas: NDArray[np.float64], kind: str) -> NDArray[np.float64]:
    """The best of a coarse grid of inductions and constants, each with its best pace."""
    span, half = float(time[-1] - time[0]), _half_interval(time)
    best, least = np.array([0.0, 1.0 / span, time[0]]), np.inf
    for t_0 in np.linspace(time[0], time[0] + 0.8 * span, 41):
        for k in np.geomspace(0.05, 60.0, 16) / span:
            shape = _MODELS[kind](time, 1.0, k, t_0, half)
            weight = float(shape @ shape)
            if weight == 0.0:
                continue
            r = float(shape @ gas) / weight
            left = float(np.sum((gas - r * shape) ** 2))
            if left < least and r > 0:
                best, least = np.array([r, k, t_0]), left
    return best


def _collected(
    time: NDArray[np.float64], r: float, k: float, t_0: float, half: float
) -> NDArray[np.float64]:
    """Gas so far; ``half`` is not needed and stands here so that both models are called alike."""
    after = np.maximum(time - t_0, 0.0)
    x = np.clip(k * after, -50.0, 700.0)
    # (1 - exp(-x))/x is 1 at x = 0, so that a log without a bend is a straight line.
    part = np.divide(-np.expm1(-x), x, out=np.ones_like(x), where=np.abs(x) > 1e-12)
    return np.asarray(r * after * part)


def _passing(
    time: NDArray[np.float64], r: float, k: float, t_0: float, half: float
) -> NDArray[np.float64]:
    """Flow as its mean over the interval around each reading, so that t0 moves it smoothly."""
    before = _collected(time - half, r, k, t_0, half)
    after = _collected(time + half, r, k, t_0, half)
    return np.asarray((after - before) / (2 * half))


_MODELS = {"volume": _collected, "flow": _passing}


def _half_interval(time: NDArray[np.float64]) -> float:
    return float(np.median(np.diff(time)) / 2)


def _interval(value: float, half: float, unit: str) -> Estimate:
    return Estimate(
        Quantity(float(value), unit),
        Quantity(float(value - half), unit),
        Quantity(float(value + half), unit),
    )
