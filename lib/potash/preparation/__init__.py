"""A preparation: what is weighed, poured, heated and vented, as one object and as a TOML file.

The file is meant to be read and written by hand; ``default.toml`` beside this module shows it, and
``keys.py`` lists what it may hold.
"""

from potash.preparation.keys import FORMAT, KEYS, ROLES, BadPreparation
from potash.preparation.model import Preparation, default_text
from potash.preparation.parts import (
    ALKALI_METALS,
    METAL_SOURCES,
    Catalyst,
    Pour,
    Reagent,
    Vent,
    same_substance,
)

__all__ = [
    "ALKALI_METALS",
    "FORMAT",
    "KEYS",
    "METAL_SOURCES",
    "ROLES",
    "BadPreparation",
    "Catalyst",
    "Pour",
    "Preparation",
    "Reagent",
    "Vent",
    "default_text",
    "same_substance",
]
