"""The readiness check: what must be answered with yes before a reagent is touched."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from potash.words.tables import read_toml


@dataclass(frozen=True, slots=True)
class ReadinessItem:
    """One line of the readiness check and why it is there."""

    code: str
    question: str
    reason: str


@cache
def readiness_items() -> tuple[ReadinessItem, ...]:
    """The readiness check, in its order."""
    rows = read_toml("hazards/data/readiness.toml")["item"]
    return tuple(ReadinessItem(**row) for row in rows)


def unready(confirmed: Iterable[str]) -> tuple[ReadinessItem, ...]:
    """The items whose code is not among ``confirmed``. An empty answer is no permission."""
    known = set(confirmed)
    return tuple(item for item in readiness_items() if item.code not in known)
