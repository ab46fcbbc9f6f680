"""The prose of the chapters, in the language of the workbook, a paragraph a message."""

import json
from collections.abc import Iterator

from potash.words import ENGLISH, language, tr

_GAP = "\n\n"


def chapter_in_language(content: bytes) -> bytes:
    """The notebook ``content`` with its prose translated; in English the same bytes."""
    if language() == ENGLISH:
        return content
    notebook = json.loads(content)
    for cell in notebook["cells"]:
        if cell["cell_type"] == "markdown":
            told = (tr(paragraph) for paragraph in "".join(cell["source"]).split(_GAP))
            cell["source"] = _GAP.join(told).splitlines(keepends=True)
    return f"{json.dumps(notebook, ensure_ascii=False, indent=1, sort_keys=True)}\n".encode()


def paragraphs(content: bytes) -> Iterator[str]:
    """The paragraphs of prose in the notebook ``content``, but those that are all equation."""
    for cell in json.loads(content)["cells"]:
        if cell["cell_type"] == "markdown":
            for paragraph in "".join(cell["source"]).split(_GAP):
                if paragraph.strip() and not _is_equation(paragraph):
                    yield paragraph


def _is_equation(paragraph: str) -> bool:
    inside = paragraph.strip().removeprefix("$$").removesuffix("$$")
    return "$$" not in inside and len(paragraph.strip()) == len(inside) + 4
