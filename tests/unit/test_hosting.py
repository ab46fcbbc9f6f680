"""Becoming the server of a host: what is laid before, and what is refused."""

import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

from potash import hosting, launch
from potash.workspace import FolderUnusable, chapters_source

SHOWS = "import os, pathlib; print(os.environ['JUPYTER_CONFIG_DIR'], pathlib.Path.cwd())"


@pytest.fixture(autouse=True)
def settings(tmp_path, monkeypatch):
    monkeypatch.setenv("POTASH_SETTINGS", str(tmp_path / "settings"))
    return tmp_path / "settings"


def test_the_server_takes_over_with_chapters_laid_and_settings_in_its_environment(
    tmp_path, settings
):
    done = subprocess.run(
        [sys.executable, "-m", "potash.cli", "host", "mine", "--", sys.executable, "-c", SHOWS],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=True,
    )
    assert f"{settings} {tmp_path}" in done.stdout
    assert (tmp_path / "mine" / "start-here.ipynb").is_file()
    assert (settings / "nbsignatures.db").is_file()
    assert '"custom_css": true' in (settings / "jupyter_server_config.json").read_text()


def test_the_servers_own_exit_status_and_options_are_kept(tmp_path):
    command = [sys.executable, "-c", "import sys; sys.exit(len(sys.argv))", "--port", "1"]
    done = subprocess.run(
        [sys.executable, "-m", "potash.cli", "host", "mine", "--", *command], cwd=tmp_path
    )
    assert done.returncode == 3


def test_a_missing_server_is_named_and_nothing_is_written(tmp_path):
    with pytest.raises(hosting.NoServerToStart, match="after two dashes"):
        hosting.host(tmp_path / "mine", [])
    assert list(tmp_path.iterdir()) == []


def test_a_server_that_is_no_program_is_named(tmp_path):
    with pytest.raises(hosting.NoServerToStart, match='"no-such-hub" is no program here'):
        hosting.host(tmp_path / "mine", ["no-such-hub"])


def test_a_folder_that_cannot_be_made_is_refused(tmp_path):
    with pytest.raises(FolderUnusable):
        hosting.host(tmp_path / "no" / "such" / "mine", [sys.executable])


def test_the_recipe_for_a_hub_starts_on_the_cover_that_is_laid():
    given = SimpleNamespace(Spawner=SimpleNamespace())
    recipe = Path(__file__).resolve().parents[2] / "binder" / "jupyterhub_config.py"
    exec(compile(recipe.read_text("utf-8"), recipe.name, "exec"), {"get_config": lambda: given})  # noqa: S102
    potash, command, folder, dashes, _server = given.Spawner.cmd
    assert (potash, command, dashes) == ("potash", "host", "--")
    assert given.Spawner.default_url == f"/lab/tree/{folder}/{launch.COVER}"
    assert (chapters_source() / launch.COVER).is_file()
