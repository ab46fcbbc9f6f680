"""Why is the liquid there? The temperature that a charge reaches if all its heat stays in it."""

from typing import Any

import numpy as np

from potash.adiabatic import Heating, HeatingCurve, charge_heating, heating_curve
from potash.panels.frame import controls, look
from potash.panels.frame.current import current_preparation
from potash.panels.frame.look import Number
from potash.panels.frame.pictures import Picture, styled
from potash.panels.frame.predicting import PredictFirst
from potash.panels.frame.shell import Shell, in_words
from potash.preparation import Preparation
from potash.properties.curves import Floats
from potash.properties.liquid_heat import liquid_heat, liquids_with_heat
from potash.units import Quantity, quantity, show
from potash.words import tr
from potash.workspace import Workspace

_TITLE = tr("Why the liquid is there")
_START = quantity("473 K")
_MOST = 300  # mL
_POINTS = 301
_STAYS, _PARTLY, _AWAY = (
    tr("the liquid stays below its boiling point"),
    tr("part of the liquid boils away"),
    tr("all of it boils away, and the residue goes on heating"),
)
_LEFT_OUT = tr(
    "A worst case, not a forecast: everything reacts at once, no heat leaves, and neither flask "
    "nor condenser takes any. A real run is slower because the catalyst is dosed, and the "
    "condenser gives the liquid back. Which of the two fails on a bad day, nobody knows "
    "beforehand."
)
_DRY = tr(
    "Without a liquid the products take all the heat themselves: metals boil, and nothing holds "
    "the temperature. The figure is a limit of arithmetic; no flask survives to see it."
)
_DOSES = tr(
    "Let the share that reacts at once fall: that is what small doses of catalyst do. The liquid "
    "then warms by little, and the condenser has time."
)


@in_words(_TITLE)
def heating() -> Shell:
    """The heat of this folder's charge in a liquid: end temperature over volume and share."""
    return HeatingPanel(current_preparation(Workspace.find())).shell


class HeatingPanel:
    """Predict what becomes of the liquid, then change how much there is and how much reacts."""

    def __init__(self, preparation: Preparation) -> None:
        self.charge = preparation.charge()
        self.shell = Shell(
            _TITLE,
            tr(
                "{preparation}: all the heat of the charge into the liquid around it, and into "
                "the charge alone.",
                preparation=preparation.title,
            ),
        )
        names = liquids_with_heat()
        poured = preparation.liquid.name if preparation.liquid else names[0]
        self.liquid = controls.choice(tr("Liquid"), names, poured if poured in names else names[0])
        self.volume = controls.slider(tr("Volume of the liquid, mL"), 85, 0, _MOST, 5, ".0f")
        self.share = controls.slider(tr("Part that reacts at once, %"), 100, 5, 100, 5, ".0f")
        self.asked_volume = self._poured_volume(preparation)
        self.volume.value = self.asked_volume
        self.kept: dict[str, tuple[HeatingCurve, Heating]] = {}
        self.picture = HeatingPicture()
        self.shown = controls.html()
        self.about = controls.html()
        self.prediction = PredictFirst(
            self.shell,
            "",
            controls.options(tr("Your prediction"), (_STAYS, _PARTLY, _AWAY)),
            result=self._result,
            revealed=self._show,
        )
        self.results = controls.column(self.volume, self.share, self.shown, self.about)
        self._lay_out()
        self.shell.guarded(self.choose)()

    def _lay_out(self) -> None:
        self.shell.fill(
            controls.row(self.liquid), self.shell.message, self.prediction.box, self.results
        )
        self.liquid.observe(self.shell.guarded(self.choose), "value")
        for slider in (self.volume, self.share):
            slider.observe(self.shell.guarded(self._draw), "value")

    def _poured_volume(self, preparation: Preparation) -> float:
        pour = preparation.liquid
        poured = None if pour is None else pour.volume
        litres = 0.085 if poured is None else float(poured.m_as("L"))
        return float(min(max(round(200 * litres) * 5, 0), _MOST))

    def choose(self) -> None:
        """Turn to another liquid; ask about it first."""
        self.shell.say("")
        # Another charge in the same volume is another question.
        heat = show(self._heating(self.asked_volume, 100).heat)
        what_if = f"heating: {heat} into {self.asked_volume:g} mL {self.liquid.value}"
        self.prediction.about(what_if, self._question())

    def _heating(self, volume: float, share: float) -> Heating:
        return charge_heating(
            self.charge,
            start=_START,
            liquid=self.liquid.value,
            volume=Quantity(volume, "mL"),
            share=Quantity(share, "percent"),
        )

    def _kept(self) -> tuple[HeatingCurve, Heating]:
        """What depends on the liquid only: the curve, and the end without any liquid."""
        name = self.liquid.value
        if name not in self.kept:
            curve = heating_curve(self.charge, start=_START, liquid=name)
            self.kept[name] = curve, self._heating(0, 100)
        return self.kept[name]

    def _question(self) -> str:
        start = self._heating(self.asked_volume, 100).start
        return tr(
            "The whole charge reacts at once in {asked_volume:.0f} mL of {liquid}, which starts "
            "at {start}, and no heat leaves. What becomes of the liquid?",
            asked_volume=self.asked_volume,
            liquid=self.liquid.value,
            start=show(start),
        )

    def _result(self) -> str:
        return _outcome(self._heating(self.asked_volume, 100), self.liquid.value)

    # ------------------------------------------------------------------ showing

    def _show(self) -> None:
        controls.shown(self.results, self.prediction.is_open)
        if self.prediction.is_open:
            self.about.value = _about(self.liquid.value)
            self._draw()
        else:
            self.shell.keep(
                look.note(self._question()),
                tr("{question} No prediction yet.", question=self._question()),
            )

    def _draw(self) -> None:
        if not self.prediction.is_open:
            return
        share, volume = self.share.value, self.volume.value
        volumes = np.linspace(0, _MOST, _POINTS)
        curve, dry = self._kept()
        ends = curve.ends_si(volumes, share / 100)
        here = self._heating(volume, share)
        words = self._in_words(here, dry)
        boiling = liquid_heat(self.liquid.value).boiling_point_si
        drawn = self.picture.to_html(volumes, ends, (volume, here.end.m_as("K")), boiling, words)
        self.shown.value = drawn + self._told(here, dry)
        self.shell.keep(self.shown.value + self.about.value, words)

    def _in_words(self, here: Heating, dry: Heating) -> str:
        return tr(
            "End temperature over volume of {liquid}, {share:.0f} % of the charge at once from "
            "{start}. With {volume:.0f} mL: {outcome}. Without liquid: {hot}.",
            liquid=self.liquid.value,
            share=self.share.value,
            start=show(here.start),
            volume=self.volume.value,
            outcome=_outcome(here, self.liquid.value),
            hot=_hot(dry),
        )

    def _told(self, here: Heating, dry: Heating) -> str:
        heat = f"{show(here.heat)} ± {_per_cent(here)} %"
        rise, boiled = (
            tr("rise with {volume:.0f} mL", volume=self.volume.value),
            f"{100 * here.boiled_away:.0f} %",
        )
        numbers = [
            Number(tr("heat set free"), heat, "heat of a charge"),
            Number(rise, _rise(here), "adiabatic temperature rise"),
            Number(tr("of the liquid boiled away"), boiled, "liquid boiled away"),
            Number(tr("rise without any liquid"), _rise(dry), "adiabatic temperature rise"),
        ]
        if here.held_by:
            numbers.append(
                Number(tr("what holds it there"), here.held_by, "hold of the temperature")
            )
        return look.key_numbers(*numbers)


class HeatingPicture:
    """End temperature over the volume of liquid, with a dot at the volume chosen."""

    def __init__(self) -> None:
        self._picture = Picture(width=760, height=340)
        with styled():
            axes = self._picture.axes
            (self._line,) = axes.plot([], [], color=look.ACCENT, linewidth=2.4)
            (self._dot,) = axes.plot(
                [], [], "D", color=look.CONTRAST, markersize=10, markeredgecolor=look.PAPER
            )
            self._boiling = axes.axhline(0, color=look.WARNING, linestyle=(0, (5, 3)))
            self._label: Any = axes.text(_MOST, 0, "", ha="right", va="bottom", color=look.WARNING)
            axes.set(
                xlim=(-4, _MOST + 4), ylim=(250, 2400),
                xlabel=tr("volume of the liquid at 25 °C, mL"), ylabel=tr("end temperature, K"),
            )  # fmt: skip
        self._boils_at = 0.0
        self._picture.moving(self._line, self._dot)

    def to_html(
        self, volumes: Floats, ends: Floats, here: tuple[float, float], boiling: float, words: str
    ) -> str:
        """An ``<img>`` of ``ends`` (K) over ``volumes`` (mL), the dot at ``here``."""
        self._line.set_data(volumes, ends)
        self._dot.set_data([here[0]], [here[1]])
        self._show_boiling(boiling)
        return self._picture.to_html(words)

    def _show_boiling(self, T: float) -> None:
        """Mark where the liquid boils (K); that is background, and changes with the liquid only."""
        if self._boils_at == T:
            return
        self._boils_at = T
        self._boiling.set_ydata([T, T])
        self._label.set_position((_MOST, T + 25))
        self._label.set_text(tr("the liquid boils, {temperature:.0f} K", temperature=T))
        self._picture.settle()


# ---------------------------------------------------------------------- in words


def _about(name: str) -> str:
    """What holds at every volume and share: what is left out, and the sources."""
    source = look.paragraphs(
        f"{liquid_heat(name).source}.\n\n"
        + tr(
            "Enthalpies: NIST-JANAF Thermochemical Tables, 4th ed. (Chase, 1998), through this "
            "chapter's data."
        )
    )
    notes = "".join(look.note(note) for note in (_LEFT_OUT, _DRY, _DOSES))
    return notes + look.folded(tr("Tables and sources"), source)


def _outcome(heating: Heating, name: str) -> str:
    if heating.boiled_away >= 1:
        return f"{_AWAY}, " + tr("to {temperature}", temperature=_hot(heating))
    if heating.boiled_away > 0:
        return tr(
            "{outcome}: {boiled_away:.0f} % of the {name}, at {hot}",
            outcome=_PARTLY,
            boiled_away=100 * heating.boiled_away,
            name=name,
            hot=_hot(heating),
        )
    return tr("{outcome}: it ends at {hot}", outcome=_STAYS, hot=_hot(heating))


def _hot(heating: Heating) -> str:
    """The end temperature, with no more figures than so rough a balance bears."""
    T = heating.end.m_as("K")
    return f"{T:.0f} K" if T < 600 else tr("about {temperature} K", temperature=50 * round(T / 50))


def _rise(heating: Heating) -> str:
    rise = heating.rise.m_as("delta_degC")
    if rise > 100:
        return tr("about {rise} K", rise=50 * round(rise / 50))
    return f"{rise:.1f} K ± {max(0.1, heating.uncertainty.m_as('delta_degC')):.1f} K"


def _per_cent(heating: Heating) -> int:
    rise = heating.rise.m_as("delta_degC")
    return max(1, round(100 * heating.uncertainty.m_as("delta_degC") / rise)) if rise else 1
