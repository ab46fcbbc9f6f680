"""Marked sheets between marking and the mark book: on disk, so that memory does not grow."""

import json
import tempfile
from types import TracebackType
from typing import IO, Final, NamedTuple, Self

from potash.exercises.marking import MarkedExercise, MarkedSheet
from potash.exercises.outcomes import Finding, Outcome

_ENCODER: Final = json.JSONEncoder(separators=(",", ":"), check_circular=False)
_FINDINGS_KEPT: Final = 4096


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
        # Most findings are alike from sheet to sheet; these are kept once, and by number.
        self._findings: list[Finding] = []
        self._numbers: dict[Finding, int] = {}

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
        student, recorded, late, exercises, flags = marked
        rows = [
            (figures, typed, [self._numbered(finding) for finding in findings])
            for figures, typed, findings in exercises
        ]
        line = _ENCODER.encode((student, recorded, late, rows, flags)).encode() + b"\n"
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
        student, recorded, late, rows, flags = json.loads(self._file.readline())
        exercises = [
            MarkedExercise(figures, typed, [self._finding(one) for one in findings])
            for figures, typed, findings in rows
        ]
        return MarkedSheet(student, recorded, late, exercises, flags)

    def _numbered(self, finding: Finding) -> int | Finding:
        number = self._numbers.get(finding)
        if number is None:
            if len(self._findings) >= _FINDINGS_KEPT:
                return finding
            number = self._numbers[finding] = len(self._findings)
            self._findings.append(finding)
        return number

    def _finding(self, kept: int | list[str]) -> Finding:
        if isinstance(kept, int):
            return self._findings[kept]
        outcome, says, slip, figures = kept
        return Finding(Outcome(outcome), says, slip, figures)
