"""What is put in and what may come of it: elements in balance, and the species considered."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from math import inf

import numpy as np
from numpy.typing import NDArray

from potash.equilibria.errors import BadMixture, NoFeasibleComposition
from potash.formulas import parse
from potash.properties import GAS_CONSTANT, records, species_names
from potash.properties.curves import Curve, Floats, joined
from potash.properties.names import find
from potash.properties.records import Segment
from potash.units import QuantityLike, magnitude
from potash.words import tr


@dataclass(frozen=True, slots=True, eq=False)
class Candidate:
    """One species that may form: all its condensed phases together, or its gas.

    formula, atoms: by element. is_gas. segments: its phases in rising temperature.
    gibbs_energy: J/mol over T in K, through all its phases.
    """

    formula: str
    atoms: Mapping[str, float]
    is_gas: bool
    segments: tuple[Segment, ...]
    gibbs_energy: Curve

    def name_at(self, T: float) -> str:
        """With its phase at ``T`` (K): "KCl(l)"."""
        here = next((s for s in self.segments if s.high > T), self.segments[-1])
        return f"{self.formula}({here.phase})"

    def names(self, T: Floats) -> Iterator[tuple[str, NDArray[np.bool_]]]:
        """Each name that it has at any ``T`` (K), and at which, shape (n,)."""
        number = np.searchsorted([s.high for s in self.segments[:-1]], T, side="right")
        for i in np.unique(number).tolist():
            yield f"{self.formula}({self.segments[i].phase})", number == i

    def has_data_at(self, T: float) -> bool:
        """Whether its table holds ``T`` (K)."""
        return self.gibbs_energy.low <= T <= self.gibbs_energy.high

    def energy(self, T: float) -> float:
        """Gibbs energy over R T at ``T`` (K); infinite where there are no data."""
        return self.gibbs_energy.at(T) / (GAS_CONSTANT * T) if self.has_data_at(T) else inf

    def energies(self, T: Floats) -> Floats:
        """As ``energy`` at each ``T`` (K)."""
        curve = self.gibbs_energy
        held = (curve.low <= T) & (curve.high >= T)
        energies: Floats = np.where(held, curve(np.clip(T, curve.low, curve.high)), inf)
        return energies / (GAS_CONSTANT * T)


@dataclass(frozen=True, slots=True, eq=False)
class Mixture:
    """Elements and candidates, ready to be solved at any temperature and pressure.

    elements: those present. totals: amount of each, mol. condensed, gas: the candidates.
    condensed_atoms, gas_atoms: atoms of each element in each of them.
    """

    elements: tuple[str, ...]
    totals: tuple[float, ...]
    condensed: tuple[Candidate, ...]
    gas: tuple[Candidate, ...]
    condensed_atoms: list[list[float]] = field(init=False, repr=False)
    gas_atoms: list[list[float]] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "condensed_atoms", self.atoms(self.condensed))
        object.__setattr__(self, "gas_atoms", self.atoms(self.gas))

    @property
    def candidates(self) -> tuple[Candidate, ...]:
        """All of them, condensed ones first."""
        return (*self.condensed, *self.gas)

    def energies(self, T: float) -> list[float]:
        """``energy`` of each candidate at ``T`` (K), without a chain of calls for each."""
        curves = [c.gibbs_energy for c in self.candidates]
        RT = GAS_CONSTANT * T
        return [c.at(T) / RT if c.edges[0] <= T <= c.edges[-1] else inf for c in curves]

    def atoms(self, candidates: tuple[Candidate, ...]) -> list[list[float]]:
        """Atoms of each element in each candidate, shape (candidates, elements)."""
        return [[c.atoms.get(element, 0.0) for element in self.elements] for c in candidates]


def mixture(given: Mapping[str, QuantityLike], considered: Iterable[str] | None) -> Mixture:
    """Read what is put in.

    Parameters: given, amounts by formula; considered, species that may form, or None for all that
    the tables hold. A bare name stands for all phases of a species.
    Raises: BadMixture, if an amount or a formula cannot be used; NoFeasibleComposition, if the
    species considered cannot hold the elements.
    """
    totals = _element_totals(given)
    names = None if considered is None else tuple(considered)
    candidates = _candidates(frozenset(totals), names)
    elements = tuple(totals)
    homeless = [e for e in elements if not any(e in c.atoms for c in candidates)]
    if homeless:
        raise NoFeasibleComposition(
            tr(
                "{homeless} is in what was put in, but in none of the species considered.",
                homeless=", ".join(homeless),
            )
        )
    return Mixture(
        elements=elements,
        totals=tuple(totals.values()),
        condensed=tuple(c for c in candidates if not c.is_gas),
        gas=tuple(c for c in candidates if c.is_gas),
    )


def _element_totals(given: Mapping[str, QuantityLike]) -> dict[str, float]:
    totals: dict[str, float] = {}
    for text, amount in given.items():
        moles = magnitude(f"amount of {text}", amount, "mol", at_least=0)
        if np.ndim(moles):
            raise BadMixture(
                tr("The amount of {text} must be one quantity, such as '0.1 mol'.", text=text)
            )
        formula = parse(text)
        if formula.charge:
            raise BadMixture(
                tr("{text} is charged; ions are not part of these equilibria.", text=text)
            )
        for element, number in formula.elements.items():
            totals[element] = totals.get(element, 0.0) + float(number) * moles
    present = {element: total for element, total in totals.items() if total > 0}
    if not present:
        raise BadMixture(tr("Nothing was put in: give at least one amount above zero, in mol."))
    return present


@lru_cache(maxsize=64)
def _candidates(elements: frozenset[str], names: tuple[str, ...] | None) -> tuple[Candidate, ...]:
    """All species made of ``elements`` only, or those of them that are named."""
    wanted = [(f, None) for f in species_names()] if names is None else [find(n) for n in names]
    found: dict[tuple[str, bool], Candidate] = {}
    for formula, phase in wanted:
        if set(parse(formula).elements) <= elements:
            for is_gas in (False, True):
                phases = ("g",) if is_gas else ("cr", "l")
                allowed = phases if phase is None else tuple(p for p in phases if p == phase)
                candidate = _candidate(formula, allowed, is_gas)
                if candidate is not None:
                    found[formula, is_gas] = candidate
    return tuple(found.values())


def _candidate(formula: str, phases: tuple[str, ...], is_gas: bool) -> Candidate | None:
    segments = [s for s in records.segments(formula) if s.phase in phases]
    curves = [s.gibbs_energy for s in segments if s.gibbs_energy is not None]
    if not curves:
        return None
    atoms = {element: float(number) for element, number in parse(formula).elements.items()}
    return Candidate(formula, atoms, is_gas, tuple(segments), joined(curves))
