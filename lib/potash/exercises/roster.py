"""The class list: a CSV file as spreadsheets and learning platforms write it."""

import csv
import io
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Final

from potash.errors import PotashError
from potash.files import read_capped

MAX_BYTES: Final = 50_000_000
MAX_ID: Final = 64
MAX_NAME: Final = 200

DEFAULT_COLUMNS: Final[Mapping[str, str]] = {"id": "id", "name": "name"}

# What a spreadsheet takes for the beginning of a formula, in both widths.
FORMULA_SIGNS: Final = "=+-@＝＋－＠"
_SEPARATORS: Final = ",;\t"
_IN_IDS: Final = frozenset("._-+@ ")
_RESERVED: Final = frozenset(
    ["con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(10))]
)


class BadClassList(PotashError):
    """The class list cannot be used; the message names file and line."""


@dataclass(frozen=True, slots=True)
class Student:
    """One student: the id, which names the handout's folder, and the name for people."""

    id: str
    name: str


def read_class_list(
    path: Path, columns: Mapping[str, str] = DEFAULT_COLUMNS
) -> tuple[Student, ...]:
    """The students in the CSV file ``path``, in its order.

    The first line names the columns; ``columns`` says which of them hold "id" and "name", and
    case does not matter. Commas, semicolons and tabs separate; a byte-order mark and any line
    ends are fine.

    Raises: BadClassList, for the first line that cannot be used.
    """
    return _students(_text(path), path.name, tuple({**DEFAULT_COLUMNS, **columns}.items()))


@lru_cache(1)
def _students(
    text: str, filename: str, columns: tuple[tuple[str, str], ...]
) -> tuple[Student, ...]:
    """The students in ``text``, kept: whoever marks asks several times, and a list can be long."""
    students: list[Student] = []
    seen: dict[str, int] = {}
    for line, student_id, name in _rows(text, filename, dict(columns)):
        where = f"{filename}, line {line}"
        student = Student(_checked_id(student_id, where), _checked_name(name, where) or student_id)
        # Two folders whose names differ in case alone are one folder on many disks.
        folded = student.id.casefold()
        if folded in seen:
            raise BadClassList(
                f"{where}: the student id {student.id!r} is on line {seen[folded]} already; "
                "each student needs an id of their own."
            )
        seen[folded] = line
        students.append(student)
    if not students:
        raise BadClassList(f"{filename}: the class list names no student.")
    return tuple(students)


def _text(path: Path) -> str:
    try:
        data = read_capped(path, MAX_BYTES)
    except OSError as reason:
        raise BadClassList(
            f"the class list {path} cannot be read: {reason.strerror or reason}."
        ) from reason
    except PotashError as reason:
        raise BadClassList(f"the class list {reason}") from None
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise BadClassList(
            f"{path.name} is UTF-16 text; save the class list as CSV in UTF-8 instead."
        )
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as reason:
        line = data[: reason.start].count(b"\n") + 1
        raise BadClassList(
            f"{path.name}, line {line}: byte {reason.start} is not UTF-8; "
            "save the class list as CSV in UTF-8."
        ) from None


def _rows(text: str, name: str, columns: Mapping[str, str]) -> Iterator[tuple[int, str, str]]:
    lines = io.StringIO(text, newline="")
    first = 0
    if text[:4].casefold() == "sep=":  # spreadsheets leave this note to themselves
        lines.readline()
        first = 1
    reader = csv.reader(lines, delimiter=_separator(text, columns), strict=True)
    try:
        header = [cell.strip().casefold() for cell in next(reader, [])]
        at_id = _column(header, columns["id"], name)
        at_name = _column(header, columns["name"], name)
        for row in reader:
            if not any(cell.strip() for cell in row):
                continue
            if len(row) <= max(at_id, at_name):
                raise BadClassList(
                    f"{name}, line {reader.line_num + first}: the line has {len(row)} cells, "
                    f"the first line names {len(header)} columns."
                )
            yield reader.line_num + first, row[at_id].strip(), row[at_name].strip()
    except csv.Error as reason:
        raise BadClassList(f"{name}, line {reader.line_num + first}: {reason}.") from None


def _separator(text: str, columns: Mapping[str, str]) -> str:
    """The separator with which the first line names most of the columns that are needed."""
    header = next((line for line in text.splitlines() if line.casefold()[:4] != "sep="), "")
    wanted = {column.casefold() for column in columns.values()}

    def found(separator: str) -> int:
        cells = next(csv.reader([header], delimiter=separator), [])
        return len(wanted & {cell.strip().casefold() for cell in cells})

    return max(_SEPARATORS, key=found)


def _column(header: Sequence[str], wanted: str, name: str) -> int:
    found = [index for index, cell in enumerate(header) if cell == wanted.casefold()]
    if len(found) == 1:
        return found[0]
    problem = "names no column" if not found else "names two columns"
    raise BadClassList(
        f"{name}, line 1: the class list {problem} {wanted!r}; it has "
        f"{', '.join(repr(cell) for cell in header) or 'no line at all'}. "
        "Rename a column, or name yours under [class_list.columns] in the course file."
    )


def _checked_id(text: str, where: str) -> str:
    student_id = unicodedata.normalize("NFC", text)
    problem = _id_problem(student_id)
    if problem:
        raise BadClassList(
            f"{where}: the student id {text[:80]!r} {problem}. An id names a folder: use letters, "
            "digits and . _ - in it, such as s1042."
        )
    return student_id


def _id_problem(student_id: str) -> str | None:
    """What keeps ``student_id`` from naming a folder on every system, if anything does."""
    if not student_id:
        return "is empty"
    if len(student_id) > MAX_ID:
        return f"is longer than {MAX_ID} characters"
    if student_id[0] in FORMULA_SIGNS:
        return f"begins with {student_id[0]!r}, which a spreadsheet takes for a formula"
    if ".." in student_id or "/" in student_id or "\\" in student_id:
        return "would lead out of its folder"
    strange = [sign for sign in student_id if not (sign.isalnum() or sign in _IN_IDS)]
    if strange:
        return f"holds {strange[0]!r}"
    if student_id[0] == "." or student_id[-1] in ". ":
        return "begins or ends with a dot"
    if student_id.partition(".")[0].rstrip().casefold() in _RESERVED:
        return "is a name that Windows keeps for a device"
    return None


def _checked_name(text: str, where: str) -> str:
    name = " ".join(text.split())
    if len(name) > MAX_NAME:
        raise BadClassList(f"{where}: the name is longer than {MAX_NAME} characters.")
    strange = [sign for sign in name if unicodedata.category(sign) in ("Cc", "Cs")]
    if strange:
        raise BadClassList(f"{where}: the name holds the control character {strange[0]!r}.")
    return name
