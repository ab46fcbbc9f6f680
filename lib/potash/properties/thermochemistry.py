"""Enthalpy, entropy, Gibbs energy and heat capacity of one species over temperature."""

from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from html import escape
from typing import Any

import numpy as np

from potash.formulas import molar_mass
from potash.properties import records
from potash.properties.curves import Curve, FloatOrArray, joined
from potash.properties.errors import NoTrustedValue, OutOfRange
from potash.properties.names import find
from potash.properties.records import Listing, Segment
from potash.units import Quantity, QuantityLike, magnitude, show, ureg
from potash.words import tr

GAS_CONSTANT: float = ureg.Quantity(1, "molar_gas_constant").m_as("J/mol/K")
"""R, J/(mol K). Source: SI Brochure, 9th ed. (2019), exact; as carried by Pint."""

# What melting would take from the Gibbs energy of a solid tabulated beyond its melting point:
# entropies of fusion of the ionic compounds listed here lie between 20 and 30 J/(mol K).
_UNTABULATED_FUSION = 25.0  # J/(mol K)


@dataclass(frozen=True, slots=True)
class Transition:
    """A change of phase at 1 bar.

    kind: "melting", "boiling", "sublimation", "solid-solid" or "heat capacity peak".
    below, above: the phases on either side, such as "cr, alpha" and "l".
    temperature: K. enthalpy: kJ/mol taken up on heating.
    """

    kind: str
    below: str
    above: str
    temperature: Quantity
    enthalpy: Quantity
    source: str


@dataclass(frozen=True, slots=True, eq=False)
class Species:
    """One species, either as its stable phase at 1 bar (phase None) or in one phase throughout.

    Enthalpies and Gibbs energies are apparent: the enthalpy of formation from the elements at
    298.15 K plus the change from there to T, so that reactions are plain sums; G = H - T S.

    name, formula: as people write them. phase: None, "cr", "l", "g" or "aq".
    phases: the phases that have data. segments: those that this record passes through.
    confidence: "evaluated table", "lower" (single values at 298.15 K), "none", or "extrapolated".
    """

    name: str
    formula: str
    phase: str | None
    phases: tuple[str, ...]
    segments: tuple[Segment, ...]
    confidence: str
    note: str
    _listing: Listing = field(repr=False)
    _enthalpy: Curve | None = field(repr=False)
    _gibbs_energy: Curve | None = field(repr=False)
    _heat_capacity: Curve | None = field(repr=False)

    # -------------------------------------------------------------- for people: quantities

    def enthalpy(self, temperature: QuantityLike) -> Quantity:
        """Apparent molar enthalpy, kJ/mol, in the shape of ``temperature``.

        Raises: OutOfRange; NoTrustedValue, if no table holds it.
        """
        return evaluated(self.enthalpy_si, temperature, 1e-3, "kJ/mol")

    def entropy(self, temperature: QuantityLike) -> Quantity:
        """Absolute molar entropy at 1 bar, J/(mol K), in the shape of ``temperature``.

        Raises: OutOfRange; NoTrustedValue, if no table holds it.
        """
        return evaluated(self.entropy_si, temperature, 1.0, "J/mol/K")

    def gibbs_energy(self, temperature: QuantityLike) -> Quantity:
        """Apparent molar Gibbs energy H - T S at 1 bar, kJ/mol, in the shape of ``temperature``.

        Raises: OutOfRange; NoTrustedValue, if no table holds it.
        """
        return evaluated(self.gibbs_energy_si, temperature, 1e-3, "kJ/mol")

    def heat_capacity(self, temperature: QuantityLike) -> Quantity:
        """Molar heat capacity at constant pressure, J/(mol K), in the shape of ``temperature``.

        Raises: OutOfRange; NoTrustedValue, if no table holds it.
        """
        return evaluated(self.heat_capacity_si, temperature, 1.0, "J/mol/K")

    def uncertainty(self, temperature: QuantityLike) -> Quantity:
        r"""Half-width, kJ/mol, within which evaluations place the Gibbs energy.

        .. math:: u^2 = u_{298}^2 + u_S^2 (T - 298.15\,\text{K})^2 + s^2 (T - T_m)^2

        The first two terms cover the differences between the JANAF and the CRC values of formation
        and entropy. The last, with s = 25 J/(mol K) for an entropy of fusion, counts only above the
        melting point of a compound whose liquid is not tabulated.
        Raises: OutOfRange; NoTrustedValue, if no table holds it.
        """
        return evaluated(self.uncertainty_si, temperature, 1e-3, "kJ/mol")

    def stable_phase(self, temperature: QuantityLike) -> Any:
        """The phase stable at 1 bar: "cr", "l", "g" or "aq"; an array of them for an array.

        It does not depend on the phase that this record was asked for.
        Raises: OutOfRange.
        """
        T = magnitude("temperature", temperature, "K", above=0)
        stable = _species(self.formula, None)
        if not np.ndim(T):
            return stable.segment_at(T).phase
        return np.vectorize(lambda one: stable.segment_at(one).phase, otypes=[object])(T)

    def segment_at(self, T: float) -> Segment:
        """The segment that this record passes through at ``T`` (K); at a transition the upper one.

        Raises: OutOfRange.
        """
        self._inside(T, self._enthalpy_curve())
        ends = [_end(segment) for segment in self.segments[:-1]]
        return self.segments[bisect_right(ends, T)]

    @property
    def molar_mass(self) -> Quantity:
        """Molar mass, g/mol, from the IUPAC atomic weights."""
        return molar_mass(self.formula)

    @property
    def valid(self) -> tuple[Quantity, Quantity]:
        """The lowest and highest temperature that the data cover, K.

        Raises: NoTrustedValue, if there are no data.
        """
        curve = self._enthalpy_curve()
        return Quantity(curve.low, "K"), Quantity(curve.high, "K")

    @property
    def transitions(self) -> tuple[Transition, ...]:
        """The changes of phase that this record passes through, in rising temperature."""
        pairs = zip(self.segments, self.segments[1:], strict=False)
        return tuple(self._transition(below, above) for below, above in pairs)

    @property
    def source(self) -> str:
        """The published tables behind the numbers, with their table numbers."""
        tables = {(s.source, s.table): None for s in self.segments}
        by_source: dict[str, list[str]] = {}
        for source, table in tables:
            by_source.setdefault(source, []).append(table)
        return "; ".join(f"{source}: {', '.join(found)}" for source, found in by_source.items())

    @property
    def melting_untabulated(self) -> Quantity | None:
        """Where the compound melts though its table goes on with the solid, K; None otherwise."""
        melting = self._listing.melting_untabulated
        return None if melting is None else Quantity(melting, "K")

    # -------------------------------------------------------------- for solvers: SI floats

    def enthalpy_si(self, T: FloatOrArray) -> FloatOrArray:
        """Apparent molar enthalpy (J/mol) at ``T`` (K)."""
        curve = self._enthalpy_curve()
        value: FloatOrArray = curve(self._inside(T, curve))
        return value

    def gibbs_energy_si(self, T: FloatOrArray) -> FloatOrArray:
        """Apparent molar Gibbs energy (J/mol) at ``T`` (K)."""
        curve = self.gibbs_energy_curve()
        value: FloatOrArray = curve(self._inside(T, curve))
        return value

    def entropy_si(self, T: FloatOrArray) -> FloatOrArray:
        """Molar entropy (J/(mol K)) at ``T`` (K), from S = (H - G)/T."""
        return (self.enthalpy_si(T) - self.gibbs_energy_si(T)) / T

    def heat_capacity_si(self, T: FloatOrArray) -> FloatOrArray:
        """Molar heat capacity (J/(mol K)) at ``T`` (K)."""
        curve = self.heat_capacity_curve()
        value: FloatOrArray = curve(self._inside(T, curve))
        return value

    def uncertainty_si(self, T: Any) -> Any:
        """Half-width of the Gibbs energy (J/mol) at ``T`` (K); see ``uncertainty``."""
        self._inside(T, self._enthalpy_curve())
        known = self._listing
        entropic = known.entropy_uncertainty * np.subtract(T, records.REFERENCE)
        melting = np.inf if known.melting_untabulated is None else known.melting_untabulated
        fusion = _UNTABULATED_FUSION * np.maximum(0.0, np.subtract(T, melting))
        total = np.sqrt(known.uncertainty**2 + entropic**2 + fusion**2)
        return total if np.ndim(T) else float(total)

    def gibbs_energy_curve(self) -> Curve:
        """The Gibbs energy (J/mol) as a curve over T (K), for sums over species.

        Raises: NoTrustedValue, if no table holds an entropy.
        """
        return self._known(self._gibbs_energy, tr("Gibbs energy, because no entropy is tabulated"))

    def heat_capacity_curve(self) -> Curve:
        """The heat capacity (J/(mol K)) as a curve over T (K).

        Raises: NoTrustedValue, if no table holds it.
        """
        return self._known(self._heat_capacity, tr("heat capacity"))

    def enthalpy_curve(self) -> Curve:
        """The enthalpy (J/mol) as a curve over T (K), for sums over species.

        Raises: NoTrustedValue, if no table holds it.
        """
        return self._enthalpy_curve()

    # -------------------------------------------------------------- inside

    def _enthalpy_curve(self) -> Curve:
        return self._known(self._enthalpy, tr("enthalpy"))

    def _known(self, curve: Curve | None, what: str) -> Curve:
        if curve is None:
            raise NoTrustedValue(
                tr("No trusted value for {species}: {what}.", species=self, what=what)
                + (f" {self.note}." if self.note else "")
                + (tr(" Looked in: {source}.", source=self.source) if self.segments else "")
            )
        return curve

    def _inside(self, T: Any, curve: Curve) -> Any:
        """``T`` itself, if all of it lies within the curve.

        Raises: OutOfRange, with the range and the reason.
        """
        wrong = curve.outside(T)
        if wrong is None:
            return T
        raise OutOfRange(
            tr(
                "{species}: {wrong:.6g} K is outside the data, which go from {low:g} K to "
                "{high:g} K ({why_it_ends}). Nothing is extrapolated.",
                species=self,
                wrong=wrong,
                low=curve.low,
                high=curve.high,
                why_it_ends=self.why_it_ends,
            )
        )

    @property
    def why_it_ends(self) -> str:
        """Why the data go no further, for messages."""
        if self.confidence == "lower":
            return tr(
                "only values at 298.15 K are published in the CRC tables, no heat capacity over T"
            )
        return self.source

    def _transition(self, below: Segment, above: Segment) -> Transition:
        T = above.low if above.phase == below.phase else _end(below)
        jump = above.enthalpy(T) - below.enthalpy(T)
        kinds = {("cr", "l"): "melting", ("l", "g"): "boiling", ("cr", "g"): "sublimation"}
        same = below.phase == above.phase and abs(jump) < 2.0
        kind = tr("heat capacity peak") if same else "solid-solid"
        return Transition(
            kind=kinds.get((below.phase, above.phase), kind),
            below=below.label,
            above=above.label,
            temperature=Quantity(T, "K"),
            enthalpy=Quantity(jump / 1e3, "kJ/mol"),
            source=f"{above.source}: {', '.join(dict.fromkeys((below.table, above.table)))}",
        )

    def __str__(self) -> str:
        return self.formula if self.phase is None else f"{self.formula}({self.phase})"

    def _repr_html_(self) -> str:
        marks = "".join(
            f"<li>{escape(f'{t.kind} at {show(t.temperature, 5)}: {show(t.enthalpy, 3)}')}</li>"
            for t in self.transitions
        )
        known = "; ".join(
            tr("{species}: {low:g} to {high:g}\u00a0K", species=s.label, low=s.low, high=s.high)
            for s in self.segments
        )
        lines = (known or tr("No trusted values are held."), self.source, self.note)
        said = "".join(f"<p>{escape(line)}</p>" for line in lines if line)
        head = f"<p><strong>{escape(str(self))}</strong>, {escape(self.name)}</p>"
        return f"{head}{said}<ul>{marks}</ul>"


def evaluated(
    values: Callable[[Any], Any], temperature: QuantityLike, factor: float, unit: str
) -> Quantity:
    """``values`` at the temperatures that a person gave, times ``factor``, as a quantity.

    Raises: what ``magnitude`` raises for a bad temperature, and what ``values`` raises.
    """
    T = magnitude("temperature", temperature, "K", above=0)
    return Quantity(values(T) * factor, _unit(unit))


@cache
def _unit(text: str) -> Any:
    # Pint takes longer to read a unit than the calculation takes.
    return ureg.Unit(text)


def species(name: str) -> Species:
    """The record of a species by formula or common name.

    Parameters: name, such as "KOH", "potassium hydroxide", "graphite", "OH-". A bare name stands
    for the phase that is stable at 1 bar at each temperature; "K(g)", "K(l)", "K(s)" select one.
    Raises: UnknownSpecies, with near matches; NoTrustedValue, if the phase asked for has no data.
    """
    return _species(*find(name))


def species_names() -> tuple[str, ...]:
    """The formulas of all species listed, in the order of the table."""
    return tuple(records.listings())


@cache
def _species(formula: str, phase: str | None) -> Species:
    listing = records.listings()[formula]
    every = records.segments(formula)
    phases = tuple(dict.fromkeys(segment.phase for segment in every))
    if phase is not None and phase not in phases:
        raise NoTrustedValue(_no_such_phase(formula, phase, phases))
    track = tuple(s for s in every if (s.stable if phase is None else s.phase == phase))
    return Species(
        name=listing.names[0],
        formula=formula,
        phase=phase,
        phases=phases,
        segments=track,
        confidence=_confidence(track),
        note=listing.note,
        _listing=listing,
        _enthalpy=_track([s.enthalpy for s in track], track, phase),
        _gibbs_energy=_track([s.gibbs_energy for s in track], track, phase),
        _heat_capacity=_track([s.heat_capacity for s in track], track, phase),
    )


def _track(
    curves: list[Curve | None], track: tuple[Segment, ...], phase: str | None
) -> Curve | None:
    """The curves of consecutive segments as one, each cut to where its segment is stable."""
    pieces: list[Curve] = []
    for curve, segment in zip(curves, track, strict=True):
        if curve is None:
            return None
        if phase is None and segment.stable:
            low = pieces[-1].high if pieces else segment.stable[0]
            pieces.append(curve.between(low, segment.stable[1]))
        else:
            pieces.append(curve)
    return joined(pieces) if pieces else None


def _end(segment: Segment) -> float:
    return segment.stable[1] if segment.stable else segment.high


def _confidence(track: tuple[Segment, ...]) -> str:
    if not track:
        return "none"
    return "lower" if track[0].origin == "crc" else tr("evaluated table")


def _no_such_phase(formula: str, phase: str, phases: tuple[str, ...]) -> str:
    known = ", ".join(f"{formula}({p})" for p in phases) or tr("no phase at all")
    return tr(
        "No trusted value for {formula}({phase}): no table here holds that phase. Held: {known}.",
        formula=formula,
        phase=phase,
        known=known,
    )
