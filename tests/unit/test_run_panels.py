"""The panels of chapters 5 and 6 without a browser: predict, play, dose, compare, carry away."""

import asyncio
import logging
import re
from collections.abc import Callable, Coroutine, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from potash import Preparation
from potash.exercises.sheet import AnswerSheet
from potash.kinetics import teaching_values
from potash.panels.chapter_5.dose_controls import ONCE, TARNISH
from potash.panels.chapter_5.gas_log import GasLogPanel, gas_log
from potash.panels.chapter_5.run import WHAT_IF, RunPanel, run
from potash.panels.chapter_5.tuning import Tuning
from potash.panels.chapter_5.what_if import WhatIfPanel
from potash.panels.chapter_6.hydrogen import HydrogenPanel, hydrogen
from potash.workspace import Workspace

WaitFor = Callable[[Coroutine[Any, Any, object]], object]


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture(autouse=True)
def no_swallowed_error(caplog: pytest.LogCaptureFixture) -> Iterator[None]:
    """ipywidgets and the panels log what a callback raises; here that is a failure."""
    yield
    assert not [r.getMessage() for r in caplog.records if r.levelno >= logging.ERROR]


def plain(html: str) -> str:
    return re.sub(r"<[^>]+>", " ", html).replace("\u00a0", " ")


def alternative(html: str) -> str:
    found = re.search(r'alt="([^"]*)"', html)
    assert found, "no picture"
    return found[1].replace("\u00a0", " ")


def opened(panel: Any, guess: str) -> Any:
    panel.prediction.field.value = guess
    panel.prediction.keep_button.click()
    return panel


@pytest.fixture
def running() -> RunPanel:
    return opened(RunPanel(Preparation.default()), "no difference")


# The run


def test_nothing_of_the_run_is_shown_before_a_prediction_and_both_are_kept() -> None:
    panel = RunPanel(Preparation.default())
    assert panel.results.layout.display == "none"
    assert panel.picture_place.value == ""
    opened(panel, "no difference")
    (kept,) = AnswerSheet.open().predictions(WHAT_IF)
    assert kept.predicted == "no difference"
    assert "by one dose" in kept.result
    assert panel.results.layout.display is None


def test_the_picture_shows_the_past_only(running: RunPanel) -> None:
    running.moment.value = 100
    assert "up to 100 min: doses given 2" in alternative(running.picture_place.value)
    assert "What was seen" not in running.numbers.value
    running.end_button.click()
    assert "up to 300 min: doses given 3" in alternative(running.picture_place.value)
    assert "What was seen" in running.numbers.value


def test_a_dose_by_hand_at_the_chosen_moment_changes_what_follows(running: RunPanel) -> None:
    before = running.run
    running.moment.value = 150
    running.hand_button.click()
    assert "0.30 mL given at 150 min" in plain(running.shell.message.value)
    assert [round(dose.time.m_as("min")) for dose in running.run.doses] == [0, 60, 120, 150]
    assert running.run.final_yield > before.final_yield
    at = "149 min"
    assert running.run.at(at)["metal"].m_as("mol") == pytest.approx(
        before.at(at)["metal"].m_as("mol"), rel=1e-5
    )


def test_a_dose_by_hand_at_the_end_is_refused_in_words(running: RunPanel) -> None:
    running.end_button.click()
    running.hand_button.click()
    assert "Give it earlier" in running.shell.message.value
    running.moment.value = 30
    running.hand.value = "-1 mL"
    running.hand_button.click()
    assert "never comes out again" in running.shell.message.value


def test_playing_moves_time_to_the_end_and_stops(
    running: RunPanel, monkeypatch: pytest.MonkeyPatch, wait_for: WaitFor
) -> None:
    monkeypatch.setattr("potash.panels.chapter_5.run._FRAME", 0.0)

    async def watch() -> None:
        running.play_button.click()
        assert running.play_button.description == "Stop"
        for _ in range(200):
            await asyncio.sleep(0)

    wait_for(watch())
    assert running.moment.value == running.moment.max
    assert running.play_button.description == "Play"


def test_stop_holds_the_moment(
    running: RunPanel, monkeypatch: pytest.MonkeyPatch, wait_for: WaitFor
) -> None:
    monkeypatch.setattr("potash.panels.chapter_5.run._FRAME", 0.0)

    async def watch() -> None:
        running.play_button.click()
        for _ in range(20):
            await asyncio.sleep(0)
        running.play_button.click()
        for _ in range(5):
            await asyncio.sleep(0)

    wait_for(watch())
    assert 0 < running.moment.value < running.moment.max
    assert running.play_button.description == "Play"


def test_the_sign_of_the_moment_stands_in_words(running: RunPanel) -> None:
    assert "liquid is warming up" in running.seen.value
    running.moment.value = 50
    assert "Bubbles rise" in running.seen.value


def test_a_kept_run_is_compared_with_one_thing_changed(running: RunPanel) -> None:
    running.keep_button.click()
    running.stirred.value = False
    running.end_button.click()
    told = plain(running.numbers.value)
    assert "not stirred, surface ordinary" in told and "stirred, surface ordinary" in told
    assert len(running.kept) == 1
    assert running.kept[0].final_yield > running.run.final_yield
    running.forget_button.click()
    assert running.kept == []


def test_no_more_than_two_runs_are_kept(running: RunPanel) -> None:
    for surface in ("fresh", "oxidised", "ordinary"):
        running.surface.value = surface
        running.keep_button.click()
    assert [one.surface for one in running.kept] == ["oxidised", "ordinary"]


def test_plans_are_chosen_and_a_bad_one_is_told_while_the_run_stays(running: RunPanel) -> None:
    running.dosing.kind.value = ONCE
    assert running.run.plan.title == "all at once"
    running.dosing.kind.value = TARNISH
    running.dosing.alcohol.value = "0.30 mL"
    running.dosing.doses.value = "5"
    assert running.run.plan.title == "on a sign of tarnish"
    before = running.run
    running.dosing.doses.value = "a few"
    assert '"a few" is no whole number' in plain(running.shell.message.value).replace("&quot;", '"')
    assert running.run is before


def test_the_least_alcohol_is_found_and_a_wish_out_of_reach_is_told(running: RunPanel) -> None:
    running.wanted.value = "60 %"
    running.least_button.click()
    assert "in 3 equal doses give" in running.shell.message.value
    assert 60 <= running.run.final_yield.m_as("percent") < 62
    running.stirred.value = False
    running.wanted.value = "99 %"
    running.least_button.click()
    assert "out of reach" in running.shell.message.value


def test_a_number_of_the_model_is_moved_and_taken_back(running: RunPanel) -> None:
    before = running.run.final_yield
    running.tuning_button.click()
    running.tuning.name.value = "impurity"
    running.tuning.slider.value = 0
    assert running.run.final_yield > before
    running.end_button.click()
    assert "Moved from the teaching values: impurity" in running.numbers.value
    running.tuning.back_button.click()
    assert running.run.final_yield == before


def test_every_number_of_the_model_can_be_moved_over_its_range() -> None:
    tuning = Tuning(lambda: None)
    for name, entry in teaching_values().items():
        tuning.name.value = name
        for share in (0, 37, 100):
            tuning.slider.value = share
            tuning.follow()
        assert tuning.parameters[name].value == pytest.approx(entry.highest)
        assert tuning.parameters[name].label == "changed here"


def test_a_preparation_off_the_route_is_told_on_the_card(folder: Path) -> None:
    Preparation.default().replace({"catalyst": None}).save(folder / "preparation.toml")
    assert "has no [catalyst]" in run().message.value
    assert "has no [catalyst]" in hydrogen().message.value


# What if


def test_runs_are_made_in_the_background_and_their_spread_is_shown() -> None:
    panel = opened(WhatIfPanel(Preparation.default()), "mass of the hydroxide")
    assert "What moves the metal yield most" in alternative(panel.tornado_place.value)
    panel.samples.value = "40"
    panel.go_button.click()
    panel.worker.join(60)
    assert "40 of 40 runs made" in panel.done.value
    assert panel.progress.value == 40
    assert "19 of 20" in alternative(panel.spread_place.value)
    panel.outcome.value = "hydrogen"
    assert "hydrogen, mol in 40 runs" in alternative(panel.spread_place.value)


def test_runs_are_stopped_and_what_was_made_is_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    panel = opened(WhatIfPanel(Preparation.default()), "mass of the hydroxide")
    panel.samples.value = "5000"
    told = panel._tell_progress

    def stop_at_once(done: int, asked: int) -> None:
        told(done, asked)
        if done:
            panel.stop_button.click()

    monkeypatch.setattr(panel, "_tell_progress", stop_at_once)
    panel.go_button.click()
    panel.worker.join(60)
    assert panel.spread.cancelled and 0 < panel.spread.done < 5000
    assert "stopped" in panel.spread_place.value
    assert not panel.go_button.disabled


@pytest.mark.parametrize("typed", ["many", "3", "-5", "1e9", ""])
def test_a_number_of_runs_that_is_none_is_told(typed: str) -> None:
    panel = opened(WhatIfPanel(Preparation.default()), "mass of the hydroxide")
    panel.samples.value = typed
    panel.go_button.click()
    assert "One that works: 200" in panel.shell.message.value
    assert panel.worker is None


# The gas log


def test_the_invented_log_is_fitted_with_its_end() -> None:
    panel = GasLogPanel(Workspace.find())
    panel.example_button.click()
    told = plain(panel.content.value)
    assert "95 % of it will have come at" in told
    assert "Gas log with its fit: 81 readings" in alternative(panel.content.value)


def test_a_log_of_the_folder_that_has_not_bent_gets_its_pace_and_no_end(folder: Path) -> None:
    minutes = np.arange(0, 40)
    rows = "".join(f"{t};{15 * max(t - 5, 0) + t % 2}\n" for t in minutes)
    (folder / "gas-log.csv").write_text("time / min;volume / mL\n" + rows)
    panel = GasLogPanel(Workspace.find())
    panel.read_button.click()
    told = plain(panel.content.value)
    assert "has not bent" in told and "will have come at" not in told


def test_a_missing_log_is_told_and_nothing_is_shown() -> None:
    panel = GasLogPanel(Workspace.find())
    panel.example_button.click()
    panel.read_button.click()
    assert "cannot be read" in panel.shell.message.value
    assert panel.content.value == ""
    assert gas_log().message.value == ""


# Hydrogen


@pytest.fixture
def releasing() -> HydrogenPanel:
    return opened(HydrogenPanel(Preparation.default()), "about as much")


def test_the_worst_moment_is_told_against_the_mean(releasing: HydrogenPanel) -> None:
    assert "times the mean" in releasing.prediction.outcome.value
    assert "Hydrogen flow over time: at most" in alternative(releasing.flow_place.value)


def test_a_larger_preparation_passes_the_limit(releasing: HydrogenPanel) -> None:
    assert "stays below" in releasing.hood.content.value
    releasing.hood.airflow.value = "20 m3/h"
    releasing.hood.scale.value = 100
    assert "Too much for this hood" in releasing.hood.content.value
    assert "passes 1.00" in alternative(releasing.hood.content.value)


def test_no_ventilation_is_told_with_what_is_needed(releasing: HydrogenPanel) -> None:
    releasing.hood.airflow.value = "0 m3/h"
    assert "Without a working hood" in releasing.hood.message.value
    releasing.hood.airflow.value = "600 m3/h"
    assert releasing.hood.message.value == ""


def test_a_balloon_too_small_is_told_and_the_rest_still_shown(releasing: HydrogenPanel) -> None:
    releasing.apparatus.balloon.value = "2 L"
    assert "must hold at least" in releasing.apparatus.message.value
    assert "too small" in releasing.apparatus.content.value
    assert "On cooling" in releasing.apparatus.content.value


def test_a_field_that_cannot_be_read_is_told_by_name(releasing: HydrogenPanel) -> None:
    releasing.hood.volume.value = "1,2"
    assert "volume of the hood" in releasing.hood.message.value
    releasing.apparatus.condenser.value = "60"
    assert "condenser" in releasing.apparatus.message.value


def test_every_panel_leaves_a_still_with_its_state(releasing: HydrogenPanel) -> None:
    still = releasing.shell.still.bundle
    assert "stays below" in still["text/html"] and "stays below" in still["text/plain"]


def test_curves_keep_their_hue_although_the_first_frame_shows_none(running: RunPanel) -> None:
    """The shades of a picture are taken from one frame; the gas curve once came out grey."""
    import base64
    import io

    from PIL import Image

    from potash.panels.frame import look

    running.end_button.click()
    encoded = re.search(r'base64,([^"]+)"', running.picture_place.value)
    assert encoded
    image = Image.open(io.BytesIO(base64.b64decode(encoded[1]))).convert("RGB")
    shades = np.asarray(image).reshape(-1, 3).astype(int)
    for hue in (look.CONTRAST, look.ACCENT, look.WARNING, look.METALS["K"].hue):
        wanted = np.array([int(hue[i : i + 2], 16) for i in (1, 3, 5)])
        near = np.abs(shades - wanted).max(axis=1) <= 12
        assert near.sum() > 50, hue
