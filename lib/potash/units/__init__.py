"""The one Pint registry, and a reader for the quantities that people type.

``read`` gives plain floats and is what marking uses; ``quantity`` gives Pint quantities and is what
people and notebooks use; ``magnitude`` is how a public function takes either.
"""

from potash.units.dimensions import DIMENSIONS, Dimension, UnknownDimension
from potash.units.door import QuantityLike, magnitude, quantity
from potash.units.errors import (
    AmbiguousQuantity,
    OutOfBounds,
    UnreadableQuantity,
    WrongDimension,
)
from potash.units.reading import Reading, read, significant_figures
from potash.units.registry import Quantity, ureg
from potash.units.show import show, show_number, show_unit

__all__ = [
    "DIMENSIONS",
    "AmbiguousQuantity",
    "Dimension",
    "OutOfBounds",
    "Quantity",
    "QuantityLike",
    "Reading",
    "UnknownDimension",
    "UnreadableQuantity",
    "WrongDimension",
    "magnitude",
    "quantity",
    "read",
    "show",
    "show_number",
    "show_unit",
    "significant_figures",
    "ureg",
]
