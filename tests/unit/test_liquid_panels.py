"""The panels of chapter 4 without a browser: what they ask, show, refuse and save."""

from pathlib import Path

import pytest

from potash.panels.chapter_4.beads import SIZES, BeadPanel
from potash.panels.chapter_4.solvent import SolventPanel
from potash.panels.chapter_4.solvent_loss import LossPanel
from potash.preparation import Preparation
from potash.workspace import Workspace


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A student's folder with the default preparation, and where work goes on."""
    Preparation.default().save(tmp_path / "preparation.toml")
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def choosing(folder: Path) -> SolventPanel:
    panel = SolventPanel(Workspace.find(), Preparation.default())
    panel.prediction.field.value = "suitable with care"
    panel.prediction.keep_button.click()
    return panel


def test_nothing_is_shown_before_a_prediction(folder: Path) -> None:
    panel = SolventPanel(Workspace.find(), Preparation.default())
    assert panel.results.layout.display == "none"
    assert panel.closely.value == ""
    assert panel.table.value == ""
    panel.temperature.value = 150
    assert panel.table.value == ""


def test_the_preparation_sets_metal_temperature_and_liquid(choosing: SolventPanel) -> None:
    assert choosing.metal.value == "K"
    assert choosing.temperature.value == 200
    assert choosing.liquid.value == "tetralin"
    assert "tetralin: suitable with care" in choosing.prediction.outcome.value


def test_the_table_holds_every_liquid_and_follows_the_temperature(choosing: SolventPanel) -> None:
    hot = choosing.table.value
    assert hot.count("<tr>") == 79
    choosing.temperature.value = 100
    assert choosing.table.value != hot
    assert "at 100\u00a0°C" in choosing.table.value


@pytest.mark.parametrize(
    "order", ["name", "boiling point", "density difference", "vapour pressure"]
)
def test_the_table_can_be_sorted(choosing: SolventPanel, order: str) -> None:
    before = choosing.table.value
    choosing.order.value = order
    assert f"sorted by {order}" in choosing.table.value
    assert choosing.table.value.count("<tr>") == before.count("<tr>")


def test_sorting_by_name_is_by_name(choosing: SolventPanel) -> None:
    choosing.order.value = "name"
    assert choosing.table.value.index("1,2,4-trimethylbenzene") < choosing.table.value.index(
        ">acetone<"
    )
    assert choosing.table.value.index(">acetone<") < choosing.table.value.index(">water<")


def test_a_liquid_of_ones_own_gets_a_row_and_is_looked_at(choosing: SolventPanel) -> None:
    choosing.typed.value = "O=C1CCCCC1"
    choosing.add_button.click()
    assert choosing.liquid.value == "cyclohexanone"
    assert choosing.table.value.count("<tr>") == 80
    assert "CAS 108-94-1" in choosing.shell.message.value
    choosing.typed.value = "cyclohexanone"
    choosing.add_button.click()
    assert choosing.table.value.count("<tr>") == 80


def test_what_cannot_be_read_is_told_and_stays_typed(choosing: SolventPanel) -> None:
    choosing.typed.value = "c1ccc"
    choosing.add_button.click()
    assert "not a SMILES" in choosing.shell.message.value
    assert choosing.typed.value == "c1ccc"
    assert choosing.liquid.value == "tetralin"


def test_markup_in_a_typed_name_is_told_as_text(choosing: SolventPanel) -> None:
    choosing.typed.value = "<img src=x onerror=alert(1)>"
    choosing.add_button.click()
    assert "<img src=x" not in choosing.shell.message.value
    assert "&lt;img" in choosing.shell.message.value


def test_taking_a_liquid_writes_it_into_the_preparation(
    choosing: SolventPanel, folder: Path
) -> None:
    choosing.liquid.value = "mesitylene"
    choosing.take_button.click()
    assert "mesitylene stands in preparation.toml" in choosing.shell.message.value
    saved = Preparation.load(folder / "preparation.toml")
    assert saved.liquid.name == "mesitylene"
    assert saved.liquid.volume.m_as("mL") == pytest.approx(85)


def test_another_metal_asks_anew_and_keeps_the_slider_above_its_melting_point(
    choosing: SolventPanel,
) -> None:
    choosing.temperature.value = 100
    choosing.metal.value = "Li"
    assert choosing.results.layout.display == "none"
    assert choosing.temperature.min >= 181
    assert choosing.temperature.value >= 181


def test_the_still_holds_pictures_with_words_and_the_best_rows(choosing: SolventPanel) -> None:
    page = choosing.shell.still.bundle["text/html"]
    assert page.count("<img") == 3
    assert "Densities of tetralin and molten potassium" in page
    assert "tetralin: suitable with care" in choosing.shell.still.bundle["text/plain"]


def test_estimates_are_dotted_and_marked(choosing: SolventPanel) -> None:
    choosing.liquid.value = "trans-decalin"
    assert "no data" in choosing.closely.value
    choosing.estimates.value = True
    assert "(est.)" in choosing.closely.value


@pytest.fixture
def rising(folder: Path) -> BeadPanel:
    panel = BeadPanel()
    panel.prediction.field.value = "rises"
    panel.prediction.keep_button.click()
    return panel


def test_a_bead_of_each_size_is_drawn_and_listed(rising: BeadPanel) -> None:
    assert rising.flask.value.count('class="potash-bead"') == len(SIZES)
    assert rising.numbers.value.count("<tr>") == len(SIZES) + 1
    assert "Beads of potassium in tetralin rise" in rising.flask.value


def test_in_a_lighter_liquid_the_beads_sink(rising: BeadPanel) -> None:
    rising.liquid.value = "hexadecane"
    rising.prediction.field.value = "sinks"
    rising.prediction.keep_button.click()
    assert "in hexadecane sink" in rising.flask.value
    assert "it sinks" in rising.prediction.outcome.value


def test_a_pair_that_is_never_liquid_together_is_told(rising: BeadPanel) -> None:
    rising.metal.value = "Li"
    rising.liquid.value = "toluene"
    assert "Lithium melts at 181" in rising.shell.message.value
    assert rising.results.layout.display == "none"


@pytest.fixture
def losing(folder: Path) -> LossPanel:
    panel = LossPanel(Preparation.default())
    panel.prediction.field.value = "5 mL"
    panel.prediction.keep_button.click()
    return panel


def test_a_warm_condenser_loses_more(losing: LossPanel) -> None:
    cold = losing._loss().volume
    losing.condenser.value = 80
    assert losing._loss().volume > 5 * cold
    assert "teaching value" in losing.numbers.value


def test_a_prediction_that_is_no_volume_is_refused(folder: Path) -> None:
    panel = LossPanel(Preparation.default())
    panel.prediction.field.value = "5 g"
    panel.prediction.keep_button.click()
    assert "mL" in panel.shell.message.value
    assert panel.results.layout.display == "none"


def test_a_bad_duration_is_told_and_the_last_figures_stay(losing: LossPanel) -> None:
    before = losing.numbers.value
    losing.duration.value = "3"
    assert "has no unit" in losing.shell.message.value
    assert losing.numbers.value == before
