"""A hosted copy, started by the host's own command, in real Chromium."""

import contextlib
import os
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

START = Path(__file__).resolve().parents[2] / "binder" / "start"


@pytest.fixture
def hosted(tmp_path: Path, potash_settings: Path) -> Iterator[str]:
    """A server as a host starts it: its own command and port, the user's home as its root."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "jupyterlab", "--ServerApp.ip=127.0.0.1", "--allow-root"]
    command += [f"--ServerApp.port={port}", "--no-browser", "--IdentityProvider.token=host"]
    programs = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
    process = subprocess.Popen(
        [str(START), *command], cwd=tmp_path, env={**os.environ, "PATH": programs}
    )
    address = f"http://127.0.0.1:{port}"
    try:
        wait_for(f"{address}/api/status?token=host", process)
        yield address
    finally:
        process.terminate()
        process.wait(30)


def wait_for(address: str, process: subprocess.Popen[bytes]) -> None:
    opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))
    deadline = time.monotonic() + 90
    while time.monotonic() < deadline and process.poll() is None:
        with contextlib.suppress(OSError), opener.open(address, timeout=5):
            return
        time.sleep(0.2)
    pytest.fail("The hosted server did not start.")


def test_a_hosted_copy_opens_its_cover_trusted_and_records_in_its_own_folder(
    hosted: str, open_page: Callable[..., Page], tmp_path: Path
) -> None:
    page = open_page(f"{hosted}/lab/tree/my-workbook/start-here.ipynb?token=host")
    page.get_by_text("| Idle").wait_for()
    page.get_by_role("button", name="Show my path").click()
    page.locator(".potash .potash-station").first.wait_for()
    assert page.locator(".jp-Dialog").count() == 0
    assert page.locator(".jp-InputPlaceholder:visible").count() == 0  # the settings are there
    page.locator(".potash .potash-head a", has_text="Weigh the charge").click()
    expect(page.locator("h1", has_text="Weigh the charge")).to_be_visible()
    page.get_by_role("button", name="Bring the panels").click()
    page.get_by_role("button", name="Record").first.wait_for()
    page.locator(".potash-exercise input[type=text]").first.fill("1 g")
    page.get_by_role("button", name="Record").first.click()
    expect(page.get_by_text("Recorded in answers.json").first).to_be_visible()
    assert (tmp_path / "my-workbook" / "answers.json").is_file()
