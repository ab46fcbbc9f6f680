"""Marked sheets between marking and the mark book: on disk, so that memory does not grow."""

import json
import tempfile
from collections.abc import Iterator
from types import TracebackType
from typing import IO, NamedTuple, Self

from potash.exercises.marking import MarkedExercise, MarkedSheet
from potash.exercises.outcomes import Finding, Outcome


class HandedIn(NamedTuple):
    """One sheet of a student: the later it sorts, the more it counts.

    A sheet in time counts before a late one, an answer sheet before a notebook, then the later
    one, then the name.
    """

    in_time: bool
    is_sheet: bool
    recorded: str
    name: str
    place: int


class Spool:
    """Keeps marked sheets in a temporary file, and remembers only where each one is."""

    def __init__(self) -> None:
        self._file: IO[bytes] = tempfile.TemporaryFile()  # noqa: SIM115, closed by __exit__
        self._end = 0
        self._by_student: dict[str, list[HandedIn]] = {}

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._file.close()

    def add(self, marked: MarkedSheet, name: str, *, is_sheet: bool) -> None:
        """Keep ``marked``, which came from the file ``name``."""
        line = json.dumps(marked, separators=(",", ":")).encode() + b"\n"
        self._file.write(line)
        place = HandedIn(not marked.late, is_sheet, marked.recorded, name, self._end)
        self._by_student.setdefault(marked.student, []).append(place)
        self._end += len(line)

    def handed_in(self, student: str) -> list[HandedIn]:
        """The sheets of ``student``, the one that counts first."""
        return sorted(self._by_student.get(student, ()), reverse=True)

    def read(self, place: HandedIn) -> MarkedSheet:
        """A sheet kept earlier."""
        self._file.seek(place.place)
        student, recorded, late, exercises, flags = json.loads(self._file.readline())
        return MarkedSheet(student, recorded, late, list(_exercises(exercises)), flags)


def _exercises(rows: list[list[object]]) -> Iterator[MarkedExercise]:
    for figures, typed, findings in rows:
        yield MarkedExercise(
            figures,  # type: ignore[arg-type]
            typed,  # type: ignore[arg-type]
            [Finding(Outcome(outcome), *rest) for outcome, *rest in findings],  # type: ignore[attr-defined]
        )
