"""The preparation that the panels calculate with: the one in the student's folder."""

from potash.errors import PotashError
from potash.preparation import Preparation
from potash.words import tr
from potash.workspace import Workspace


class PreparationUnusable(PotashError):
    """The preparation in the folder cannot be read; the message names the file and the way out."""


def current_preparation(workspace: Workspace) -> Preparation:
    """The preparation of the folder.

    Raises: PreparationUnusable.
    """
    try:
        return workspace.preparation()
    except PotashError as error:
        raise PreparationUnusable(
            tr(
                "{preparation_path} cannot be used. {error}\nMend that line and run this cell "
                "again, or start over with the default preparation: the panel in chapter 0 does "
                "that, and keeps your file beside the new one.",
                preparation_path=workspace.preparation_path,
                error=error,
            )
        ) from error
