"""The panels: what a student sees, moves and types, a folder a chapter. All computing is elsewhere.

A notebook cell calls one of them and ends; the panel shows itself.
"""

from importlib import import_module
from typing import Any

# Where each is, to be loaded when first asked for: a chapter needs one or two of them.
_HOMES = {
    "balance": "chapter_1.balance",
    "beads": "chapter_4.beads",
    "before_you_start": "chapter_0.before_you_start",
    "charge": "chapter_2.charge",
    "diagram": "chapter_3.diagram",
    "elements": "look_up.elements",
    "energy": "chapter_3.energy",
    "equilibrium": "chapter_3.equilibrium",
    "exercise": "answers.exercise",
    "exercises": "answers.exercise",
    "gas_log": "chapter_5.gas_log",
    "glossary": "look_up.glossary",
    "hand_in": "answers.hand_in",
    "heating": "chapter_3.heating",
    "honest_yield": "chapter_9.honest_yield",
    "hydrogen": "chapter_6.hydrogen",
    "items": "staff.items",
    "matrix": "chapter_3.matrix",
    "path": "look_up.path",
    "plan": "chapter_9.plan",
    "preparation": "chapter_0.preparation",
    "quench": "chapter_7.quench",
    "quench_failures": "chapter_7.quench_failures",
    "review": "staff.review",
    "run": "chapter_5.run",
    "search": "look_up.search",
    "solvent": "chapter_4.solvent",
    "solvent_loss": "chapter_4.solvent_loss",
    "storage": "chapter_8.storage",
    "units": "look_up.units",
    "waste": "chapter_7.waste",
    "what_if": "chapter_5.what_if",
}

__all__ = tuple(_HOMES)


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'potash.panels' has no attribute {name!r}")
    return getattr(import_module(f"potash.panels.{_HOMES[name]}"), name)


def __dir__() -> list[str]:
    return sorted(_HOMES)
