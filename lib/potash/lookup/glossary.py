"""The terms of the trade, each with its meaning and where that comes from."""

from dataclasses import dataclass
from functools import cache

from potash.lookup.words import folded
from potash.words.tables import read_toml


@dataclass(frozen=True, slots=True)
class Term:
    """One term. also: other words for it. chapter: the number of the chapter that puts it to work.

    source: where the definition comes from, or "common practice, no source".
    """

    term: str
    meaning: str
    chapter: int
    source: str
    also: tuple[str, ...] = ()


@cache
def terms() -> tuple[Term, ...]:
    """All terms, in alphabetical order."""
    rows = (
        Term(**{**row, "also": tuple(row.get("also", ()))})
        for row in read_toml("lookup/terms.toml")["term"]
    )
    return tuple(sorted(rows, key=lambda one: one.term.casefold()))


def look_up(words: str) -> tuple[Term, ...]:
    """The terms that hold every one of ``words``; those whose name begins with them come first.

    Case and accents make no difference. No words give all terms.
    """
    wanted = folded(words).split()
    found = [one for one in terms() if _rank(one, wanted) < _NOWHERE]
    return tuple(sorted(found, key=lambda one: _rank(one, wanted)))  # stable: alphabetical within


_NOWHERE = 3


def _rank(term: Term, wanted: list[str]) -> int:
    names = [folded(name) for name in (term.term, *term.also)]
    if any(name.startswith(" ".join(wanted)) for name in names):
        return 0
    if all(any(word in name for name in names) for word in wanted):
        return 1
    meaning = folded(term.meaning)
    return 2 if all(word in meaning or word in " ".join(names) for word in wanted) else _NOWHERE
