"""The numbers that chapters print in their prose: each is calculated anew and looked up there."""

import itertools
from pathlib import Path

import pytest

import potash
from potash.preparation import Preparation
from potash.units import show

WORKBOOK = Path(__file__).resolve().parents[2] / "workbook"


def prose(chapter: str) -> str:
    (path,) = WORKBOOK.glob(f"{chapter}-*.ipynb")
    return path.read_text("utf-8").replace("\u00a0", " ")


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def test_chapter_1_balances_its_example():
    assert potash.balance("KOH + Mg -> K + MgO + H2").equation.shown in prose("01")


def test_chapter_1_shows_a_cycle_that_adds_up_to_its_example():
    # R is a tert-pentyl group, M potassium; the last three lines, added.
    steps = [
        "2 KOC5H11 + Mg -> MgO2C10H22 + 2 K",
        "MgO2C10H22 + 2 KOH -> 2 KOC5H11 + MgO + H2O",
        "H2O + Mg -> MgO + H2",
    ]
    total: dict[str, int] = {}
    for step in steps:
        for formula, number in potash.balance(step).coefficients.items():
            total[formula] = total.get(formula, 0) + number
    left = {formula: number for formula, number in total.items() if number}
    assert left == dict(potash.balance("KOH + Mg -> K + MgO + H2").coefficients)


@pytest.fixture(scope="module")
def example():
    return (
        Preparation.default()
        .replace(
            {
                "reagents.hydroxide.mass": "5.00 g",
                "reagents.hydroxide.assay": "85.0 %",
                "reagents.hydroxide.moisture": "14.0 %",
                "reagents.reductant.mass": "3.20 g",
                "reagents.reductant.assay": "99.0 %",
            }
        )
        .charge()
    )


def test_chapter_2_prints_the_amounts_of_its_example(example):
    text = prose("02")
    hydroxide, reductant = example.weighed
    for line in (
        f"5.00 g × 85.0 % ÷ 56.105 g/mol | {plain(show(hydroxide.amount, 3))} |",
        f"5.00 g × 14.0 % ÷ 18.015 g/mol | {plain(show(example.water.water, 3))} |",
        f"3.20 g × 99.0 % ÷ 24.305 g/mol | {plain(show(reductant.amount, 3))} |",
        f"| {plain(show(example.reduction.available['Mg'], 3))} |",
        f"| {example.limiting} |",
        f"| {plain(show(example.reduction.excess['Mg'], 3))} |",
        f"39.098 g/mol | {plain(show(example.theoretical_yield, 3))} |",
        f"from the water | {plain(show(example.hydrogen_amount, 3))} |",
    ):
        assert line in text, line


def test_chapter_2_says_rightly_that_water_brings_more_than_half_of_the_hydrogen(example):
    assert example.hydrogen_from_water > example.hydrogen_amount / 2


def test_chapter_3_prints_the_terms_and_sums_of_its_example():
    text = prose("03")
    explained = potash.balance("KCl + Na -> NaCl + K").explain("1000 K")
    for term in explained.terms:
        enthalpy = f"{term.enthalpy.m_as('kJ/mol'):.2f}".replace("-", "−")
        row = f"| {enthalpy} | {term.entropy.m_as('J/(mol K)'):.2f} |"
        assert row in text, (term.formula, row)
    enthalpy = explained.enthalpy.m_as("kJ/mol")
    energy = explained.gibbs_energy.m_as("kJ/mol")
    assert f"= {enthalpy:.2f}$ kJ/mol" in text
    assert f"= {energy:.2f}$ kJ/mol" in text
    assert explained.verdict == "uphill" and "**uphill** as written" in text


def test_chapter_3_says_rightly_which_routes_run_downhill():
    from potash.routes import reduction

    for metal in ("Li", "Na", "K", "Cs"):
        for reductant in ("Mg", "Ca", "Al"):
            assert reduction(metal, "hydroxide", reductant).verdict("473 K") == "downhill"
    for metal in ("K", "Cs"):
        for reductant in ("Mg", "Ca", "Al", "Na"):
            assert reduction(metal, "chloride", reductant).verdict("473 K") == "uphill"


def test_chapter_3_says_rightly_that_sodium_and_potassium_lie_close_together():
    from potash.routes import reduction

    sodium, potassium = (reduction(metal, "hydroxide", "Mg") for metal in ("Na", "K"))
    difference = sodium.gibbs_energy("473 K") - potassium.gibbs_energy("473 K")
    assert abs(difference.m_as("kJ/mol")) < 10


def test_chapter_3_reads_the_lines_of_its_diagram_rightly():
    from potash import diagrams

    text = prose("03")
    magnesium, carbon = (
        float(diagrams.line("oxides", compound).gibbs_energy_si(1500.0)) / 1e3
        for compound in ("MgO", "CO")
    )
    for told in (f"{magnesium:.0f} kJ for magnesium", f"{carbon:.0f} kJ for carbon"):
        assert told.replace("-", "−") in text, told
    assert f"more tightly by {carbon - magnesium:.0f} kJ" in text
    (crossing,) = (
        one.temperature.m_as("K")
        for one in diagrams.crossings("oxides", 300, 2400)
        if {one.lower_below.compound, one.lower_above.compound} == {"MgO", "CO"}
    )
    assert abs(crossing - 2120) < 5 and "near 2120 K" in text


def test_chapter_3_says_rightly_what_a_power_of_ten_in_pressure_is_worth():
    from potash import retorts

    for name in ("potassium carbonate and carbon", "lithium oxide and silicon"):
        charge = retorts.retort_charge(name)
        over = [
            retorts.amounts_over_temperature(charge, p) for p in ("1 bar", "0.1 bar", "0.01 bar")
        ]
        reached = [swept.reaches_si(0.1) for swept in over]
        assert all(100 <= hot - cold <= 250 for hot, cold in itertools.pairwise(reached))


def test_chapter_3_says_rightly_that_most_of_the_vapour_over_the_chloride_is_sodium():
    from potash import retorts

    charge = retorts.retort_charge("potassium chloride and sodium")
    swept = retorts.amounts_over_temperature(charge, "0.01 bar")
    sodium, potassium = (swept.amounts[metal, True].max() for metal in ("Na", "K"))
    assert sodium > 2 * potassium > 0


def test_chapter_3_says_rightly_how_much_heat_a_hydroxide_sets_free():
    released = -potash.balance("2 KOH + 2 Mg -> 2 K + 2 MgO + H2").enthalpy("473 K")
    assert abs(released.m_as("kJ/mol") / 2 - 180) < 10
