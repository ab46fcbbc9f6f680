"""Opening the workbook without a browser: ports, settings of its own, trust, and ending."""

import json
import os
import socket
import sqlite3
import subprocess
import sys
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

from potash import launch
from potash.workspace import lay_chapters


@pytest.fixture(autouse=True)
def settings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "settings"
    monkeypatch.setenv("POTASH_SETTINGS", str(folder))
    return folder


@pytest.fixture
def taken_port() -> Iterator[int]:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        yield taken.getsockname()[1]


def answer(address: str) -> bytes:
    opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))
    with opener.open(address, timeout=20) as page:
        content: bytes = page.read()
    return content


def test_a_port_in_use_is_refused_with_a_free_one_named_and_nothing_written(taken_port, tmp_path):
    folder = tmp_path / "workbook"
    with pytest.raises(launch.PortUnavailable, match=rf"Port {taken_port} is in use") as refused:
        launch.open_workbook(folder, port=taken_port, browser=False)
    assert "without --port" in str(refused.value)
    assert not folder.exists()


@pytest.mark.parametrize("port", [0, -1, 80, 65536, 100_000])
def test_a_port_that_cannot_be_is_refused(port, tmp_path):
    with pytest.raises(launch.PortUnavailable, match="from 1024 to 65535"):
        launch.open_workbook(tmp_path / "workbook", port=port, browser=False)


def test_without_a_port_the_next_free_one_is_taken(taken_port, monkeypatch):
    monkeypatch.setattr(launch, "_USUAL_PORT", taken_port)
    assert launch._usable_port(None) > taken_port


def test_only_chapters_as_they_were_laid_are_trusted(tmp_path, settings):
    folder = tmp_path / "workbook"
    lay_chapters(folder)
    changed = folder / "01-balance-the-reaction.ipynb"
    changed.write_text(changed.read_text("utf-8").replace("panels.balance()", "print(1)"), "utf-8")
    signed = launch.trust_chapters(folder)
    assert changed.name not in signed
    assert "02-weigh-the-charge.ipynb" in signed
    with sqlite3.connect(settings / "nbsignatures.db") as database:
        (count,) = database.execute("select count(*) from nbsignatures").fetchone()
    assert count == len(signed)


def test_the_cover_opens_first_and_else_the_first_chapter(tmp_path):
    assert launch.opening_page(tmp_path) is None
    for name, opens in {
        "look-it-up.ipynb": None,
        "03-will-it-go.ipynb": "03-will-it-go.ipynb",
        "01-balance-the-reaction.ipynb": "01-balance-the-reaction.ipynb",
        "start-here.ipynb": "start-here.ipynb",
    }.items():
        (tmp_path / name).write_text("")
        assert launch.opening_page(tmp_path) == opens


def test_the_settings_folder_is_potashs_own(monkeypatch, tmp_path):
    monkeypatch.delenv("POTASH_SETTINGS")
    home = tmp_path / "home"
    for name in ("HOME", "XDG_DATA_HOME", "USERPROFILE", "APPDATA", "LOCALAPPDATA"):
        monkeypatch.setenv(name, str(home))
    assert "potash" in launch.settings_folder().parts
    assert ".jupyter" not in launch.settings_folder().parts


def test_jupyterlab_asks_nothing_at_the_first_start(settings):
    launch._write_settings()
    chosen = json.loads((settings / "labconfig" / "default_setting_overrides.json").read_text())
    notification = chosen["@jupyterlab/apputils-extension:notification"]
    assert notification == {"checkForUpdates": False, "fetchNews": "false"}
    kernels = chosen["@jupyterlab/apputils-extension:kernels-settings"]
    assert kernels == {"commsOverSubshells": "disabled"}  # what a panel is told, in order
    assert "jp-InputPlaceholder" in (settings / "custom" / "custom.css").read_text()


def test_a_setting_that_the_user_chose_stays(settings):
    launch._write_settings()
    chosen = settings / "lab" / "user-settings" / "theme.json"
    chosen.parent.mkdir(parents=True)
    chosen.write_text("{}")
    launch._write_settings()
    assert chosen.read_text() == "{}"


def test_the_server_answers_to_its_token_only_and_ends_with_its_block(tmp_path):
    with launch.serving(tmp_path) as server:
        assert server.address.startswith("http://127.0.0.1:")
        listed = answer(f"{server.address}/api/contents?token={server.token}")
        assert json.loads(listed)["type"] == "directory"
        with pytest.raises(urllib.error.HTTPError, match="403"):
            answer(f"{server.address}/api/contents")
        # The token must not be on a command line that other users can list.
        assert not any(server.token in word for word in server.process.args)
    assert server.process.poll() is not None


def test_a_folder_opens_first_with_its_cover_and_later_as_it_was_left(tmp_path):
    def remembered(server):
        known = answer(f"{server.address}/lab/api/workspaces/default?token={server.token}")
        return json.loads(known)["data"]

    with launch.serving(tmp_path, first="start-here.ipynb") as server:
        main = remembered(server)["layout-restorer:data"]["main"]
        sessions = json.loads(answer(f"{server.address}/api/sessions?token={server.token}"))
        assert [one["path"] for one in sessions] == ["start-here.ipynb"]
        assert main["dock"]["widgets"] == [main["current"]] == ["notebook:start-here.ipynb"]
        (memory,) = launch.settings_folder().glob("workspaces/*/*.jupyterlab-workspace")
    left = {"data": {"as": "it was left"}, "metadata": {"id": "default"}}
    memory.write_text(json.dumps(left))
    with launch.serving(tmp_path, first="start-here.ipynb") as server:
        assert remembered(server) == left["data"]


def test_a_server_that_ends_at_once_shows_the_end_of_its_log(tmp_path, monkeypatch):
    failing = [sys.executable, "-c", "print('no room'); raise SystemExit(3)"]
    monkeypatch.setattr(launch, "_command", lambda *_given: failing)
    with (
        pytest.raises(launch.ServerDidNotStart, match="no room") as refused,
        launch.serving(tmp_path),
    ):
        pytest.fail("it must not come this far")
    assert "jupyterlab-" in str(refused.value)


@pytest.mark.skipif(os.name != "posix", reason="signals of a POSIX terminal")
def test_open_prints_the_address_and_ends_when_told(tmp_path, settings):
    process = subprocess.Popen(
        [sys.executable, "-m", "potash.cli", "open", "my-workbook", "--no-browser"],
        cwd=tmp_path,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert process.stdout is not None
    said = []
    for line in process.stdout:
        said.append(line)
        if "It is open at" in line:
            break
    address = said[-1].split()[-1]
    assert "/lab/tree/start-here.ipynb?token=" in address
    assert b"JupyterLab" in answer(address)
    process.terminate()
    rest, _ = process.communicate(timeout=30)
    assert process.returncode == 0
    assert "Closed." in rest
    with pytest.raises(OSError):
        answer(address)


def test_a_port_that_is_lost_at_the_last_moment_costs_another_try(tmp_path, monkeypatch):
    asked = []
    command = launch._command

    def losing_once(folder: Path, port: int, settings: Path) -> list[str]:
        asked.append(port)
        if len(asked) > 1:
            return command(folder, port, settings)
        # Somebody else takes the port for good, and JupyterLab ends because of it.
        rival = socket.socket()
        rival.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        rival.bind(("127.0.0.1", port))
        rival.listen()
        rivals.append(rival)
        return [sys.executable, "-c", "raise SystemExit(1)"]

    rivals: list[socket.socket] = []
    monkeypatch.setattr(launch, "_command", losing_once)
    try:
        with launch.serving(tmp_path) as server:
            assert server.port != asked[0]
            assert answer(f"{server.address}/api/status?token={server.token}")
    finally:
        for rival in rivals:
            rival.close()


def test_jupyterlab_does_not_ask_node_whether_to_rebuild_itself(tmp_path):
    with launch.serving(tmp_path) as server:
        page = answer(server.page()).decode()
    assert '"buildCheck": false' in page.replace('"buildCheck":false', '"buildCheck": false')
