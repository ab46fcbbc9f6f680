"""What can be wrong with the way that hydrogen is to be led away."""

from potash.errors import PotashError


class NoVentilation(PotashError):
    """Hydrogen is released and no air carries it away."""


class BalloonTooSmall(PotashError):
    """A balloon that would burst or blow off before the run is over."""


class BadRelease(PotashError):
    """Times and rates that are no release of gas."""
