"""Gathers every text that people read into ``potash.pot``: ``python -m potash.words.gather``.

A contributor's tool. The catalogue is a GNU gettext template, which any editor of translations
opens; a test of the house fails where it is out of date.
"""

import ast
import re
from collections.abc import Collection, Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import write_po

from potash.words import tables
from potash.words.chapters import paragraphs

CATALOGUE = Path(__file__).with_name("potash.pot")

_ABOUT = "# Every text of Potash that people read. How to translate it: DEVELOPERS.md."
_PASSING = ('"POT-Creation-Date', '"Generated-By', '"Project-Id-Version')
_PACKAGE = Path(__file__).parents[1]
_REPOSITORY = _PACKAGE.parents[1]
_TEMPLATES = [
    ("**.jinja", "jinja2.ext:babel_extract"),
    ("**/templates/*.html", "jinja2.ext:babel_extract"),
]
_TEXTS = {"tr": 1, "later": 1, "counted": 2}  # how many of the arguments are texts

Message = str | tuple[str, ...]


def gathered() -> Catalog:
    """Every message, each with the files that it stands in."""
    catalogue = Catalog(header_comment=_ABOUT, charset="utf-8")
    for message, file in (
        *_in_code(),
        *_in_templates(),
        *_in_tables(),
        *_in_chapters(),
    ):
        if _has_words(message):
            catalogue.add(message, locations=[(file, 0)])
    return catalogue


def as_text(catalogue: Catalog) -> str:
    """``catalogue`` as the text of a .pot file; equal words give equal bytes."""
    written = BytesIO()
    write_po(written, catalogue, sort_by_file=True, include_lineno=False, width=100)
    lines = written.getvalue().decode("utf-8").splitlines(keepends=True)
    return "".join(line for line in lines if not line.startswith(_PASSING))


def _in_code() -> Iterator[tuple[Message, str]]:
    # Babel's own reader of Python does not look into f-strings before Python 3.12.
    for path in sorted(_PACKAGE.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Call) and ast.unparse(node.func) in _TEXTS:
                texts = node.args[: _TEXTS[ast.unparse(node.func)]]
                told = tuple(str(one.value) for one in texts if isinstance(one, ast.Constant))
                if told:
                    yield told if len(told) > 1 else told[0], _place(path)


def _in_templates() -> Iterator[tuple[Message, str]]:
    keywords = {"tr": None, "counted": (1, 2)}
    found = extract_from_dir(_PACKAGE, method_map=_TEMPLATES, keywords=keywords)
    for file, _line, message, _comments, _context in sorted(found, key=lambda one: one[:2]):
        yield message, _place(_PACKAGE / file)


def _in_tables() -> Iterator[tuple[Message, str]]:
    for pattern in sorted({*tables.WORDS, *tables.NAMES}):
        fields = {*tables.WORDS.get(pattern, ()), *tables.NAMES.get(pattern, ())}
        for path in sorted(_PACKAGE.glob(pattern)):
            name = path.relative_to(_PACKAGE).as_posix()
            content = tables.read(name)
            for message in _words_in(content, fields):
                yield message, _place(path)
            if pattern in tables.NAMED_TABLES:
                yield from ((key.replace("_", " "), _place(path)) for key in content)


def _words_in(content: Any, fields: Collection[str], *, is_words: bool = False) -> Iterator[str]:
    if isinstance(content, dict):
        for key, value in content.items():
            yield from _words_in(value, fields, is_words=key in fields)
    elif isinstance(content, list):
        for value in content:
            yield from _words_in(value, fields, is_words=is_words)
    elif is_words and isinstance(content, str):
        yield content


def _in_chapters() -> Iterator[tuple[Message, str]]:
    for path in sorted((_REPOSITORY / "workbook").glob("*.ipynb")):
        for message in paragraphs(path.read_bytes()):
            yield message, _place(path)


def _place(path: Path) -> str:
    return path.relative_to(_REPOSITORY).as_posix()


def _has_words(message: Message) -> bool:
    return bool(re.search("[^\\W\\d_]{2}", "".join(message)))


if __name__ == "__main__":
    CATALOGUE.write_text(as_text(gathered()), "utf-8")
