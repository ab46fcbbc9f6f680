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
from potash.words import tr

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
        where = tr("{filename}, line {line}", filename=filename, line=line)
        student = Student(_checked_id(student_id, where), _checked_name(name, where) or student_id)
        # Two folders whose names differ in case alone are one folder on many disks.
        folded = student.id.casefold()
        if folded in seen:
            raise BadClassList(
                tr(
                    "{where}: the student id {student!r} is on line {seen} already; each student "
                    "needs an id of their own.",
                    where=where,
                    student=student.id,
                    seen=seen[folded],
                )
            )
        seen[folded] = line
        students.append(student)
    if not students:
        raise BadClassList(tr("{filename}: the class list names no student.", filename=filename))
    return tuple(students)


def _text(path: Path) -> str:
    try:
        data = read_capped(path, MAX_BYTES)
    except OSError as reason:
        raise BadClassList(
            tr(
                "the class list {path} cannot be read: {strerror}.",
                path=path,
                strerror=reason.strerror or reason,
            )
        ) from reason
    except PotashError as reason:
        raise BadClassList(tr("the class list {reason}", reason=reason)) from None
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise BadClassList(
            tr(
                "{path} is UTF-16 text; save the class list as CSV in UTF-8 instead.",
                path=path.name,
            )
        )
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as reason:
        line = data[: reason.start].count(b"\n") + 1
        raise BadClassList(
            tr(
                "{path}, line {line}: byte {start} is not UTF-8; save the class list as CSV in "
                "UTF-8.",
                path=path.name,
                line=line,
                start=reason.start,
            )
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
                    tr(
                        "{name}, line {line_num}: the line has {number} cells, the first line "
                        "names {header} columns.",
                        name=name,
                        line_num=reader.line_num + first,
                        number=len(row),
                        header=len(header),
                    )
                )
            yield reader.line_num + first, row[at_id].strip(), row[at_name].strip()
    except csv.Error as reason:
        raise BadClassList(
            tr(
                "{name}, line {line_num}: {reason}.",
                name=name,
                line_num=reader.line_num + first,
                reason=reason,
            )
        ) from None


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
    problem = tr("names no column") if not found else tr("names two columns")
    raise BadClassList(
        tr(
            "{name}, line 1: the class list {problem} {wanted!r}; it has {cell}. Rename a column, "
            "or name yours under [class_list.columns] in the course file.",
            name=name,
            problem=problem,
            wanted=wanted,
            cell=", ".join(repr(cell) for cell in header) or tr("no line at all"),
        )
    )


def _checked_id(text: str, where: str) -> str:
    student_id = unicodedata.normalize("NFC", text)
    problem = _id_problem(student_id)
    if problem:
        raise BadClassList(
            tr(
                "{where}: the student id {text!r} {problem}. An id names a folder: use letters, "
                "digits and . _ - in it, such as s1042.",
                where=where,
                text=text[:80],
                problem=problem,
            )
        )
    return student_id


def _id_problem(student_id: str) -> str | None:
    """What keeps ``student_id`` from naming a folder on every system, if anything does."""
    if not student_id:
        return tr("is empty")
    if len(student_id) > MAX_ID:
        return tr("is longer than {most} characters", most=MAX_ID)
    if student_id[0] in FORMULA_SIGNS:
        return tr(
            "begins with {student_id!r}, which a spreadsheet takes for a formula",
            student_id=student_id[0],
        )
    if ".." in student_id or "/" in student_id or "\\" in student_id:
        return tr("would lead out of its folder")
    strange = [sign for sign in student_id if not (sign.isalnum() or sign in _IN_IDS)]
    if strange:
        return tr("holds {strange!r}", strange=strange[0])
    if student_id[0] == "." or student_id[-1] in ". ":
        return tr("begins or ends with a dot")
    if student_id.partition(".")[0].rstrip().casefold() in _RESERVED:
        return tr("is a name that Windows keeps for a device")
    return None


def _checked_name(text: str, where: str) -> str:
    name = " ".join(text.split())
    if len(name) > MAX_NAME:
        raise BadClassList(
            tr(
                "{where}: the name is longer than {most} characters.",
                where=where,
                most=MAX_NAME,
            )
        )
    strange = [sign for sign in name if unicodedata.category(sign) in ("Cc", "Cs")]
    if strange:
        raise BadClassList(
            tr(
                "{where}: the name holds the control character {strange!r}.",
                where=where,
                strange=strange[0],
            )
        )
    return name
