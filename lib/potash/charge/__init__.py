"""The charge: limiting reagent, water's share, excess, theoretical yield, hydrogen, catalyst.

``charge`` calculates what a preparation's weights amount to; ``scale`` and
``with_reductant_excess`` go back from a wanted yield or excess to what must be weighed.
"""

from potash.charge.scaling import CannotScale, scale, with_reductant_excess
from potash.charge.sheet import Charge, Line, charge
from potash.charge.stoichiometry import (
    GAS_CONSTANT,
    Dosing,
    Reduction,
    WaterShare,
    Weighed,
    gas_volume,
    water_reaction,
    weigh,
)

__all__ = [
    "GAS_CONSTANT",
    "CannotScale",
    "Charge",
    "Dosing",
    "Line",
    "Reduction",
    "WaterShare",
    "Weighed",
    "charge",
    "gas_volume",
    "scale",
    "water_reaction",
    "weigh",
    "with_reductant_excess",
]
