"""Hydrogen in a hood against closed forms, and gas volumes against published molar volumes."""

import numpy as np
import pytest

from potash.hydrogen import (
    LOWER_FLAMMABLE_LIMIT,
    hood_air,
    largest_scale,
    release,
    smallest_airflow,
    steady_release,
    suck_back,
    washout_time,
    wet_gas_volume,
)
from potash.units import Quantity

# A chemical fume hood: 1.2 m3 inside, 900 m3/h; figures of ordinary size, common practice.
VOLUME, AIRFLOW, K = 1.2, 0.25, 4.0


def test_lower_flammable_limit_is_that_of_the_bureau_of_mines():
    # Zabetakis, US Bureau of Mines Bulletin 627 (1965): hydrogen in air, 4.0 to 75 vol%
    assert pytest.approx(0.04) == LOWER_FLAMMABLE_LIMIT


def test_a_long_release_comes_to_the_steady_state_of_a_well_mixed_space():
    air = hood_air(
        steady_release("2 L/min", "60 min"), f"{VOLUME} m3", f"{AIRFLOW} m3/s", mixing_factor=K
    )
    steady = K * (2e-3 / 60) / AIRFLOW
    assert air.fraction[-1].m_as("") == pytest.approx(steady, rel=1e-9)
    assert air.worst.m_as("") == pytest.approx(steady, rel=1e-9)


def test_the_rise_to_the_steady_state_is_exponential():
    minutes = np.linspace(0.0, 2.0, 41)
    rate = np.full(41, 80.0)
    given = release(Quantity(minutes, "min"), Quantity(rate, "mmol/min"), "25 °C", "1 bar")
    air = hood_air(given, f"{VOLUME} m3", f"{AIRFLOW} m3/s", mixing_factor=K)
    gas = 80e-3 / 60 * 24.789570e-3  # mol/s times m3/mol at SATP (IUPAC)
    steady = K * gas / AIRFLOW
    expected = steady * (1 - np.exp(-AIRFLOW * minutes * 60 / (K * VOLUME)))
    assert air.fraction.m_as("") == pytest.approx(expected, rel=1e-6, abs=1e-12)


def test_after_the_gas_stops_the_hood_washes_out():
    minutes = np.r_[0.0, 10.0, 10.0, np.linspace(10.2, 12.0, 10)]
    rate = np.r_[50.0, 50.0, np.zeros(11)]
    given = release(Quantity(minutes, "min"), Quantity(rate, "mmol/min"))
    air = hood_air(given, f"{VOLUME} m3", f"{AIRFLOW} m3/s", mixing_factor=K)
    fraction = air.fraction.m_as("")
    expected = fraction[2] * np.exp(-AIRFLOW * (minutes[2:] - 10.0) * 60 / (K * VOLUME))
    assert fraction[2:] == pytest.approx(expected, rel=1e-9)
    time = washout_time(
        f"{VOLUME} m3", f"{AIRFLOW} m3/s", Quantity(fraction[2], ""), Quantity(fraction[-1], ""),
        mixing_factor=K,
    )  # fmt: skip
    assert time.m_as("min") == pytest.approx(2.0, rel=1e-9)


def test_a_burst_of_any_shape_agrees_with_a_fine_integration():
    """scipy's solve_ivp (DOP853) at tight tolerance, the release joined by straight lines."""
    from scipy.integrate import solve_ivp

    seconds = np.array([0.0, 20.0, 22.0, 60.0, 61.0, 200.0])
    rate = np.array([0.0, 0.0, 9.0, 3.0, 0.5, 0.0])  # mmol/s
    given = release(Quantity(seconds, "s"), Quantity(rate, "mmol/s"))
    air = hood_air(given, f"{VOLUME} m3", f"{AIRFLOW} m3/s", mixing_factor=K)
    _, gas = given.floats()

    def slope(t, x):
        return (np.interp(t, seconds, gas) - AIRFLOW / K * x) / VOLUME

    fine = solve_ivp(slope, (0, 200), [0.0], method="DOP853", rtol=1e-11, atol=1e-15, max_step=0.1)
    assert air.worst.m_as("") == pytest.approx(fine.y[0].max(), rel=1e-4)
    assert air.worst_time.m_as("s") == pytest.approx(fine.t[fine.y[0].argmax()], abs=0.2)
    assert air.worst.m_as("") > air.fraction.m_as("").max()  # it lies between two points
    at_end = fine.y[0][-1]
    assert air.fraction[-1].m_as("") == pytest.approx(at_end, rel=1e-6)


def test_smallest_airflow_holds_a_quarter_of_the_limit_at_the_worst_moment():
    given = steady_release("3 L/min", "600 min")
    needed = smallest_airflow(given, mixing_factor=K)
    assert needed.m_as("m^3/s") == pytest.approx(K * 3e-3 / 60 / 0.01, rel=1e-9)
    air = hood_air(given, f"{VOLUME} m3", needed, mixing_factor=K)
    assert air.worst.m_as("percent") == pytest.approx(1.0, rel=1e-6)


def test_the_worst_moment_counts_and_not_the_mean():
    minutes = np.array([0.0, 59.0, 59.5, 60.0, 60.5, 120.0])
    burst = release(
        Quantity(minutes, "min"), Quantity(np.array([1, 1, 80, 80, 1, 1.0]), "mmol/min")
    )
    calm = steady_release(burst.mean_flow, "120 min")
    assert burst.total.m_as("mol") == pytest.approx(calm.total.m_as("mol"), rel=1e-9)
    ratio = smallest_airflow(burst) / smallest_airflow(calm)
    assert ratio.m_as("") == pytest.approx((burst.worst[0] / burst.mean_flow).m_as(""), rel=1e-9)
    assert ratio.m_as("") > 20


def test_the_largest_scale_brings_the_worst_moment_to_the_limit():
    given = steady_release("0.5 L/min", "60 min")
    scale = largest_scale(given, f"{AIRFLOW} m3/s", mixing_factor=K).m_as("")
    scaled = steady_release(Quantity(0.5 * scale, "L/min"), "60 min")
    needed = smallest_airflow(scaled, mixing_factor=K)
    assert needed.m_as("m^3/s") == pytest.approx(AIRFLOW, rel=1e-9)


@pytest.mark.parametrize(
    "temperature, pressure, litres",
    [
        # IUPAC Gold Book: STP 0 °C and 100 kPa, 22.711 L/mol; SATP 25 °C and 100 kPa, 24.790 L/mol
        ("0 °C", "100 kPa", 22.711),
        ("25 °C", "100 kPa", 24.790),
        # the older standard, 0 °C and 101.325 kPa: 22.414 L/mol (CODATA 2018, 22.41396954)
        ("0 °C", "101.325 kPa", 22.414),
    ],
)
def test_ideal_gas_volumes(temperature, pressure, litres):
    assert wet_gas_volume("1 mol", temperature, pressure).m_as("L") == pytest.approx(
        litres, abs=6e-4
    )


def test_gas_over_water_takes_more_room_by_the_vapour_of_water():
    # Vapour pressure of water at 20 °C: 2.3393 kPa (IAPWS-95, Wagner and Pruss 2002)
    dry = wet_gas_volume("0.1 mol", "20 °C", "101.325 kPa").m_as("L")
    wet = wet_gas_volume("0.1 mol", "20 °C", "101.325 kPa", "2.3393 kPa").m_as("L")
    assert wet / dry == pytest.approx(101.325 / (101.325 - 2.3393), rel=1e-9)
    assert wet == pytest.approx(2.4624, abs=2e-4)  # 0.1 x 8.31446 x 293.15 / 98.9857


def test_a_vessel_that_cools_from_200_to_20_degrees_draws_back_38_percent_of_its_gas():
    # Charles's law: 1 - 293.15/473.15
    assert suck_back("1 L", "200 °C", "20 °C").volume.m_as("mL") == pytest.approx(380.43, abs=0.01)
