"""Retort and vacuum routes: charges, and how much of their metal leaves as vapour."""

from potash.retorts.charges import RetortCharge, UnknownCharge, retort_charge, retort_charges
from potash.retorts.vapour import (
    AmountsOver,
    VapourCurve,
    amounts_over_pressure,
    amounts_over_temperature,
    vapour_curve,
)

__all__ = [
    "AmountsOver",
    "RetortCharge",
    "UnknownCharge",
    "VapourCurve",
    "amounts_over_pressure",
    "amounts_over_temperature",
    "retort_charge",
    "retort_charges",
    "vapour_curve",
]
