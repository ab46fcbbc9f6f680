"""Gibbs energy diagrams: formation lines per mole of oxidant, their marks and their crossings.

The lines of one diagram are formations of compounds from the elements, each written for one mole
of the gas that all of them share. The lower of two lines then takes that gas from the upper, and
where they cross neither does.

Source of the construction: H. J. T. Ellingham, J. Soc. Chem. Ind. 1944, 63, 125; read from memory.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from itertools import combinations

import numpy as np

from potash.errors import PotashError
from potash.properties import NoTrustedValue, species
from potash.properties.curves import Curve, Floats, sign_changes, weighted_sum
from potash.reactions import (
    DOWNHILL,
    INCONCLUSIVE,
    UNCERTAINTY,
    UNDECIDED,
    UPHILL,
    Reaction,
    balance,
)
from potash.units import Quantity
from potash.words import later, tr

ROOM = 298.15  # K
_LEAST_RANGE = 50.0  # K; below it a line is a point
_LETTERS = {"melting": "M", "boiling": "B", "sublimation": "S"}

PER_OXIDANT, PER_ATOM = later("oxidant"), later("metal atom")

READING_RULES = (
    tr(
        "Of two lines the lower one belongs to the element that holds the shared gas more "
        "tightly: it can take it from the compound of the upper line. The gap between them is the "
        "Gibbs energy."
    ),
    tr(
        "Where two lines cross the exchange changes its direction. Only lines for the same amount "
        "of the same gas may be compared so; per metal atom a crossing means nothing."
    ),
    tr(
        "The slope is minus the entropy of formation: a line rises because gas is used up, and "
        "more steeply beyond the boiling point of the element (B), where the vapour is used up "
        "too."
    ),
    tr(
        "A line that falls makes more gas than it uses: carbon to carbon monoxide. That is why "
        "hot carbon reduces what cold carbon cannot."
    ),
    tr(
        "M and B are melting and boiling points at 1 bar: plain letters for the element, letters "
        "in brackets for the compound."
    ),
    tr(
        "Within 10 kJ, or within the uncertainty where that is wider, two lines are too close to "
        "call."
    ),
)
"""How such a diagram is read (common practice, no source)."""


class NoSuchDiagram(PotashError):
    """A family of compounds, or an element in it, that the workbook has no line for."""


@dataclass(frozen=True, slots=True)
class Family:
    """The compounds of one diagram.

    gas: the oxidant that all formations share. compounds: (element, compound) pairs; an element
    may stand there twice, such as carbon with its two oxides.
    """

    name: str
    gas: str
    compounds: tuple[tuple[str, str], ...]


FAMILIES: Mapping[str, Family] = {
    later("oxides"): Family(
        "oxides",
        "O2",
        (
            ("Li", "Li2O"), ("Na", "Na2O"), ("K", "K2O"), ("Rb", "Rb2O"), ("Cs", "Cs2O"),
            ("Mg", "MgO"), ("Ca", "CaO"), ("Al", "Al2O3"), ("Si", "SiO2"), ("Fe", "FeO"),
            ("C", "CO"), ("C", "CO2"), ("H2", "H2O"),
        ),
    ),
    later("chlorides"): Family(
        "chlorides",
        "Cl2",
        (
            ("Li", "LiCl"), ("Na", "NaCl"), ("K", "KCl"), ("Rb", "RbCl"), ("Cs", "CsCl"),
            ("Mg", "MgCl2"), ("Ca", "CaCl2"), ("Al", "AlCl3"), ("Si", "SiCl4"),
            ("Fe", "FeCl2"), ("H2", "HCl"),
        ),
    ),
    later("fluorides"): Family(
        "fluorides",
        "F2",
        (
            ("Li", "LiF"), ("Na", "NaF"), ("K", "KF"), ("Rb", "RbF"), ("Cs", "CsF"),
            ("Mg", "MgF2"), ("Ca", "CaF2"), ("Al", "AlF3"), ("Si", "SiF4"), ("H2", "HF"),
        ),
    ),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Mark:
    """A melting (M), boiling (B) or sublimation (S) point on a line.

    of: the formula that changes its phase. of_compound: whether that is the product of the line.
    temperature: K. gibbs_energy: of the line there, kJ per mole of oxidant.
    """

    letter: str
    of: str
    of_compound: bool
    temperature: Quantity
    gibbs_energy: Quantity

    @property
    def label(self) -> str:
        """As it stands in the picture: "M", or "(M)" for the compound."""
        return f"({self.letter})" if self.of_compound else self.letter


@dataclass(frozen=True, slots=True)
class Line:
    """The formation of one compound from its elements.

    reaction: with whole numbers. per_oxidant, per_atom: what its values are multiplied by to hold
    for one mole of the gas, or for one mole of atoms of the element.
    """

    element: str
    compound: str
    gas: str
    reaction: Reaction
    per_oxidant: float
    per_atom: float
    _curve: Curve = field(repr=False)

    @property
    def name(self) -> str:
        """The line as people call it: "Mg / MgO"."""
        return f"{self.element} / {self.compound}"

    @property
    def valid_si(self) -> tuple[float, float]:
        """The range with data, K."""
        return self._curve.low, self._curve.high

    @property
    def is_point(self) -> bool:
        """Whether values are known near room temperature only."""
        return self._curve.high - self._curve.low < _LEAST_RANGE

    def gibbs_energy_si(self, T: float | Floats, per: str = PER_OXIDANT) -> Floats:
        """J/mol at ``T`` (K), in its shape; not a number where there are no data."""
        inside = (self._curve.low <= np.asarray(T)) & (self._curve.high >= np.asarray(T))
        values = self._curve(np.where(inside, T, self._curve.low))
        factor = 1.0 if per == PER_OXIDANT else self.per_atom / self.per_oxidant
        given: Floats = np.where(inside, factor * values, np.nan)
        return given

    def uncertainty_si(self, T: float) -> float:
        """Half-width per mole of oxidant (J/mol) at ``T`` (K), inside the range."""
        return _uncertainty(self._terms(), T)

    @property
    def marks(self) -> tuple[Mark, ...]:
        """Melting and boiling points on the line, in rising temperature."""
        return tuple(
            Mark(
                letter=_LETTERS[change.kind],
                of=formula,
                of_compound=formula == self.compound,
                temperature=change.temperature,
                gibbs_energy=Quantity(self._curve(change.temperature.m_as("K")) / 1e3, "kJ/mol"),
            )
            for formula, change in self.reaction.transitions
            if change.kind in _LETTERS
        )

    def _terms(self) -> dict[str, float]:
        """Stoichiometric numbers per mole of the gas."""
        return {f: float(n) * self.per_oxidant for f, n in self.reaction.coefficients.items()}


@dataclass(frozen=True, slots=True)
class Exchange:
    """One element taking the gas from the compound of another, per mole of the gas.

    taker, giver: the two lines. The Gibbs energy is that of the lower line minus the upper one.
    """

    taker: Line
    giver: Line

    @property
    def reaction(self) -> Reaction:
        """The exchange as a balanced equation, with whole numbers."""
        return balance(
            f"{self.giver.compound} + {self.taker.element} -> "
            f"{self.giver.element} + {self.taker.compound}"
        )

    def gibbs_energy_si(self, T: float) -> float:
        """J per mole of the gas at ``T`` (K); not a number where either line has no data."""
        return float(self.taker.gibbs_energy_si(T)) - float(self.giver.gibbs_energy_si(T))

    def uncertainty_si(self, T: float) -> float:
        """Half-width (J per mole of the gas) at ``T`` (K)."""
        given = self.giver._terms()
        terms = {f: n - given.get(f, 0.0) for f, n in self.taker._terms().items()}
        terms |= {f: -n for f, n in given.items() if f not in terms}
        return _uncertainty(terms, T)

    def verdict(self, T: float) -> str:
        """ "downhill", "uphill" or "too close to call" at ``T`` (K).

        No sign is concluded from less than 10 kJ, nor from less than the uncertainty.
        Raises: NoTrustedValue, if either line has no data there.
        """
        G = self.gibbs_energy_si(T)
        if np.isnan(G):
            raise NoTrustedValue(
                tr(
                    "{taker} and {giver} have no data at {temperature:g} K.",
                    taker=self.taker.name,
                    giver=self.giver.name,
                    temperature=T,
                )
            )
        if abs(G) <= max(INCONCLUSIVE, self.uncertainty_si(T)):
            return UNDECIDED
        return DOWNHILL if G < 0 else UPHILL


@dataclass(frozen=True, slots=True)
class Crossing:
    """Where two lines cross.

    temperature: K. uncertainty: K, the uncertainty of the gap over its slope.
    lower_below, lower_above: the line that lies lower on either side.
    """

    temperature: Quantity
    uncertainty: Quantity
    lower_below: Line
    lower_above: Line


def lines(family: str) -> tuple[Line, ...]:
    """All lines of a family, in its order, without those that ``missing`` names.

    Raises: NoSuchDiagram, naming the families.
    """
    return _lines_and_gaps(family)[0]


def missing(family: str) -> tuple[str, ...]:
    """Compounds of a family for which no Gibbs energy is known, such as Rb2O, each with why.

    Raises: NoSuchDiagram, naming the families.
    """
    return _lines_and_gaps(family)[1]


def line(family: str, compound: str) -> Line:
    """The line of one compound.

    Raises: NoSuchDiagram, naming the compounds of the family.
    """
    found = {one.compound: one for one in lines(family)}
    if compound not in found:
        raise NoSuchDiagram(
            tr(
                "{compound!r} is not one of the {family}: {compounds}.",
                compound=compound,
                family=family,
                compounds=", ".join(found),
            )
        )
    return found[compound]


@cache
def crossings(family: str, lowest: float, highest: float) -> tuple[Crossing, ...]:
    """All crossings of a family's lines between two temperatures (K), in rising temperature."""
    found = [
        crossing
        for pair in combinations(lines(family), 2)
        for crossing in _crossings_of(*pair)
        if lowest <= crossing.temperature.m_as("K") <= highest
    ]
    return tuple(sorted(found, key=lambda one: one.temperature.m_as("K")))


# ------------------------------------------------------------------ inside


@cache
def _lines_and_gaps(family: str) -> tuple[tuple[Line, ...], tuple[str, ...]]:
    if family not in FAMILIES:
        raise NoSuchDiagram(
            tr("{family!r} is not one of {families}.", family=family, families=", ".join(FAMILIES))
        )
    chosen = FAMILIES[family]
    drawn: list[Line] = []
    gaps: list[str] = []
    for element, compound in chosen.compounds:
        try:
            drawn.append(_line(element, compound, chosen.gas))
        except NoTrustedValue as reason:
            gaps.append(str(reason).removeprefix("This reaction cannot be calculated. "))
    return tuple(drawn), tuple(gaps)


def _line(element: str, compound: str, gas: str) -> Line:
    reaction = balance(f"{element} + {gas} -> {compound}")
    numbers = reaction.coefficients
    per_oxidant = 1.0 / -float(numbers[gas])
    curve = reaction.gibbs_energy_curve()
    return Line(
        element=element,
        compound=compound,
        gas=gas,
        reaction=reaction,
        per_oxidant=per_oxidant,
        per_atom=1.0 / (-float(numbers[element]) * (2 if element == "H2" else 1)),
        _curve=weighted_sum([(per_oxidant, curve)]),
    )


def _crossings_of(first: Line, second: Line) -> list[Crossing]:
    """Roots of the gap between two lines; none where they share no range worth the name."""
    if first.is_point or second.is_point:
        return []
    gap = weighted_sum([(1.0, first._curve), (-1.0, second._curve)])
    return [_crossing(first, second, gap, T) for T in sign_changes(gap)]


def _crossing(first: Line, second: Line, gap: Curve, T: float) -> Crossing:
    step = 1.0
    low, high = max(T - step, gap.low), min(T + step, gap.high)
    slope = (gap(high) - gap(low)) / (high - low)
    below, above = (first, second) if slope > 0 else (second, first)
    spread = Exchange(first, second).uncertainty_si(T) / abs(slope)
    return Crossing(Quantity(T, "K"), Quantity(spread, "K"), below, above)


def _uncertainty(terms: Mapping[str, float], T: float) -> float:
    """As for a reaction: the species' uncertainties as independent, and never below 5 kJ/mol."""
    squares = sum(
        (number * float(species(formula).uncertainty_si(T))) ** 2
        for formula, number in terms.items()
        if number
    )
    return max(UNCERTAINTY, float(np.sqrt(squares)))
