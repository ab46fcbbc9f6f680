"""Verdicts against what is known of these liquids."""

import numpy as np
import pytest

from potash.properties.metals import metal
from potash.solvents import candidate, conditions, judge


def _judged(liquid: str, temperature: str, **asked):
    return judge(candidate(liquid), conditions("K", temperature, **asked))


# Common practice, no source: tetralin is denser than potassium over the whole working range.
@pytest.mark.parametrize("t", [70, 100, 130, 160, 190, 205])
def test_tetralin_floats_potassium_from_70_to_205_degrees(t: int) -> None:
    floats = _judged("tetralin", f"{t} degC").buoyancy
    assert floats.difference > floats.margin
    assert floats.crossing is None


# Common practice, no source: light mineral oil, here its alkanes, does not.
@pytest.mark.parametrize("liquid", ["decane", "dodecane", "hexadecane", "squalane"])
@pytest.mark.parametrize("t", [70, 130, 170])
def test_a_light_alkane_oil_does_not_float_potassium(liquid: str, t: int) -> None:
    floats = _judged(liquid, f"{t} degC").buoyancy
    assert floats.difference < 0


# Common practice, no source: only tertiary alcohols carry the catalysis; as liquids they are eaten.
@pytest.mark.parametrize("liquid", ["2-methyl-2-butanol", "tert-butanol"])
def test_tertiary_alcohols_are_catalysts_and_no_solvents(liquid: str) -> None:
    verdict = _judged(liquid, "80 degC")
    assert verdict.verdict == "unsuitable"
    assert "it is the catalyst of the hydroxide route" in verdict.reasons


# Bretherick's Handbook: mixtures of alkali metals and halogenated liquids explode.
@pytest.mark.parametrize(
    "liquid",
    [
        "chlorobenzene",
        "1,2-dichlorobenzene",
        "dichloromethane",
        "chloroform",
        "carbon tetrachloride",
        "tetrachloroethylene",
        "epichlorohydrin",
        "perfluorodecalin",
    ],
)
@pytest.mark.parametrize("t", [70, 205])
def test_halogenated_liquids_are_refused_outright_with_the_explosion_warning(
    liquid: str, t: int
) -> None:
    verdict = _judged(liquid, f"{t} degC", without=["working_temperature", "density"])
    assert verdict.verdict == "unsuitable"
    assert verdict.reasons.startswith("Carbon-halogen bond: mixtures of alkali metals and")
    assert "explode" in verdict.reasons


# Bretherick's Handbook: dimethyl sulfoxide with strong bases and heat.
def test_dimethyl_sulfoxide_is_refused_for_its_sulfoxide() -> None:
    verdict = _judged("DMSO", "150 degC")
    assert verdict.verdict == "unsuitable"
    assert verdict.reasons.startswith("Sulfoxide: the metal reduces it and takes its acidic C-H")


# Holy, Chem. Rev. 74 (1974) 243: naphthalenes and biphenyl form radical anions with alkali metals.
@pytest.mark.parametrize("liquid", ["1-methylnaphthalene", "naphthalene", "biphenyl"])
def test_aromatics_that_take_electrons_need_care(liquid: str) -> None:
    outcomes = {one.rule: one.outcome for one in _judged(liquid, "200 degC").findings}
    assert outcomes["electron_uptake"] == "with care"
    assert outcomes["functional_groups"] == "passed"


# Sodium, 902 kg/m3 at 205 deg C, is denser than tetralin, 825 kg/m3: CRC table and Perry's.
def test_tetralin_does_not_float_sodium() -> None:
    floats = judge(candidate("tetralin"), conditions("Na", "205 degC")).buoyancy
    assert floats.difference < -floats.margin


# Lithium, 0.51 g/cm3, is lighter than every liquid of the table that has data there.
def test_lithium_floats_on_everything() -> None:
    T = np.array([190.0, 205.0])
    for t in T:
        floats = judge(candidate("tetralin"), conditions("Li", f"{t} degC")).buoyancy
        assert floats.difference > 200
    assert metal("Li").density("190 degC").m_as("g/cm^3") == pytest.approx(0.51, abs=0.01)
