"""Build data/liquids.json, the frozen and cited table, from data/liquid_names.toml and `thermo`.

Run ``python -m potash.properties.freeze_liquids`` after changing liquid_names.toml. `thermo` takes
seconds to load and some hundred megabytes, so it is used here and not in a student's kernel.

The rule: choose by CAS number; take the first method that is a fit to data or a table of data and
whose range covers the liquid between its melting and boiling points (else, 25 °C); estimates from
the structure or from critical constants are never taken; what has no such method stays a gap,
to be filled in liquid_names.toml by a cited value.
"""

import json
import re
import tomllib
from collections.abc import Iterator, Mapping
from itertools import pairwise
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent / "data"
NAMES = HERE / "liquid_names.toml"
FROZEN = HERE / "liquids.json"

DENSITY_METHODS = {
    "HEOS_FIT": "fit to the saturated liquid of the reference equation of state",
    "DIPPR_PERRY_8E": (
        "DIPPR equation 105, Perry's Chemical Engineers' Handbook, 8th ed. (2007), Table 2-32"
    ),
    "VDI_PPDS": "PPDS equation, VDI Heat Atlas, 2nd ed. (2010)",
    "VDI_TABULAR": "saturation table, VDI Heat Atlas, 2nd ed. (2010)",
}
POINT_METHODS = {
    "CRC_ORG": "CRC Handbook of Chemistry and Physics, 95th ed. (2014), organic compounds",
    "CRC_INORG": "CRC Handbook of Chemistry and Physics, 95th ed. (2014), inorganic compounds",
}
DENSITY_BOUND = (400.0, 2000.0)  # kg/m3: what no organic liquid or water of this table leaves
STEP = 10.0  # K; a straight line between points is then within 0.05 % of the fit
HIGHEST = 650.0  # K; above every working temperature of the workbook
NEAR_CRITICAL = 0.93  # of the upper limit of a fit, which ends at the critical point


def main() -> None:
    """Write liquids.json anew; the same sources give the same bytes."""
    document = tomllib.loads(NAMES.read_text("utf-8"))
    frozen = {
        "ambiguous": document["ambiguous"],
        "liquids": [_freeze(entry) for entry in document["liquid"]],
    }
    text = json.dumps(frozen, indent=1, ensure_ascii=False)
    FROZEN.write_text(_numbers_on_one_line(text) + "\n", "utf-8")


def _freeze(entry: Mapping[str, Any]) -> dict[str, Any]:
    records = {record["property"]: _by_hand(record) for record in entry.get("record", [])}
    for name, record in _published(entry["cas"]):
        records.setdefault(name, record)
    return {
        "name": entry["name"],
        "cas": entry["cas"],
        "formula": entry["formula"],
        "aliases": entry["aliases"],
        "records": records,
    }


def _by_hand(record: Mapping[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in record.items() if key != "property"}


def _published(cas: str) -> Iterator[tuple[str, dict[str, Any]]]:
    import chemicals

    melting = _point(chemicals.Tm, chemicals.Tm_methods(cas), cas)
    boiling = _point(chemicals.Tb, chemicals.Tb_methods(cas), cas)
    if melting:
        yield "melting_point", melting
    if boiling:
        yield "boiling_point", boiling
    if melting and boiling:
        density = _density(cas, melting["values"][0], boiling["values"][0])
        if density:
            yield "density", density


def _point(look_up: Any, offered: list[str], cas: str) -> dict[str, Any] | None:
    for method, source in POINT_METHODS.items():
        if method in offered:
            value = look_up(cas, method=method)
            return {
                "unit": "K",
                "temperatures": [],
                "values": [round(value, 2)],
                "kind": "measured",
                "method": method,
                "source": source,
            }
    return None


def _density(cas: str, melting: float, boiling: float) -> dict[str, Any] | None:
    import chemicals
    from thermo import VolumeLiquid

    volume = VolumeLiquid(CASRN=cas)
    method = _method_over(volume, max(melting, 273.15), boiling) or _method_over(
        volume, 298.15, 298.15
    )
    if method is None:
        return None
    low, high = volume.T_limits[method]
    temperatures = _grid(max(low, melting), min(HIGHEST, NEAR_CRITICAL * high))
    grams = chemicals.MW(cas)
    values = [round(grams / 1000 / volume.calculate(T, method), 2) for T in temperatures]
    _assert_plausible(cas, values)
    return {
        "unit": "kg/m^3",
        "temperatures": temperatures,
        "values": values,
        "kind": "fitted",
        "relative_uncertainty": 0.01,
        "method": method,
        "source": DENSITY_METHODS[method],
    }


def _method_over(volume: Any, low: float, high: float) -> str | None:
    for method in DENSITY_METHODS:
        if method in volume.all_methods:
            lower, upper = volume.T_limits[method]
            if lower <= low + 1 and high <= upper:  # melting points of two books differ by 1 K
                return method
    return None


def _grid(low: float, high: float) -> list[float]:
    first = round(low + 0.005, 2)
    steps = int((high - first) // STEP)
    return [round(first + STEP * step, 2) for step in range(steps + 1)]


def _assert_plausible(cas: str, values: list[float]) -> None:
    falling = all(later < earlier for earlier, later in pairwise(values))
    inside = all(DENSITY_BOUND[0] < value < DENSITY_BOUND[1] for value in values)
    water_at_its_maximum = cas == "7732-18-5"
    if not inside or not (falling or water_at_its_maximum):
        raise SystemExit(f"{cas}: the density record fails its bound: {values}")


def _numbers_on_one_line(text: str) -> str:
    return re.sub(r"\[[^\[\]{}]*\]", lambda found: " ".join(found.group().split()), text)


if __name__ == "__main__":
    main()
