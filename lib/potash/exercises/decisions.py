"""The decisions of the people who mark: an append-only log beside the mark book.

Each line is one JSON object: who decided what about which answer, when and why, and what the
marking had said before. Nothing is ever changed or taken out; a later line stands above an earlier
one, and withdrawing is a line, too. Every line carries the SHA-256 of the one before it, so that
a line changed or removed by hand is noticed. The mark book follows from the returned files and
this log, at any time and as often as wanted.
"""

import hashlib
import json
import os
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Final, Literal

from potash.errors import PotashError
from potash.exercises import schemas
from potash.exercises.locking import Busy, locked
from potash.files import read_capped
from potash.words import tr

LOG: Final = "decisions.jsonl"
MAX_BYTES: Final = 200_000_000
MAX_TEXT: Final = 2000

Kind = Literal["mark", "comment", "withdraw"]


class DecisionRefused(PotashError):
    """A decision cannot be taken down as it stands: no name, no reason, no share of the points."""


class LogNotWritten(PotashError):
    """The disk refused a decision: it does not stand. The message says why and what to do."""


@dataclass(frozen=True, slots=True)
class Decision:
    """One line of the log.

    kind: "mark" gives ``credit``, a share of the question's points from 0 to 1; "comment" gives a
    text for the student; "withdraw" takes both back. by, at: who, and when (UTC, RFC 3339).
    typed: the answer that was looked at; the decision holds for no other. outcome, earned: what
    the marking had said and given (as a share); that mark stays here for good.
    """

    student: str
    exercise: str
    question: str
    kind: Kind
    by: str
    at: str
    reason: str
    typed: str
    outcome: str
    earned: float
    credit: float | None = None
    comment: str = ""

    @property
    def place(self) -> tuple[str, str]:
        """The exercise and the question that it is about."""
        return self.exercise, self.question


@dataclass(frozen=True, slots=True)
class Standing:
    """What stands for one answer after all decisions: the last mark and the last comment."""

    mark: Decision | None = None
    comment: Decision | None = None

    def after(self, decision: Decision) -> "Standing":
        """What stands once ``decision`` is taken, too."""
        if decision.kind == "withdraw":
            return Standing()
        if decision.kind == "mark":
            return Standing(decision, decision if decision.comment else self.comment)
        return Standing(self.mark, decision)

    def holds_for(self, typed: str) -> bool:
        """Whether the mark is about the answer ``typed``, and not about an earlier one."""
        return self.mark is not None and self.mark.typed == typed


Decided = Mapping[tuple[str, str], Standing]


def share_by_hand(decided: Decided, exercise: str, question: str, typed: str) -> float | None:
    """The share that a person gave the answer ``typed``; None where nobody decided about it."""
    standing = decided.get((exercise, question))
    if standing is None or standing.mark is None or not standing.holds_for(typed):
        return None
    return standing.mark.credit


@dataclass(frozen=True, slots=True)
class Decisions:
    """Every line of a log that can be read, in order, and what is odd about the log."""

    lines: tuple[Decision, ...] = ()
    problems: tuple[str, ...] = ()
    _by_student: Mapping[str, Decided] = field(default_factory=dict)

    def of(self, student: str) -> Decided:
        """What stands for the answers of ``student``, by exercise and question."""
        return self._by_student.get(student, {})


def read(path: Path) -> Decisions:
    """The log ``path``; empty where there is none yet.

    A line that cannot be read is left out and named; so is a line that does not follow the one
    before it.

    Raises: LogNotWritten, if the log is there and cannot be opened.
    """
    try:
        data = read_capped(path, MAX_BYTES)
    except FileNotFoundError:
        return Decisions()
    except (OSError, PotashError) as reason:
        raise LogNotWritten(
            tr("the log of decisions {path} cannot be read: {reason}", path=path, reason=reason)
        ) from None
    problems: list[str] = []
    lines = tuple(_lines(data, path.name, problems))
    standing: dict[str, dict[tuple[str, str], Standing]] = {}
    for decision in lines:
        places = standing.setdefault(decision.student, {})
        places[decision.place] = places.get(decision.place, Standing()).after(decision)
    return Decisions(lines, tuple(problems), standing)


def append(path: Path, decision: Decision) -> None:
    """Take ``decision`` down at the end of the log ``path``; when this returns, it is on the disk.

    Raises: DecisionRefused, if it lacks a name, a reason or a share; LogNotWritten.
    """
    _check(decision)
    try:
        with locked(path.with_name(f".{path.name}.lock")):
            _write_line(path, decision)
    except Busy as reason:
        raise LogNotWritten(tr("{path}: {reason}; try again.", path=path, reason=reason)) from None
    except OSError as reason:
        raise LogNotWritten(
            tr(
                "Not taken down: {path} cannot be written ({strerror}). Free some space, or make "
                "the marks folder writable, and decide again.",
                path=path,
                strerror=reason.strerror or reason,
            )
        ) from reason


def now() -> str:
    """The present moment as the log writes it."""
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def _lines(data: bytes, name: str, problems: list[str]) -> Iterator[Decision]:
    before = ""
    for number, raw in enumerate(data.split(b"\n"), 1):
        if not raw.strip():
            continue
        try:
            row = json.loads(raw)
            schemas.check("decision", row, f"{name}, line {number}")
        except (PotashError, ValueError, RecursionError) as reason:
            problems.append(
                tr(
                    "{name}, line {number} cannot be read and does not count: {reason}",
                    name=name,
                    number=number,
                    reason=reason,
                )
            )
            continue
        if row.pop("after") != before:
            problems.append(
                tr(
                    "{name}, line {number} does not follow the line before it: a line was changed "
                    "or taken out by hand",
                    name=name,
                    number=number,
                )
            )
        before = _digest(raw)
        yield Decision(**row)


def _write_line(path: Path, decision: Decision) -> None:
    data = read_capped(path, MAX_BYTES) if path.exists() else b""
    line = _encoded({**asdict(decision), "after": _last_digest(data)})
    # A line that a full disk cut short stays; the next one begins on a line of its own.
    ahead = b"" if not data or data.endswith(b"\n") else b"\n"
    descriptor = os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o600)
    with os.fdopen(descriptor, "ab") as file:
        file.write(ahead + line + b"\n")
        file.flush()
        os.fsync(file.fileno())


def _last_digest(data: bytes) -> str:
    for raw in reversed(data.split(b"\n")):
        if raw.strip() and _is_whole(raw):
            return _digest(raw)
    return ""


def _is_whole(raw: bytes) -> bool:
    try:
        schemas.check("decision", json.loads(raw), "line")
    except (PotashError, ValueError, RecursionError):
        return False
    return True


def _encoded(row: Mapping[str, Any]) -> bytes:
    # Half a character cannot be written; the rest of a reason must not be lost for it.
    return json.dumps(row, ensure_ascii=False, sort_keys=True).encode("utf-8", "replace")


def _digest(raw: bytes) -> str:
    return hashlib.sha256(raw).hexdigest()


def _check(decision: Decision) -> None:
    if not decision.by.strip():
        raise DecisionRefused(tr("Who decides? Type your name: it stands beside the mark."))
    if not decision.reason.strip() and decision.kind != "comment":
        raise DecisionRefused(tr("Why? A mark is changed for a reason; type it, however short."))
    if decision.kind == "comment" and not decision.comment.strip():
        raise DecisionRefused(tr("The comment is empty; there is nothing to take down."))
    if decision.kind == "mark" and not (decision.credit is not None and 0 <= decision.credit <= 1):
        raise DecisionRefused(
            tr(
                "A share of the points lies between 0 and 1, such as 0.5; given was {credit}.",
                credit=decision.credit,
            )
        )
    for text in (decision.by, decision.reason, decision.comment):
        if len(text) > MAX_TEXT:
            raise DecisionRefused(
                tr(
                    "A text has {number} characters; at most {most} are kept.",
                    number=len(text),
                    most=MAX_TEXT,
                )
            )
