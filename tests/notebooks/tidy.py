"""Bring a chapter into the one form in which it is stored: no outputs, fixed metadata, sorted keys.

``python tests/notebooks/tidy.py`` tidies every chapter after it was tried out in JupyterLab, and
restores the stored bytes if nothing but outputs changed.
"""

import json
import re
import sys
from pathlib import Path
from typing import Any

CHAPTERS = Path(__file__).resolve().parents[2] / "workbook"
NOTEBOOK_METADATA = {
    "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
    "language_info": {"name": "python"},
}
CODE_METADATA = {
    "deletable": False,
    "editable": False,
    "jupyter": {"source_hidden": True},
    "tags": ["panel"],
}
PROSE_METADATA = {"deletable": False, "editable": False}


class UntidyCell(ValueError):
    """A cell that cannot be tidied by itself: a person has to decide."""


def tidied(text: str) -> str:
    """The stored form of a notebook's JSON.

    Raises: UntidyCell, for a cell without an id in words or of a type that chapters do not have.
    """
    notebook = json.loads(text)
    stored = {
        "cells": [_tidied_cell(cell) for cell in notebook["cells"]],
        "metadata": NOTEBOOK_METADATA,
        "nbformat": 4,
        "nbformat_minor": 5,
    }
    return json.dumps(stored, ensure_ascii=False, indent=1, sort_keys=True) + "\n"


def _tidied_cell(cell: dict[str, Any]) -> dict[str, Any]:
    name = cell.get("id", "")
    if not re.fullmatch(r"(\d\d|[a-z]+)(-[a-z]+)+", name):
        raise UntidyCell(f"The cell id {name!r} is not a chapter and words, such as '03-predict'.")
    source = "".join(cell["source"]).strip("\n")
    stored = {
        "cell_type": cell["cell_type"],
        "id": name,
        "source": source.splitlines(keepends=True),
    }
    if cell["cell_type"] == "code":
        return stored | {"execution_count": None, "metadata": CODE_METADATA, "outputs": []}
    if cell["cell_type"] == "markdown":
        return stored | {"metadata": PROSE_METADATA}
    raise UntidyCell(f"{name}: chapters have code and markdown cells, not {cell['cell_type']!r}.")


def main() -> None:
    for path in sorted(CHAPTERS.glob("*.ipynb")):
        before = path.read_text("utf-8")
        after = tidied(before)
        if after != before:
            path.write_text(after, "utf-8")
            print(f"tidied {path.name}")


if __name__ == "__main__":
    sys.exit(main())
