"""The chapters as files: tidy bytes, one short call a code cell, and every one of them runs."""

import ast
import json
import os
import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import nbformat
import pytest
from nbclient import NotebookClient
from tidy import tidied

ROOT = Path(__file__).resolve().parents[2]
NOTEBOOKS = sorted((ROOT / "workbook").glob("*.ipynb"))
CHAPTERS = [path for path in NOTEBOOKS if path.name[:2].isdigit()]
MOST_LINES = 3

each_notebook = pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
each_chapter = pytest.mark.parametrize("path", CHAPTERS, ids=lambda path: path.stem)


def cells(path: Path, kind: str) -> Iterator[dict[str, Any]]:
    notebook = json.loads(path.read_text("utf-8"))
    return (cell for cell in notebook["cells"] if cell["cell_type"] == kind)


def prose(path: Path) -> str:
    return "\n\n".join("".join(cell["source"]) for cell in cells(path, "markdown"))


def test_there_are_chapters() -> None:
    assert len(CHAPTERS) >= 4


def test_the_first_chapter_lists_the_others_with_the_time_that_each_states() -> None:
    first, *others = CHAPTERS
    row = r"^\| \[(.+)\]\((.+)\) \|.+\| (\d+ minutes) \|$"
    listed = re.findall(row, prose(first), re.M)
    stated = [
        (title, path.name, time)
        for path in others
        for title in re.findall(r"^# (.+)$", prose(path), re.M)
        for time in re.findall(r"^\*\*Time:\*\* (\d+ minutes)", prose(path), re.M)
    ]
    assert len(stated) == len(others)
    assert listed == stated


@each_notebook
def test_a_chapter_is_stored_tidy(path: Path) -> None:
    stored = path.read_text("utf-8")
    assert stored == tidied(stored), "Run: python tests/notebooks/tidy.py"


@each_notebook
def test_tidying_restores_the_stored_bytes_after_running(path: Path) -> None:
    used = json.loads(path.read_text("utf-8"))
    used["metadata"]["language_info"] = {"name": "python", "version": "3.11.7"}
    for number, cell in enumerate(used["cells"]):
        cell["metadata"]["trusted"] = True
        if cell["cell_type"] == "code":
            cell["execution_count"] = number
            cell["outputs"] = [{"output_type": "stream", "name": "stdout", "text": ["x"]}]
    assert tidied(json.dumps(used)) == path.read_text("utf-8")


@each_notebook
def test_cell_ids_are_words_of_this_chapter_and_differ(path: Path) -> None:
    ids = [cell["id"] for cell in json.loads(path.read_text("utf-8"))["cells"]]
    assert len(ids) == len(set(ids))
    assert all(name.startswith(path.name[:3]) for name in ids)


@each_notebook
def test_a_code_cell_is_one_call_into_the_panels(path: Path) -> None:
    for cell in cells(path, "code"):
        source = "".join(cell["source"])
        assert len(source.splitlines()) <= MOST_LINES, source
        calls = [node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.Call)]
        assert len(calls) == 1, source
        assert ast.unparse(calls[0].func).startswith("panels."), source


@each_chapter
def test_a_chapter_says_what_it_teaches_how_long_it_takes_and_what_can_go_wrong(
    path: Path,
) -> None:
    text = prose(path)
    assert re.search(r"^# ", text, re.M)
    assert "you will be able to" in text.lower()
    assert re.search(r"\d+ minutes", text)
    assert "data-commandlinker-command" in text and "notebook:run-all-cells" in text
    assert re.search(r"^## Summary", text, re.M)
    assert re.search(r"^## Sources", text, re.M)


@each_notebook
def test_the_caution_stands_before_the_first_panel(path: Path) -> None:
    notebook = json.loads(path.read_text("utf-8"))
    kinds = [
        "caution" if "".join(cell["source"]).startswith("> **Caution") else cell["cell_type"]
        for cell in notebook["cells"]
    ]
    assert kinds.index("caution") < kinds.index("code")


@each_notebook
def test_no_chapter_calls_anything_safe_or_allowed(path: Path) -> None:
    told = prose(path).lower()
    for claim in ("is safe", "are safe", "safely", "is permitted", "is allowed", "no danger"):
        assert claim not in told, claim


@each_notebook
def test_a_chapter_runs_from_top_to_bottom_on_a_copy(path: Path, tmp_path: Path) -> None:
    copy = tmp_path / path.name
    shutil.copy(path, copy)
    notebook = nbformat.read(copy, as_version=4)
    client = NotebookClient(notebook, timeout=120, resources={"metadata": {"path": tmp_path}})
    client.execute(env={**os.environ, "JUPYTER_PREFER_ENV_PATH": "1"})
    panels = [cell for cell in notebook.cells if cell.cell_type == "code"]
    assert panels
    for cell in panels:
        shown = [output for output in cell.outputs if output.output_type == "display_data"]
        assert shown, f"{cell.id} shows nothing"
        assert any("application/vnd.jupyter.widget-view+json" in one.data for one in shown)
        stills = [one.data["text/html"] for one in shown if "text/html" in one.data]
        assert stills, f"{cell.id} leaves nothing behind for a reader without a kernel"
        assert "This should not have happened" not in "".join(stills)


def test_an_exported_chapter_keeps_its_pictures_and_their_words(tmp_path: Path) -> None:
    from nbconvert import HTMLExporter

    (path,) = (one for one in CHAPTERS if one.name.startswith("01"))
    notebook = nbformat.read(path, as_version=4)
    NotebookClient(notebook, timeout=120, resources={"metadata": {"path": tmp_path}}).execute()
    page, _ = HTMLExporter().from_notebook_node(notebook)
    assert 'alt="Atoms counted on both sides: K 1 left, 1 right' in page
    assert "Exercises with questions that are still blank" in page
