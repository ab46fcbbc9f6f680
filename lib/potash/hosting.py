"""A hosted copy: lay the chapters for this user, then become the server that the host starts.

A hub or a hosted repository starts JupyterLab itself. Run through here, that server finds the
chapters laid and trusted, and Potash's settings, as after ``potash open``.
"""

import os
import subprocess
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NoReturn

from potash import launch
from potash.errors import PotashError
from potash.words import tr
from potash.workspace import lay_chapters


class NoServerToStart(PotashError):
    """The command of the host's own server is missing, or is no program here."""


def host(folder: Path, command: Sequence[str], say: Callable[[str], None] = print) -> NoReturn:
    """Lay and trust the chapters in ``folder``, then become ``command``, the host's own server.

    Parameters: folder, below the folder that the server will show; command, the server with its
    arguments, such as ("jupyterhub-singleuser",) or ("jupyter", "lab").

    Raises: NoServerToStart; the errors of ``lay_chapters``.
    """
    if not command:
        raise NoServerToStart(
            tr(
                "No server was named. Write it after two dashes, as in: potash host my-workbook "
                "-- jupyterhub-singleuser"
            )
        )
    lay_chapters(folder)
    launch.trust_chapters(folder)
    say(
        tr(
            "The workbook is in {folder}; starting {command}.",
            folder=folder.resolve(),
            command=command[0],
        )
    )
    _become(command, {**os.environ, **launch.settings_environment()})


def _become(command: Sequence[str], environment: dict[str, str]) -> NoReturn:
    """Replace this process by ``command``, so that the host's signals reach the server itself."""
    sys.stdout.flush()
    try:
        if os.name == "posix":
            os.execvpe(command[0], list(command), environment)
        sys.exit(subprocess.call(list(command), env=environment))
    except FileNotFoundError as reason:
        raise NoServerToStart(
            tr(
                '"{command}" is no program here. Install it beside Potash, or give its whole path.',
                command=command[0],
            )
        ) from reason
