"""Published properties of one organic liquid, by CAS number, each through a gate.

`thermo` and `chemicals` carry many data sets a substance, and estimates between them that look
alike. The rule here: only fits to data and tables of data; the first in order of trust that keeps
its physical bound and, where a second data set covers the same temperatures, agrees with one.
Estimates are made apart, by ``estimated_records``, and carry that name.

Records are plain dictionaries, as data/liquids.json holds them. Used when the table is frozen, and
when somebody adds a liquid: loading `thermo` takes a second and some hundred megabytes.
"""

import contextlib
import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from potash.formulas import molar_mass

Record = dict[str, Any]
Points = Sequence[tuple[float, float]]

STEP = 10.0  # K; interpolation between points then keeps within 0.1 % of the fit
HIGHEST = 650.0  # K; above every working temperature of the workbook
NEAR_CRITICAL = 0.93  # of the critical temperature, up to which densities are taken
ROOM = 298.15
LEAST_PRESSURE = 100.0  # Pa

_PERRY = "Perry's Chemical Engineers' Handbook, 8th ed. (2007)"
_VDI = "VDI Heat Atlas, 2nd ed. (2010)"
_CRC = "CRC Handbook of Chemistry and Physics, 95th ed. (2014)"


@dataclass(frozen=True, slots=True)
class Kind:
    """One temperature-dependent property: where it comes from and what it may be.

    tool: class of `thermo`. methods: data sets in order of trust, with what each is.
    unit, scale: of the values; "logarithmic" interpolates ln(value) over 1/T.
    bound: lowest and highest value. rising: whether it rises with temperature.
    tolerance: relative, to a second data set. uncertainty: relative, a judgement; reference: the
        same for fits to a reference equation of state, which are better.
    to_boiling: whether a fit is trusted up to the boiling point only. share: of the upper limit of
        the data sets that is taken; those of density end at the critical point.
    """

    tool: str
    methods: Mapping[str, str]
    unit: str
    scale: str
    bound: tuple[float, float]
    rising: bool
    tolerance: float
    uncertainty: float
    reference: float
    to_boiling: bool = False
    share: float = 1.0


KINDS: Mapping[str, Kind] = {
    "density": Kind(
        "VolumeLiquid",
        {
            "HEOS_FIT": "fit to the saturated liquid of the reference equation of state",
            "DIPPR_PERRY_8E": f"DIPPR equation 105, {_PERRY}, Table 2-32",
            "VDI_PPDS": f"PPDS equation, {_VDI}",
            "VDI_TABULAR": f"saturation table, {_VDI}",
        },
        "kg/m^3",
        "linear",
        (400.0, 2200.0),
        rising=False,
        tolerance=0.02,
        uncertainty=0.01,
        reference=0.003,
        share=NEAR_CRITICAL,
    ),
    "vapour_pressure": Kind(
        "VaporPressure",
        {
            "HEOS_FIT": "fit to the saturation curve of the reference equation of state",
            "DIPPR_PERRY_8E": f"DIPPR equation 101, {_PERRY}, Table 2-8",
            "WAGNER_MCGARRY": "McGarry, Ind. Eng. Chem. Process Des. Dev. 22 (1983) 313",
            "ANTOINE_POLING": (
                "Poling, Prausnitz and O'Connell, The Properties of Gases and Liquids, 5th ed."
            ),
            "LANDOLT": "Landolt-Boernstein, New Series IV/20 (1999 to 2001), Antoine equation",
            "ANTOINE_WEBBOOK": "NIST Chemistry WebBook, Antoine equation",
            "VDI_PPDS": f"PPDS equation, {_VDI}",
        },
        "Pa",
        "logarithmic",
        (1e-6, 2.5e7),
        rising=True,
        tolerance=0.05,
        uncertainty=0.03,
        reference=0.01,
    ),
    "viscosity": Kind(
        "ViscosityLiquid",
        {
            "REFPROP_FIT": "fit to the saturated liquid of the reference correlation",
            "DIPPR_PERRY_8E": f"DIPPR equation 101, {_PERRY}, Table 2-313",
            "VISWANATH_NATARAJAN_3": "Viswanath and Natarajan, Data Book on Viscosity (1989)",
            "VISWANATH_NATARAJAN_2": "Viswanath and Natarajan, Data Book on Viscosity (1989)",
            "DUTT_PRASAD": "Dutt and Prasad, in Viswanath et al., Viscosity of Liquids (2007)",
            "VDI_PPDS": f"PPDS equation, {_VDI}",
        },
        "Pa*s",
        "logarithmic",
        (2e-5, 0.2),
        rising=False,
        tolerance=0.15,
        uncertainty=0.08,
        reference=0.04,
        to_boiling=True,
    ),
    "surface_tension": Kind(
        "SurfaceTension",
        {
            "REFPROP_FIT": (
                "fit to Mulero, Cachadina and Parra, J. Phys. Chem. Ref. Data 41 (2012) 043105"
            ),
            "SOMAYAJULU": "Somayajulu, Int. J. Thermophys. 9 (1988) 559",
            "JASPER": "Jasper, J. Phys. Chem. Ref. Data 1 (1972) 841",
            "VDI_PPDS": f"PPDS equation, {_VDI}",
            "Fit 2023": "fit of 2023 to collected measurements, by the makers of thermo",
        },
        "N/m",
        "linear",
        (0.002, 0.08),
        rising=False,
        tolerance=0.08,
        uncertainty=0.04,
        reference=0.02,
        to_boiling=True,
    ),
}

_POINTS: Mapping[str, tuple[str, Mapping[str, str]]] = {
    "melting_point": (
        "Tm",
        {
            "CRC_ORG": f"{_CRC}, organic compounds",
            "CRC_INORG": f"{_CRC}, inorganic compounds",
            "WEBBOOK": "NIST Chemistry WebBook",
            "COMMON_CHEMISTRY": "CAS Common Chemistry",
        },
    ),
    "boiling_point": (
        "Tb",
        {
            "CRC_ORG": f"{_CRC}, organic compounds",
            "CRC_INORG": f"{_CRC}, inorganic compounds",
            "WEBBOOK": "NIST Chemistry WebBook",
            "COMMON_CHEMISTRY": "CAS Common Chemistry",
        },
    ),
}
_POINTS_AGREE = 6.0  # K
_REFERENCE = ("HEOS_FIT", "REFPROP_FIT")

# Not taken: "Serat DIPPR (2017)", an estimate up to 50 K low, and "WIKIDATA", without a source.
_FIRE: Mapping[str, str] = {"flash_point": "T_flash", "autoignition_temperature": "T_autoignition"}
_FIRE_METHODS = ("IEC 60079-20-1 (2010)", "NFPA 497 (2008)")


def published_records(cas: str) -> dict[str, Record]:
    """The records of the substance ``cas`` that pass their gates, by property, gaps left out."""
    records = dict(_points(cas))
    records.update(_fire_points(cas))
    melting = records["melting_point"]["values"][0] if "melting_point" in records else 0.0
    boiling = records["boiling_point"]["values"][0] if "boiling_point" in records else math.inf
    for name, kind in KINDS.items():
        record = _over_temperature(cas, kind, melting, boiling)
        if record:
            records[name] = record
    return records


def estimated_records(
    cas: str | None, smiles: str, known: Mapping[str, Record]
) -> dict[str, Record]:
    """Estimates of boiling point, density and vapour pressure where ``known`` has no such range.

    Density: Rackett's equation, led through a measured density where there is one. Vapour
    pressure: Lee and Kesler. Critical constants: published where they are, else Joback's groups.
    Nothing where `thermo` cannot break the molecule into groups.
    Source: Poling, Prausnitz and O'Connell, The Properties of Gases and Liquids, 5th ed. (2001),
    eqs. 4-11.3, 7-4.1 and sect. 2-3.
    """
    constants = _critical_constants(cas, smiles, known)
    if constants is None:
        return {}
    estimates = {}
    if "boiling_point" not in known:
        estimates["boiling_point"] = _constant(
            constants.boiling, "estimated", "JOBACK", "Joback's group contributions", 0.03
        )
    if not _reaches(known.get("density"), constants.boiling):
        estimates["density"] = _estimated_density(constants, known.get("density"))
    if not _reaches(known.get("vapour_pressure"), constants.boiling - 10):
        estimates["vapour_pressure"] = _estimated_vapour_pressure(constants)
    return estimates


def _points(cas: str) -> Iterator[tuple[str, Record]]:
    import chemicals

    for name, (look_up, methods) in _POINTS.items():
        offered = getattr(chemicals, f"{look_up}_methods")(cas)
        found = {
            method: float(getattr(chemicals, look_up)(cas, method=method))
            for method in methods
            if method in offered
        }
        for method, value in found.items():
            others = [other for key, other in found.items() if key != method]
            near = [other for other in others if abs(other - value) <= _POINTS_AGREE]
            if near or not others:
                gate = "agrees with a second table within 6 K" if near else "no second table"
                yield name, _constant(value, "measured", method, methods[method], None, gate)
                break


def _fire_points(cas: str) -> Iterator[tuple[str, Record]]:
    """The lower of the two standards' values: the cautious one."""
    import chemicals

    for name, look_up in _FIRE.items():
        offered = getattr(chemicals, f"{look_up}_methods")(cas)
        found = {
            method: float(getattr(chemicals, look_up)(cas, method=method))
            for method in _FIRE_METHODS
            if method in offered
        }
        if found:
            method = min(found, key=lambda one: found[one])
            gate = "the lower of two standards" if len(found) > 1 else "one standard"
            yield name, _constant(found[method], "measured", method, method, None, gate)


def _constant(
    value: float,
    kind: str,
    method: str,
    source: str,
    uncertainty: float | None = None,
    gate: str = "",
) -> Record:
    record: Record = {
        "unit": "K",
        "temperatures": [],
        "values": [round(value, 2)],
        "kind": kind,
        "method": method,
        "source": source,
    }
    if uncertainty is not None:
        record["relative_uncertainty"] = uncertainty
    return {**record, "gate": gate} if gate else record


def _over_temperature(cas: str, kind: Kind, melting: float, boiling: float) -> Record | None:
    """The first data set that passes, over its own range within reason."""
    import thermo

    tool = getattr(thermo, kind.tool)(CASRN=cas)
    grams = _molar_mass(cas)
    passing = {}
    for method in kind.methods:
        if method in tool.all_methods and method in tool.T_limits:
            points = _tabulated(tool, method, kind, grams, melting, boiling)
            if points and _within_bound(points, kind) and _boils_right(points, kind, boiling):
                passing[method] = points
    for method, points in passing.items():
        others = {key: other for key, other in passing.items() if key != method}
        agreeing, gate = _second_opinion(points, others, kind)
        kept = _trusted_part(agreeing, others, kind)
        if len(kept) > 1:
            return _record(kind, method, kept, gate)
    return None


def _tabulated(
    tool: Any, method: str, kind: Kind, grams: float, melting: float, boiling: float
) -> list[tuple[float, float]]:
    low, high = tool.T_limits[method]
    low = max(low, melting, 150.0)
    high = min(HIGHEST, boiling if kind.to_boiling else HIGHEST, kind.share * high)
    points = []
    for T in _grid(low, high):
        value = None
        with contextlib.suppress(Exception):  # a correlation out of its depth raises anything
            value = tool.calculate(T, method)
        if value is None or not math.isfinite(value) or value <= 0:
            return []
        points.append((T, grams / 1000 / value if kind.tool == "VolumeLiquid" else value))
    return points


def _grid(low: float, high: float) -> list[float]:
    """Temperatures every 10 K from ``low``, and ``high`` itself."""
    if high <= low:
        return []
    first = round(low + 0.005, 2)
    steps = int((high - first) // STEP)
    grid = [round(first + STEP * step, 2) for step in range(steps + 1)]
    return grid if high - grid[-1] < 0.5 else [*grid, round(high - 0.005, 2)]


def _within_bound(points: Points, kind: Kind) -> bool:
    values = [value for _, value in points]
    lowest, highest = kind.bound
    steps = itertools.pairwise(values)
    # Water is densest at 4 deg C: a rise of 0.1 % is let pass.
    turns = all((b > a) if kind.rising else (b < a * 1.001) for a, b in steps)
    return len(values) > 1 and turns and all(lowest < value < highest for value in values)


def _boils_right(points: Points, kind: Kind, boiling: float) -> bool:
    """Whether a vapour pressure is 1 atm at the tabulated boiling point, within 8 %."""
    if kind.unit != "Pa" or not points[0][0] <= boiling <= points[-1][0]:
        return True
    return abs(interpolated(points, boiling, kind.scale) / 101_325 - 1) < 0.08


def _trusted_part(
    points: Points,
    others: Mapping[str, Points],
    kind: Kind,
) -> Points:
    """Vapour pressures below 100 Pa only where a second data set reaches as far down.

    Fits to data near the boiling point miss by a factor of two and more down there.
    """
    if kind.unit != "Pa":
        return points
    lowest = min((other[0][0] for other in others.values()), default=math.inf)
    return [(T, value) for T, value in points if value >= LEAST_PRESSURE or lowest <= T]


def _second_opinion(points: Points, others: Mapping[str, Points], kind: Kind) -> tuple[Points, str]:
    """The part of ``points`` that a second data set does not contradict, and what to say of it.

    Where the two overlap they must agree within the tolerance over half of the overlap at least;
    an end at which they part is cut off. Empty where no other agrees.
    """
    parts = {name: _agreeing_part(points, other, kind) for name, other in others.items()}
    parts = {name: part for name, part in parts.items() if part is not None}
    if not parts:
        return points, "no second data set at hand"
    best = max(
        parts,
        key=lambda name: (len(parts[name] or ()), -_difference(points, others[name], kind.scale)),
    )
    kept = parts[best] or ()
    if not kept:
        return (), f"contradicted by {best}"
    percent = 100 * _difference(kept, others[best], kind.scale)
    return kept, f"agrees with {best} within {percent:.1f} %"


def _agreeing_part(points: Points, other: Points, kind: Kind) -> Points | None:
    """``points`` without a contradicted end; () if that leaves too little; None if no overlap."""
    low, high = other[0][0], other[-1][0]
    inside = [i for i, (T, _) in enumerate(points) if low <= T <= high]
    if len(inside) < 2:
        return None
    agreeing = [
        i
        for i in inside
        if abs(points[i][1] / interpolated(other, points[i][0], kind.scale) - 1) <= kind.tolerance
    ]
    first, last = (agreeing[0], agreeing[-1]) if agreeing else (0, -1)
    in_one_piece = len(agreeing) == last - first + 1
    if not in_one_piece or len(agreeing) * 2 < len(inside):
        return ()
    start = 0 if first == inside[0] else first
    end = len(points) if last == inside[-1] else last + 1
    return points[start:end]


def _difference(points: Points, other: Points, scale: str) -> float:
    """The largest relative difference at the points inside the range of ``other``."""
    low, high = other[0][0], other[-1][0]
    return max(
        (abs(v / interpolated(other, T, scale) - 1) for T, v in points if low <= T <= high),
        default=math.inf,
    )


def interpolated(points: Points, T: float, scale: str) -> float:
    """The value at ``T`` (K) between tabulated points, as a record of that scale reads it."""
    import numpy as np

    temperatures, values = np.array(points).T
    if scale == "linear":
        return float(np.interp(T, temperatures, values))
    return float(np.exp(np.interp(-1 / T, -1 / temperatures, np.log(values))))


def _record(kind: Kind, method: str, points: Points, gate: str) -> Record:
    return {
        "unit": kind.unit,
        "temperatures": [T for T, _ in points],
        "values": [_rounded(value) for _, value in points],
        "scale": kind.scale,
        "kind": "fitted",
        "relative_uncertainty": kind.reference if method in _REFERENCE else kind.uncertainty,
        "method": method,
        "source": kind.methods[method],
        "gate": gate,
    }


def _rounded(value: float) -> float:
    """To six significant figures, so that the file stays short and stable."""
    return float(f"{value:.6g}")


@dataclass(frozen=True, slots=True)
class _Constants:
    """Critical temperature (K) and pressure (Pa), acentric factor, boiling point (K), g/mol."""

    critical: float
    pressure: float
    acentric: float
    boiling: float
    grams: float
    groups: bool


def _critical_constants(
    cas: str | None, smiles: str, known: Mapping[str, Record]
) -> _Constants | None:
    import chemicals

    joback = _joback(smiles)
    boiling = known["boiling_point"]["values"][0] if "boiling_point" in known else joback.get("Tb")
    published = {
        name: getattr(chemicals, name)(cas) if cas else None for name in ("Tc", "Pc", "omega")
    }
    critical = published["Tc"] or joback.get("Tc")
    pressure = published["Pc"] or joback.get("Pc")
    if not (boiling and critical and pressure) or critical <= boiling:
        return None
    acentric = published["omega"] or chemicals.LK_omega(boiling, critical, pressure)
    return _Constants(
        critical, pressure, acentric, boiling, joback["MW"], groups=not published["Tc"]
    )


def _joback(smiles: str) -> dict[str, float]:
    from rdkit import Chem, rdBase
    from rdkit.Chem.rdMolDescriptors import CalcMolFormula
    from thermo.group_contribution.joback import Joback

    molecule = Chem.MolFromSmiles(smiles)
    values = {"MW": float(molar_mass(CalcMolFormula(molecule)).m_as("g/mol"))}
    with rdBase.BlockLogs():
        broken = Joback(smiles)
    if broken.success:
        for name in ("Tb", "Tc", "Pc"):
            with contextlib.suppress(Exception):
                values[name] = float(broken.estimate()[name])
    return values


def _reaches(record: Record | None, T: float) -> bool:
    return bool(record and record["temperatures"] and record["temperatures"][-1] >= T - 1)


def _estimated_density(constants: _Constants, measured: Record | None) -> Record:
    anchor = _anchor(measured)
    rackett = 0.29056 - 0.08775 * constants.acentric
    exponent = 2 / 7
    if anchor:
        base, at_base = anchor[1], (1 - anchor[0] / constants.critical) ** exponent
    else:
        base = constants.grams / 1000 * constants.pressure / (8.314462618 * constants.critical)
        base, at_base = base / rackett, 0.0
    highest = min(HIGHEST, NEAR_CRITICAL * constants.critical)
    points = [
        (T, base * rackett ** (at_base - (1 - T / constants.critical) ** exponent))
        for T in _grid(ROOM, highest)
    ]
    led = "led through the measured density" if anchor else "without a measured density"
    how = "Joback's groups" if constants.groups else "published critical constants"
    return {
        "unit": "kg/m^3",
        "temperatures": [T for T, _ in points],
        "values": [_rounded(value) for _, value in points],
        "scale": "linear",
        "kind": "estimated",
        "relative_uncertainty": 0.02 if anchor else 0.05,
        "method": "RACKETT",
        "source": f"Rackett's equation with {how}, {led}; an estimate",
    }


def _anchor(measured: Record | None) -> tuple[float, float] | None:
    if not measured or not measured["temperatures"]:
        return None
    return measured["temperatures"][-1], measured["values"][-1]


def _estimated_vapour_pressure(constants: _Constants) -> Record:
    from chemicals import Lee_Kesler

    highest = min(HIGHEST, NEAR_CRITICAL * constants.critical)
    points = [
        (T, Lee_Kesler(T, constants.critical, constants.pressure, constants.acentric))
        for T in _grid(max(ROOM, 0.45 * constants.critical), highest)
    ]
    how = "Joback's groups" if constants.groups else "published critical constants"
    return {
        "unit": "Pa",
        "temperatures": [T for T, _ in points],
        "values": [_rounded(value) for _, value in points],
        "scale": "logarithmic",
        "kind": "estimated",
        "relative_uncertainty": 0.25,
        "method": "LEE_KESLER",
        "source": f"Lee and Kesler's equation with {how}; an estimate",
    }


def _molar_mass(cas: str) -> float:
    import chemicals

    return float(chemicals.MW(cas))
