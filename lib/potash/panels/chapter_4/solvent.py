"""Choose the liquid: every liquid judged by rules, one of them looked at closely."""

from collections.abc import Sequence
from html import escape
from typing import Any

from potash import solvents
from potash.panels.chapter_4 import verdict_rows
from potash.panels.chapter_4.liquid_pictures import DensityPicture, VapourPicture, structure_picture
from potash.panels.frame import controls, look
from potash.panels.frame.current import current_preparation
from potash.panels.frame.moments import now
from potash.panels.frame.predicting import PredictFirst
from potash.panels.frame.shell import Shell, in_words
from potash.preparation import Preparation
from potash.properties.metals import metal, metals
from potash.solvents import Candidate, Conditions, Verdict
from potash.units import Quantity
from potash.words import tr
from potash.workspace import Workspace

LOWEST, HIGHEST = 40, 340  # °C
_OPERATIONS = {
    tr("under reflux"): "refluxing",
    tr("in an open flask"): "open",
    tr("in a closed vessel"): "closed",
}
_BEADS = {
    tr("should rise (with care if they sink)"): "should rise",
    tr("must rise"): "must rise",
    tr("may sink"): "may sink",
}
_ZERO_CELSIUS = 273.15


@in_words(tr("Choose the liquid"))
def solvent() -> Shell:
    """A metal, a temperature and what matters; all liquids judged, one drawn and explained."""
    workspace = Workspace.find()
    return SolventPanel(workspace, current_preparation(workspace)).shell


class SolventPanel:
    """Predict a verdict, then move the temperature and watch verdicts and crossing change."""

    def __init__(self, workspace: Workspace, preparation: Preparation) -> None:
        self.workspace = workspace
        self.asked_at = _asked_at(preparation)
        self.shell = Shell(
            tr("Choose the liquid"),
            tr("Say what you work with, commit yourself on one liquid, then move the temperature."),
        )
        names = [(f"{tr(one.name)} ({one.symbol})", one.symbol) for one in metals()]
        self.metal = controls.choice(tr("Molten metal"), names, preparation.metal, width="170px")
        self.operation = controls.choice(
            tr("Worked"), list(_OPERATIONS.items()), "refluxing", width="190px"
        )
        self.beads = controls.choice(
            tr("Beads"), list(_BEADS.items()), "should rise", width="290px"
        )
        self.temperature = controls.slider(
            tr("Temperature, °C"), self.asked_at, LOWEST, HIGHEST, 1, ".0f"
        )
        self.own: list[Candidate] = []
        self.liquid = controls.choice(tr("Look closely at"), _names(self.own), _first(preparation))
        self.typed = controls.text(
            tr("A liquid of your own: name, CAS number or SMILES"),
            width="340px",
            placeholder=tr("such as CC(C)c1ccc(C)cc1"),
        )
        self.add_button = controls.button(tr("Add it"))
        self.take_button = controls.button(tr("Take this liquid into my preparation"))
        self.estimates = controls.tick(tr("Fill gaps with estimates, marked as such"))
        self.rules = {one.name: controls.tick(one.title, value=True) for one in solvents.rules()}
        self.rules_button = controls.button(tr("Rules"))
        self.order = controls.choice(
            tr("Sort the table by"), list(verdict_rows.ORDERS), "verdict", width="220px"
        )
        # One piece of page for one liquid: each update costs the browser a round of its own.
        self.closely = controls.html(height="500px")
        self.sources = controls.html()
        self.table = controls.html()
        self.prediction = PredictFirst(
            self.shell,
            "",
            controls.options(tr("Your prediction"), solvents.VERDICTS),
            result=self._verdict_in_words,
            revealed=self._show,
        )
        self._density: DensityPicture | None = None
        self._vapour: VapourPicture | None = None
        self._lay_out()
        self.shell.guarded(self.ask)()

    def _lay_out(self) -> None:
        self.rule_ticks = controls.column(
            *self.rules.values(), controls.html(verdict_rows.rules_told())
        )
        controls.shown(self.rule_ticks, False)
        self.questions = controls.column(
            self.temperature, controls.row(self.liquid, self.typed, self.add_button)
        )
        self.results = controls.column(
            controls.row(self.rules_button, self.estimates),
            self.rule_ticks,
            self.closely,
            self.sources,
            controls.row(self.take_button),
            self.order,
            self.table,
        )
        self.shell.fill(
            controls.row(self.metal, self.operation, self.beads),
            self.prediction.box,
            self.questions,
            self.shell.message,
            self.results,
        )
        guarded = self.shell.guarded
        for choice in (self.metal, self.operation, self.beads):
            choice.observe(guarded(self.ask), "value")
        self.temperature.observe(guarded(self.draw), "value")
        self.order.observe(guarded(self.draw), "value")
        for control in (self.liquid, self.estimates):
            control.observe(guarded(self.look_closely), "value")
        for tick in self.rules.values():
            tick.observe(guarded(self.draw), "value")
        self.rules_button.on_click(guarded(self._toggle_rules))
        self.add_button.on_click(guarded(self.add))
        self.take_button.on_click(guarded(self.take))

    # ------------------------------------------------------------------ what the student does

    def ask(self) -> None:
        """A new question: metal, way of working, or what matters for the beads."""
        self.shell.say("")
        coldest = int(metal(self.metal.value).melting_point_si - _ZERO_CELSIUS) + 1
        # The lower end first, so that the value is never outside the range.
        self.temperature.value = max(self.temperature.value, coldest)
        self.temperature.min = max(LOWEST, coldest)
        liquid = self.liquid.value
        told = tr(
            "Molten {metal} at {asked_at} °C, {said}; beads {beads}. What will the verdict on "
            "{liquid} be?",
            metal=tr(metal(self.metal.value).name),
            asked_at=self.asked_at,
            said=_said(_OPERATIONS, self.operation.value),
            beads=tr(self.beads.value),
            liquid=liquid,
        )
        self._asked_liquid = liquid
        self._density = self._vapour = None
        self.prediction.about(f"liquid: {told}", told)

    def look_closely(self) -> None:
        """Turn to another liquid, or to estimates for its gaps."""
        self._density = self._vapour = None
        self.draw()

    def add(self) -> None:
        """Take in the liquid that was typed, and look closely at it."""
        self.shell.say("")
        added = solvents.candidate(self.typed.value)
        name = added.liquid.name
        if added.own and name not in [one.liquid.name for one in self.own]:
            self.own.append(added)
        self.liquid.options = controls.labelled(_names(self.own))
        self.liquid.value = name
        self.shell.say(look.good(_taken_as(added)))

    def take(self) -> None:
        """Write the liquid that is looked at into preparation.toml; the other chapters read it."""
        self.shell.say("")
        name = self.liquid.value
        preparation = current_preparation(self.workspace).replace({"liquid.name": name})
        preparation.save(self.workspace.preparation_path)
        self.shell.say(
            look.good(
                tr(
                    "{name} stands in {preparation_path} since {now}, with the volume that stood "
                    "there; chapter 2 weighs with it when its cell runs next.",
                    name=name,
                    preparation_path=self.workspace.preparation_path.name,
                    now=now(),
                )
            )
        )

    def _toggle_rules(self) -> None:
        hidden = self.rule_ticks.layout.display == "none"
        controls.shown(self.rule_ticks, hidden)
        self.rules_button.description = tr("Hide the rules") if hidden else tr("Rules")

    # ------------------------------------------------------------------ what is shown

    def _verdict_in_words(self) -> str:
        verdict = solvents.judge(
            _candidate(self._asked_liquid, self.own), self._conditions(self.asked_at)
        )
        return f"{verdict.liquid}: {tr(verdict.verdict)}"

    def _show(self) -> None:
        for part in (self.questions, self.results):
            controls.shown(part, self.prediction.is_open)
        if self.prediction.is_open:
            self.draw()
        else:
            self.shell.keep(look.note(tr("No prediction yet.")), tr("No prediction yet."))

    def draw(self) -> None:
        """Judge all liquids at the temperature of the slider and show what comes out."""
        if not self.prediction.is_open:
            return
        asked = self._conditions(self.temperature.value)
        verdicts = solvents.screen(asked, self.own)
        looked_at = next(one for one in verdicts if one.liquid == self.liquid.value)
        self.closely.value = self._close_up(looked_at)
        self.table.value = verdict_rows.table(verdicts, self.order.value)
        self.shell.keep(
            self.closely.value + verdict_rows.table(verdicts[:12], "verdict"),
            "\n".join(f"{one.liquid}: {tr(one.verdict)}" for one in verdicts[:12]),
        )

    def _conditions(self, celsius: float) -> Conditions:
        return solvents.conditions(
            self.metal.value,
            Quantity(celsius + _ZERO_CELSIUS, "K"),
            operation=self.operation.value,
            beads=self.beads.value,
            without=[name for name, tick in self.rules.items() if not tick.value],
            estimates=self.estimates.value,
        )

    def _close_up(self, verdict: Verdict) -> str:
        drawn = structure_picture(verdict.candidate)
        return (
            f'<div class="potash-close-up">{drawn}<div>'
            f"<h4>{escape(verdict.liquid)}: {escape(verdict_rows.marked(verdict.verdict))}</h4>"
            + look.key_numbers(*verdict_rows.numbers(verdict))
            + "</div></div>"
            + self._pictures(verdict)
            + verdict_rows.findings(verdict)
        )

    def _pictures(self, verdict: Verdict) -> str:
        if self._density is None or self._vapour is None:
            asked = verdict.conditions
            # Not at each step of the slider, which would close it under the reader's eyes.
            self.sources.value = verdict_rows.reference(verdict)
            self._density = DensityPicture(
                verdict.candidate, asked.metal, asked.estimates, verdict.buoyancy.crossing
            )
            self._vapour = VapourPicture(verdict.candidate, asked.estimates)
        return (
            f'<div class="potash-pair">{self._density.to_html(verdict)}'
            f"{self._vapour.to_html(verdict)}</div>"
        )


def _asked_at(preparation: Preparation) -> int:
    """The working temperature in whole °C, where the slider and the metal allow it."""
    celsius = round(preparation.temperature.m_as("degC"))
    coldest = int(metal(preparation.metal).melting_point_si - _ZERO_CELSIUS) + 1
    return int(min(max(celsius, coldest, LOWEST), HIGHEST))


def _first(preparation: Preparation) -> str:
    """The liquid of the preparation, if the table has it."""
    name = preparation.liquid.name if preparation.liquid else ""
    return str(name) if name in _names(()) else _names(())[0]


def _names(own: Sequence[Candidate]) -> list[str]:
    return [one.liquid.name for one in (*own, *solvents.offered())]


def _candidate(name: str, own: Sequence[Candidate]) -> Candidate:
    return next(one for one in (*own, *solvents.offered()) if one.liquid.name == name)


def _said(words: dict[str, str], value: Any) -> str:
    return next(word for word, meaning in words.items() if meaning == value)


def _taken_as(added: Candidate) -> str:
    """Which liquid was understood, so that a wrong one is noticed."""
    found = added.liquid
    row = tr("It has a row of its own below.") if added.own else tr("It is in the table already.")
    known = ", ".join(name.replace("_", " ") for name in found.records) or tr("nothing")
    return tr(
        "Taken as {name}, CAS {cas}, {formula}, structure {smiles}. {row} Known of it: {known}.",
        name=found.name,
        cas=found.cas,
        formula=found.formula,
        smiles=found.smiles,
        row=row,
        known=known,
    )
