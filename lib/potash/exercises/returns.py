"""What was handed in: finding the files, and reading an answer sheet out of each as untrusted data.

Nothing in a returned file is executed, imported or followed. Links, devices and oversized files
are named and left alone.
"""

import os
import stat
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, Final, NamedTuple

from potash.errors import PotashError
from potash.exercises import sheet_file
from potash.exercises.sheet_file import BadSheet
from potash.files import read_capped
from potash.workspace import HANDOUT, PREPARATION, RECORD, SHEET

MAX_NOTEBOOK: Final = 20_000_000
MAX_DEPTH: Final = 8

# What a whole folder handed in holds besides the answer sheet; none of it is marked.
_COMPANIONS: Final = frozenset({HANDOUT, PREPARATION, RECORD})
_LIMITS: Final = {".json": sheet_file.MAX_BYTES, ".ipynb": MAX_NOTEBOOK}
_SKIPPED_FOLDERS: Final = frozenset({"__MACOSX", "__pycache__", "assets"})


class BadReturns(PotashError):
    """The folder of returned files cannot be read."""


class NoRecord(BadSheet):
    """A notebook in which no answers were recorded."""


class Returned(NamedTuple):
    """A returned file: where it is, its name within the returns, and what keeps it from reading.

    beside_sheet: whether a file answers.json lies in the same folder, as when a student hands in
    the whole workbook.
    """

    path: Path
    name: str
    problem: str = ""
    beside_sheet: bool = False

    @property
    def is_notebook(self) -> bool:
        return self.path.suffix.lower() == ".ipynb"


def find_returns(folder: Path) -> Iterator[Returned]:
    """Every file under ``folder`` that may be an answer sheet, in order of name.

    Raises: BadReturns, if ``folder`` is missing or cannot be listed.
    """
    if not folder.is_dir():
        what = "is a file" if folder.exists() else "does not exist"
        raise BadReturns(f"{folder} {what}; name the folder that holds the returned files.")
    try:
        yield from _walk(str(folder), "", 0)
    except OSError as reason:
        raise BadReturns(f"{folder} cannot be listed: {reason.strerror or reason}.") from reason


def count_files(folder: Path) -> int:
    """About how many files a walk through ``folder`` will meet, for a progress bar."""
    return sum(len(files) for _, _, files in os.walk(folder))


def _walk(folder: str, prefix: str, depth: int) -> Iterator[Returned]:
    # Names alone are listed: entries with their status would fill memory in a large folder.
    names = sorted(os.listdir(folder))  # noqa: PTH208
    with_sheet = SHEET in names
    for name in names:
        path, shown = f"{folder}{os.sep}{name}", prefix + name
        status = os.lstat(path)
        if stat.S_ISLNK(status.st_mode):
            yield Returned(Path(path), shown, "it is a link, and links are not followed")
        elif stat.S_ISDIR(status.st_mode):
            yield from _enter(path, name, shown, depth)
        elif not stat.S_ISREG(status.st_mode):
            yield Returned(Path(path), shown, "it is not a regular file")
        elif not (name.startswith(".") or name in _COMPANIONS):
            yield Returned(Path(path), shown, _problem(name, status.st_size), with_sheet)


def _enter(path: str, name: str, shown: str, depth: int) -> Iterator[Returned]:
    if name.startswith(".") or name in _SKIPPED_FOLDERS:
        return
    if depth == MAX_DEPTH:
        yield Returned(Path(path), shown, f"it lies more than {MAX_DEPTH} folders deep")
        return
    try:
        yield from _walk(path, f"{shown}/", depth + 1)
    except OSError as reason:
        problem = f"the folder cannot be listed: {reason.strerror or reason}"
        yield Returned(Path(path), shown, problem)


def _problem(name: str, size: int) -> str:
    """What is wrong with a regular file before it is opened; "" if nothing is."""
    limit = _LIMITS.get(name[name.rfind(".") :].lower())
    if limit is None:
        return "it is no answer sheet; the file to hand in is answers.json"
    if size > limit:
        return (
            f"it has {size / 1e6:.1f} MB; an answer sheet has less than {limit / 1e6:g} MB, "
            "and larger files are not read"
        )
    return ""


def read_returned(returned: Returned) -> dict[str, Any]:
    """The answer sheet in a returned file.

    Raises: BadSheet, with the reason in words; NoRecord, a kind of it, for a bare chapter.
    """
    if returned.problem:
        raise BadSheet(returned.problem)
    try:
        data = read_capped(returned.path, _LIMITS[returned.path.suffix.lower()])
    except (OSError, PotashError) as reason:
        raise BadSheet(f"the file cannot be read: {reason}") from None
    if returned.is_notebook:
        return _from_notebook(sheet_file.parse_json(data))
    return sheet_file.parse(data)


def _from_notebook(notebook: Any) -> dict[str, Any]:
    """The answers that a notebook's cells printed, put together from all of its records."""
    sheets = [sheet_file.checked(record) for record in _records(notebook)]
    if not sheets:
        raise NoRecord(
            "it is a notebook in which no answers were recorded; ask for the file answers.json "
            "from the same folder"
        )
    owners = {(sheet["course"], sheet["student"]) for sheet in sheets}
    if len(owners) > 1:
        raise BadSheet("it is a notebook with the answers of more than one student or course")
    return max(sheets, key=_newness)


def _newness(sheet: Mapping[str, Any]) -> tuple[str, int]:
    """Sheets only grow, so of two from the same second the longer is the newer."""
    attempts = (
        len(attempts)
        for exercise in sheet["exercises"].values()
        for attempts in exercise["answers"].values()
    )
    return sheet_file.last_recorded(sheet), sum(attempts)


def _records(notebook: Any) -> Iterator[Any]:
    for cell in _list(_get(notebook, "cells")):
        for output in _list(_get(cell, "outputs")):
            record = _get(_get(output, "data"), sheet_file.MIME)
            if record is not None:
                yield record


def _get(value: Any, name: str) -> Any:
    return value.get(name) if isinstance(value, Mapping) else None


def _list(value: Any) -> list[Any]:
    return value if isinstance(value, list) else []
