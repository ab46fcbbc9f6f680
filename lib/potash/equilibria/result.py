"""``equilibrium`` at one temperature and pressure, ``sweep`` over many."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from html import escape
from math import exp, log

import numpy as np

from potash.equilibria.errors import BadMixture, NoConvergence, NoFeasibleComposition
from potash.equilibria.minimiser import Minimiser, Minimum
from potash.equilibria.mixture import Candidate, Mixture, mixture
from potash.properties.curves import Floats
from potash.units import Quantity, QuantityLike, magnitude, show, ureg
from potash.words import tr

_TRACE = 1e-12  # of the atoms put in; smaller amounts are not listed
_LOWEST, _HIGHEST = 1e-12, 1e3  # bar, between which the pressure of a first gas is sought

# Named units are looked up by their spelling at each quantity; these are looked up once.
_KELVIN, _BAR, _MOL = ureg.Unit("K"), ureg.Unit("bar"), ureg.Unit("mol")

CAUTION = tr("Each condensed phase is taken as pure; melts that mix and rates are left out.")


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
            raise KeyError(
                tr(
                    "{name} was not considered; these were: {considered}",
                    name=name,
                    considered=", ".join(self.considered),
                )
            )
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
        lines = ["  ".join(filter(None, row)) for row in self.rows()]
        return "\n".join([self._caption(), *lines, *self.notes])

    def _caption(self) -> str:
        return tr(
            "Equilibrium at {temperature} and {pressure}",
            temperature=show(self.temperature, 5),
            pressure=show(self.pressure, 3),
        )

    def _repr_html_(self) -> str:
        body = "".join(
            f'<tr><th scope="row">{escape(name)}</th><td>{escape(n)}</td><td>{escape(p)}</td></tr>'
            for name, n, p in self.rows()
        )
        notes = "".join(f"<p>{escape(note)}</p>" for note in self.notes)
        heads = "".join(
            f'<th scope="col">{escape(head)}</th>'
            for head in (tr("species"), tr("amount"), tr("partial pressure"))
        )
        return (
            f'<table class="potash-equilibrium"><caption>{escape(self._caption())}</caption>'
            f"<thead><tr>{heads}</tr></thead><tbody>{body}</tbody></table>{notes}"
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
    T = _scalar("temperature", temperature, "K")
    p = _scalar("pressure", pressure, "bar")
    mixed = mixture(given, species)
    return _equilibrium(mixed, T, p, Solver(mixed).at(T, p))


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
    solved = np.array([[*found.condensed, *found.gas] for found in Solver(mixed).over(T, p)])
    listed = np.where(solved > _TRACE * sum(mixed.totals), solved, 0.0)
    for candidate, moles in zip(mixed.candidates, listed.T, strict=True):
        for name, here in candidate.names(T):
            if moles[here].any():
                amounts[name] = amounts.get(name, 0.0) + np.where(here, moles, 0.0)
    return Sweep(
        temperature=Quantity(T, "K"),
        pressure=Quantity(p, "bar"),
        amounts={name: Quantity(moles, "mol") for name, moles in amounts.items()},
        notes=(CAUTION, *_notes(mixed, float(T.min()), float(T.max()), float(p.max()))),
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
    T = _scalar("temperature", temperature, "K")
    mixed = mixture(given, species)
    solver = Solver(mixed)

    def has_gas(log_pressure: float) -> bool:
        return sum(solver.at(T, exp(log_pressure)).gas) > 1e-9 * sum(mixed.totals)

    low, high = log(_LOWEST), log(_HIGHEST)
    at_any, at_low = has_gas(high), has_gas(low)
    if at_any or not at_low:
        raise BadMixture(
            tr("At {temperature:g} K there is gas over this charge ", temperature=T)
            + (tr("at any pressure") if at_any else tr("only below {lowest:g} bar", lowest=_LOWEST))
            + tr(", so that no pressure marks where it begins to form.")
        )
    while high - low > 1e-7:
        middle = (low + high) / 2
        low, high = (middle, high) if has_gas(middle) else (low, middle)
    p = exp(low - 1e-6)
    return _equilibrium(mixed, T, p, solver.at(T, p))


# ------------------------------------------------------------------ solving


def _scalar(name: str, value: QuantityLike, unit: str) -> float:
    number = magnitude(name, value, unit, above=0)
    if np.ndim(number):
        raise ValueError(tr("{name} must be one quantity here; sweep() takes several.", name=name))
    return float(number)


class Solver:
    """A mixture at one temperature and pressure after another, each from the one before."""

    def __init__(self, mixed: Mixture) -> None:
        self._mixed = mixed
        self._minimiser = Minimiser(mixed.condensed_atoms, mixed.gas_atoms, mixed.totals)

    def at(self, T: float, p: float) -> Minimum:
        """The minimum at ``T`` (K) and ``p`` (bar).

        Raises: NoFeasibleComposition, NoConvergence.
        """
        return self._solve(T, p, self._mixed.energies(T))

    def over(self, T: Floats, p: Floats) -> list[Minimum]:
        """The minimum at each of several temperatures and pressures, shape (n,)."""
        energies = np.array([c.energies(T) for c in self._mixed.candidates]).T
        return list(map(self._solve, T.tolist(), p.tolist(), energies.tolist()))

    def _solve(self, T: float, p: float, energies: list[float]) -> Minimum:
        condensed = len(self._mixed.condensed)
        log_p = log(p)
        try:
            return self._minimiser.at(
                energies[:condensed], [energy + log_p for energy in energies[condensed:]]
            )
        except NoFeasibleComposition:
            raise NoFeasibleComposition(_infeasible(self._mixed, T)) from None
        except NoConvergence as problem:
            raise NoConvergence(
                tr(
                    "{problem} Conditions: {temperature:g} K, {pressure:g} bar. Slightly other "
                    "ones may do.",
                    problem=problem,
                    temperature=T,
                    pressure=p,
                )
            ) from None


def _infeasible(mixed: Mixture, T: float) -> str:
    names = [c.name_at(T) for c in mixed.candidates if c.has_data_at(T)]
    put_in = ", ".join(
        tr("{total:g} mol {element}", total=total, element=element)
        for element, total in zip(mixed.elements, mixed.totals, strict=True)
    )
    return tr(
        "No amounts of {names} add up to {put_in} at {temperature:g} K. Consider more species, or "
        "another temperature.",
        names=", ".join(names) or tr("any species (none has data)"),
        put_in=put_in,
        temperature=T,
    )


# ------------------------------------------------------------------ telling


def _equilibrium(mixed: Mixture, T: float, p: float, solved: Minimum) -> Equilibrium:
    least = _TRACE * sum(mixed.totals)
    moles = zip(mixed.candidates, [*solved.condensed, *solved.gas], strict=True)
    listed = sorted(((c, n) for c, n in moles if n > least), key=lambda pair: -pair[1])
    gas = sum(solved.gas)
    return Equilibrium(
        temperature=Quantity(T, _KELVIN),
        pressure=Quantity(p, _BAR),
        amounts={c.name_at(T): Quantity(n, _MOL) for c, n in listed},
        partial_pressures={
            c.name_at(T): Quantity(n / gas * p, _BAR) for c, n in listed if c.is_gas
        },
        considered=tuple(c.name_at(T) for c in mixed.candidates if c.has_data_at(T)),
        notes=(CAUTION, *_notes(mixed, T, T, p)),
    )


def _notes(mixed: Mixture, coldest: float, hottest: float, p: float) -> list[str]:
    """Which species had no data, where that could matter up to a pressure ``p``."""
    # At 1 bar and less a condensed phase whose table ends at its boiling point has boiled.
    missing = [
        c for c in mixed.candidates
        if coldest < c.gibbs_energy.low
        or (hottest > c.gibbs_energy.high and (p > 1 or not _boils(c, mixed)))
    ]  # fmt: skip
    names = ", ".join(dict.fromkeys(c.name_at(hottest) for c in missing))
    return [tr("Left out where they have no data: {names}.", names=names)] if names else []


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
