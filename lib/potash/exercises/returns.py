"""What was handed in: finding the files, and reading an answer sheet out of each as untrusted data.

Files, folders and zip files are all looked through, zip files in memory only. Nothing in a
returned file is executed, imported or followed. Links, devices and oversized files are named and
left alone.
"""

import os
import stat
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from functools import lru_cache
from pathlib import Path
from typing import Any, Final, NamedTuple

from potash.errors import PotashError
from potash.exercises import archives, sheet_file
from potash.exercises.sheet_file import BadSheet
from potash.words import tr
from potash.workspace import HANDOUT, PREPARATION, RECORD, SHEET

MAX_NOTEBOOK: Final = 20_000_000
MAX_DEPTH: Final = 8
MAX_NAME: Final = 1000

# What a whole folder handed in holds besides the answer sheet; none of it is marked.
_COMPANIONS: Final = frozenset({HANDOUT, PREPARATION, RECORD})
_LIMITS: Final = {".json": sheet_file.MAX_BYTES, ".ipynb": MAX_NOTEBOOK}
_ZIP: Final = ".zip"
_NO_LINK: Final = sum(
    getattr(os, name, 0) for name in ("O_NOFOLLOW", "O_NONBLOCK", "O_BINARY", "O_CLOEXEC")
)
_SKIPPED_FOLDERS: Final = frozenset({"__MACOSX", "__pycache__", "assets"})


class BadReturns(PotashError):
    """The returned files cannot be read."""


class NoRecord(BadSheet):
    """A notebook in which no answers were recorded."""


class Returned(NamedTuple):
    """A returned file: where it is, its name within the returns, and what keeps it from reading.

    beside_sheet: whether a file answers.json lies in the same folder, as when a student hands in
    the whole workbook. size, changed: bytes, and when it was last written (ns since 1970); for a
    file in an archive, when the archive was. within: the archives inside the archive ``path`` that
    lead to it. member: its name in the innermost; "" for a file of its own.
    """

    path: str
    name: str
    problem: str = ""
    beside_sheet: bool = False
    size: int = 0
    changed: int = 0
    within: tuple[str, ...] = ()
    member: str = ""

    @property
    def suffix(self) -> str:
        """The end of the file's own name, in lower case."""
        return _suffix(self.member or self.name)

    @property
    def is_notebook(self) -> bool:
        return self.suffix == ".ipynb"

    @property
    def arrived(self) -> str:
        """When the file was last written here (UTC, RFC 3339): a hint, since copying changes it."""
        return _moment(self.changed // 1_000_000_000)


@lru_cache(1024)
def _moment(seconds: int) -> str:
    return datetime.fromtimestamp(seconds, UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def find_returns(returns: Path) -> Iterator[Returned]:
    """Every file under the folder ``returns`` that may be an answer sheet, in order of name.

    ``returns`` may also be a single file, or a zip file.

    Raises: BadReturns, if it is missing or cannot be listed.
    """
    try:
        if returns.is_file():
            yield from _file(str(returns), returns.name, returns.name, returns.stat(), False)
        else:
            _check_there(returns)
            yield from _walk(str(returns), "", 0)
    except OSError as reason:
        raise BadReturns(
            tr(
                "{returns} cannot be listed: {strerror}.",
                returns=returns,
                strerror=reason.strerror or reason,
            )
        ) from reason


def count_files(returns: Path) -> int:
    """About how many files a walk through ``returns`` will meet.

    Raises: BadReturns, if there is nothing of that name.
    """
    if returns.is_file():
        return 1
    _check_there(returns)
    return sum(len(files) for _, _, files in os.walk(returns))


def _check_there(folder: Path) -> None:
    if not folder.is_dir():
        raise BadReturns(
            tr(
                "{folder} does not exist; name the folder or zip file with the returned files.",
                folder=folder,
            )
        )


def _walk(folder: str, prefix: str, depth: int) -> Iterator[Returned]:
    # Names alone are listed: entries with their status would fill memory in a large folder.
    names = sorted(os.listdir(folder))  # noqa: PTH208
    with_sheet = SHEET in names
    for name in names:
        path, shown = f"{folder}{os.sep}{name}", prefix + name
        status = os.lstat(path)
        if stat.S_ISLNK(status.st_mode):
            yield Returned(path, shown, tr("it is a link, and links are not followed"))
        elif stat.S_ISDIR(status.st_mode):
            yield from _enter(path, name, shown, depth)
        elif not stat.S_ISREG(status.st_mode):
            yield Returned(path, shown, tr("it is not a regular file"))
        else:
            yield from _file(path, name, shown, status, with_sheet)


def _enter(path: str, name: str, shown: str, depth: int) -> Iterator[Returned]:
    if _is_skipped(name):
        return
    if depth == MAX_DEPTH:
        yield Returned(path, shown, tr("it lies more than {most} folders deep", most=MAX_DEPTH))
        return
    try:
        yield from _walk(path, f"{shown}/", depth + 1)
    except OSError as reason:
        problem = tr("the folder cannot be listed: {strerror}", strerror=reason.strerror or reason)
        yield Returned(path, shown, problem)


def _file(
    path: str, name: str, shown: str, status: os.stat_result, with_sheet: bool
) -> Iterator[Returned]:
    """A regular file, or what the zip file holds that it is."""
    if name.startswith(".") or name in _COMPANIONS:
        return
    size, changed = status.st_size, status.st_mtime_ns
    if _suffix(name) == _ZIP:
        archive = Returned(path, shown, "", with_sheet, size, changed)
        yield from _look_into(archive, _Allowance())
    else:
        yield Returned(path, shown, _problem(name, size), with_sheet, size, changed)


@dataclass(slots=True)
class _Allowance:
    """What one returned archive, with all archives inside it, may still ask for."""

    bytes: int = field(default_factory=lambda: archives.MAX_UNPACKED)
    files: int = field(default_factory=lambda: archives.MAX_FILES)

    def takes(self, size: int) -> bool:
        """Whether a file of ``size`` bytes unpacked is still within it; counts it."""
        self.bytes -= size
        self.files -= 1
        return self.bytes >= 0 and self.files >= 0


def _look_into(archive: Returned, allowance: _Allowance) -> Iterator[Returned]:
    """What lies in ``archive``, and in the archives inside it."""
    inside = (*archive.within, archive.member) if archive.member else archive.within
    try:
        if len(inside) >= archives.MAX_WITHIN:
            raise archives.BadArchive(
                tr("it lies too deep: archives within archives within archives")
            )
        listed = list(archives.members(Path(archive.path), inside))
    except (archives.BadArchive, OSError) as reason:
        yield archive._replace(problem=f"{reason}")
        return
    sheets = {_folder(member.name) for member in listed if _base(member.name) == SHEET}
    for member in listed:
        base, folder = _base(member.name), _folder(member.name)
        passed_over = base.startswith(".") or base in _COMPANIONS
        if not member.problem and (passed_over or any(map(_is_skipped, _parts(folder)))):
            continue
        found = archive._replace(
            name=f"{archive.name}/{member.name}"[:MAX_NAME],
            beside_sheet=folder in sheets,
            size=member.size,
            within=inside,
            member=member.name,
        )
        yield from _member(found, member, allowance)


def _member(found: Returned, member: archives.Member, allowance: _Allowance) -> Iterator[Returned]:
    problem = member.problem
    if not problem and len(_parts(member.name)) > MAX_DEPTH + 1:
        problem = tr("it lies more than {most} folders deep", most=MAX_DEPTH)
    if not problem and not allowance.takes(member.size):
        problem = tr("the archive holds more than is unpacked from one; hand in smaller ones")
    if problem:
        yield found._replace(problem=problem)
    elif found.suffix == _ZIP:
        yield from _look_into(found, allowance)
    else:
        yield found._replace(problem=_problem(_base(member.name), member.size))


def _is_skipped(folder: str) -> bool:
    return folder.startswith(".") or folder in _SKIPPED_FOLDERS


def _parts(name: str) -> Collection[str]:
    return [part for part in name.split("/") if part]


def _base(name: str) -> str:
    return name.rpartition("/")[2]


def _folder(name: str) -> str:
    return name.rpartition("/")[0]


def _suffix(name: str) -> str:
    return name[name.rfind(".") :].lower()


def _problem(name: str, size: int) -> str:
    """What is wrong with a regular file before it is opened; "" if nothing is."""
    limit = _LIMITS.get(_suffix(name))
    if limit is None:
        return tr("it is no answer sheet; the file to hand in is answers.json")
    if size > limit:
        return tr(
            "it has {size:.1f} MB; an answer sheet has less than {limit:g} MB, and larger files "
            "are not read",
            size=size / 1000000.0,
            limit=limit / 1000000.0,
        )
    return ""


def read_returned(returned: Returned) -> dict[str, Any]:
    """The answer sheet in a returned file.

    Raises: BadSheet, with the reason in words; NoRecord, a kind of it, for a bare chapter.
    """
    if returned.problem:
        raise BadSheet(returned.problem)
    data = _read(returned, _LIMITS[returned.suffix])
    if returned.is_notebook:
        return _from_notebook(sheet_file.parse_json(data))
    return sheet_file.parse(data)


def _read(returned: Returned, limit: int) -> bytes:
    try:
        if returned.member:
            return archives.read_member(
                Path(returned.path), returned.within, returned.member, limit
            )
        return _read_file(returned, limit)
    except (OSError, PotashError) as reason:
        raise BadSheet(tr("the file cannot be read: {reason}", reason=reason)) from None


def _read_file(returned: Returned, limit: int) -> bytes:
    # Looked at when it was listed; if it has become a link or a pipe since, it is not read.
    descriptor = os.open(returned.path, os.O_RDONLY | _NO_LINK)
    try:
        data = os.read(descriptor, min(returned.size, limit) + 1)
        while len(data) > returned.size and len(data) <= limit:
            more = os.read(descriptor, limit + 1 - len(data))
            if not more:
                break
            data += more
    finally:
        os.close(descriptor)
    if len(data) > limit:
        raise BadSheet(
            tr("it is larger than the {limit:g} MB that are read", limit=limit / 1000000.0)
        )
    return data


def _from_notebook(notebook: Any) -> dict[str, Any]:
    """The answers that a notebook's cells printed, put together from all of its records."""
    sheets = [sheet_file.checked(record) for record in _records(notebook)]
    if not sheets:
        raise NoRecord(
            tr(
                "it is a notebook in which no answers were recorded; ask for the file "
                "answers.json from the same folder"
            )
        )
    owners = {(sheet["course"], sheet["student"]) for sheet in sheets}
    if len(owners) > 1:
        raise BadSheet(tr("it is a notebook with the answers of more than one student or course"))
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
