"""Fuzzing that follows the code it reaches: `python tests/fuzz/coverage_guided.py quantity 100000`.

Needs the package atheris, which the tests do not. Stops at the first input that makes a reader
fail, and prints it; says how many inputs were tried.
"""

import sys
import tempfile
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["potash"]):
    from targets import READERS, SEEDS, feed


def main() -> None:
    name, runs = sys.argv[1], int(sys.argv[2])
    reader = READERS[name]
    counts = {"tried": 0, "taken": 0}

    def one(data: bytes) -> None:
        counts["tried"] += 1
        counts["taken"] += feed(reader, data)
        if counts["tried"] == runs:
            print(
                f"{name}: {counts['tried']} inputs, {counts['taken']} taken, no failure", flush=True
            )

    with tempfile.TemporaryDirectory() as corpus:
        for number, seed in enumerate(SEEDS[name]):
            (Path(corpus) / str(number)).write_bytes(seed)
        limits = ["-timeout=10", "-rss_limit_mb=2048", "-max_len=4096"]
        atheris.Setup([sys.argv[0], corpus, f"-runs={runs}", *limits], one)
        atheris.Fuzz()


if __name__ == "__main__":
    main()
