"""The current preparation: what it holds, where it lies, and starting over."""

from potash.errors import PotashError
from potash.panels.frame import controls, look
from potash.panels.frame.current import current_preparation
from potash.panels.frame.moments import now
from potash.panels.frame.shell import Shell, in_words
from potash.preparation import Preparation
from potash.words import tr
from potash.workspace import Workspace


@in_words(tr("The preparation"))
def preparation() -> Shell:
    """The preparation in this folder, its file, and a way back to the default one."""
    return PreparationPanel(Workspace.find()).shell


class PreparationPanel:
    """Shows preparation.toml and, after asking, replaces it by the default preparation."""

    def __init__(self, workspace: Workspace) -> None:
        self.workspace = workspace
        self.shell = Shell(tr("The preparation"))
        self.content = controls.html()
        self.again_button = controls.button(tr("Read the file again"))
        self.reset_button = controls.button(tr("Start over with the default …"))
        self.confirm_button = controls.button(tr("Yes, replace my preparation"))
        self.keep_button = controls.button(tr("No, keep it"), main=True)
        self._follow()
        self.shell.fill(
            self.content,
            controls.row(
                self.again_button, self.reset_button, self.keep_button, self.confirm_button
            ),
        )
        self._ask(False)
        self.shell.guarded(self.read)()

    def read(self) -> None:
        """Show what the file holds now."""
        path = self.workspace.preparation_path
        try:
            found = current_preparation(self.workspace)
        except PotashError as error:
            self.content.value = look.problem(str(error))
        else:
            where = (
                tr("Read from {path}.", path=path)
                if path.exists()
                else tr("The default; nothing is saved yet.")
            )
            self.content.value = look.note(where) + _told(found)
        self.shell.keep(self.content.value, str(path))

    def ask_about_reset(self) -> None:
        """Ask before anything is replaced."""
        self._ask(True)
        self.shell.say(
            look.note(
                tr(
                    "This replaces preparation.toml by the default preparation. Recorded answers "
                    "and predictions stay."
                )
            )
        )

    def reset(self) -> None:
        """Replace the file by the default preparation."""
        Preparation.default().save(self.workspace.preparation_path)
        self._ask(False)
        self.read()
        self.shell.say(look.good(tr("The default preparation was written at {now}.", now=now())))

    def keep(self) -> None:
        """Leave the file as it is."""
        self._ask(False)
        self.shell.say(look.note(tr("Kept as it is.")))

    def _follow(self) -> None:
        for button, handler in (
            (self.again_button, self.read),
            (self.reset_button, self.ask_about_reset),
            (self.confirm_button, self.reset),
            (self.keep_button, self.keep),
        ):
            button.on_click(self.shell.guarded(handler))

    def _ask(self, asking: bool) -> None:
        controls.shown(self.reset_button, not asking)
        controls.shown(self.confirm_button, asking)
        controls.shown(self.keep_button, asking)


def _told(found: Preparation) -> str:
    rows = [
        (place.replace(".", ": "), str(value))
        for place, value in found.typed.items()
        if place not in ("format", "title")
    ]
    return look.table(found.title, (tr("What"), tr("As typed")), rows)
