"""What can be wrong with a liquid that somebody wants to screen."""

from potash.errors import PotashError


class UnreadableStructure(PotashError):
    """A SMILES that does not parse; the message points at the trouble."""


class NotAMolecularLiquid(PotashError):
    """A salt, a metal, a gas or several substances at once."""


class NameOfAMixture(PotashError):
    """A cut or mixture without defined composition; the message offers proxies of the table."""


class AboveAllData(PotashError):
    """A temperature at which the table holds data for no liquid."""


class UnknownRule(PotashError):
    """A rule that does not exist; the message names those there are."""
