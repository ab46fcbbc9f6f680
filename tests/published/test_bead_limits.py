"""Beads against the limits and worked figures that textbooks print."""

import pytest

from potash.beads import (
    CREEPING,
    capillary_length,
    circulating_velocity,
    largest_round_bead,
    reynolds_number,
    stokes_velocity,
    terminal_velocity,
)

GIVEN = ("0.2 mm", "26 kg/m3", "0.3 mPa s")


@pytest.mark.parametrize("inside", ["1e9 Pa s", "1e20 Pa s", "1e140 Pa s"])
def test_a_bead_far_stiffer_than_the_liquid_moves_as_a_rigid_sphere(inside: str) -> None:
    # Hadamard-Rybczynski, limit of infinite viscosity ratio: Stokes' law.
    found = circulating_velocity(*GIVEN, inside)
    assert (found / stokes_velocity(*GIVEN)).m_as("") == pytest.approx(1.0, abs=1e-12)


def test_a_bubble_moves_half_as_fast_again() -> None:
    # Hadamard-Rybczynski, limit of viscosity ratio zero: 3/2 of Stokes' law.
    found = circulating_velocity(*GIVEN, "0 Pa s")
    assert (found / stokes_velocity(*GIVEN)).m_as("") == pytest.approx(1.5, abs=1e-12)


def test_equal_viscosities_give_six_fifths_of_stokes() -> None:
    # Clift, Grace and Weber (1978), eq. 3-15 with a viscosity ratio of 1: 3 x 2 / 5.
    found = circulating_velocity(*GIVEN, "0.3 mPa s")
    assert (found / stokes_velocity(*GIVEN)).m_as("") == pytest.approx(6 / 5, abs=1e-12)


def test_the_capillary_length_of_water_at_20_degrees_is_2_7_mm() -> None:
    # de Gennes, Brochard-Wyart and Quere (2004); tension 72.74 mN/m (IAPWS R1-76), water less air
    # 998.2 - 1.2 kg/m3.
    assert capillary_length("997.0 kg/m3", "72.74 mN/m").m_as("mm") == pytest.approx(2.7, abs=0.05)


def test_the_drag_correlation_meets_stokes_law_in_creeping_flow() -> None:
    slow = ("10 um", "26 kg/m3")
    found = terminal_velocity(*slow, "822 kg/m3", "0.3 mPa s")
    assert reynolds_number("10 um", found, "822 kg/m3", "0.3 mPa s") < CREEPING
    assert found.magnitude == pytest.approx(stokes_velocity(*slow, "0.3 mPa s").magnitude, rel=0.02)


@pytest.mark.parametrize("d", [2e-5, 1e-4, 5e-4, 2e-3, 8e-3, 3e-2])
def test_the_velocity_is_the_one_that_fluids_finds(d: float) -> None:
    # fluids solves the same balance for each sphere; here its drag curve is inverted once for all.
    from fluids.drag import v_terminal

    found = terminal_velocity(f"{d!r} m", "26 kg/m3", "822 kg/m3", "0.3 mPa s").m_as("m/s")
    assert found == pytest.approx(v_terminal(D=d, rhop=848.0, rho=822.0, mu=3e-4), rel=0.005)


@pytest.mark.parametrize(
    ("reynolds", "drag"),
    # Drag of a rigid sphere: Clift, Grace and Weber (1978), Table 5.1 and Fig. 5.12 (from memory).
    [(1.0, 26.5), (10.0, 4.26), (100.0, 1.09), (1000.0, 0.47)],
)
def test_the_drag_behind_the_velocity_is_the_standard_drag_curve(
    reynolds: float, drag: float
) -> None:
    # Choose the density difference that gives this Reynolds number by the standard curve.
    d, rho, mu = 0.002, 822.0, 3e-4
    speed = reynolds * mu / (rho * d)
    difference = 0.75 * drag * rho * speed**2 / (9.80665 * d)
    found = terminal_velocity(f"{d} m", f"{difference!r} kg/m3", f"{rho} kg/m3", f"{mu!r} Pa s")
    assert found.m_as("m/s") == pytest.approx(speed, rel=0.06)


def test_drops_are_near_spherical_up_to_a_bond_number_of_0_4() -> None:
    # Clift, Grace and Weber (1978), Fig. 2.5: the spherical regime ends near Eo = 0.4.
    # For water drops in air that is sqrt(0.4) x 2.73 mm = 1.7 mm.
    assert largest_round_bead("997 kg/m3", "72.74 mN/m").m_as("mm") == pytest.approx(1.7, abs=0.05)
