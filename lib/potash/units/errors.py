"""What can be wrong with a quantity that somebody typed or passed."""

from potash.errors import PotashError


class UnreadableQuantity(PotashError):
    """The text is not one number followed by one unit of the trade."""


class AmbiguousQuantity(UnreadableQuantity):
    """The text can be read in two ways, and both are named so that the writer can choose."""


class WrongDimension(PotashError):
    """A readable quantity of the wrong kind: a volume where a mass is asked for."""


class OutOfBounds(PotashError):
    """A quantity of the right kind with a value that cannot be: a negative mass."""


def excerpt(text: str, longest: int = 60) -> str:
    """``text`` in quotation marks, on one line, cut where it is too long to show."""
    line = " ".join(text[: longest + 1].split())
    return f'"{line[:longest]}…"' if len(text) > longest else f'"{line}"'
