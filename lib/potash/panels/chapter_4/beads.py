"""Beads: molten metal in the liquid, rising or sinking at true relative speeds."""

from typing import Any

import numpy as np

from potash import beads as motion
from potash.beads import BeadMotion
from potash.panels.chapter_4 import flask
from potash.panels.frame import controls, look
from potash.panels.frame.look import Number
from potash.panels.frame.pictures import Picture, styled
from potash.panels.frame.predicting import PredictFirst
from potash.panels.frame.shell import Shell, in_words
from potash.properties.liquids import Liquid, liquids
from potash.properties.metals import metal, metals
from potash.units import Quantity, show, show_number
from potash.words import tr

ASKED_AT = 200  # °C
FIRST_LIQUID = "tetralin"
SIZES = ("0.1 mm", "0.3 mm", "1 mm", "3 mm", "8 mm")

_ZERO_CELSIUS = 273.15
_DIRECTIONS = ("rises", "sinks", "too close to call")
_ORIGINS = ("velocity of a bead", "time until two beads merge")
_HEADS = (
    tr("Bead"),
    tr("Velocity"),
    tr("Reynolds number"),
    tr("Law that holds"),
    tr("Shape"),
    tr("Two merge after about"),
)


@in_words(tr("Beads in the flask"))
def beads() -> Shell:
    """A metal, a liquid and a temperature; beads of five sizes on their way."""
    return BeadPanel().shell


class BeadPanel:
    """Predict which way the beads go, then watch them, and read why."""

    def __init__(self) -> None:
        self.shell = Shell(
            tr("Beads in the flask"),
            tr("Choose metal and liquid, commit yourself, then warm the flask."),
        )
        names = [(f"{tr(one.name)} ({one.symbol})", one.symbol) for one in metals()]
        self.metal = controls.choice(tr("Molten metal"), names, "K", width="170px")
        self.liquid = controls.choice(tr("Liquid"), _names(), FIRST_LIQUID)
        self.temperature = controls.slider(tr("Temperature, °C"), ASKED_AT, 40, 340, 1, ".0f")
        self.pause_button = controls.button(tr("Hold the beads"))
        self.flask = controls.html(height=f"{flask.HEIGHT + 20}px")
        self.picture_place = controls.html(height="300px")
        self.numbers = controls.html()
        self.prediction = PredictFirst(
            self.shell,
            "",
            controls.options(tr("A bead of 3 mm"), _DIRECTIONS),
            result=self._direction_in_words,
            revealed=self._show,
        )
        self._asked_at = ASKED_AT
        self._picture: VelocityPicture | None = None
        self._lay_out()
        self.shell.guarded(self.ask)()

    def _lay_out(self) -> None:
        self.results = controls.column(
            self.temperature,
            controls.row(self.pause_button),
            controls.row(self.flask, self.picture_place),
            self.numbers,
        )
        self.shell.fill(
            controls.row(self.metal, self.liquid),
            self.shell.message,
            self.prediction.box,
            self.results,
        )
        for choice in (self.metal, self.liquid):
            choice.observe(self.shell.guarded(self.ask), "value")
        self.temperature.observe(self.shell.guarded(self.draw), "value")
        self.pause_button.on_click(self.shell.guarded(self._pause_or_go))

    def ask(self) -> None:
        """A new pair of metal and liquid: where both are liquid with data, ask about it."""
        self.shell.say("")
        controls.shown(self.prediction.box, False)
        controls.shown(self.results, False)
        melt, bath = metal(self.metal.value), _liquid(self.liquid.value)
        low, high = _range(self.metal.value, bath)
        if low >= high:
            self.shell.say(
                look.problem(
                    tr(
                        "{melt} melts at {melting_point:.0f} °C, and {bath} has boiled or has no "
                        "data by then. Choose another pair.",
                        melt=tr(melt.name).capitalize(),
                        melting_point=melt.melting_point_si - 273.15,
                        bath=bath.name,
                    )
                )
            )
            return
        self._asked_at = min(max(ASKED_AT, low), high)
        self.temperature.min, self.temperature.max = min(low, self.temperature.max), high
        self.temperature.min = low
        self.temperature.value = self._asked_at
        self._picture = None
        told = tr(
            "Molten {melt} in {bath} at {asked_at} °C: which way does a bead of 3 mm go?",
            melt=tr(melt.name),
            bath=bath.name,
            asked_at=self._asked_at,
        )
        controls.shown(self.prediction.box, True)
        self.prediction.about(f"bead: {told}", told)

    def _direction_in_words(self) -> str:
        found = self._bead("3 mm", self._asked_at)
        return (
            tr("it {direction}", direction=tr(found.direction))
            if found.direction in ("rises", "sinks")
            else tr(found.direction)
        )

    def _show(self) -> None:
        controls.shown(self.results, self.prediction.is_open)
        if self.prediction.is_open:
            self.draw()
        else:
            self.shell.keep(look.note(tr("No prediction yet.")), tr("No prediction yet."))

    def draw(self) -> None:
        """The beads, their velocities and their figures at the temperature of the slider."""
        if not self.prediction.is_open:
            return
        found = [self._bead(size, self.temperature.value) for size in SIZES]
        if self._picture is None:
            self._picture = VelocityPicture(self.metal.value)
        picture = self._picture.to_html(found)
        self.flask.value = flask.to_html(found, look.METALS[self.metal.value].hue)
        self.picture_place.value = picture
        self.numbers.value = _told(found)
        self.shell.keep(picture + self.numbers.value, _in_text(found))

    def _bead(self, size: str, celsius: float) -> BeadMotion:
        T = Quantity(celsius + _ZERO_CELSIUS, "K")
        return motion.bead(self.metal.value, _liquid(self.liquid.value), T, size)

    def _pause_or_go(self) -> None:
        held = "potash-held" in self.flask._dom_classes
        if held:
            self.flask.remove_class("potash-held")
        else:
            self.flask.add_class("potash-held")
        self.pause_button.description = tr("Hold the beads") if held else tr("Let the beads go")


class VelocityPicture:
    """Velocity over diameter: Stokes, Hadamard and Rybczynski, and the drag of a rigid sphere."""

    _DIAMETERS = np.logspace(-4.3, -2, 48)  # m

    def __init__(self, symbol: str) -> None:
        self._picture = Picture(width=444, height=320)
        axes = self._picture.axes
        cue = look.METALS[symbol]
        with styled():
            axes.set(
                xscale="log", yscale="log", xlim=(0.05, 10), ylim=(1e-3, 1e3),
                xlabel=tr("diameter of the bead, mm"), ylabel=tr("velocity, mm/s"),
            )  # fmt: skip
            axes.set_title(tr("How fast, by which law"), loc="left")
            (self._drag,) = axes.plot(
                [], [], color=cue.hue, linewidth=2.6, label=tr("drag, rigid sphere")
            )
            (self._stokes,) = axes.plot(
                [], [], color=look.INK, linestyle=(0, (5, 3)), linewidth=1.4, label=tr("Stokes")
            )
            (self._circulating,) = axes.plot(
                [], [], color=look.CONTRAST, linestyle=(0, (1, 2)), linewidth=1.8,
                label=tr("Hadamard-Rybczynski"),
            )  # fmt: skip
            (self._dots,) = axes.plot(
                [], [], cue.marker, color=cue.hue, markeredgecolor=look.PAPER, markersize=8
            )
            axes.legend(loc="upper left", fontsize=8.5, handlelength=3)
        self._picture.moving(self._drag, self._stokes, self._circulating, self._dots)

    def to_html(self, found: list[BeadMotion]) -> str:
        """An ``<img>`` with the beads ``found`` on the curves of their pair."""
        one = found[0]
        diameters = Quantity(self._DIAMETERS, "m")
        push = Quantity(abs(one.density_difference.magnitude), "kg/m^3")
        given = (diameters, push)
        shown_as = (
            (self._drag, motion.terminal_velocity(*given, one.liquid_density, one.viscosity)),
            (self._stokes, motion.stokes_velocity(*given, one.viscosity)),
            (
                self._circulating,
                motion.circulating_velocity(*given, one.viscosity, one.metal_viscosity),
            ),
        )
        for line, velocity in shown_as:
            line.set_data(self._DIAMETERS * 1e3, velocity.m_as("mm/s"))
        self._dots.set_data(
            [bead.diameter.m_as("mm") for bead in found],
            [bead.velocity.m_as("mm/s") for bead in found],
        )
        told = "; ".join(
            f"{show(bead.diameter, 1, 'mm')}: {show(bead.velocity, 2, 'mm/s')}" for bead in found
        )
        return self._picture.to_html(
            tr(
                "Velocity over diameter for beads of {metal} in {liquid}, both logarithmic. "
                "{told}. Small beads follow Stokes' law, large ones fall behind it.",
                metal=one.metal,
                liquid=one.liquid,
                told=told,
            )
        )


def _names() -> list[str]:
    """Liquids whose density and viscosity are known well above room temperature."""
    return [
        one.name
        for one in liquids()
        if {"density", "viscosity"} <= one.records.keys() and _reaches(one) > 350.0
    ]


def _reaches(one: Liquid) -> float:
    return min(one.records[name].temperatures[-1] for name in ("density", "viscosity"))


def _liquid(name: str) -> Liquid:
    return next(one for one in liquids() if one.name == name)


def _range(symbol: str, bath: Liquid) -> tuple[int, int]:
    """Whole degrees Celsius at which the metal is molten and the liquid has its data."""
    low = max(
        metal(symbol).melting_point_si,
        *(bath.records[name].temperatures[0] for name in ("density", "viscosity")),
    )
    high = min(_reaches(bath), metal(symbol).correlations["viscosity"].valid[1])
    return int(low - _ZERO_CELSIUS) + 1, int(high - _ZERO_CELSIUS)


def _told(found: list[BeadMotion]) -> str:
    one = found[0]
    rows = [_row(bead) for bead in found]
    caption = tr(
        "Beads of {metal} in {liquid} at {temperature}",
        metal=one.metal,
        liquid=one.liquid,
        temperature=show(one.temperature.to("degC"), 3),
    )
    return (
        _numbers(one)
        + look.table(caption, _HEADS, rows, origins=_ORIGINS)
        + "".join(look.note(note) for note in found[-1].notes)
        + look.folded(tr("Tables and sources"), look.paragraphs("\n\n".join(one.sources)))
    )


def _numbers(one: BeadMotion) -> str:
    difference = show_number(one.density_difference.magnitude, 2)
    margin = f"{2 * one.density_uncertainty.magnitude:.0f} kg/m³"
    viscosity = show(one.viscosity, 2, "mPa*s")
    largest = show(one.largest_round_bead, 2, "mm")
    return look.key_numbers(
        Number(tr("a bead"), tr(one.direction), "buoyancy of a bead"),
        Number(tr("liquid minus metal"), f"{difference} ± {margin}", "buoyancy of a bead"),
        Number(tr("viscosity of the liquid"), viscosity, "viscosity of a liquid"),
        Number(tr("largest round bead"), largest, "largest round bead"),
    )


def _row(bead: BeadMotion) -> tuple[str, ...]:
    name, velocity, reynolds, merges = (
        show(bead.diameter, 1, "mm"),
        show(bead.velocity, 2, "mm/s"),
        show_number(bead.reynolds_number, 2),
        bead.merging_in_words,
    )
    law = "Stokes" if bead.reynolds_number < motion.CREEPING else tr("drag correlation")
    return name, velocity, reynolds, law, tr("round") if bead.is_round else tr("flattened"), merges


def _in_text(found: list[BeadMotion]) -> str:
    rows: list[tuple[Any, ...]] = [_row(bead) for bead in found]
    return "\n".join(", ".join(row) for row in [_HEADS, *rows])
