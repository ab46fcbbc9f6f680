"""The course secret: 32 random bytes beside the course file, for its owner's eyes only."""

import os
import secrets
import string
from pathlib import Path
from typing import Final

from potash.errors import PotashError
from potash.files import read_capped
from potash.words import tr

_BYTES: Final = 32


class BadSecret(PotashError):
    """The secret is missing, damaged or cannot be kept."""


def secret_path(course_file: Path) -> Path:
    """Where the secret of ``course_file`` is kept: ``course.toml`` goes with ``course.secret``."""
    return course_file.with_suffix(".secret")


def read_secret(course_file: Path) -> bytes:
    """The secret of a course whose handouts are out; closed to other users, should it be open.

    Raises: BadSecret, if there is none, or it is no secret of ours.
    """
    path = secret_path(course_file)
    try:
        text = read_capped(path, 1000).decode("ascii").strip()
        if os.name == "posix" and path.stat().st_mode & 0o077:
            path.chmod(0o600)
    except FileNotFoundError:
        raise BadSecret(
            tr(
                "there is no {path} beside {course_file}: no handouts were made yet, or the "
                "secret was left behind when the course moved. Run `potash assign` first, or copy "
                "the secret here from where the handouts were made.",
                path=path.name,
                course_file=course_file.name,
            )
        ) from None
    except (OSError, ValueError) as reason:
        raise BadSecret(tr("{path} cannot be read: {reason}", path=path, reason=reason)) from None
    if len(text) != 2 * _BYTES or not set(text) <= set(string.hexdigits):
        raise BadSecret(
            tr(
                "{path} is damaged: it should hold {digits} hexadecimal digits. Restore it from a "
                "copy; with another secret the handouts that are out could not be marked.",
                path=path,
                digits=2 * _BYTES,
            )
        )
    return bytes.fromhex(text)


def make_secret(course_file: Path) -> bytes:
    """The secret of a course, made now if there is none yet.

    Raises: BadSecret, if it cannot be written or is damaged.
    """
    path = secret_path(course_file)
    if not path.exists():
        try:
            _keep(path, secrets.token_hex(_BYTES) + "\n")
        except FileExistsError:
            pass
        except OSError as reason:
            raise BadSecret(
                tr(
                    "the course secret cannot be kept in {parent}: {strerror}. Put the course "
                    "file where you may write.",
                    parent=path.parent,
                    strerror=reason.strerror or reason,
                )
            ) from reason
    return read_secret(course_file)


def _keep(path: Path, text: str) -> None:
    """Write the secret whole, for its owner alone, and never over another.

    Raises: FileExistsError, if somebody made one in the meantime; OSError.
    """
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    part.unlink(missing_ok=True)
    # Opened so that nobody else can read it even for a moment.
    descriptor = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    try:
        with os.fdopen(descriptor, "w", encoding="ascii") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        _take_name(part, path)
    finally:
        part.unlink(missing_ok=True)


def _take_name(part: Path, path: Path) -> None:
    try:
        os.link(part, path)  # a second name; refused where there is one
    except FileExistsError:
        raise
    except OSError:  # a file system without links
        if path.exists():
            raise FileExistsError(path) from None
        part.replace(path)
