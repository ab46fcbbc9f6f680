"""The sections on what comes after: quench, waste, storage, yield."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from potash.plan_document.blocks import Block, Bullets, Checklist, Paragraph, Table
from potash.quenching import (
    LABEL,
    largest_feed,
    least_hood_flow,
    problems,
    review,
    simulate_quench,
    smallest_excess,
)
from potash.quenching.alcohols import WATER
from potash.storage.discard import LABEL as STORAGE_LABEL
from potash.units import Quantity, show
from potash.waste import WAIT_FOR, neutralise, streams

if TYPE_CHECKING:
    from potash.plan_document.contents import Plan

SOURCES = (
    "Stoessel, Thermal Safety of Chemical Processes (Wiley-VCH, 2008)",
    "Marshall and Franck, J. Phys. Chem. Ref. Data 10 (1981) 295; Davies, Ion Association (1962)",
    "JCGM 100:2008, Guide to the expression of uncertainty in measurement",
    "NIST-JANAF Thermochemical Tables, 4th ed. (Chase, 1998)",
)


def quench(plan: "Plan") -> Iterable[Block]:
    """Alcohol, feed, temperatures, class and limits; or why it cannot be simulated."""
    chosen = plan.quench
    yield Table("The quench as planned", ("What", "Value"), _chosen(plan))
    refused = problems(chosen)
    if refused:
        yield Paragraph(" ".join(refused), strong=True)
        return
    course = simulate_quench(chosen)
    yield Table(LABEL, ("What", "Value"), course.rows())
    found = course.criticality
    if found:
        yield Paragraph(str(found))
    yield Table(
        "Limits, by teaching values",
        ("What", "Value and what decides it"),
        (
            ("Largest feed", str(largest_feed(chosen))),
            ("Fewest moles of alcohol a mole of metal", str(smallest_excess(chosen))),
            ("Least air of the hood, by dilution alone", show(least_hood_flow(course))),
        ),
    )
    yield from _everything(plan)


def waste(plan: "Plan") -> Iterable[Block]:
    """What to wait for, what to neutralise with, and the streams."""
    yield Checklist(tuple((one.condition, f"{one.sign} {one.reason}") for one in WAIT_FOR))
    chosen = plan.quench
    amount = Quantity(chosen.metal_amount, "mol")
    acid = neutralise(metal=chosen.metal, metal_amount=amount)
    yield Table("Neutralising what the quench left", ("What", "Value"), acid.rows())
    yield Bullets(tuple(("", remark) for remark in acid.remarks))
    if chosen.alcohol == WATER:
        return
    found = streams(
        diluent=chosen.diluent,
        diluent_volume=Quantity(chosen.diluent_volume, "m^3"),
        alcohol=chosen.alcohol,
        alcohol_volume=chosen.alcohol_volume,
        aqueous_volume=acid.volume,
        solids=_solids(plan),
    )
    yield Table(
        "Streams",
        ("Stream", "Volume", "Remarks"),
        tuple((one.name, show(one.volume, 2), one.advice) for one in found),
    )


def _solids(plan: "Plan") -> Quantity:
    """All that was weighed in less the metal it can give: oxide and unspent reductant, at most."""
    weighed = sum(
        float(one.mass.m_as("g")) for one in plan.preparation.reagents if one.mass is not None
    )
    return Quantity(max(weighed - float(plan.charge.theoretical_yield.m_as("g")), 0.0), "g")


def storage(plan: "Plan") -> Iterable[Block]:
    """How the metal is kept and when it is discarded."""
    found = plan.discard
    kept = found.keeping
    yield Paragraph(
        f"{kept.metal} under {show(Quantity(kept.depth * 1e3, 'mm'))} of {kept.cover.name}, "
        f"{kept.closure.name}. Put away on: ____________   Discard by: ____________"
    )
    yield Table(STORAGE_LABEL, ("What", "Value"), found.rows())
    if found.caution:
        yield Paragraph(str(found.caution), strong=True)


def honest_yield(plan: "Plan") -> Iterable[Block]:
    """What to measure for an honest yield, with room to write."""
    yield Table(
        "To be filled in; each value with its standard uncertainty",
        ("Measured", "Value", "Uncertainty"),
        (
            ("Theoretical yield", show(plan.charge.theoretical_yield), ""),
            ("Isolated mass", "", ""),
            ("Sample for purity", "", ""),
            ("Gas volume", "", ""),
            ("Gas temperature", "", ""),
            ("Barometer, hPa", "", ""),
            ("Level difference, mm", "", ""),
            ("Leak test, mL in the same time", "", ""),
            ("Acid, volume and concentration", "", ""),
            ("Titre and concentration of the base", "", ""),
            ("Purity", "", ""),
            ("Yield", "", ""),
        ),
    )


def _chosen(plan: "Plan") -> tuple[tuple[str, str], ...]:
    chosen = plan.quench
    under = (
        f"{show(Quantity(chosen.diluent_volume * 1e6, 'mL'))} of {chosen.diluent}"
        if chosen.diluent
        else "no diluent"
    )
    return (
        ("Metal", f"{show(Quantity(chosen.mass * 1e3, 'g'))} of {chosen.metal}"),
        ("Pieces", f"{show(Quantity(2 * chosen.radius * 1e3, 'mm'))} across"),
        ("Under", under),
        ("Quenched with", chosen.alcohol),
        ("Alcohol a mole of metal", f"{chosen.excess:.3g} mol"),
        ("Feed", show(Quantity(chosen.feed * 6e7, "mL/min"))),
        ("Bath", show(Quantity(chosen.bath - 273.15, "degC"))),
        (
            "Hood",
            show(Quantity(chosen.hood * 3600, "m^3/hour")) if chosen.hood else "none",
        ),
    )


def _everything(plan: "Plan") -> Iterable[Block]:
    """What it would mean if the whole theoretical yield had to be quenched like this."""
    whole = float(plan.charge.theoretical_yield.m_as("kg"))
    if whole <= plan.quench.mass:
        return
    found = review(plan.quench.but(mass=whole))
    if found:
        titles = "; ".join(one.title.lower() for one in found)
        yield Paragraph(
            f"If nothing can be isolated and all {show(plan.charge.theoretical_yield)} had to be "
            f"quenched like this at once, these would stand against it: {titles}. Plan for it in "
            "portions before heating begins."
        )
