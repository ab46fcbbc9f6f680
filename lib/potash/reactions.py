"""Enthalpy, entropy, Gibbs energy and equilibrium constant of a balanced reaction."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache
from html import escape
from typing import Any, Literal

import numpy as np

from potash import equations
from potash.equations import Equation
from potash.errors import PotashError
from potash.properties import (
    GAS_CONSTANT,
    NoTrustedValue,
    OutOfRange,
    Species,
    Transition,
    species,
)
from potash.properties.curves import Curve, FloatOrArray, sign_changes, weighted_sum
from potash.properties.thermochemistry import evaluated
from potash.units import Quantity, QuantityLike, magnitude, show
from potash.words import later, tr

UNCERTAINTY = 5_000.0
"""J/mol: what a reaction's Gibbs energy from evaluated tables is good to, at the least.

Source: the spread between the JANAF and the CRC formation values of the species used here."""

INCONCLUSIVE = 10_000.0
"""J/mol: below this size no conclusion on the sign of a Gibbs energy is drawn."""

Number = int | Fraction
Terms = tuple[tuple[str, Number], ...]

DOWNHILL, UPHILL, UNDECIDED = later("downhill"), later("uphill"), later("too close to call")


class NotBalanced(PotashError):
    """An equation that is not balanced was taken for a reaction."""


@dataclass(frozen=True, slots=True)
class Reaction:
    """A balanced reaction; thermodynamic values are per mole of reaction as written, at 1 bar.

    Bare formulas stand for the phase that is stable at each temperature, "K(g)" for one phase.
    A reaction may be written with species that no table holds; asking for a value then raises
    NoTrustedValue, which names each of them and why.
    """

    equation: Equation
    _terms: Terms = field(init=False, repr=False)

    def __post_init__(self) -> None:
        if not self.equation.is_balanced:
            raise NotBalanced(
                tr(
                    "{equation} is not balanced, so it has no reaction energies. potash.balance() "
                    "finds the coefficients.",
                    equation=self.equation,
                )
            )
        object.__setattr__(self, "_terms", tuple(self.equation.coefficients.items()))

    @property
    def coefficients(self) -> Mapping[str, Number]:
        """Stoichiometric numbers by formula, negative for reactants; in a balanced text whole."""
        return dict(self._terms)

    def __str__(self) -> str:
        return str(self.equation)

    def _repr_html_(self) -> str:
        return self.equation._repr_html_()

    # -------------------------------------------------------------- for people: quantities

    def enthalpy(self, temperature: QuantityLike) -> Quantity:
        r"""Reaction enthalpy, kJ/mol, in the shape of ``temperature``.

        .. math:: \Delta_r H = \sum_i \nu_i H_i(T)

        Raises: NoTrustedValue, if a species has no data; OutOfRange, naming the species.
        """
        return evaluated(self.enthalpy_si, temperature, 1e-3, "kJ/mol")

    def entropy(self, temperature: QuantityLike) -> Quantity:
        r"""Reaction entropy, J/(mol K), in the shape of ``temperature``.

        .. math:: \Delta_r S = (\Delta_r H - \Delta_r G)/T

        Raises: NoTrustedValue, if a species has no data; OutOfRange, naming the species.
        """
        return evaluated(self.entropy_si, temperature, 1.0, "J/mol/K")

    def gibbs_energy(self, temperature: QuantityLike) -> Quantity:
        r"""Reaction Gibbs energy, kJ/mol, in the shape of ``temperature``.

        .. math:: \Delta_r G = \sum_i \nu_i G_i(T)

        Raises: NoTrustedValue, if a species has no data; OutOfRange, naming the species.
        """
        return evaluated(self.gibbs_energy_si, temperature, 1e-3, "kJ/mol")

    def equilibrium_constant(self, temperature: QuantityLike) -> Quantity:
        r"""Equilibrium constant, dimensionless, for pure condensed phases and gases in bar.

        .. math:: K = \exp(-\Delta_r G / R T)

        Infinite beyond 1.8e308 and zero below 5e-324: ask for its logarithm there.
        Raises: NoTrustedValue, if a species has no data; OutOfRange, naming the species.
        """
        return evaluated(self.equilibrium_constant_si, temperature, 1.0, "dimensionless")

    def ln_equilibrium_constant(self, temperature: QuantityLike) -> Quantity:
        """Natural logarithm of the equilibrium constant, dimensionless.

        Raises: NoTrustedValue, if a species has no data; OutOfRange, naming the species.
        """
        return evaluated(self.ln_equilibrium_constant_si, temperature, 1.0, "dimensionless")

    def uncertainty(self, temperature: QuantityLike) -> Quantity:
        r"""Half-width of the Gibbs energy, kJ/mol, in the shape of ``temperature``.

        .. math:: \max\left(5\ \text{kJ/mol}, \sqrt{\sum_i (\nu_i u_i)^2}\right)

        with the uncertainties of the species as independent.
        """
        return evaluated(self.uncertainty_si, temperature, 1e-3, "kJ/mol")

    def verdict(self, temperature: QuantityLike) -> Any:
        """ "downhill", "uphill" or "too close to call"; an array of them for an array.

        No conclusion is drawn where the Gibbs energy is smaller than 10 kJ/mol or than its
        uncertainty. Downhill says nothing about the rate.
        """
        T = magnitude("temperature", temperature, "K", above=0)
        G = np.asarray(self.gibbs_energy_si(T))
        decided = np.abs(G) > np.maximum(INCONCLUSIVE, self.uncertainty_si(T))
        found = np.where(decided, np.where(G < 0, DOWNHILL, UPHILL), UNDECIDED)
        return found if np.ndim(T) else str(found)

    def explain(self, temperature: QuantityLike) -> "Explanation":
        """The sums at one temperature, term by term.

        Raises: NoTrustedValue; OutOfRange; PotashError, if more than one temperature is given.
        """
        T = magnitude("temperature", temperature, "K", above=0)
        if np.ndim(T):
            raise PotashError(tr("explain() takes one temperature, such as '473 K', not several."))
        return _explanation(self, float(T))

    def adiabatic_temperature(
        self, start: QuantityLike, ballast: QuantityLike = "0 J/(mol K)"
    ) -> Quantity:
        r"""Where a complete reaction ends without loss of heat at constant pressure, K.

        .. math:: \sum_{products} \nu_i H_i(T) - \sum_{reactants} |\nu_i| H_i(T_0) + C (T - T_0) = 0

        Parameters: start, one temperature; ballast, heat capacity C of what is heated along with
        the products, such as the liquid, per mole of reaction as written.
        Melting and boiling of the products take their heat on the way.
        Raises: NoTrustedValue; OutOfRange, if the data end before that temperature.
        """
        T_0 = magnitude("start", start, "K", above=0)
        C = magnitude("ballast", ballast, "J/mol/K", at_least=0)
        if np.ndim(T_0) or np.ndim(C):
            raise PotashError(tr("adiabatic_temperature() takes one start and one ballast."))
        return Quantity(_adiabatic_temperature(self, float(T_0), float(C)), "K")

    @property
    def valid(self) -> tuple[Quantity, Quantity]:
        """The range in which every species has data, K.

        Raises: NoTrustedValue, if a species has no data; OutOfRange, if they share no range.
        """
        curve = self._curve("gibbs_energy_curve")
        return Quantity(curve.low, "K"), Quantity(curve.high, "K")

    @property
    def species(self) -> tuple[Species, ...]:
        """The species in the order of the equation.

        Raises: UnknownSpecies or NoTrustedValue, for the first that has no record.
        """
        return tuple(species(formula) for formula, _ in self._terms)

    @property
    def transitions(self) -> tuple[tuple[str, Transition], ...]:
        """Changes of phase inside the valid range with the formula of what changes, rising in T."""
        low, high = self.valid
        found = [(str(s), t) for s in self.species for t in s.transitions]
        inside = [pair for pair in found if low < pair[1].temperature < high]
        return tuple(sorted(inside, key=lambda pair: pair[1].temperature.m_as("K")))

    @property
    def crossing_temperatures(self) -> tuple[Quantity, ...]:
        """Where the Gibbs energy changes sign inside the valid range, K, rising; may be empty."""
        return tuple(Quantity(T, "K") for T in sign_changes(self._curve("gibbs_energy_curve")))

    # -------------------------------------------------------------- for solvers: SI floats

    def enthalpy_si(self, T: FloatOrArray) -> FloatOrArray:
        """Reaction enthalpy (J/mol) at ``T`` (K)."""
        curve = self._curve("enthalpy_curve")
        value: FloatOrArray = curve(self._inside(T, curve))
        return value

    def gibbs_energy_si(self, T: FloatOrArray) -> FloatOrArray:
        """Reaction Gibbs energy (J/mol) at ``T`` (K)."""
        curve = self._curve("gibbs_energy_curve")
        value: FloatOrArray = curve(self._inside(T, curve))
        return value

    def entropy_si(self, T: FloatOrArray) -> FloatOrArray:
        """Reaction entropy (J/(mol K)) at ``T`` (K)."""
        return (self.enthalpy_si(T) - self.gibbs_energy_si(T)) / T

    def ln_equilibrium_constant_si(self, T: FloatOrArray) -> FloatOrArray:
        """ln K = -G/(R T) at ``T`` (K)."""
        return -self.gibbs_energy_si(T) / (GAS_CONSTANT * T)

    def equilibrium_constant_si(self, T: Any) -> Any:
        """K at ``T`` (K), infinite where it is too large for a float."""
        with np.errstate(over="ignore", under="ignore"):
            K = np.exp(self.ln_equilibrium_constant_si(T))
        return K if np.ndim(K) else float(K)

    def gibbs_energy_curve(self) -> Curve:
        """The Gibbs energy (J/mol) as a curve over T (K), for sums and root finding.

        Raises: NoTrustedValue, if a species has no data; OutOfRange, if they share no range.
        """
        return self._curve("gibbs_energy_curve")

    def uncertainty_si(self, T: Any) -> Any:
        """Half-width of the Gibbs energy (J/mol) at ``T`` (K); see ``uncertainty``."""
        squares = sum(
            (float(number) * species(formula).uncertainty_si(T)) ** 2
            for formula, number in self._terms
        )
        total = np.maximum(UNCERTAINTY, np.sqrt(squares))
        return total if np.ndim(T) else float(total)

    # -------------------------------------------------------------- inside

    def _curve(self, kind: "Kind") -> Curve:
        return _curve(self._terms, kind)

    def _inside(self, T: Any, curve: Curve) -> Any:
        """``T`` itself, if all of it lies within the curve.

        Raises: OutOfRange, naming the species that end the range.
        """
        wrong = curve.outside(T)
        if wrong is None:
            return T
        cold = not wrong >= curve.low
        raise OutOfRange(
            tr(
                "{reaction}: {wrong:.6g} K is outside {low:g} K to {high:g} K, where every "
                "species has data. {limited_by}",
                reaction=self,
                wrong=wrong,
                low=curve.low,
                high=curve.high,
                limited_by=self._limited_by(curve, cold),
            )
        )

    def _limited_by(self, curve: Curve, cold: bool) -> str:
        """Which species end the range on that side, and why."""
        ends = (
            (s, s.enthalpy_curve().low if cold else s.enthalpy_curve().high) for s in self.species
        )
        limiting = [s for s, end in ends if end == (curve.low if cold else curve.high)]
        return " ".join(
            tr("{species} has none beyond ({why_it_ends}).", species=s, why_it_ends=s.why_it_ends)
            for s in limiting
        )


Kind = Literal["enthalpy_curve", "gibbs_energy_curve"]


@lru_cache(maxsize=256)
def balance(text: str) -> Reaction:
    """Balance an equation and make a reaction of it.

    Parameters: text, such as "KOH + Mg -> K + MgO + H2"; phase labels select phases.
    Raises: what ``potash.equations.balance`` raises, if it cannot be read or balanced.
    """
    return Reaction(equations.balance(text))


@lru_cache(maxsize=1024)
def _curve(reaction: Terms, kind: Kind) -> Curve:
    """The sum over the species as one curve, so that a reaction costs what one species costs.

    Raises: NoTrustedValue, with what is missing; OutOfRange, if the species share no range.
    """
    terms: list[tuple[float, Curve]] = []
    missing: list[str] = []
    for formula, number in reaction:
        try:
            terms.append((float(number), getattr(species(formula), kind)()))
        except PotashError as problem:
            missing.append(str(problem))
    if missing:
        raise NoTrustedValue(tr("This reaction cannot be calculated. ") + " ".join(missing))
    try:
        return weighted_sum(terms)
    except ValueError:
        ranges = "; ".join(
            tr("{formula} {low:g} to {high:g} K", formula=formula, low=curve.low, high=curve.high)
            for (formula, _), (_, curve) in zip(reaction, terms, strict=True)
        )
        raise OutOfRange(
            tr("There is no temperature at which all have data: {ranges}.", ranges=ranges)
        ) from None


def _adiabatic_temperature(reaction: Reaction, T_0: float, C: float) -> float:
    products = tuple((formula, n) for formula, n in reaction.coefficients.items() if n > 0)
    curve = _curve(products, "enthalpy_curve")
    if curve.outside(T_0) is not None:
        reaction.enthalpy_si(T_0)  # says which species has no data there
    released = -reaction.enthalpy_si(T_0)

    def left(T: float) -> float:
        """Heat released and not yet taken up at ``T``, J/mol; it falls as T rises."""
        return released - float(curve(T) - curve(T_0)) - C * (T - T_0)

    low, high = (T_0, curve.high) if released > 0 else (curve.low, T_0)
    if left(low) < 0 or left(high) > 0:
        end = high if released > 0 else low
        raise OutOfRange(
            tr(
                "{reaction}: without loss of heat it would end beyond {end:g} K, where the data "
                "of the products end.",
                reaction=reaction,
                end=end,
            )
        )
    while high - low > 1e-3:
        middle = (low + high) / 2
        low, high = (middle, high) if left(middle) > 0 else (low, middle)
    return (low + high) / 2


# ------------------------------------------------------------------ term by term


@dataclass(frozen=True, slots=True)
class Term:
    """One species' share in a reaction at one temperature.

    coefficient: negative for reactants. phase: such as "cr, beta".
    enthalpy, gibbs_energy: kJ/mol; entropy: J/(mol K); per mole of the species.
    """

    formula: str
    coefficient: Number
    phase: str
    enthalpy: Quantity
    entropy: Quantity
    gibbs_energy: Quantity
    source: str


@dataclass(frozen=True, slots=True)
class Explanation:
    """A reaction at one temperature as a sum of terms, for a student to follow.

    enthalpy, gibbs_energy, uncertainty: kJ/mol; entropy: J/(mol K); per mole of reaction.
    notes: what to know about the data.
    """

    reaction: Reaction
    temperature: Quantity
    terms: tuple[Term, ...]
    enthalpy: Quantity
    entropy: Quantity
    gibbs_energy: Quantity
    uncertainty: Quantity
    verdict: str
    notes: tuple[str, ...]

    @property
    def sources(self) -> tuple[str, ...]:
        """The published tables, each once."""
        return tuple(dict.fromkeys(term.source for term in self.terms))

    @property
    def conclusion(self) -> str:
        """One sentence with the Gibbs energy, its uncertainty and what may be concluded."""
        G, u = show(self.gibbs_energy, 4), show(self.uncertainty, 2)
        meaning = {
            DOWNHILL: tr("the reaction runs downhill as written; that says nothing about its rate"),
            UPHILL: tr("the reaction runs uphill as written"),
            UNDECIDED: tr("too small to tell its sign from these data: too close to call"),
        }[self.verdict]
        return tr(
            "ΔG = {energy} ± {uncertainty} at {temperature}: {meaning}.",
            energy=G,
            uncertainty=u,
            temperature=show(self.temperature, 5),
            meaning=meaning,
        )

    def rows(self) -> list[tuple[str, ...]]:
        """The table as text: species, phase, ν, H, S, G and ν·G; the last row holds the sums."""
        body = [
            (
                term.formula,
                term.phase,
                str(term.coefficient).replace("-", "\u2212"),
                _fixed(term.enthalpy),
                _fixed(term.entropy),
                _fixed(term.gibbs_energy),
                _fixed(float(term.coefficient) * term.gibbs_energy),
            )
            for term in self.terms
        ]
        sums = (_fixed(self.enthalpy), _fixed(self.entropy), "", _fixed(self.gibbs_energy))
        return [*body, (tr("sum of ν × term"), "", "", *sums)]

    def __str__(self) -> str:
        table = [_HEADINGS, *self.rows()]
        widths = [max(len(row[i]) for row in table) for i in range(len(_HEADINGS))]
        lines = ["  ".join(c.rjust(w) for c, w in zip(row, widths, strict=True)) for row in table]
        return "\n".join([f"{self.reaction}", *lines, self.conclusion, *self.notes])

    def _repr_html_(self) -> str:
        head = "".join(f'<th scope="col">{escape(heading)}</th>' for heading in _HEADINGS)
        body = "".join(
            f'<tr><th scope="row">{escape(row[0])}</th>'
            + "".join(f"<td>{escape(cell)}</td>" for cell in row[1:])
            + "</tr>"
            for row in self.rows()
        )
        below = "".join(f"<p>{escape(line)}</p>" for line in (self.conclusion, *self.notes))
        sources = "".join(f"<li>{escape(source)}</li>" for source in self.sources)
        caption = tr(
            "{reaction} at {temperature}",
            reaction=self.reaction,
            temperature=show(self.temperature, 5),
        )
        return (
            f'<table class="potash-explanation"><caption>{escape(caption)}</caption>'
            f"<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>{below}"
            f"<details><summary>{tr('Sources')}</summary><ul>{sources}</ul></details>"
        )


_HEADINGS = (
    tr("species"), tr("phase"), "ν",
    "H / (kJ/mol)", "S / (J/(mol K))", "G / (kJ/mol)", "ν G / (kJ/mol)",
)  # fmt: skip


def _fixed(given: Quantity) -> str:
    return f"{given.magnitude:.2f}".replace("-", "\u2212")


def _explanation(reaction: Reaction, T: float) -> Explanation:
    kelvin = Quantity(T, "K")
    gibbs_energy = reaction.gibbs_energy(kelvin)
    return Explanation(
        reaction=reaction,
        temperature=kelvin,
        terms=tuple(_term(*pair, kelvin) for pair in reaction.coefficients.items()),
        enthalpy=reaction.enthalpy(kelvin),
        entropy=reaction.entropy(kelvin),
        gibbs_energy=gibbs_energy,
        uncertainty=reaction.uncertainty(kelvin),
        verdict=reaction.verdict(kelvin),
        notes=tuple(note for s in reaction.species for note in _notes(s, T)),
    )


def _term(formula: str, coefficient: Number, temperature: Quantity) -> Term:
    record = species(formula)
    return Term(
        formula=formula,
        coefficient=coefficient,
        phase=record.segment_at(temperature.m_as("K")).label,
        enthalpy=record.enthalpy(temperature),
        entropy=record.entropy(temperature),
        gibbs_energy=record.gibbs_energy(temperature),
        source=record.source,
    )


def _notes(record: Species, T: float) -> Iterator[str]:
    melting = record.melting_untabulated
    if melting is not None and melting.m_as("K") < T:
        yield (
            tr(
                "{record}: tabulated as a solid beyond its melting point, {melting}; the "
                "uncertainty allows for that.",
                record=record,
                melting=show(melting, 4),
            )
        )
    if record.confidence == "lower":
        yield tr("{record}: a handbook value at 298.15 K, of lower confidence.", record=record)
    if record.note:
        yield f"{record}: {record.note}."
