"""Weigh the charge: what is typed, what it amounts to, and where the reductant goes."""

from collections.abc import Iterator

from potash.charge import Charge, with_reductant_excess
from potash.panels.frame import controls, look
from potash.panels.frame.current import current_preparation
from potash.panels.frame.look import Number
from potash.panels.frame.moments import now
from potash.panels.frame.pictures import SharedBar
from potash.panels.frame.predicting import PredictFirst
from potash.panels.frame.shell import Shell, in_words
from potash.preparation import Preparation
from potash.units import quantity, show
from potash.words import tr
from potash.workspace import Workspace

WHAT_IF = "charge: theoretical yield"
_MOST_EXCESS = 100  # percent that the slider reaches; a typed mass may go further

# The keys of a preparation that this panel offers, with their labels; a preparation that lacks one
# simply has no field for it.
_LABELS = {
    "reagents.{source}.mass": tr("Mass of {source_formula} as weighed"),
    "reagents.{source}.volume": tr("Volume of {source_formula} as poured"),
    "reagents.{source}.assay": tr("Assay of the {source_formula}"),
    "reagents.reductant.mass": tr("Mass of {reductant_formula} as weighed"),
    "reagents.reductant.assay": tr("Assay of the {reductant_formula}"),
    "liquid.mass": tr("Mass of {liquid}"),
    "liquid.volume": tr("Volume of {liquid}"),
    "catalyst.mass": tr("Mass of {catalyst}"),
    "catalyst.volume": tr("Volume of {catalyst}, all doses"),
    "temperature": tr("Working temperature"),
    "vent.temperature": tr("Temperature at the vent"),
    "vent.pressure": tr("Pressure at the vent"),
}


@in_words(tr("The charge"))
def charge() -> Shell:
    """The charge sheet of the preparation in this folder, to be changed and saved."""
    workspace = Workspace.find()
    return ChargePanel(workspace, current_preparation(workspace)).shell


class ChargePanel:
    """Fields for what is weighed and poured; sheet and picture follow them."""

    def __init__(self, workspace: Workspace, preparation: Preparation) -> None:
        self.workspace = workspace
        self.preparation = preparation
        self.found = preparation.charge()
        self._on_disk = _content(workspace)
        self._setting = False
        self.shell = Shell(tr("The charge"), preparation.title)
        self.fields = {
            place: controls.text(label, str(preparation.typed[place]))
            for place, label in _places(preparation)
        }
        self.moisture = controls.slider(
            tr(
                "Water in the {metal_source}, % by mass",
                metal_source=preparation.metal_source.formula,
            ),
            0,
            0,
            100,
            0.1,
            ".1f",
        )
        self.excess = controls.slider(
            tr("Excess of {reductant}, %", reductant=preparation.reductant.formula),
            0,
            0,
            _MOST_EXCESS,
            1,
            ".0f",
        )
        self.overview = controls.html()
        self.sheet = controls.html()
        self.picture = SharedBar(
            tr("Where the {reductant} goes", reductant=preparation.reductant.formula)
        )
        self.prediction = PredictFirst(
            self.shell,
            tr(
                "At full yield, how much {metal} can this charge give at most? Look at the masses "
                "and the moisture above and estimate; a unit belongs to it.",
                metal=preparation.metal,
            ),
            controls.text(
                tr("Most {metal} that can form", metal=preparation.metal),
                placeholder=tr("such as 3 g"),
            ),
            result=lambda: tr(
                "{theoretical_yield} at most", theoretical_yield=show(self.found.theoretical_yield)
            ),
            revealed=self._show_results,
            checked=lambda text: _demand_a_mass(text),
        )
        self.save_button = controls.button(tr("Save this preparation"), main=True)
        self._set_controls()
        self._lay_out()
        self._follow()
        self.prediction.about(WHAT_IF)

    def _lay_out(self) -> None:
        self.shell.fill(
            controls.row(*self.fields.values()),
            self.moisture,
            self.excess,
            self.shell.message,
            self.prediction.box,
            self.overview,
            controls.row(self.save_button),
            self.sheet,
        )

    def _follow(self) -> None:
        for field in self.fields.values():
            field.observe(self.shell.guarded(self._typed), "value")
        self.moisture.observe(self.shell.guarded(self._moisture_moved), "value")
        self.excess.observe(self.shell.guarded(self._excess_moved), "value")
        self.save_button.on_click(self.shell.guarded(self.save))

    # ------------------------------------------------------------------ what the student does

    def _typed(self) -> None:
        if not self._setting:
            self._take(self._as_typed())

    def _moisture_moved(self) -> None:
        if not self._setting and self.moisture.value != self._moisture_on_slider():
            place = f"reagents.{self.preparation.metal_source.role}.moisture"
            self._take(self._as_typed().replace({place: f"{self.moisture.value:.1f} %"}))

    def _excess_moved(self) -> None:
        if not self._setting and self.excess.value != self._excess_on_slider():
            self._take(with_reductant_excess(self._as_typed(), f"{self.excess.value:g} %"))

    def save(self) -> None:
        """Write preparation.toml, unless it changed under us since it was read."""
        self._typed()
        if _content(self.workspace) != self._on_disk:
            self._on_disk = _content(self.workspace)
            self.shell.say(
                look.note(
                    tr(
                        "{preparation_path} was changed elsewhere since this panel read it. Run "
                        "this cell again to see that version, or press Save again to replace it "
                        "with yours.",
                        preparation_path=self.workspace.preparation_path.name,
                    )
                )
            )
            return
        self.preparation.save(self.workspace.preparation_path)
        self._on_disk = _content(self.workspace)
        self.shell.say(
            look.good(
                tr(
                    "Saved in {preparation_path} at {now}. The other chapters read it when their "
                    "cells run next.",
                    preparation_path=self.workspace.preparation_path.name,
                    now=now(),
                )
            )
        )

    # ------------------------------------------------------------------ what follows from it

    def _as_typed(self) -> Preparation:
        """The preparation with what stands in all fields. Raises: BadPreparation."""
        typed = {place: field.value for place, field in self.fields.items()}
        changed = {at: text for at, text in typed.items() if text != self.preparation.typed[at]}
        return self.preparation.replace(changed) if changed else self.preparation

    def _take(self, preparation: Preparation) -> None:
        # What cannot be calculated is refused before anything changes.
        self.found = preparation.charge()
        self.preparation = preparation
        self.shell.say("")
        self._set_controls()
        self._show_results()

    def _set_controls(self) -> None:
        """Bring the controls that were not touched into line with the one that was."""
        self._setting = True
        try:
            for place, field in self.fields.items():
                field.value = str(self.preparation.typed[place])
            # Pure substance and water cannot be more than the whole.
            dry = 100 - self.preparation.metal_source.assay.m_as("percent")
            self.moisture.max = max(round(dry, 1), self._moisture_on_slider(), 0.1)
            self.moisture.value = self._moisture_on_slider()
            self.excess.value = self._excess_on_slider()
        finally:
            self._setting = False

    # A slider sends back the nearest of its own steps. Were it given more figures than it has
    # steps, that answer would change the charge although nobody moved anything.

    def _moisture_on_slider(self) -> float:
        return round(float(self.preparation.metal_source.moisture.m_as("percent")), 1)

    def _excess_on_slider(self) -> float:
        reductant = self.preparation.reductant.formula
        excess = self.found.reduction.excess.get(reductant)
        return min(round(float(excess.m_as("percent"))), _MOST_EXCESS) if excess is not None else 0

    def _show_results(self) -> None:
        if not self.prediction.is_open:
            self.overview.value = look.note(
                tr("The charge sheet opens when your prediction is kept.")
            )
            self.sheet.value = ""
            self.shell.keep(self.overview.value, tr("The charge sheet opens after a prediction."))
            return
        found = self.found
        picture = self.picture.to_html(_shares(found))
        self.overview.value = _numbers(found) + picture + _warnings(found)
        self.sheet.value = _sheet(found)
        self.shell.keep(self.overview.value + self.sheet.value, "\n".join(_in_text(found)))


def _places(preparation: Preparation) -> Iterator[tuple[str, str]]:
    names = {
        "source": preparation.metal_source.role,
        "source_formula": preparation.metal_source.formula,
        "reductant_formula": preparation.reductant.formula,
        "liquid": preparation.liquid.name if preparation.liquid else "",
        "catalyst": preparation.catalyst.name if preparation.catalyst else "",
    }
    for place, label in _LABELS.items():
        if (found := place.format(**names)) in preparation.typed:
            yield found, label.format(**names)


def _content(workspace: Workspace) -> bytes:
    path = workspace.preparation_path
    return path.read_bytes() if path.is_file() else b""


def _demand_a_mass(text: str) -> None:
    quantity(text, "mass")


def _shares(found: Charge) -> dict[str, tuple[float, str]]:
    """What the reductant goes to, in mmol, with the words for it."""
    return {
        name: (amount.m_as("mmol"), show(amount.to("mmol")))
        for name, amount in found.reductant_shares.items()
    }


def _numbers(found: Charge) -> str:
    numbers = [
        Number(
            tr("theoretical yield of {metal}", metal=found.metal),
            show(found.theoretical_yield),
            "theoretical yield",
        ),
        Number(tr("limiting reagent"), found.limiting, "limiting reagent"),
        Number(tr("hydrogen at the vent"), show(found.hydrogen_volume), "hydrogen at the vent"),
    ]
    if found.dosing is not None:
        per_source = show(found.dosing.mole_percent)
        numbers.append(
            Number(tr("catalyst per metal source"), per_source, "catalyst per metal source")
        )
    return look.key_numbers(*numbers)


def _warnings(found: Charge) -> str:
    return look.caution(tr("Stop and think"), found.warnings) if found.warnings else ""


def _sheet(found: Charge) -> str:
    rows = [(line.label, line.shown, line.how, line.source) for line in found.lines]
    assumed = "".join(look.note(text) for text in found.notes)
    return (
        look.table(
            tr("The charge sheet"),
            (tr("What"), tr("Value"), tr("How it was obtained"), tr("From")),
            rows,
        )
        + assumed
    )


def _in_text(found: Charge) -> Iterator[str]:
    for line in found.lines:
        yield f"{line.label}: {line.shown} = {line.how}"
