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
