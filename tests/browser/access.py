"""Accessibility as axe-core judges it."""

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page


def serious_violations(page: Page, context: str = ".potash") -> list[tuple[str, str]]:
    """What axe-core holds to be serious or critical there: rule and place."""
    response = Axe().run(page, context=context).response
    assert len(response["passes"]) > 5  # it did look
    return [
        (one["id"], node["html"][:160])
        for one in response["violations"]
        if one["impact"] in ("serious", "critical")
        for node in one["nodes"]
    ]


def violations_in_both_themes(page: Page, context: str = ".potash") -> list[tuple[str, str]]:
    """The same in the light and in the dark theme, which the page is left in."""
    found = []
    for theme, is_light in (("light", "true"), ("dark", "false")):
        page.emulate_media(color_scheme=theme)  # type: ignore[arg-type]
        page.locator(f"body[data-jp-theme-light={is_light}]").wait_for(state="attached")
        found += serious_violations(page, context)
    return found
