"""The largest feed, the smallest excess and the least hood flow that keep every limit."""

import math
from collections.abc import Callable
from dataclasses import dataclass, field

from potash.properties.metals import metal as metal_named
from potash.quenching.alcohols import teaching
from potash.quenching.course import QuenchCourse, simulate_quench
from potash.quenching.gas import ALLOWED, least_hood
from potash.quenching.setup import Quench
from potash.units import Quantity
from potash.words import tr

_SLOWEST = 0.01 / 6e7  # m3/s: 0.01 mL/min, slower than any dropping funnel
_MOST_EXCESS = 50.0
_CLOSE = 0.02  # of the value that is looked for


@dataclass(frozen=True, slots=True)
class Keeps:
    """How far a course keeps within one limit: positive inside, negative beyond; 1 is comfortable.

    name: what is limited, in words that follow "decided by".
    """

    name: str
    slack: float


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit found by running the quench.

    value: None, if nothing in reach keeps every limit.
    decided_by: the limit met first, or why there is none. simulations: how many runs it took.
    """

    value: Quantity | None
    decided_by: str
    simulations: int

    def __str__(self) -> str:
        from potash.units import show

        return f"{(show(self.value) if self.value is not None else tr('none'))} ({self.decided_by})"


def kept(course: QuenchCourse) -> tuple[Keeps, ...]:
    """Each limit and how far ``course`` keeps within it, the tightest first."""
    quench = course.quench
    name, boiling = quench.lowest_boiling
    margin = teaching("boiling_margin")
    found = [
        Keeps(
            tr("{margin:g} K below the boiling point of {name}", margin=margin, name=name),
            (boiling - margin - course.peak_si) / margin,
        ),
        Keeps(tr("boiling after a cooling failure"), (boiling - course.synthesis_si) / margin),
        Keeps(
            tr("a quarter of the lower flammable limit of hydrogen"),
            (ALLOWED - course.hydrogen_share_si) / ALLOWED,
        ),
    ]
    melting = metal_named(quench.metal).melting_point_si
    if quench.bath < melting:
        found.append(Keeps(tr("the melting of the metal"), (melting - course.peak_si) / margin))
    return tuple(sorted(found, key=lambda one: one.slack))


def largest_feed(quench: Quench) -> Limit:
    """The largest feed (mL/min), up to the pump's, that keeps every limit.

    Found by root finding on the tightest limit, to 2 %.
    Raises: BadQuench, as ``simulate_quench``.
    """
    runs = _Runs(lambda feed: simulate_quench(quench.but(feed=feed)))
    fastest, slowest = quench.pump, min(_SLOWEST, quench.pump / 10)
    tightest = runs.tightest(fastest)
    if tightest.slack >= 0:
        return Limit(_flow(fastest), tr("the pump, not the chemistry"), runs.count)
    tightest = runs.tightest(slowest)
    if tightest.slack < 0:
        return Limit(
            None,
            tr("even the slowest feed breaks a limit: {tightest}", tightest=tightest.name),
            runs.count,
        )
    feed = _root(lambda feed: runs.tightest(feed).slack, slowest, fastest)
    return Limit(_flow(feed), runs.tightest(feed).name, runs.count)


def smallest_excess(quench: Quench) -> Limit:
    """The fewest moles of alcohol a mole of metal with which it ends within the session.

    Raises: BadQuench, as ``simulate_quench``.
    """
    runs = _Runs(lambda excess: simulate_quench(quench.but(excess=excess)))

    def slack(excess: float) -> float:
        end = runs.run(excess).trajectory.ended
        return -1.0 if end is None else 1 - end / quench.session

    least = 1.001
    if slack(_MOST_EXCESS) < 0:
        reason = tr(
            "even {most:g} times the metal does not end within the session",
            most=_MOST_EXCESS,
        )
        return Limit(None, reason, runs.count)
    excess = least if slack(least) >= 0 else _root(slack, least, _MOST_EXCESS)
    tightest = runs.tightest(excess)
    reason = tr("the end of the session") if excess > least else tr("the metal itself")
    if tightest.slack < 0:
        reason += tr("; it breaks another limit all the same: {tightest}", tightest=tightest.name)
    return Limit(Quantity(excess, ""), reason, runs.count)


def least_hood_flow(course: QuenchCourse) -> Quantity:
    """Air that the hood must draw at the worst moment of ``course``, m3/h, by dilution alone."""
    most = float(course.highest_hydrogen_flow.m_as("m^3/s"))
    return Quantity(least_hood(most) * 3600, "m^3/hour")


@dataclass(slots=True)
class _Runs:
    """Simulations by their one variable, each run once."""

    simulate: Callable[[float], QuenchCourse]
    done: dict[float, QuenchCourse] = field(default_factory=dict)

    @property
    def count(self) -> int:
        return len(self.done)

    def run(self, variable: float) -> QuenchCourse:
        if variable not in self.done:
            self.done[variable] = self.simulate(variable)
        return self.done[variable]

    def tightest(self, variable: float) -> Keeps:
        return kept(self.run(variable))[0]


def _root(slack: Callable[[float], float], low: float, high: float) -> float:
    """Where ``slack`` changes sign, on the side that keeps the limit, to 2 % of the value."""
    from scipy.optimize import brentq

    found = brentq(
        lambda x: slack(math.exp(x)), math.log(low), math.log(high), xtol=_CLOSE / 2, maxiter=16
    )
    kept_side = math.exp(found)
    step = _CLOSE / 2 if slack(high) >= 0 else -_CLOSE / 2
    return kept_side if slack(kept_side) >= 0 else kept_side * math.exp(step)


def _flow(feed: float) -> Quantity:
    return Quantity(feed * 6e7, "mL/min")
