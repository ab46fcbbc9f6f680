"""Monte Carlo over what is not exactly known: the spread of yield and gas, not one number."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from html import escape

import numpy as np
from numpy.typing import NDArray

from potash.kinetics import DosePlan, Parameters
from potash.kinetics.run import NOT_A_PREDICTION
from potash.preparation import Preparation
from potash.units import Quantity, QuantityLike, show
from potash.whatif.cluster import chunks_on_cluster
from potash.whatif.errors import BadSweep
from potash.whatif.inputs import OUTCOMES, Problem, Tolerance, draw, outcome, problem
from potash.words import tr

_MOST_SAMPLES = 1_000_000
_CHUNK = 20  # runs a piece: half a second of work, so that progress moves and cancelling is quick


@dataclass(frozen=True, slots=True)
class Spread:
    """Outcomes of many runs.

    samples: by outcome, shape (done,), in the order of their numbers; asked, done: how many runs.
    inputs: what was moved; seed: with which the same numbers come again.
    """

    samples: Mapping[str, Quantity] = field(repr=False)
    asked: int
    done: int
    inputs: tuple[Tolerance, ...] = field(repr=False)
    seed: int

    @property
    def cancelled(self) -> bool:
        """Whether it was stopped before all runs were made."""
        return self.done < self.asked

    def interval(self, name: str, share: float = 0.95) -> tuple[Quantity, Quantity]:
        """The middle ``share`` of an outcome's samples, low and high.

        Raises: BadSweep, if no such outcome is known or no run was made.
        """
        tail = 50 * (1 - share)
        low, high = np.percentile(self._values(name), [tail, 100 - tail])
        return Quantity(float(low), OUTCOMES[name]), Quantity(float(high), OUTCOMES[name])

    def median(self, name: str) -> Quantity:
        """The middle sample of an outcome. Raises: as ``interval``."""
        return Quantity(float(np.median(self._values(name))), OUTCOMES[name])

    def _values(self, name: str) -> NDArray[np.float64]:
        if name not in OUTCOMES:
            raise BadSweep(
                tr(
                    'No outcome is called "{name}". There are: {outcomes}.',
                    name=name,
                    outcomes=", ".join(OUTCOMES),
                )
            )
        if not self.done:
            raise BadSweep(tr("The sweep was cancelled before its first run; there is no spread."))
        return np.asarray(self.samples[name].magnitude)

    def _repr_html_(self) -> str:
        if not self.done:
            return f"<p>{escape(tr('Cancelled before the first run.'))}</p>"
        rows = ""
        for name in OUTCOMES:
            low, high = self.interval(name)
            rows += (
                f"<tr><th "
                f"scope='row'>{escape(tr(name))}</th><td>{escape(show(self.median(name)))}</td>"
                f"<td>{escape(show(low))} to {escape(show(high))}</td></tr>"
            )
        stopped = tr(", stopped after {done}", done=self.done) if self.cancelled else ""
        caption = tr("{number} runs{stopped}", number=self.asked, stopped=stopped)
        heads = (tr("outcome"), tr("middle"), tr("19 of 20 runs"))
        return (
            f"<table class='potash-spread'><caption>{escape(caption)}</caption><thead><tr>"
            + "".join(f"<th>{escape(head)}</th>" for head in heads)
            + "</tr></thead>"
            f"<tbody>{rows}</tbody></table><p>{escape(NOT_A_PREDICTION)}</p>"
        )


def monte_carlo(
    preparation: Preparation,
    plan: DosePlan | None = None,
    parameters: Parameters | None = None,
    *,
    samples: int = 1000,
    seed: int = 1,
    inputs: Sequence[Tolerance] | None = None,
    duration: QuantityLike = "5 h",
    stirred: bool = True,
    surface: str = "ordinary",
    progress: Callable[[int, int], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
    cluster: str | None = None,
) -> Spread:
    """Many runs, each with every input moved at random by its tolerance.

    Absolute tolerances are normal, relative ones log-normal, all independent. Run number i has its
    own random stream, so the numbers depend on ``seed`` alone: not on order, nor on the cluster.

    Parameters: samples, 1 or more; inputs, ``tolerances()`` if none; progress, called with runs
    done and asked; cancelled, asked between pieces of 20 runs; cluster, the address of a Dask
    scheduler, such as "tcp://10.0.0.5:8786", on whose workers Potash is installed.
    Returns: the spread; if cancelled, of the runs made so far.
    Raises: BadSweep; NoCluster; errors of ``simulate_reduction``.
    Source: JCGM 101:2008, propagation of distributions using a Monte Carlo method.
    """
    _demand_samples(samples)
    given = problem(
        preparation,
        plan,
        parameters,
        inputs,
        duration=duration,
        stirred=stirred,
        surface=surface,
        seed=seed,
    )
    found = np.full((samples, len(OUTCOMES)), np.nan)
    pieces = [(first, min(first + _CHUNK, samples)) for first in range(0, samples, _CHUNK)]
    made = chunks_on_cluster(cluster, given, pieces, chunk) if cluster else _here(given, pieces)
    done = 0
    if progress:
        progress(0, samples)
    stop = cancelled or (lambda: False)
    for first, rows in _until(made, stop):
        found[first : first + len(rows)] = rows
        done += len(rows)
        if progress:
            progress(done, samples)
    kept = found[~np.isnan(found[:, 0])]
    return Spread(
        samples={
            name: Quantity(kept[:, at], unit) for at, (name, unit) in enumerate(OUTCOMES.items())
        },
        asked=samples,
        done=len(kept),
        inputs=given.inputs,
        seed=seed,
    )


def chunk(given: Problem, first: int, last: int) -> tuple[int, list[tuple[float, ...]]]:
    """Runs ``first`` to ``last`` - 1 of a sweep, here or on a worker."""
    return first, [outcome(given, draw(given, number)) for number in range(first, last)]


def _here(
    given: Problem, pieces: Sequence[tuple[int, int]]
) -> Iterator[tuple[int, list[tuple[float, ...]]]]:
    for first, last in pieces:
        yield chunk(given, first, last)


def _until(
    made: Iterator[tuple[int, list[tuple[float, ...]]]], stop: Callable[[], bool]
) -> Iterator[tuple[int, list[tuple[float, ...]]]]:
    while not stop():
        piece = next(made, None)
        if piece is None:
            return
        yield piece
    close = getattr(made, "close", None)
    if close:
        close()


def _demand_samples(samples: object) -> None:
    whole = isinstance(samples, int) and not isinstance(samples, bool)
    if not whole or not 1 <= int(str(samples)) <= _MOST_SAMPLES:
        raise BadSweep(
            tr(
                "samples is {samples}; it must be a whole number from 1 to {most}, such as 200.",
                samples=samples,
                most=_MOST_SAMPLES,
            )
        )
