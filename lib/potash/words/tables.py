"""The data files that come with Potash, read with their words in the language of the workbook."""

import csv
import io
import tomllib
from collections.abc import Collection, Mapping
from fnmatch import fnmatch
from importlib import resources
from typing import Any

from potash.words import tr

# The fields that people read, by file in the package. Sources are among them: many hold words
# beside a citation, such as "common practice, no source".
WORDS: Mapping[str, Collection[str]] = {
    "exercises/bank/*.toml": (
        "title", "outcome", "text", "caution", "hints", "prompt", "says", "notes",
    ),
    "hazards/data/extinguishing.csv": ("agent", "reason", "source"),
    "hazards/data/incompatibilities.toml": ("reason", "source"),
    "hazards/data/readiness.toml": ("question", "reason"),
    "hazards/data/statements.csv": ("text",),
    "hazards/data/substances.toml": ("source",),
    "kinetics/data/teaching_values.toml": ("sentence", "label"),
    "lookup/elements.toml": ("says",),
    "lookup/terms.toml": ("term", "also", "meaning", "source"),
    "origins/*.toml": ("equation", "inputs", "source", "validity"),
    "panels/chapter_0/cautions.toml": ("title", "text", "source"),
    "quenching/data/alcohols.csv": (
        "acidity_source", "heat_capacity_source", "flammability_source",
    ),
    "quenching/data/metals.csv": ("with_water", "with_water_source", "reactivity_source"),
    "quenching/data/teaching.csv": ("what", "source"),
    "retorts/data/charges.toml": ("says", "from"),
    "routes/data/practice.toml": ("says", "from"),
    "solvents/data/groups.toml": ("because", "source"),
    "solvents/data/mixtures.toml": ("what",),
    "solvents/data/rules.toml": ("title", "asks", "because", "source"),
    "storage/data/closures.csv": ("what", "source"),
    "storage/data/covers.csv": ("source",),
    "storage/data/crusts.csv": ("colour", "source"),
    "storage/data/rules.csv": ("what", "source"),
    "whatif/data/tolerances.toml": ("sentence", "label"),
}  # fmt: skip

# Fields that people read and programs look up: they stay English, and are translated where shown.
NAMES: Mapping[str, Collection[str]] = {
    "exercises/bank/*.toml": ("options",),
    "hazards/data/extinguishing.csv": ("verdict",),
    "hazards/data/incompatibilities.toml": ("groups",),
    "hazards/data/substances.toml": ("name", "groups", "signal"),
    "kinetics/data/alcohols.toml": ("class",),
    "lookup/elements.toml": ("part",),
    "properties/data/liquid_names.toml": ("name",),
    "properties/data/metals.toml": ("name",),
    "quenching/data/alcohols.csv": ("name", "kind"),
    "quenching/data/metals.csv": ("lights_itself_on_water",),
    "retorts/data/charges.toml": ("name",),
    "solvents/data/groups.toml": ("name", "effect"),
    "storage/data/closures.csv": ("name",),
    "storage/data/covers.csv": ("name",),
    "storage/data/crusts.csv": ("reacts_with",),
}

# Files whose tables have names that people read; there, an underscore is a space.
NAMED_TABLES = ("kinetics/data/teaching_values.toml", "origins/*.toml")


def read_toml(name: str) -> dict[str, Any]:
    """The table in the file ``name`` of the package, such as ``"lookup/terms.toml"``."""
    table: dict[str, Any] = in_language(read(name), name)
    return table


def read_csv(name: str) -> list[dict[str, str]]:
    """The rows of the file ``name`` of the package, by column."""
    rows: list[dict[str, str]] = in_language(read(name), name)
    return rows


def read(name: str) -> Any:
    """The rows or the table of the file ``name``, in English."""
    text = resources.files("potash").joinpath(*name.split("/")).read_text("utf-8")
    return (
        tomllib.loads(text) if name.endswith(".toml") else list(csv.DictReader(io.StringIO(text)))
    )


def in_language(content: Any, name: str) -> Any:
    """``content``, rows and tables in any depth, with the words of the file ``name`` translated."""
    return _told(content, _fields(name))


def _fields(name: str) -> Collection[str]:
    return next((fields for pattern, fields in WORDS.items() if fnmatch(name, pattern)), ())


def _told(content: Any, fields: Collection[str], *, is_words: bool = False) -> Any:
    if isinstance(content, Mapping):
        return {key: _told(value, fields, is_words=key in fields) for key, value in content.items()}
    if isinstance(content, list):
        return [_told(value, fields, is_words=is_words) for value in content]
    return tr(content) if is_words and isinstance(content, str) else content
