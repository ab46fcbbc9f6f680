"""How hot a charge gets if all its heat stays in it, and what a liquid around it takes up."""

from potash.adiabatic.balance import Heating, Unbalanced, adiabatic_heating, run_to_the_end
from potash.adiabatic.charge import HeatingCurve, charge_heating, heating_curve

__all__ = [
    "Heating",
    "HeatingCurve",
    "Unbalanced",
    "adiabatic_heating",
    "charge_heating",
    "heating_curve",
    "run_to_the_end",
]
