"""All metals against all reductants for one kind of compound: how far downhill each runs."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from potash.properties import NoTrustedValue, OutOfRange
from potash.reactions import DOWNHILL, INCONCLUSIVE, UNDECIDED, UPHILL, Reaction
from potash.routes.catalogue import METALS, REDUCTANTS, SOURCES, NoSuchRoute, reduction
from potash.units import Quantity, QuantityLike, magnitude
from potash.words import later, tr
from potash.words.tables import read_toml

NO_VALUE = later("no value")


@dataclass(frozen=True, slots=True)
class Cell:
    """One metal and one reductant.

    reaction: None where there is no such route. why_not: then the reason.
    """

    source: str
    metal: str
    reductant: str
    reaction: Reaction | None
    why_not: str

    @property
    def practice(self) -> tuple[str, ...]:
        """Where thermodynamics and practice part, each with its source."""
        return tuple(
            f"{note['says']} ({note['from'][0].upper()}{note['from'][1:]}.)"
            for note in _practice()
            if all(
                note.get(name, here) == here
                for name, here in (
                    ("source", self.source),
                    ("metal", self.metal),
                    ("reductant", self.reductant),
                )
            )
        )

    def at_si(self, T: float) -> "Reading":
        """This cell at ``T`` (K); without data its verdict is "no value", with the reason."""
        if self.reaction is None:
            return Reading(self, None, None, NO_VALUE, self.why_not)
        atoms = float(self.reaction.coefficients[self.metal])
        try:
            G = float(self.reaction.gibbs_energy_si(T)) / atoms
            u = float(self.reaction.uncertainty_si(T)) / atoms
        except (NoTrustedValue, OutOfRange) as reason:
            return Reading(self, None, None, NO_VALUE, str(reason))
        verdict = UNDECIDED
        if abs(G) > max(INCONCLUSIVE, u):
            verdict = DOWNHILL if G < 0 else UPHILL
        return Reading(self, G, u, verdict, "")


@dataclass(frozen=True, slots=True)
class Reading:
    """A cell at one temperature.

    gibbs_energy_si, uncertainty_si: J per mole of metal, or None where there is no value; floats,
    because a panel shows dozens of them at each key press.
    verdict: "downhill", "uphill", "too close to call" or "no value". why_not: the reason for none.
    """

    cell: Cell
    gibbs_energy_si: float | None
    uncertainty_si: float | None
    verdict: str
    why_not: str

    @property
    def gibbs_energy(self) -> Quantity | None:
        """kJ per mole of metal, or None where there is no value."""
        return _in_kilojoules(self.gibbs_energy_si)

    @property
    def uncertainty(self) -> Quantity | None:
        """Half-width of the Gibbs energy, kJ per mole of metal, or None."""
        return _in_kilojoules(self.uncertainty_si)


@dataclass(frozen=True, slots=True)
class Matrix:
    """Metals in rows, reductants in columns, for one kind of compound."""

    source: str
    cells: tuple[Cell, ...]

    def cell(self, metal: str, reductant: str) -> Cell:
        """The cell of one metal and one reductant.

        Raises: NoSuchRoute, if there is no such row or column.
        """
        for cell in self.cells:
            if (cell.metal, cell.reductant) == (metal, reductant):
                return cell
        raise NoSuchRoute(
            tr(
                "There is no cell of {metal!r} and {reductant!r} in this matrix.",
                metal=metal,
                reductant=reductant,
            )
        )

    def at(self, temperature: QuantityLike) -> tuple[Reading, ...]:
        """Every cell at one temperature, row by row."""
        T = float(magnitude("temperature", temperature, "K", above=0))
        return tuple(cell.at_si(T) for cell in self.cells)


@cache
def matrix(source: str) -> Matrix:
    """The matrix of one kind of compound, one of ``SOURCES``.

    Raises: NoSuchRoute, naming the kinds.
    """
    if source not in SOURCES:
        raise NoSuchRoute(
            tr("{source!r} is not one of {compounds}.", source=source, compounds=", ".join(SOURCES))
        )
    return Matrix(source, tuple(_cell(source, m, r) for m in METALS for r in REDUCTANTS))


def _in_kilojoules(value: float | None) -> Quantity | None:
    return None if value is None else Quantity(value / 1e3, "kJ/mol")


def _cell(source: str, metal: str, reductant: str) -> Cell:
    try:
        return Cell(source, metal, reductant, reduction(metal, source, reductant), "")
    except NoSuchRoute as reason:
        return Cell(source, metal, reductant, None, str(reason))


@cache
def _practice() -> tuple[Mapping[str, str], ...]:
    return tuple(read_toml("routes/data/practice.toml")["note"])
