"""Metal fires: which extinguishing agents are wrong, and why."""

from dataclasses import dataclass
from functools import cache

from potash.words.tables import read_csv


@dataclass(frozen=True, slots=True)
class Extinguisher:
    """One agent. verdict: "wrong", "suitable type" or "last resort"; metals: those it is about."""

    agent: str
    verdict: str
    metals: tuple[str, ...]
    reason: str
    source: str


@cache
def extinguishers() -> tuple[Extinguisher, ...]:
    """All agents that the workbook knows of, the wrong ones first."""
    found = [
        Extinguisher(
            row["agent"],
            row["verdict"],
            tuple(row["metals"].split()),
            row["reason"],
            row["source"],
        )
        for row in read_csv("hazards/data/extinguishing.csv")
    ]
    return tuple(sorted(found, key=lambda one: one.verdict != "wrong"))


def wrong_extinguishers(metal: str) -> tuple[Extinguisher, ...]:
    """The agents that are wrong on burning ``metal`` (its symbol)."""
    return tuple(one for one in extinguishers() if one.verdict == "wrong" and metal in one.metals)
