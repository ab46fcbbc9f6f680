"""What if: the stirrer stops, cooling is lost, alcohol comes too fast, and so on."""

from collections.abc import Callable
from dataclasses import dataclass

from potash.errors import PotashError
from potash.quenching.alcohols import teaching
from potash.quenching.course import QuenchCourse, simulate_quench
from potash.quenching.model import LONGEST, Stretch
from potash.quenching.setup import Quench
from potash.units import show
from potash.words import later, tr

HOTTER, SAME, COOLER = tr("hotter"), tr("about the same"), tr("cooler")
LATER, SOONER = tr("later"), tr("sooner")
TEMPERATURE_CHOICES = (HOTTER, SAME, COOLER)
END_CHOICES = (SOONER, SAME, LATER)
STRONGER, WEAKER = tr("stronger"), tr("weaker")
GAS_CHOICES = (STRONGER, SAME, WEAKER)

_DEGREES = 3.0  # K: what counts as a change of temperature
_TENTH = 0.1  # of the time: what counts as a change of duration


class UnknownWhatIf(PotashError):
    """There is no failure of this name."""


@dataclass(frozen=True, slots=True)
class Failure:
    """One way for a quench to go wrong.

    run: from the planned course to the one that goes wrong. question: put before the result; asks:
    what it asks about, "temperature", "end" or "gas".
    """

    name: str
    asks: str
    question: str
    lesson: str
    run: Callable[[QuenchCourse], QuenchCourse]

    @property
    def choices(self) -> tuple[str, ...]:
        """The answers that its question offers."""
        return _CHOICES[self.asks]


_CHOICES = {"temperature": TEMPERATURE_CHOICES, "end": END_CHOICES, "gas": GAS_CHOICES}


@dataclass(frozen=True, slots=True)
class WhatIf:
    """A planned course beside the one that went wrong."""

    failure: Failure
    planned: QuenchCourse
    course: QuenchCourse

    @property
    def answer(self) -> str:
        """The answer to the question of the failure."""
        return str(getattr(self, self.failure.asks))

    @property
    def temperature(self) -> str:
        """What became of the highest temperature: one of ``TEMPERATURE_CHOICES``."""
        change = self.course.peak_si - self.planned.peak_si
        if abs(change) < _DEGREES:
            return SAME
        return HOTTER if change > 0 else COOLER

    @property
    def end(self) -> str:
        """What became of the end of the bubbling: one of ``END_CHOICES``."""
        before = self.planned.trajectory.ended or LONGEST
        after = self.course.trajectory.ended or LONGEST
        if abs(after - before) < _TENTH * before:
            return SAME
        return LATER if after > before else SOONER

    @property
    def gas(self) -> str:
        """What became of the strongest flow of hydrogen: one of ``GAS_CHOICES``."""
        before, after = (float(c.highest_hydrogen_flow.m) for c in (self.planned, self.course))
        if abs(after - before) < _TENTH * before:
            return SAME
        return STRONGER if after > before else WEAKER

    @property
    def told(self) -> str:
        """What happened, in one sentence with figures, and what it teaches."""
        ends = [
            show(c.ends) if c.ends else tr("more than three days")
            for c in (self.planned, self.course)
        ]
        return tr(
            "Highest temperature {highest_planned} as planned, {highest_now} now; after a cooling "
            "failure at the worst moment {failure_planned} as planned, {failure_now} now; "
            "hydrogen up to {hydrogen_planned} as planned, {hydrogen_now} now; bubbling stops "
            "after {end_planned} as planned, {end_now} now. {lesson}",
            highest_planned=show(self.planned.highest_temperature),
            highest_now=show(self.course.highest_temperature),
            failure_planned=show(self.planned.synthesis_temperature),
            failure_now=show(self.course.synthesis_temperature),
            hydrogen_planned=show(self.planned.highest_hydrogen_flow),
            hydrogen_now=show(self.course.highest_hydrogen_flow),
            end_planned=ends[0],
            end_now=ends[1],
            lesson=self.failure.lesson,
        )


def what_if(quench: Quench, name: str) -> WhatIf:
    """The quench as planned, and with the failure called ``name``.

    Raises: UnknownWhatIf, naming those there are; BadQuench, as ``simulate_quench``.
    """
    found = {failure.name: failure for failure in failures()}.get(name)
    if found is None:
        names = ", ".join(failure.name for failure in failures())
        raise UnknownWhatIf(
            tr(
                'There is no failure called "{name}". There are: {names}.',
                name=name[:60],
                names=names,
            )
        )
    planned = simulate_quench(quench)
    return WhatIf(found, planned, found.run(planned))


def failures() -> tuple[Failure, ...]:
    """The failures that the chapter plays through."""
    return (
        Failure(
            later("stirrer stops"),
            "temperature",
            tr(
                "The stirrer stops a quarter of the way through the feed and is switched on again "
                "when the feed has ended. What becomes of the highest temperature?"
            ),
            tr(
                "Alcohol gathers while nothing stirs, and reacts when stirring begins again: stop "
                "the feed first, and start the stirrer with care."
            ),
            _stirrer_stops,
        ),
        Failure(
            later("cooling lost"),
            "temperature",
            tr(
                "The cooling is lost at the worst moment, and nobody stops the feed. What becomes "
                "of the highest temperature?"
            ),
            tr(
                "What has gathered decides how hot it gets: only less accumulation helps, not a "
                "quicker hand."
            ),
            _cooling_lost,
        ),
        Failure(
            later("alcohol too fast"),
            "temperature",
            tr(
                "The tap slips and the alcohol runs in as fast as the pump can give it. What "
                "becomes of the highest temperature?"
            ),
            tr("All the alcohol waits beside the metal from the first minutes on."),
            _too_fast,
        ),
        Failure(
            later("bead the size of a walnut"),
            "end",
            tr(
                "Instead of small pieces there is one bead of all the metal, up to the size of a "
                "walnut. When does the bubbling stop?"
            ),
            tr(
                "Little surface means a slow quench that looks tame: metal lives on inside, long "
                "after the feed has ended."
            ),
            _walnut,
        ),
        Failure(
            later("wet diluent"),
            "gas",
            tr(
                "The diluent was not dried: it holds 0.1 % of water. What becomes of the "
                "strongest flow of hydrogen?"
            ),
            tr("Water reacts before the first drop of alcohol falls, and no funnel leads it."),
            _wet,
        ),
    )


def _stirrer_stops(planned: QuenchCourse) -> QuenchCourse:
    feed_ends = planned.model.to_feed / planned.model.feed
    stretches = (
        Stretch(0.25 * feed_ends),
        Stretch(
            feed_ends,
            rate=teaching("unstirred_rate"),
            cooling=teaching("unstirred_cooling"),
        ),
    )
    return simulate_quench(planned.quench, stretches)


def _cooling_lost(planned: QuenchCourse) -> QuenchCourse:
    moment = float(planned.worst_moment.m_as("s"))
    stretches = (Stretch(moment), Stretch(LONGEST, cooling=teaching("uncooled")))
    return simulate_quench(planned.quench, stretches)


def _too_fast(planned: QuenchCourse) -> QuenchCourse:
    return simulate_quench(planned.quench.but(feed=planned.quench.pump))


def _walnut(planned: QuenchCourse) -> QuenchCourse:
    return simulate_quench(planned.quench.but(piece=0.030))


def _wet(planned: QuenchCourse) -> QuenchCourse:
    return simulate_quench(planned.quench.but(water_in_diluent=1e-3))
