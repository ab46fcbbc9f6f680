"""Pilling-Bedworth ratios and diffusion against published values and closed forms."""

import pytest

from potash.storage import Keeping, diffusion_flux, pilling_bedworth

# Kubaschewski and Hopkins, Oxidation of Metals and Alloys, 2nd ed. (1962), table of volume ratios,
# as handbooks repeat it; typed from memory. Densities of the oxides differ by 2 % between sources.
HANDBOOK = [("K", "K2O", 0.45), ("Na", "Na2O", 0.57), ("Li", "Li2O", 0.58), ("Mg", "MgO", 0.81)]


@pytest.mark.parametrize(("metal", "oxide", "ratio"), HANDBOOK)
def test_the_volume_ratio_of_the_oxide_is_that_of_the_handbook(metal, oxide, ratio):
    assert pilling_bedworth(metal, oxide) == pytest.approx(ratio, abs=0.02)


@pytest.mark.parametrize("metal", ["Li", "Na", "K", "Rb", "Cs"])
def test_no_oxide_of_an_alkali_metal_covers_it(metal):
    # Pilling and Bedworth, J. Inst. Met. 29 (1923) 529: alkali oxides leave their metal bare.
    assert pilling_bedworth(metal, f"{metal}2O") < 1


def test_ficks_law_through_a_still_layer_by_hand():
    # 1e-9 m2/s, 1.3 mol/m3 over 26 mm: 5.0e-8 mol/(m2 s).
    found = diffusion_flux("1.3 mol/m3", "1e-9 m2/s", "26 mm")
    assert found.m == pytest.approx(5.0e-8)


def test_behind_a_wide_open_lid_only_the_liquid_resists():
    # Closed form of Fick's law: D K c A / L, with air at 20 °C holding 8.71 mol/m3 of oxygen.
    keeping = Keeping.planned(closure="loose lid", openings="1000000 1/day", depth="30 mm")
    cover = keeping.cover
    dissolved = cover.oxygen_partition * 8.71
    flux = diffusion_flux(f"{dissolved} mol/m3", f"{cover.oxygen_diffusivity} m2/s", "30 mm").m
    assert keeping.oxygen == pytest.approx(flux * keeping.vessel_area, rel=2e-3)


def test_under_hardly_any_liquid_only_the_lid_resists():
    # All air that comes in is used up: exchange times concentration.
    keeping = Keeping.planned(closure="ground stopper", openings="0 1/day", depth="1 um")
    assert keeping.oxygen == pytest.approx(keeping.closure.exchange * 8.71, rel=5e-3)
