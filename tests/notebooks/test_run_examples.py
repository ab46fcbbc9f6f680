"""The numbers that chapters 5 and 6 print in their prose, each calculated anew."""

import math
from pathlib import Path

import pytest

from potash import Preparation
from potash.hydrogen import smallest_airflow, steady_release
from potash.kinetics import REACTIONS, SPECIES, batch, simulate_reduction, teaching_values

WORKBOOK = Path(__file__).resolve().parents[2] / "workbook"
WORDS = {15: "fifteen", 16: "sixteen"}


def prose(chapter: str) -> str:
    (path,) = WORKBOOK.glob(f"{chapter}-*.ipynb")
    return path.read_text("utf-8").replace("\\\\", "\\")


@pytest.fixture(scope="module")
def run():
    return simulate_reduction(Preparation.default())


def test_chapter_5_counts_species_and_reactions_of_the_model():
    told = f"counts amounts of {WORDS[len(SPECIES)]} species in {WORDS[len(REACTIONS)]} such"
    assert told in prose("05")


def test_chapter_5_prints_what_the_default_charge_holds():
    flask = batch(Preparation.default())
    text = prose("05")
    assert f"{1e3 * flask.hydroxide:.0f} mmol of KOH, {1e3 * flask.water:.0f} mmol of water" in text
    assert f"{1e3 * flask.alcohol:.1f} mmol of 2-methyl-2-butanol in three" in text
    assert f"= {flask.hydroxide / flask.alcohol:.0f}$ times" in text


def test_chapter_5_prints_the_half_life_of_the_teaching_value():
    k = teaching_values()["spending_rate"].si
    assert k == 1.0e-4
    assert round(math.log(2) / k, -2) == 6900
    assert r"\ln 2/k = 6900\ \mathrm{s}" in prose("05")
    assert f"e^{{-1.8}} = {math.exp(-1.8):.2f}" in prose("05")
    assert k * 5 * 3600 == pytest.approx(1.8)


def test_chapter_6_prints_total_mean_and_worst_moment_of_the_default_run(run):
    released, text = run.release, prose("06")
    assert f"sets {released.total_volume.m_as('L'):.1f} L of hydrogen free in five hours" in text
    assert f"a mean of {released.mean_flow.m_as('mL/min'):.0f} mL/min" in text
    assert f"it is {released.worst[0].m_as('mL/min'):.0f} mL/min" in text


def test_chapter_6_prints_the_smallest_airflow():
    needed = smallest_airflow(steady_release("46 mL/min", "1 min"), mixing_factor=5)
    assert f"= {needed.m_as('L/min'):.0f}\\ \\mathrm{{L/min}}" in prose("06")
    assert f"= {needed.m_as('m^3/h'):.1f}\\ \\mathrm{{m^3/h}}" in prose("06")


def test_chapter_6_says_rightly_that_the_worst_moment_comes_before_any_metal(run):
    _, when = run.release.worst
    assert run.at(when)["metal"] < 0.01 * run.most_metal


def test_chapter_6_says_rightly_that_nearly_two_fifths_are_drawn_back():
    assert pytest.approx(0.38, abs=0.005) == 1 - 293.15 / 473.15
