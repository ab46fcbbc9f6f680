"""Hazards: GHS elements, what must not meet, metal fires, and the readiness check.

Nothing here replaces the supplier's current safety data sheet, and nothing missing here is thereby
harmless.
"""

from potash.hazards.cautions import NONE_RAISED, Caution, cautions_html
from potash.hazards.fire import Extinguisher, extinguishers, wrong_extinguishers
from potash.hazards.readiness import ReadinessItem, readiness_items, unready
from potash.hazards.substances import (
    CHECK_THE_SDS,
    Incompatibility,
    Substance,
    UnknownSubstance,
    incompatibilities,
    statement,
    substance,
    substance_names,
)

__all__ = [
    "CHECK_THE_SDS",
    "NONE_RAISED",
    "Caution",
    "Extinguisher",
    "Incompatibility",
    "ReadinessItem",
    "Substance",
    "UnknownSubstance",
    "cautions_html",
    "extinguishers",
    "incompatibilities",
    "readiness_items",
    "statement",
    "substance",
    "substance_names",
    "unready",
    "wrong_extinguishers",
]
