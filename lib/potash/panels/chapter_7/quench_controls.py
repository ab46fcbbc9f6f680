"""The controls that describe a quench, shared by the panels that quench, fail and plan."""

from collections.abc import Callable
from typing import Any

from potash.panels.frame import controls
from potash.quenching import Quench, alcohols, diluents
from potash.routes import METALS
from potash.words import tr

NO_DILUENT = "none"
WATER = "water"


class QuenchControls:
    """Fields and sliders of a quench; ``quench`` reads them.

    all_that_move: every control, in the order in which a person goes through them.
    """

    def __init__(self, metal: str, mass: str, *, with_water: bool = True) -> None:
        metals = [(f"{name} ({symbol})", symbol) for symbol, name in METALS.items()]
        names = [one.name for one in alcohols()] + ([WATER] if with_water else [])
        self.metal = controls.choice(tr("Metal"), metals, metal)
        self.mass = controls.text(tr("Metal to quench"), mass, width="150px")
        self.piece = controls.text(tr("Size of its pieces"), "4 mm", width="150px")
        self.alcohol = controls.choice(tr("Quenched with"), names, "2-propanol", width="180px")
        self.diluent = controls.choice(
            tr("Under"), [NO_DILUENT, *(one.name for one in diluents())], "tetralin", width="180px"
        )
        self.diluent_volume = controls.text(tr("Volume of it"), "100 mL", width="150px")
        self.bath = controls.text(tr("Bath"), "15 °C", width="150px")
        self.pump = controls.text(tr("Most that the funnel gives"), "10 mL/min", width="200px")
        self.hood = controls.text(tr("Air of the hood, or none"), "720 m3/h", width="180px")
        self.feed = controls.slider(tr("Feed, mL/min"), 0.25, 0.05, 10, 0.05, ".2f")
        self.excess = controls.slider(
            tr("Moles of alcohol a mole of metal"), 4, 0.5, 20, 0.1, ".1f"
        )
        self.fields = (
            self.metal,
            self.mass,
            self.piece,
            self.alcohol,
            self.diluent,
            self.diluent_volume,
            self.bath,
            self.pump,
            self.hood,
        )
        self.box = controls.column(controls.row(*self.fields), self.feed, self.excess)

    @property
    def all_that_move(self) -> tuple[Any, ...]:
        return (*self.fields, self.feed, self.excess)

    def observe(self, handler: Callable[..., None]) -> None:
        """Call ``handler`` whenever any of them changes."""
        for control in self.all_that_move:
            control.observe(handler, "value")

    def quench(self) -> Quench:
        """The quench as the controls say. Raises: what ``Quench.planned`` raises."""
        hood = self.hood.value.strip()
        return Quench.planned(
            metal=self.metal.value,
            mass=self.mass.value,
            piece=self.piece.value,
            alcohol=self.alcohol.value,
            excess=self.excess.value,
            diluent=None if self.diluent.value == NO_DILUENT else self.diluent.value,
            diluent_volume=self.diluent_volume.value,
            bath=self.bath.value,
            feed=f"{self.feed.value:.2f} mL/min",
            pump=self.pump.value,
            hood=None if hood.casefold() in ("", "none") else hood,
        )
