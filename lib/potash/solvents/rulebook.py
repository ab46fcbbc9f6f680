"""The rules as people read them: what each asks, why, and where its limits come from."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from potash.solvents.errors import UnknownRule
from potash.words import tr
from potash.words.tables import read_toml


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule of the screening, in words; ``findings`` applies it."""

    name: str
    title: str
    asks: str
    because: str
    source: str


@cache
def rules() -> tuple[Rule, ...]:
    """All rules, in the order in which a verdict lists them."""
    return tuple(Rule(**entry) for entry in read_toml("solvents/data/rules.toml")["rule"])


def rule(name: str) -> Rule:
    """The rule called ``name``. Raises: UnknownRule."""
    (name,) = require_rules([name])
    return next(one for one in rules() if one.name == name)


def require_rules(names: Iterable[str]) -> frozenset[str]:
    """``names`` as a set, each a rule that there is. Raises: UnknownRule, naming all rules."""
    known = {one.name for one in rules()}
    wanted = frozenset([names] if isinstance(names, str) else names)
    for name in sorted(wanted - known):
        raise UnknownRule(
            tr(
                '"{name}" is not a rule. There are: {rules}.',
                name=name[:40],
                rules=", ".join(one.name for one in rules()),
            )
        )
    return wanted
