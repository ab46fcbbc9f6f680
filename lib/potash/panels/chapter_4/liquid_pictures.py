"""Pictures of one liquid: its density beside the melt's, its vapour pressure, its structure."""

import base64
from html import escape
from typing import Any

import numpy as np

from potash.panels.frame import look
from potash.panels.frame.pictures import Picture, styled
from potash.properties.liquids import LiquidRecord
from potash.properties.metals import Metal
from potash.solvents import Candidate, Crossing, Verdict, drawing
from potash.words import tr

WIDTH, HEIGHT = 394, 300
_LOW, _HIGH = 20.0, 360.0  # °C
_ZERO = 273.15


class DensityPicture:
    """Densities of liquid and melt over temperature with their bands, and where they cross."""

    def __init__(
        self, candidate: Candidate, melt: Metal, estimates: bool, crossing: Crossing | None
    ) -> None:
        self.melt = melt
        self._picture = Picture(WIDTH, HEIGHT)
        with styled():
            self._draw(candidate.liquid.name, _records(candidate, "density", estimates), crossing)
            axes = self._picture.axes
            self._cursor = axes.axvline(_LOW, color=look.INK, linewidth=1.2)
            (self._liquid,) = axes.plot([], [], "o", color=look.CONTRAST, markersize=8, zorder=5)
            cue = look.METALS[melt.symbol]
            (self._metal,) = axes.plot([], [], cue.marker, color=cue.hue, markersize=8, zorder=5)
        self._picture.moving(self._cursor, self._liquid, self._metal)

    def to_html(self, verdict: Verdict) -> str:
        """An ``<img>`` with the cursor at the temperature of ``verdict``."""
        t = verdict.conditions.temperature - _ZERO
        floats = verdict.buoyancy
        self._cursor.set_xdata([t, t])
        self._metal.set_data([t], [floats.metal])
        known = [] if floats.liquid is None else [floats.liquid]
        self._liquid.set_data([t] * len(known), known)
        return self._picture.to_html(self._in_words(verdict))

    def _draw(self, name: str, records: list[LiquidRecord], crossing: Crossing | None) -> None:
        axes = self._picture.axes
        cue = look.METALS[self.melt.symbol]
        T = np.linspace(max(self.melt.melting_point_si, _LOW + _ZERO), _HIGH + _ZERO, 60)
        record = self.melt.correlations["density"]
        metal = np.asarray(record.function(T))
        _band(axes, T, metal, record.relative_uncertainty, cue.hue)
        axes.plot(
            T - _ZERO,
            metal,
            color=cue.hue,
            dashes=cue.dash or (None, None),
            label=tr(self.melt.name),
        )
        for one in records:
            T = np.array([t for t in one.temperatures if t <= _HIGH + _ZERO])
            values = one.at(T)
            dashes = (1, 2) if one.kind == "estimated" else (None, None)
            label = tr("{name}, estimate", name=name) if one.kind == "estimated" else name
            _band(axes, T, values, one.relative_uncertainty or 0.02, look.CONTRAST)
            axes.plot(T - _ZERO, values, color=look.CONTRAST, dashes=dashes, label=label)
        if crossing is not None:
            t = crossing.temperature - _ZERO
            axes.axvspan(crossing.low - _ZERO, crossing.high - _ZERO, color="#eceaf2", zorder=0)
            axes.axvline(t, color=look.FAINT, linewidth=0.9, linestyle=(0, (2, 3)))
            axes.text(
                t,
                0.02,
                tr(" cross at {temperature:.0f} °C", temperature=t),
                transform=axes.get_xaxis_transform(),
                fontsize=8.5,
            )
        axes.set(xlim=(_LOW, _HIGH), xlabel=tr("temperature, °C"), ylabel=tr("density, kg/m³"))
        axes.set_title(tr("Does the metal float?"), loc="left")
        axes.legend(loc="upper right", fontsize=8.5)

    def _in_words(self, verdict: Verdict) -> str:
        floats = verdict.buoyancy
        at = tr("At {temperature:.0f} °C", temperature=verdict.conditions.temperature - _ZERO)
        liquid = tr("no trusted density") if floats.liquid is None else f"{floats.liquid:.0f} kg/m³"
        crossing = floats.crossing
        crossed = (
            tr("The two cross at {temperature:.0f} °C", temperature=crossing.temperature - _ZERO)
            if crossing
            else tr("They do not cross while both are liquid at 1 atm")
        )
        return tr(
            "Densities of {liquid} and molten {melt} over temperature. {at}: {liquid} {density}, "
            "{melt} {metal_density:.0f} kg/m³. {crossed}.",
            liquid=verdict.liquid,
            melt=tr(self.melt.name),
            at=at,
            density=liquid,
            metal_density=floats.metal,
            crossed=crossed,
        )


class VapourPicture:
    """Vapour pressure over temperature, with boiling, flash and autoignition points."""

    def __init__(self, candidate: Candidate, estimates: bool) -> None:
        self._candidate = candidate
        self._marks: list[str] = []
        self._picture = Picture(WIDTH, HEIGHT)
        with styled():
            self._draw(_records(candidate, "vapour_pressure", estimates), estimates)
            axes = self._picture.axes
            self._cursor = axes.axvline(_LOW, color=look.INK, linewidth=1.2)
            (self._dot,) = axes.plot([], [], "o", color=look.ACCENT, markersize=8, zorder=5)
        self._picture.moving(self._cursor, self._dot)

    def to_html(self, verdict: Verdict) -> str:
        """An ``<img>`` with the cursor at the temperature of ``verdict``."""
        t = verdict.conditions.temperature - _ZERO
        pressure = verdict.vapour_pressure
        self._cursor.set_xdata([t, t])
        known = [] if pressure is None else [pressure / 1e3]
        self._dot.set_data([t] * len(known), known)
        told = f"{pressure / 1e3:.3g} kPa" if pressure else tr("no trusted value")
        return self._picture.to_html(
            tr(
                "Vapour pressure of {liquid} over temperature, logarithmic. At {temperature:.0f} "
                "°C: {told}. {marks}",
                liquid=verdict.liquid,
                temperature=t,
                told=told,
                marks=" ".join(self._marks),
            )
        )

    def _draw(self, records: list[LiquidRecord], estimates: bool) -> None:
        axes = self._picture.axes
        axes.set(
            xlim=(_LOW, _HIGH), ylim=(0.05, 3000), yscale="log", xlabel=tr("temperature, °C"),
            ylabel=tr("vapour pressure, kPa"),
        )  # fmt: skip
        axes.set_title(tr("Will it stay in the flask?"), loc="left")
        axes.axhline(101.325, color=look.FAINT, linewidth=1)
        axes.text(_HIGH, 110, "1 atm ", fontsize=8.5, ha="right", va="bottom")
        for one in records:
            T = np.array([t for t in one.temperatures if t <= _HIGH + _ZERO])
            dashes = (1, 2) if one.kind == "estimated" else (None, None)
            axes.plot(T - _ZERO, one.at(T) / 1e3, color=look.ACCENT, dashes=dashes)
        if not records:
            axes.text(
                0.5, 0.5, tr("no trusted vapour pressure"), transform=axes.transAxes, ha="center"
            )
        for name, word in (
            ("flash_point", tr("flash point")),
            ("boiling_point", tr("boils")),
            ("autoignition_temperature", tr("autoignition")),
        ):
            self._mark(axes, name, word, estimates)

    def _mark(self, axes: Any, name: str, word: str, estimates: bool) -> None:
        known = self._candidate.constant(name, estimates)
        if known is None:
            return
        t = known.value - _ZERO
        self._marks.append(f"{word[0].upper()}{word[1:]}: {t:.0f} °C.".replace("-", "−"))
        if _LOW < t < _HIGH:
            axes.axvline(t, color=look.WARNING, linewidth=0.9, linestyle=(0, (2, 3)))
            axes.text(
                t, 0.03, f"{word} ", transform=axes.get_xaxis_transform(), rotation=90,
                fontsize=8.5, ha="left" if t < _LOW + 25 else "right", va="bottom",
            )  # fmt: skip


def structure_picture(candidate: Candidate) -> str:
    """An ``<img>`` of the structure, with what metal attacks marked; its alternative says which."""
    found = candidate.structure
    if found is None:
        return ""
    marked = ", ".join(tr(one.name) for one in found.groups if one.effect != "takes up water")
    words = tr(
        "Structure of {liquid}, SMILES {smiles}. ",
        liquid=candidate.liquid.name,
        smiles=found.smiles,
    ) + (tr("Marked: {marked}.", marked=marked) if marked else tr("No group is marked."))
    data = base64.b64encode(drawing(found.smiles, 210, 150).encode()).decode("ascii")
    return (
        f'<img class="potash-picture potash-structure" width="210" height="150" '
        f'alt="{escape(words)}" src="data:image/svg+xml;base64,{data}">'
    )


def _records(candidate: Candidate, name: str, estimates: bool) -> list[LiquidRecord]:
    """The published record and, where asked for, the estimate beside it."""
    sources = (candidate.liquid.records, candidate.liquid.estimates if estimates else {})
    return [records[name] for records in sources if name in records and records[name].temperatures]


def _band(axes: Any, T: Any, values: Any, relative: float, hue: str) -> None:
    spread = 2 * relative * values
    axes.fill_between(
        T - _ZERO, values - spread, values + spread, color=hue, alpha=0.15, linewidth=0
    )
