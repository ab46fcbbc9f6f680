"""The catalysed reduction of a hydroxide over time: network, rates, doses, signs.

``simulate_reduction`` follows one preparation; ``compare`` sets plans side by side;
``least_alcohol`` looks for the smallest dose that will do. Every rate is a teaching value. What is
checked is the structure: conservation, limits with closed forms, and facts of the trade.
"""

from potash.kinetics.batch import Batch, alcohol_classes, batch
from potash.kinetics.dosing import (
    Dose,
    DosePlan,
    OnTarnish,
    all_at_once,
    at_times,
    on_tarnish,
    staggered,
    with_dose,
)
from potash.kinetics.errors import (
    BadPlan,
    OutOfReach,
    RouteNotModelled,
    RunNotFollowed,
    UnknownParameter,
)
from potash.kinetics.network import REACTIONS, SPECIES, composition, stoichiometry
from potash.kinetics.parameters import LABEL, Parameter, Parameters, teaching_values
from potash.kinetics.run import NOT_A_PREDICTION, Run
from potash.kinetics.signs import WORDS, Sign
from potash.kinetics.simulation import (
    SURFACES,
    LeastAlcohol,
    compare,
    least_alcohol,
    simulate_reduction,
    standing_plan,
)

__all__ = [
    "LABEL",
    "NOT_A_PREDICTION",
    "REACTIONS",
    "SPECIES",
    "SURFACES",
    "WORDS",
    "BadPlan",
    "Batch",
    "Dose",
    "DosePlan",
    "LeastAlcohol",
    "OnTarnish",
    "OutOfReach",
    "Parameter",
    "Parameters",
    "RouteNotModelled",
    "Run",
    "RunNotFollowed",
    "Sign",
    "UnknownParameter",
    "alcohol_classes",
    "all_at_once",
    "at_times",
    "batch",
    "compare",
    "composition",
    "least_alcohol",
    "on_tarnish",
    "simulate_reduction",
    "staggered",
    "standing_plan",
    "stoichiometry",
    "teaching_values",
    "with_dose",
]
