"""Which substances a mixture settles on at a temperature and pressure, and how much of each.

Pure condensed phases, each by itself, and one ideal gas. Real melts mix and real solids take each
other up, which these models leave out; and an equilibrium says nothing about how fast it comes.
"""

from potash.equilibria.errors import BadMixture, NoConvergence, NoFeasibleComposition
from potash.equilibria.result import Equilibrium, Sweep, equilibrium, gas_pressure, sweep

__all__ = [
    "BadMixture",
    "Equilibrium",
    "NoConvergence",
    "NoFeasibleComposition",
    "Sweep",
    "equilibrium",
    "gas_pressure",
    "sweep",
]
