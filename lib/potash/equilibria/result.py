"""``equilibrium`` at one temperature and pressure, ``sweep`` over many."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from html import escape

import numpy as np
from numpy.typing import NDArray

from potash.equilibria.errors import BadMixture, NoConvergence, NoFeasibleComposition
from potash.equilibria.minimiser import Minimum, Problem, minimise
from potash.equilibria.mixture import Candidate, Mixture, independent_rows, mixture
from potash.properties.curves import Floats
from potash.units import Quantity, QuantityLike, magnitude, show

Held = NDArray[np.bool_]

_TRACE = 1e-12  # of the atoms put in; smaller amounts are not listed
_FEASIBLE = 1e-9  # of the largest total
_LOWEST, _HIGHEST = 1e-12, 1e3  # bar, between which the pressure of a first gas is sought

CAUTION = "Each condensed phase is taken as pure; melts that mix and rates are left out."


@dataclass(frozen=True, slots=True)
class Equilibrium:
    """A mixture at equilibrium.

    temperature: K. pressure: bar. amounts: mol by species with its phase, largest first, without
    traces below 1e-12 of the atoms put in. partial_pressures: bar, of the gases among them; empty
    where no gas forms. considered: every species that could have formed. notes: what to know.
    """

    temperature: Quantity
    pressure: Quantity
    amounts: Mapping[str, Quantity]
    partial_pressures: Mapping[str, Quantity]
    considered: tuple[str, ...]
    notes: tuple[str, ...]

    def amount(self, name: str) -> Quantity:
        """Amount of a species as listed ("KCl(l)"), mol; zero if it was considered but is absent.

        Raises: KeyError, if it was not considered.
        """
        if name not in self.considered:
            raise KeyError(f"{name} was not considered; these were: {', '.join(self.considered)}")
        return self.amounts.get(name, Quantity(0.0, "mol"))

    @property
    def gas_amount(self) -> Quantity:
        """Total amount of gas, mol."""
        return sum((self.amounts[name] for name in self.partial_pressures), Quantity(0.0, "mol"))

    def rows(self) -> list[tuple[str, str, str]]:
        """The table as text: species, amount, partial pressure."""
        return [
            (name, show(amount, 4), _shown(self.partial_pressures.get(name)))
            for name, amount in self.amounts.items()
        ]

    def __str__(self) -> str:
        head = f"Equilibrium at {show(self.temperature, 5)} and {show(self.pressure, 3)}"
        lines = ["  ".join(filter(None, row)) for row in self.rows()]
        return "\n".join([head, *lines, *self.notes])

    def _repr_html_(self) -> str:
        body = "".join(
            f'<tr><th scope="row">{escape(name)}</th><td>{escape(n)}</td><td>{escape(p)}</td></tr>'
            for name, n, p in self.rows()
        )
        notes = "".join(f"<p>{escape(note)}</p>" for note in self.notes)
        return (
            '<table class="potash-equilibrium"><caption>Equilibrium at '
            f"{escape(show(self.temperature, 5))} and {escape(show(self.pressure, 3))}</caption>"
            '<thead><tr><th scope="col">species</th><th scope="col">amount</th>'
            '<th scope="col">partial pressure</th></tr></thead>'
            f"<tbody>{body}</tbody></table>{notes}"
        )


@dataclass(frozen=True, slots=True)
class Sweep:
    """Equilibria of one mixture over temperature, pressure or both.

    temperature: K, shape (n,). pressure: bar, shape (n,). amounts: mol by species with its phase,
    shape (n,), in the order of the table; phases of a species that never form are left out.
    """

    temperature: Quantity
    pressure: Quantity
    amounts: Mapping[str, Quantity]
    notes: tuple[str, ...]


def equilibrium(
    given: Mapping[str, QuantityLike],
    *,
    temperature: QuantityLike,
    pressure: QuantityLike = "1 bar",
    species: Iterable[str] | None = None,
) -> Equilibrium:
    """The amounts that minimise the Gibbs energy of what is put in.

    Parameters: given, amounts by formula ({"KCl": "1 mol", "Na": "1 mol"}); temperature; pressure,
    above zero; species, those that may form, or None for all in the tables.
    Returns: amounts of pure condensed phases and of an ideal gas.
    Raises: BadMixture, NoFeasibleComposition, NoConvergence, and what the readers of formulas and
    quantities raise.
    Source: see ``potash.equilibria.minimiser``.
    """
    T = np.array([_scalar("temperature", temperature, "K")])
    p = np.array([_scalar("pressure", pressure, "bar")])
    mixed = mixture(given, species)
    (solved,) = _solved(mixed, T, p)
    return _equilibrium(mixed, float(T[0]), float(p[0]), solved)


def sweep(
    given: Mapping[str, QuantityLike],
    *,
    temperature: QuantityLike,
    pressure: QuantityLike = "1 bar",
    species: Iterable[str] | None = None,
) -> Sweep:
    """``equilibrium`` at each of many temperatures or pressures, shape (n,); either may be one.

    Raises: as ``equilibrium``; ValueError, if the shapes do not fit together.
    """
    T, p = np.broadcast_arrays(
        np.atleast_1d(magnitude("temperature", temperature, "K", above=0)),
        np.atleast_1d(magnitude("pressure", pressure, "bar", above=0)),
    )
    mixed = mixture(given, species)
    amounts: dict[str, Floats] = {}
    for i, solved in enumerate(_solved(mixed, T, p)):
        for candidate, moles in _listed(mixed, solved):
            name = candidate.name_at(float(T[i]))
            amounts.setdefault(name, np.zeros(len(T)))[i] = moles
    return Sweep(
        temperature=Quantity(T, "K"),
        pressure=Quantity(p, "bar"),
        amounts={name: Quantity(moles, "mol") for name, moles in amounts.items()},
        notes=(CAUTION, *_notes(mixed, T, p)),
    )


def gas_pressure(
    given: Mapping[str, QuantityLike],
    *,
    temperature: QuantityLike,
    species: Iterable[str] | None = None,
) -> Equilibrium:
    """The equilibrium at the pressure at which the first gas forms over a charge.

    That is the pressure of vapours in a retort, closed and without other gas: the charge gives off
    gas below it and keeps everything condensed above.

    Parameters: as ``equilibrium``.
    Returns: the equilibrium a millionth below that pressure; its ``pressure`` and
    ``partial_pressures`` are those of the vapours.
    Raises: BadMixture, if there is gas at any pressure up to 1000 bar, or none down to 1e-12 bar;
    and as ``equilibrium``.
    """
    T = np.array([_scalar("temperature", temperature, "K")])
    mixed = mixture(given, species)
    low, high = np.log(_LOWEST), np.log(_HIGHEST)
    if _has_gas(mixed, T, high) or not _has_gas(mixed, T, low):
        raise BadMixture(
            f"At {T[0]:g} K there is gas over this charge "
            + ("at any pressure" if _has_gas(mixed, T, high) else f"only below {_LOWEST:g} bar")
            + ", so that no pressure marks where it begins to form."
        )
    while high - low > 1e-7:
        middle = (low + high) / 2
        low, high = (middle, high) if _has_gas(mixed, T, middle) else (low, middle)
    p = np.exp([low - 1e-6])
    return _equilibrium(mixed, float(T[0]), float(p[0]), _solved(mixed, T, p)[0])


def _has_gas(mixed: Mixture, T: Floats, log_pressure: float) -> bool:
    gas = _solved(mixed, T, np.exp([log_pressure]))[0].gas
    return bool(gas.sum() > 1e-9 * mixed.totals.sum())


# ------------------------------------------------------------------ solving


def _scalar(name: str, value: QuantityLike, unit: str) -> float:
    number = magnitude(name, value, unit, above=0)
    if np.ndim(number):
        raise ValueError(f"{name} must be one quantity here; sweep() takes several.")
    return float(number)


def _solved(mixed: Mixture, T: Floats, p: Floats) -> list[Minimum]:
    """The minimum at each temperature and pressure, each from the one before."""
    g = np.array([c.energies(T) for c in mixed.condensed]).reshape(-1, len(T)).T
    h = np.array([c.energies(T) for c in mixed.gas]).reshape(-1, len(T)).T + np.log(p)[:, None]
    solved: list[Minimum] = []
    held: tuple[bytes, bytes] | None = None
    for i in range(len(T)):
        here, gas_here = np.isfinite(g[i]), np.isfinite(h[i])
        if held != (here.tobytes(), gas_here.tobytes()):
            problem = _problem(mixed, here, gas_here, float(T[i]))
            held, start = (here.tobytes(), gas_here.tobytes()), None
        try:
            start = minimise(problem, g[i][here], h[i][gas_here], start)
        except NoConvergence as problem_met:
            raise NoConvergence(
                f"{problem_met} Conditions: {T[i]:g} K, {p[i]:g} bar. Slightly other ones may do."
            ) from None
        solved.append(_over_all(start, here, gas_here))
    return solved


def _problem(mixed: Mixture, here: Held, gas_here: Held, T: float) -> Problem:
    """The balances with the species that have data at ``T``.

    Raises: NoFeasibleComposition, unless amounts of at least zero can meet all balances.
    """
    from scipy.optimize import nnls  # loads slowly

    condensed = mixed.atoms(mixed.condensed)[:, here]
    gas = mixed.atoms(mixed.gas)[:, gas_here]
    columns = np.hstack([condensed, gas])
    if not columns.shape[1] or nnls(columns, mixed.totals)[1] > _FEASIBLE * mixed.totals.max():
        candidates = (*mixed.condensed, *mixed.gas)
        held = np.concatenate([here, gas_here])
        names = [c.name_at(T) for c, is_held in zip(candidates, held, strict=True) if is_held]
        raise NoFeasibleComposition(_infeasible(mixed, T, names))
    rows = independent_rows(columns)
    return Problem(condensed[rows], gas[rows], mixed.totals[rows])


def _over_all(found: Minimum, here: Held, gas_here: Held) -> Minimum:
    """``found`` with zeros for the species that had no data."""
    condensed, gas, fractions = (
        np.zeros(len(here)),
        np.zeros(len(gas_here)),
        np.zeros(len(gas_here)),
    )
    condensed[here], gas[gas_here], fractions[gas_here] = (
        found.condensed,
        found.gas,
        found.fractions,
    )
    return replace(found, condensed=condensed, gas=gas, fractions=fractions)


def _infeasible(mixed: Mixture, T: float, names: list[str]) -> str:
    put_in = ", ".join(
        f"{total:g} mol {element}"
        for element, total in zip(mixed.elements, mixed.totals, strict=True)
    )
    return (
        f"No amounts of {', '.join(names) or 'any species (none has data)'} add up to {put_in} at "
        f"{T:g} K. Consider more species, or another temperature."
    )


# ------------------------------------------------------------------ telling


def _listed(mixed: Mixture, solved: Minimum) -> list[tuple[Candidate, float]]:
    moles = np.concatenate([solved.condensed, solved.gas])
    least = _TRACE * mixed.totals.sum()
    candidates = (*mixed.condensed, *mixed.gas)
    return [(c, float(n)) for c, n in zip(candidates, moles, strict=True) if n > least]


def _equilibrium(mixed: Mixture, T: float, p: float, solved: Minimum) -> Equilibrium:
    listed = sorted(_listed(mixed, solved), key=lambda pair: -pair[1])
    gas = float(solved.gas.sum())
    candidates = (*mixed.condensed, *mixed.gas)
    here = [c for c in candidates if c.has_data_at(np.array([T]))[0]]
    return Equilibrium(
        temperature=Quantity(T, "K"),
        pressure=Quantity(p, "bar"),
        amounts={c.name_at(T): Quantity(n, "mol") for c, n in listed},
        partial_pressures={
            c.name_at(T): Quantity(n / gas * p, "bar") for c, n in listed if c.is_gas and gas > 0
        },
        considered=tuple(c.name_at(T) for c in here),
        notes=(CAUTION, *_notes(mixed, np.array([T]), np.array([p]))),
    )


def _notes(mixed: Mixture, T: Floats, p: Floats) -> list[str]:
    """Which species had no data, where that could matter."""
    candidates = (*mixed.condensed, *mixed.gas)
    short = [c for c in candidates if T.min() < c.gibbs_energy.low or T.max() > c.gibbs_energy.high]
    # At 1 bar and less a condensed phase whose table ends at its boiling point has boiled.
    missing = [
        c for c in short
        if p.max() > 1 or T.min() < c.gibbs_energy.low or not _boils(c, mixed)
    ]  # fmt: skip
    names = ", ".join(dict.fromkeys(c.name_at(float(T.max())) for c in missing))
    return [f"Left out where they have no data: {names}."] if names else []


def _boils(candidate: Candidate, mixed: Mixture) -> bool:
    """Whether, where its table ends, a condensed phase has less to offer than its own vapour."""
    end = candidate.gibbs_energy.high
    vapour = next((c for c in mixed.gas if c.formula == candidate.formula), None)
    if candidate.is_gas or vapour is None or not vapour.gibbs_energy.low <= end:
        return False
    # At the boiling point itself both are equal to the rounding of the tables.
    return bool(vapour.gibbs_energy(end) < candidate.gibbs_energy(end) + 10.0)


def _shown(pressure: Quantity | None) -> str:
    return "" if pressure is None else show(pressure, 3)
