"""A language that nobody speaks: English with other letters, so that what was not translated shows.

``python pseudo_language.py`` builds every panel in it and prints what they say, by panel, as JSON.
"""

import json
import os
import re
import tempfile
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any

from babel.messages.pofile import write_po

from potash.words import gather

_LETTERS = str.maketrans("aeiouyncsdlrtzAEIOUYNCSDLRTZ", "åéîöûýñçšđłŕťžÅÉÎÖÛÝÑÇŠĐŁŔŤŽ")
_AS_WRITTEN = re.compile(r"(\{[^{}]*\}|<[^>]*>|\$\$?[^$]*\$\$?|\]\([^)]*\)|\\[A-Za-z]+)")
_ARGUMENTS = {"exercise": ("weigh-hydroxide",), "exercises": (7,)}
_NOT_WORDS = re.compile(r"<(style|script|math|svg|code)\b.*?</\1>", re.S)
_SAID_BY_ATTRIBUTES = re.compile(r'(?:alt|aria-label|title|placeholder)="([^"]*)"')


def dressed(text: str) -> str:
    """``text`` with other letters; its {holes}, tags, formulas and links as they were."""
    parts = _AS_WRITTEN.split(text)
    return "".join(part if at % 2 else part.translate(_LETTERS) for at, part in enumerate(parts))


def write(path: Path) -> Path:
    """Write the catalogue of that language to ``path``, complete."""
    catalogue = gather.gathered()
    for message in catalogue:
        if message.id:
            ids = (message.id,) if isinstance(message.id, str) else message.id
            told = tuple(dressed(one) for one in ids)
            message.string = told if len(told) > 1 else told[0]
    with path.open("wb") as file:
        write_po(file, catalogue)
    return path


def said_by(control: Any) -> Iterator[str]:
    """Every piece of text that a panel shows, to the eye or to a screen reader."""
    for name in ("description", "placeholder", "tooltip"):
        if text := getattr(control, name, None):
            yield text
    yield from map(str, getattr(control, "_options_labels", ()))
    if type(control).__name__ == "HTML":
        page = _NOT_WORDS.sub("", control.value)
        yield from map(unescape, _SAID_BY_ATTRIBUTES.findall(page))
        yield from map(unescape, re.split(r"<[^>]*>", page))
    for child in getattr(control, "children", ()):
        yield from said_by(child)


def _all_panels() -> dict[str, list[str]]:
    from potash import panels

    return {
        name: list(said_by(getattr(panels, name)(*_ARGUMENTS.get(name, ())).box))
        for name in panels.__all__
    }


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        os.chdir(folder)
        os.environ["POTASH_REVEAL"] = "1"  # nobody predicts here
        print(json.dumps(_all_panels()))
