"""The panels of quench, waste, storage, yield and plan, without a browser."""

import logging
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from potash import panels
from potash.panels.chapter_7.quench import QuenchPanel
from potash.panels.chapter_7.quench_failures import FailurePanel
from potash.panels.chapter_7.waste import WastePanel
from potash.panels.chapter_8.storage import StoragePanel
from potash.panels.chapter_9.honest_yield import YieldPanel
from potash.panels.chapter_9.plan import PlanPanel
from potash.plan_document import planned
from potash.preparation import Preparation
from potash.quenching import failures
from potash.waste import WAIT_FOR
from potash.workspace import Workspace


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The student's folder, as a kernel started there sees it."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture(autouse=True)
def no_swallowed_error(caplog: pytest.LogCaptureFixture) -> Iterator[None]:
    """ipywidgets and the panels log what a callback raises; here that is a failure."""
    yield
    errors = [record.getMessage() for record in caplog.records if record.levelno >= logging.ERROR]
    assert not errors


def predict(panel: Any) -> None:
    field = panel.prediction.field
    field.value = field.options[0][1]
    panel.prediction.keep_button.click()


# ------------------------------------------------------------------ quench


@pytest.fixture
def quench() -> QuenchPanel:
    panel = QuenchPanel("K", "1.4 g")
    predict(panel)
    return panel


def test_the_quench_stays_hidden_until_a_prediction_is_kept() -> None:
    panel = QuenchPanel("K", "1.4 g")
    assert panel.shown.value == "" and panel.results.layout.display == "none"
    predict(panel)
    assert "potash-picture" in panel.shown.value
    assert "criticality class" in panel.shown.value
    assert "Teaching values" in panel.shown.value


def test_a_faster_feed_raises_the_hydrogen_that_is_shown(quench: QuenchPanel) -> None:
    before = float(quench.course.highest_hydrogen_flow.m)  # type: ignore[union-attr]
    quench.controls.feed.value = 8.0
    assert float(quench.course.highest_hydrogen_flow.m) > before  # type: ignore[union-attr]


def test_water_is_refused_and_its_warnings_are_all_shown(quench: QuenchPanel) -> None:
    quench.controls.alcohol.value = "water"
    assert "Water is no quench liquid" in quench.shell.message.value
    assert "Water while flammable liquid is about" in quench.cautions.value
    assert quench.shown.value == "" and quench.course is None
    quench.controls.alcohol.value = "2-propanol"
    assert quench.shell.message.value == "" and "potash-picture" in quench.shown.value


def test_a_picture_stays_until_the_next_one_takes_its_place(quench: QuenchPanel) -> None:
    seen = []
    quench.shown.observe(lambda change: seen.append(change["new"]), "value")
    quench.controls.feed.value *= 1.5
    assert len(seen) == 1 and "<img" in seen[0]


def test_what_cannot_be_read_is_said_and_nothing_stale_stays(quench: QuenchPanel) -> None:
    quench.controls.mass.value = "two grams"
    assert "Not taken" in quench.shell.message.value
    assert quench.shown.value == quench.cautions.value == ""
    assert quench.controls.mass.value == "two grams"


def test_an_empty_hood_is_no_hood(quench: QuenchPanel) -> None:
    quench.controls.hood.value = ""
    assert "No hood draws the hydrogen away" in quench.cautions.value


def test_the_limits_say_what_decides_and_how_many_runs_they_took(quench: QuenchPanel) -> None:
    quench.limits_button.click()
    assert "Largest feed" in quench.limits.value and "Runs it took" in quench.limits.value
    quench.controls.feed.value = 1.0
    assert quench.limits.value == ""


def test_the_picture_tells_its_key_numbers_in_words(quench: QuenchPanel) -> None:
    assert 'alt="A quench of' in quench.shown.value
    assert "bubbling stops after" in quench.shown.value


# ------------------------------------------------------------------ failures


@pytest.mark.parametrize("failure", failures(), ids=lambda one: one.name)
def test_each_failure_asks_first_and_then_shows_both_courses(failure: Any) -> None:
    panel = FailurePanel(planned(Preparation.default()).quench)
    panel.failure.value = failure.name
    assert failure.question in panel.prediction.question.value
    assert panel.shown.value == ""
    assert tuple(value for _, value in panel.guess.options) == failure.choices
    predict(panel)
    assert failure.lesson in panel.shown.value
    assert "The calculation says" in panel.prediction.outcome.value


def test_a_failure_that_was_predicted_stays_open() -> None:
    quench = planned(Preparation.default()).quench
    predict(FailurePanel(quench))
    assert FailurePanel(quench).prediction.is_open


# ------------------------------------------------------------------ waste


def test_the_waste_panel_names_what_to_wait_for_until_all_is_ticked() -> None:
    panel = WastePanel(planned(Preparation.default()))
    assert "Not yet. Wait for" in panel.shown.value
    for tick in panel.ticks:
        tick.value = True
    assert "Not yet" not in panel.shown.value and "no permission" in panel.shown.value
    assert len(panel.ticks) == len(WAIT_FOR)


def test_the_acid_follows_the_concentration_and_bad_figures_are_told() -> None:
    panel = WastePanel(planned(Preparation.default()))
    panel.mass.value = "3.91 g"
    panel.concentration.value = "2.0 mol/L"
    assert "50.0\u00a0mL" in panel.shown.value
    panel.concentration.value = "2 g"
    assert "Not taken" in panel.shell.message.value and panel.shown.value == ""


def test_a_name_on_the_label_is_never_markup() -> None:
    panel = WastePanel(planned(Preparation.default()))
    panel.person.value = "<script>"
    assert "<script>" not in panel.shown.value and "&lt;script&gt;" in panel.shown.value


# ------------------------------------------------------------------ storage


def test_storage_tells_date_decider_and_warning() -> None:
    panel = StoragePanel("K")
    assert panel.shown.value == ""
    predict(panel)
    assert "decided by" in panel.shown.value and "explode" in panel.shown.value
    panel.metal.value = "Na"
    assert "can explode" not in panel.shown.value
    assert "the few-months rule" in panel.shown.value


def test_storage_refuses_a_dry_keeping_in_words() -> None:
    panel = StoragePanel("K")
    predict(panel)
    panel.area.value = "0 cm2"
    assert "metal_area" in panel.shell.message.value and panel.shown.value == ""


# ------------------------------------------------------------------ yield


def test_the_yield_opens_all_three_cards() -> None:
    panel = YieldPanel(Preparation.default())
    assert all(card.shown.value == "" for card in panel.cards)
    predict(panel)
    assert "purity, metal only" in panel.gas.shown.value
    assert "purity, all alkali" in panel.titration.shown.value
    assert "unaccounted for" in panel.balance.shown.value
    assert all("share of variance" in card.shown.value.lower() for card in panel.cards)
    assert all("Contribution, %" in card.shown.value for card in panel.cards)


def test_a_barometer_in_the_wrong_unit_is_told_on_its_card() -> None:
    panel = YieldPanel(Preparation.default())
    predict(panel)
    panel.gas.fields["barometer"][0].value = "750 bar"
    assert "750 mmHg" in panel.gas.message.value and panel.gas.shown.value == ""
    assert panel.titration.shown.value != ""


def test_a_titre_beyond_the_burette_is_told_on_its_card() -> None:
    panel = YieldPanel(Preparation.default())
    predict(panel)
    panel.titration.burette.value = "50 mL"
    assert "larger than the burette" in panel.titration.message.value


# ------------------------------------------------------------------ plan


def test_the_plan_is_written_beside_the_chapters(folder: Path) -> None:
    panel = PlanPanel(Workspace(folder), Preparation.default())
    panel.write_button.click()
    assert (folder / "plan.pdf").read_bytes().startswith(b"%PDF")
    assert "NOT APPROVED" in (folder / "plan.html").read_text("utf-8")
    assert "NOT APPROVED" in panel.shell.message.value


def test_the_plan_shows_every_caution_of_a_bad_quench(folder: Path) -> None:
    panel = PlanPanel(Workspace(folder), Preparation.default())
    panel.controls.hood.value = "none"
    panel.controls.alcohol.value = "water"
    assert "No hood" in panel.cautions.value and "Water instead" in panel.cautions.value


@pytest.mark.parametrize(
    "name", ["quench", "quench_failures", "waste", "storage", "honest_yield", "plan"]
)
def test_each_panel_opens_by_its_public_name(name: str) -> None:
    shell = getattr(panels, name)()
    assert shell.box.children and shell.still.bundle["text/plain"]
