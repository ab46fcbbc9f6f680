"""Species and reactions against the NIST-JANAF tables, NASA polynomials and CRC values.

The JANAF tables and the NASA polynomials go back to the same evaluations as our data, so they prove
that these were copied and are interpolated without error; the CRC values are partly independent.
Checks that are not related at all stand in test_thermochemistry_measured.py.
"""

import re
from functools import cache
from importlib import resources

import cantera
import janaf
import pandas
import polars
import pytest

import potash
from potash.formulas import parse
from potash.properties import OutOfRange, records, species, species_names
from potash.properties.freeze_janaf import DATA, freeze

TEMPERATURES = (300.0, 400.0, 500.0, 700.0, 1000.0, 1200.0)

JANAF_SPECIES = tuple(
    (formula, phase)
    for formula in species_names()
    for phase in species(formula).phases
    if any(s.origin == "janaf" for s in records.segments(formula))
)

# ------------------------------------------------------------------ the tables themselves


@cache
def _table(number):
    """A NIST-JANAF table as the package reads it, without its transition rows."""
    return janaf.Table(number).df.filter(polars.col("Note").is_null())


def _atoms_of_title(number):
    """The atoms that the title of a table lists: "H1K1O1(cr,l)"."""
    last = janaf.Table(number).raw.splitlines()[0].split("\t")[1]
    return {e: int(n or 1) for e, n in re.findall(r"([A-Z][a-z]?)(\d*)", last.split("(")[0])}


def test_the_frozen_files_are_what_freezing_gives_today(tmp_path):
    freeze(tmp_path)
    for name in ("segments.csv", "nodes.csv", "room_temperature.csv"):
        assert (tmp_path / name).read_bytes() == (DATA / name).read_bytes()


@pytest.mark.parametrize(("formula", "phase"), JANAF_SPECIES)
def test_each_species_comes_from_a_table_of_its_own_atoms_and_phase(formula, phase):
    for segment in records.segments(formula):
        assert _atoms_of_title(segment.table) == dict(parse(formula).elements)
        title = janaf.Table(segment.table).raw.splitlines()[0]
        phases = re.search(r"\(([a-z,]+)\)\s*$", title)[1].replace("ref", "cr,l,g").split(",")
        assert segment.phase in phases


# NIST-JANAF Thermochemical Tables, 4th ed. (Chase 1998), columns H-H(Tr), S, -[G-H(Tr)]/T
@pytest.mark.parametrize(("formula", "phase"), JANAF_SPECIES)
def test_functions_of_temperature_match_janaf(formula, phase, ledger):
    compared = 0
    for segment in (s for s in records.segments(formula) if s.phase == phase):
        record = species(f"{formula}({phase})")
        table = _table(segment.table)
        formation = table.filter(polars.col("T(K)") == 298.15)["delta-f H"][0]
        for row in table.filter(polars.col("T(K)").is_in(TEMPERATURES)).iter_rows(named=True):
            T = row["T(K)"]
            if not segment.low <= T < segment.high:
                continue
            compared += 1
            increment = record.enthalpy_si(T) / 1e3 - formation
            phi = (1e3 * formation - record.gibbs_energy_si(T)) / T
            assert increment == pytest.approx(row["H-H(Tr)"], abs=0.002)  # kJ/mol
            assert record.entropy_si(T) == pytest.approx(row["S"], abs=0.01)  # J/(mol K)
            assert phi == pytest.approx(row["-[G-H(Tr)]/T"], abs=0.002)  # J/(mol K)
            assert record.heat_capacity_si(T) == pytest.approx(row["Cp"], abs=0.002)
            name = f"{formula}({phase})"
            ledger.record("JANAF, S, J/(mol K)", name, record.entropy_si(T) - row["S"], 0.01)
    segments = [s for s in records.segments(formula) if s.phase == phase]
    reachable = [T for T in TEMPERATURES if any(s.low <= T < s.high for s in segments)]
    assert compared == len(reachable)


# ------------------------------------------------------------------ reactions

HYDROXIDE_TABLES = {
    "Li": ("H-020", "Li-001"),
    "Na": ("H-035", "Na-001"),
    "K": ("H-011", "K-001"),
    "Cs": ("Cs-014", "Cs-001"),
}
REACTIONS = [
    *(
        pytest.param(
            f"2 {metal}OH + 2 Mg -> 2 {metal} + 2 MgO + H2",
            {hydroxide: -2, "Mg-010": 2},
            id=f"{metal}OH with Mg",
        )
        for metal, (hydroxide, _) in HYDROXIDE_TABLES.items()
    ),
    pytest.param("KCl + Na -> NaCl + K", {"Cl-038": -1, "Cl-055": 1}, id="KCl with Na"),
    pytest.param("2 CsCl + Ca -> 2 Cs + CaCl2", {"Cl-007": -2, "Ca-011": 1}, id="CsCl with Ca"),
    pytest.param("2 LiCl + Mg -> 2 Li + MgCl2", {"Cl-043": -2, "Cl-095": 1}, id="LiCl with Mg"),
    pytest.param("2 KF + Ca -> 2 K + CaF2", {"F-019": -2, "Ca-016": 1}, id="KF with Ca"),
    pytest.param("Na2CO3 + 2 C -> 2 Na + 3 CO", {"C-092": -1, "C-093": 3}, id="Na2CO3 with carbon"),
    pytest.param("3 Li2O + 2 Al -> 6 Li + Al2O3", {"Li-016": -3, "Al-101": 1}, id="Li2O with Al"),
]


# NIST-JANAF, 4th ed.: sums of the tables' own formation values; elements contribute nothing.
@pytest.mark.parametrize("T", [298.15, 500.0, 800.0, 1000.0, 1200.0])
@pytest.mark.parametrize(("equation", "formation"), REACTIONS)
def test_reaction_energies_match_the_formation_values_of_janaf(equation, formation, T, ledger):
    expected = {"delta-f G": 0.0, "delta-f H": 0.0}
    for number, coefficient in formation.items():
        row = _table(number).filter(polars.col("T(K)") == T)
        for column in expected:
            expected[column] += coefficient * row[column][0]
    reaction = potash.balance(equation)
    found = reaction.gibbs_energy(f"{T} K").m_as("kJ/mol")
    # Formation values are sums of rounded columns; half a kilojoule would already not matter.
    assert found == pytest.approx(expected["delta-f G"], abs=0.05)
    assert reaction.enthalpy(f"{T} K").m_as("kJ/mol") == pytest.approx(
        expected["delta-f H"], abs=0.05
    )
    ledger.record(
        "JANAF, reaction Gibbs energy, kJ/mol", equation, found - expected["delta-f G"], 0.05
    )


# ------------------------------------------------------------------ NASA polynomials

# McBride, Gordon and Reno, NASA TM-4513 (1993), as carried by Cantera. 0.5 kJ/mol, except where
# the report rests on another evaluation than JANAF 1998:
NASA_TOLERANCE = {
    "NaOH": 2.0,  # one solid stands for two
    "Ca": 1.5,  # heat capacities differ by 1 J/(mol K)
    "Fe3O4": 1.0,  # JANAF enthalpy of formation revised
    "H2O2": 1.0,  # JANAF enthalpy of formation revised
}


@cache
def _nasa(file):
    found = {}
    for entry in cantera.Species.list_from_file(file):
        if entry.charge == 0:
            key = frozenset((e, int(n)) for e, n in entry.composition.items())
            found.setdefault(key, []).append(entry.thermo)
    return found


def _nasa_candidates(formula, gas):
    file = "nasa_gas.yaml" if gas else "nasa_condensed.yaml"
    return _nasa(file).get(frozenset(parse(formula).elements.items()), [])


NASA_SPECIES = tuple(
    (formula, gas)
    for formula, phase in dict.fromkeys((f, p if p == "g" else "cr") for f, p in JANAF_SPECIES)
    for gas in [phase == "g"]
    if _nasa_candidates(formula, gas)
)


@pytest.mark.parametrize(("formula", "gas"), NASA_SPECIES)
def test_gibbs_energies_match_the_nasa_polynomials(formula, gas, ledger):
    record = species(f"{formula}(g)" if gas else formula)
    tolerance = NASA_TOLERANCE.get(formula, 0.5)
    compared = 0
    for T in TEMPERATURES:
        fits = [t for t in _nasa_candidates(formula, gas) if t.min_temp <= T <= t.max_temp]
        try:
            vapour = record.segment_at(T).phase == "g"
        except OutOfRange:
            continue
        if not fits or vapour != gas:
            continue
        compared += 1
        # Joules per kilomole in Cantera; the lowest of several condensed phases is the stable one.
        expected = min(t.h(T) - T * t.s(T) for t in fits) / 1e6
        found = record.gibbs_energy_si(T) / 1e3
        assert found == pytest.approx(expected, abs=tolerance)
        name = f"{formula}(g)" if gas else formula
        ledger.record("NASA TM-4513, Gibbs energy, kJ/mol", name, found - expected, tolerance)
    assert compared


# ------------------------------------------------------------------ CRC formation data

CAS = {
    "LiOH": "1310-65-2", "NaOH": "1310-73-2", "KOH": "1310-58-3", "CsOH": "21351-79-1",
    "Mg(OH)2": "1309-42-8", "Ca(OH)2": "1305-62-0", "Li2O": "12057-24-8", "Na2O": "1313-59-3",
    "K2O": "12136-45-7", "MgO": "1309-48-4", "CaO": "1305-78-8", "Al2O3": "1344-28-1",
    "SiO2": "14808-60-7", "FeO": "1345-25-1", "Fe2O3": "1309-37-1", "Fe3O4": "1317-61-9",
    "Li2O2": "12031-80-0", "Na2O2": "1313-60-6", "K2O2": "17014-71-0", "NaO2": "12034-12-7",
    "KO2": "12030-88-5", "LiH": "7580-67-8", "NaH": "7646-69-7", "KH": "7693-26-7",
    "MgH2": "7693-27-8", "LiCl": "7447-41-8", "NaCl": "7647-14-5", "KCl": "7447-40-7",
    "CsCl": "7647-17-8", "MgCl2": "7786-30-3", "CaCl2": "10043-52-4", "AlCl3": "7446-70-0",
    "FeCl2": "7758-94-3", "FeCl3": "7705-08-0", "LiF": "7789-24-4", "NaF": "7681-49-4",
    "KF": "7789-23-3", "CsF": "13400-13-0", "MgF2": "7783-40-6", "CaF2": "7789-75-5",
    "AlF3": "7784-18-1", "Li2CO3": "554-13-2", "Na2CO3": "497-19-8", "K2CO3": "584-08-7",
    "MgCO3": "546-93-0", "CaCO3": "471-34-1",
}  # fmt: skip

# JANAF takes -1111.7 kJ/mol for magnesite, the CRC Handbook -1095.8: the listed uncertainty of
# MgCO3 covers that.
CRC_TOLERANCE = {"MgCO3": 17.0}

REFERENCE_STATES = {"H": "H2", "O": "O2", "Cl": "Cl2", "F": "F2"}


@cache
def _crc():
    path = "Heat Capacity/CRC Standard Thermodynamic Properties of Chemical Substances.tsv"
    return pandas.read_csv(str(resources.files("chemicals") / path), sep="\t", index_col="CAS")


def _formation_gibbs_energy(formula):
    """From the elements at 298.15 K, kJ/mol."""
    total = species(formula).gibbs_energy_si(298.15)
    for element, number in parse(formula).elements.items():
        state = REFERENCE_STATES.get(element, element)
        atoms = 2 if element in REFERENCE_STATES else 1
        total -= number / atoms * species(state).gibbs_energy_si(298.15)
    return total / 1e3


# CRC Handbook of Chemistry and Physics, 95th ed., as carried by ``chemicals``
@pytest.mark.parametrize("formula", CAS)
def test_formation_values_lie_near_those_of_the_crc_handbook(formula, ledger):
    row = _crc().loc[CAS[formula]]
    tolerance = CRC_TOLERANCE.get(formula, 6.0)
    found = species(formula).enthalpy_si(298.15) / 1e3
    assert found == pytest.approx(row["Hfs"] / 1e3, abs=tolerance)
    ledger.record("CRC, formation enthalpy, kJ/mol", formula, found - row["Hfs"] / 1e3, tolerance)
    if row["Gfs"] == row["Gfs"]:
        assert _formation_gibbs_energy(formula) == pytest.approx(row["Gfs"] / 1e3, abs=tolerance)


@pytest.mark.parametrize("formula", CAS)
def test_the_uncertainty_that_is_shown_covers_the_difference_to_the_crc_handbook(formula):
    row = _crc().loc[CAS[formula]]
    record = species(formula)
    shown = record.uncertainty_si(298.15)
    assert abs(record.enthalpy_si(298.15) - row["Hfs"]) <= shown
    if row["Gfs"] == row["Gfs"]:
        # K2O2: the CRC entropy differs by 11 J/(mol K), which is the share of 298.15 K in G.
        assert abs(1e3 * _formation_gibbs_energy(formula) - row["Gfs"]) <= shown


# ------------------------------------------------------------------ the checks can fail


@pytest.mark.parametrize("formula", ["KOH", "MgO", "KCl"])
def test_a_heat_capacity_scaled_by_one_and_a_half_fails_the_checks(formula, monkeypatch, ledger):
    wrong = {
        name: [(T, 1.5 * Cp, S, phi, 1.5 * H) for T, Cp, S, phi, H in rows]
        for name, rows in records._node_rows().items()
    }
    _plant(monkeypatch, "_node_rows", wrong)
    with pytest.raises(AssertionError):
        test_functions_of_temperature_match_janaf(formula, "cr", ledger)


@pytest.mark.parametrize("formula", ["KOH", "MgO", "KCl"])
def test_a_formation_enthalpy_of_the_wrong_sign_fails_the_checks(formula, monkeypatch, ledger):
    wrong = {
        name: [
            {**row, "formation_enthalpy": str(-float(row["formation_enthalpy"]))} for row in rows
        ]
        for name, rows in records._segment_rows().items()
    }
    _plant(monkeypatch, "_segment_rows", wrong)
    with pytest.raises(AssertionError):
        test_functions_of_temperature_match_janaf(formula, "cr", ledger)
    with pytest.raises(AssertionError):
        test_gibbs_energies_match_the_nasa_polynomials(formula, False, ledger)
    with pytest.raises(AssertionError):
        test_formation_values_lie_near_those_of_the_crc_handbook(formula, ledger)


def _plant(monkeypatch, name, rows):
    """Put wrong rows in place of the data files, for one test."""
    from potash.properties import thermochemistry

    monkeypatch.setattr(records, name, lambda: rows)
    monkeypatch.setattr(records, "segments", records.segments.__wrapped__)
    monkeypatch.setattr(thermochemistry, "_species", thermochemistry._species.__wrapped__)
