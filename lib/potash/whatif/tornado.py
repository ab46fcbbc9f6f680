"""What moves the outcome most: each input alone, low and high, the largest effect first."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from html import escape

from potash.kinetics import DosePlan, Parameters
from potash.preparation import Preparation
from potash.units import Quantity, QuantityLike, show
from potash.whatif.errors import BadSweep
from potash.whatif.inputs import OUTCOMES, Tolerance, outcome, problem
from potash.words import tr

_DEVIATIONS = 2.0  # standard uncertainties to either side: about 19 of 20 values


@dataclass(frozen=True, slots=True)
class Bar:
    """One input moved alone. low, high: the outcome with the input two deviations down and up."""

    tolerance: Tolerance
    low: Quantity
    high: Quantity

    @property
    def length(self) -> float:
        """Size of the effect, in the outcome's unit."""
        return float(abs(self.high.magnitude - self.low.magnitude))


@dataclass(frozen=True, slots=True)
class Tornado:
    """Effects of all inputs, each alone. central: outcomes with every input as given."""

    central: dict[str, Quantity] = field(repr=False)
    effects: dict[str, tuple[Bar, ...]] = field(repr=False)

    def bars(self, name: str) -> tuple[Bar, ...]:
        """The inputs' effects on one outcome, largest first.

        Raises: BadSweep, if no outcome has that name.
        """
        if name not in self.effects:
            raise BadSweep(
                tr(
                    'No outcome is called "{name}". There are: {outcomes}.',
                    name=name,
                    outcomes=", ".join(OUTCOMES),
                )
            )
        return self.effects[name]

    def _repr_html_(self) -> str:
        return "".join(_table(name, bars) for name, bars in self.effects.items())


def tornado(
    preparation: Preparation,
    plan: DosePlan | None = None,
    parameters: Parameters | None = None,
    *,
    inputs: Sequence[Tolerance] | None = None,
    duration: QuantityLike = "5 h",
    stirred: bool = True,
    surface: str = "ordinary",
) -> Tornado:
    """Move each input alone, two standard uncertainties down and up, and see what it does.

    Raises: errors of ``simulate_reduction``.
    """
    given = problem(
        preparation,
        plan,
        parameters,
        inputs,
        duration=duration,
        stirred=stirred,
        surface=surface,
        seed=0,
    )
    moved = {
        one: tuple(outcome(given, {one.name: side}) for side in (-_DEVIATIONS, _DEVIATIONS))
        for one in given.inputs
    }
    effects = {}
    for at, (name, unit) in enumerate(OUTCOMES.items()):
        bars = [
            Bar(one, Quantity(low[at], unit), Quantity(high[at], unit))
            for one, (low, high) in moved.items()
        ]
        effects[name] = tuple(sorted(bars, key=lambda bar: -bar.length))
    central = outcome(given, {})
    units = OUTCOMES.items()
    return Tornado(
        {name: Quantity(central[at], unit) for at, (name, unit) in enumerate(units)}, effects
    )


def _table(name: str, bars: Sequence[Bar]) -> str:
    rows = "".join(
        f"<tr><th scope='row'>{escape(bar.tolerance.sentence)}</th><td>{escape(show(bar.low))}</td>"
        f"<td>{escape(show(bar.high))}</td></tr>"
        for bar in bars
    )
    caption = tr("What moves the {outcome}", outcome=tr(name))
    heads = "".join(f"<th>{escape(head)}</th>" for head in (tr("input"), tr("low"), tr("high")))
    return (
        f"<table class='potash-tornado'><caption>{escape(caption)}</caption>"
        f"<thead><tr>{heads}</tr></thead>"
        f"<tbody>{rows}</tbody></table>"
    )
