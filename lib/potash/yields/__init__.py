"""An honest yield: isolated mass, gas volumetry, back-titration, each with its uncertainty.

Uncertainties follow JCGM 100:2008 (GUM); the package ``uncertainties`` takes the derivatives.
"""

from potash.yields.balance import MassBalance, honest_yield, mass_balance
from potash.yields.budget import BadMeasurement, Contribution, Measured, Result, measured
from potash.yields.titration import BackTitration, back_titration, standardise
from potash.yields.vapour import UnknownSealLiquid, vapour_pressure
from potash.yields.volumetry import Volumetry, barometer_reading, gas_volumetry

__all__ = [
    "BackTitration",
    "BadMeasurement",
    "Contribution",
    "MassBalance",
    "Measured",
    "Result",
    "UnknownSealLiquid",
    "Volumetry",
    "back_titration",
    "barometer_reading",
    "gas_volumetry",
    "honest_yield",
    "mass_balance",
    "measured",
    "standardise",
    "vapour_pressure",
]
