"""The house itself: floors in order, linters clean, the lock complete, nothing odd at the top."""

import ast
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from potash.words import holes

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


def calls_for_words() -> Iterator[tuple[str, ast.Call]]:
    """Every call of tr, counted or later in the library, with the place where it stands."""
    for path in sorted((REPOSITORY / "lib" / "potash").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Call) and ast.unparse(node.func) in ("tr", "counted", "later"):
                yield f"{path.relative_to(REPOSITORY)}:{node.lineno}", node


def test_every_hole_in_a_text_is_filled_and_nothing_else_is_given():
    wrong, looked_at = [], 0
    for place, call in calls_for_words():
        texts = [one.value for one in call.args if isinstance(one, ast.Constant)][:2]
        given = {str(one.arg) for one in call.keywords}
        wanted = set().union(*(holes(str(text)) for text in texts)) if given else set()
        if ast.unparse(call.func) == "counted":
            given.add("number")
            wanted.add("number")
        looked_at += bool(given)
        if given != wanted:
            wrong.append(f"{place}: {sorted(given ^ wanted)}")
    assert looked_at > 800
    assert not wrong, "\n".join(wrong)


def test_no_text_is_put_together_before_it_is_looked_up():
    built = [
        place
        for place, call in calls_for_words()
        if isinstance(call.args[0], ast.JoinedStr | ast.BinOp)
    ]
    assert not built, f"give the values by name, so that a translator sees the text: {built}"


def test_nothing_is_compared_with_a_text_in_the_language_of_the_reader():
    compared = [
        f"{path.relative_to(REPOSITORY)}:{node.lineno}"
        for path in sorted((REPOSITORY / "lib" / "potash").rglob("*.py"))
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Compare)
        for part in ast.walk(node)
        if isinstance(part, ast.Call) and ast.unparse(part.func) == "tr"
    ]
    assert not compared, f"compare the English word, and tell it where it is shown: {compared}"


def test_the_catalogue_of_words_is_up_to_date():
    from babel.messages.pofile import read_po

    from potash.words import gather

    def told(catalogue: Any) -> dict[Any, set[str]]:
        return {one.id: {file for file, _ in one.locations} for one in catalogue if one.id}

    with gather.CATALOGUE.open("rb") as file:
        kept = told(read_po(file))
    assert kept == told(gather.gathered()), "run: python -m potash.words.gather"
