"""Chapter 4 in real Chromium: verdicts and crossing follow the slider, and what is typed stays."""

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Locator, expect


@pytest.fixture
def panel(kept_chapter: Callable[[int], Any]) -> Callable[[str, str], Locator]:
    """The panel of chapter 4 with that heading, its prediction made."""
    found: Callable[[str, str], Locator] = kept_chapter(4).predict
    return found


def _look_at(panel: Locator, given: str) -> None:
    field = panel.get_by_label("A liquid of your own")
    field.fill(given)
    field.press("Tab")
    panel.get_by_role("button", name="Add it").click()


def _row(panel: Locator, liquid: str) -> Locator:
    name = panel.page.locator("th", has_text=re.compile(f"^{liquid}$"))
    return panel.locator(".potash-scrolls tr", has=name)


def _to(panel: Locator, celsius: int) -> None:
    readout = panel.locator(".widget-readout").first
    readout.fill(str(celsius))
    readout.press("Enter")
    expect(panel.locator(".potash-scrolls caption")).to_contain_text(f"at {celsius}")


def test_verdicts_follow_the_temperature(panel) -> None:
    found = panel("Choose the liquid", "suitable with care")
    row = _row(found, "toluene")
    _to(found, 200)
    expect(row).to_contain_text("unsuitable")
    _to(found, 100)
    expect(row).to_contain_text("suitable with care")


def test_the_crossing_is_shown_and_the_beads_turn_over_at_it(panel) -> None:
    found = panel("Choose the liquid", "suitable with care")
    found.get_by_label("Look closely at").select_option("o-xylene")
    values = found.locator(".potash-numbers").first.locator(".potash-value")
    beads, crossing = values.nth(0), values.nth(2)
    _to(found, 70)
    expect(beads).to_contain_text("rise")
    expect(crossing).to_contain_text("87 °C")
    _to(found, 130)
    expect(beads).to_contain_text("sink")


def test_an_origin_that_is_open_stays_open_while_the_slider_moves(panel) -> None:
    found = panel("Choose the liquid", "suitable with care")
    origin = found.locator(".potash-numbers .potash-origin").first
    origin.locator("summary").click()
    expect(origin.locator("dl")).to_contain_text("Source")
    _to(found, 101)
    expect(origin.locator("dl")).to_be_visible()
    origin.locator("summary").click()
    expect(origin.locator("dl")).to_be_hidden()


def test_the_focus_stays_on_an_origin_that_is_drawn_anew_under_it(panel) -> None:
    found = panel("Choose the liquid", "suitable with care")
    line = found.locator(".potash-numbers .potash-origin summary").first
    line.focus()
    # As ipywidgets draws the next value, here without the time that a kernel takes for it.
    line.evaluate(
        "one => { const place = one.closest('.widget-html-content');"
        " place.innerHTML = place.innerHTML; }"
    )
    expect(line).to_be_focused()
    found.page.keyboard.press("Enter")
    expect(found.locator(".potash-numbers .potash-origin dl").first).to_be_visible()
    line.click()


def test_an_origin_opened_just_before_it_is_drawn_anew_is_open_afterwards(panel) -> None:
    found = panel("Choose the liquid", "suitable with care")
    origin = found.locator(".potash-numbers .potash-origin").first
    origin.locator("summary").evaluate(
        "one => { const place = one.closest('.widget-html-content');"
        " const closed = place.innerHTML; one.click(); place.innerHTML = closed; }"
    )
    expect(origin.locator("dl")).to_be_visible()
    origin.locator("summary").click()
    expect(origin.locator("dl")).to_be_hidden()


def test_p_cymene_is_the_same_by_smiles_and_by_cas_number(panel) -> None:
    found = panel("Choose the liquid", "suitable with care")
    told = []
    for given in ("CC(C)c1ccc(C)cc1", "99-87-6"):
        _look_at(found, given)
        expect(found.locator(".potash-good")).to_contain_text("Taken as p-cymene, CAS 99-87-6")
        row = _row(found, "p-cymene")
        expect(row).to_have_count(1)
        told.append(row.inner_text())
    assert told[0] == told[1]


@pytest.mark.parametrize(
    ("given", "reason"),
    [
        ("chlorobenzene", "mixtures of alkali metals and halogenated liquids explode"),
        ("CS(C)=O", "Sulfoxide: the metal reduces it"),
    ],
)
def test_a_liquid_that_reacts_is_refused_with_the_reason_first(panel, given, reason) -> None:
    found = panel("Choose the liquid", "suitable with care")
    _look_at(found, given)
    expect(found.locator(".potash-close-up")).to_contain_text("unsuitable")
    told = found.locator(".potash-table", has_text="Every rule on")
    first = told.locator("tbody tr").first
    expect(first).to_contain_text("failed")
    expect(first).to_contain_text(reason)


def test_a_mixture_is_explained_and_what_was_typed_stays(panel) -> None:
    found = panel("Choose the liquid", "suitable with care")
    _look_at(found, "white mineral oil")
    expect(found.locator(".potash-problem").first).to_contain_text("squalane, hexadecane")
    expect(found.get_by_label("A liquid of your own")).to_have_value("white mineral oil")


def test_a_rule_that_is_switched_off_changes_the_verdict(panel) -> None:
    found = panel("Choose the liquid", "suitable with care")
    found.get_by_label("Look closely at").select_option("tetralin")
    _to(found, 200)
    found.get_by_role("button", name="Rules").click()
    for title in ("Works below the flash point", "Forms no peroxides", "Health hazards"):
        found.get_by_label(title).uncheck()
    expect(found.locator(".potash-close-up")).to_contain_text("● suitable")


def test_beads_move_at_true_relative_speeds_and_stand_where_motion_is_unwelcome(panel) -> None:
    found = panel("Beads in the flask", "rises")
    beads = found.locator(".potash-bead")
    expect(beads).to_have_count(5)
    seconds = [
        float(one.evaluate("b => getComputedStyle(b).animationDuration").removesuffix("s"))
        for one in beads.all()
    ]
    assert seconds == sorted(seconds, reverse=True)
    speeds = [
        float(one.inner_text().split()[0])
        for one in found.locator(".potash-table tbody tr td:nth-child(2)").all()
    ]
    # Same way for all: durations go as the inverse of the velocities that the table prints.
    assert seconds[1] / seconds[4] == pytest.approx(speeds[4] / speeds[1], rel=0.05)
    found.page.emulate_media(reduced_motion="reduce")
    moving = beads.first.evaluate("b => getComputedStyle(b).animationName")
    found.page.emulate_media(reduced_motion="no-preference")
    assert moving == "none"


def test_the_beads_can_be_held(panel) -> None:
    found = panel("Beads in the flask", "rises")
    found.get_by_role("button", name="Hold the beads").click()
    expect(found.get_by_role("button", name="Let the beads go")).to_be_visible()
    bead = found.locator(".potash-bead").first
    assert bead.evaluate("b => getComputedStyle(b).animationPlayState") == "paused"


def test_a_solid_pair_is_refused_in_words(panel) -> None:
    found = panel("Beads in the flask", "rises")
    found.get_by_label("Molten metal").select_option("lithium (Li)")
    found.get_by_label("Liquid", exact=True).select_option("toluene")
    expect(found.locator(".potash-problem")).to_contain_text("Lithium melts at 181")
