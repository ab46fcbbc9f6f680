"""The charge sheet: worked by hand, in odd corners, and as conservation laws."""

import re
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from potash.charge import CannotScale, charge, gas_volume, scale, with_reductant_excess
from potash.formulas import molar_mass
from potash.preparation import Preparation

DEFAULT = Preparation.default()

CHLORIDE = Preparation.load("""
format = 1
title = "Potassium from its chloride and sodium"
equation = "KCl + Na -> NaCl + K"
temperature = "850 °C"

[reagents.salt]
formula = "KCl"
mass = "74.55 g"

[reagents.reductant]
formula = "Na"
mass = "34.48 g"

[vent]
temperature = "20 °C"
pressure = "1 bar"
""")


def line(sheet, label):
    return next(line for line in sheet.lines if line.label == label)


# The default preparation, worked by hand with the atomic weights of the CRC Handbook (K 39.098,
# Mg 24.305, KOH 56.106, H2O 18.015) and R = 8.3145:
#   KOH  9.30 × 0.865 = 8.0445 g / 56.106 = 0.14338 mol
#   H2O  9.30 × 0.128 = 1.1904 g / 18.015 = 0.066078 mol, taking 0.066078 mol Mg
#   Mg   6.10 × 0.985 = 6.0085 g / 24.305 = 0.24721 mol, leaving 0.18113 mol, 26.3 % in excess
#   K    0.14338 mol × 39.098 = 5.606 g
#   H2   0.07169 + 0.06608 = 0.13777 mol; × 8.3145 × 293.15 / 101 300 = 3.315 L
#   C5H12O 0.90 × 0.8096 = 0.7286 g / 88.15 = 8.266 mmol, 5.77 % of 0.14338 mol
def test_the_default_charge_is_what_a_chemist_works_out_by_hand():
    sheet = charge(DEFAULT)
    assert sheet.weighed[0].amount.m_as("mol") == pytest.approx(0.14338, rel=1e-4)
    assert sheet.weighed[1].amount.m_as("mol") == pytest.approx(0.24721, rel=1e-4)
    assert sheet.water.water.m_as("mol") == pytest.approx(0.066078, rel=1e-4)
    assert sheet.water.reductant.m_as("mol") == pytest.approx(0.066078, rel=1e-4)
    assert sheet.reduction.available["Mg"].m_as("mol") == pytest.approx(0.18113, rel=1e-4)
    assert sheet.limiting == "KOH"
    assert sheet.reduction.excess["Mg"].m_as("percent") == pytest.approx(26.33, abs=0.02)
    assert sheet.theoretical_yield.m_as("g") == pytest.approx(5.606, rel=1e-4)
    assert sheet.hydrogen_from_reaction.m_as("mol") == pytest.approx(0.07169, rel=1e-4)
    assert sheet.hydrogen_from_water.m_as("mol") == pytest.approx(0.066078, rel=1e-4)
    assert sheet.hydrogen_amount.m_as("mol") == pytest.approx(0.13777, rel=1e-4)
    assert sheet.hydrogen_volume.m_as("L") == pytest.approx(3.315, rel=2e-4)
    assert sheet.liquid_mass.m_as("g") == pytest.approx(85 * 0.970, rel=0.003)
    assert sheet.dosing.amount.m_as("mmol") == pytest.approx(8.266, rel=1e-3)
    assert sheet.dosing.mole_percent.m_as("percent") == pytest.approx(5.765, rel=1e-3)
    assert sheet.dosing.dose.m_as("mL") == pytest.approx(0.30)
    assert sheet.dosing.dose_amount.m_as("mmol") == pytest.approx(2.755, rel=1e-3)
    assert sheet.warnings == ()


def test_a_preparation_gives_its_own_charge():
    assert DEFAULT.charge() == charge(DEFAULT)


def test_the_line_of_the_pure_hydroxide_shows_the_typed_figures():
    pure = line(charge(DEFAULT), "Pure KOH")
    assert pure.how == "9.30 g × 86.5 %"
    assert pure.value.m_as("g") == pytest.approx(8.0445)


def test_the_lines_tell_the_whole_way_to_yield_hydrogen_and_doses():
    labels = [line.label for line in charge(DEFAULT).lines]
    assert labels == [
        "Pure KOH", "Amount of KOH", "Water in the KOH", "Other matter in the KOH",
        "Pure Mg", "Amount of Mg", "Other matter in the Mg",
        "Amount of water", "Mg taken by water", "Mg left for the reduction",
        "Extent of reaction", "Excess of Mg", "Amount of K at full yield", "Theoretical yield of K",
        "Hydrogen from the reaction", "Hydrogen from water",
        "Volume of hydrogen at 20 °C and 1013 mbar",
        "Mass of tetralin", "Mass of 2-methyl-2-butanol", "Amount of 2-methyl-2-butanol",
        "2-methyl-2-butanol per KOH", "Each dose", "Amount in each dose",
    ]  # fmt: skip


def test_each_line_has_a_calculation_a_result_and_a_source():
    for each in charge(DEFAULT).lines:
        assert each.how and each.source and re.search(r"\d", each.shown)


def test_the_density_used_carries_its_source_and_its_temperature():
    poured = line(charge(DEFAULT), "Mass of tetralin")
    assert "Perry" in poured.source
    assert poured.how.startswith("85 mL × ") and "density at 20 °C" in poured.how


def test_a_warmer_reading_of_the_same_volume_weighs_less():
    cold = DEFAULT.replace({"liquid.measured_at": "20 °C"}).charge().liquid_mass
    warm = DEFAULT.replace({"liquid.measured_at": "25 °C"}).charge().liquid_mass
    assert 0.994 < (warm / cold).m_as("") < 0.998


# Other routes


def test_a_chloride_without_water_gives_metal_and_no_hydrogen():
    sheet = CHLORIDE.charge()
    # 74.55 g of KCl is 1.000 mol; 34.48 g of Na is 1.4998 mol (CRC atomic weights).
    assert sheet.metal == "K"
    assert sheet.theoretical_yield.m_as("g") == pytest.approx(39.10, abs=0.01)
    assert sheet.reduction.excess["Na"].m_as("percent") == pytest.approx(50.0, abs=0.1)
    assert sheet.hydrogen_amount.m_as("mol") == 0
    assert sheet.hydrogen_volume.m_as("L") == 0
    assert sheet.water.water.m_as("mol") == 0
    assert sheet.liquid_mass is None and sheet.dosing is None
    assert not any("ater" in each.label for each in sheet.lines)


def test_moist_chloride_takes_sodium_to_its_hydroxide():
    sheet = CHLORIDE.replace(
        {"reagents.salt.assay": "98 %", "reagents.salt.moisture": "2 %"}
    ).charge()
    water = 74.55 * 0.02 / 18.015
    assert sheet.water.reductant.m_as("mol") == pytest.approx(water, rel=1e-4)
    assert sheet.hydrogen_from_water.m_as("mol") == pytest.approx(water / 2, rel=1e-4)


def test_a_reductant_without_a_known_water_reaction_is_warned_of_and_not_guessed():
    sheet = Preparation.load("""
format = 1
title = "Potassium carbonate and carbon"
equation = "K2CO3 + 2 C -> 2 K + 3 CO"
temperature = "900 °C"
[reagents.salt]
formula = "K2CO3"
mass = "13.8 g"
assay = "95 %"
moisture = "5 %"
[reagents.reductant]
formula = "C"
mass = "3 g"
[vent]
temperature = "20 °C"
pressure = "1 bar"
""").charge()
    assert sheet.water.equation is None
    assert sheet.water.reductant.m_as("mol") == 0
    assert any("no reaction of C with water is known here" in each for each in sheet.warnings)


# Warnings


def test_a_reductant_used_up_by_water_makes_no_metal_and_is_warned_of():
    sheet = DEFAULT.replace({"reagents.reductant.mass": "1.00 g"}).charge()
    assert sheet.theoretical_yield.m_as("g") == 0
    assert sheet.reduction.excess == {}
    assert sheet.limiting == "Mg"
    # All of the magnesium, and no more, goes to hydrogen.
    assert sheet.hydrogen_amount.m_as("mol") == pytest.approx(0.985 / 24.305, rel=1e-4)
    assert any("Water takes all of the Mg" in each for each in sheet.warnings)
    assert sheet.lines


def test_hydroxide_in_excess_is_warned_of_with_how_much():
    sheet = DEFAULT.replace({"reagents.reductant.mass": "4.00 g"}).charge()
    assert sheet.limiting == "Mg"
    # Mg left: 4.00 × 0.985 / 24.305 − 0.066078 = 0.096030 mol; KOH 0.14338: 49.3 % in excess.
    assert sheet.reduction.excess["KOH"].m_as("percent") == pytest.approx(49.3, abs=0.1)
    assert any("KOH is in excess by 49.3" in each for each in sheet.warnings)


def test_a_temperature_above_the_boiling_point_is_warned_of():
    sheet = DEFAULT.replace({"liquid.name": "toluene"}).charge()
    assert any("above the boiling point of toluene" in each for each in sheet.warnings)


def test_a_temperature_below_the_melting_point_is_warned_of():
    sheet = DEFAULT.replace({"liquid.name": "diphenyl ether", "temperature": "15 °C"}).charge()
    assert any("diphenyl ether is solid at 15.0" in each for each in sheet.warnings)


def test_a_metal_that_stays_solid_or_boils_off_is_warned_of():
    cold = DEFAULT.replace(temperature="50 °C").charge()
    assert any("K is solid at 50.0" in each for each in cold.warnings)
    assert any("K is a vapour at 850" in each for each in CHLORIDE.charge().warnings)


def test_a_density_that_is_not_known_leaves_a_gap_with_its_reason():
    sheet = DEFAULT.replace({"catalyst.measured_at": "80 °C"}).charge()
    assert sheet.dosing is None
    assert any("density of 2-methyl-2-butanol is known from" in each for each in sheet.warnings)
    assert sheet.theoretical_yield.m_as("g") == pytest.approx(5.606, rel=1e-4)


def test_no_text_of_a_sheet_calls_anything_safe_or_allowed():
    sheet = charge(DEFAULT)
    text = " ".join([*sheet.notes, *sheet.warnings, sheet._repr_html_()]).lower()
    assert "safe" not in text and "allowed" not in text
    assert "local codes" in text


def test_the_notebook_view_escapes_what_people_typed():
    shown = DEFAULT.replace(title="<img src=x onerror=alert(1)>").charge()._repr_html_()
    assert "<img" not in shown and "&lt;img" in shown


# Back from a wanted yield


def test_scaling_gives_the_wanted_yield_and_excess():
    scaled = scale(DEFAULT, "10.0 g", reductant_excess="20 %")
    sheet = scaled.charge()
    assert sheet.theoretical_yield.m_as("g") == pytest.approx(10.0, rel=5e-5)
    assert sheet.limiting == "KOH"
    assert sheet.reduction.excess["Mg"].m_as("percent") == pytest.approx(20, abs=0.01)
    # 10.0 g of K is 0.25577 mol, from 14.350 g of KOH, weighed as 14.350 / 0.865 = 16.590 g.
    assert scaled.metal_source.mass.m_as("g") == pytest.approx(16.590, rel=2e-4)


def test_scaling_keeps_the_share_of_the_catalyst_and_the_conditions():
    scaled = scale(DEFAULT, "10.0 g")
    assert scaled.charge().dosing.mole_percent.m_as("percent") == pytest.approx(5.765, rel=5e-3)
    assert scaled.temperature == DEFAULT.temperature
    assert scaled.catalyst.doses == 3


def test_scaling_counts_the_water_of_a_moist_reductant():
    moist = DEFAULT.replace(
        {"reagents.reductant.assay": "95 %", "reagents.reductant.moisture": "3 %"}
    )
    sheet = scale(moist, "5 g", reductant_excess="10 %").charge()
    assert sheet.reduction.excess["Mg"].m_as("percent") == pytest.approx(10, abs=0.01)


def test_an_excess_is_weighed_and_nothing_else_changes():
    changed = with_reductant_excess(DEFAULT, "50 %")
    assert changed.charge().reduction.excess["Mg"].m_as("percent") == pytest.approx(50, abs=0.01)
    assert changed.replace({"reagents.reductant.mass": "6.10 g"}) == DEFAULT


def test_the_shares_of_the_reductant_add_up_to_what_was_weighed():
    sheet = charge(DEFAULT)
    shares = sheet.reductant_shares
    assert list(shares) == ["taken by water", "works on KOH", "left over"]
    assert sum(share.m_as("mol") for share in shares.values()) == pytest.approx(
        sheet.weighed[1].amount.m_as("mol")
    )
    assert shares["works on KOH"].m_as("mol") == pytest.approx(0.14338, rel=1e-4)


def test_a_reductant_wetter_than_it_can_take_up_cannot_be_scaled():
    soaked = DEFAULT.replace(
        {"reagents.reductant.assay": "50 %", "reagents.reductant.moisture": "45 %"}
    )
    with pytest.raises(CannotScale, match=r"more water.*Use a drier reductant"):
        scale(soaked, "5 g")


@pytest.mark.parametrize("target", ["0 g", "-5 g", "5 mL", "5", 5])
def test_a_target_that_is_no_mass_is_refused(target):
    with pytest.raises(ValueError, match="target metal mass"):
        scale(DEFAULT, target)


def test_a_negative_excess_is_refused():
    with pytest.raises(ValueError, match="reductant excess"):
        scale(DEFAULT, "5 g", reductant_excess="-1 %")


@pytest.mark.parametrize(
    ("amount", "temperature", "pressure", "named"),
    [
        ("-1 mol", "20 °C", "1 bar", "amount"),
        ("1 mol", "0 K", "1 bar", "temperature"),
        ("1 mol", "20 °C", "0 bar", "pressure"),
        ("1 g", "20 °C", "1 bar", "amount"),
    ],
)
def test_a_gas_that_cannot_be_is_refused_by_name(amount, temperature, pressure, named):
    with pytest.raises(ValueError, match=named):
        gas_volume(amount, temperature, pressure)


def test_a_charge_loads_none_of_the_heavy_libraries():
    # Pint itself imports the bare name scipy, which costs little; its parts are what is heavy.
    heavy = {"thermo", "chemicals", "pandas", "scipy.constants", "scipy.linalg", "matplotlib"}
    script = (
        "import sys; from potash import Preparation; Preparation.default().charge().lines; "
        f"print(sorted({heavy!r} & set(sys.modules)))"
    )
    ran = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "[]"


# Conservation, whatever is weighed

grams = st.decimals(min_value="0.01", max_value=1000, places=2).map(lambda mass: f"{mass} g")
shares = st.tuples(
    st.decimals(min_value=1, max_value=99, places=1),
    st.decimals(min_value=0, max_value=1, places=3),
)


def changed(hydroxide, magnesium, share, metal):
    assay, part = share
    moisture = (100 - assay) * part
    return DEFAULT.replace(
        {
            "equation": f"2 {metal}OH + 2 Mg -> 2 {metal} + 2 MgO + H2",
            "reagents.hydroxide.formula": f"{metal}OH",
            "reagents.hydroxide.mass": hydroxide,
            "reagents.hydroxide.assay": f"{assay} %",
            "reagents.hydroxide.moisture": f"{moisture} %",
            "reagents.reductant.mass": magnesium,
        }
    )


@given(grams, grams, shares, st.sampled_from(["Li", "Na", "K", "Rb", "Cs"]))
def test_mass_and_elements_are_conserved(hydroxide, magnesium, share, metal):
    sheet = changed(hydroxide, magnesium, share, metal).charge()
    source, reductant = sheet.weighed
    for one in sheet.weighed:
        parts = one.pure + one.water + one.impurity
        assert parts.m_as("g") == pytest.approx(one.mass.m_as("g"), rel=1e-9)
    extent = sheet.reduction.extent.m_as("mol")
    assert extent >= 0
    # The metal cannot be more than came, nor the magnesium used more than was weighed.
    assert sheet.metal_amount.m_as("mol") <= source.amount.m_as("mol") * (1 + 1e-12)
    used = sheet.water.reductant.m_as("mol") + 2 * extent
    assert used <= reductant.amount.m_as("mol") * (1 + 1e-9)
    # Each magnesium that reacts becomes MgO; its oxygen came from MOH or H2O, whose hydrogen is
    # either in H2 or, for MOH, one atom each: 2 n(H2) = n(MOH used) + 2 n(H2O used).
    hydrogen = 2 * extent + 2 * sheet.water.reductant.m_as("mol")
    assert 2 * sheet.hydrogen_amount.m_as("mol") == pytest.approx(hydrogen, rel=1e-9)
    # Something runs out.
    left = source.amount.m_as("mol") - 2 * extent, reductant.amount.m_as("mol") - used
    assert min(left) == pytest.approx(0, abs=1e-9 * max(1, *left))


@given(
    grams,
    shares,
    st.decimals(min_value="0.01", max_value=1000, places=2),
    st.decimals(min_value=0, max_value=300, places=1),
)
def test_scaling_hits_its_target_whatever_the_reagents_are(magnesium, share, target, excess):
    prep = changed("10 g", magnesium, share, "K")
    sheet = scale(prep, f"{target} g", reductant_excess=f"{excess} %").charge()
    # Masses are given to five figures, so the yield holds to half a unit of the fifth.
    assert sheet.theoretical_yield.m_as("g") == pytest.approx(float(target), rel=5.1e-5)
    reached = sheet.reduction.excess.get("Mg")
    assert reached is None or reached.m_as("percent") >= float(excess) - 1e-6


@given(grams, grams, shares)
def test_the_yield_is_the_amount_times_the_molar_mass(hydroxide, magnesium, share):
    sheet = changed(hydroxide, magnesium, share, "K").charge()
    expected = sheet.metal_amount.m_as("mol") * molar_mass("K").m_as("g/mol")
    assert sheet.theoretical_yield.m_as("g") == pytest.approx(expected)
