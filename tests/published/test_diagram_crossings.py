"""Crossings of formation lines against printed formation values and against textbooks.

Formation Gibbs energies, kJ/mol: Chase, NIST-JANAF Thermochemical Tables, 4th ed. (1998), the files
that the package ``janaf`` holds. Between their rows, 100 K apart, the gap is taken as straight.
"""

import janaf
import polars
import pytest

from potash import diagrams

# compound: its table, and moles of it that one mole of the gas makes
TABLES = {
    "CO": ("C-093", 2.0),
    "CO2": ("C-095", 1.0),
    "MgO": ("Mg-010", 2.0),
    "Al2O3": ("Al-101", 2 / 3),
    "Na2O": ("Na-014", 2.0),
    "NaCl": ("Cl-055", 2.0),
    "CaCl2": ("Ca-011", 1.0),
}


def formation(compound):
    """Temperatures and formation Gibbs energies per mole of gas, from the printed table."""
    number, moles = TABLES[compound]
    printed = polars.col("Note").is_null() & polars.col("delta-f G").is_not_null()
    rows = janaf.Table(number).df.filter(printed)
    return {T: moles * G for T, G in zip(rows["T(K)"], rows["delta-f G"], strict=True)}


def crossing_in_tables(first, second, low, high):
    """Where the straight lines between the printed values cross, K."""
    one, other = formation(first), formation(second)
    shared = sorted(T for T in one if T in other and low <= T <= high)
    gaps = [one[T] - other[T] for T in shared]
    for i in range(len(shared) - 1):
        if gaps[i] * gaps[i + 1] < 0:
            part = gaps[i] / (gaps[i] - gaps[i + 1])
            return shared[i] + part * (shared[i + 1] - shared[i])
    raise AssertionError(f"{first} and {second} do not cross in the tables")


def crossing(family, first, second):
    found = [
        one.temperature.m_as("K")
        for one in diagrams.crossings(family, 300, 2400)
        if {one.lower_below.compound, one.lower_above.compound} == {first, second}
    ]
    assert len(found) == 1
    return found[0]


@pytest.mark.parametrize(
    "family, first, second",
    [
        ("oxides", "CO", "CO2"),
        ("oxides", "MgO", "CO"),
        ("oxides", "MgO", "Al2O3"),
        ("oxides", "Na2O", "CO"),
        ("chlorides", "NaCl", "CaCl2"),
    ],
)
def test_crossings_match_those_of_the_printed_formation_values(family, first, second, ledger):
    expected = crossing_in_tables(first, second, 500, 2400)
    difference = crossing(family, first, second) - expected
    # The chord between rows 100 K apart misses a gap that bends by at most 0.1 kJ: some kelvin
    # where two lines run alongside each other, less than one where they meet sharply.
    tolerance = 4.0 if family == "chlorides" else 1.5
    assert abs(difference) < tolerance
    ledger.record("JANAF, crossings of lines, K", f"{first}, {second}", difference, tolerance)


# Gaskell, Introduction to the Thermodynamics of Materials, from memory: C + CO2 = 2 CO turns at
# about 705 °C; carbothermic magnesium at 1 bar begins at about 1850 °C.
@pytest.mark.parametrize(
    "first, second, celsius, tolerance", [("CO", "CO2", 705, 10), ("MgO", "CO", 1850, 20)]
)
def test_crossings_lie_where_textbooks_have_them(first, second, celsius, tolerance):
    assert crossing("oxides", first, second) - 273.15 == pytest.approx(celsius, abs=tolerance)


def test_metals_stand_in_the_order_of_the_textbook_diagram():
    # Ellingham diagram of the oxides at 1000 K, from below (from memory): Ca, Mg, Al, Si, Na, H2
    order = ["CaO", "MgO", "Al2O3", "SiO2", "Na2O", "H2O"]
    values = [float(diagrams.line("oxides", one).gibbs_energy_si(1000.0)) for one in order]
    assert values == sorted(values)
