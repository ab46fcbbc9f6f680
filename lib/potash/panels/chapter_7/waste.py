"""Waste: what to wait for, the acid it takes, the pH it ends at, streams, label, fire."""

from datetime import date
from html import escape

from potash.formulas import molar_mass
from potash.hazards import CHECK_THE_SDS, extinguishers
from potash.panels.frame import controls, look
from potash.panels.frame.current import current_preparation
from potash.panels.frame.shell import Shell, in_words
from potash.plan_document.contents import Plan, planned
from potash.units import Quantity, magnitude, show
from potash.waste import WAIT_FOR, Neutralisation, WasteStream, label, neutralise, streams
from potash.waste.acidity import ACIDS
from potash.words import tr
from potash.workspace import Workspace

_ORIGINS = ("acid needed", "heat of neutralisation", "pH after neutralising")


@in_words(tr("Waste"))
def waste() -> Shell:
    """From the quenched flask to labelled vessels."""
    return WastePanel(planned(current_preparation(Workspace.find()))).shell


class WastePanel:
    """A checklist of what to wait for; acid, heat and pH; streams and a label."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        quench = plan.quench
        self.shell = Shell(tr("From the flask to the waste vessel"))
        self.ticks = [controls.tick(f"{one.condition} {one.sign}") for one in WAIT_FOR]
        self.mass = controls.text(
            tr("{metal} that was quenched", metal=quench.metal),
            show(Quantity(quench.mass * 1e3, "g")),
        )
        self.water = controls.text(tr("Diluted with water to"), "500 mL")
        self.acid = controls.choice(tr("Acid"), list(ACIDS), "hydrochloric acid")
        self.concentration = controls.text(tr("Its concentration"), "1.0 mol/L")
        self.person = controls.text(tr("Name on the label"), tr("your name"))
        self.shown = controls.html()
        fields = (self.mass, self.water, self.acid, self.concentration, self.person)
        for field in fields:
            field.observe(self.shell.guarded(self.draw), "value")
        for tick in self.ticks:
            tick.observe(self.shell.guarded(self.draw), "value")
        self.shell.fill(
            controls.html(f"<h4>{tr('Wait for')}</h4>"),
            *self.ticks,
            controls.row(*fields),
            self.shell.message,
            self.shown,
            controls.html(_fire(quench.metal)),
        )
        self.shell.guarded(self.draw)()

    def draw(self) -> None:
        """What follows from the fields and from what is not yet ticked."""
        with controls.emptied_on_error(self.shown):
            found = self._neutralised()
        self.shell.say("")
        self.shown.value = (
            self._waiting() + _acid(found) + self._streams(found) + look.note(CHECK_THE_SDS)
        )
        told = "\n".join(f"{name}: {value}" for name, value in found.rows())
        self.shell.keep(self.shown.value, told)

    def _neutralised(self) -> Neutralisation:
        metal = self.plan.quench.metal
        mass = magnitude("mass of metal", self.mass.value, "g", above=0)
        return neutralise(
            metal=metal,
            metal_amount=Quantity(mass / float(molar_mass(metal).m_as("g/mol")), "mol"),
            water=self.water.value,
            acid=self.acid.value,
            acid_concentration=self.concentration.value,
        )

    def _waiting(self) -> str:
        pairs = zip(self.ticks, WAIT_FOR, strict=True)
        open_still = [f"{one.condition} {one.reason}" for tick, one in pairs if not tick.value]
        if open_still:
            return look.caution(tr("Not yet. Wait for:"), open_still)
        return look.note(
            tr(
                "Every condition is ticked. That is no permission: the supervisor looks at the "
                "flask before acid or waste vessel come near it."
            )
        )

    def _streams(self, found: Neutralisation) -> str:
        quench = self.plan.quench
        sorted_out = streams(
            diluent=quench.diluent,
            diluent_volume=Quantity(quench.diluent_volume, "m^3"),
            alcohol=quench.alcohol,
            alcohol_volume=quench.alcohol_volume,
            aqueous_volume=found.volume,
        )
        rows = [(one.name, show(one.volume, 2), one.advice) for one in sorted_out]
        labels = "".join(
            f"<pre class='potash-label'>{escape(_label_text(one, self.person.value))}</pre>"
            for one in sorted_out
        )
        heads = (tr("Stream"), tr("Volume"), tr("Remarks"))
        table = look.table(tr("Waste streams"), heads, rows, origins=["volume of a waste stream"])
        return table + look.folded(tr("Label texts"), labels)


def _label_text(stream: WasteStream, person: str) -> str:
    return label(
        stream, laboratory="Larkmoor College (invented)", person=person.strip(), on=date.today()
    ).text


def _acid(found: Neutralisation) -> str:
    table = look.table(
        tr("Neutralising"), (tr("What"), tr("Value")), found.rows(), origins=_ORIGINS
    )
    return table + look.caution(tr("How"), found.remarks)


def _fire(metal: str) -> str:
    rows = [
        (one.agent, tr(one.verdict), one.reason) for one in extinguishers() if metal in one.metals
    ]
    table = look.table(
        tr(
            "On burning metal. Only a class D agent that its label names for this metal, in "
            "trained hands."
        ),
        (tr("Agent"), tr("Verdict"), tr("Why")),
        rows,
    )
    return look.folded(tr("If {metal} burns: which extinguishers are wrong", metal=metal), table)
