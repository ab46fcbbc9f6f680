"""Reports between marking and the mark book: on disk, so that memory does not grow."""

import tempfile
from types import TracebackType
from typing import IO, Final, Self

from potash.exercises.report import HandedIn, Report, decoded, head

# No name of a file holds either.
_BETWEEN: Final = "\0"
_AFTER: Final = "\0\0"


class Spool:
    """Keeps reports in a temporary file, and remembers only where each one is."""

    def __init__(self) -> None:
        self._file: IO[bytes] = tempfile.TemporaryFile()  # noqa: SIM115, closed by __exit__
        self._end = 0
        # One text a student: for a large class, tuples and numbers would take twice the memory.
        self._by_student: dict[str, str] = {}

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._file.close()

    def add(self, line: bytes) -> None:
        """Keep the report in ``line``."""
        student, rank = head(line)
        place = f"{rank}{_BETWEEN}{self._end}"
        earlier = self._by_student.get(student)
        self._by_student[student] = place if earlier is None else f"{earlier}{_AFTER}{place}"
        self._file.write(line)
        self._end += len(line)

    def handed_in(self, student: str) -> list[HandedIn]:
        """The sheets of ``student``, the one that counts first."""
        known = self._by_student.get(student)
        if known is None:
            return []
        parted = (place.rpartition(_BETWEEN) for place in known.split(_AFTER))
        return sorted((HandedIn(rank, int(place)) for rank, _, place in parted), reverse=True)

    def read(self, place: HandedIn) -> Report:
        """A report kept earlier."""
        self._file.seek(place.place)
        return decoded(self._file.readline())
