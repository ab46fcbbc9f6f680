"""What a plan says, section by section: cautions and readiness first, signatures last."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cached_property

from potash import hazards, reactions
from potash.charge import Charge
from potash.errors import PotashError
from potash.hazards import Caution
from potash.hydrogen import smallest_airflow
from potash.kinetics import NOT_A_PREDICTION, simulate_reduction
from potash.plan_document import afterwards
from potash.plan_document.blocks import (
    DEFER,
    Approval,
    BlankLines,
    Block,
    Bullets,
    Checklist,
    Document,
    Paragraph,
    Section,
    SignatureLines,
    Table,
)
from potash.preparation import Preparation
from potash.properties.liquids import liquid
from potash.properties.metals import in_celsius
from potash.properties.metals import metal as metal_named
from potash.quenching import Quench, UnknownDiluent, diluent, review
from potash.solvents import candidate, conditions, judge
from potash.storage import Discard, Keeping, discard_by
from potash.units import show

LEFT_IN_RESIDUES = 0.25
"""Share of the theoretical yield reckoned to lie in the residues: this workbook's own."""

_OWN = ("the preparation", "the charge sheet", "the plan's own figures")


@dataclass(frozen=True)
class Plan:
    """A preparation with what comes after it."""

    preparation: Preparation
    quench: Quench
    keeping: Keeping

    @cached_property
    def charge(self) -> Charge:
        """The charge sheet."""
        return self.preparation.charge()

    @cached_property
    def discard(self) -> Discard:
        """When the metal is to be discarded."""
        return discard_by(self.keeping)

    @cached_property
    def cautions(self) -> tuple[Caution, ...]:
        """Everything that an expert would stop at in this plan."""
        found = list(review(self.quench))
        found += [_from_charge(text) for text in self.charge.warnings]
        if self.discard.caution:
            found.append(self.discard.caution)
        return tuple(found)


def planned(
    preparation: Preparation, *, quench: Quench | None = None, keeping: Keeping | None = None
) -> Plan:
    """A plan, whose quench and keeping are the workbook's usual ones where none are given.

    The usual quench takes a quarter of the theoretical yield as left in the residues, under the
    preparation's own liquid where that is one of the diluents.
    """
    return Plan(
        preparation,
        quench or _usual_quench(preparation),
        keeping or Keeping.planned(metal=preparation.metal),
    )


def plan_document(plan: Plan, *, approval: Approval | None = None) -> Document:
    """The whole plan as a document.

    A section whose data are missing says so in its place; the others stand.
    """
    makers = (
        ("Before anything else: cautions", _cautions),
        ("Readiness check", _readiness),
        ("The reaction", _equation),
        ("Charge sheet", _charge),
        ("Energy", _energy),
        ("The liquid", _liquid),
        ("Doses of the catalyst", _doses),
        ("Gas", _gas),
        ("Quench", afterwards.quench),
        ("Waste", afterwards.waste),
        ("Storage", afterwards.storage),
        ("Yield", afterwards.honest_yield),
        ("Sources", _sources),
        ("Lab record", _record),
        ("Signatures", _signatures),
    )
    sections = tuple(Section(title, _or_why_not(maker, plan)) for title, maker in makers)
    return Document(
        title=plan.preparation.title,
        subtitle=f"Plan and lab record. {DEFER}",
        sections=sections,
        approval=approval,
    )


def _or_why_not(maker: Callable[[Plan], Iterable[Block]], plan: Plan) -> tuple[Block, ...]:
    try:
        return tuple(maker(plan))
    except PotashError as error:
        return (Paragraph(f"Missing here: {error}", strong=True),)


def _cautions(plan: Plan) -> Iterable[Block]:
    yield Paragraph(DEFER, strong=True)
    if plan.cautions:
        yield Bullets(
            tuple((f"{one.title}.", f"{one.reason} {one.advice}") for one in plan.cautions)
        )
    else:
        yield Paragraph(hazards.NONE_RAISED)
    yield Table(
        f"GHS elements. {hazards.CHECK_THE_SDS}",
        ("Substance", "Signal", "Hazard statements"),
        tuple(_ghs(name) for name in _substances(plan)),
    )
    missing = [name for name in _named(plan) if _known(name) is None]
    if missing:
        yield Paragraph(
            f"No hazard record is held of {', '.join(missing)}, which makes nothing harmless. "
            f"{hazards.CHECK_THE_SDS}",
            strong=True,
        )
    pairs = hazards.incompatibilities([*_substances(plan), "water", "carbon dioxide"])
    yield Bullets(tuple((f"Not together: {one.one} and {one.other}.", one.reason) for one in pairs))
    wrong = hazards.wrong_extinguishers(plan.preparation.metal)
    yield Table(
        "On burning metal these extinguishing agents are wrong",
        ("Agent", "Why"),
        tuple((one.agent, one.reason) for one in wrong),
    )


def _readiness(plan: Plan) -> Iterable[Block]:
    yield Paragraph("One box left open means: not ready. All boxes ticked is no permission.")
    yield Checklist(tuple((one.question, one.reason) for one in hazards.readiness_items()))


def _equation(plan: Plan) -> Iterable[Block]:
    yield Paragraph(plan.preparation.equation.shown, strong=True)
    yield Paragraph(f"Planned at {show(plan.preparation.temperature)}.")


def _charge(plan: Plan) -> Iterable[Block]:
    yield Table(
        "Each number and how it was obtained",
        ("What", "How", "Value"),
        tuple((line.label, _typeset(line.how), line.shown) for line in plan.charge.lines),
    )
    yield from (Paragraph(_typeset(note)) for note in plan.charge.notes)


def _energy(plan: Plan) -> Iterable[Block]:
    found = reactions.balance(str(plan.preparation.equation)).explain(plan.preparation.temperature)
    yield Table(
        "Per mole of reaction as written",
        ("Quantity", "Value"),
        (
            ("Reaction enthalpy", show(found.enthalpy)),
            ("Reaction entropy", show(found.entropy)),
            ("Reaction Gibbs energy", show(found.gibbs_energy)),
            ("Uncertainty of the Gibbs energy", show(found.uncertainty, 2)),
        ),
    )
    yield Paragraph(found.conclusion)
    yield from (Paragraph(note) for note in found.notes)


def _liquid(plan: Plan) -> Iterable[Block]:
    pour = plan.preparation.liquid
    if pour is None:
        yield Paragraph("This preparation has no liquid.")
        return
    found = liquid(pour.name)
    measure = pour.volume if pour.volume is not None else pour.mass
    T = plan.preparation.temperature
    verdict = judge(candidate(pour.name), conditions(plan.preparation.metal, T))
    rows = (
        ("Liquid", f"{found.name}, CAS {found.cas}"),
        ("Measured out", show(measure) if measure is not None else ""),
        ("Boils at", in_celsius(round(float(found.boiling_point.m_as("K")), 1))),
        ("Planned temperature", show(T)),
        ("Verdict of the screening rules", verdict.verdict),
    )
    yield Table("The liquid at work", ("What", "Value"), rows)
    yield Table(
        "What each rule says",
        ("Rule", "Outcome", "In words"),
        tuple((one.rule.replace("_", " "), one.outcome, one.words) for one in verdict.by_weight),
    )


def _doses(plan: Plan) -> Iterable[Block]:
    catalyst, dosing = plan.preparation.catalyst, plan.charge.dosing
    if catalyst is None or dosing is None:
        yield Paragraph("This preparation has no catalyst.")
        return
    yield Paragraph(
        f"{catalyst.name}: {show(dosing.dose)} at a time, {dosing.doses} doses in all, "
        f"{show(dosing.mole_percent)} of the metal source. The next dose when gas has slackened; "
        "beads that tarnish ask for one. Let the reflux stop before stirring."
    )
    yield Table(
        "Doses as given",
        ("Dose", "Planned", "Time", "Temperature", "Seen"),
        tuple((str(n + 1), show(dosing.dose), "", "", "") for n in range(min(dosing.doses, 12))),
    )


def _gas(plan: Plan) -> Iterable[Block]:
    vent = plan.preparation.vent
    yield Table(
        f"Hydrogen at {show(vent.temperature)} and {show(vent.pressure, 4)}",
        ("What", "Value"),
        (
            ("From the reaction", show(plan.charge.hydrogen_from_reaction.to("mmol"))),
            ("From water in the reagents", show(plan.charge.hydrogen_from_water.to("mmol"))),
            ("Volume in all", show(plan.charge.hydrogen_volume)),
            (
                "Air that this much makes flammable (4 % of hydrogen)",
                show(plan.charge.hydrogen_volume / 0.04),
            ),
        ),
    )
    yield from _release(plan)
    yield Paragraph(
        "The vent stays open, cannot block and cannot suck back. At its mouth the gas is flammable "
        "whatever the hood does."
    )


def _release(plan: Plan) -> Iterable[Block]:
    """The worst moment of the run; said in words where no run can be reckoned."""
    try:
        released = simulate_reduction(plan.preparation).release
    except PotashError as error:
        yield Paragraph(f"No run can be reckoned for this preparation: {error}", strong=True)
        return
    worst, when = released.worst
    yield Table(
        NOT_A_PREDICTION,
        ("What", "Value"),
        (
            ("Mean flow", show(released.mean_flow)),
            ("Worst moment", f"{show(worst)}, {show(when)} after heating begins"),
            ("Least air of the hood", show(smallest_airflow(released).to("m^3/hour"))),
        ),
    )


def _sources(plan: Plan) -> Iterable[Block]:
    found = [one.source for one in plan.cautions]
    found += [line.source for line in plan.charge.lines if "->" not in line.source]
    found += [hazards.substance(name).source for name in _substances(plan)]
    found += list(afterwards.SOURCES)
    yield Bullets(
        tuple(("", _typeset(source)) for source in dict.fromkeys(found) if source not in _OWN)
    )


def _record(plan: Plan) -> Iterable[Block]:
    yield Paragraph("Write with a pen, as it happens. Cross out; never erase.")
    yield BlankLines("Weighed and poured, with lot numbers", 5)
    yield BlankLines("Observations, with times and temperatures", 16)
    yield BlankLines("Quench: feed, temperature, when bubbling stopped", 8)
    yield BlankLines("What went otherwise than planned", 5)


def _signatures(plan: Plan) -> Iterable[Block]:
    yield Paragraph(
        "A signature says that the plan was read and discussed and that the signer answers for it. "
        "Without it nothing is begun.",
        strong=True,
    )
    yield SignatureLines(("Student", "Second person", "Licensed supervisor", "Institution"))


def _named(plan: Plan) -> tuple[str, ...]:
    """Everything that is weighed, poured, made or let out, by name or formula."""
    preparation = plan.preparation
    names = [metal_named(preparation.metal).name]
    names += [one.formula for one in preparation.reagents]
    names += [one.name for one in (preparation.liquid, preparation.catalyst) if one is not None]
    names += [plan.quench.alcohol, plan.quench.diluent or "", "hydrogen"]
    return tuple(dict.fromkeys(name for name in names if name))


def _substances(plan: Plan) -> tuple[str, ...]:
    known = (_known(name) for name in _named(plan))
    return tuple(dict.fromkeys(name for name in known if name))


def _known(name: str) -> str | None:
    try:
        return hazards.substance(name).name
    except hazards.UnknownSubstance:
        return None


def _ghs(name: str) -> tuple[str, str, str]:
    found = hazards.substance(name)
    return name, found.signal or "none", " ".join(found.described) or "not classified"


def _from_charge(text: str) -> Caution:
    return Caution("charge", "The charge", text, "", "the charge sheet")


def _usual_quench(preparation: Preparation) -> Quench:
    left = LEFT_IN_RESIDUES * preparation.charge().theoretical_yield
    pour = preparation.liquid
    if pour is None or pour.volume is None or not _is_diluent(pour.name):
        return Quench.planned(metal=preparation.metal, mass=left)
    return Quench.planned(
        metal=preparation.metal, mass=left, diluent=pour.name, diluent_volume=pour.volume
    )


def _is_diluent(name: str) -> bool:
    try:
        diluent(name)
    except UnknownDiluent:
        return False
    return True


def _typeset(text: str) -> str:
    return text.replace("->", "→")
