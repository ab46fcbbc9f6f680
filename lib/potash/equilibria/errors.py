"""What can be wrong with a question about an equilibrium."""

from potash.errors import PotashError


class BadMixture(PotashError):
    """What was put in cannot be a mixture: nothing, a negative amount, no element in common."""


class NoFeasibleComposition(PotashError):
    """The species considered cannot hold the elements in the amounts given."""


class NoConvergence(PotashError):
    """The minimisation did not settle; the message gives the conditions."""
