"""Potash: an interactive teaching workbook for alkali-metal reduction chemistry."""

from importlib import import_module
from typing import Any

__version__ = "0.1.0"

# Loaded when first asked for, so that `import potash` stays light.
_HOMES = {
    "quantity": "potash.units",
    "molar_mass": "potash.formulas",
    "species": "potash.properties",
    "balance": "potash.reactions",
    "equilibrium": "potash.equilibria",
    "Preparation": "potash.preparation",
    "screen_solvents": "potash.solvents",
    "simulate_reduction": "potash.kinetics",
    "simulate_quench": "potash.quenching",
    "discard_by": "potash.storage",
}

__all__ = [
    "Preparation",
    "balance",
    "discard_by",
    "equilibrium",
    "molar_mass",
    "quantity",
    "screen_solvents",
    "simulate_quench",
    "simulate_reduction",
    "species",
]


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'potash' has no attribute {name!r}")
    return getattr(import_module(_HOMES[name]), name)


def __dir__() -> list[str]:
    return sorted([*globals(), *_HOMES])
