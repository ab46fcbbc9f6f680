"""Reports between marking and the mark book: on disk, so that memory does not grow."""

import tempfile
from types import TracebackType
from typing import IO, Self

from potash.exercises.report import HandedIn, Report, decoded, head


class Spool:
    """Keeps reports in a temporary file, and remembers only where each one is."""

    def __init__(self) -> None:
        self._file: IO[bytes] = tempfile.TemporaryFile()  # noqa: SIM115, closed by __exit__
        self._end = 0
        self._by_student: dict[str, tuple[HandedIn, ...]] = {}

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
        earlier = self._by_student.get(student, ())
        self._by_student[student] = (*earlier, HandedIn(rank, self._end))
        self._file.write(line)
        self._end += len(line)

    def handed_in(self, student: str) -> list[HandedIn]:
        """The sheets of ``student``, the one that counts first."""
        return sorted(self._by_student.get(student, ()), reverse=True)

    def read(self, place: HandedIn) -> Report:
        """A report kept earlier."""
        self._file.seek(place.place)
        return decoded(self._file.readline())
