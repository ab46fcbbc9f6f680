"""Worked examples of measurement uncertainty, reproduced to their printed digits."""

import pytest

from potash.yields import standardise
from potash.yields.budget import Measured, result

# EURACHEM/CITAC Guide CG 4, Quantifying Uncertainty in Analytical Measurement, example A2, Tables
# A2.1 and A2.3: standardising sodium hydroxide with potassium hydrogen phthalate.
A2 = {
    "mass": ("0.3888 g", "0.00013 g"),
    "purity": (1.0, 0.00029),
    "molar_mass": ("204.2212 g/mol", "0.0038 g/mol"),
    "titre": ("18.64 mL", "0.013 mL"),
    "repeatability": 0.0005,
}


def test_example_a2_gives_the_printed_concentration_and_uncertainty():
    found = standardise(**A2)
    assert f"{found.value:.5f}" == "0.10214"
    assert f"{found.uncertainty:.5f}" == "0.00010"
    assert f"{found.uncertainty / found.value:.5f}" == "0.00097"


def test_example_a2_finds_the_titre_to_matter_most_and_the_molar_mass_least():
    # Figure A2.3 of the same example.
    names = [one.name for one in standardise(**A2).budget]
    assert names[0] == "titre" and names[1] == "repeatability"
    assert names[-1] == "molar mass of standard"


def test_example_a3_gives_the_printed_concentration():
    # Example A3: c(HCl) = 1000 m P V_T2 / (V_T1 M V_HCl). Printed are 0.10139 mol/L and a relative
    # standard uncertainty of 0.0016 in the web edition and 0.0018 in the third; the table's own
    # inputs combine to 0.00187, so the two figures bracket what rounding of the inputs does.
    inputs = (
        Measured("mass", 0.3888, 0.00013, "g"),
        Measured("purity", 1.0, 0.00029, ""),
        Measured("titre 2", 14.89, 0.015, "mL"),
        Measured("titre 1", 18.64, 0.016, "mL"),
        Measured("molar mass", 204.2212, 0.0038, "g/mol"),
        Measured("aliquot", 15.0, 0.011, "mL"),
        Measured("repeatability", 1.0, 0.001, ""),
    )
    m, P, V2, V1, M, V, f = (one.variable for one in inputs)
    found = result("HCl", 1000 * m * P * V2 / (V1 * M * V) * f, "mol/L")
    assert f"{found.value:.5f}" == "0.10139"
    assert found.uncertainty / found.value == pytest.approx(0.0018, abs=0.0001)
