"""Liquids against handbook values at 25 degC, and against the known traps of property libraries."""

import pytest

from potash.properties.errors import NoTrustedValue, OutOfRange
from potash.properties.liquids import UnknownLiquid, liquid, liquids
from potash.properties.published import KINDS

# CRC Handbook of Chemistry and Physics and Riddick, Bunger and Sakano, Organic Solvents, 4th ed.
# (1986), 25 degC, typed from memory; check against the books. kg/m3, mPa s, mN/m, kPa.
DENSITIES = {
    "ethylbenzene": 862.6, "p-cymene": 853.0, "1,2,4-trimethylbenzene": 872.0,
    "butylbenzene": 856.1, "styrene": 901.6, "cyclohexane": 773.9, "methylcyclohexane": 765.1,
    "octane": 698.6, "tetradecane": 759.3, "squalane": 805.0, "trans-decalin": 865.9,
    "cis-decalin": 892.9, "anisole": 989.3, "dibutyl ether": 764.1, "1-octanol": 822.3,
    "ethylene glycol": 1110.0, "chlorobenzene": 1101.1, "1,2-dichlorobenzene": 1300.3,
    "dichloromethane": 1316.8, "chloroform": 1479.7, "carbon tetrachloride": 1584.4,
    "acetone": 784.5, "ethyl acetate": 894.5, "N,N-dimethylformamide": 944.5,
    "dimethyl sulfoxide": 1095.5, "acetonitrile": 776.6, "nitrobenzene": 1198.5,
    "pyridine": 978.2, "carbon disulfide": 1255.5, "tetrachloroethylene": 1614.0,
}  # fmt: skip
VISCOSITIES = {
    "toluene": 0.556, "o-xylene": 0.756, "m-xylene": 0.581, "p-xylene": 0.603, "cumene": 0.737,
    "octane": 0.508, "decane": 0.838, "dodecane": 1.34, "hexadecane": 3.03, "cyclohexane": 0.894,
    "trans-decalin": 1.95, "tetralin": 2.02, "anisole": 1.056, "chlorobenzene": 0.753,
    "dimethyl sulfoxide": 1.99, "acetone": 0.306, "nitrobenzene": 1.86, "1-octanol": 7.29,
    "water": 0.890, "mesitylene": 0.66,
}  # fmt: skip
SURFACE_TENSIONS = {
    "toluene": 27.9, "o-xylene": 29.8, "mesitylene": 27.6, "cumene": 27.7, "tetralin": 33.2,
    "octane": 21.1, "decane": 23.4, "dodecane": 24.9, "hexadecane": 27.1, "cyclohexane": 24.7,
    "trans-decalin": 29.4, "1-methylnaphthalene": 38.0, "anisole": 35.1, "chlorobenzene": 33.0,
    "dimethyl sulfoxide": 42.9, "acetone": 22.7, "pyridine": 36.6, "water": 72.0,
}  # fmt: skip
VAPOUR_PRESSURES = {
    "toluene": 3.79, "o-xylene": 0.88, "octane": 1.86, "cyclohexane": 13.0, "chlorobenzene": 1.60,
    "tetrahydrofuran": 21.6, "acetone": 30.8, "methanol": 16.9, "ethanol": 7.87, "water": 3.17,
    "ethylbenzene": 1.28, "carbon tetrachloride": 15.2,
}  # fmt: skip

TABLE = [
    *((name, "density", value, 0.006) for name, value in DENSITIES.items()),
    *((name, "viscosity", value / 1000, 0.15) for name, value in VISCOSITIES.items()),
    *((name, "surface_tension", value / 1000, 0.05) for name, value in SURFACE_TENSIONS.items()),
    *((name, "vapour_pressure", value * 1000, 0.05) for name, value in VAPOUR_PRESSURES.items()),
]


@pytest.mark.parametrize(("name", "prop", "expected", "tolerance"), TABLE)
def test_a_property_at_25_degrees_matches_the_handbook(name, prop, expected, tolerance) -> None:
    record = liquid(name).record(prop)
    found = liquid(name).value(prop, "25 degC").m_as(record.unit)
    assert found == pytest.approx(expected, rel=tolerance)


# Each trap: what a property library offers by default, and what must not come of it.


@pytest.mark.parametrize(
    "estimate",
    ["MMSNM0", "LETSOU_STIEL", "DADGOSTAR_SHAW", "MORGAN_KOBAYASHI", "RACKETT", "LEE_KESLER_PSAT",
     "JOBACK", "BROCK_BIRD", "Serat DIPPR (2017)", "WIKIDATA", "Suzuki"],
)  # fmt: skip
def test_no_record_comes_from_an_estimate_or_a_list_without_sources(estimate: str) -> None:
    assert all(estimate not in kind.methods for kind in KINDS.values())
    for one in liquids():
        assert all(record.method != estimate for record in one.records.values())
        assert all(record.kind != "estimated" for record in one.records.values())
        assert all(record.kind == "estimated" for record in one.estimates.values())


def test_squalane_is_not_16_percent_too_light() -> None:
    assert liquid("squalane").density("25 degC").m_as("kg/m^3") == pytest.approx(805, rel=0.005)


@pytest.mark.parametrize("name", ["diphenyl ether", "1-methylnaphthalene"])
def test_a_vapour_pressure_is_not_carried_down_to_where_nobody_measured(name: str) -> None:
    with pytest.raises(OutOfRange):
        liquid(name).vapour_pressure("28 degC")


def test_no_viscosity_is_above_that_of_a_syrup() -> None:
    for one in liquids():
        record = one.records.get("viscosity")
        assert record is None or max(record.values) < 0.2


@pytest.mark.parametrize("name", ["diphenyl ether", "indene"])
def test_a_surface_tension_known_to_be_wrong_is_refused_with_the_reason(name: str) -> None:
    with pytest.raises(NoTrustedValue, match="a handbook prints"):
        liquid(name).surface_tension("60 degC")


def test_tert_butanol_has_no_surface_tension_at_200_degrees() -> None:
    with pytest.raises((NoTrustedValue, OutOfRange)):
        liquid("tert-butanol").surface_tension("200 degC")


def test_what_does_not_burn_has_no_flash_point() -> None:
    for name in ("water", "carbon tetrachloride", "tetrachloroethylene", "perfluorodecalin"):
        assert liquid(name).without_flash_point
        with pytest.raises(NoTrustedValue):
            _ = liquid(name).flash_point


@pytest.mark.parametrize(
    ("given", "cas"),
    [("THF", "109-99-9"), ("NMP", "872-50-4"), ("N-methyl-2-pyrrolidone", "872-50-4")],
)
def test_a_name_leads_to_its_own_cas_number(given: str, cas: str) -> None:
    assert liquid(given).cas == cas


@pytest.mark.parametrize("given", ["decalin", "xylene", "Decahydronaphthalene"])
def test_a_name_of_several_isomers_leads_to_none(given: str) -> None:
    with pytest.raises(UnknownLiquid, match="does not say which"):
        liquid(given)


BOILING = [
    one
    for one in liquids()
    if (boiling := one.records.get("boiling_point"))
    and (record := one.records.get("vapour_pressure"))
    and record.covers(boiling.values[0])
]


@pytest.mark.parametrize("one", BOILING, ids=lambda one: one.name)
def test_a_vapour_pressure_is_one_atmosphere_at_the_boiling_point(one) -> None:
    # Fits to vapour pressures and the CRC Handbook's boiling points are two sources.
    found = one.record("vapour_pressure").value_at(one.boiling_point.m_as("K"))
    assert found == pytest.approx(101_325, rel=0.08)


def test_most_liquids_have_a_vapour_pressure_at_their_boiling_point() -> None:
    assert len(BOILING) > 50


@pytest.mark.parametrize("one", liquids(), ids=lambda one: one.name)
def test_the_reference_table_gives_each_liquid_a_density_and_says_how_each_value_was_gated(
    one,
) -> None:
    assert "density" in one.records
    for record in one.records.values():
        assert record.source
        assert record.gate or record.kind in ("from memory", "measured")


def test_estimates_of_density_hold_on_liquids_that_are_known() -> None:
    """Rackett through the density at 25 degC, against the fits it pretends not to know."""
    from potash.properties.published import estimated_records

    for name in ("toluene", "o-xylene", "tetralin", "dodecane", "mesitylene", "anisole"):
        one = liquid(name)
        known = {
            "boiling_point": {"values": [one.boiling_point.m_as("K")]},
            "density": {
                "temperatures": [298.15],
                "values": [one.record("density").value_at(298.15)],
            },
        }
        record = estimated_records(one.cas, one.smiles, known)["density"]
        i = len([T for T in record["temperatures"] if one.boiling_point.m_as("K") > T]) - 1
        T = record["temperatures"][i]
        assert record["values"][i] == pytest.approx(one.record("density").value_at(T), rel=0.04)
