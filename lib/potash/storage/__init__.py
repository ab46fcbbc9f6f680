"""Storage: air that reaches the metal, the crust it makes, and when to discard."""

from potash.storage.crusts import Crust, crusts, forms_superoxide, pilling_bedworth
from potash.storage.discard import Discard, compare_keeping, discard_by
from potash.storage.ingress import (
    Closure,
    Cover,
    Keeping,
    UnknownClosure,
    UnknownCover,
    closures,
    covers,
    diffusion_flux,
)

__all__ = [
    "Closure",
    "Cover",
    "Crust",
    "Discard",
    "Keeping",
    "UnknownClosure",
    "UnknownCover",
    "closures",
    "compare_keeping",
    "covers",
    "crusts",
    "diffusion_flux",
    "discard_by",
    "forms_superoxide",
    "pilling_bedworth",
]
