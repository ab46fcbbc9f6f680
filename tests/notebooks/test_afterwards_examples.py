"""The numbers that chapters 7 to 9 print in their prose, calculated anew and looked up there."""

from pathlib import Path

import pytest

from potash.quenching import Quench, crystal_enthalpies, simulate_quench, water_enthalpy
from potash.quenching.heat import quench_enthalpy_si
from potash.storage import Keeping, discard_by, pilling_bedworth
from potash.units import show
from potash.waste.acidity import HIGHEST_STRENGTH
from potash.waste.neutralise import neutralisation_enthalpy_si
from potash.yields import back_titration, gas_volumetry

WORKBOOK = Path(__file__).resolve().parents[2] / "workbook"


def prose(chapter: str) -> str:
    (path,) = WORKBOOK.glob(f"{chapter}-*.ipynb")
    return path.read_text("utf-8").replace("\u00a0", " ")


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


@pytest.fixture(scope="module")
def quench():
    return simulate_quench(Quench.planned(mass="1.00 g"))


def test_chapter_7_prints_the_heat_and_the_gas_of_its_example(quench):
    text = prose("07")
    assert f"{-water_enthalpy('K').m:.0f} kJ/mol" in text
    assert f"{quench.quench.metal_amount * 1e3:.1f} mmol" in text
    heat = quench.quench.metal_amount * quench.model.heat / 1e3
    assert f"{heat:.2f} kJ" in text
    assert plain(show(quench.quench.hydrogen_volume)) in text


def test_chapter_7_prints_the_adiabatic_rise_of_its_example(quench):
    text = prose("07")
    alcohol = quench.model.to_feed * quench.model.alcohol_heat_capacity
    whole = quench.model.heat_capacity + alcohol
    rise = quench.quench.metal_amount * quench.model.heat / whole
    assert f"{quench.model.heat_capacity:.0f} J/K" in text and f"{alcohol:.0f} J/K" in text
    assert f"{whole:.0f} J/K" in text and f"{rise:.1f} K" in text
    assert f"{15 + rise:.1f} °C" in text


def test_chapter_7_says_rightly_that_four_times_the_metal_would_boil(quench):
    more = quench.quench.but(mass=4e-3)
    model = simulate_quench(more).model
    whole = model.heat_capacity + model.to_feed * model.alcohol_heat_capacity
    assert more.bath + more.metal_amount * model.heat / whole > more.lowest_boiling[1]


def test_chapter_7_says_rightly_how_much_less_crystalline_alkoxides_give():
    less = [
        one.enthalpy.m_as("kJ/mol") - quench_enthalpy_si(one.metal) / 1e3
        for one in crystal_enthalpies()
    ]
    assert 25 < min(less) < 35 and 95 < max(less) < 105
    assert "30 to 100 kJ/mol less" in prose("07")


def test_chapter_7_says_rightly_that_much_gathers_even_at_a_slow_feed(quench):
    assert float(quench.accumulated.m.max()) > 50


def test_chapter_7_prints_the_heat_of_neutralising_and_the_limit_of_its_equation():
    text = prose("07")
    assert f"{-neutralisation_enthalpy_si() / 1e3:.0f} kJ a mole" in text
    assert f"{HIGHEST_STRENGTH:g} mol/L" in text


def test_chapter_8_prints_its_volume_ratio_and_its_month_of_oxygen():
    text = prose("08")
    keeping = Keeping.planned()
    assert f"= {pilling_bedworth('K', 'K2O'):.2f} ." in text
    assert f"{keeping.oxygen_per_month.m:.0f} µmol" in text


def test_chapter_8_prints_the_crust_of_a_month():
    keeping = Keeping.planned()
    by_oxygen = keeping.oxygen_per_month.m * 1e-6 * 32.9e-6 / keeping.metal_area * 1e6
    assert f"{by_oxygen:.1f} µm" in prose("08")
    whole = float(discard_by(keeping).crust("30 day").m_as("um"))
    assert (whole - by_oxygen) / by_oxygen == pytest.approx(0.25, abs=0.06)


def test_chapter_9_prints_every_step_of_its_gas_volumetry():
    found = gas_volumetry(
        metal="K",
        sample=("0.2000 g", "0.2 mg"),
        volume=("58.4 mL", "0.2 mL"),
        temperature=("21.5 °C", "0.3 K"),
        barometer=("1003 hPa", "1 hPa"),
        level=("12 mm", "1 mm"),
        leak=("0.3 mL", "0.2 mL"),
    )
    text = prose("09")
    for printed in (
        f"{found.vapour_pressure.m_as('hPa'):.1f} hPa",
        f"{found.gas_pressure.m_as('hPa'):.1f} hPa",
        f"{found.hydrogen.value:.3f} mmol",
        f"{found.metal_mass.value:.4f} g",
        f"{found.purity.value:.1f} %",
        f"({found.purity.value:.1f} ± {2 * found.purity.uncertainty:.1f}) %",
    ):
        assert printed in text, printed


def test_chapter_9_says_rightly_what_had_corroded():
    found = back_titration(
        metal="K",
        sample=("0.2000 g", "0.2 mg"),
        acid_volume=("100.00 mL", "0.06 mL"),
        acid_concentration=("0.1000 mol/L", "0.0001 mol/L"),
        titre=("50.90 mL", "0.03 mL"),
        base_concentration=("0.1000 mol/L", "0.0001 mol/L"),
        burette="100 mL",
    )
    assert f"{found.purity.value:.1f} %" in prose("09")
    assert (found.purity.value - 90.5) / found.purity.value == pytest.approx(0.06, abs=0.005)
