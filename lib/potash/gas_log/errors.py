"""What can be wrong with a gas log."""

from potash.errors import PotashError


class BadLog(PotashError):
    """A gas log that cannot be read; the message names the line."""


class NotBent(PotashError):
    """A log that still runs straight: its end cannot be told from it."""


class CannotFit(PotashError):
    """A log whose gas does not follow the model at all."""
