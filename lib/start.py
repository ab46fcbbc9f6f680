"""Set everything up in a virtual environment of its own, then open the workbook or run the tests.

    python3 lib/start.py open     the workbook in JupyterLab, on the default preparation
    python3 lib/start.py test     every test; further words go to pytest

Needs only Python 3.11 or newer with its standard library. What follows `open` or `test` is handed
on, for example `python3 lib/start.py open my-course --no-browser`.
"""

import hashlib
import os
import subprocess
import sys
import venv
from pathlib import Path

REPOSITORY = Path(__file__).resolve().parent.parent
ENVIRONMENT = REPOSITORY / ".venv"
PROGRAMS = ENVIRONMENT / ("Scripts" if os.name == "nt" else "bin")
LOCK = REPOSITORY / "binder" / "lock.txt"
JOBS = ("open", "test")
# These measure, and want the machine for themselves; all other tests run two files at a time.
MEASURING = ("tests/browser/test_latency.py", "tests/benchmarks")
OLDEST_PYTHON = (3, 11)


def main(words: list[str]) -> int:
    if sys.version_info < OLDEST_PYTHON:
        print(f"Potash needs Python 3.11 or newer; this is Python {sys.version.split()[0]}.")
        return 2
    if not words or words[0] not in JOBS:
        print(__doc__)
        return 0 if not words or words[0] in {"-h", "--help"} else 2
    job, *rest = words
    python = str(environment_for(job))
    return open_workbook(python, rest) if job == "open" else run_tests(python, rest)


def open_workbook(python: str, words: list[str]) -> int:
    return subprocess.call([python, "-m", "potash.cli", "open", *words])


def run_tests(python: str, words: list[str]) -> int:
    """Every test; or with words for pytest, what they say."""
    pytest = [python, "-m", "pytest"]
    if words:
        return subprocess.call([*pytest, *words], cwd=REPOSITORY)
    two_at_a_time = ["--numprocesses=2", "--dist=loadfile", "--no-loadscope-reorder"]
    others = [f"--ignore={place}" for place in MEASURING]
    first = subprocess.call([*pytest, *two_at_a_time, *others], cwd=REPOSITORY)
    return subprocess.call([*pytest, *MEASURING], cwd=REPOSITORY) or first


def environment_for(job: str) -> Path:
    """The Python of the environment, installed first unless it already is as the files say."""
    python = PROGRAMS / ("python.exe" if os.name == "nt" else "python")
    stamp = ENVIRONMENT / f"potash-{job}.stamp"
    wanted = _fingerprint(job)
    if not python.exists() or not stamp.exists() or stamp.read_text() != wanted:
        print(f"Setting up in {ENVIRONMENT} (some minutes the first time) ...", flush=True)
        _install(python, job)
        stamp.write_text(wanted)
    return python


def _fingerprint(job: str) -> str:
    files = [REPOSITORY / "pyproject.toml", LOCK]
    content = b"\0".join(path.read_bytes() for path in files)
    return hashlib.sha256(content + job.encode() + sys.version.encode()).hexdigest()


def _install(python: Path, job: str) -> None:
    if not _has_pip(python):
        venv.create(ENVIRONMENT, with_pip=True, clear=True)
    package = f"{REPOSITORY}[test]" if job == "test" else str(REPOSITORY)
    pip = [str(python), "-m", "pip", "--disable-pip-version-check", "install", "--quiet"]
    subprocess.check_call([*pip, "--constraint", str(LOCK), "--editable", package])


def _has_pip(python: Path) -> bool:
    ask = [str(python), "-m", "pip", "--version"]
    return python.exists() and subprocess.run(ask, capture_output=True).returncode == 0


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except subprocess.CalledProcessError as failure:
        print("The set-up did not finish; what it said stands above. Mend that and run it again.")
        print("(No 'ensurepip' on Debian or Ubuntu? The package python3-venv brings it.)")
        sys.exit(failure.returncode)
    except KeyboardInterrupt:
        sys.exit(130)
