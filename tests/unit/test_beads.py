"""Beads: directions, what is refused, and how a result reads."""

import math

import pytest

from potash.beads import (
    BeadHangs,
    bead,
    bond_number,
    capillary_length,
    circulating_velocity,
    drainage_time,
    largest_round_bead,
    reynolds_number,
    stokes_velocity,
    terminal_velocity,
)
from potash.properties.liquids import Liquid, LiquidRecord
from potash.properties.metals import SolidMetal
from potash.units import OutOfBounds, UnreadableQuantity


def _bath(density: float, **others: float) -> Liquid:
    """An invented liquid of constant properties from 300 to 600 K."""
    units = {"density": "kg/m^3", "viscosity": "Pa*s", "surface_tension": "N/m"}
    records = {
        name: LiquidRecord(units[name], (300.0, 600.0), (value, value), "measured", "-", "-", 0.001)
        for name, value in {"density": density, "viscosity": 4e-4, **others}.items()
    }
    return Liquid("test oil", "0-00-0", "C12H26", (), records)


def test_a_bead_rises_in_a_denser_liquid_and_sinks_in_a_lighter_one() -> None:
    assert bead("K", _bath(850.0), "200 degC", "2 mm").direction == "rises"
    assert bead("K", _bath(700.0), "200 degC", "2 mm").direction == "sinks"


def test_a_difference_inside_twice_its_uncertainty_is_too_close_to_call() -> None:
    # Potassium has about 797 kg/m3 at 200 deg C, known to 0.5 %.
    found = bead("K", _bath(800.0), "200 degC", "2 mm")
    assert found.direction == "too close to call"
    assert abs(found.density_difference) < 2 * found.density_uncertainty


def test_a_solid_metal_makes_no_beads() -> None:
    with pytest.raises(SolidMetal):
        bead("Li", _bath(800.0), "100 degC", "2 mm")


@pytest.mark.parametrize("diameter", ["0 mm", "-1 mm", "1 m"])
def test_an_impossible_diameter_is_refused(diameter: str) -> None:
    with pytest.raises(OutOfBounds, match="diameter"):
        bead("K", _bath(850.0), "200 degC", diameter)


def test_a_bare_number_is_refused() -> None:
    with pytest.raises(UnreadableQuantity, match="unit"):
        stokes_velocity("2", "26 kg/m3", "0.3 mPa s")


def test_the_interfacial_tension_is_the_difference_of_the_surface_tensions_and_said_to_be() -> None:
    known = bead("K", _bath(850.0, surface_tension=0.015), "200 degC", "2 mm")
    unknown = bead("K", _bath(850.0), "200 degC", "2 mm")
    assert unknown.interfacial_tension.m_as("N/m") - known.interfacial_tension.m_as(
        "N/m"
    ) == pytest.approx(0.015)
    assert any("Antonoff" in note for note in known.notes)
    assert any("no trusted value" in note for note in unknown.notes)


def test_small_beads_are_round_and_large_ones_are_not() -> None:
    widest = bead("K", _bath(850.0), "200 degC", "2 mm").largest_round_bead.m_as("mm")
    assert bead("K", _bath(850.0), "200 degC", f"{0.9 * widest:.3f} mm").is_round
    assert not bead("K", _bath(850.0), "200 degC", f"{1.1 * widest:.3f} mm").is_round


def test_the_bond_number_at_the_capillary_length_is_one() -> None:
    length = capillary_length("50 kg/m3", "90 mN/m")
    assert bond_number(length, "50 kg/m3", "90 mN/m") == pytest.approx(1.0, rel=1e-12)


def test_equal_densities_leave_the_bead_hanging() -> None:
    with pytest.raises(BeadHangs, match="same density"):
        capillary_length("0 kg/m3", "90 mN/m")
    assert largest_round_bead("0 kg/m3", "90 mN/m").magnitude == math.inf
    assert terminal_velocity("1 mm", "0 kg/m3", "800 kg/m3", "0.3 mPa s").magnitude == 0


def test_a_stiff_film_drains_more_slowly_than_a_bare_one() -> None:
    given = ("2 mm", "26 kg/m3", "0.3 mPa s", "90 mN/m")
    assert drainage_time(*given, bare=False) > 10 * drainage_time(*given, bare=True)


def test_drainage_slows_with_size_and_with_viscosity() -> None:
    small = drainage_time("1 mm", "26 kg/m3", "0.3 mPa s", "90 mN/m", bare=False)
    large = drainage_time("2 mm", "26 kg/m3", "0.3 mPa s", "90 mN/m", bare=False)
    thick = drainage_time("1 mm", "26 kg/m3", "3.0 mPa s", "90 mN/m", bare=False)
    # R^2 F / h_c^2 rises as R^(2 + 3 - 2/3).
    assert (large / small).magnitude == pytest.approx(2 ** (13 / 3), rel=1e-9)
    assert (thick / small).magnitude == pytest.approx(10, rel=1e-9)


def test_past_the_creeping_range_the_drag_is_higher_than_stokes_says() -> None:
    found = bead("K", _bath(850.0), "200 degC", "2 mm")
    assert found.reynolds_number > 100
    assert found.velocity < 0.5 * found.stokes_velocity
    assert any("past the creeping range" in note for note in found.notes)


def test_the_reynolds_number_is_that_of_the_velocity_found() -> None:
    found = bead("K", _bath(850.0), "200 degC", "2 mm")
    expected = 850.0 * found.velocity.magnitude * 0.002 / 4e-4
    assert found.reynolds_number == pytest.approx(expected)
    assert reynolds_number("2 mm", "0 m/s", "850 kg/m3", "0.4 mPa s") == 0


def test_a_circulating_bead_is_faster_than_a_stiff_one_and_slower_than_a_bubble() -> None:
    stiff = stokes_velocity("0.1 mm", "26 kg/m3", "0.3 mPa s")
    fluid = circulating_velocity("0.1 mm", "26 kg/m3", "0.3 mPa s", "0.3 mPa s")
    assert stiff < fluid < 1.5 * stiff


def test_a_bead_shows_itself_with_its_figures_and_assumptions() -> None:
    page = bead("K", _bath(850.0), "200 degC", "2 mm")._repr_html_()
    assert "2.00\u00a0mm of potassium in test oil" in page
    assert "teaching value" in page
    assert "1\u00a0ms to 10\u00a0s" in page
