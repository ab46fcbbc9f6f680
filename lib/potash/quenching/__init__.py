"""Quenching: alcohol choice, semi-batch heat and gas balance, limits, failures, and water.

Rates and heat transfer are teaching values (``teaching_values``); heats come from published
enthalpies. No result here says that a quench may be done.
"""

from potash.quenching.alcohols import (
    Alcohol,
    Diluent,
    UnknownAlcohol,
    UnknownDiluent,
    alcohol,
    alcohols,
    diluent,
    diluents,
    quenched_metals,
    teaching_values,
)
from potash.quenching.course import LABEL, QuenchCourse, simulate_quench
from potash.quenching.criticality import (
    Criticality,
    adiabatic_rise,
    criticality,
    maximum_synthesis_temperature,
)
from potash.quenching.failures import WhatIf, failures, what_if
from potash.quenching.heat import crystal_enthalpies, water_enthalpy
from potash.quenching.limits import Limit, largest_feed, least_hood_flow, smallest_excess
from potash.quenching.pieces import time_until_gone
from potash.quenching.review import review
from potash.quenching.setup import BadQuench, Quench, problems
from potash.quenching.water import MetByWater, met_by_water

__all__ = [
    "LABEL",
    "Alcohol",
    "BadQuench",
    "Criticality",
    "Diluent",
    "Limit",
    "MetByWater",
    "Quench",
    "QuenchCourse",
    "UnknownAlcohol",
    "UnknownDiluent",
    "WhatIf",
    "adiabatic_rise",
    "alcohol",
    "alcohols",
    "criticality",
    "crystal_enthalpies",
    "diluent",
    "diluents",
    "failures",
    "largest_feed",
    "least_hood_flow",
    "maximum_synthesis_temperature",
    "met_by_water",
    "problems",
    "quenched_metals",
    "review",
    "simulate_quench",
    "smallest_excess",
    "teaching_values",
    "time_until_gone",
    "water_enthalpy",
    "what_if",
]
