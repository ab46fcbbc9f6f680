"""The thermochemical data files, read once, as segments of one phase with their curves."""

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources

from potash.properties.curves import Curve, cubic, quintic, slopes_through
from potash.words.tables import read_csv

REFERENCE = 298.15  # K, the reference temperature of the tables

# Within this distance of 298.15 K a constant heat capacity costs less than 0.05 kJ/mol.
NEAR_ROOM = 10.0  # K
# Without any heat capacity a value holds at 298.15 K and nowhere else.
AT_ROOM = 0.01  # K

_TABLES_OF = {
    "janaf": "NIST-JANAF Thermochemical Tables, 4th ed. (Chase, 1998)",
    "nasa": "NASA Technical Memorandum 4513 (McBride, Gordon and Reno, 1993)",
    "crc": "CRC Handbook of Chemistry and Physics, 95th ed., values at 298.15 K",
}


@dataclass(frozen=True, slots=True)
class Listing:
    """What ``species.csv`` says of a species, apart from its tables.

    uncertainty: of its Gibbs energy at 298.15 K, J/mol; entropy_uncertainty: J/(mol K); both from
    the spread between the JANAF and the CRC values.
    melting_untabulated: K, above which its table goes on with a solid that has melted; or None.
    """

    formula: str
    names: tuple[str, ...]
    uncertainty: float
    entropy_uncertainty: float
    melting_untabulated: float | None
    note: str


@dataclass(frozen=True, slots=True)
class Segment:
    """One phase of one species between two transitions.

    phase: "cr", "l", "g" or "aq"; modification: "alpha", "II", or "" where there is one only.
    low, high: K, where the table holds; stable: K, where it is the stable phase at 1 bar, or None.
    enthalpy, gibbs_energy: apparent molar values (J/mol): formation at 298.15 K plus the change
    from there; gibbs_energy is None where no entropy is known.
    heat_capacity: J/(mol K), or None where unknown.
    """

    phase: str
    modification: str
    table: str
    origin: str
    stable: tuple[float, float] | None
    enthalpy: Curve
    gibbs_energy: Curve | None
    heat_capacity: Curve | None

    @property
    def low(self) -> float:
        return self.enthalpy.low

    @property
    def high(self) -> float:
        return self.enthalpy.high

    @property
    def label(self) -> str:
        """The phase as people name it: "cr", "cr, alpha", "l"."""
        return f"{self.phase}, {self.modification}" if self.modification else self.phase

    @property
    def source(self) -> str:
        """The published table."""
        return _TABLES_OF[self.origin]


@cache
def listings() -> Mapping[str, Listing]:
    """All species by formula, in the order of the file."""
    return {row["formula"]: _listing(row) for row in _rows("species.csv")}


@cache
def segments(formula: str) -> tuple[Segment, ...]:
    """All phases of ``formula``, condensed ones first, each in rising temperature; may be empty."""
    tabulated = tuple(_tabulated(row) for row in _segment_rows().get(formula, ()))
    return tabulated or tuple(_single_point(row) for row in _point_rows().get(formula, ()))


def _listing(row: dict[str, str]) -> Listing:
    return Listing(
        formula=row["formula"],
        names=tuple(name.strip() for name in row["names"].split(";")),
        uncertainty=1e3 * float(row["uncertainty"] or "nan"),
        entropy_uncertainty=float(row["entropy_uncertainty"] or "nan"),
        melting_untabulated=_optional(row["melts_untabulated"]),
        note=row["note"],
    )


# ------------------------------------------------------------------ curves from tables


def _tabulated(row: dict[str, str]) -> Segment:
    r"""A segment of a table, interpolated between its rows.

    .. math:: G(T) = \Delta_f H(T_r) - T \cdot \{-[G - H(T_r)]/T\}, \quad
              G' = -S, \quad G'' = -C_p/T, \quad H' = C_p

    G is a quintic and H a cubic Hermite curve, so that both take the table's own values and
    derivatives at its rows. Between rows that differ from a smooth curve by the table's rounding
    (0.0005 J/(mol K)) G is good to 2 J/mol.
    """
    nodes = _node_rows()[row["segment"]]
    T, Cp, S, phi, increment = (list(column) for column in zip(*nodes, strict=True))
    formation = 1e3 * float(row["formation_enthalpy"])
    H = [formation + 1e3 * h for h in increment]
    stable = (float(row["stable_from"]), float(row["stable_to"])) if row["stable_from"] else None
    return Segment(
        phase=row["phase"],
        modification=row["modification"],
        table=row["table"],
        origin="nasa" if row["table"].startswith("CaCO3") else "janaf",
        stable=stable,
        enthalpy=cubic(T, H, Cp),
        gibbs_energy=gibbs_energy_curve(formation, T, Cp, S, phi),
        heat_capacity=cubic(T, Cp, slopes_through(T, Cp)),
    )


def gibbs_energy_curve(
    formation: float,
    T: Sequence[float],
    Cp: Sequence[float],
    S: Sequence[float],
    phi: Sequence[float],
) -> Curve:
    """Apparent Gibbs energy (J/mol) from rows of a table, as ``_tabulated`` describes.

    formation: enthalpy of formation at 298.15 K, J/mol; T in K; the others in J/(mol K).
    """
    G = [formation - t * p for t, p in zip(T, phi, strict=True)]
    return quintic(T, G, [-s for s in S], [-c / t for c, t in zip(Cp, T, strict=True)])


def _single_point(row: dict[str, str]) -> Segment:
    r"""A species known at 298.15 K only; with a heat capacity it holds 10 K to either side.

    .. math:: H = \Delta_f H + C_p (T - T_r), \quad S = S_r + C_p \ln(T/T_r), \quad G = H - T S
    """
    H_r = 1e3 * float(row["formation_enthalpy"])
    S_r, Cp = _optional(row["entropy"]), _optional(row["heat_capacity"])
    reach = AT_ROOM if Cp is None else NEAR_ROOM
    T = [REFERENCE - reach, REFERENCE, REFERENCE + reach]
    slope = Cp or 0.0
    H = [H_r + slope * (t - REFERENCE) for t in T]
    gibbs_energy = None
    if S_r is not None:
        S = [S_r + slope * math.log(t / REFERENCE) for t in T]
        G = [h - t * s for h, t, s in zip(H, T, S, strict=True)]
        gibbs_energy = quintic(T, G, [-s for s in S], [-slope / t for t in T])
    return Segment(
        phase=row["phase"],
        modification="",
        table=row["cas"],
        origin="crc",
        stable=(T[0], T[-1]),
        enthalpy=cubic(T, H, [slope] * 3),
        gibbs_energy=gibbs_energy,
        heat_capacity=None if Cp is None else cubic(T, [Cp] * 3, [0.0] * 3),
    )


# ------------------------------------------------------------------ files


def _optional(cell: str) -> float | None:
    return float(cell) if cell else None


def _rows(name: str) -> list[dict[str, str]]:
    return read_csv(f"properties/data/{name}")


@cache
def _segment_rows() -> Mapping[str, list[dict[str, str]]]:
    return _grouped("segments.csv")


@cache
def _point_rows() -> Mapping[str, list[dict[str, str]]]:
    return _grouped("room_temperature.csv")


def _grouped(name: str) -> Mapping[str, list[dict[str, str]]]:
    groups: dict[str, list[dict[str, str]]] = defaultdict(list)
    for row in _rows(name):
        groups[row["formula"]].append(row)
    return groups


@cache
def _node_rows() -> Mapping[str, list[tuple[float, ...]]]:
    """The rows of each segment: T, Cp, S, -[G-H(Tr)]/T, H-H(Tr)."""
    text = resources.files("potash.properties").joinpath("data/nodes.csv").read_text("utf-8")
    nodes: dict[str, list[tuple[float, ...]]] = defaultdict(list)
    for line in text.splitlines()[1:]:
        segment, *cells = line.split(",")
        nodes[segment].append(tuple(map(float, cells)))
    return nodes
