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
    "elements": "strip",
    "energy": "energies",
    "equilibrium": "retort",
    "exercise": "answering",
    "exercises": "answering",
    "gas_log": "gas_logging",
    "glossary": "defining",
    "hand_in": "handing_in",
    "heating": "warming",
    "honest_yield": "reporting",
    "hydrogen": "releasing",
    "items": "analysing",
    "matrix": "squares",
    "path": "pathway",
    "plan": "planning",
    "preparation": "preparing",
    "quench": "taming",
    "quench_failures": "failing",
    "review": "reviewing",
    "run": "running",
    "search": "searching",
    "solvent": "choosing",
    "solvent_loss": "losing",
    "storage": "keeping",
    "units": "converting",
    "waste": "neutralising",
    "what_if": "sweeping",
}

__all__ = [
    "balance",
    "beads",
    "before_you_start",
    "charge",
    "diagram",
    "elements",
    "energy",
    "equilibrium",
    "exercise",
    "exercises",
    "gas_log",
    "glossary",
    "hand_in",
    "heating",
    "honest_yield",
    "hydrogen",
    "items",
    "matrix",
    "path",
    "plan",
    "preparation",
    "quench",
    "quench_failures",
    "review",
    "run",
    "search",
    "solvent",
    "solvent_loss",
    "storage",
    "units",
    "waste",
    "what_if",
]


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'potash.panels' has no attribute {name!r}")
    return getattr(import_module(f"potash.panels.{_HOMES[name]}"), name)


def __dir__() -> list[str]:
    return sorted([*globals(), *_HOMES])
