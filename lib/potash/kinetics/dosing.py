"""Plans for the catalyst: all at once, staggered, at chosen moments, or on a sign of tarnish."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import pairwise

from potash.kinetics.errors import BadPlan
from potash.units import OutOfBounds, Quantity, QuantityLike, magnitude, show
from potash.words import tr

_MOST_DOSES = 100
_BY_HAND = tr(", and by hand")


@dataclass(frozen=True, slots=True)
class Dose:
    """One addition of alcohol: when (from the start of heating) and how much, as measured out."""

    time: Quantity
    volume: Quantity

    @property
    def seconds(self) -> float:
        """When, in seconds."""
        return float(self.time.m_as("s"))


@dataclass(frozen=True, slots=True)
class OnTarnish:
    """Further doses whenever the beads look dull.

    volume: of each; at_most: how many; wait: at least so long after the dose before.
    threshold: share of the metal under crust at which somebody who watches sees it.
    since: from when on the beads are watched.
    """

    volume: Quantity
    at_most: int
    wait: Quantity
    threshold: float
    since: Quantity


@dataclass(frozen=True, slots=True)
class DosePlan:
    """When how much alcohol goes in. Make one with the functions below.

    title: in words, for legends and comparisons.
    doses: those fixed beforehand, in order of time.
    on_tarnish: further ones that the beads decide; None, if there are none.
    """

    title: str
    doses: tuple[Dose, ...]
    on_tarnish: OnTarnish | None = None

    @property
    def planned_volume(self) -> Quantity:
        """Alcohol of the doses fixed beforehand (mL)."""
        return Quantity(sum(dose.volume.m_as("mL") for dose in self.doses), "mL")

    @property
    def most_volume(self) -> Quantity:
        """Alcohol to have at hand: fixed doses and all that the beads may ask for (mL)."""
        if self.on_tarnish is None:
            return self.planned_volume
        further = self.on_tarnish.at_most * self.on_tarnish.volume.m_as("mL")
        return Quantity(self.planned_volume.m_as("mL") + further, "mL")

    def __str__(self) -> str:
        fixed = "; ".join(
            tr("{volume} at {time}", volume=show(dose.volume), time=show(dose.time))
            for dose in self.doses
        )
        return f"{self.title} ({fixed})" if fixed else self.title


def all_at_once(volume: QuantityLike, at: QuantityLike = "0 min") -> DosePlan:
    """The whole alcohol in one dose.

    Raises: BadPlan, if the volume is not above 0 or the time before the start; UnreadableQuantity
    or WrongDimension.
    """
    return at_times([(at, volume)], title=tr("all at once"))


def staggered(
    volume: QuantityLike, doses: int, every: QuantityLike, first: QuantityLike = "0 min"
) -> DosePlan:
    """The same alcohol in equal doses at a fixed interval.

    Raises: BadPlan, if ``doses`` is not from 1 to 100, or as ``all_at_once``.
    """
    _demand_number("doses", doses)
    each = _volume(volume) / doses
    start, interval = _time(first), _time(every)
    if doses > 1 and interval.m_as("s") <= 0:
        raise BadPlan(
            tr(
                "The doses are {interval} apart. Staggered doses need some time between them, "
                'such as "60 min"; for one dose use all_at_once.',
                interval=show(interval),
            )
        )
    moments = [(start + number * interval, each) for number in range(doses)]
    return at_times(
        moments,
        title=tr("{doses} doses, one every {interval}", doses=doses, interval=show(interval)),
    )


def at_times(
    doses: Iterable[tuple[QuantityLike, QuantityLike]], title: str = "at chosen moments"
) -> DosePlan:
    """Doses at chosen moments: pairs of time and volume, in any order.

    Raises: BadPlan, naming the dose, if a time lies before the start, a volume is not above 0 or
    two doses have one time.
    """
    made = sorted(
        (Dose(_time(time), _volume(volume)) for time, volume in doses), key=lambda one: one.seconds
    )
    if len(made) > _MOST_DOSES:
        raise BadPlan(
            tr(
                "The plan has {number} doses; at most {most} are followed.",
                number=len(made),
                most=_MOST_DOSES,
            )
        )
    for earlier, later in pairwise(made):
        if earlier.seconds == later.seconds:
            raise BadPlan(
                tr(
                    "Two doses are planned at {time}. Add their volumes and give one dose of "
                    "{volume}.",
                    time=show(later.time),
                    volume=show(earlier.volume + later.volume),
                )
            )
    return DosePlan(title, tuple(made))


def on_tarnish(
    dose: QuantityLike,
    at_most: int = 6,
    wait: QuantityLike = "15 min",
    threshold: float = 0.03,
) -> DosePlan:
    """One dose at the start, then the same again whenever the beads look dull.

    Parameters: dose, volume of each; at_most, doses in all; wait, least time between two;
    threshold, share of the metal under crust that somebody who watches sees.
    Raises: BadPlan, if ``at_most`` is not from 1 to 100 or the threshold not between 0 and 1, or
    as ``all_at_once``.
    """
    _demand_number("at_most", at_most)
    if not 0.0 < threshold < 1.0:
        raise BadPlan(
            tr(
                "The threshold is {threshold:g}. It is the share of the metal under crust, "
                "between 0 and 1; a value that works: 0.03.",
                threshold=threshold,
            )
        )
    each = _volume(dose)
    further = OnTarnish(each, at_most - 1, _time(wait), threshold, _time("0 min"))
    first = Dose(Quantity(0.0, "min"), each)
    return DosePlan(tr("on a sign of tarnish"), (first,), further if at_most > 1 else None)


def with_dose(
    plan: DosePlan, given: Iterable[Dose], time: QuantityLike, volume: QuantityLike
) -> DosePlan:
    """The plan of somebody who follows ``plan`` and gives one dose more by hand at ``time``.

    Parameters: given, the doses of the run so far, those on sight included: what happened before
    ``time`` stays as it was.
    Raises: BadPlan, if the time is taken already, or as ``at_times``.
    """
    moment = _time(time)
    earlier = [dose for dose in given if dose.seconds < moment.m_as("s")]
    later = [dose for dose in plan.doses if dose.seconds >= moment.m_as("s")]
    doses = [(dose.time, dose.volume) for dose in (*earlier, *later)]
    by_hand = at_times([*doses, (moment, volume)])
    sight = plan.on_tarnish
    if sight is not None:
        seen = len(earlier) - sum(dose.seconds < moment.m_as("s") for dose in plan.doses)
        left = sight.at_most - seen
        sight = replace(sight, at_most=left, since=moment) if left > 0 else None
    title = plan.title.removesuffix(_BY_HAND) + _BY_HAND
    return DosePlan(title, by_hand.doses, sight)


def demand_within(plan: DosePlan, seconds: float) -> None:
    """Raise BadPlan, if a dose of the plan falls at or after the end of the run."""
    for dose in plan.doses:
        if dose.seconds >= seconds:
            end = Quantity(seconds / 60, "min")
            raise BadPlan(
                tr(
                    "A dose of {volume} is planned at {time}, and the run ends at {end}. Give it "
                    "earlier, or follow the run for longer than {time}.",
                    volume=show(dose.volume),
                    time=show(dose.time.to("min")),
                    end=show(end),
                )
            )


def _volume(given: QuantityLike) -> Quantity:
    try:
        return Quantity(magnitude("volume of a dose", given, "mL", above=0), "mL")
    except OutOfBounds:
        raise BadPlan(
            tr(
                "A dose of {volume} is planned; alcohol goes in and never comes out again. A dose "
                'that works: "0.30 mL".',
                volume=given,
            )
        ) from None


def _time(given: QuantityLike) -> Quantity:
    try:
        return Quantity(magnitude("time of a dose", given, "min", at_least=0), "min")
    except OutOfBounds:
        raise BadPlan(
            tr(
                "A dose is planned at {time}, before the run starts. Time counts from the start "
                'of heating; one that works: "30 min".',
                time=given,
            )
        ) from None


def _demand_number(name: str, number: object) -> None:
    if not isinstance(number, int) or isinstance(number, bool) or not 1 <= number <= _MOST_DOSES:
        raise BadPlan(
            tr(
                "{name} is {number}; it must be a whole number from 1 to {most}.",
                name=name,
                number=number,
                most=_MOST_DOSES,
            )
        )
