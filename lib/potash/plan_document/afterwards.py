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
from potash.words import tr

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
    yield Table(tr("The quench as planned"), (tr("What"), tr("Value")), _chosen(plan))
    refused = problems(chosen)
    if refused:
        yield Paragraph(" ".join(refused), strong=True)
        return
    course = simulate_quench(chosen)
    yield Table(LABEL, (tr("What"), tr("Value")), course.rows())
    found = course.criticality
    if found:
        yield Paragraph(str(found))
    yield Table(
        tr("Limits, by teaching values"),
        (tr("What"), tr("Value and what decides it")),
        (
            (tr("Largest feed"), str(largest_feed(chosen))),
            (tr("Fewest moles of alcohol a mole of metal"), str(smallest_excess(chosen))),
            (tr("Least air of the hood, by dilution alone"), show(least_hood_flow(course))),
        ),
    )
    yield from _everything(plan)


def waste(plan: "Plan") -> Iterable[Block]:
    """What to wait for, what to neutralise with, and the streams."""
    yield Checklist(tuple((one.condition, f"{one.sign} {one.reason}") for one in WAIT_FOR))
    chosen = plan.quench
    amount = Quantity(chosen.metal_amount, "mol")
    acid = neutralise(metal=chosen.metal, metal_amount=amount)
    yield Table(tr("Neutralising what the quench left"), (tr("What"), tr("Value")), acid.rows())
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
        tr("Streams"),
        (tr("Stream"), tr("Volume"), tr("Remarks")),
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
        tr(
            "{metal} under {depth} of {cover}, {closure}. Put away on: ____________   Discard by: "
            "____________",
            metal=kept.metal,
            depth=show(Quantity(kept.depth * 1000.0, "mm")),
            cover=kept.cover.name,
            closure=kept.closure.name,
        )
    )
    yield Table(STORAGE_LABEL, (tr("What"), tr("Value")), found.rows())
    if found.caution:
        yield Paragraph(str(found.caution), strong=True)


def honest_yield(plan: "Plan") -> Iterable[Block]:
    """What to measure for an honest yield, with room to write."""
    yield Table(
        tr("To be filled in; each value with its standard uncertainty"),
        (tr("Measured"), tr("Value"), tr("Uncertainty")),
        (
            (tr("Theoretical yield"), show(plan.charge.theoretical_yield), ""),
            (tr("Isolated mass"), "", ""),
            (tr("Sample for purity"), "", ""),
            (tr("Gas volume"), "", ""),
            (tr("Gas temperature"), "", ""),
            (tr("Barometer, hPa"), "", ""),
            (tr("Level difference, mm"), "", ""),
            (tr("Leak test, mL in the same time"), "", ""),
            (tr("Acid, volume and concentration"), "", ""),
            (tr("Titre and concentration of the base"), "", ""),
            (tr("Purity"), "", ""),
            (tr("Yield"), "", ""),
        ),
    )


def _chosen(plan: "Plan") -> tuple[tuple[str, str], ...]:
    chosen = plan.quench
    under = (
        tr(
            "{volume} of {diluent}",
            volume=show(Quantity(chosen.diluent_volume * 1000000.0, "mL")),
            diluent=chosen.diluent,
        )
        if chosen.diluent
        else tr("no diluent")
    )
    return (
        (
            tr("Metal"),
            tr(
                "{mass} of {metal}",
                mass=show(Quantity(chosen.mass * 1000.0, "g")),
                metal=chosen.metal,
            ),
        ),
        (
            tr("Pieces"),
            tr("{diameter} across", diameter=show(Quantity(2 * chosen.radius * 1000.0, "mm"))),
        ),
        (tr("Under"), under),
        (tr("Quenched with"), chosen.alcohol),
        (tr("Alcohol a mole of metal"), tr("{excess:.3g} mol", excess=chosen.excess)),
        (tr("Feed"), show(Quantity(chosen.feed * 6e7, "mL/min"))),
        (tr("Bath"), show(Quantity(chosen.bath - 273.15, "degC"))),
        (
            tr("Hood"),
            show(Quantity(chosen.hood * 3600, "m^3/hour")) if chosen.hood else tr("none"),
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
            tr(
                "If nothing can be isolated and all {theoretical_yield} had to be quenched like "
                "this at once, these would stand against it: {titles}. Plan for it in portions "
                "before heating begins.",
                theoretical_yield=show(plan.charge.theoretical_yield),
                titles=titles,
            )
        )
