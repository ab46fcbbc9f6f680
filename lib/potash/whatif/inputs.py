"""The inputs of a run that are not exactly known, and one run with some of them moved."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from math import exp, log1p

import numpy as np

from potash.charge.stoichiometry import weigh
from potash.formulas import molar_mass
from potash.kinetics import DosePlan, Parameters, batch, teaching_values
from potash.kinetics.batch import Batch
from potash.kinetics.dosing import demand_within
from potash.kinetics.integration import Watch, follow
from potash.kinetics.network import INDEX
from potash.kinetics.rates import laws
from potash.kinetics.simulation import hydrogen_rate, in_moles, plan_within, surface_named
from potash.preparation import Preparation
from potash.units import Quantity, QuantityLike, magnitude
from potash.words import later
from potash.words.tables import read_toml

OUTCOMES: Mapping[str, str] = {
    later("metal yield"): "percent",
    later("metal"): "mol",
    later("hydrogen"): "mol",
    later("peak gas flow"): "mL/min",
}
"""What is asked of each run, and its unit."""


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How well one input is known.

    kind: "absolute", in ``unit``, or "relative", a factor.
    value: one standard uncertainty. sentence: the input in words. label: "teaching value".
    """

    name: str
    kind: str
    value: float
    unit: str
    sentence: str
    label: str

    @property
    def si(self) -> float:
        """One standard uncertainty in SI units; of a relative one the logarithm of its factor."""
        if self.kind == "relative":
            return log1p(self.value)
        return float(Quantity(self.value, self.unit).to_base_units().magnitude)


@cache
def tolerances() -> tuple[Tolerance, ...]:
    """The tolerances that come with the workbook: teaching values, a judgement of the trade."""
    document = read_toml("whatif/data/tolerances.toml")
    label = document.pop("label")
    return tuple(Tolerance(name=name, label=label, **fields) for name, fields in document.items())


@dataclass(frozen=True, slots=True)
class Problem:
    """All that a worker needs to make any run of a sweep; plain data that travels to a cluster.

    weights: mass of hydroxide and reductant as weighed (kg), and their assays, by input name.
    doses: (time, mol); watch: doses on sight; end: of the run (s).
    """

    flask: Batch
    weights: Mapping[str, float]
    parameters: Parameters
    doses: tuple[tuple[float, float], ...]
    watch: Watch | None
    end: float
    stirred: bool
    surface: str
    inputs: tuple[Tolerance, ...]
    seed: int


def problem(
    preparation: Preparation,
    plan: DosePlan | None,
    parameters: Parameters | None,
    inputs: Sequence[Tolerance] | None,
    *,
    duration: QuantityLike,
    stirred: bool,
    surface: str,
    seed: int,
) -> Problem:
    """A sweep as plain data. Raises: as ``simulate_reduction``."""
    flask = batch(preparation)
    end = magnitude("duration", duration, "s", above=0, at_most=48 * 3600)
    chosen = plan or plan_within(flask, end)
    demand_within(chosen, end)
    doses, watch = in_moles(flask, chosen)
    source, reductant = preparation.metal_source, preparation.reductant
    return Problem(
        flask=flask,
        weights={
            "hydroxide_mass": weigh(source).mass.m_as("kg"),
            "hydroxide_assay": source.assay.m_as(""),
            "reductant_mass": weigh(reductant).mass.m_as("kg"),
            "reductant_assay": reductant.assay.m_as(""),
        },
        parameters=parameters or teaching_values(),
        doses=doses,
        watch=watch,
        end=float(end),
        stirred=stirred,
        surface=surface_named(surface),
        inputs=tuple(tolerances() if inputs is None else inputs),
        seed=seed,
    )


def draw(given: Problem, number: int) -> Mapping[str, float]:
    """Standard deviations by which each input is moved in run ``number``.

    Each run has a stream of its own, so that neither order nor place of the work changes a number.
    """
    stream = np.random.default_rng(np.random.SeedSequence(given.seed, spawn_key=(number,)))
    return dict(
        zip(
            (one.name for one in given.inputs),
            stream.standard_normal(len(given.inputs)).tolist(),
            strict=True,
        )
    )


def outcome(given: Problem, moved: Mapping[str, float]) -> tuple[float, ...]:
    """One run with its inputs moved by so many standard deviations; numbers as in ``OUTCOMES``."""
    by_name = {one.name: one for one in given.inputs}
    moves = {name: by_name[name].si * deviations for name, deviations in moved.items()}
    flask = _flask(given, moves)
    law = laws(
        flask,
        given.parameters,
        stirred=given.stirred,
        surface=given.surface,
        factors=_factors(given, moves),
    )
    share = (given.flask.alcohol_volume + moves.get("alcohol", 0.0)) / given.flask.alcohol_volume
    share = max(share, 0.0)
    doses = tuple((time, moles * share) for time, moles in given.doses)
    watch = replace(given.watch, moles=given.watch.moles * share) if given.watch else None
    followed = follow(law, given.end, doses, watch)
    last = followed.amounts(law)[:, -1]
    metal = float(last[INDEX["metal"]])
    peak = float(hydrogen_rate(law, followed).max())
    return (
        100 * metal / flask.yield_basis,
        metal,
        float(last[INDEX["hydrogen"]]),
        peak * flask.vent_molar_volume * 6e7,
    )


def _flask(given: Problem, moves: Mapping[str, float]) -> Batch:
    """The flask with weights, assays, moisture and temperature moved."""
    flask, weights = given.flask, given.weights
    hydroxide = 1 + moves.get("hydroxide_mass", 0.0) / weights["hydroxide_mass"]
    reductant = 1 + moves.get("reductant_mass", 0.0) / weights["reductant_mass"]
    assay = 1 + moves.get("hydroxide_assay", 0.0) / weights["hydroxide_assay"]
    pure = 1 + moves.get("reductant_assay", 0.0) / weights["reductant_assay"]
    more_water = moves.get("hydroxide_moisture", 0.0) * weights["hydroxide_mass"]
    return replace(
        flask,
        hydroxide=flask.hydroxide * max(hydroxide * assay, 1e-3),
        water=max(flask.water * hydroxide + more_water / _water(), 0.0),
        reductant=flask.reductant * max(reductant * pure, 1e-3),
        reductant_mass=flask.reductant_mass * max(reductant * pure, 1e-3),
        temperature=flask.temperature + moves.get("temperature", 0.0),
    )


def _factors(given: Problem, moves: Mapping[str, float]) -> Mapping[str, float]:
    """Factors on the numbers of the model, by their own names."""
    own = {
        "bare_share": f"bare_share_{given.surface}",
        "crusting": "crusting_stirred" if given.stirred else "crusting_still",
    }
    return {
        own.get(one.name, one.name): exp(moves[one.name])
        for one in given.inputs
        if one.kind == "relative" and one.name in moves
    }


@cache
def _water() -> float:
    """Molar mass of water (kg/mol)."""
    return float(molar_mass("H2O").m_as("kg/mol"))
