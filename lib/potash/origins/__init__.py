"""Where the numbers on screen come from: for each, its equation, inputs, source and validity.

The records lie beside this module, a TOML file a chapter, under the names by which panels ask for
them. What a number is called on screen may carry a formula or a temperature; its origin does not.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib import resources

from potash.words.tables import read_toml


@dataclass(frozen=True, slots=True)
class Origin:
    """The origin of one number.

    equation: how it follows from its inputs, in symbols or words. inputs: what goes in, and where
    each of these is from. source: the published work, or "common practice, no source". validity:
    where it holds, and what it leaves out. computed_by: the function of the library, dotted.
    """

    name: str
    equation: str
    inputs: str
    source: str
    validity: str
    computed_by: str


def origin(name: str) -> Origin:
    """The origin known by ``name``. Raises: KeyError, for a name without a record."""
    return origins()[name]


@cache
def origins() -> dict[str, Origin]:
    """All origins, by name."""
    return {one.name: one for one in _records()}


def _records() -> Iterator[Origin]:
    for file in sorted(resources.files(__name__).iterdir(), key=lambda one: one.name):
        if file.name.endswith(".toml"):
            for name, row in read_toml(f"origins/{file.name}").items():
                yield Origin(name, **row)
