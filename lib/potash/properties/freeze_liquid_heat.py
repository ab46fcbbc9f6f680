"""Build data/liquid_heat.csv: how much heat a liquid takes up on warming and on boiling.

Run ``python -m potash.properties.freeze_liquid_heat``. The heat capacities are the splines that
Zabransky and others fitted to critically evaluated calorimetric data. Where that spline ends below
the boiling point, the fit to the reference equation of state is taken. Estimates never are.
"""

import csv
from collections.abc import Iterator
from pathlib import Path

FROZEN = Path(__file__).parent / "data" / "liquid_heat.csv"
HEADS = ("liquid", "cas", "quantity", "temperature", "value", "unit", "source")
STEP = 20.0  # K; a straight line between points is then within 0.1 % of the spline
FIRST = 300.0  # K

_SPLINE = "ZABRANSKY_SPLINE_SAT"
_SOURCES = {
    _SPLINE: (
        "Zabransky, Ruzicka, Majer and Domalski, Heat Capacity of Liquids, J. Phys. Chem. Ref. "
        "Data Monograph 6 (1996), spline along saturation"
    ),
    "HEOS_FIT": "fit to the saturated liquid of the reference equation of state",
}
_BOILING = "CRC_HVAP_TB"
_BOILING_SOURCE = "CRC Handbook of Chemistry and Physics, 95th ed. (2014), enthalpy of vaporization"

LIQUIDS = {
    "tetralin": ("119-64-2", _SPLINE),
    "o-xylene": ("95-47-6", _SPLINE),
    "toluene": ("108-88-3", _SPLINE),
    "decane": ("124-18-5", _SPLINE),
    "dodecane": ("112-40-3", "HEOS_FIT"),
    "hexadecane": ("544-76-3", "HEOS_FIT"),
}


def main() -> None:
    """Write liquid_heat.csv anew."""
    with FROZEN.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(HEADS)
        writer.writerows(rows())


def rows() -> Iterator[tuple[str, ...]]:
    """The rows of the file."""
    from chemicals import Tb
    from thermo import EnthalpyVaporization, HeatCapacityLiquid

    for name, (cas, method) in LIQUIDS.items():
        boiling = float(Tb(cas))
        capacity = HeatCapacityLiquid(CASRN=cas)
        for T in _temperatures(min(boiling, capacity.T_limits[method][1])):
            value = f"{float(capacity.calculate(T, method)):.2f}"
            yield name, cas, "heat capacity", f"{T:g}", value, "J/(mol K)", _SOURCES[method]
        heat = float(EnthalpyVaporization(CASRN=cas).calculate(boiling, _BOILING))
        yield (
            name, cas, "heat of vaporization", f"{boiling:g}", f"{heat:.0f}", "J/mol",
            _BOILING_SOURCE,
        )  # fmt: skip


def _temperatures(highest: float) -> Iterator[float]:
    T = FIRST
    while highest - 1.0 > T:
        yield T
        T += STEP
    yield round(highest, 2)


if __name__ == "__main__":
    main()
