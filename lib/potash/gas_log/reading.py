"""Reading a gas log: a CSV with a header that names each column and its unit.

    time / min; volume / mL; temperature / °C; pressure / mbar
    0;          0,0;         21,5;             1008

Columns in any order; volume or flow, not both; temperature and pressure may be missing. Commas with
decimal points, or semicolons or tabs with points or commas. Units may also stand in brackets.
"""

import csv
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from importlib import resources
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from potash.charge import GAS_CONSTANT
from potash.errors import PotashError
from potash.files import FileTooLarge, read_capped
from potash.gas_log.errors import BadLog
from potash.units import Quantity, QuantityLike, magnitude, quantity, read, show
from potash.words import tr

_LONGEST_FILE = 5_000_000  # bytes: a reading a second for a day is half of that
_MOST_ROWS = 100_000
_FEWEST_ROWS = 8  # three numbers are fitted; fewer readings say nothing about their spread
_LONG_GAP = 5.0  # times the usual interval

_COLUMNS: Mapping[str, tuple[tuple[str, ...], str, str]] = {
    # name: what people call it, its dimension, an example
    "time": (("time", "t", "elapsed time", "elapsed"), "time", "time / min"),
    "volume": (("volume", "gas volume", "gas", "v"), "volume", "volume / mL"),
    "flow": (("flow", "gas flow", "flow rate", "q"), "volume flow", "flow / (mL/min)"),
    "temperature": (("temperature", "temp", "gas temperature"), "temperature", "temperature / °C"),
    "pressure": (("pressure", "p"), "pressure", "pressure / mbar"),
}
_NUMBER = re.compile(r"[+-]?\d+(?:\.\d*)?(?:[eE][+-]?\d{1,3})?|[+-]?\.\d+(?:[eE][+-]?\d{1,3})?")
_EXAMPLE = "time / min; volume / mL; temperature / °C; pressure / mbar"


@dataclass(frozen=True, slots=True)
class GasLog:
    """A log as read, with the gas counted as an amount.

    kind: "volume", gas collected so far, or "flow", gas passing at that moment.
    time (min), strictly rising, and gas (mmol, or mmol/min for a flow), both (n,).
    read: the volumes or flows as they stood there, (n,).
    warnings: long gaps, volumes that fall.
    """

    name: str
    kind: str
    time: Quantity = field(repr=False)
    gas: Quantity = field(repr=False)
    read: Quantity = field(repr=False)
    warnings: tuple[str, ...]

    def __len__(self) -> int:
        return int(np.size(self.time.magnitude))


def read_gas_log(
    path_or_text: str | Path,
    *,
    temperature: QuantityLike = "20 °C",
    pressure: QuantityLike = "1013 mbar",
) -> GasLog:
    r"""Read a gas log from a file or from its text (text has a line break).

    .. math:: n = p V / (R T)

    Parameters: temperature and pressure of the gas, used where the log has no such column.
    Raises: BadLog, naming the line and what would be right; OutOfBounds and errors of units for the
    arguments.
    Source: ideal gas law; R of CODATA 2018.
    """
    name, text = _source(path_or_text)
    rows = _rows(text)
    columns = _columns(rows)
    times = columns["time"].m_as("min")
    _demand_rising(times, rows)
    T = columns.get("temperature", quantity(temperature, "temperature"))
    p = columns.get("pressure", quantity(pressure, "pressure"))
    kelvin = np.asarray(magnitude("temperature", T, "K", above=0))
    pascal = np.asarray(magnitude("pressure", p, "Pa", above=0))
    kind = "volume" if "volume" in columns else "flow"
    counted = columns[kind]
    unit = "m^3" if kind == "volume" else "m^3/min"
    amount = counted.m_as(unit) * pascal / (GAS_CONSTANT * kelvin) * 1e3
    return GasLog(
        name=name,
        kind=kind,
        time=Quantity(times, "min"),
        gas=Quantity(amount, "mmol" if kind == "volume" else "mmol/min"),
        read=counted,
        warnings=tuple(_warnings(times, amount, kind)),
    )


def example_log() -> str:
    """The text of an invented log, to try a fit on before there is one of your own."""
    data = resources.files("potash.gas_log").joinpath("data", "larkmoor-gas-log.csv")
    return data.read_text("utf-8")


# From bytes to rows


def _source(given: str | Path) -> tuple[str, str]:
    if isinstance(given, str) and "\n" in given:
        return tr("the text"), given.removeprefix("\ufeff")
    path = Path(given)
    try:
        return path.name, read_capped(path, _LONGEST_FILE).decode("utf-8-sig")
    except FileTooLarge as problem:
        raise BadLog(
            tr("{problem} Log a reading a second at most, or cut the file.", problem=problem)
        ) from None
    except UnicodeDecodeError as problem:
        raise BadLog(
            tr(
                '"{path}" is not UTF-8 text (byte {start}). Save it as CSV UTF-8.',
                path=path.name,
                start=problem.start,
            )
        ) from None
    except OSError as problem:
        raise BadLog(
            tr(
                '"{path}" cannot be read: {strerror}.',
                path=path,
                strerror=problem.strerror or problem,
            )
        ) from None


def _rows(text: str) -> list[tuple[int, list[str]]]:
    """Line number and cells of each line that is not blank and no comment (#)."""
    lines = text.splitlines()
    kept = [(n, line) for n, line in enumerate(lines, 1) if line.strip() and line.strip()[0] != "#"]
    if not kept:
        raise BadLog(
            tr("The log is empty. It begins with a line such as: {example}", example=_EXAMPLE)
        )
    if len(kept) > _MOST_ROWS:
        raise BadLog(
            tr(
                "The log has {number} lines; at most {most} are read.",
                number=len(kept),
                most=_MOST_ROWS,
            )
        )
    mark = next((mark for mark in (";", "\t") if mark in kept[0][1]), ",")
    joined = io.StringIO("\n".join(line for _, line in kept))
    cells = csv.reader(joined, delimiter=mark, skipinitialspace=True)
    try:
        found = [[cell.strip() for cell in row] for row in cells]
    except csv.Error as problem:
        raise BadLog(
            tr(
                "The log is no CSV: {problem}. It begins with: {example}",
                problem=problem,
                example=_EXAMPLE,
            )
        ) from None
    if len(found) != len(kept):
        raise BadLog(tr("A quotation mark in the log is never closed. Take quotation marks out."))
    return [(number, row) for (number, _), row in zip(kept, found, strict=True)]


# From rows to quantities


def _columns(rows: Sequence[tuple[int, list[str]]]) -> Mapping[str, Quantity]:
    heading = _headings(rows[0][1])
    readings = rows[1:]
    if len(readings) < _FEWEST_ROWS:
        raise BadLog(
            tr(
                "The log has {number} readings; at least {fewest} are needed to fit a rate, an "
                "induction and a bend.",
                number=len(readings),
                fewest=_FEWEST_ROWS,
            )
        )
    width = len(rows[0][1])
    for number, row in readings:
        if len(row) != width:
            raise BadLog(_wrong_width(number, len(row), width))
    return {
        name: Quantity(np.array([_number(line, row[at], name) for line, row in readings]), unit)
        for name, (at, unit) in heading.items()
    }


def _headings(cells: Sequence[str]) -> Mapping[str, tuple[int, str]]:
    """Where each known column stands and its unit in Pint's spelling; others are left alone."""
    found: dict[str, tuple[int, str]] = {}
    for at, cell in enumerate(cells):
        called, unit = _taken_apart(cell)
        name = next((name for name, (names, _, _) in _COLUMNS.items() if called in names), None)
        if name is None:
            continue
        if not unit:
            raise BadLog(
                tr(
                    'The column "{cell}" has no unit. A heading that works: {example}',
                    cell=cell,
                    example=_COLUMNS[name][2],
                )
            )
        if name in found:
            raise BadLog(
                tr(
                    'The log has two columns of {name}. Take out or rename one: "{cell}".',
                    name=name,
                    cell=cell,
                )
            )
        found[name] = (at, _unit(name, cell, unit))
    _demand_columns(found)
    return found


def _taken_apart(cell: str) -> tuple[str, str]:
    """Name and unit of a heading: "volume / mL", "volume (mL)", "flow / (mL/min)"."""
    heading = cell[:100].strip()
    at = min((heading.find(mark) for mark in "/([" if mark in heading), default=len(heading))
    unit = heading[at + 1 :].strip()
    return heading[:at].strip().casefold(), unit.strip("()[] ")


def _unit(name: str, cell: str, unit: str) -> str:
    _, dimension, example = _COLUMNS[name]
    try:
        quantity(f"1 {unit}", dimension)
        return read(f"1 {unit}").unit
    except PotashError:
        raise BadLog(
            tr(
                'The column "{cell}" has "{unit}" for a unit, which is none of {name}. A heading '
                "that works: {example}",
                cell=cell,
                unit=unit[:30],
                name=name,
                example=example,
            )
        ) from None


def _demand_columns(found: Mapping[str, object]) -> None:
    if "time" not in found:
        raise BadLog(
            tr(
                "The log has no column of time. Its first line may read: {example}",
                example=_EXAMPLE,
            )
        )
    counted = [name for name in ("volume", "flow") if name in found]
    if len(counted) != 1:
        what = tr("both a volume and a flow") if counted else tr("neither a volume nor a flow")
        raise BadLog(
            tr(
                "The log has {what}. Keep one of the two, as in: {example}",
                what=what,
                example=_EXAMPLE,
            )
        )


def _number(line: int, cell: str, name: str) -> float:
    if not cell:
        raise BadLog(
            tr(
                "Line {line} has no {name}. Fill in the reading, or take the whole line out: gaps "
                "in time are allowed, empty cells are not.",
                line=line,
                name=name,
            )
        )
    plain = cell.replace("\u2212", "-").replace("\u00a0", "").replace("\u202f", "")
    if "," in plain and "." in plain:
        raise BadLog(
            tr(
                'Line {line}, {name}: "{cell}" has a comma and a point. Write 1234.5 or 1234,5.',
                line=line,
                name=name,
                cell=cell[:30],
            )
        )
    plain = plain.replace(",", ".")
    if not _NUMBER.fullmatch(plain):
        raise BadLog(
            tr(
                'Line {line}, {name}: "{cell}" is no number. A column holds numbers only, such as '
                "12.5; notes go behind a # on a line of their own.",
                line=line,
                name=name,
                cell=cell[:30],
            )
        )
    return float(plain)


def _wrong_width(line: int, cells: int, width: int) -> str:
    hint = (
        tr("If the numbers have decimal commas, separate the columns by semicolons.")
        if cells > width
        else tr("Fill in what is missing, or take the line out.")
    )
    return tr(
        "Line {line} has {cells} cells where the first line names {width} columns. {hint}",
        line=line,
        cells=cells,
        width=width,
        hint=hint,
    )


def _demand_rising(times: NDArray[np.float64], rows: Sequence[tuple[int, list[str]]]) -> None:
    for at, (earlier, later) in enumerate(pairwise(times)):
        first, second = rows[at + 1][0], rows[at + 2][0]
        if later == earlier:
            raise BadLog(
                tr(
                    "Lines {first} and {second} have the same time, {earlier:g} min. Keep one of "
                    "the two, or give seconds too.",
                    first=first,
                    second=second,
                    earlier=earlier,
                )
            )
        if later < earlier:
            raise BadLog(
                tr(
                    "Time goes back from {earlier:g} min in line {first} to {later:g} min in line "
                    "{second}. Sort the lines by time; after midnight go on counting.",
                    earlier=earlier,
                    first=first,
                    later=later,
                    second=second,
                )
            )


def _warnings(times: NDArray[np.float64], amount: NDArray[np.float64], kind: str) -> list[str]:
    intervals = np.diff(times)
    usual = float(np.median(intervals))
    found = [
        tr(
            "No reading between {start} and {end}: what happened there is not in the fit.",
            start=show(Quantity(float(times[at]), "min")),
            end=show(Quantity(float(times[at + 1]), "min")),
        )
        for at in np.flatnonzero(intervals > _LONG_GAP * usual)
    ]
    if kind == "volume" and amount[-1] < 0.9 * amount.max():
        found.append(tr("The volume falls at the end: look for a leak, or gas that cooled."))
    return found
