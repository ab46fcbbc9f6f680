"""Mark a class of any size and say what it cost: `python tests/benchmarks/marking_scale.py 10000`.

Prints, in one run: reading and json.loads of the same files; marking with pages in one process and
in two; the same on a Dask cluster of two workers, if distributed is installed; whether all gave
the same bytes; the most memory that each marking process held.
"""

import contextlib
import hashlib
import json
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Mapping
from pathlib import Path

from test_marking import TWENTY, lay_course

from potash.exercises import course as courses
from potash.exercises.marks import mark_returns
from potash.exercises.workers import Cluster, Processes, ThisProcess, Workers


def timed(work: Callable[[], object]) -> tuple[float, float]:
    """Seconds on the clock, and seconds of this process."""
    clock, process = time.perf_counter(), time.process_time()
    work()
    return time.perf_counter() - clock, time.process_time() - process


def read_only(returns: Path) -> None:
    for path in sorted(returns.iterdir()):
        json.loads(path.read_bytes())


def digest(folder: Path) -> str:
    whole = hashlib.sha256()
    for path in sorted(folder.rglob("*")):
        if path.is_file():
            whole.update(str(path.relative_to(folder)).encode() + path.read_bytes())
    return whole.hexdigest()[:16]


def peak() -> float:
    """The most memory that this process held, in MB; Linux only.

    What getrusage says of a process begins with what the process that started it held.
    """
    status = Path("/proc/self/status").read_text("ascii")
    return int(status.partition("VmHWM:")[2].split()[0]) / 1000


def mark(folder: Path, way: str, reading: float) -> None:
    """Mark one way, in this fresh process, so that its memory is that of marking alone."""
    course = courses.load(folder / "course.toml")
    marks = folder.with_name(f"marks-{way}")
    returns = folder / "returns"
    with contextlib.ExitStack() as running:
        workers = WAYS[way](running)
        clock, process = timed(lambda: mark_returns(course, returns, marks, workers=workers))
        held = peak()
    sheets = len(course.students())
    print(
        f"{way}: {clock:.1f} s on the clock, {process:.1f} s of this process, "
        f"{process / reading:.1f} times reading, {1e6 * clock / sheets:.0f} us a sheet, "
        f"bytes {digest(marks)}, peak {held:.0f} MB",
        flush=True,
    )
    shutil.rmtree(marks)


def on_dask(running: contextlib.ExitStack) -> Workers:
    from distributed import LocalCluster

    cluster = LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None)
    return Cluster(running.enter_context(cluster).scheduler_address)


WAYS: Mapping[str, Callable[[contextlib.ExitStack], Workers]] = {
    "one": lambda running: ThisProcess(),
    "two": lambda running: Processes(2),
    "dask": on_dask,
}


def main() -> None:
    sheets = int(sys.argv[1])
    ways = sys.argv[2:] or list(WAYS)
    with tempfile.TemporaryDirectory() as folder:
        course = lay_course(Path(folder) / "course", sheets, TWENTY)
        returns = course.path.parent / "returns"
        reading = min(timed(lambda: read_only(returns))[1] for _ in range(3))
        print(f"{sheets} sheets, reading {reading:.2f} s", flush=True)
        for way in ways:
            command = [sys.executable, __file__, "--mark", str(course.path.parent), way]
            subprocess.run([*command, str(reading)], check=True)


if __name__ == "__main__":
    if sys.argv[1] == "--mark":
        mark(Path(sys.argv[2]), sys.argv[3], float(sys.argv[4]))
    else:
        main()
