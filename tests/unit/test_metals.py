"""Molten alkali metals: what the records promise, and what they refuse."""

import numpy as np
import pytest

from potash.properties.errors import OutOfRange
from potash.properties.metals import SolidMetal, UnknownMetal, metal, metals
from potash.units import Quantity


def test_the_five_alkali_metals_are_there() -> None:
    assert [one.symbol for one in metals()] == ["Li", "Na", "K", "Rb", "Cs"]


@pytest.mark.parametrize("name", ["K", "potassium", "Potassium", " K "])
def test_a_metal_is_found_by_symbol_and_by_name(name: str) -> None:
    assert metal(name).symbol == "K"


def test_caesium_has_two_spellings() -> None:
    assert metal("cesium") is metal("caesium")


@pytest.mark.parametrize("name", ["Mg", "k", "", "x" * 10_000])
def test_anything_else_is_refused_with_the_five_named(name: str) -> None:
    with pytest.raises(UnknownMetal, match=r"Li \(lithium\), Na") as caught:
        metal(name)
    assert len(str(caught.value)) < 300


def test_a_solid_metal_is_refused_with_its_melting_point() -> None:
    with pytest.raises(SolidMetal, match=r"Lithium is solid at 150.°C: it melts at 180\.5.°C"):
        metal("Li").density("150 degC")


def test_a_temperature_above_the_data_is_refused_with_the_limit() -> None:
    with pytest.raises(OutOfRange, match=r"viscosity of molten rubidium is known up to 220\.1"):
        metal("Rb").viscosity("300 degC")


def test_a_boiling_metal_is_not_molten() -> None:
    with pytest.raises(OutOfRange, match="Potassium boils at 759"):
        metal("K").require_molten(1100.0)


@pytest.mark.parametrize("one", metals(), ids=lambda one: one.symbol)
@pytest.mark.parametrize("name", ["density", "viscosity", "surface_tension"])
def test_every_property_falls_as_the_melt_is_heated(one, name: str) -> None:
    low, high = one.correlations[name].valid
    values = one.correlations[name].function(np.linspace(low, high, 40))
    assert np.all(np.diff(values) < 0)
    assert values[-1] > 0


@pytest.mark.parametrize("one", metals(), ids=lambda one: one.symbol)
def test_every_record_begins_at_the_melting_point_and_names_its_source(one) -> None:
    for record in one.correlations.values():
        assert record.valid[0] == pytest.approx(one.melting_point_si)
        assert len(record.source) > 20
        assert 0 < record.relative_uncertainty < 0.1


def test_arrays_keep_their_shape() -> None:
    T = Quantity(np.array([[400.0, 500.0], [600.0, 700.0]]), "K")
    assert metal("Na").density(T).shape == (2, 2)
