"""A page for each notebook of the workbook, and writing them all."""

import tempfile
from collections.abc import Callable, Iterator
from datetime import datetime
from importlib import resources
from pathlib import Path
from typing import Any

from potash.files import write_atomically
from potash.lookup import read_chapter
from potash.pages import prose
from potash.pages.running import lay_copy, run
from potash.panels.frame import look
from potash.words import in_templates, tr
from potash.workspace import FolderUnusable, chapters_source

COVER = "start-here.html"

Progress = Callable[[int, int], None]


def write_pages(
    folder: Path | None,
    to: Path,
    progress: Progress = lambda done, total: None,
) -> tuple[str, ...]:
    """Write a page for each notebook of the workbook into ``to``; their names, the cover first.

    With a student's ``folder`` the pages show its preparation, figures and answers, and what was
    predicted there; its notebooks are not run. Without one, the default preparation and every
    result.

    Raises: FolderUnusable, if ``folder`` is none or ``to`` cannot be written to; PageNotMade;
    ChaptersMissing.
    """
    if folder is not None and not folder.is_dir():
        raise FolderUnusable(
            tr('"{folder}" is no folder. Name a student\'s folder, or none at all.', folder=folder)
        )
    _make(to)
    with tempfile.TemporaryDirectory(prefix="potash-pages-") as copies:
        lay_copy(chapters_source(), folder, Path(copies))
        paths = sorted(Path(copies).glob("*.ipynb"))
        for done, path in enumerate(paths, 1):
            page = to_page(path, reveal=folder is None)
            write_atomically(to / f"{path.stem}.html", page)
            progress(done, len(paths))
    names = (f"{path.stem}.html" for path in paths)
    return tuple(sorted(names, key=lambda name: (name != COVER, name)))


def to_page(path: Path, *, reveal: bool) -> str:
    """The page of the notebook ``path``, which is run for it."""
    from jinja2 import Environment, PackageLoader

    environment = Environment(loader=PackageLoader("potash.pages", ""), autoescape=True)
    environment.globals.update(in_templates())
    pieces = list(_pieces(run(path, reveal=reveal), path.parent))
    return environment.get_template("page.html.jinja").render(
        title=read_chapter(path).called,
        pieces=pieces,
        cover=COVER if path.stem != Path(COVER).stem else "",
        made=f"{datetime.now().astimezone():%d %B %Y}",
        styles=_styles(),
    )


def _pieces(notebook: Any, folder: Path) -> Iterator[str]:
    """The prose and the stills, in their order, as HTML."""
    for cell in notebook.cells:
        if cell.cell_type == "markdown":
            yield prose.to_html(cell.source, folder)
        elif cell.cell_type == "code":
            yield from _stills(cell.outputs)


def _stills(outputs: list[Any]) -> Iterator[str]:
    """What panels leave for readers without a kernel. The live panel itself needs one."""
    for output in outputs:
        data = output.get("data", {})
        if "text/html" in data and "application/vnd.jupyter.widget-view+json" not in data:
            yield prose.linked_pages("".join(data["text/html"]))


def _styles() -> str:
    page = (resources.files("potash.pages") / "page.css").read_text("utf-8")
    return "\n".join([look.stylesheet(), look.stylesheet("lookup.css"), page])


def _make(to: Path) -> None:
    try:
        to.mkdir(exist_ok=True)
    except OSError as reason:
        raise FolderUnusable(
            tr(
                '"{folder}" cannot hold pages: {strerror}. Name a folder whose parent is there and '
                "may be written to.",
                folder=to,
                strerror=(reason.strerror or str(reason)).lower(),
            )
        ) from reason
