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
