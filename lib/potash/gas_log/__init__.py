"""A practitioner's own gas log: read it, fit pace and induction, and tell the end with its band."""

from potash.gas_log.errors import BadLog, CannotFit, NotBent
from potash.gas_log.fitting import Estimate, GasFit, fit_gas_log
from potash.gas_log.reading import GasLog, example_log, read_gas_log

__all__ = [
    "BadLog",
    "CannotFit",
    "Estimate",
    "GasFit",
    "GasLog",
    "NotBent",
    "example_log",
    "fit_gas_log",
    "read_gas_log",
]
