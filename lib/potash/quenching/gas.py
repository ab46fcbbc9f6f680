"""Hydrogen of a quench in the hood's air: the steady share of the worst moment."""

from potash.hydrogen import DESIGN_SHARE, LOWER_FLAMMABLE_LIMIT
from potash.quenching.alcohols import teaching
from potash.quenching.heat import GAS_CONSTANT

LIMIT_SOURCE = "Zabetakis, US Bureau of Mines Bulletin 627 (1965)"
DESIGN_SOURCE = "NFPA 69; common practice"
ALLOWED = DESIGN_SHARE * LOWER_FLAMMABLE_LIMIT
"""Volume fraction of hydrogen in air that a design stays below."""


def gas_flow(molar_flow: float, temperature: float, pressure: float = 1.01325e5) -> float:
    """Volume flow (m3/s) of an ideal gas of ``molar_flow`` (mol/s) at ``temperature`` (K)."""
    return molar_flow * GAS_CONSTANT * temperature / pressure


def share_in_air(hydrogen: float, hood: float) -> float:
    r"""Volume fraction of hydrogen in the air that meets it, if the moment lasted for ever.

    .. math:: x = Q_{H2} / (Q_{H2} + Q_{hood} / K)

    Parameters: hydrogen, hood: m3/s. K is the mixing factor of the teaching values.
    """
    if hydrogen <= 0:
        return 0.0
    return hydrogen / (hydrogen + hood / teaching("mixing_factor"))


def least_hood(hydrogen: float) -> float:
    """Air (m3/s) that the hood must draw to keep ``hydrogen`` (m3/s) at the design share."""
    return hydrogen * (1 - ALLOWED) / ALLOWED * teaching("mixing_factor")
