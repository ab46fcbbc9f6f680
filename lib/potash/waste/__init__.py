"""Waste: what is left after the quench, neutralised, sorted into streams and labelled.

The final pH is calculated with activities and holds for dilute solutions of strong electrolytes; it
never replaces indicator paper.
"""

from potash.waste.acidity import AcidityRange, base_ph, mixture_ph, water_ion_product
from potash.waste.labels import WasteLabel, label
from potash.waste.neutralise import BadNeutralisation, Neutralisation, neutralise
from potash.waste.streams import WAIT_FOR, WaitFor, WasteStream, streams

__all__ = [
    "WAIT_FOR",
    "AcidityRange",
    "BadNeutralisation",
    "Neutralisation",
    "WaitFor",
    "WasteLabel",
    "WasteStream",
    "base_ph",
    "label",
    "mixture_ph",
    "neutralise",
    "streams",
    "water_ion_product",
]
