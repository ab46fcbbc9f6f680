"""What can be wrong with a question about a property."""

from potash.errors import PotashError


class UnknownSpecies(PotashError):
    """A species that no table here holds; the message offers near matches."""


class OutOfRange(PotashError):
    """A temperature outside the range of the data; the message gives the range."""


class NoTrustedValue(PotashError):
    """No published value at hand that passed its gate; the message says which and why."""
