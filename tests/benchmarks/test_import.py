"""What importing costs, beside making a bare unit registry with Pint in the same interpreter.

A registry of our own is most of what `potash.units` has to make; the rest may add half of that.
"""

import json
import subprocess
import sys

import pytest

_MOST = 1.5  # times a bare registry
_ROUNDS = 5
_HEAVY = ("pandas", "scipy", "thermo", "chemicals", "matplotlib", "IPython", "ipywidgets")
_PROGRAM = """
import json, sys, time

def seconds(statement):
    start = time.process_time()
    exec(statement, {{}})
    return time.process_time() - start

import numpy, pint
before = set(sys.modules)
bare = seconds("import pint; pint.UnitRegistry().kelvin")
ours = seconds({statement!r})
print(json.dumps([ours, bare, sorted((set(sys.modules) - before) & set({heavy}))]))
"""


def _cost(statement):
    """Processor seconds of the statement and of a bare registry, and what the statement loads."""
    program = _PROGRAM.format(statement=statement, heavy=_HEAVY)
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    return json.loads(done.stdout)


@pytest.mark.parametrize(
    "statement",
    [
        "import potash",
        "import potash.units, potash.formulas, potash.equations",
        "import potash; potash.quantity('5 g'); potash.molar_mass('KOH')",
    ],
)
def test_importing_costs_little_more_than_a_unit_registry_and_loads_nothing_heavy(statement):
    ours, bare, loaded = zip(*(_cost(statement) for _ in range(_ROUNDS)), strict=True)
    print(f"\n{statement}: {min(ours):.3f} s, a bare registry {min(bare):.3f} s")
    assert loaded == ([],) * _ROUNDS
    assert min(ours) < _MOST * min(bare)
