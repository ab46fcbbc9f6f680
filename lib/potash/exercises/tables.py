"""CSV files by RFC 4180 in UTF-8, harmless when a spreadsheet opens them."""

import csv
from collections.abc import Iterable
from typing import IO, Final

from potash.exercises.roster import FORMULA_SIGNS

_MAX_CELL: Final = 2000
_SIGNS: Final = tuple(FORMULA_SIGNS)


class _Given:
    """What the writer writes a row to: it is given back."""

    @staticmethod
    def write(row: str) -> str:
        return row


_WRITER: Final = csv.writer(_Given(), lineterminator="\r\n")


class Table:
    """Writes rows, one at a time, to a binary file."""

    def __init__(self, file: IO[bytes], header: Iterable[str]) -> None:
        self._file = file
        self.row(header)

    def row(self, cells: Iterable[str]) -> None:
        """Write one row; cells that a student had a hand in go through :func:`defused` first."""
        self.line(csv_line(cells))

    def line(self, line: str) -> None:
        """Write a row that :func:`csv_line` made."""
        self._file.write(line.encode())


def csv_line(cells: Iterable[str]) -> str:
    """A row as CSV writes it, its end included."""
    line: str = _WRITER.writerow(cells)
    return line


def defused(text: str) -> str:
    """Text from outside for a cell: on one line, cut, and never the beginning of a formula.

    A spreadsheet takes a cell that begins with = + - @ for a formula, even after spaces; an
    apostrophe in front makes it text. Only text from outside is treated so: numbers of ours stay
    numbers.
    Source: common practice; OWASP, CSV Injection.
    """
    if not text.isprintable():
        text = "".join(sign if sign.isprintable() else " " for sign in text)
    line = " ".join(text.split())
    if len(line) > _MAX_CELL:
        line = f"{line[:_MAX_CELL]} …"
    return f"'{line}" if line.startswith(_SIGNS) else line
