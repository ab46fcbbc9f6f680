"""Liquids against the reference equations of state in CoolProp, read from a frozen file.

The file is written apart, by reference/freeze_coolprop.py in an environment of its own: the mere
presence of that package in the environment of the workbook would change what thermo answers. A
frozen file also lets the tests run without network. Where a record is itself a fit to such an
equation (method HEOS_FIT, REFPROP_FIT), agreement proves only that it was copied without error; the
second test holds the other data sets, which are independent, against the same numbers.
"""

import csv
import importlib.util
from pathlib import Path

import pytest

from potash.properties.liquids import liquid
from potash.properties.published import KINDS

FROZEN = Path(__file__).parent / "reference" / "coolprop-8.0.0.csv"

# Relative tolerances; viscosity and surface tension of the reference correlations are known to
# some per cent only.
TOLERANCE = {"density": 0.02, "vapour_pressure": 0.05, "viscosity": 0.05, "surface_tension": 0.05}


def _rows() -> list[tuple[str, float, str, float]]:
    with FROZEN.open(encoding="utf-8") as file:
        return [
            (row["cas"], float(row["temperature/K"]), row["property"], float(row["value"]))
            for row in csv.DictReader(file)
        ]


ROWS = _rows()


# Where the table has no value, it says so itself; what it has is compared.
COMPARED = [
    row for row in ROWS if (record := liquid(row[0]).records.get(row[2])) and record.covers(row[1])
]


@pytest.mark.parametrize(("cas", "T", "name", "expected"), COMPARED)
def test_a_record_agrees_with_the_reference_equation(cas, T, name, expected) -> None:
    found = liquid(cas).record(name).value_at(T)
    assert found == pytest.approx(expected, rel=TOLERANCE[name])


def test_every_density_and_vapour_pressure_is_compared() -> None:
    wanted = [row for row in ROWS if row[2] in ("density", "vapour_pressure")]
    compared = [row for row in COMPARED if row[2] in ("density", "vapour_pressure")]
    # Densities end short of the critical point, and nothing else is left out.
    assert len(compared) >= 0.95 * len(wanted)
    assert len({row[0] for row in compared}) >= 15
    assert {row[2] for row in COMPARED} == set(TOLERANCE)


def test_the_handbook_fits_agree_with_the_reference_equations() -> None:
    import chemicals
    import thermo

    held = 0
    for cas, T, name, expected in ROWS:
        if name not in ("density", "vapour_pressure"):
            continue
        tool = getattr(thermo, KINDS[name].tool)(CASRN=cas)
        low, high = tool.T_limits.get("DIPPR_PERRY_8E", (0.0, 0.0))
        if low <= T <= 0.93 * high:
            value = tool.calculate(T, "DIPPR_PERRY_8E")
            found = chemicals.MW(cas) / 1000 / value if name == "density" else value
            assert found == pytest.approx(expected, rel=TOLERANCE[name]), (cas, T, name)
            held += 1
    assert held > 100


def test_that_package_is_not_in_the_environment_of_the_workbook() -> None:
    assert importlib.util.find_spec("CoolProp") is None
    root = Path(__file__).parents[2]
    declared = (root / "pyproject.toml").read_text("utf-8") + (root / "binder/lock.txt").read_text(
        "utf-8"
    )
    assert "coolprop" not in declared.lower()
