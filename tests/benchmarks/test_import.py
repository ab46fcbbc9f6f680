"""What importing costs, beside an interpreter that has pint and numpy already."""

import json
import subprocess
import sys

import pytest

_ALLOWED = 0.35  # seconds, as promised for a student's kernel
_HEAVY = ("pandas", "scipy", "thermo", "chemicals", "matplotlib", "IPython", "ipywidgets")
_PROGRAM = """
import json, sys, time
import numpy, pint
before = set(sys.modules)
start = time.process_time()
{statement}
seconds = time.process_time() - start
print(json.dumps([seconds, sorted((set(sys.modules) - before) & set({heavy}))]))
"""


def _cost(statement):
    """Processor seconds of the statement, the least of several interpreters, and what it loads."""
    program = _PROGRAM.format(statement=statement, heavy=_HEAVY)
    runs = [
        json.loads(
            subprocess.run(
                [sys.executable, "-c", program], capture_output=True, text=True, check=True
            ).stdout
        )
        for _ in range(5)
    ]
    return min(seconds for seconds, _ in runs), runs[0][1]


@pytest.mark.parametrize(
    "statement",
    [
        "import potash",
        "import potash.units, potash.formulas, potash.equations",
        "import potash; potash.quantity('5 g'); potash.molar_mass('KOH')",
    ],
)
def test_importing_is_cheap_and_loads_nothing_heavy(statement):
    seconds, heavy = _cost(statement)
    print(f"\n{statement}: {seconds:.3f} s")
    assert heavy == []
    assert seconds < _ALLOWED
