"""From a preparation and a plan to a ``Run``, and from several runs to a choice."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from html import escape

import numpy as np
from numpy.typing import NDArray

from potash.kinetics.batch import Batch, batch
from potash.kinetics.dosing import Dose, DosePlan, demand_within, staggered
from potash.kinetics.errors import OutOfReach, RouteNotModelled
from potash.kinetics.heats import reaction_heats
from potash.kinetics.integration import Trajectory, Watch, follow
from potash.kinetics.network import INDEX, REACTIONS
from potash.kinetics.parameters import Parameters, teaching_values
from potash.kinetics.rates import Laws, laws, reaction_rates
from potash.kinetics.run import NOT_A_PREDICTION, Run
from potash.kinetics.signs import signs
from potash.preparation import Preparation
from potash.units import Quantity, QuantityLike, magnitude, show
from potash.words import later, tr

SURFACES = (later("fresh"), later("ordinary"), later("oxidised"))
_HYDROGEN = np.array([parts.get("hydrogen", 0) for parts in REACTIONS.values()], dtype=float)


def standing_plan(preparation: Preparation, every: QuantityLike = "60 min") -> DosePlan:
    """The preparation's own catalyst in its own number of doses, ``every`` hour by default.

    Raises: RouteNotModelled, if the preparation does not go by this route.
    """
    return _standing(batch(preparation), every)


def _standing(found: Batch, every: QuantityLike) -> DosePlan:
    return staggered(Quantity(found.alcohol_volume * 1e6, "mL"), found.doses, every)


def simulate_reduction(
    preparation: Preparation,
    plan: DosePlan | None = None,
    parameters: Parameters | None = None,
    *,
    duration: QuantityLike = "5 h",
    stirred: bool = True,
    surface: str = "ordinary",
) -> Run:
    r"""Follow the catalysed reduction of a hydroxide by magnesium over time.

    .. math:: \dot\xi_j = r_j(n, T), \qquad n = n_0 + \sum_j \nu_j \xi_j

    with the rate laws of ``potash.kinetics.rates``. The numbers are teaching values: the run shows
    how such a reduction behaves and predicts nobody's yield.

    Parameters: plan, ``standing_plan(preparation)`` if none; parameters, ``teaching_values()`` if
    none; duration, above 0 and at most 48 h, from the start of heating; stirred, whether the
    mixture is stirred all the time; surface, of the reductant: "fresh", "ordinary" or "oxidised".
    Returns: the run, frozen.
    Raises: RouteNotModelled; BadPlan, if a dose falls after the end; OutOfBounds,
    UnreadableQuantity or WrongDimension, for the duration.
    Source: structure, common practice, no source; shrinking particles, Levenspiel (1999), ch. 25.
    """
    found = batch(preparation)
    end = magnitude("duration", duration, "s", above=0, at_most=48 * 3600)
    chosen = plan or plan_within(found, end)
    numbers = parameters or teaching_values()
    demand_within(chosen, end)
    law = laws(found, numbers, stirred=stirred, surface=surface_named(surface))
    followed = follow(law, end, *in_moles(found, chosen))
    return _run(preparation.title, found, law, followed, chosen, numbers, stirred, surface)


def compare(
    preparation: Preparation, plans: Iterable[DosePlan], **settings: object
) -> tuple[Run, ...]:
    """One run for each plan, all else equal; ``settings`` as for ``simulate_reduction``."""
    return tuple(simulate_reduction(preparation, plan, **settings) for plan in plans)  # type: ignore[arg-type]


@dataclass(frozen=True, slots=True)
class LeastAlcohol:
    """The smallest dose that reaches a wanted yield, for one kind of plan.

    volume: alcohol in all (mL), to 1 %; run: what it gives; wanted: the yield asked for (percent).
    """

    volume: Quantity
    run: Run
    wanted: Quantity

    def _repr_html_(self) -> str:
        told = tr(
            "{volume} of alcohol, {plan}, reach {reached} where {wanted} are wanted.",
            volume=show(self.volume),
            plan=self.run.plan.title,
            reached=show(self.run.final_yield),
            wanted=show(self.wanted),
        )
        return f"<p>{escape(told)} {escape(NOT_A_PREDICTION)}</p>"


def least_alcohol(
    preparation: Preparation,
    wanted: QuantityLike,
    *,
    doses: int = 1,
    every: QuantityLike = "60 min",
    at_most: QuantityLike = "5 mL",
    **settings: object,
) -> LeastAlcohol:
    """The least alcohol, given in equal doses at an interval, whose final yield is ``wanted``.

    Parameters: wanted, a fraction above 0 and below 1; doses and every, of the plan; at_most, the
    largest volume that is tried; settings, as for ``simulate_reduction``.
    Raises: OutOfReach, naming the best yield found and where; errors of ``simulate_reduction``.
    """
    goal = magnitude("wanted yield", wanted, "", above=0, below=1)
    largest = magnitude("largest volume", at_most, "mL", above=0)

    def reached(volume: float) -> Run:
        plan = staggered(Quantity(volume, "mL"), doses, every)
        return simulate_reduction(preparation, plan, **settings)  # type: ignore[arg-type]

    tried = [(volume, reached(volume)) for volume in np.geomspace(largest / 256, largest, 17)]
    enough = next((at for at, (_, run) in enumerate(tried) if _reaches(run, goal)), None)
    if enough is None:
        volume, best = max(tried, key=lambda one: one[1].final_yield.magnitude)
        raise OutOfReach(
            tr(
                "{wanted} is out of reach: of all volumes up to {largest}, {volume} gives the "
                "most, {final_yield}. Ask for less, or change stirring, moisture or the doses.",
                wanted=show(Quantity(100 * goal, "percent")),
                largest=show(Quantity(largest, "mL")),
                volume=show(Quantity(volume, "mL")),
                final_yield=show(best.final_yield),
            )
        )
    low = tried[enough - 1][0] if enough else 0.0
    high, run = tried[enough]
    while high - low > 0.01 * high:
        middle = (low + high) / 2
        between = reached(middle)
        if _reaches(between, goal):
            high, run = middle, between
        else:
            low = middle
    return LeastAlcohol(Quantity(high, "mL"), run, Quantity(100 * goal, "percent"))


def in_moles(found: Batch, plan: DosePlan) -> tuple[tuple[tuple[float, float], ...], Watch | None]:
    """A plan as the integrator takes it: doses as (s, mol), and doses on sight."""
    moles = found.moles_per_volume_of_alcohol
    fixed = tuple((dose.seconds, dose.volume.m_as("m^3") * moles) for dose in plan.doses)
    sight = plan.on_tarnish
    if sight is None:
        return fixed, None
    volume, wait = sight.volume.m_as("m^3"), sight.wait.m_as("s")
    since = sight.since.m_as("s")
    return fixed, Watch(volume * moles, sight.at_most, wait, sight.threshold, since)


def rates_along(law: Laws, followed: Trajectory) -> NDArray[np.float64]:
    """Rate of each reaction (mol/s) at each step, shape (reactions, n)."""
    amounts = followed.amounts(law).T.tolist()
    hot = law.constants(law.working_temperature)
    rates = [
        reaction_rates(
            law, hot if t >= law.heating_time else law.constants(law.temperature(t)), row, bare
        )
        for t, row, bare in zip(
            followed.time.tolist(), amounts, followed.bare.tolist(), strict=True
        )
    ]
    return np.array(rates).T[:-1]


def hydrogen_rate(law: Laws, followed: Trajectory) -> NDArray[np.float64]:
    """Hydrogen released (mol/s) at each step, shape (n,)."""
    return np.asarray(_HYDROGEN @ rates_along(law, followed))


def plan_within(found: Batch, end: float) -> DosePlan:
    """The standing plan, or, in a run too short for it, the same doses closer together."""
    hour = min(3600.0, end / found.doses)
    return _standing(found, Quantity(hour / 60, "min"))


def _run(
    title: str,
    found: Batch,
    law: Laws,
    followed: Trajectory,
    plan: DosePlan,
    numbers: Parameters,
    stirred: bool,
    surface: str,
) -> Run:
    amounts = followed.amounts(law)
    rates = rates_along(law, followed)
    gas_rate = _HYDROGEN @ rates
    heats, missing = reaction_heats(
        found.metal,
        found.temperature,
        numbers["formation_enthalpy"].si,
        numbers["reduction_enthalpy"].si,
    )
    molar_volume = found.vent_molar_volume
    millilitres_per_mole = 1e6 / found.moles_per_volume_of_alcohol
    seen = signs(found, followed.time, amounts, gas_rate)
    return Run(
        title=title,
        plan=plan,
        parameters=numbers,
        stirred=stirred,
        surface=surface,
        doses=tuple(
            Dose(Quantity(t / 60, "min"), Quantity(moles * millilitres_per_mole, "mL"))
            for t, moles in followed.doses
        ),
        time=Quantity(followed.time / 60, "min"),
        temperature=Quantity(np.array([law.temperature(t) for t in followed.time]), "K"),
        amounts={name: Quantity(amounts[at], "mol") for name, at in INDEX.items()},
        bare_share=Quantity(followed.bare, "dimensionless"),
        metal_yield=Quantity(100 * amounts[INDEX["metal"]] / found.yield_basis, "percent"),
        gas_rate=Quantity(gas_rate, "mol/s"),
        gas_flow=Quantity(gas_rate * molar_volume * 6e7, "mL/min"),
        gas_volume=Quantity(amounts[INDEX["hydrogen"]] * molar_volume * 1e6, "mL"),
        heat_rate=Quantity(-heats @ rates, "W"),
        heat=Quantity(-heats @ followed.extents / 1e3, "kJ"),
        most_metal=Quantity(found.most_metal, "mol"),
        vent_temperature=Quantity(found.vent_temperature, "K"),
        vent_pressure=Quantity(found.vent_pressure, "Pa"),
        signs=seen,
        warnings=tuple(_warnings(found, amounts, [sign.name for sign in seen], missing)),
        composition=found.composition,
    )


def _warnings(
    found: Batch, amounts: NDArray[np.float64], seen: list[str], missing: tuple[str, ...]
) -> Iterator[str]:
    yield NOT_A_PREDICTION
    if found.most_metal == 0.0:
        yield (
            tr(
                "The water takes all of the reductant: no metal can form. Dry the reagents or "
                "weigh more reductant."
            )
        )
    if found.alcohol_class != "tertiary":
        yield (
            tr(
                "{alcohol_name} is a {alcohol_class} alcohol; only tertiary ones carry the "
                "catalysis (common practice, no source).",
                alcohol_name=found.alcohol_name,
                alcohol_class=found.alcohol_class,
            )
        )
    if found.metal in ("Li", "Na"):
        yield (
            tr(
                "{metal} is reluctant by this route although its Gibbs energy may look "
                "favourable: the difference is kinetic (common practice, no source).",
                metal=found.metal,
            )
        )
    if "tarnishing" in seen or "grains" in seen:
        yield tr("The beads tarnish at times: the alkoxide ran low there.")
    crust = amounts[INDEX["crust"], -1]
    if found.most_metal and crust > 0.05 * found.most_metal:
        yield (
            tr(
                "Crust lies on the metal at the end. A coloured crust on potassium is a "
                "shock-sensitive hazard: it is not scraped, cut or heated."
            )
        )
    if missing:
        yield tr("The heat leaves out, for want of a table: {missing}.", missing=", ".join(missing))


def surface_named(given: str) -> str:
    """``given``, if it is one of ``SURFACES``. Raises: RouteNotModelled."""
    if given not in SURFACES:
        raise RouteNotModelled(
            tr(
                'The surface of the reductant is given as "{surface}". It is one of: {surfaces}.',
                surface=str(given)[:40],
                surfaces=", ".join(SURFACES),
            )
        )
    return given


def _reaches(run: Run, goal: float) -> bool:
    return float(run.final_yield.m_as("percent")) >= 100 * goal
