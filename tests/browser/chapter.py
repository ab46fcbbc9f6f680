"""A chapter in a window of the browser."""

import re

from playwright.sync_api import Locator, Page

_END_KERNELS = """
async () => {
  const token = document.cookie.match(/_xsrf=([^;]+)/)[1];
  const kernels = await (await fetch("/api/kernels")).json();
  for (const kernel of kernels) {
    await fetch("/api/kernels/" + kernel.id, {method: "DELETE", headers: {"X-XSRFToken": token}});
  }
}
"""


class Chapter:
    """A chapter in a window, and what a student does first with it."""

    def __init__(self, page: Page) -> None:
        self.page = page

    def ready(self) -> "Chapter":
        """Wait until its kernel is there, and has nothing left to do."""
        self.page.get_by_text("| Idle").wait_for()
        notebook = self.page.locator(".jp-NotebookPanel:visible")
        notebook.locator('.jp-Notebook-ExecutionIndicator[data-status="idle"]').wait_for()
        return self

    def run(self) -> "Chapter":
        """Press the button at the top and wait for the first panel."""
        self.ready()
        self.page.get_by_role("button", name="Bring the panels").click()
        self.page.locator(".potash").first.wait_for()
        self.page.wait_for_timeout(1500)
        return self.ready()

    def panel(self, heading: str) -> Locator:
        """The panel with that heading."""
        found = self.page.locator(".potash", has=self.page.get_by_role("heading", name=heading))
        return found.first

    def predict(self, heading: str, answer: str) -> Locator:
        """The panel with what a prediction opens.

        ``answer`` is one of the choices, or typed where there are none. A prediction that an
        earlier test kept stands.
        """
        panel = self.panel(heading)
        panel.evaluate("one => one.scrollIntoView()")
        either = panel.get_by_role("button", name=re.compile("Keep my prediction|Predict again"))
        either.filter(visible=True).first.wait_for()
        keep = panel.get_by_role("button", name="Keep my prediction")
        if keep.is_visible():
            asked = keep.locator("xpath=ancestor::*[contains(@class, 'widget-vbox')][1]")
            if asked.get_by_role("radio").count():
                asked.get_by_role("radio", name=answer).first.check()
            else:
                asked.get_by_role("textbox").fill(answer)
                asked.get_by_role("textbox").press("Tab")
            keep.click()
        panel.locator("img.potash-picture, .potash-matrix").first.wait_for()
        return panel

    def save(self) -> None:
        """Save the notebook by the toolbar, and wait until it is on the disk."""
        with self.page.expect_response(
            lambda answer: answer.request.method == "PUT" and "/api/contents/" in answer.url
        ):
            self.page.locator('[data-command="docmanager:save"]').first.click()

    def end_kernels(self) -> None:
        """End every kernel of the server, as a crash or a closed laptop does."""
        self.page.evaluate(_END_KERNELS)
