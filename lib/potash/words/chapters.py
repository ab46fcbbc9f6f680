"""The prose of the chapters, in the language of the workbook, a paragraph a message."""

import json
from collections.abc import Iterator

from potash.words import tr

_GAP = "\n\n"


def chapter_in_language(content: bytes) -> bytes:
    """The notebook ``content`` with its prose translated; the same bytes where nothing changes."""
    notebook = json.loads(content)
    changed = False
    for cell in notebook["cells"]:
        source = "".join(cell["source"])
        if cell["cell_type"] == "markdown" and (told := _told(source)) != source:
            cell["source"] = told.splitlines(keepends=True)
            changed = True
    if not changed:
        return content
    text = json.dumps(notebook, ensure_ascii=False, indent=1, sort_keys=True)
    return f"{text}\n".encode()


def paragraphs(content: bytes) -> Iterator[str]:
    """The paragraphs of prose in the notebook ``content``, but those that are all equation."""
    for cell in json.loads(content)["cells"]:
        if cell["cell_type"] == "markdown":
            for paragraph in "".join(cell["source"]).split(_GAP):
                if paragraph.strip() and not _is_equation(paragraph):
                    yield paragraph


def _told(source: str) -> str:
    return _GAP.join(tr(paragraph) for paragraph in source.split(_GAP))


def _is_equation(paragraph: str) -> bool:
    inside = paragraph.strip().removeprefix("$$").removesuffix("$$")
    return "$$" not in inside and len(paragraph.strip()) == len(inside) + 4
