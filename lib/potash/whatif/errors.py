"""What can be wrong with a sweep of runs."""

from potash.errors import PotashError


class BadSweep(PotashError):
    """A sweep that cannot be made as asked."""


class NoCluster(PotashError):
    """The cluster named cannot be used."""
