"""The panels without a browser: set a value, click a button, read what is shown."""

import json
import logging
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from potash.exercises.sheet import AnswerSheet
from potash.exercises.sheet_file import MIME
from potash.hazards import readiness_items
from potash.panels.answers.exercise import exercise, exercises
from potash.panels.answers.hand_in import hand_in
from potash.panels.chapter_0.before_you_start import ReadinessPanel
from potash.panels.chapter_0.preparation import PreparationPanel
from potash.panels.chapter_1.balance import BalancePanel
from potash.panels.chapter_2.charge import WHAT_IF, ChargePanel, charge
from potash.panels.chapter_3.energy import EnergyPanel
from potash.panels.frame import look
from potash.panels.frame.shell import Card
from potash.preparation import Preparation
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


def texts(box: Any) -> str:
    """Everything that a panel shows, as one text."""
    shown = [str(getattr(box, "value", "")), str(getattr(box, "description", ""))]
    if getattr(box.layout, "display", None) == "none":
        return ""
    return " ".join([*shown, *(texts(child) for child in getattr(box, "children", ()))])


def find(box: Any, description: str) -> Any:
    """The one control whose label begins with ``description``."""
    found = list(_all(box, description))
    assert found, f"no control {description!r}"
    return found[0]


def _all(box: Any, description: str) -> Iterator[Any]:
    if str(getattr(box, "description", "")).startswith(description):
        yield box
    for child in getattr(box, "children", ()):
        yield from _all(child, description)


# --------------------------------------------------------------------- look


def luminance(colour: str) -> float:
    """Relative luminance. Source: WCAG 2.2, definition of relative luminance."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio. Source: WCAG 2.2, definition of contrast ratio."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_the_contrast_formula_gives_21_for_black_on_white():
    assert contrast("#000000", "#ffffff") == pytest.approx(21)


def variables(selector: str) -> dict[str, str]:
    rule = look.stylesheet().partition(selector)[2].partition("}")[0]
    pairs = (line.partition(":") for line in rule.splitlines() if "--potash" in line)
    return {name.strip(): value.strip(" ;") for name, _, value in pairs}


@pytest.mark.parametrize("theme", [".potash, .potash-still {", '[data-jp-theme-light="false"]'])
def test_text_holds_four_and_a_half_to_one_in_both_themes(theme):
    colours = variables(theme)
    for ink, ground in [
        ("ink", "ground"),
        ("faint", "ground"),
        ("accent", "ground"),
        ("ink", "raised"),
        ("on-accent", "accent"),
        ("caution-ink", "caution-ground"),
        ("problem-ink", "problem-ground"),
        ("good-ink", "good-ground"),
    ]:
        ratio = contrast(colours[f"--potash-{ink}"], colours[f"--potash-{ground}"])
        assert ratio >= 4.5, (theme, ink, ground, ratio)


@pytest.mark.parametrize("theme", [".potash, .potash-still {", '[data-jp-theme-light="false"]'])
def test_edges_and_focus_rings_hold_three_to_one_in_both_themes(theme):
    colours = variables(theme)
    for edge in ("edge", "focus", "accent"):
        assert contrast(colours[f"--potash-{edge}"], colours["--potash-ground"]) >= 3, edge


def test_a_metal_has_a_legible_hue_and_a_second_cue_of_its_own():
    cues = look.METALS.values()
    assert all(contrast(cue.hue, look.PAPER) >= 3 for cue in cues)
    assert len({cue.marker for cue in cues}) == len({cue.dash for cue in cues}) == len(cues)


def test_what_was_typed_is_never_taken_for_markup():
    assert "<script>" not in look.problem("<script>") + look.note("<script>")
    assert "<script>" not in look.table("<script>", ["<script>"], [["<script>", "<script>"]])


# --------------------------------------------------------------------- before you start


def test_the_readiness_check_begins_not_ready_and_names_what_is_open():
    panel = ReadinessPanel()
    assert "Not ready" in panel.shell.message.value
    assert readiness_items()[0].question in panel.shell.message.value


def test_one_open_condition_keeps_the_check_not_ready():
    panel = ReadinessPanel()
    *first, last = panel.ticks.values()
    for tick in first:
        tick.value = True
    assert "Not ready" in panel.shell.message.value
    last.value = True
    assert "Not ready" not in panel.shell.message.value


def test_a_complete_checklist_defers_to_those_who_decide():
    panel = ReadinessPanel()
    for tick in panel.ticks.values():
        tick.value = True
    verdict = panel.shell.message.value
    assert "The checklist is complete" in verdict
    assert "licensed supervision" in verdict
    assert "does not make the work safe" in verdict


# --------------------------------------------------------------------- balance


def test_a_student_balances_by_trying():
    panel = BalancePanel()
    assert "Not balanced yet" in panel.standing.value
    for field, number in zip(panel.coefficients, ("2", "2", "2", "2", "1"), strict=True):
        field.value = number
    assert "Balanced, with the smallest whole numbers" in panel.standing.value


def test_double_the_numbers_are_balanced_but_not_smallest():
    panel = BalancePanel()
    for field, number in zip(panel.coefficients, ("4", "4", "4", "4", "2"), strict=True):
        field.value = number
    assert "Can all numbers be made smaller" in panel.standing.value


def test_hint_waits_for_a_try_and_answer_waits_for_a_hint():
    panel = BalancePanel()
    assert panel.hint_button.disabled and panel.answer_button.disabled
    panel.coefficients[0].value = "2"
    assert not panel.hint_button.disabled and panel.answer_button.disabled
    panel.hint_button.click()
    assert not panel.answer_button.disabled
    panel.answer_button.click()
    assert [field.value for field in panel.coefficients] == ["2", "2", "2", "2", "1"]


def test_the_picture_says_its_counts_in_words():
    panel = BalancePanel()
    assert 'alt="Atoms counted on both sides: ' in panel.picture.value
    assert "H 1 left, 2 right" in panel.picture.value


def test_electrons_wait_until_the_equation_is_balanced():
    panel = BalancePanel()
    panel.electrons_button.click()
    assert "K +1, O −2, H +1" in panel.electrons.value
    assert "appear once the equation is balanced" in panel.electrons.value
    for field, number in zip(panel.coefficients, ("2", "2", "2", "2", "1"), strict=True):
        field.value = number
    panel.electrons_button.click()
    # 2 Mg give up two electrons each.
    assert "as written: 4" in panel.electrons.value


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("Xx + H2 -> K", "Xx is not an element"),
        ("KOH + (Mg -> K", "never closed"),
        ("", "The equation is empty"),
        ("K" * 100_000, "characters is not read"),
        ("KOH + Mg -> K + MgO", "H stands only on the left"),
        ("9**9**9", "no arrow"),
        ("<b>K</b> -> K", "Not taken"),
    ],
)
def test_a_bad_equation_is_explained_and_stays_as_typed(typed, says):
    panel = BalancePanel()
    panel.typed.value = typed
    assert says in panel.shell.message.value
    assert "<b>K</b>" not in panel.shell.message.value
    assert panel.typed.value == typed


@pytest.mark.parametrize("typed", ["0", "-1", "zwei", "", "1e9", "99999999999"])
def test_a_bad_coefficient_is_explained_and_stays_as_typed(typed):
    panel = BalancePanel()
    panel.coefficients[0].value = typed
    assert "is no coefficient" in panel.shell.message.value
    assert panel.coefficients[0].value == typed


# --------------------------------------------------------------------- charge


@pytest.fixture
def predicted(folder: Path) -> ChargePanel:
    panel = ChargePanel(Workspace(folder), Preparation.default())
    panel.prediction.field.value = "4 g"
    panel.prediction.keep_button.click()
    return panel


def test_the_charge_stays_hidden_until_a_prediction_is_on_the_sheet(folder):
    panel = ChargePanel(Workspace(folder), Preparation.default())
    assert "opens when your prediction is kept" in panel.overview.value
    assert not panel.sheet.value
    panel.prediction.keep_button.click()
    assert "Commit yourself first" in panel.prediction.outcome.value
    panel.prediction.field.value = "4"
    panel.prediction.keep_button.click()
    assert "Not taken" in panel.shell.message.value and not panel.sheet.value
    panel.prediction.field.value = "4 g"
    panel.prediction.keep_button.click()
    assert "Theoretical yield of K" in panel.sheet.value
    (kept,) = AnswerSheet.open(folder).predictions(WHAT_IF)
    assert (kept.predicted, kept.result) == ("4 g", "5.61\u00a0g at most")


def test_a_kept_prediction_opens_the_charge_at_the_next_run(predicted, folder):
    again = ChargePanel(Workspace(folder), Preparation.default())
    assert "You predicted “4 g”" in again.prediction.outcome.value
    assert again.sheet.value


def test_the_charge_shows_how_each_line_was_obtained(predicted):
    assert "9.30 g × 86.5 %" in predicted.sheet.value
    assert "taken by water 66.1" in predicted.overview.value


def test_drier_hydroxide_leaves_the_water_less_magnesium(predicted):
    predicted.moisture.value = 0.0
    assert predicted.preparation.typed["reagents.hydroxide.moisture"] == "0.0 %"
    assert "taken by water 0.00" in predicted.overview.value


def test_the_excess_slider_weighs_the_magnesium(predicted):
    predicted.excess.value = 50
    typed = predicted.fields["reagents.reductant.mass"].value
    assert typed == predicted.preparation.typed["reagents.reductant.mass"]
    excess = predicted.preparation.charge().reduction.excess["Mg"].m_as("percent")
    assert excess == pytest.approx(50, abs=0.1)


def test_a_slider_that_echoes_its_own_rounding_changes_nothing(predicted):
    before = predicted.preparation
    predicted._excess_moved()
    predicted._moisture_moved()
    assert predicted.preparation == before


@pytest.mark.parametrize(
    ("place", "typed", "says"),
    [
        ("reagents.hydroxide.mass", "9.30", "unit"),
        ("reagents.hydroxide.mass", "9.30 mL", "mL"),
        ("reagents.hydroxide.mass", "-1 g", "above"),
        ("reagents.hydroxide.mass", "9**9**9 g", "9**9**9"),
        ("reagents.hydroxide.assay", "0 %", "above"),
        ("reagents.hydroxide.assay", "120 %", "100"),
        ("temperature", "-1 K", "above"),
        ("temperature", "25 C", "25 C"),
    ],
)
def test_bad_input_is_explained_kept_and_leaves_the_charge_alone(predicted, place, typed, says):
    before = predicted.preparation, predicted.sheet.value
    predicted.fields[place].value = typed
    assert "Not taken" in predicted.shell.message.value
    assert says in predicted.shell.message.value
    assert predicted.fields[place].value == typed
    assert (predicted.preparation, predicted.sheet.value) == before


def test_a_slider_moved_beside_a_bad_field_keeps_what_was_typed(predicted):
    predicted.fields["liquid.volume"].value = "85"
    predicted.excess.value = 60
    assert predicted.fields["liquid.volume"].value == "85"
    assert "Not taken" in predicted.shell.message.value


def test_a_bad_field_is_not_saved(predicted, folder):
    predicted.fields["liquid.volume"].value = "85"
    predicted.save_button.click()
    assert "Not taken" in predicted.shell.message.value
    assert not Workspace(folder).preparation_path.exists()


def test_a_saved_preparation_is_picked_up_by_the_next_panel(predicted, folder):
    predicted.fields["reagents.hydroxide.mass"].value = "12,0 g"
    predicted.save_button.click()
    assert "Saved in preparation.toml" in predicted.shell.message.value
    assert Workspace(folder).preparation().typed["reagents.hydroxide.mass"] == "12,0 g"


def test_a_file_changed_elsewhere_is_replaced_only_when_asked_twice(predicted, folder):
    Workspace(folder).preparation_path.write_text(Preparation.default().to_toml(), "utf-8")
    predicted.fields["reagents.hydroxide.mass"].value = "12.0 g"
    predicted.save_button.click()
    assert "was changed elsewhere" in predicted.shell.message.value
    assert Workspace(folder).preparation() == Preparation.default()
    predicted.save_button.click()
    assert Workspace(folder).preparation().typed["reagents.hydroxide.mass"] == "12.0 g"


def test_an_unreadable_preparation_is_told_on_the_panel(folder):
    Workspace(folder).preparation_path.write_text("format = 1\n", "utf-8")
    shown = texts(charge().box)
    assert "Not taken" in shown and "preparation.toml" in shown


# --------------------------------------------------------------------- energy


def energy(metal: str = "K", source: str = "hydroxide", reductant: str = "Mg") -> EnergyPanel:
    panel = EnergyPanel()
    panel.reductant.value = reductant
    panel.source.value = source
    panel.metal.value = metal
    return panel


def predict(panel: EnergyPanel, guess: str = "downhill") -> None:
    panel.prediction.field.value = guess
    panel.prediction.keep_button.click()


def test_energies_stay_hidden_until_their_own_reaction_was_predicted(folder):
    panel = energy()
    assert panel.results.layout.display == "none"
    predict(panel)
    assert panel.results.layout.display is None
    assert "ΔG" in panel.picture_place.value
    panel.metal.value = "Cs"
    assert panel.results.layout.display == "none"
    kept = AnswerSheet.open(folder).predictions()
    assert [one.predicted for one in kept] == ["downhill"]
    assert kept[0].result.startswith("downhill, ΔG = −397")


def test_the_temperature_moves_the_numbers_and_the_alternative_text():
    panel = energy()
    predict(panel)
    panel.temperature.value = 900
    assert "At 900.0\u00a0K" in panel.picture_place.value
    assert "Term by term at 900.0\u00a0K" in panel.numbers.value


def test_sodium_by_the_hydroxide_route_carries_the_note_on_kinetics():
    panel = energy("Na")
    predict(panel)
    assert "thermodynamics and kinetics part" in panel.numbers.value
    potassium = energy("K")
    assert "thermodynamics and kinetics part" not in potassium.numbers.value


def test_rubidium_has_values_at_room_temperature_only_and_no_curve():
    panel = energy("Rb")
    predict(panel)
    assert "No values above" in panel.numbers.value
    assert "<img" not in panel.picture_place.value
    assert panel.temperature.layout.display == "none"


def test_a_metal_that_reduces_its_own_compound_is_explained():
    panel = energy("Na", "chloride", "Na")
    assert "cannot reduce its own chloride" in panel.shell.message.value
    assert panel.prediction.box.layout.display == "none"
    panel.metal.value = "K"
    assert not panel.shell.message.value


# --------------------------------------------------------------------- preparation


def test_reset_asks_first_and_keeps_when_told_to(folder):
    mine = Preparation.default().replace(title="Mine")
    mine.save(Workspace(folder).preparation_path)
    panel = PreparationPanel(Workspace(folder))
    assert "Mine" in panel.content.value
    panel.reset_button.click()
    assert Workspace(folder).preparation() == mine
    panel.keep_button.click()
    assert Workspace(folder).preparation() == mine
    panel.reset_button.click()
    panel.confirm_button.click()
    assert Workspace(folder).preparation() == Preparation.default()


# --------------------------------------------------------------------- exercises


PRACTICE = "weigh-hydroxide"


def test_an_answer_is_called_recorded_once_the_sheet_holds_it(folder):
    panel = exercise(PRACTICE)
    field = find(panel.box, "Mass of pellets to weigh out")
    field.value = "1,00 g"
    assert "Read as 1.00\u00a0g" in texts(panel.box)
    assert "not recorded yet" in texts(panel.box)
    find(panel.box, "Record").click()
    assert AnswerSheet.open(folder).answers(PRACTICE) == {"pellets": "1,00 g"}
    assert "Recorded in answers.json at" in texts(panel.box)


def test_recorded_answers_stand_in_their_fields_at_the_next_run():
    first = exercise(PRACTICE)
    find(first.box, "Mass of pellets").value = "11.0 g"
    find(first.box, "Record").click()
    again = exercise(PRACTICE)
    assert find(again.box, "Mass of pellets").value == "11.0 g"
    assert "recorded " in texts(again.box)


def test_a_change_after_recording_is_shown_as_not_recorded():
    panel = exercise(PRACTICE)
    field = find(panel.box, "Mass of pellets")
    field.value = "11.0 g"
    find(panel.box, "Record").click()
    field.value = "12.0 g"
    assert "changed; recorded is “11.0 g”" in texts(panel.box)


def test_an_answer_that_the_disk_refuses_is_not_called_recorded(folder, monkeypatch):
    def full(*_arguments: object, **_keywords: object) -> None:
        raise OSError(28, "No space left on device")

    panel = exercise(PRACTICE)
    find(panel.box, "Mass of pellets").value = "11.0 g"
    monkeypatch.setattr("potash.exercises.sheet.write_atomically", full)
    find(panel.box, "Record").click()
    shown = texts(panel.box)
    assert "Not recorded" in shown and "No space left" in shown
    assert "Recorded in answers.json" not in shown
    assert find(panel.box, "Mass of pellets").value == "11.0 g"


def test_recording_leaves_the_answers_in_the_cell_output_for_programs_too():
    panel = exercise(PRACTICE)
    find(panel.box, "Mass of pellets").value = "11.0 g"
    find(panel.box, "Record").click()
    bundle = panel.still.bundle
    assert "11.0 g" in bundle["text/plain"] and "11.0 g" in bundle["text/html"]
    assert bundle[MIME]["exercises"][PRACTICE]["answers"]["pellets"][-1]["typed"] == "11.0 g"
    json.dumps(bundle[MIME])


def test_hints_come_one_at_a_time():
    panel = exercise(PRACTICE)
    assert "Hint 1" not in texts(panel.box)
    find(panel.box, "Show a hint").click()
    assert "Hint 1" in texts(panel.box) and "Hint 2" not in texts(panel.box)


def test_recording_nothing_says_so_and_writes_nothing(folder):
    panel = exercise(PRACTICE)
    find(panel.box, "Record").click()
    assert "nothing to record" in texts(panel.box)
    assert not (folder / "answers.json").exists()


def test_typed_markup_is_shown_as_text():
    panel = exercise(PRACTICE)
    find(panel.box, "Mass of pellets").value = "<img src=x onerror=alert(1)>"
    find(panel.box, "Record").click()
    assert "<img src=x" not in texts(panel.box).replace(
        find(panel.box, "Mass of pellets").value, "", 1
    )


def test_an_unknown_exercise_is_told_on_the_panel():
    assert "Not taken" in texts(exercise("no-such-exercise").box)


def test_every_chapter_with_exercises_shows_them_all():
    for chapter in (1, 2, 3):
        shown = texts(exercises(chapter).box)
        for issued in AnswerSheet.open().exercises(chapter):
            assert issued.title in shown


def test_handing_in_names_the_file_and_what_is_blank(folder):
    assert "Nothing is recorded yet" in texts(hand_in().box)
    AnswerSheet.open(folder).record(PRACTICE, {"pellets": "11.0 g"})
    shown = texts(hand_in().box)
    assert str(folder / "answers.json") in shown
    assert "Weigh out technical hydroxide" not in shown
    assert "Balance a hydroxide reduction" in shown


def test_callbacks_in_two_threads_wait_for_each_other():
    card = Card("Two threads")
    told: list[str] = []
    begun, let_go = threading.Event(), threading.Event()

    def slow() -> None:
        begun.set()
        let_go.wait(5)
        told.append("slow")

    threads = [threading.Thread(target=card.guarded(slow))]
    threads[0].start()
    assert begun.wait(5)
    threads.append(threading.Thread(target=card.guarded(lambda: told.append("quick"))))
    threads[1].start()
    threads[1].join(0.1)
    assert told == []
    let_go.set()
    for thread in threads:
        thread.join(5)
    assert told == ["slow", "quick"]
