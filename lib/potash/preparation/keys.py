"""The keys of a preparation file: what each may hold, and what to say when it holds another thing.

A place is a key with its table in front, such as "reagents.hydroxide.mass".
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, TypeAlias

from potash.errors import PotashError
from potash.words import tr

FORMAT = 1
ROLES = ("hydroxide", "salt", "reductant", "additive")
OPTIONAL_TABLES = ("liquid", "catalyst")

Typed: TypeAlias = str | int


class BadPreparation(PotashError):
    """A preparation file, or a change to one, that cannot be used; nothing was written."""


@dataclass(frozen=True, slots=True)
class Key:
    """One key of the file.

    example: a value that works; its type (text or whole number) is the one asked for.
    dimension: of a quantity, a name known to ``quantity``; None for words.
    default: the text that a missing key stands for; None, if there is none.
    required: whether the key must be there.
    only_with: another key of the table, without which the default does not apply.
    above, at_least, below, at_most: bounds, typed like the value.
    """

    example: Typed
    dimension: str | None = None
    default: str | None = None
    required: bool = True
    only_with: str | None = None
    above: str | None = None
    at_least: str | None = None
    below: str | None = None
    at_most: str | None = None


def _temperature(example: str, **settings: Any) -> Key:
    return Key(example, "temperature", above="0 K", **settings)


def _measures(mass: str, volume: str) -> dict[str, Key]:
    return {
        "mass": Key(mass, "mass", required=False, above="0 g"),
        "volume": Key(volume, "volume", required=False, above="0 mL"),
        "measured_at": _temperature("20 °C", default="20 °C", required=False, only_with="volume"),
    }


KEYS: Mapping[str, Mapping[str, Key]] = MappingProxyType(
    {
        "": {
            "format": Key(FORMAT),
            "title": Key("Potassium from potassium hydroxide and magnesium"),
            "equation": Key("2 KOH + 2 Mg -> 2 K + 2 MgO + H2"),
            "temperature": _temperature("200 °C"),
        },
        "reagents": {
            "formula": Key("KOH"),
            "liquid": Key("water", required=False),
            **_measures("9.30 g", "5.0 mL"),
            "assay": Key("86.5 %", "fraction", default="100 %", above="0 %", at_most="100 %"),
            "moisture": Key("12.8 %", "fraction", default="0 %", at_least="0 %", below="100 %"),
        },
        "liquid": {"name": Key("tetralin"), **_measures("82.5 g", "85 mL")},
        "catalyst": {
            "name": Key("2-methyl-2-butanol"),
            **_measures("0.73 g", "0.90 mL"),
            "doses": Key(3, required=False),
        },
        "vent": {
            "temperature": _temperature("20 °C"),
            "pressure": Key("1013 mbar", "pressure", above="0 mbar"),
        },
    }
)
"""By table, then by key; "" is what stands above the tables, "reagents" each table of a role."""


def key_at(place: str) -> Key:
    """The key at ``place``."""
    table, _, name = place.rpartition(".")
    return KEYS[table.partition(".")[0]][name]


def bad(place: str, value: object, problem: str) -> BadPreparation:
    """The error for ``value`` at ``place``: what came, what is wrong, a line that works."""
    return BadPreparation(f"{named(place)} = {shown(value)}: {problem} {line_that_works(place)}")


def named(place: str) -> str:
    """``place`` as a reader of the file finds it: "[vent] pressure"."""
    table, _, name = place.rpartition(".")
    return f"[{table}] {name}" if table else name


def shown(value: object, longest: int = 60) -> str:
    """``value`` as it stands in the file, cut to one short line."""
    if isinstance(value, (dict, list)):
        return tr("a table") if isinstance(value, dict) else tr("a list")
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int) and abs(value) >= 10**longest:
        return tr("a very large number")
    text = " ".join(str(value)[: longest + 1].split())
    text = f"{text[:longest]}…" if len(text) > longest else text
    return f'"{text}"' if isinstance(value, str) else text


def line_that_works(place: str) -> str:
    """A line that can stand at ``place``, introduced as such."""
    example = key_at(place).example
    value = f'"{example}"' if isinstance(example, str) else example
    return tr(
        "A line that works: {key} = {example}",
        key=place.rpartition(".")[2],
        example=value,
    )
