"""Files that are either wholly there or not: atomic writing, and reading with a limit."""

import contextlib
import os
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import IO

from potash.errors import PotashError
from potash.words import tr


class FileTooLarge(PotashError):
    """A file holds more than the reader is willing to take."""


def write_atomically(path: Path, content: str | bytes, *, mode: int = 0o644) -> None:
    """Write ``content`` to ``path`` so that a power cut leaves the old file or the new one.

    Text is written as UTF-8 with the line ends it has.

    Raises: OSError, if the folder is missing, full or read-only; the old file is then untouched.
    """
    with writing_atomically(path, mode=mode) as part:
        part.write(content.encode("utf-8") if isinstance(content, str) else content)


@contextlib.contextmanager
def writing_atomically(path: Path, *, mode: int = 0o644) -> Iterator[IO[bytes]]:
    """A file to write to, which takes the name ``path`` when the block ends well.

    The content goes to a new file in the same folder, is flushed to the disk, and takes the name
    in one step. Where the block raises, nothing is left behind.

    Raises: OSError, if the folder is missing, full or read-only; the old file is then untouched.
    """
    descriptor, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=path.parent)
    try:
        with os.fdopen(descriptor, "wb") as part:
            yield part
            part.flush()
            os.fsync(part.fileno())
        Path(name).chmod(mode)
        Path(name).replace(path)
    except BaseException:
        with contextlib.suppress(OSError):
            Path(name).unlink()
        raise
    _flush_folder(path.parent)


def _flush_folder(folder: Path) -> None:
    # The new name itself must reach the disk; Windows cannot open a folder and needs no such step.
    with contextlib.suppress(OSError):
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


def read_capped(path: Path, limit: int) -> bytes:
    """The bytes of ``path``, never more than ``limit`` of them.

    Raises: FileTooLarge, if the file holds more; OSError, if it cannot be read.
    """
    with path.open("rb") as file:
        # Asking for the limit would set aside that much memory for the smallest file.
        size = os.fstat(file.fileno()).st_size
        data = file.read(min(size, limit) + 1)
        if len(data) > size:
            data += file.read(max(limit + 1 - len(data), 0))
    if len(data) > limit:
        raise FileTooLarge(
            tr(
                "{path} is larger than the {limit:g} MB that are read.",
                path=path.name,
                limit=limit / 1000000.0,
            )
        )
    return data
