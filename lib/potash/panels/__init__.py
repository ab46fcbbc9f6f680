"""The panels of the chapters: what a student sees, moves and types. All computing is elsewhere.

A notebook cell calls one of them and ends; the panel shows itself.
"""

from importlib import import_module
from typing import Any

# Loaded when first asked for: a chapter needs one or two of them.
_HOMES = {
    "balance": "balancing",
    "beads": "rising",
    "before_you_start": "readiness",
    "charge": "charging",
    "diagram": "exchanging",
    "energy": "energies",
    "equilibrium": "retort",
    "exercise": "answering",
    "exercises": "answering",
    "gas_log": "gas_logging",
    "hand_in": "handing_in",
    "heating": "warming",
    "honest_yield": "reporting",
    "hydrogen": "releasing",
    "matrix": "squares",
    "plan": "planning",
    "preparation": "preparing",
    "quench": "taming",
    "quench_failures": "failing",
    "run": "running",
    "solvent": "choosing",
    "storage": "keeping",
    "waste": "neutralising",
    "what_if": "sweeping",
}

__all__ = [
    "balance",
    "beads",
    "before_you_start",
    "charge",
    "diagram",
    "energy",
    "equilibrium",
    "exercise",
    "exercises",
    "gas_log",
    "hand_in",
    "heating",
    "honest_yield",
    "hydrogen",
    "matrix",
    "plan",
    "preparation",
    "quench",
    "quench_failures",
    "run",
    "solvent",
    "storage",
    "waste",
    "what_if",
]


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'potash.panels' has no attribute {name!r}")
    return getattr(import_module(f"potash.panels.{_HOMES[name]}"), name)


def __dir__() -> list[str]:
    return sorted([*globals(), *_HOMES])
