"""The key of the exercise bank against answers worked out without the library.

Atomic weights: IUPAC, abridged standard atomic weights 2021 (H 1.008, C 12.011, O 15.999,
Mg 24.305, K 39.098). Molar gas constant: SI Brochure, 9th ed. (8.31446 J/(mol K)). Reaction
enthalpies and entropies: formation enthalpies and entropies as the NIST-JANAF tables print them,
read through the package ``janaf``, which holds the published files.
"""

import math

import pytest

from potash.exercises.bank import bank

K, KOH, MG, H2O, AMYL_ALCOHOL = 39.098, 56.105, 24.305, 18.015, 88.15
GAS_CONSTANT = 8.31446


def key(exercise_id: str, **figures: str) -> dict[str, float | str]:
    """The key's answers in the units asked, for the figures given."""
    exercise = bank()[exercise_id]
    solved = exercise.solve(figures)
    return {
        asked.name: asked.in_unit(solved[asked.name])
        if asked.kind == "number"
        else solved[asked.name]
        for asked in exercise.asked
        if asked.answer is not None
    }


def test_water_takes_its_share_of_magnesium():
    # 10.00 g × 0.86 ÷ 56.105 = 0.15328 mol; 5.00 g × 0.98 ÷ 24.305 − 10.00 g × 0.12 ÷ 18.015
    # = 0.20160 − 0.06661 = 0.13499 mol; the magnesium limits: × 39.098 = 5.278 g
    answers = key(
        "water-takes-magnesium",
        pellets="10.00 g", assay="86.0 %", moisture="12.0 %", turnings="5.00 g", purity="98.0 %",
    )  # fmt: skip
    assert answers["hydroxide"] == pytest.approx(0.15328, abs=1e-5)
    assert answers["magnesium_left"] == pytest.approx(0.13499, abs=1e-5)
    assert answers["limiting"] == "Mg"
    assert answers["metal"] == pytest.approx(5.278, abs=1e-3)


def test_magnesium_to_weigh_covers_hydroxide_water_and_excess():
    amount = (8.00 * 0.865 / KOH + 8.00 * 0.124 / H2O) * 1.10
    answers = key(
        "magnesium-to-weigh",
        pellets="8.00 g", assay="86.5 %", moisture="12.4 %", excess="10.0 %", purity="98.5 %",
    )  # fmt: skip
    assert answers["with_excess"] == pytest.approx(amount, rel=1e-4)
    assert answers["turnings"] == pytest.approx(amount * MG / 0.985, rel=1e-4)


def test_hydrogen_is_counted_from_hydroxide_and_water():
    # 0.150/2 + 0.060 = 0.135 mol; V = 0.135 × 8.31446 × 294.15 ÷ 99 800 = 3.308e-3 m3
    answers = key(
        "hydrogen-to-carry-away",
        hydroxide="0.150 mol", water="0.060 mol", temperature="21.0 °C", pressure="99.8 kPa",
    )  # fmt: skip
    assert answers["total"] == pytest.approx(0.135)
    assert answers["volume"] == pytest.approx(0.135 * GAS_CONSTANT * 294.15 / 99.8, rel=1e-5)


def test_catalyst_is_counted_in_doses():
    # 0.90 mL × 0.809 g/mL ÷ 88.15 g/mol = 8.260 mmol; of 0.140 mol 5.90 %; a third is 2.753 mmol
    answers = key(
        "catalyst-in-doses",
        volume="0.90 mL", temperature="20.0 °C", density="0.809 g/mL", hydroxide="0.140 mol",
        doses="three",
    )  # fmt: skip
    assert answers["alcohol"] == pytest.approx(8.260, abs=2e-3)
    assert answers["percent"] == pytest.approx(5.90, abs=5e-3)
    assert answers["dose"] == pytest.approx(2.753, abs=1e-3)


def test_electrons_given_are_electrons_taken():
    answers = key("electrons-in-the-reduction", metal="K", reductant="Mg")
    assert (answers["given_up"], answers["to_metal"], answers["to_hydrogen"]) == (4, 2, 2)


def test_water_in_lithium_hydroxide_monohydrate():
    # Li 6.94: LiOH·H2O is 41.96 g/mol, of which water 18.015/41.96 = 42.9 %
    answers = key("water-in-a-hydrate", hydrate="LiOH·H2O", mass="10.00 g")
    assert answers["molar"] == pytest.approx(41.96, abs=0.01)
    assert answers["fraction"] == pytest.approx(42.93, abs=0.02)
    assert answers["amount_water"] == pytest.approx(10.00 / 41.96, abs=1e-4)


def janaf(table: str, T: float, column: str) -> float:
    """A number as the NIST-JANAF table ``table`` prints it."""
    from janaf import Table

    rows = Table(table).df
    return rows.filter(rows["T(K)"] == T).row(0, named=True)[column]


def test_enthalpy_of_the_hydroxide_route_is_that_of_the_formation_values():
    # Elements count zero: 2 MgO(cr), table Mg-010, less 2 KOH(cr,l), table H-011.
    answers = key("gibbs-from-its-parts", metal="K", temperature="500 K")
    for name, column in (("enthalpy", "delta-f H"), ("gibbs", "delta-f G")):
        expected = 2 * janaf("Mg-010", 500, column) - 2 * janaf("H-011", 500, column)
        assert answers[name] == pytest.approx(expected, abs=0.1)


def test_equilibrium_constant_of_potassium_chloride_with_sodium():
    # log Kf at 600 K of NaCl(cr), table Cl-053, less that of KCl(cr), table Cl-036.
    expected = (janaf("Cl-053", 600, "log Kf") - janaf("Cl-036", 600, "log Kf")) * math.log(10)
    answers = key(
        "equilibrium-constant-from-gibbs",
        reaction="KCl + Na -> K + NaCl", temperature="600 K",
    )  # fmt: skip
    assert answers["logarithm"] == pytest.approx(expected, abs=0.02)


# NIST-JANAF, 4th ed., formation Gibbs energies of tables Mg-010 and Fe-020
def test_an_exchange_is_the_difference_of_two_printed_formation_values():
    answers = key("who-takes-the-oxygen", holder="MgO", taken="FeO", temperature="900 K")
    magnesia, wuestite = (2 * janaf(number, 900, "delta-f G") for number in ("Mg-010", "Fe-020"))
    assert answers["taker_line"] == pytest.approx(magnesia, abs=0.1)
    assert answers["gap"] == pytest.approx(magnesia - wuestite, abs=0.2)
    assert answers["verdict"] == "downhill"


def test_a_vacuum_is_worth_the_logarithm_of_the_partial_pressures():
    # ln Q = 2 ln(0.4 × 1e-3) + 3 ln(0.6 × 1e-3); RT = 8.31446 × 1100 J/mol
    answers = key("what-a-vacuum-is-worth", metal="K", temperature="1100 K", pressure="1.0 mbar")
    quotient = 2 * math.log(0.4e-3) + 3 * math.log(0.6e-3)
    assert answers["quotient"] == pytest.approx(quotient, rel=1e-6)
    assert answers["gibbs"] == pytest.approx(
        answers["standard"] + GAS_CONSTANT * 1.1 * quotient, rel=1e-5
    )


# Alcock, Itkin and Horrigan, Canadian Metallurgical Quarterly 1984, 23, 309, from memory, p in atm:
# K: log p = 4.402 - 4453/T; Na: log p = 4.704 - 5377/T
@pytest.mark.parametrize("metal, a, b", [("K", 4.402, 4453), ("Na", 4.704, 5377)])
def test_vapour_pressures_match_a_published_correlation(metal, a, b):
    answers = key("vapour-over-the-metal", metal=metal, temperature="700 K")
    assert answers["pressure"] == pytest.approx(1013.25 * 10 ** (a - b / 700), rel=0.08)


def test_what_boils_away_is_worked_out_by_hand():
    # 132 g ÷ 132.206 g/mol = 0.9984 mol; × 291 × 20.4 = 5927 J; (25 000 − 5927) ÷ 43 900 ÷ 0.9984
    answers = key(
        "what-boils-away", liquid="tetralin", heat="25.0 kJ", mass="132 g", start="460 K",
        capacity="291 J/(mol K)", boiling="480.4 K", vaporization="43.9 kJ/mol",
    )  # fmt: skip
    assert answers["amount"] == pytest.approx(0.9984, abs=1e-4)
    assert answers["warming"] == pytest.approx(5.927, abs=2e-3)
    assert answers["share"] == pytest.approx(43.51, abs=0.02)


def test_the_rise_without_a_liquid_is_worked_out_by_hand():
    # (2 × 30.5 + 2 × 49.0 + 30.0) / 2 = 94.5 J/K for a mole of KOH
    answers = key(
        "without-the-liquid", hydroxide="0.10 mol", temperature="470 K", metal="30.5 J/(mol K)",
        oxide="49.0 J/(mol K)", gas="30.0 J/(mol K)",
    )  # fmt: skip
    assert answers["capacity"] == pytest.approx(9.45)
    assert answers["rise"] == pytest.approx(1000 * answers["heat"] / 9.45, rel=1e-6)
    assert answers["boils"] == "yes"


# NIST-JANAF, 4th ed.: sodium melts at 370.98 K and boils at 1170.5 K
def test_the_phase_of_a_metal_follows_its_printed_points():
    answers = key("solid-molten-or-vapour", metal="Na", temperature="100 °C")
    assert answers["melting"] == pytest.approx(370.98 - 273.15, abs=0.1)
    assert answers["boiling"] == pytest.approx(1170.5 - 273.15, abs=0.2)
    assert answers["phase"] == "molten"
