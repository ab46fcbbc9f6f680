"""Every liquid against every rule at once, as verdicts and as a table."""

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from potash.properties.metals import in_celsius
from potash.solvents.candidates import Candidate, candidate, offered
from potash.solvents.conditions import Conditions, conditions
from potash.solvents.errors import AboveAllData
from potash.solvents.findings import findings
from potash.solvents.floating import buoyancy
from potash.solvents.rulebook import rules
from potash.solvents.verdicts import CARE, FAILED, MEANING, NO_DATA, PASSED, Verdict
from potash.words import tr

if TYPE_CHECKING:
    import pandas

_ZERO_CELSIUS = 273.15


def screen_solvents(
    metal: str,
    temperature: Any,
    *,
    operation: str = "refluxing",
    beads: str = "should rise",
    without: Iterable[str] = (),
    water: Any = "200 ppm",
    volume: Any = "100 mL",
    estimates: bool = False,
    add: Iterable[str | Candidate] = (),
) -> "pandas.DataFrame":
    """The liquids of the table, judged for one metal at one temperature: one verdict a row.

    Parameters: metal, symbol or name; temperature, of the liquid; operation, "refluxing", "open" or
    "closed"; beads, "should rise" (with care otherwise), "must rise" or "may sink"; without, names
    of rules to switch off (see ``rules``); water, its mass fraction in the liquid; volume, of the
    liquid; estimates, whether estimated values, marked as such, may fill gaps; add, liquids of
    one's own by name, CAS number or SMILES.
    Returns: a data frame, best first: liquid, cas, verdict, reasons, one column a rule with its
    outcome, and the numbers with their units in the column names. The verdicts themselves, with
    every finding in words, are in ``frame.attrs["verdicts"]``. A verdict permits nothing.
    Raises: UnknownMetal, SolidMetal, AboveAllData, UnknownRule, UnknownChoice, and for ``add`` the
    errors of ``candidate``.
    """
    asked = conditions(
        metal,
        temperature,
        operation=operation,
        beads=beads,
        without=without,
        water=water,
        volume=volume,
        estimates=estimates,
    )
    own = [one if isinstance(one, Candidate) else candidate(one) for one in add]
    return table(screen(asked, own))


def screen(asked: Conditions, own: Sequence[Candidate] = ()) -> tuple[Verdict, ...]:
    """The verdicts on all liquids of the table and on ``own``, best first.

    Raises: AboveAllData, where no liquid has a density at that temperature.
    """
    candidates = list(dict.fromkeys([*offered(), *own]))
    _require_data(candidates, asked)
    return tuple(sorted((judge(one, asked) for one in candidates), key=lambda one: one.rank))


def judge(one: Candidate, asked: Conditions) -> Verdict:
    """One liquid against every rule that is switched on."""
    floats = buoyancy(one, asked)
    pressure = one.value("vapour_pressure", asked.temperature, asked.estimates)
    return Verdict(
        one,
        asked,
        tuple(findings(one, asked, floats)),
        floats,
        pressure.value if pressure else None,
    )


def table(verdicts: Sequence[Verdict]) -> "pandas.DataFrame":
    """Verdicts as a data frame, in their order."""
    import pandas

    frame = pandas.DataFrame([_row(one) for one in verdicts])
    frame.attrs["verdicts"] = tuple(verdicts)
    frame.attrs["meaning"] = MEANING
    return frame


def _row(one: Verdict) -> dict[str, Any]:
    outcomes = {finding.rule: finding.outcome for finding in one.findings}
    floats = one.buoyancy
    crossing = floats.crossing
    return {
        "liquid": one.liquid,
        "cas": one.candidate.liquid.cas,
        "verdict": one.verdict,
        "reasons": one.reasons,
        **{rule.name: outcomes.get(rule.name, "switched off") for rule in rules()},
        **{
            f"rules {outcome}": len(one.of_outcome(outcome))
            for outcome in (FAILED, CARE, NO_DATA, PASSED)
        },
        "boiling point (°C)": _celsius(one, "boiling_point"),
        "flash point (°C)": _celsius(one, "flash_point"),
        "autoignition (°C)": _celsius(one, "autoignition_temperature"),
        "vapour pressure (kPa)": _scaled(one.vapour_pressure, 1e-3),
        "liquid density (kg/m³)": _scaled(floats.liquid),
        "metal density (kg/m³)": floats.metal,
        "liquid minus metal (kg/m³)": _scaled(floats.difference),
        "margin (kg/m³)": _scaled(floats.margin),
        "densities cross (°C)": _scaled(crossing.temperature - _ZERO_CELSIUS if crossing else None),
        "hangs on estimates": one.hangs_on_estimates,
    }


def _celsius(one: Verdict, name: str) -> float:
    known = one.candidate.constant(name, one.conditions.estimates)
    return _scaled(known.value - _ZERO_CELSIUS if known else None)


def _scaled(value: float | None, factor: float = 1.0) -> float:
    return float("nan") if value is None else value * factor


def _require_data(candidates: Sequence[Candidate], asked: Conditions) -> None:
    highest = max(
        (
            record.temperatures[-1]
            for one in candidates
            if (record := one.record("density", estimates=False)) and record.temperatures
        ),
        default=0.0,
    )
    if asked.temperature > highest:
        raise AboveAllData(
            tr(
                "{temperature} lies above all data: no liquid has a density above {highest}, and "
                "organic liquids break down before that. Choose a lower temperature.",
                temperature=in_celsius(asked.temperature),
                highest=in_celsius(highest),
            )
        )
