"""The house itself: floors in order, linters clean, the lock complete, nothing odd at the top."""

import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

REPOSITORY = Path(__file__).resolve().parents[2]
PROJECT = tomllib.loads((REPOSITORY / "pyproject.toml").read_text(encoding="utf-8"))["project"]
REQUIREMENTS = [*PROJECT["dependencies"], *PROJECT["optional-dependencies"]["test"]]
TOP_LEVEL = {
    "CHANGELOG.md",
    "DEVELOPERS.md",
    "LICENSE",
    "README.md",
    "binder",
    "lib",
    "pyproject.toml",
    "tests",
    "workbook",
}


def run(*words: str) -> str:
    done = subprocess.run(
        [sys.executable, "-m", *words], cwd=REPOSITORY, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def test_every_module_imports_only_from_floors_below():
    from importlinter.cli import lint_imports

    assert lint_imports(str(REPOSITORY / "pyproject.toml"), no_cache=True, no_logo=True) == 0


def test_the_linter_finds_nothing():
    run("ruff", "check", "lib", "tests")


def test_the_code_is_formatted():
    run("ruff", "format", "--check", "lib", "tests")


def test_the_type_checker_finds_nothing():
    assert "Success" in run("mypy")


def test_the_top_level_holds_what_the_readme_names_and_dot_files():
    listed = subprocess.run(
        ["git", "ls-files"], cwd=REPOSITORY, capture_output=True, text=True, check=True
    )
    tops = {line.split("/")[0].strip('"') for line in listed.stdout.splitlines()}
    assert {top for top in tops if not top.startswith(".")} == TOP_LEVEL


@pytest.mark.parametrize("requirement", REQUIREMENTS)
def test_the_lock_pins_each_dependency_at_or_above_its_lower_bound(requirement):
    from packaging.requirements import Requirement

    wanted = Requirement(requirement)
    lock = (REPOSITORY / "binder" / "lock.txt").read_text(encoding="utf-8").lower()
    name = re.sub(r"[-_.]+", "[-_.]+", wanted.name.lower())
    pin = re.search(rf"^{name}==(\S+)$", lock, re.MULTILINE)
    assert pin, f"{wanted.name} is not in binder/lock.txt"
    assert wanted.specifier.contains(pin[1])
