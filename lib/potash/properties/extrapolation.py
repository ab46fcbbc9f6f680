"""Values beyond the tables, for those who ask for them knowing what they do."""

import math
from dataclasses import replace

from potash.properties.curves import Curve, cubic, joined, quintic
from potash.properties.thermochemistry import Species
from potash.units import QuantityLike, magnitude
from potash.words import tr

_STEP = 50.0  # K, about the distance between the points that carry the extrapolated curves


def extrapolated(
    record: Species, *, above: QuantityLike = "250 K", below: QuantityLike = "1300 K"
) -> Species:
    r"""A record like ``record`` that goes on beyond its data with the heat capacity at their end.

    .. math:: H = H_e + C_p (T - T_e), \quad S = S_e + C_p \ln(T/T_e), \quad G = H - T S

    Parameters: record, with a heat capacity; above and below, how far to go.
    Returns: a record whose confidence is "extrapolated", whose note says from where, and whose
    uncertainty grows by 25 J/(mol K) above the data, since it may melt there unseen.
    Raises: NoTrustedValue, if there is no heat capacity or no entropy to start from.
    """
    low = float(magnitude("above", above, "K", above=0))
    high = float(magnitude("below", below, "K", above=0))
    first, last = (T.m_as("K") for T in record.valid)
    ends = [(low, first, first)] * (low < first), [(last, high, last)] * (high > last)
    before, after = ([_beyond(record, *end) for end in side] for side in ends)
    inside = (
        record.enthalpy_curve(), record.gibbs_energy_curve(), record.heat_capacity_curve()
    )  # fmt: skip
    enthalpy, gibbs_energy, heat_capacity = (
        joined([*(b[i] for b in before), curve, *(a[i] for a in after)])
        for i, curve in enumerate(inside)
    )
    said = tr(
        "Extrapolated with a constant heat capacity outside {first:g} K to {last:g} K; changes of "
        "phase there are not known",
        first=first,
        last=last,
    )
    return replace(
        record,
        confidence="extrapolated",
        note=f"{said}. {record.note}" if record.note else said,
        _listing=replace(
            record._listing,
            melting_untabulated=min(record._listing.melting_untabulated or last, last),
        ),
        _enthalpy=enthalpy,
        _gibbs_energy=gibbs_energy,
        _heat_capacity=heat_capacity,
    )


def _beyond(record: Species, low: float, high: float, end: float) -> tuple[Curve, Curve, Curve]:
    """Enthalpy, Gibbs energy, heat capacity between ``low`` and ``high`` (K), from ``end`` on."""
    count = max(2, round((high - low) / _STEP) + 1)
    T = [low + (high - low) * i / (count - 1) for i in range(count)]
    Cp = record.heat_capacity_si(end)
    H = [record.enthalpy_si(end) + Cp * (t - end) for t in T]
    S = [record.entropy_si(end) + Cp * math.log(t / end) for t in T]
    G = [h - t * s for h, t, s in zip(H, T, S, strict=True)]
    slopes = [-s for s in S]
    return (
        cubic(T, H, [Cp] * count),
        quintic(T, G, slopes, [-Cp / t for t in T]),
        cubic(T, [Cp] * count, [0.0] * count),
    )
