"""Zip files as people send them: listed and read in memory, with a limit on everything.

Nothing is ever unpacked to the disk, so no name in an archive can lead anywhere. Links, encrypted
members and oversized ones are named and left alone; a member is read only as far as the archive
itself declares, and what the members of one archive declare together is limited.
"""

import stat
import struct
import zipfile
import zlib
from collections.abc import Iterator
from functools import lru_cache
from io import BytesIO
from pathlib import Path
from typing import IO, Final, NamedTuple

from potash.errors import PotashError
from potash.words import tr

MAX_ARCHIVE_WITHIN: Final = 50_000_000  # bytes of an archive that lies in another
MAX_UNPACKED: Final = 4_000_000_000  # bytes that the sheets in one archive may declare together
MAX_FILES: Final = 500_000
MAX_DIRECTORY: Final = 16_000_000  # bytes of an archive's own table of contents
MAX_WITHIN: Final = 2  # archives inside each other

_END: Final = b"PK\x05\x06"
_END_64: Final = b"PK\x06\x06"
_LONGEST_END: Final = 65_557 + 76
_KEPT_OPEN: Final = 4
_TWICE: Final = "the archive holds this name twice; only the last one can be read"


class BadArchive(PotashError):
    """A zip file cannot be read; the message says why in words for whoever handed it in."""


class Member(NamedTuple):
    """A file in an archive: its name there, its size unpacked, and what keeps it from reading."""

    name: str
    size: int
    problem: str = ""


def members(path: Path, within: tuple[str, ...] = ()) -> Iterator[Member]:
    """What the archive at ``path``, or an archive ``within`` it, holds, in order of name.

    Raises: BadArchive.
    """
    archive = _opened(path, path.stat().st_mtime_ns, within)
    listed: set[str] = set()
    for found in sorted(archive.infolist(), key=lambda info: info.filename):
        if not found.is_dir():
            again = found.filename in listed
            listed.add(found.filename)
            yield Member(found.filename, found.file_size, _TWICE if again else _problem(found))


def read_member(path: Path, within: tuple[str, ...], name: str, limit: int) -> bytes:
    """The bytes of one member, never more than ``limit``.

    Raises: BadArchive.
    """
    archive = _opened(path, path.stat().st_mtime_ns, within)
    try:
        with archive.open(name) as member:
            data = member.read(limit + 1)
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, ValueError) as reason:
        raise BadArchive(
            tr("the archive is damaged at this file: {reason}", reason=reason)
        ) from None
    except (RuntimeError, NotImplementedError, KeyError) as reason:
        raise BadArchive(tr("this file cannot be unpacked: {reason}", reason=reason)) from None
    if len(data) > limit:
        raise BadArchive(
            tr("unpacked it is larger than the {limit:g} MB that are read", limit=limit / 1000000.0)
        )
    return data


@lru_cache(_KEPT_OPEN)
def _opened(path: Path, changed: int, within: tuple[str, ...]) -> zipfile.ZipFile:
    """An archive, kept open: the table of contents of a large one takes long to read."""
    if within:
        data = read_member(path, within[:-1], within[-1], MAX_ARCHIVE_WITHIN)
        return _open(BytesIO(data))
    return _open(path.open("rb"))


def _open(file: IO[bytes]) -> zipfile.ZipFile:
    try:
        _check_directory(file)
        return zipfile.ZipFile(file)
    except (zipfile.BadZipFile, zlib.error, struct.error, ValueError, OSError) as reason:
        file.close()
        raise BadArchive(
            tr("it is no zip file that can be read: {reason}", reason=reason)
        ) from None
    except (PotashError, NotImplementedError) as reason:
        file.close()
        raise BadArchive(str(reason)) from None


def _check_directory(file: IO[bytes]) -> None:
    """Refuse a table of contents that would fill memory, before anything reads it.

    Source: PKWARE, .ZIP File Format Specification (APPNOTE), 4.3.14 and 4.3.16.
    """
    length = file.seek(0, 2)
    file.seek(max(length - _LONGEST_END, 0))
    tail = file.read()
    size = _directory_size(tail)
    if size > MAX_DIRECTORY:
        raise BadArchive(
            tr(
                "its table of contents has {size:.0f} MB; hand in an archive with fewer files",
                size=size / 1000000.0,
            )
        )
    file.seek(0)


def _directory_size(tail: bytes) -> int:
    at = tail.rfind(_END)
    if at < 0:
        return 0
    sizes = [struct.unpack_from("<L", tail, at + 12)[0]]
    large = tail.rfind(_END_64, 0, at)
    if large >= 0:
        sizes.append(struct.unpack_from("<Q", tail, large + 40)[0])
        if sizes[0] == 0xFFFFFFFF:
            del sizes[0]
    return int(max(sizes))


def _problem(info: zipfile.ZipInfo) -> str:
    if stat.S_ISLNK(info.external_attr >> 16):
        return tr("it is a link, and links are not followed")
    if info.flag_bits & 0x1:
        return tr("it is encrypted; hand it in without a password")
    parts = info.filename.replace("\\", "/").split("/")
    if info.filename.startswith(("/", "\\")) or ".." in parts or ":" in parts[0]:
        return tr("its name would lead out of the archive")
    return ""
