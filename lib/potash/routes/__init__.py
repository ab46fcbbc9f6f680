"""Routes to an alkali metal: which compound, which reductant, and how far downhill each runs."""

from potash.routes.catalogue import METALS, REDUCTANTS, SOURCES, NoSuchRoute, Reductant, reduction
from potash.routes.matrix import NO_VALUE, Cell, Matrix, Reading, matrix

__all__ = [
    "METALS",
    "NO_VALUE",
    "REDUCTANTS",
    "SOURCES",
    "Cell",
    "Matrix",
    "NoSuchRoute",
    "Reading",
    "Reductant",
    "matrix",
    "reduction",
]
