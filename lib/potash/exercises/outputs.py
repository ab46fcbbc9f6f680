"""The folder that marks are written into: one marker at a time, nothing half, nothing lost.

Mark book, review list and item table take their places together, after every feedback page is on
the disk. A table that somebody edited by hand is never overwritten: it is put aside under a name of
its own. How Potash left the tables stands in a small record beside them.
"""

import contextlib
import hashlib
import json
import os
from collections.abc import Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import IO, Any, Final

from potash.errors import PotashError
from potash.exercises.assign import BadOutput
from potash.exercises.locking import Busy, locked
from potash.exercises.pages import PART, flush
from potash.files import read_capped, write_atomically
from potash.words import tr

RECORD: Final = ".written.json"
LOCK: Final = ".marking.lock"

_WAIT: Final = 2.0  # seconds
_MAX_RECORD: Final = 100_000
_BLOCK: Final = 1 << 20


@contextlib.contextmanager
def alone(folder: Path) -> Iterator[None]:
    """Keep other markers away from ``folder`` while the block runs.

    Raises: BadOutput, if somebody else marks into it just now.
    """
    try:
        with locked(folder / LOCK, _WAIT):
            yield
    except Busy:
        raise BadOutput(
            tr(
                "somebody else is marking into {folder} just now. Wait until that is done, or "
                "name another folder.",
                folder=folder,
            )
        ) from None


def sweep(*folders: Path) -> None:
    """Remove the half-written files that a killed run left behind; call it with the lock held."""
    for folder in folders:
        if folder.is_dir():
            for entry in os.scandir(folder):
                if entry.name.endswith(PART) and not entry.is_dir(follow_symlinks=False):
                    Path(entry.path).unlink(missing_ok=True)


@contextlib.contextmanager
def tables(
    folder: Path, names: tuple[str, ...], put_aside: list[Path]
) -> Iterator[list[IO[bytes]]]:
    """Files to write to, which take their ``names`` in ``folder`` together if the block ends well.

    Tables that were edited by hand are put aside, and named in ``put_aside``.

    Raises: OSError, if the disk refuses; the old tables are then untouched.
    """
    parts = [folder / f".{name}.{os.getpid()}{PART}" for name in names]
    try:
        with contextlib.ExitStack() as opened, ThreadPoolExecutor(1) as meanwhile:
            # The pages are written by now. The disk takes them while the tables are made.
            meanwhile.submit(flush)
            files: list[IO[bytes]] = [opened.enter_context(part.open("xb")) for part in parts]
            yield files
            for file in files:
                file.flush()
                os.fsync(file.fileno())
        flush()
        _take_places(folder, dict(zip(names, parts, strict=True)), put_aside)
    finally:
        for part in parts:
            part.unlink(missing_ok=True)


def _take_places(folder: Path, parts: Mapping[str, Path], put_aside: list[Path]) -> None:
    ours = _read_record(folder)
    new = {name: _digest(part) for name, part in parts.items()}
    # Both states are noted first: killed between two names, neither is taken for a hand's work.
    both = {name: sorted({*ours.get(name, ()), digest}) for name, digest in new.items()}
    for name in new:
        path = folder / name
        if path.is_file() and not path.is_symlink() and _digest(path) not in both[name]:
            put_aside.append(_put_aside(path))
    _write_record(folder, both)
    for name, part in parts.items():
        part.replace(folder / name)
    _write_record(folder, {name: [digest] for name, digest in new.items()})


def _put_aside(path: Path) -> Path:
    number = 1
    while (aside := path.with_name(f"{path.stem}-edited-{number}{path.suffix}")).exists():
        number += 1
    path.rename(aside)
    return aside


def _read_record(folder: Path) -> dict[str, list[str]]:
    """The digests of the tables as they were written; empty where there is no record."""
    try:
        record = json.loads(read_capped(folder / RECORD, _MAX_RECORD))
        return {str(name): [str(one) for one in digests] for name, digests in record.items()}
    except (OSError, PotashError, ValueError, TypeError, AttributeError, RecursionError):
        return {}


def _write_record(folder: Path, record: Mapping[str, Any]) -> None:
    write_atomically(folder / RECORD, json.dumps(record, indent=1, sort_keys=True) + "\n")


def _digest(path: Path) -> str:
    whole = hashlib.sha256()
    with path.open("rb") as file:
        while block := file.read(_BLOCK):
            whole.update(block)
    return whole.hexdigest()
