"""The folder that a student works in: finding it, and laying the chapters into it.

A chapter that the student changed is never overwritten. To tell a changed chapter from an older
one, the folder's ``potash.json`` holds the SHA-256 of each file as it was laid.
"""

import hashlib
import json
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Any

from potash.errors import PotashError
from potash.files import FileTooLarge, read_capped, write_atomically
from potash.preparation import Preparation, default_text
from potash.words import tr
from potash.words.chapters import chapter_in_language

PREPARATION = "preparation.toml"
SHEET = "answers.json"
HANDOUT = "handout.json"
RECORD = "potash.json"
ASSETS = "assets"

_MARKERS = (RECORD, HANDOUT, PREPARATION)
_LARGEST = 50_000_000  # bytes; a chapter with stored pictures stays far below
_LARGEST_RECORD = 1_000_000


class FolderUnusable(PotashError):
    """The folder cannot hold a workbook: it is missing, a file, or cannot be written to."""


class ChaptersMissing(PotashError):
    """This copy of Potash came without its chapters."""


@dataclass(frozen=True, slots=True)
class Laid:
    """What laying the chapters did, as names relative to the folder.

    copied: laid where there was nothing.
    updated: an older chapter that nobody had changed, replaced by the newer one.
    kept: changed by the student, or not laid by Potash, and therefore left alone.
    """

    copied: tuple[str, ...]
    updated: tuple[str, ...]
    kept: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Workspace:
    """The folder that a student works in."""

    folder: Path

    @classmethod
    def find(cls, start: str | Path | None = None) -> "Workspace":
        """The nearest folder, from ``start`` (else the current one) upward, that is a workbook's.

        It holds potash.json, handout.json or preparation.toml. Where no folder does, ``start``
        itself is the workspace, so that a first save has a place.
        """
        first = Path(start or ".").resolve()
        for folder in (first, *first.parents):
            if any((folder / marker).is_file() for marker in _MARKERS):
                return cls(folder)
        return cls(first)

    @property
    def preparation_path(self) -> Path:
        return self.folder / PREPARATION

    @property
    def sheet_path(self) -> Path:
        return self.folder / SHEET

    @property
    def handout_path(self) -> Path:
        return self.folder / HANDOUT

    def preparation(self) -> Preparation:
        """The preparation saved here, or the default one where none was saved yet.

        Raises: BadPreparation, if the file is there and cannot be read as one.
        """
        if self.preparation_path.exists():
            return Preparation.load(self.preparation_path)
        return Preparation.default()


def chapters_source() -> Path:
    """The folder with the original chapters.

    A wheel carries them as ``potash/_workbook``; an editable install uses the repository's
    ``workbook/``.

    Raises: ChaptersMissing, if there is neither.
    """
    package = Path(__file__).resolve().parent
    for folder in (package / "_workbook", package.parents[1] / "workbook"):
        if folder.is_dir():
            return folder
    raise ChaptersMissing(
        tr(
            "No chapters were found beside {package}. Install Potash again: its wheel carries "
            "them, and so does its repository.",
            package=package,
        )
    )


def original(path: Path) -> bytes:
    """An original chapter or asset as it is laid: its prose in the language of the workbook."""
    content = path.read_bytes()
    return chapter_in_language(content) if path.suffix == ".ipynb" else content


def lay_chapters(folder: str | Path, chapters: Collection[int] | None = None) -> Laid:
    """Copy the chapters, their assets and a default preparation into ``folder``.

    chapters: the numbers of those to copy beside the pages without a number; left out, all. The
    folder is made if only its last part is missing. What the student changed is kept and named; an
    existing preparation is always the student's own.

    Raises: FolderUnusable, if the folder cannot be made or written to, or is the original's own;
    ChaptersMissing.
    """
    folder, source = Path(folder), chapters_source()
    _refuse_original(folder, source)
    try:
        _make(folder)
        return _lay(folder, source, chapters)
    except OSError as error:
        raise FolderUnusable(
            tr(
                '"{folder}" cannot hold the workbook: {reason}. Choose a folder that you can '
                "write to, such as one in your home folder.",
                folder=folder,
                reason=_reason(error),
            )
        ) from error


def _lay(folder: Path, source: Path, chapters: Collection[int] | None) -> Laid:
    record = _read_record(folder)
    laid: dict[str, str] = record["laid"]
    outcome: dict[str, list[str]] = {"copied": [], "updated": [], "kept": []}
    for name, original in _originals(source, chapters):
        if _leads_elsewhere(folder, name):
            outcome["kept"].append(name)
            continue
        happened = _lay_one(folder / name, original, laid.get(name))
        if happened != "kept":
            laid[name] = _digest(original)
        if happened in outcome:
            outcome[happened].append(name)
    if not _taken(folder / PREPARATION):
        write_atomically(folder / PREPARATION, default_text())
        outcome["copied"].append(PREPARATION)
    _write_record(folder, record)
    return Laid(**{happened: tuple(names) for happened, names in outcome.items()})


def _lay_one(path: Path, original: bytes, laid: str | None) -> str:
    """Lay one file and say what happened: copied, updated, kept or current."""
    if not _taken(path):
        path.parent.mkdir(exist_ok=True, parents=True)
        write_atomically(path, original)
        return "copied"
    present = _content(path)
    if present == original:
        return "current"
    if present is None or laid is None or _digest(present) != laid:
        return "kept"
    write_atomically(path, original)
    return "updated"


def _leads_elsewhere(folder: Path, name: str) -> bool:
    """Whether a folder on the way from ``folder`` to the file ``name`` is a link."""
    on_the_way = PurePosixPath(name).parents
    return any((folder / part).is_symlink() for part in on_the_way if part.name)


def _taken(path: Path) -> bool:
    # A link that leads nowhere does not "exist", yet writing there would replace it.
    return path.is_symlink() or path.exists()


def _content(path: Path) -> bytes | None:
    """The bytes of a regular file; None for a link, a folder or anything too large to be ours."""
    if path.is_symlink() or not path.is_file():
        return None
    try:
        return read_capped(path, _LARGEST)
    except FileTooLarge:
        return None


def _originals(source: Path, chapters: Collection[int] | None) -> Iterator[tuple[str, bytes]]:
    assets = (path for path in (source / ASSETS).rglob("*") if path.is_file())
    wanted = (
        path
        for path in source.glob("*.ipynb")
        if chapters is None or _number(path.name) in (None, *chapters)
    )
    for path in (*sorted(wanted), *sorted(assets)):
        yield path.relative_to(source).as_posix(), original(path)


def _number(name: str) -> int | None:
    """The number that a chapter's file name begins with."""
    first = name.partition("-")[0]
    return int(first) if first.isdecimal() else None


def _digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _read_record(folder: Path) -> dict[str, Any]:
    """The folder's record; a new one where there is none, or none that can be read."""
    path = folder / RECORD
    if not path.exists():
        return {"format": 1, "laid": {}}
    try:
        record = json.loads(read_capped(path, _LARGEST_RECORD))
    except (ValueError, RecursionError):
        record = None
    if isinstance(record, dict) and isinstance(record.get("laid"), dict):
        return record
    # Somebody's bytes all the same: put aside, not thrown away.
    path.replace(folder / "potash.unreadable.json")
    return {"format": 1, "laid": {}}


def _write_record(folder: Path, record: dict[str, Any]) -> None:
    text = json.dumps(record, indent=2, sort_keys=True) + "\n"
    path = folder / RECORD
    if not path.is_file() or path.read_text("utf-8") != text:
        write_atomically(path, text)


def _refuse_original(folder: Path, source: Path) -> None:
    if folder.resolve().is_relative_to(source.resolve()):
        raise FolderUnusable(
            tr(
                '"{folder}" is where the original chapters lie. Choose another folder to work in, '
                'such as "my-workbook".',
                folder=folder,
            )
        )


def _make(folder: Path) -> None:
    if folder.exists() and not folder.is_dir():
        raise FolderUnusable(
            tr(
                '"{folder}" is a file. Name a folder for the workbook, such as "my-workbook".',
                folder=folder,
            )
        )
    if not folder.is_dir() and not folder.absolute().parent.is_dir():
        raise FolderUnusable(
            tr(
                '"{folder}" cannot be made, because "{parent}" does not exist. Make that folder '
                "first, or name another.",
                folder=folder,
                parent=folder.absolute().parent,
            )
        )
    folder.mkdir(exist_ok=True)


def _reason(error: OSError) -> str:
    return (error.strerror or str(error)).lower()
