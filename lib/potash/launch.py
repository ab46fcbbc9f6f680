"""Opening the workbook: lays the chapters, then starts JupyterLab on them, on this computer only.

JupyterLab gets a settings folder of Potash's own, so that nothing in the user's Jupyter settings
is read or changed: no news prompt at the first start, hidden code bars, and trust in the chapters
that Potash itself laid.
"""

import contextlib
import hashlib
import json
import os
import secrets
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from importlib import resources
from pathlib import Path
from typing import Any
from urllib.parse import quote

from potash.errors import PotashError
from potash.files import write_atomically
from potash.words import tr
from potash.workspace import chapters_source, lay_chapters, original

COVER = "start-here.ipynb"

_USUAL_PORT = 8888
_PORTS_TRIED = 100
_PORT_RACES = 5
_START_UP_SECONDS = 90.0
_ADDRESS = "127.0.0.1"


class PortUnavailable(PotashError):
    """The port asked for cannot be used."""


class ServerDidNotStart(PotashError):
    """JupyterLab ended, or stayed silent, before the workbook could open."""


@dataclass(frozen=True, slots=True)
class Server:
    """A running JupyterLab: where it serves, from which folder, and where it writes its log."""

    folder: Path
    port: int
    token: str
    log: Path
    process: subprocess.Popen[bytes]

    @property
    def address(self) -> str:
        """The server's own address, without the token."""
        return f"http://{_ADDRESS}:{self.port}"

    def page(self, notebook: str | None = None) -> str:
        """The address, token included, of a notebook in the folder, or of JupyterLab itself."""
        path = f"/tree/{quote(notebook)}" if notebook else ""
        return f"{self.address}/lab{path}?token={self.token}"

    def stop(self) -> None:
        """End JupyterLab and its kernels; what was recorded is on the disk already."""
        if self.process.poll() is not None:
            return
        self.process.terminate()
        try:
            self.process.wait(timeout=15)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()


def open_workbook(
    folder: Path,
    *,
    port: int | None = None,
    browser: bool = True,
    say: Callable[[str], None] = print,
) -> None:
    """Lay the chapters in ``folder``, open them in JupyterLab, and stay until it is stopped.

    ``port`` None takes the first free one from 8888 up. Without ``browser`` the address is only
    printed. Ctrl-C, or closing the terminal, ends the server.

    Raises: PortUnavailable; ServerDidNotStart; the errors of ``lay_chapters``.
    """
    _usable_port(port)  # refused before anything is written
    laid = lay_chapters(folder)
    trust_chapters(folder)
    say(tr("Your workbook is in {folder}.", folder=folder.resolve()))
    for what, names in {
        tr("Laid there now"): laid.copied,
        tr("Brought up to date"): laid.updated,
        tr("Kept as you changed them"): laid.kept,
    }.items():
        if names:
            say(f"{what}: {', '.join(names)}.")
    first = opening_page(folder)
    with serving(folder, port=port, first=first) as server:
        address = server.page(first)
        say(tr("It is open at {address}", address=address))
        say(tr("Leave this window open while you work; Ctrl-C here closes the workbook."))
        if browser:
            _show_in_browser(address)
        _stay_until_told_to_stop(server)
    say(tr("Closed. Answers that were shown as recorded are in the folder."))


@contextlib.contextmanager
def serving(folder: Path, *, port: int | None = None, first: str | None = None) -> Iterator[Server]:
    """JupyterLab on ``folder``, ready to answer on entry, ended on exit.

    first: the notebook whose kernel is started at once, and which stands open where JupyterLab
    remembers nothing of the folder yet.

    Raises: PortUnavailable; ServerDidNotStart.
    """
    server = _started(folder, port, first)
    try:
        yield server
    finally:
        server.stop()


def opening_page(folder: Path) -> str | None:
    """The file name of what opens first in ``folder``: the cover, else the first chapter."""
    chapters = sorted(folder.glob("[0-9][0-9]-*.ipynb"))
    return next((path.name for path in (folder / COVER, *chapters) if path.is_file()), None)


def settings_folder() -> Path:
    """Potash's own Jupyter settings folder, one a user; ``POTASH_SETTINGS`` moves it."""
    if moved := os.environ.get("POTASH_SETTINGS"):
        return Path(moved)
    import platformdirs

    return Path(platformdirs.user_data_dir("potash", appauthor=False)) / "jupyter"


def trust_chapters(folder: Path) -> tuple[str, ...]:
    """Sign each chapter in ``folder`` that is still byte for byte as Potash laid it; their names.

    JupyterLab shows the pictures of a signed notebook, and lets its buttons work, at once. A
    chapter that someone changed is signed by JupyterLab itself when that person saves it.
    """
    import nbformat
    from nbformat.sign import NotebookNotary

    settings = _write_settings()
    notary: Any = NotebookNotary(data_dir=str(settings))  # type: ignore[no-untyped-call]
    signed = []
    try:
        source = chapters_source()
        for path in sorted([*source.glob("*.ipynb"), *source.glob("staff/*.ipynb")]):
            copy = folder / path.name
            if copy.is_file() and copy.read_bytes() == original(path):
                notary.sign(nbformat.read(copy, as_version=4))  # type: ignore[no-untyped-call]
                signed.append(path.name)
    finally:
        notary.store.close()
    return tuple(signed)


def _started(folder: Path, port: int | None, first: str | None) -> Server:
    """A server that answers. Another program may take a port between our look and JupyterLab's."""
    for _ in range(_PORT_RACES):
        server = _start(folder, _usable_port(port))
        try:
            if first:
                _remember_as_open(folder, first)
            _wait_until_it_answers(server)
            if first:
                _start_python_for(server, first)
        except ServerDidNotStart:
            server.stop()
            if port is not None or _is_free(server.port):
                raise
        except BaseException:
            server.stop()
            raise
        else:
            return server
    raise ServerDidNotStart(
        tr(
            "Other programs took {number} ports just before JupyterLab could. Try again.",
            number=_PORT_RACES,
        )
    )


def _start(folder: Path, port: int) -> Server:
    settings = _write_settings()
    token = secrets.token_hex(24)
    log = settings / f"jupyterlab-{port}.log"
    with log.open("wb") as output:
        process = subprocess.Popen(
            _command(folder, port, settings),
            cwd=folder,
            env=_environment(token),
            stdin=subprocess.DEVNULL,
            stdout=output,
            stderr=subprocess.STDOUT,
            # Ctrl-C is Potash's to handle: JupyterLab would ask a question on the terminal.
            start_new_session=True,
        )
    return Server(folder, port, token, log, process)


def _command(folder: Path, port: int, settings: Path) -> list[str]:
    return [
        sys.executable,
        "-m",
        "jupyterlab",
        f"--ServerApp.root_dir={folder.resolve()}",
        f"--ServerApp.ip={_ADDRESS}",
        f"--ServerApp.port={port}",
        "--ServerApp.port_retries=0",
        "--ServerApp.open_browser=False",
        # Containers and lab images run as root; the server listens to this computer only.
        "--ServerApp.allow_root=True",
        f"--LabApp.workspaces_dir={_memory(folder, settings)}",
        "--LabApp.extension_manager=readonly",
    ]


def _memory(folder: Path, settings: Path) -> Path:
    """Where JupyterLab remembers which notebooks were open: a place of its own for each folder."""
    return settings / "workspaces" / hashlib.sha256(str(folder.resolve()).encode()).hexdigest()[:16]


def _remember_as_open(folder: Path, notebook: str) -> None:
    """Have JupyterLab find ``notebook`` open, unless it remembers something of ``folder`` already.

    The page that an address names is opened only when all else is there and the layout was saved,
    a second later than a page that was open before. Runs while the server starts.
    """
    memory = _memory(folder, settings_folder())
    if any(memory.glob("*.jupyterlab-workspace")):
        return
    from jupyterlab_server.workspaces_handler import WorkspacesManager

    tab = f"notebook:{notebook}"
    dock = {"type": "tab-area", "currentIndex": 0, "widgets": [tab]}
    open_already = {
        "layout-restorer:data": {"main": {"dock": dock, "current": tab}},
        tab: {"data": {"path": notebook, "factory": "Notebook"}},
    }
    content = json.dumps({"data": open_already, "metadata": {"id": "default"}})
    WorkspacesManager(str(memory)).save("default", content)


def settings_environment() -> dict[str, str]:
    """What tells a Jupyter server by environment to use Potash's settings and no others."""
    return {
        "JUPYTER_CONFIG_DIR": str(_write_settings()),
        "JUPYTER_PREFER_ENV_PATH": "1",
        # Course folders may lie on drives where a breakpoint cache is unwelcome.
        "PYDEVD_DISABLE_FILE_VALIDATION": "1",
    }


def _environment(token: str) -> dict[str, str]:
    # The token goes here: other users can list the command line of a process.
    return {**os.environ, **settings_environment(), "JUPYTER_TOKEN": token}


def _write_settings() -> Path:
    """Bring Potash's settings folder up to date; what the user chose in JupyterLab stays."""
    folder = settings_folder()
    (folder / "custom").mkdir(parents=True, exist_ok=True)
    (folder / "labconfig").mkdir(exist_ok=True)
    ours = resources.files("potash") / "_jupyterlab"
    server = {"LabApp": {"custom_css": True}, "NotebookNotary": {"data_dir": str(folder)}}
    # JupyterLab would start Node at each opening to ask whether it should rebuild itself.
    page = {"buildAvailable": False, "buildCheck": False}
    for path, content in {
        folder / "custom" / "custom.css": (ours / "custom.css").read_text("utf-8"),
        folder / "labconfig" / "default_setting_overrides.json": (
            (ours / "settings.json").read_text("utf-8")
        ),
        folder / "labconfig" / "page_config.json": json.dumps(page, indent=2),
        folder / "jupyter_server_config.json": json.dumps(server, indent=2),
    }.items():
        if not path.is_file() or path.read_text("utf-8") != content:
            write_atomically(path, content)
    return folder


def _usable_port(port: int | None) -> int:
    if port is None:
        return _first_free_port(_USUAL_PORT)
    if not 1024 <= port <= 65535:
        raise PortUnavailable(
            tr(
                "Port {port} cannot be used: choose one from 1024 to 65535, such as {example}.",
                port=port,
                example=_USUAL_PORT,
            )
        )
    if not _is_free(port):
        raise PortUnavailable(
            tr(
                "Port {port} is in use, perhaps by a workbook that is open already. Close that "
                "one, or take another port, such as {first_free_port}; without --port Potash "
                "finds a free one itself.",
                port=port,
                first_free_port=_first_free_port(port),
            )
        )
    return port


def _first_free_port(start: int) -> int:
    candidates = range(start, min(start + _PORTS_TRIED, 65536))
    for port in candidates:
        if _is_free(port):
            return port
    raise PortUnavailable(
        tr(
            "No port from {start} to {stop} is free on this computer. Close other servers, or "
            "name a port with --port.",
            start=candidates.start,
            stop=candidates.stop - 1,
        )
    )


def _is_free(port: int) -> bool:
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
        if os.name == "posix":
            # A port that was closed a moment ago is free, as JupyterLab itself sees it.
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((_ADDRESS, port))
        except OSError:
            return False
    return True


def _wait_until_it_answers(server: Server) -> None:
    deadline = time.monotonic() + _START_UP_SECONDS
    while time.monotonic() < deadline:
        if server.process.poll() is not None:
            raise ServerDidNotStart(_what_the_log_says(server))
        with contextlib.suppress(OSError), _ask(server, "status"):
            return
        time.sleep(0.1)
    raise ServerDidNotStart(_what_the_log_says(server))


def _start_python_for(server: Server, notebook: str) -> None:
    """Start the kernel of ``notebook`` now; it is ready when JupyterLab comes to ask for it.

    Where the server refuses, nothing is lost: JupyterLab starts a kernel itself, or says why not.
    """
    session = {
        "path": notebook,
        "name": notebook,
        "type": "notebook",
        "kernel": {"name": "python3"},
    }
    with contextlib.suppress(OSError), _ask(server, "sessions", session):
        pass


def _ask(server: Server, what: str, content: object = None) -> Any:
    """The server's answer, to be closed, to a question or a request.

    Raises: OSError, if there is none or it refuses.
    """
    asked = urllib.request.Request(
        f"{server.address}/api/{what}",
        data=None if content is None else json.dumps(content).encode(),
        headers={"Authorization": f"token {server.token}"},
    )
    # A proxy that the environment names has no business with this computer's own address.
    opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))
    return opener.open(asked, timeout=5)


def _what_the_log_says(server: Server) -> str:
    last = server.log.read_text("utf-8", errors="replace").strip().splitlines()[-3:]
    return "\n".join(
        [
            tr("JupyterLab did not start on port {port}. Its log ends with:", port=server.port),
            *(f"  {line}" for line in last or [tr("(nothing)")]),
            tr("The whole log is in {log}.", log=server.log),
        ]
    )


def _show_in_browser(address: str) -> None:
    import webbrowser

    with contextlib.suppress(webbrowser.Error):
        webbrowser.open(address)


def _stay_until_told_to_stop(server: Server) -> None:
    def stop(_signal: int, _frame: object) -> None:
        raise KeyboardInterrupt

    for name in ("SIGTERM", "SIGHUP"):
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), stop)
    with contextlib.suppress(KeyboardInterrupt):
        server.process.wait()
