"""Chapters 5 and 6 in real Chromium: the run plays, takes a dose at a chosen moment, shows it."""

import re
import time
from collections.abc import Callable
from typing import Any

from playwright.sync_api import Locator, Page, expect

KeptChapter = Callable[[int], Any]


def told(panel: Locator) -> str:
    return panel.locator("img.potash-picture").first.get_attribute("alt") or ""


def minutes(panel: Locator) -> int:
    found = re.search(r"up to (\d+) min", told(panel))
    assert found
    return int(found[1])


def wait_until(page: Page, holds: Callable[[], bool], seconds: float = 20) -> None:
    end = time.monotonic() + seconds
    while not holds():
        assert time.monotonic() < end, "nothing came of it"
        page.wait_for_timeout(100)


def test_a_run_plays_takes_a_dose_at_a_chosen_moment_and_shows_the_effect(
    kept_chapter: KeptChapter,
) -> None:
    chapter = kept_chapter(5)
    panel = chapter.predict("Run and dose", "no difference")
    assert minutes(panel) == 0
    panel.get_by_role("button", name="Play", exact=True).click()
    wait_until(chapter.page, lambda: minutes(panel) > 30)
    panel.get_by_role("button", name="Stop", exact=True).click()
    expect(panel.get_by_role("button", name="Play", exact=True)).to_be_visible()
    stopped = minutes(panel)
    chapter.page.wait_for_timeout(800)
    assert minutes(panel) == stopped < 300

    slider = panel.get_by_role("slider", name="Time from heating, min")
    slider.focus()
    for _ in range(3):
        chapter.page.keyboard.press("ArrowRight")
    wait_until(chapter.page, lambda: minutes(panel) == stopped + 3)
    given_before = re.search(r"doses given (\d+)", told(panel))
    assert given_before
    panel.get_by_label("Dose by hand").fill("0,40 mL")
    panel.get_by_label("Dose by hand").press("Tab")
    panel.get_by_role("button", name="Give it now").click()
    expect(panel.get_by_text(re.compile(rf"0,40 mL given at {stopped + 3}"))).to_be_visible()
    wait_until(
        chapter.page,
        lambda: f"doses given {int(given_before[1]) + 1}" in told(panel),
    )
    panel.get_by_role("button", name="Go to the end").click()
    wait_until(chapter.page, lambda: minutes(panel) == 300)
    used = panel.locator(".potash-number", has_text="alcohol used").locator(".potash-value")
    expect(used).to_have_text(re.compile(r"1\.30.mL"))
    assert panel.locator(".potash-problem").count() == 0


def test_two_runs_stand_side_by_side(kept_chapter: KeptChapter) -> None:
    chapter = kept_chapter(5)
    panel = chapter.predict("Run and dose", "no difference")
    panel.get_by_role("button", name="Keep this run to compare").click()
    expect(panel.get_by_text("Kept. Change the plan")).to_be_visible()
    panel.get_by_label("Stirred all the time").uncheck()
    panel.get_by_role("button", name="Go to the end").click()
    table = panel.get_by_role("table", name="Side by side")
    expect(table.get_by_role("row")).to_have_count(3)
    expect(table).to_contain_text("not stirred")


def test_many_runs_show_progress_and_can_be_stopped(kept_chapter: KeptChapter) -> None:
    chapter = kept_chapter(5)
    panel = chapter.predict("What if nothing", "mass of the hydroxide")
    panel.get_by_label("Number of runs").fill("3000")
    panel.get_by_label("Number of runs").press("Tab")
    panel.get_by_role("button", name="Make the runs").click()
    expect(panel.get_by_text(re.compile(r"[1-9]\d* of 3000 runs made"))).to_be_visible()
    panel.get_by_role("button", name="Stop", exact=True).click()
    expect(panel.get_by_text(re.compile(r"^\d+, stopped$"))).to_be_visible()
    expect(panel.get_by_role("button", name="Make the runs")).to_be_enabled()


def test_the_invented_log_is_fitted_on_the_page(kept_chapter: KeptChapter) -> None:
    chapter = kept_chapter(5)
    panel = chapter.panel("Your own gas log")
    panel.get_by_role("button", name="Try the invented log").click()
    fit = panel.get_by_role("table", name="The fit")
    fit.wait_for()  # the first fit of a kernel reads scipy's optimisers
    expect(fit).to_contain_text("95 % of it will have come")
    panel.get_by_role("button", name="Read and fit").click()
    expect(panel.locator(".potash-problem")).to_contain_text("cannot be read")


def test_a_poorer_hood_turns_the_verdict(kept_chapter: KeptChapter) -> None:
    chapter = kept_chapter(6)
    panel = chapter.predict("Carry the hydrogen away", "about as much")
    expect(panel.get_by_text("In this model the hood's air stays below")).to_be_visible()
    airflow = panel.get_by_label("Airflow")
    airflow.fill("0 m3/h")
    airflow.press("Tab")
    expect(panel.locator(".potash-problem")).to_contain_text("Without a working hood")
    airflow.fill("1 m3/h")
    airflow.press("Tab")
    expect(panel.get_by_text("Too much for this hood")).to_be_visible()
    expect(panel.locator(".potash-problem")).to_have_count(0)
