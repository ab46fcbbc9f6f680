"""Store or destroy: how the metal is kept, what grows on it, and when it goes."""

from potash.equations import read as read_equation
from potash.formulas import lowered
from potash.panels.chapter_8.storage_pictures import CrustPicture
from potash.panels.frame import controls, look
from potash.panels.frame.current import current_preparation
from potash.panels.frame.look import Number
from potash.panels.frame.predicting import PredictFirst
from potash.panels.frame.shell import Shell, in_words
from potash.routes import METALS
from potash.storage import (
    Discard,
    Keeping,
    closures,
    compare_keeping,
    covers,
    crusts,
    discard_by,
    pilling_bedworth,
)
from potash.storage.crusts import superoxide_caution
from potash.storage.discard import LABEL
from potash.units import show
from potash.words import tr
from potash.workspace import Workspace

WHAT_IF = "storage: what decides"
_GUESSES = (tr("the rule of a few months"), tr("the crust"))


@in_words(tr("Store or destroy"))
def storage() -> Shell:
    """A metal under a liquid behind a closure: its crust, and the day it is to be gone by."""
    return StoragePanel(current_preparation(Workspace.find()).metal).shell


class StoragePanel:
    """Choices, a prediction of what decides, then picture, date, warning and comparison."""

    def __init__(self, metal: str) -> None:
        self.shell = Shell(
            tr("Store or destroy"),
            tr("Air finds its way through the closure, then through the liquid. Choose both."),
        )
        metals = [(f"{name} ({symbol})", symbol) for symbol, name in METALS.items()]
        self.metal = controls.choice(tr("Metal"), metals, metal)
        self.cover = controls.choice(
            tr("Under"), [one.name for one in covers()], "light mineral oil"
        )
        self.closure = controls.choice(tr("Behind"), [one.name for one in closures()], "screw cap")
        self.depth = controls.slider(tr("Liquid over the metal, mm"), 30, 1, 100, 1, ".0f")
        self.area = controls.text(tr("Surface of the metal"), "10 cm2", width="160px")
        self.diameter = controls.text(tr("Inner width of the vessel"), "40 mm", width="190px")
        self.headspace = controls.text(tr("Air over the liquid"), "30 mL", width="150px")
        self.humidity = controls.text(tr("Humidity of the room"), "50 %", width="160px")
        self.openings = controls.text(tr("Opened"), "0.1 1/day", width="150px")
        self.fields = (self.area, self.diameter, self.headspace, self.humidity, self.openings)
        self.picture = CrustPicture()
        self.shown = controls.html()
        self.prediction = PredictFirst(
            self.shell,
            tr(
                "Potassium under 30 mm of light mineral oil, behind a screw cap, opened every ten "
                "days. Which of the two ends its keeping first?"
            ),
            controls.options(tr("Your prediction"), _GUESSES),
            result=_what_decides,
            revealed=self.draw,
        )
        self._lay_out()
        self.prediction.about(WHAT_IF)

    def draw(self) -> None:
        """Date, picture, warning and comparison, once a prediction is kept."""
        if not self.prediction.is_open:
            self.shown.value = ""
            self.shell.keep(look.note(tr("No prediction yet.")), tr("No prediction yet."))
            return
        with controls.emptied_on_error(self.shown):
            found = discard_by(self._keeping())
        self.shell.say("")
        self.shown.value = (
            _numbers(found)
            + _warning(found)
            + self.picture.to_html(found)
            + look.note(LABEL)
            + _compared(found)
            + _chemistry(found.keeping.metal)
        )
        self.shell.keep(
            self.shown.value, "\n".join(f"{name}: {value}" for name, value in found.rows())
        )

    def _keeping(self) -> Keeping:
        return Keeping.planned(
            metal=self.metal.value,
            cover=self.cover.value,
            closure=self.closure.value,
            depth=f"{self.depth.value:.0f} mm",
            metal_area=self.area.value,
            vessel_diameter=self.diameter.value,
            headspace=self.headspace.value,
            humidity=self.humidity.value,
            openings=self.openings.value,
        )

    def _lay_out(self) -> None:
        self.shell.fill(
            controls.row(self.metal, self.cover, self.closure),
            self.depth,
            controls.row(*self.fields),
            self.shell.message,
            self.prediction.box,
            self.shown,
        )
        for control in (self.metal, self.cover, self.closure, self.depth, *self.fields):
            control.observe(self.shell.guarded(self.draw), "value")


def _what_decides() -> str:
    found = discard_by(metal="K")
    return tr(
        "{decided_by}: discard within {days} (teaching values)",
        decided_by=found.decided_by,
        days=show(found.days, 2),
    )


def _numbers(found: Discard) -> str:
    oxygen, water = found.keeping.oxygen_per_month, found.keeping.water_per_month
    return look.key_numbers(
        Number(tr("discard within"), show(found.days, 2), "discard date"),
        Number(tr("decided by"), found.decided_by, "discard date"),
        Number(tr("oxygen in a month"), show(oxygen), "oxygen reaching the metal"),
        Number(tr("water in a month"), show(water), "water reaching the metal"),
    )


def _warning(found: Discard) -> str:
    caution = superoxide_caution(found.keeping.metal)
    if caution is None:
        return ""
    return look.caution(caution.title, [caution.reason, caution.advice, caution.source])


def _compared(found: Discard) -> str:
    rows = [
        (one.keeping.closure.name, show(one.days, 2), one.decided_by, one.keeping.closure.what)
        for one in compare_keeping(found.keeping)
    ]
    return look.table(
        tr("The same metal behind each closure"),
        (tr("Closure"), tr("Discard within"), tr("Decided by"), tr("What is reckoned with")),
        rows,
        origins=["discard date"],
    )


def _chemistry(metal: str) -> str:
    rows = [
        (
            lowered(one.product),
            one.reacts_with,
            one.colour,
            f"{pilling_bedworth(metal, one.product):.2f}",
            read_equation(one.equation).shown,
        )
        for one in crusts(metal)
    ]
    return look.table(
        tr(
            "What grows on it. A volume ratio below 1 leaves the metal bare: the crust does not "
            "protect."
        ),
        (tr("Crust"), tr("From"), tr("Colour"), tr("Volume ratio"), tr("Reaction")),
        rows,
        origins=["volume ratio of a crust"],
    )
