"""Float or sink: liquid against melt at one temperature, and where the two densities cross."""

from functools import cache

from potash.properties.liquids import LiquidRecord
from potash.properties.metals import Metal
from potash.solvents.candidates import Candidate
from potash.solvents.conditions import Conditions
from potash.solvents.verdicts import Buoyancy, Crossing


def buoyancy(candidate: Candidate, asked: Conditions) -> Buoyancy:
    """Densities of liquid and melt at the working temperature, and where they cross."""
    melt = asked.metal.correlations["density"]
    of_metal = float(melt.function(asked.temperature))
    known = candidate.value("density", asked.temperature, asked.estimates)
    crossing = _crossing(candidate, asked.metal, asked.estimates)
    if known is None:
        return Buoyancy(None, of_metal, None, None, crossing, estimated=False)
    spread = (known.value * known.uncertainty) ** 2 + (of_metal * melt.relative_uncertainty) ** 2
    return Buoyancy(
        known.value,
        of_metal,
        known.value - of_metal,
        2 * spread**0.5,
        crossing,
        known.estimated,
    )


@cache
def _crossing(candidate: Candidate, melt: Metal, estimates: bool) -> Crossing | None:
    """Where the densities cross while metal and liquid both are liquid at 1 atm, if they do."""
    # An estimate reaches as far as the liquid does, and starts from the measured density.
    estimated = candidate.liquid.estimates.get("density") if estimates else None
    record = estimated or candidate.record("density", estimates)
    boiling = candidate.constant("boiling_point", estimates)
    if record is None or not record.temperatures:
        return None
    low = max(melt.melting_point_si, record.temperatures[0])
    high = min(record.temperatures[-1], melt.boiling_point_si, boiling.value if boiling else 1e4)
    if low >= high:
        return None
    grid = [low, *(T for T in record.temperatures if low < T < high), high]
    differences = [_difference(record, melt, T) for T in grid]
    for i in range(len(grid) - 1):
        if differences[i] * differences[i + 1] < 0:
            return _crossing_between(record, melt, grid[i], grid[i + 1])
    return None


def _crossing_between(record: LiquidRecord, melt: Metal, low: float, high: float) -> Crossing:
    """Within one straight piece of the record the root of the line is the root."""
    at_low, at_high = _difference(record, melt, low), _difference(record, melt, high)
    slope = (at_high - at_low) / (high - low)
    T = low - at_low / slope
    of_liquid = record.relative_uncertainty or 0.02
    of_metal = melt.correlations["density"].relative_uncertainty
    density = record.value_at(T)
    band = abs(2 * density * (of_liquid**2 + of_metal**2) ** 0.5 / slope)
    return Crossing(T, T - band, T + band, sinks_above=slope < 0)


def _difference(record: LiquidRecord, melt: Metal, T: float) -> float:
    return record.value_at(T) - float(melt.correlations["density"].function(T))
