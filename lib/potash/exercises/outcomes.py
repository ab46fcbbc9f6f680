"""How an answer can end, and what a finding says about it."""

from enum import StrEnum
from typing import Final, NamedTuple

from potash.words import later


class Outcome(StrEnum):
    """The end of one asked quantity. Only ``TO_BE_READ`` is left for a person to decide."""

    CORRECT = later("correct")
    FOLLOW_THROUGH = later("follow-through")
    UNIT_SLIP = later("unit slip")
    KNOWN_SLIP = later("known slip")
    WRONG = later("wrong")
    BLANK = later("blank")
    UNREADABLE = later("unreadable")
    TO_BE_READ = later("to be read")

    # That of enumerations is written in Python, and marking looks outcomes up by the million.
    __hash__ = str.__hash__


HOLDS: Final = frozenset({Outcome.CORRECT, Outcome.FOLLOW_THROUGH})
FOR_A_PERSON: Final = frozenset({Outcome.UNREADABLE, Outcome.TO_BE_READ})


class Finding(NamedTuple):
    """What marking found about one answer.

    says: the reasoning in words for the student; it never gives the key away.
    slip: the name of a recognised slip, or "". figures: "", "too few" or "too many".
    """

    outcome: Outcome
    says: str
    slip: str = ""
    figures: str = ""

    @property
    def holds(self) -> bool:
        """Whether the answer is right, by the key or from the student's own earlier figure."""
        return self.outcome in HOLDS
