"""The panels of chapter 3 without a browser: predictions first, then figures that follow."""

import asyncio
import logging
from collections.abc import Iterator
from pathlib import Path

import pytest

from potash.exercises.sheet import AnswerSheet
from potash.panels.chapter_3.diagram import DiagramPanel
from potash.panels.chapter_3.equilibrium import RetortPanel
from potash.panels.chapter_3.heating import HeatingPanel
from potash.panels.chapter_3.matrix import MatrixPanel
from potash.panels.frame import grid, look
from potash.panels.frame.ahead import WorkedAhead
from potash.preparation import Preparation


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The student's folder, as a kernel started there sees it."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture(autouse=True)
def no_swallowed_error(caplog: pytest.LogCaptureFixture) -> Iterator[None]:
    """Panels log what a callback raises; here that is a failure."""
    yield
    errors = [record.getMessage() for record in caplog.records if record.levelno >= logging.ERROR]
    assert not errors


def keep(panel, guess):
    panel.prediction.field.value = guess
    panel.prediction.keep_button.click()


def is_hidden(control):
    return control.layout.display == "none"


def new_panels():
    return [DiagramPanel(), MatrixPanel(), RetortPanel(), HeatingPanel(Preparation.default())]


def test_no_panel_shows_a_result_before_a_prediction():
    for panel in new_panels():
        assert is_hidden(panel.results)
        assert "no prediction yet" in panel.shell.still.bundle["text/plain"].lower()


def test_a_kept_prediction_is_on_the_answer_sheet_with_the_result():
    keep(DiagramPanel(), "downhill")
    (kept,) = AnswerSheet.open().predictions("exchange: MgO + C -> Mg + CO at 1000 K")
    assert kept.predicted == "downhill"
    assert "uphill" in kept.result and "±" in kept.result and "per mole of O2" in kept.result


def test_a_panel_opened_again_remembers_the_prediction():
    keep(MatrixPanel(), "all")
    assert not is_hidden(MatrixPanel().results)


# --------------------------------------------------------------------- diagram


@pytest.fixture
def diagram() -> DiagramPanel:
    panel = DiagramPanel()
    keep(panel, "uphill")
    return panel


def test_the_diagram_turns_round_where_its_lines_cross(diagram):
    assert "uphill" in diagram.shown.value and "2120 K ± 10 K" in diagram.shown.value
    diagram.temperature.value = 2300
    assert "downhill" in diagram.shown.value
    diagram.temperature.value = 2120
    assert "too close to call" in diagram.shown.value


def test_the_alternative_text_names_the_lines_in_their_order(diagram):
    told = diagram.shown.value
    assert "from lowest to highest: CaO, MgO, Li2O, Al2O3, SiO2, Na2O" in told


def test_every_family_and_both_bases_can_be_drawn(diagram):
    for family in ("chlorides", "fluorides", "oxides"):
        diagram.family.value = family
        keep(diagram, "uphill")
        for per in ("metal atom", "oxidant"):
            diagram.per.value = per
            assert 'class="potash-picture"' in diagram.shown.value
        assert "Every crossing of the" in diagram.crossings.value


def test_one_element_does_not_take_from_itself(diagram):
    diagram.taker.value, diagram.giver.value = "MgO", "MgO"
    assert "two different elements" in diagram.shell.message.value
    assert is_hidden(diagram.results)


def test_beyond_the_data_no_number_is_shown(diagram):
    diagram.giver.value = "K2O"
    keep(diagram, "uphill")
    diagram.temperature.value = 2300
    assert "no data at 2300 K" in diagram.shown.value


# --------------------------------------------------------------------- matrix


@pytest.fixture
def matrix() -> MatrixPanel:
    panel = MatrixPanel()
    keep(panel, "half or more")
    return panel


def faces(panel):
    return panel.grid.widget.grid["cells"]


def test_every_square_carries_a_sign_beside_its_colour(matrix):
    for line in faces(matrix):
        for face in line:
            assert face["text"][0] in "▼▲≈–"
            assert ("no value" in face["label"]) == (face["text"] == "–")
            assert face["text"] == "–" or "±" in face["label"]


def test_a_pressed_square_opens_its_reaction_term_by_term(matrix):
    matrix.grid.widget.chosen = [2, 1]
    assert "CaO" in matrix.detail.value and "Term by term" in matrix.detail.value
    assert faces(matrix)[2][1]["chosen"] and not faces(matrix)[2][0]["chosen"]


def test_an_empty_square_says_why_it_is_empty(matrix):
    matrix.grid.widget.chosen = [3, 0]
    assert "298.15 K" in matrix.detail.value
    matrix.grid.widget.chosen = [1, 3]
    assert "cannot reduce its own" in matrix.detail.value


def test_the_numbers_move_with_the_temperature(matrix):
    before = faces(matrix)[2][0]["text"]
    matrix.temperature.value = 900
    assert faces(matrix)[2][0]["text"] != before


def test_the_still_of_the_matrix_is_a_table_with_its_numbers(matrix):
    still = matrix.shell.still.bundle["text/html"]
    assert "<table" in still and faces(matrix)[2][0]["text"] in still


def luminance(colour):
    """Relative luminance. Source: WCAG 2.2."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("value", range(-400, 401, 10))
def test_numbers_are_legible_on_every_ground(value):
    low, high = sorted((luminance(grid.tint(value, 250.0)), luminance(look.INK)))
    assert (high + 0.05) / (low + 0.05) >= 4.5


# --------------------------------------------------------------------- retort


@pytest.fixture
def retort() -> RetortPanel:
    panel = RetortPanel()
    keep(panel, "1000 °C")
    return panel


def test_letting_the_pressure_down_brings_the_metal_over_earlier(retort):
    assert "1340 K" in retort.shown.value
    retort.pressure.value = 1e-2
    assert "1050 K" in retort.shown.value
    assert "at 0.010 bar" in retort.shown.value.replace("\u00a0", " ")


def test_a_sweep_over_pressure_has_a_temperature_slider(retort):
    retort.over.value = "pressure"
    assert is_hidden(retort.pressure) and not is_hidden(retort.temperature)
    before = retort.shown.value
    retort.temperature.value = retort.temperature.value + 100
    assert retort.shown.value != before


@pytest.mark.parametrize("guess", ["5 g", "900", "hot"])
def test_a_guess_that_is_no_temperature_is_asked_back_and_kept_in_its_field(guess):
    panel = RetortPanel()
    keep(panel, guess)
    assert "Not taken" in panel.shell.message.value
    assert panel.prediction.field.value == guess and is_hidden(panel.results)


def test_every_charge_can_be_chosen(retort):
    for _, name in retort.charge_choice.options:
        retort.charge_choice.value = name
        keep(retort, "1000 K")
        assert 'class="potash-picture"' in retort.shown.value
        assert name.split()[0] and "bar" in retort.shown.value


def test_results_are_worked_out_once_a_position():
    asked = []
    ahead = WorkedAhead(lambda position: asked.append(position) or position, 5)
    assert [ahead.at(position) for position in (3, 3, 1, 3)] == [3, 3, 1, 3]
    assert asked == [3, 1]


def test_positions_beside_the_present_one_are_worked_out_while_the_hand_rests(wait_for):
    asked = []

    async def rest():
        ahead = WorkedAhead(lambda position: asked.append(position) or position, 4)
        ahead.at(2)
        await asyncio.sleep(0.6)
        ahead.stop()

    wait_for(rest())
    assert asked[0] == 2 and sorted(asked) == [0, 1, 2, 3]


# --------------------------------------------------------------------- heating


@pytest.fixture
def heating() -> HeatingPanel:
    panel = HeatingPanel(Preparation.default())
    keep(panel, panel.prediction.field.options[1][1])
    return panel


def test_the_default_charge_boils_its_liquid_away_if_all_reacts_at_once(heating):
    assert "all of it boils away" in heating.prediction.outcome.value
    assert "100 %" in heating.shown.value and "boiling of K" in heating.shown.value


def test_less_at_once_leaves_the_liquid_where_it_is(heating):
    heating.share.value = 5
    heating.volume.value = 300
    assert "0 %" in heating.shown.value and "rise with 300 mL" in heating.shown.value
    assert "stays below its boiling point" in heating.shown.value


def test_the_comparison_without_liquid_is_always_there(heating):
    assert "rise without any liquid" in heating.shown.value
    heating.volume.value = 0
    assert "about 1650 K" in heating.shown.value


def test_every_liquid_can_be_chosen(heating):
    for _, name in heating.liquid.options:
        heating.liquid.value = name
        keep(heating, heating.prediction.field.options[0][1])
        assert name in heating.shown.value
