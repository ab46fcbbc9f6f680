"""Running a chapter on a copy, for what its panels leave behind."""

import os
import shutil
import subprocess
from pathlib import Path
from typing import Any

from potash.errors import PotashError
from potash.words import tr
from potash.workspace import ASSETS, HANDOUT, PREPARATION, SHEET, original

REVEAL = "POTASH_REVEAL"
"""Set to "1" in a kernel, it makes panels show results that nobody predicted."""

_SECONDS = 300  # for one cell


class PageNotMade(PotashError):
    """A chapter could not be run to its end."""


def lay_copy(source: Path, folder: Path | None, to: Path) -> None:
    """Copy the original chapters, and the data of a student's ``folder``, into ``to``.

    Only data are taken from ``folder``. Its notebooks may hold anybody's code, and are not run.
    """
    for path in source.glob("*.ipynb"):
        (to / path.name).write_bytes(original(path))
    if (source / ASSETS).is_dir():
        shutil.copytree(source / ASSETS, to / ASSETS)
    for name in (PREPARATION, HANDOUT, SHEET):
        if folder and (folder / name).is_file():
            shutil.copy(folder / name, to)


def run(path: Path, *, reveal: bool) -> Any:
    """The notebook ``path`` with its outputs; with ``reveal`` what is to be predicted is shown.

    Raises: PageNotMade, naming notebook and cell.
    """
    import nbformat
    from nbclient import NotebookClient
    from nbclient.exceptions import CellExecutionError, CellTimeoutError, DeadKernelError

    notebook = nbformat.read(path, as_version=4)  # type: ignore[no-untyped-call]
    client = NotebookClient(
        notebook,
        timeout=_SECONDS,
        kernel_name="python3",
        resources={"metadata": {"path": str(path.parent)}},
    )
    environment = {**os.environ, "JUPYTER_PREFER_ENV_PATH": "1", REVEAL: "1" if reveal else "0"}
    try:
        # Kernels talk on standard error about their transport, which helps nobody here.
        client.execute(env=environment, stderr=subprocess.DEVNULL)
    except (CellExecutionError, CellTimeoutError, DeadKernelError) as reason:
        last = str(reason).strip().splitlines()[-1]
        raise PageNotMade(
            tr("{path} did not run to its end: {last}", path=path.name, last=last)
        ) from reason
    return notebook
