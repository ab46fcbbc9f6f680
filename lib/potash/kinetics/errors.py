"""What can be wrong with a run that somebody asks for."""

from potash.errors import PotashError


class BadPlan(PotashError):
    """A dosing plan that cannot be carried out."""


class RouteNotModelled(PotashError):
    """A preparation that does not go by the catalysed hydroxide route."""


class UnknownParameter(PotashError):
    """No teaching value has this name."""


class OutOfReach(PotashError):
    """No dose within the bounds reaches what is wanted."""


class RunNotFollowed(PotashError):
    """The integrator gave up; what was asked of it is in the message."""
