"""The numbers that chapter 4 prints in its prose, calculated anew and looked up there."""

from pathlib import Path

import pytest

from potash.properties.metals import metal
from potash.solvents import Buoyancy, candidate, conditions, judge

CHAPTER = Path(__file__).resolve().parents[2] / "workbook" / "04-choose-the-liquid.ipynb"


@pytest.fixture(scope="module")
def prose() -> str:
    return CHAPTER.read_text("utf-8").replace("\u00a0", " ")


def _at(liquid: str, temperature: str) -> Buoyancy:
    return judge(candidate(liquid), conditions("K", temperature)).buoyancy


def test_the_densities_of_the_example_are_those_of_the_tables(prose: str) -> None:
    cool, hot = _at("tetralin", "120 degC"), _at("tetralin", "200 degC")
    for line in (
        f"| tetralin | {cool.liquid:.1f} | {hot.liquid:.1f} |",
        f"| molten potassium | {cool.metal:.1f} | {hot.metal:.1f} |",
        f"| difference | {cool.difference:+.1f} | {hot.difference:+.1f} |",
        f"uncertainty, {hot.margin:.0f} kg/m³",
    ):
        assert line in prose, line


def test_the_conclusions_of_the_example_hold(prose: str) -> None:
    cool, hot = _at("tetralin", "120 degC"), _at("tetralin", "200 degC")
    assert hot.difference < cool.difference / 2
    assert hot.difference > hot.margin
    xylene = _at("o-xylene", "120 degC")
    assert xylene.difference < -xylene.margin
    assert f"o-xylene, {xylene.liquid:.0f} kg/m³ at 120 °C" in prose
    assert f"near {xylene.crossing.temperature - 273.15:.0f} °C" in prose.replace("\\n", " ")


def test_a_liquid_gets_lighter_three_to_four_times_as_fast_as_the_melt() -> None:
    melt = metal("K")
    falls = 100 - 100 * (melt.density("200 degC") / melt.density("100 degC")).m_as("")
    liquid = candidate("tetralin").liquid
    other = 100 - 100 * (liquid.density("200 degC") / liquid.density("100 degC")).m_as("")
    assert 3 < other / falls < 4


def test_what_the_chapter_says_of_single_liquids_is_so() -> None:
    at = conditions("K", "200 degC")
    verdicts = {name: judge(candidate(name), at) for name in ("squalane", "tetralin", "toluene")}
    assert verdicts["squalane"].buoyancy.difference < 0
    assert verdicts["tetralin"].buoyancy.difference > 0
    assert verdicts["squalane"].rank < verdicts["tetralin"].rank
    outcomes = {one.rule: one.outcome for one in verdicts["tetralin"].findings}
    for rule in ("flash_point", "peroxides", "health_hazards"):
        assert outcomes[rule] == "with care"
    assert "never reaches" in verdicts["toluene"].reasons
