"""Hydrogen in the hood: its share of the air against a quarter of the lower flammable limit."""

from potash.quenching.alcohols import teaching

LOWER_FLAMMABLE_LIMIT = 0.040  # volume fraction in air
LIMIT_SOURCE = "Zabetakis, US Bureau of Mines Bulletin 627 (1965)"
DESIGN_SHARE = 0.25  # of the limit
DESIGN_SOURCE = "NFPA 69; common practice"


def gas_flow(molar_flow: float, temperature: float, pressure: float = 1.01325e5) -> float:
    """Volume flow (m3/s) of an ideal gas of ``molar_flow`` (mol/s) at ``temperature`` (K)."""
    return molar_flow * 8.314462618 * temperature / pressure


def share_in_air(hydrogen: float, hood: float) -> float:
    r"""Volume fraction of hydrogen where it mixes with the part of the hood's air that meets it.

    .. math:: x = Q_{H2} / (Q_{H2} + K Q_{hood})

    Parameters: hydrogen, hood: m3/s. K is the mixing factor of the teaching values.
    """
    if hydrogen <= 0:
        return 0.0
    return hydrogen / (hydrogen + teaching("mixing_factor") * hood)


def least_hood(hydrogen: float) -> float:
    """Air (m3/s) that the hood must draw to keep ``hydrogen`` (m3/s) at the design share."""
    allowed = DESIGN_SHARE * LOWER_FLAMMABLE_LIMIT
    return hydrogen * (1 - allowed) / (allowed * teaching("mixing_factor"))
