"""Writing feedback pages, tens of thousands of them: each whole or not at all, and on the disk once
all are out.

Flushing every single page to the disk would take longer than everything else together. A page
takes its name in one step, so a process that is killed leaves the old page or the new one; only a
power cut could leave an empty page, and as the mark book is written after :func:`flush` only, it
is then not there yet and the next run writes the page again.
"""

import contextlib
import hashlib
import os
from pathlib import Path

PART = ".part"


def write_page(folder: Path, student: str, text: str) -> str:
    """Write the page of ``student``, unless it is there as it should be; gives back its digest.

    Raises: OSError.
    """
    data = text.encode()
    path = f"{folder}{os.sep}{student}.html"
    if not _holds(path, data):
        part = f"{folder}{os.sep}.{student}.html.{os.getpid()}{PART}"
        try:
            with open(part, "xb") as file:  # noqa: PTH123, a Path costs as much as writing
                file.write(data)
            os.replace(part, path)  # noqa: PTH105
        except BaseException:
            with contextlib.suppress(OSError):
                os.unlink(part)  # noqa: PTH108
            raise
    return digest(data)


def is_page(folder: Path, student: str, expected: str) -> bool:
    """Whether the page of ``student`` is there and has the digest ``expected``."""
    path = folder / f"{student}.html"
    try:
        return not path.is_symlink() and digest(path.read_bytes()) == expected
    except OSError:
        return False


def digest(data: bytes) -> str:
    """What a page is told by."""
    return hashlib.sha256(data).hexdigest()


def flush() -> None:
    """Have the operating system bring everything written so far to the disk."""
    if hasattr(os, "sync"):
        os.sync()


def _holds(path: str, data: bytes) -> bool:
    """Whether ``path`` is a file of its own with just this content."""
    try:
        descriptor = os.open(path, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0))
    except OSError:
        return False
    with os.fdopen(descriptor, "rb", buffering=0) as file:
        return os.fstat(descriptor).st_size == len(data) and file.read() == data
