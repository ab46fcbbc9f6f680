"""Species and reactions against measurements that the JANAF tables do not rest on alone.

Vapour pressures, melting and boiling points, decomposition temperatures, heats of solution and of
the metals with water.
"""

import math
from functools import cache
from importlib import resources

import pandas
import pytest

import potash
from potash.properties import GAS_CONSTANT, species

BAR, ATMOSPHERE = 1e5, 101_325.0  # Pa

CAS = {
    "Li": "7439-93-2", "Na": "7440-23-5", "K": "7440-09-7", "Rb": "7440-17-7", "Cs": "7440-46-2",
    "Mg": "7439-95-4", "Ca": "7440-70-2", "Al": "7429-90-5", "Si": "7440-21-3", "Fe": "7439-89-6",
    "LiOH": "1310-65-2", "NaOH": "1310-73-2", "KOH": "1310-58-3", "CsOH": "21351-79-1",
    "LiCl": "7447-41-8", "NaCl": "7647-14-5", "KCl": "7447-40-7", "CsCl": "7647-17-8",
    "MgCl2": "7786-30-3", "CaCl2": "10043-52-4", "LiF": "7789-24-4", "NaF": "7681-49-4",
    "KF": "7789-23-3", "CsF": "13400-13-0", "MgF2": "7783-40-6", "CaF2": "7789-75-5",
    "Li2CO3": "554-13-2", "Na2CO3": "497-19-8", "K2CO3": "584-08-7", "Al2O3": "1344-28-1",
    "Li2O": "12057-24-8", "Na2O": "1313-59-3", "LiH": "7580-67-8",
}  # fmt: skip


@cache
def _chemicals(path, **options):
    return pandas.read_csv(str(resources.files("chemicals") / path), index_col="CAS", **options)


def _partial_pressure(vapour, condensed, atoms, T):
    """Pressure (Pa) of a vapour of so many atoms over the condensed metal at ``T`` (K)."""
    G = species(vapour).gibbs_energy_si(T) - atoms * species(condensed).gibbs_energy_si(T)
    return BAR * math.exp(-G / (GAS_CONSTANT * T))


def _vapour_pressure(metal, condensed, T):
    """Of the atoms and, for alkali metals, the molecules of two (Pa)."""
    total = _partial_pressure(f"{metal}(g)", condensed, 1, T)
    if metal in ("Li", "Na", "K", "Rb", "Cs"):
        total += _partial_pressure(f"{metal}2", condensed, 2, T)
    return total


# ------------------------------------------------------------------ vapour pressures


# Alcock, Itkin and Horrigan, Can. Metall. Q. 1984, 23, 309, as carried by ``chemicals``; they
# claim 5 %. ln(p/Pa) = A + B/T + C ln T + D T
@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
@pytest.mark.parametrize("metal", ["Li", "Na", "K", "Rb", "Cs"])
def test_vapour_pressures_of_the_molten_metals_match_alcock(metal, share, ledger):
    row = _chemicals("Vapor Pressure/Alcock_Itkin_Horrigan_metalic_elements.tsv", sep="\t").loc[
        CAS[metal]
    ]
    T = row["Tmin"] + 0.5 + share * (row["Tmax"] - row["Tmin"] - 0.5)
    expected = math.exp(row["A"] + row["B"] / T + row["C"] * math.log(T) + row["D"] * T)
    found = _vapour_pressure(metal, metal, T)
    assert found == pytest.approx(expected, rel=0.055)
    ledger.record("Alcock 1984, vapour pressure, %", metal, 100 * (found / expected - 1), 5.5)


# The same paper's magnesium (crystal) is not carried by ``chemicals``; typed from memory:
# log10(p/atm) = 8.489 - 7813/T - 0.8253 log10 T
@pytest.mark.parametrize("T", [600.0, 700.0, 800.0, 900.0])
def test_vapour_pressure_of_solid_magnesium_matches_alcock(T):
    expected = ATMOSPHERE * 10 ** (8.489 - 7813 / T - 0.8253 * math.log10(T))
    assert _vapour_pressure("Mg", "Mg", T) == pytest.approx(expected, rel=0.055)


@pytest.mark.parametrize("T", [500.0, 800.0, 1000.0])
def test_vapour_pressure_of_solid_calcium_matches_alcock(T):
    path = "Vapor Pressure/Alcock_Itkin_Horrigan_metalic_elements_sublimation.tsv"
    row = _chemicals(path, sep="\t").loc[CAS["Ca"]]
    expected = math.exp(row["A"] + row["B"] / T + row["C"] * math.log(T) + row["D"] * T)
    assert _vapour_pressure("Ca", "Ca", T) == pytest.approx(expected, rel=0.06)


# ------------------------------------------------------------------ melting and boiling points

# JANAF and the CRC Handbook differ on these (K); Potash says so of Li2O and CsOH.
MELTING_TOLERANCE = {"Li2O": 135.0, "CsOH": 28.0, "Li2CO3": 13.0, "Na2CO3": 7.0}


# CRC Handbook, "Physical constants of inorganic compounds", as carried by ``chemicals``
@pytest.mark.parametrize("formula", CAS)
def test_melting_points_match_the_crc_handbook(formula, ledger):
    row = _chemicals("Misc/Physical Constants of Inorganic Compounds.csv", sep="\t").loc[
        CAS[formula]
    ]
    melting = next(t for t in species(formula).transitions if t.kind == "melting")
    difference = melting.temperature.m_as("K") - row["Tm"]
    tolerance = MELTING_TOLERANCE.get(formula, 4.0)
    assert abs(difference) < tolerance
    ledger.record("CRC, melting point, K", formula, difference, tolerance)


# The same table. A metal boils where atoms and molecules of two together reach 1 atm.
@pytest.mark.parametrize("metal", ["Li", "Na", "K", "Rb", "Cs", "Mg"])
def test_boiling_points_of_the_metals_match_the_crc_handbook(metal, ledger):
    row = _chemicals("Misc/Physical Constants of Inorganic Compounds.csv", sep="\t").loc[CAS[metal]]
    low, high = (T.m_as("K") for T in species(f"{metal}(l)").valid)
    while high - low > 0.01:
        middle = (low + high) / 2
        below = _vapour_pressure(metal, f"{metal}(l)", middle) < ATMOSPHERE
        low, high = (middle, high) if below else (low, middle)
    assert low == pytest.approx(row["Tb"], abs=6.0)
    ledger.record("CRC, boiling point, K", metal, low - row["Tb"], 6.0)


# CRC Handbook, "Enthalpy of fusion", as carried by ``chemicals``, J/mol; KOH differs by 0.7 kJ/mol.
@pytest.mark.parametrize(
    ("formula", "tolerance"),
    [("Na", 0.03), ("K", 0.03), ("NaOH", 0.05), ("KOH", 0.75), ("NaCl", 0.1), ("KCl", 0.1)],
)
def test_enthalpies_of_fusion_match_the_crc_handbook(formula, tolerance):
    row = _chemicals("Phase Change/CRC Handbook Heat of Fusion.tsv", sep="\t").loc[CAS[formula]]
    melting = next(t for t in species(formula).transitions if t.kind == "melting")
    assert melting.enthalpy.m_as("kJ/mol") == pytest.approx(row["Hfus"] / 1e3, abs=tolerance)


# ------------------------------------------------------------------ decomposition at 1 bar


# Typed from memory. CaCO3: Smyth and Adams, J. Am. Chem. Soc. 1923, 45, 1167, 1 atm at 896 °C.
# Ca(OH)2: Halstead and Moore, J. Chem. Soc. 1957, 3873, 1 atm at 512 °C. Mg(OH)2: Kennedy, Am. J.
# Sci. 1956, 254, 567, extrapolated, about 268 °C. MgH2: Stampfer, Holley and Suttle, J. Am. Chem.
# Soc. 1960, 82, 3504, 1 atm at 287 °C. NaH: common handbook value, 1 atm near 420 °C.
@pytest.mark.parametrize(
    ("equation", "expected", "tolerance"),
    [
        ("CaCO3 -> CaO + CO2", 896 + 273.15, 15.0),
        ("Ca(OH)2 -> CaO + H2O", 512 + 273.15, 15.0),
        ("Mg(OH)2 -> MgO + H2O", 268 + 273.15, 20.0),
        ("MgH2 -> Mg + H2", 287 + 273.15, 10.0),
        ("NaH -> Na + H2", 420 + 273.15, 15.0),
    ],
)
def test_decomposition_temperatures_match_measurements(equation, expected, tolerance, ledger):
    (crossing,) = potash.balance(equation).crossing_temperatures
    difference = crossing.m_as("K") - expected
    assert abs(difference) < tolerance
    ledger.record("measured, decomposition at 1 bar, K", equation, difference, tolerance)


# ------------------------------------------------------------------ calorimetry

# Parker, Thermal Properties of Aqueous Uni-univalent Electrolytes, NSRDS-NBS 2 (1965), kJ/mol at
# infinite dilution and 25 °C; as in the CRC Handbook, "Enthalpy of solution of electrolytes". Typed
# from memory.
HEATS_OF_SOLUTION = {
    "LiOH": -23.56, "NaOH": -44.51, "KOH": -57.61, "RbOH": -62.34, "CsOH": -71.55,
    "LiCl": -37.03, "NaCl": 3.88, "KCl": 17.22, "RbCl": 17.28, "CsCl": 17.78,
}  # fmt: skip


@pytest.mark.parametrize("formula", HEATS_OF_SOLUTION)
def test_heats_of_solution_match_calorimetry(formula, ledger):
    anion = "OH" if formula.endswith("OH") else "Cl"
    cation = formula.removesuffix(anion)
    dissolution = potash.balance(f"{formula}(s) -> {cation}+(aq) + {anion}-(aq)")
    difference = dissolution.enthalpy("25 °C").m_as("kJ/mol") - HEATS_OF_SOLUTION[formula]
    assert abs(difference) < 0.6  # the CRC ion values carry one decimal each
    ledger.record("calorimetry, heat of solution, kJ/mol", formula, difference, 0.6)


# Gunn and Green, J. Am. Chem. Soc. 1958, 80, 4782, and Gunn, J. Phys. Chem. 1967, 71, 1386: heat of
# M + H2O(l) -> M+ + OH- + 1/2 H2 at 25 °C, kJ/mol. Typed from memory.
@pytest.mark.parametrize(
    ("metal", "expected"),
    [("Li", -222.2), ("Na", -184.2), ("K", -196.5), ("Rb", -195.7), ("Cs", -203.0)],
)
def test_heats_of_the_metals_with_water_match_calorimetry(metal, expected, ledger):
    reaction = potash.balance(f"{metal} + H2O(l) -> {metal}+ + OH- + H2")
    assert reaction.coefficients[metal] == -2
    difference = reaction.enthalpy("25 °C").m_as("kJ/mol") / 2 - expected
    assert abs(difference) < 1.0
    ledger.record("calorimetry, metal with water, kJ/mol", metal, difference, 1.0)


# NBS Tables of Chemical Thermodynamic Properties (Wagman et al., J. Phys. Chem. Ref. Data 1982, 11,
# suppl. 2): H2O(l) -> H2O(g), 44.01 kJ/mol at 25 °C; from memory.
def test_the_heat_of_vaporisation_of_water_matches_the_nbs_tables():
    evaporation = potash.balance("H2O(l) -> H2O(g)")
    assert evaporation.enthalpy("25 °C").m_as("kJ/mol") == pytest.approx(44.01, abs=0.02)
