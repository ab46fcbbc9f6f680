"""Thermochemical and physical properties, each with its source, range and uncertainty.

``species`` answers for the inorganic species of the reductions; ``liquid`` for the liquids they are
carried out in.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

from potash.properties.errors import NoTrustedValue, OutOfRange, UnknownSpecies
from potash.properties.extrapolation import extrapolated
from potash.properties.thermochemistry import (
    GAS_CONSTANT,
    Species,
    Transition,
    species,
    species_names,
)

if TYPE_CHECKING:
    from potash.properties.liquids import liquid

__all__ = [
    "GAS_CONSTANT",
    "NoTrustedValue",
    "OutOfRange",
    "Species",
    "Transition",
    "UnknownSpecies",
    "extrapolated",
    "liquid",
    "species",
    "species_names",
]


def __getattr__(name: str) -> Any:
    # The table of liquids is read only when a liquid is asked for.
    if name == "liquid":
        return import_module("potash.properties.liquids").liquid
    raise AttributeError(f"module 'potash.properties' has no attribute {name!r}")
