"""Hydrogen on its way out: release, hood, bubbler, balloon, suck-back; and heat at the same moment.

Every check looks at the worst moment, never at the mean. None of them says that a set-up is safe.
"""

from potash.hydrogen.errors import BadRelease, BalloonTooSmall, NoVentilation
from potash.hydrogen.heat import HeatCheck, condenser_power, heat_check
from potash.hydrogen.hood import (
    AT_THE_MOUTH,
    DESIGN_SHARE,
    LOWER_FLAMMABLE_LIMIT,
    SOURCES,
    HoodAir,
    hood_air,
    largest_scale,
    smallest_airflow,
    washout_time,
)
from potash.hydrogen.release import Release, release, steady_release
from potash.hydrogen.vessel import (
    Balloon,
    SuckBack,
    back_pressure,
    balloon,
    bubble_rate,
    suck_back,
    wet_gas_volume,
)

__all__ = [
    "AT_THE_MOUTH",
    "DESIGN_SHARE",
    "LOWER_FLAMMABLE_LIMIT",
    "SOURCES",
    "BadRelease",
    "Balloon",
    "BalloonTooSmall",
    "HeatCheck",
    "HoodAir",
    "NoVentilation",
    "Release",
    "SuckBack",
    "back_pressure",
    "balloon",
    "bubble_rate",
    "condenser_power",
    "heat_check",
    "hood_air",
    "largest_scale",
    "release",
    "smallest_airflow",
    "steady_release",
    "suck_back",
    "washout_time",
    "wet_gas_volume",
]
