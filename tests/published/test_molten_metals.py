"""The melts against correlations and tables other than those they are read from."""

import pytest

from potash.properties.metals import metal

# CRC Handbook of Chemistry and Physics, Density of Molten Elements and Representative Salts:
# density at the melting point (g/cm3), melting point (deg C), slope (g/cm3 per K), upper limit.
CRC_DENSITY = {
    "Na": (0.927, 97.79, 0.00023, 600),
    "K": (0.828, 63.38, 0.00024, 500),
}


@pytest.mark.parametrize("symbol", CRC_DENSITY)
@pytest.mark.parametrize("share", [0.02, 0.4, 0.7, 1.0])
def test_densities_agree_with_the_crc_table(symbol: str, share: float) -> None:
    at_melting, melting, slope, highest = CRC_DENSITY[symbol]
    t = melting + share * (highest - melting)
    expected = 1000 * (at_melting - slope * (t - melting))
    found = metal(symbol).density(f"{t:.2f} degC").m_as("kg/m^3")
    assert found == pytest.approx(expected, rel=0.015)


@pytest.mark.parametrize("T", [460, 500, 600, 800, 1200])
def test_lithium_agrees_with_the_fusion_correlation(T: int) -> None:
    # Zinkle, Summary of Physical Properties for Lithium, Pb-17Li, and (LiF)n.BeF2 Coolants (1998).
    expected = 278.5 - 0.04657 * T + 274.6 * (1 - T / 3500) ** 0.467
    assert metal("Li").density(f"{T} K").m_as("kg/m^3") == pytest.approx(expected, rel=0.015)


def test_lithium_does_not_follow_the_steep_slope_of_the_crc_table() -> None:
    # The same CRC table prints 0.512 - 0.00052 (t - 180.5) for lithium, 18 % low at 400 deg C.
    steep = 1000 * (0.512 - 0.00052 * (400 - 180.5))
    assert metal("Li").density("400 degC").m_as("kg/m^3") > 1.1 * steep
    assert metal("Li").density("180.6 degC").m_as("kg/m^3") == pytest.approx(512, rel=0.015)


# Molar volumes of the melts, 1e-5 m3/mol, as printed in Table 4 of an article on their heats of
# evaporation, J. Thermodyn. Catal. 7 (2016) 163.
MOLAR_VOLUMES = [
    ("Li", 6.94, 1400, 1.64),
    ("Na", 22.990, 900, 2.87),
    ("Na", 22.990, 1100, 3.05),
    ("K", 39.098, 800, 5.43),
    ("K", 39.098, 1000, 5.82),
    ("Rb", 85.468, 700, 6.61),
    ("Rb", 85.468, 800, 6.85),
    ("Rb", 85.468, 1000, 7.39),
    ("Cs", 132.905, 700, 8.26),
]


@pytest.mark.parametrize(("symbol", "grams", "T", "volume"), MOLAR_VOLUMES)
def test_densities_agree_with_printed_molar_volumes(
    symbol: str, grams: float, T: int, volume: float
) -> None:
    expected = grams / 1000 / (volume * 1e-5)
    assert metal(symbol).density(f"{T} K").m_as("kg/m^3") == pytest.approx(expected, rel=0.015)


# CRC Handbook of Chemistry and Physics, older editions, Viscosity of Liquid Elements
# (deg C, mPa s), from memory; check against the book.
VISCOSITIES = [
    ("Li", 183.4, 0.5918),
    ("Li", 208.1, 0.5491),
    ("Li", 285.5, 0.4548),
    ("K", 69.6, 0.515),
    ("K", 167.4, 0.331),
    ("K", 250.0, 0.258),
    ("K", 400.0, 0.191),
    ("Cs", 43.4, 0.6299),
    ("Cs", 99.6, 0.4753),
    ("Cs", 140.5, 0.4065),
    ("Cs", 211.0, 0.3430),
]


@pytest.mark.parametrize(("symbol", "t", "expected"), VISCOSITIES)
def test_viscosities_agree_with_the_crc_table(symbol: str, t: float, expected: float) -> None:
    assert metal(symbol).viscosity(f"{t} degC").m_as("mPa*s") == pytest.approx(expected, rel=0.06)


def test_the_viscosity_of_sodium_agrees_with_its_measured_value_near_melting() -> None:
    # Smithells Metals Reference Book, 7th ed., Table 14.2: 0.68 mPa s at the melting point.
    assert metal("Na").viscosity("98 degC").m_as("mPa*s") == pytest.approx(0.68, rel=0.05)


# Allen, The Surface Tension of Liquid Metals, in Beer (ed.), Liquid Metals (1972), as in Smithells
# Metals Reference Book, 7th ed.: mN/m at the melting point, from memory.
SURFACE_TENSIONS = {"Li": 398, "Na": 191, "K": 115, "Rb": 85, "Cs": 70}


@pytest.mark.parametrize("symbol", SURFACE_TENSIONS)
def test_surface_tensions_at_the_melting_point_agree_with_allen(symbol: str) -> None:
    melt = metal(symbol)
    found = melt.surface_tension(melt.melting_point).m_as("mN/m")
    assert found == pytest.approx(SURFACE_TENSIONS[symbol], rel=0.06)


def test_the_surface_tension_of_caesium_is_not_ten_times_too_high() -> None:
    assert 40 < metal("Cs").surface_tension("205 degC").m_as("mN/m") < 75


@pytest.mark.parametrize("symbol", ["Li", "Na", "K", "Rb", "Cs"])
def test_melting_points_are_those_of_the_janaf_tables(symbol: str) -> None:
    from potash.properties import species

    crystal_to_liquid = species(symbol).transitions[0 if symbol != "Li" else -2]
    assert abs(crystal_to_liquid.temperature.m_as("K") - metal(symbol).melting_point_si) < 0.3
