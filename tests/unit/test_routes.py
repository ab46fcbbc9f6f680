"""Routes and the matrix of metals against reductants."""

import pytest

from potash import routes
from potash.routes import NoSuchRoute, matrix, reduction


@pytest.mark.parametrize("source", routes.SOURCES)
def test_every_square_has_a_balanced_reaction_or_a_reason(source):
    cells = matrix(source).cells
    assert len(cells) == len(routes.METALS) * len(routes.REDUCTANTS)
    for cell in cells:
        if cell.reaction is None:
            assert cell.why_not
        else:
            assert cell.reaction.equation.is_balanced
            assert cell.reaction.coefficients[cell.metal] > 0
            assert cell.reaction.coefficients[cell.reductant] < 0


@pytest.mark.parametrize(
    "asked, equation",
    [
        (("K", "hydroxide", "Mg"), "2 KOH + 2 Mg -> 2 K + 2 MgO + H2"),
        (("K", "hydroxide", "Fe"), "4 KOH + 3 Fe -> 4 K + Fe3O4 + 2 H2"),
        (("K", "oxide", "Al"), "3 K2O + 2 Al -> 6 K + Al2O3"),
        (("Na", "carbonate", "C"), "Na2CO3 + 2 C -> 2 Na + 3 CO"),
        (("Cs", "chloride", "Ca"), "2 CsCl + Ca -> 2 Cs + CaCl2"),
        (("K", "carbonate", "Na"), "K2CO3 + 2 Na -> 2 K + Na2CO3"),
        (("Li", "fluoride", "Mg"), "2 LiF + Mg -> 2 Li + MgF2"),
    ],
)
def test_routes_give_the_equations_of_the_trade(asked, equation):
    assert str(reduction(*asked)).replace("→", "->") == equation


def test_values_are_per_mole_of_metal():
    (reading,) = (
        one
        for one in matrix("oxide").at("1000 K")
        if (one.cell.metal, one.cell.reductant) == ("K", "Al")
    )
    written = reading.cell.reaction.gibbs_energy("1000 K").m_as("kJ/mol")
    assert reading.gibbs_energy.m_as("kJ/mol") == pytest.approx(written / 6)


@pytest.mark.parametrize("source", routes.SOURCES)
@pytest.mark.parametrize("T", ["300 K", "473 K", "1000 K", "1400 K"])
def test_no_sign_is_concluded_below_ten_kilojoules_per_mole_of_metal(source, T):
    for reading in matrix(source).at(T):
        if reading.gibbs_energy is None:
            assert reading.verdict == "no value" and reading.why_not
        elif abs(reading.gibbs_energy.m_as("kJ/mol")) <= 10:
            assert reading.verdict == "too close to call"


def test_a_square_without_data_says_why():
    (reading,) = (
        one
        for one in matrix("hydroxide").at("473 K")
        if (one.cell.metal, one.cell.reductant) == ("Rb", "Mg")
    )
    assert "RbOH" in reading.why_not


def test_practice_is_told_where_it_parts_from_the_number():
    sodium = matrix("hydroxide").cell("Na", "Mg")
    assert any("rate" in note and "no source" in note for note in sodium.practice)
    assert not matrix("hydroxide").cell("K", "Mg").practice


@pytest.mark.parametrize(
    "asked", [("Au", "oxide", "Mg"), ("K", "sulphide", "Mg"), ("K", "oxide", "Zn")]
)
def test_an_unknown_metal_source_or_reductant_is_refused_with_the_known_ones(asked):
    with pytest.raises(NoSuchRoute, match="is not one of"):
        reduction(*asked)


def test_a_metal_does_not_reduce_its_own_compound_and_carbon_takes_no_chloride():
    with pytest.raises(NoSuchRoute, match="cannot reduce its own"):
        reduction("Na", "oxide", "Na")
    with pytest.raises(NoSuchRoute, match="no chloride"):
        reduction("K", "chloride", "C")


def test_an_unknown_square_is_refused():
    with pytest.raises(NoSuchRoute, match="Zn"):
        matrix("oxide").cell("K", "Zn")
    with pytest.raises(NoSuchRoute, match="sulphide"):
        matrix("sulphide")
