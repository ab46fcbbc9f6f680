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
from potash.words import tr

LEFT_IN_RESIDUES = 0.25
"""Share of the theoretical yield reckoned to lie in the residues: this workbook's own."""

_OWN = (tr("the preparation"), tr("the charge sheet"), tr("the plan's own figures"))


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
        (tr("Before anything else: cautions"), _cautions),
        (tr("Readiness check"), _readiness),
        (tr("The reaction"), _equation),
        (tr("Charge sheet"), _charge),
        (tr("Energy"), _energy),
        (tr("The liquid"), _liquid),
        (tr("Doses of the catalyst"), _doses),
        (tr("Gas"), _gas),
        (tr("Quench"), afterwards.quench),
        (tr("Waste"), afterwards.waste),
        (tr("Storage"), afterwards.storage),
        (tr("Yield"), afterwards.honest_yield),
        (tr("Sources"), _sources),
        (tr("Lab record"), _record),
        (tr("Signatures"), _signatures),
    )
    sections = tuple(Section(title, _or_why_not(maker, plan)) for title, maker in makers)
    return Document(
        title=plan.preparation.title,
        subtitle=tr("Plan and lab record. {who_decides}", who_decides=DEFER),
        sections=sections,
        approval=approval,
    )


def _or_why_not(maker: Callable[[Plan], Iterable[Block]], plan: Plan) -> tuple[Block, ...]:
    try:
        return tuple(maker(plan))
    except PotashError as error:
        return (Paragraph(tr("Missing here: {error}", error=error), strong=True),)


def _cautions(plan: Plan) -> Iterable[Block]:
    yield Paragraph(DEFER, strong=True)
    if plan.cautions:
        yield Bullets(
            tuple((f"{one.title}.", f"{one.reason} {one.advice}") for one in plan.cautions)
        )
    else:
        yield Paragraph(hazards.NONE_RAISED)
    yield Table(
        tr("GHS elements. {check}", check=hazards.CHECK_THE_SDS),
        (tr("Substance"), tr("Signal"), tr("Hazard statements")),
        tuple(_ghs(name) for name in _substances(plan)),
    )
    missing = [name for name in _named(plan) if _known(name) is None]
    if missing:
        yield Paragraph(
            tr(
                "No hazard record is held of {missing}, which makes nothing harmless. {check}",
                missing=", ".join(missing),
                check=hazards.CHECK_THE_SDS,
            ),
            strong=True,
        )
    pairs = hazards.incompatibilities([*_substances(plan), "water", "carbon dioxide"])
    yield Bullets(
        tuple(
            (
                tr("Not together: {group} and {other}.", group=tr(one.one), other=tr(one.other)),
                one.reason,
            )
            for one in pairs
        )
    )
    wrong = hazards.wrong_extinguishers(plan.preparation.metal)
    yield Table(
        tr("On burning metal these extinguishing agents are wrong"),
        (tr("Agent"), tr("Why")),
        tuple((one.agent, one.reason) for one in wrong),
    )


def _readiness(plan: Plan) -> Iterable[Block]:
    yield Paragraph(tr("One box left open means: not ready. All boxes ticked is no permission."))
    yield Checklist(tuple((one.question, one.reason) for one in hazards.readiness_items()))


def _equation(plan: Plan) -> Iterable[Block]:
    yield Paragraph(plan.preparation.equation.shown, strong=True)
    yield Paragraph(tr("Planned at {temperature}.", temperature=show(plan.preparation.temperature)))


def _charge(plan: Plan) -> Iterable[Block]:
    yield Table(
        tr("Each number and how it was obtained"),
        (tr("What"), tr("How"), tr("Value")),
        tuple((line.label, _typeset(line.how), line.shown) for line in plan.charge.lines),
    )
    yield from (Paragraph(_typeset(note)) for note in plan.charge.notes)


def _energy(plan: Plan) -> Iterable[Block]:
    found = reactions.balance(str(plan.preparation.equation)).explain(plan.preparation.temperature)
    yield Table(
        tr("Per mole of reaction as written"),
        (tr("Quantity"), tr("Value")),
        (
            (tr("Reaction enthalpy"), show(found.enthalpy)),
            (tr("Reaction entropy"), show(found.entropy)),
            (tr("Reaction Gibbs energy"), show(found.gibbs_energy)),
            (tr("Uncertainty of the Gibbs energy"), show(found.uncertainty, 2)),
        ),
    )
    yield Paragraph(found.conclusion)
    yield from (Paragraph(note) for note in found.notes)


def _liquid(plan: Plan) -> Iterable[Block]:
    pour = plan.preparation.liquid
    if pour is None:
        yield Paragraph(tr("This preparation has no liquid."))
        return
    found = liquid(pour.name)
    measure = pour.volume if pour.volume is not None else pour.mass
    T = plan.preparation.temperature
    verdict = judge(candidate(pour.name), conditions(plan.preparation.metal, T))
    rows = (
        (tr("Liquid"), tr("{name}, CAS {cas}", name=found.name, cas=found.cas)),
        (tr("Measured out"), show(measure) if measure is not None else ""),
        (tr("Boils at"), in_celsius(round(float(found.boiling_point.m_as("K")), 1))),
        (tr("Planned temperature"), show(T)),
        (tr("Verdict of the screening rules"), verdict.verdict),
    )
    yield Table(tr("The liquid at work"), (tr("What"), tr("Value")), rows)
    yield Table(
        tr("What each rule says"),
        (tr("Rule"), tr("Outcome"), tr("In words")),
        tuple((one.rule.replace("_", " "), one.outcome, one.words) for one in verdict.by_weight),
    )


def _doses(plan: Plan) -> Iterable[Block]:
    catalyst, dosing = plan.preparation.catalyst, plan.charge.dosing
    if catalyst is None or dosing is None:
        yield Paragraph(tr("This preparation has no catalyst."))
        return
    yield Paragraph(
        tr(
            "{catalyst}: {dose} at a time, {doses} doses in all, {mole_percent} of the metal "
            "source. The next dose when gas has slackened; beads that tarnish ask for one. Let "
            "the reflux stop before stirring.",
            catalyst=catalyst.name,
            dose=show(dosing.dose),
            doses=dosing.doses,
            mole_percent=show(dosing.mole_percent),
        )
    )
    yield Table(
        tr("Doses as given"),
        (tr("Dose"), tr("Planned"), tr("Time"), tr("Temperature"), tr("Seen")),
        tuple((str(n + 1), show(dosing.dose), "", "", "") for n in range(min(dosing.doses, 12))),
    )


def _gas(plan: Plan) -> Iterable[Block]:
    vent = plan.preparation.vent
    yield Table(
        tr(
            "Hydrogen at {temperature} and {pressure}",
            temperature=show(vent.temperature),
            pressure=show(vent.pressure, 4),
        ),
        (tr("What"), tr("Value")),
        (
            (tr("From the reaction"), show(plan.charge.hydrogen_from_reaction.to("mmol"))),
            (tr("From water in the reagents"), show(plan.charge.hydrogen_from_water.to("mmol"))),
            (tr("Volume in all"), show(plan.charge.hydrogen_volume)),
            (
                tr("Air that this much makes flammable (4 % of hydrogen)"),
                show(plan.charge.hydrogen_volume / 0.04),
            ),
        ),
    )
    yield from _release(plan)
    yield Paragraph(
        tr(
            "The vent stays open, cannot block and cannot suck back. At its mouth the gas is "
            "flammable whatever the hood does."
        )
    )


def _release(plan: Plan) -> Iterable[Block]:
    """The worst moment of the run; said in words where no run can be reckoned."""
    try:
        released = simulate_reduction(plan.preparation).release
    except PotashError as error:
        yield Paragraph(
            tr("No run can be reckoned for this preparation: {error}", error=error), strong=True
        )
        return
    worst, when = released.worst
    yield Table(
        NOT_A_PREDICTION,
        (tr("What"), tr("Value")),
        (
            (tr("Mean flow"), show(released.mean_flow)),
            (
                tr("Worst moment"),
                tr("{worst}, {when} after heating begins", worst=show(worst), when=show(when)),
            ),
            (tr("Least air of the hood"), show(smallest_airflow(released).to("m^3/hour"))),
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
    yield Paragraph(tr("Write with a pen, as it happens. Cross out; never erase."))
    yield BlankLines(tr("Weighed and poured, with lot numbers"), 5)
    yield BlankLines(tr("Observations, with times and temperatures"), 16)
    yield BlankLines(tr("Quench: feed, temperature, when bubbling stopped"), 8)
    yield BlankLines(tr("What went otherwise than planned"), 5)


def _signatures(plan: Plan) -> Iterable[Block]:
    yield Paragraph(
        tr(
            "A signature says that the plan was read and discussed and that the signer answers "
            "for it. Without it nothing is begun."
        ),
        strong=True,
    )
    yield SignatureLines(
        (tr("Student"), tr("Second person"), tr("Licensed supervisor"), tr("Institution"))
    )


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
    return name, found.signal or tr("none"), " ".join(found.described) or tr("not classified")


def _from_charge(text: str) -> Caution:
    return Caution("charge", tr("The charge"), text, "", tr("the charge sheet"))


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
