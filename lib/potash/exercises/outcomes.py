"""How an answer can end, and what a finding says about it."""

from enum import StrEnum
from typing import NamedTuple


class Outcome(StrEnum):
    """The end of one asked quantity. Only ``TO_BE_READ`` is left for a person to decide."""

    CORRECT = "correct"
    FOLLOW_THROUGH = "follow-through"
    UNIT_SLIP = "unit slip"
    KNOWN_SLIP = "known slip"
    WRONG = "wrong"
    BLANK = "blank"
    UNREADABLE = "unreadable"
    TO_BE_READ = "to be read"


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
        return self.outcome in (Outcome.CORRECT, Outcome.FOLLOW_THROUGH)
