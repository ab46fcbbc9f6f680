"""Lock files: whoever writes the same things takes turns, on any system that has locks."""

import contextlib
import time
from collections.abc import Iterator
from pathlib import Path
from typing import IO, Final

from potash.errors import PotashError
from potash.words import tr

SECONDS: Final = 10.0


class Busy(PotashError):
    """Somebody else has held the lock for too long."""


@contextlib.contextmanager
def locked(path: Path, seconds: float = SECONDS) -> Iterator[None]:
    """Hold the lock file ``path`` while the block runs.

    The operating system lets go of the lock when its holder dies, however it dies. On a file
    system without locks (some network drives) the block runs all the same: whoever writes reads
    again first, and replaces files in one step.

    Raises: Busy, if the lock is not free within ``seconds``; OSError, if the lock file cannot be
    made.
    """
    with path.open("ab") as file:
        _acquire(file, seconds)
        try:
            yield
        finally:
            with contextlib.suppress(OSError):
                _unlock(file)


def _acquire(file: IO[bytes], seconds: float) -> None:
    give_up = time.monotonic() + seconds
    while True:
        try:
            return _lock(file)
        except (BlockingIOError, PermissionError):
            if time.monotonic() > give_up:
                raise Busy(
                    tr(
                        "somebody else has held {file} for {seconds:g} seconds",
                        file=file.name,
                        seconds=seconds,
                    )
                ) from None
            time.sleep(0.02)
        except OSError:
            return None


try:
    import fcntl

    def _lock(file: IO[bytes]) -> None:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)

    def _unlock(file: IO[bytes]) -> None:
        fcntl.flock(file, fcntl.LOCK_UN)

except ImportError:  # Windows
    import msvcrt

    def _lock(file: IO[bytes]) -> None:
        file.seek(0)
        msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined, unused-ignore]

    def _unlock(file: IO[bytes]) -> None:
        file.seek(0)
        msvcrt.locking(file.fileno(), msvcrt.LK_UNLCK, 1)  # type: ignore[attr-defined, unused-ignore]
