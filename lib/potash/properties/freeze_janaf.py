"""Copy the thermochemical tables that Potash uses out of reference packages into its data.

Run ``python -m potash.properties.freeze_janaf`` after a change to ``data/species.csv``. It needs
the test extra: the NIST-JANAF tables come from the package ``janaf``, calcite from the NASA
polynomials that Cantera carries, room-temperature values from the CRC tables of ``chemicals``.

Sources:
    M. W. Chase, NIST-JANAF Thermochemical Tables, 4th ed., J. Phys. Chem. Ref. Data, Monograph 9,
    1998.
    B. J. McBride, S. Gordon and M. A. Reno, NASA Technical Memorandum 4513, 1993.
    CRC Handbook of Chemistry and Physics, 95th ed., "Standard thermodynamic properties of chemical
    substances" and "Thermodynamic properties of aqueous ions", as carried by ``chemicals``.
"""

import csv
import io
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from importlib import import_module, resources
from pathlib import Path
from typing import Any

from potash.errors import PotashError
from potash.files import write_atomically
from potash.properties.curves import Curve, joined
from potash.properties.records import gibbs_energy_curve

DATA = Path(__file__).parent / "data"

COLDEST = 200.0  # K; below it the tables are too sparse to interpolate
HOTTEST = 2500.0  # K; far above any vessel this workbook speaks of
REFERENCE = 298.15  # K
CALCITE = "CaCO3(caL)"
GAS_CONSTANT = 8.31451  # J/(mol K), as in the 1993 report, so that polynomials are read as fitted

_ARROW = re.compile(r"^\s*(?P<below>.+?)\s*<-->\s*(?P<above>.+?)\s*(TRANSITION|FUGACITY.*)?$")
_CAS = re.compile(r"^\d+-\d\d-\d$")


class BadTable(PotashError):
    """A reference table contradicts itself, so that it cannot be copied as it stands."""


@dataclass(frozen=True, slots=True)
class Node:
    """One row of a table: T (K), Cp, S and -[G-H(Tr)]/T (J/(mol K)), H-H(Tr) (kJ/mol)."""

    temperature: float
    heat_capacity: float
    entropy: float
    gibbs_function: float
    enthalpy_increment: float
    label: str = ""


@dataclass(frozen=True, slots=True)
class Segment:
    """The rows of one phase between two transitions, with its place among the stable phases."""

    formula: str
    phase: str
    modification: str
    table: str
    formation_enthalpy: float  # kJ/mol at 298.15 K, of the whole table
    nodes: tuple[Node, ...]
    stable: tuple[float, float] | None = None  # K, at 1 bar

    @property
    def low(self) -> float:
        return self.nodes[0].temperature

    @property
    def high(self) -> float:
        return self.nodes[-1].temperature


def freeze(folder: Path = DATA) -> None:
    """Write ``segments.csv``, ``nodes.csv`` and ``room_temperature.csv`` into ``folder``.

    Raises: BadTable, if a table fails its consistency gate.
    """
    species = read_species()
    segments = [segment for row in species for segment in _segments(row)]
    write_atomically(folder / "segments.csv", _csv(_SEGMENT_COLUMNS, map(_segment_row, segments)))
    write_atomically(folder / "nodes.csv", _csv(_NODE_COLUMNS, _node_rows(segments)))
    write_atomically(folder / "room_temperature.csv", _csv(_POINT_COLUMNS, _point_rows(species)))


def read_species() -> list[dict[str, str]]:
    """The rows of ``data/species.csv``, the list that a person keeps."""
    text = resources.files("potash.properties").joinpath("data/species.csv").read_text("utf-8")
    return list(csv.DictReader(io.StringIO(text)))


# ------------------------------------------------------------------ tables into segments


def _segments(row: dict[str, str]) -> list[Segment]:
    condensed: list[Segment] = []
    gas: list[Segment] = []
    if row["condensed"] and not _CAS.match(row["condensed"]):
        condensed = _table_segments(row["formula"], row["condensed"], "cr")
    if row["gas"]:
        gas = _table_segments(row["formula"], row["gas"], "g")
    # Where melting is not tabulated, a crossing with the gas would have no meaning.
    return _with_stable_ranges(condensed, gas, boils=not row["melts_untabulated"])


def _table_segments(formula: str, table: str, phase: str) -> list[Segment]:
    """The segments of a table whose coldest rows are of ``phase``, between 200 and 2500 K."""
    if table == CALCITE:
        formation_enthalpy, nodes = _calcite()
    else:
        formation_enthalpy, nodes = _janaf_rows(table)
        phase = "l" if phase == "cr" and _title_phase(table) == "l" else phase
    segments: list[Segment] = []
    modification = ""
    for piece, label in _pieces(nodes):
        below, above = _sides(label)
        segments.append(
            Segment(formula, phase, below or modification, table, formation_enthalpy, tuple(piece))
        )
        phase, modification = _phase_above(phase, above), above or modification
    kept = [clipped for segment in segments if (clipped := _clip(segment)) is not None]
    return [_gated(segment) for segment in kept]


def _janaf_rows(table: str) -> tuple[float, list[Node]]:
    """Formation enthalpy at 298.15 K and all rows of a NIST-JANAF table, in its own order."""
    raw: str = import_module("janaf").Table(table).raw
    formation_enthalpy = None
    nodes: list[Node] = []
    for line in raw.splitlines()[2:]:
        cells = [cell.strip() for cell in line.split("\t")]
        if len(cells) < 5 or not cells[1] or "inf" in cells[3]:
            continue
        label = cells[5] if len(cells) > 5 and re.search("[A-Za-z]", cells[5]) else ""
        T, Cp, S, phi, H = map(float, cells[:5])
        nodes.append(Node(T, Cp, S, phi, H, label))
        if T == REFERENCE:
            formation_enthalpy = float(cells[5])
    if formation_enthalpy is None:
        raise BadTable(f"Table {table} has no row at 298.15 K, so no formation enthalpy.")
    return formation_enthalpy, nodes


def _title_phase(table: str) -> str:
    title: str = import_module("janaf").Table(table).raw.splitlines()[0]
    return title.rsplit("(", 1)[1].rstrip(")\t ")


def _calcite() -> tuple[float, list[Node]]:
    """Calcite, 298.15 to 1200 K, from the NASA polynomial (JANAF has no calcium carbonate)."""
    cantera: Any = import_module("cantera")
    thermo = next(
        s for s in cantera.Species.list_from_file("nasa_condensed.yaml") if s.name == CALCITE
    ).thermo
    scale = GAS_CONSTANT / cantera.gas_constant
    formation_enthalpy = thermo.h(REFERENCE) * scale / 1e3

    def node(T: float) -> Node:
        Cp, H, S = (f(T) * scale for f in (thermo.cp, thermo.h, thermo.s))
        H = H / 1e3 - formation_enthalpy
        return Node(T, round(Cp, 3), round(S, 3), round(S - 1e3 * H / T, 3), round(H, 3))

    grid = [REFERENCE, *(float(T) for T in range(300, 1201, 50))]
    return round(formation_enthalpy, 3), [node(T) for T in grid]


def _pieces(nodes: list[Node]) -> Iterator[tuple[list[Node], str]]:
    """Split where a temperature repeats: the rows of each piece, and the label at its upper end."""
    piece: list[Node] = []
    for node in nodes:
        if piece and node.temperature == piece[-1].temperature:
            yield piece, piece[-1].label or node.label
            piece = []
        piece.append(node)
    yield piece, ""


def _sides(label: str) -> tuple[str, str]:
    """The two modifications that a transition label names: ALPHA <--> BETA."""
    match = _ARROW.match(label)
    if match is None:
        return "", ""
    below, above = (match[side].removesuffix("TRANSITION").strip() for side in ("below", "above"))
    return _modification(below), _modification(above)


def _modification(word: str) -> str:
    roman = set(word) <= set("IV")
    return "" if word == "CRYSTAL" else word if roman else word.lower()


def _phase_above(phase: str, above: str) -> str:
    if above.startswith("liquid"):
        return "l"
    return "g" if above.endswith("gas") else phase


def _clip(segment: Segment) -> Segment | None:
    nodes = tuple(node for node in segment.nodes if COLDEST <= node.temperature <= HOTTEST)
    modification = "" if segment.modification in ("liquid", "ideal gas") else segment.modification
    return replace(segment, nodes=nodes, modification=modification) if len(nodes) > 1 else None


def _gated(segment: Segment) -> Segment:
    """The segment without the cold rows that contradict the others.

    Some tables carry misprints or an unresolved transition below 298.15 K (NaO2 and H2O2 at
    200 K); the rows from there down are left out. Higher up a contradiction is an error.
    Raises: BadTable.
    """
    for node in segment.nodes:
        _gate_row(segment.table, node)
    nodes = segment.nodes
    for i in range(len(nodes) - 1, 0, -1):
        if _contradict(nodes[i - 1], nodes[i]):
            if nodes[i].temperature > REFERENCE:
                raise BadTable(
                    f"Table {segment.table}: between {nodes[i - 1].temperature:g} and "
                    f"{nodes[i].temperature:g} K the Gibbs energy does not follow the entropy."
                )
            return replace(segment, nodes=nodes[i:])
    return segment


def _gate_row(table: str, node: Node) -> None:
    """S = -[G-H(Tr)]/T + [H-H(Tr)]/T to 0.01 J/(mol K), what three decimals allow; Cp, S > 0."""
    where = f"Table {table} at {node.temperature:g} K"
    parts = node.gibbs_function + 1e3 * node.enthalpy_increment / node.temperature
    if abs(node.entropy - parts) > 0.01:
        raise BadTable(f"{where}: S is {node.entropy}, but its parts add up to {parts:.3f}.")
    if not (node.heat_capacity > 0 and node.entropy > 0):
        raise BadTable(f"{where}: Cp and S must be positive.")


def _contradict(a: Node, b: Node) -> bool:
    r"""Whether two rows disagree with dG = -S dT by more than 30 J/mol.

    .. math:: G_b - G_a = -h (S_a + S_b)/2 + h^2 (S'_b - S'_a)/12, \quad S' = C_p/T

    Source: the Euler-Maclaurin formula to its second term.
    """
    h = b.temperature - a.temperature
    G_a, G_b = (1e3 * node.enthalpy_increment - node.temperature * node.entropy for node in (a, b))
    bend = b.heat_capacity / b.temperature - a.heat_capacity / a.temperature
    expected = -h * (a.entropy + b.entropy) / 2 + h**2 * bend / 12
    return h <= 0 or abs(G_b - G_a - expected) > 30.0


# ------------------------------------------------------------------ which phase is stable where


def _with_stable_ranges(
    condensed: list[Segment], gas: list[Segment], *, boils: bool
) -> list[Segment]:
    """Mark where each segment is the stable phase at 1 bar: condensed up to boiling, then gas.

    Boiling (or subliming) is where the gas, as an ideal gas of that molecule at 1 bar, has the same
    Gibbs energy as the condensed phase. The tables of elements print that temperature themselves.
    """
    if not condensed:
        return [replace(s, stable=(s.low, s.high)) for s in gas]
    boils_in_table = condensed[-1].phase == "g"
    condensed = [s for s in condensed if s.phase != "g"]  # the gas has a table of its own
    end = condensed[-1].high
    boiling = end if boils_in_table else _crossing(condensed, gas[0]) if gas and boils else None
    top = end if boiling is None else boiling
    marked = [
        replace(s, stable=(s.low, min(s.high, top)) if s.low < top else None) for s in condensed
    ]
    gas_range = None if boiling is None else (boiling, gas[-1].high)
    return marked + [replace(s, stable=gas_range) for s in gas]


def _crossing(condensed: list[Segment], gas: Segment) -> float | None:
    vapour = _gibbs_energy(gas)
    below = joined([_gibbs_energy(segment) for segment in condensed])
    low, high = max(below.low, vapour.low), min(below.high, vapour.high)
    if vapour(high) > below(high):
        return None
    while high - low > 1e-6:
        middle = (low + high) / 2
        low, high = (middle, high) if vapour(middle) > below(middle) else (low, middle)
    return round(high, 3)


def _gibbs_energy(segment: Segment) -> Curve:
    columns = zip(
        *((n.temperature, n.heat_capacity, n.entropy, n.gibbs_function) for n in segment.nodes),
        strict=True,
    )
    return gibbs_energy_curve(1e3 * segment.formation_enthalpy, *columns)


# ------------------------------------------------------------------ room-temperature values


_POINT_COLUMNS = (
    "formula", "phase", "cas", "formation_enthalpy", "formation_gibbs_energy", "entropy",
    "heat_capacity",
)  # fmt: skip


def _point_rows(species: list[dict[str, str]]) -> Iterator[tuple[object, ...]]:
    """CRC values at 298.15 K, kJ/mol and J/(mol K), of the species listed by a CAS number."""
    pandas: Any = import_module("pandas")
    package = resources.files("chemicals")
    read = {
        name: pandas.read_csv(str(package.joinpath(path)), sep="\t", index_col="CAS")
        for name, path in _CRC_FILES.items()
    }
    for row in species:
        cas = row["condensed"]
        if not _CAS.match(cas):
            continue
        phase = "aq" if cas in read["aq"].index else "cr"
        values = read[phase].loc[cas]
        scaled = (_scaled(values[c], 1e-3 if c[1] == "f" else 1.0) for c in _CRC_COLUMNS[phase])
        yield (row["formula"], phase, cas, *scaled)


_CRC_FILES = {
    "cr": "Heat Capacity/CRC Standard Thermodynamic Properties of Chemical Substances.tsv",
    "aq": "Electrolytes/CRC Thermodynamic Properties of Aqueous Ions.tsv",
}

_CRC_COLUMNS = {
    "cr": ("Hfs", "Gfs", "S0s", "Cps"),
    "aq": ("Hf(aq)", "Gf(aq)", "S(aq)", "Cp(aq)"),
}


def _scaled(value: Any, factor: float) -> str:
    return "" if value != value else f"{float(value) * factor:g}"


# ------------------------------------------------------------------ files


_SEGMENT_COLUMNS = (
    "segment", "formula", "phase", "modification", "table", "formation_enthalpy", "stable_from",
    "stable_to",
)  # fmt: skip
_NODE_COLUMNS = (
    "segment", "T", "heat_capacity", "entropy", "gibbs_function", "enthalpy_increment",
)  # fmt: skip


def _name(segment: Segment) -> str:
    return " ".join(filter(None, (segment.table, segment.phase, f"{segment.low:g}")))


def _segment_row(segment: Segment) -> tuple[object, ...]:
    low, high = segment.stable or ("", "")
    return (
        _name(segment), segment.formula, segment.phase, segment.modification, segment.table,
        segment.formation_enthalpy, low, high,
    )  # fmt: skip


def _node_rows(segments: Iterable[Segment]) -> Iterator[tuple[object, ...]]:
    for segment in segments:
        for node in segment.nodes:
            yield (
                _name(segment),
                f"{node.temperature:.10g}",
                node.heat_capacity,
                node.entropy,
                node.gibbs_function,
                node.enthalpy_increment,
            )


def _csv(columns: tuple[str, ...], rows: Iterable[tuple[object, ...]]) -> str:
    buffer = io.StringIO()
    writer = csv.writer(buffer, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows(rows)
    return buffer.getvalue()


if __name__ == "__main__":
    freeze()
