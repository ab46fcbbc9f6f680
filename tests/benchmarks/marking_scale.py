"""Mark a class of any size and say what it cost: `python tests/benchmarks/marking_scale.py 10000`.

Prints, in one run: reading and json.loads of the same files; marking with pages in one process and
in two; the same on a Dask cluster of two workers, if distributed is installed; whether all gave
the same bytes; the most memory that this process held.
"""

import hashlib
import json
import resource
import shutil
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from test_marking import TWENTY, lay_course

from potash.exercises.course import Course
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
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000


def run(course: Course, name: str, workers: Workers, reading: float, sheets: int) -> None:
    marks = course.path.parent.with_name("marks")
    returns = course.path.parent / "returns"
    clock, process = timed(lambda: mark_returns(course, returns, marks, workers=workers))
    print(
        f"{name}: {clock:.1f} s on the clock, {process:.1f} s of this process, "
        f"{process / reading:.1f} times reading, {1e6 * clock / sheets:.0f} us a sheet, "
        f"bytes {digest(marks)}, peak {peak():.0f} MB",
        flush=True,
    )
    shutil.rmtree(marks)


def main() -> None:
    sheets = int(sys.argv[1])
    ways = sys.argv[2:] or ["one", "two", "dask"]
    with tempfile.TemporaryDirectory() as folder:
        course = lay_course(Path(folder) / "course", sheets, TWENTY)
        returns = course.path.parent / "returns"
        reading = min(timed(lambda: read_only(returns))[1] for _ in range(3))
        print(f"{sheets} sheets, reading {reading:.2f} s, peak {peak():.0f} MB", flush=True)
        if "one" in ways:
            run(course, "one process", ThisProcess(), reading, sheets)
        if "two" in ways:
            run(course, "two processes", Processes(2), reading, sheets)
        if "dask" in ways:
            from distributed import LocalCluster

            with LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster:
                run(course, "two Dask workers", Cluster(cluster.scheduler_address), reading, sheets)


if __name__ == "__main__":
    main()
