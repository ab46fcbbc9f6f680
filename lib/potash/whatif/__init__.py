"""What if: many runs over what is not exactly known, and what moves the outcome most."""

from potash.whatif.errors import BadSweep, NoCluster
from potash.whatif.inputs import OUTCOMES, Tolerance, tolerances
from potash.whatif.montecarlo import Spread, monte_carlo
from potash.whatif.tornado import Bar, Tornado, tornado

__all__ = [
    "OUTCOMES",
    "BadSweep",
    "Bar",
    "NoCluster",
    "Spread",
    "Tolerance",
    "Tornado",
    "monte_carlo",
    "tolerances",
    "tornado",
]
