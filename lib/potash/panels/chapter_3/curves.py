"""The picture of a reaction's energies over temperature, with a cursor that follows a slider."""

from typing import Any

import numpy as np

from potash.panels.frame import look
from potash.panels.frame.pictures import Picture, styled
from potash.properties.curves import Floats
from potash.reactions import INCONCLUSIVE, Explanation, Reaction
from potash.units import show
from potash.words import tr

_POINTS = 400
_LEAST_RANGE = 50.0  # K; below it there is a value rather than a curve
_WORDS = {"melting": tr("melts"), "boiling": tr("boils"), "sublimation": tr("sublimes")}


class EnergyPicture:
    """ΔG with its uncertainty, ΔH and T ΔS of one reaction; melting and boiling points marked.

    highest: the highest temperature (K) that the picture and its slider reach.
    is_a_curve: False, if there are data at one temperature only; then nothing is drawn.
    gaps: where data are missing, in words.
    """

    def __init__(self, reaction: Reaction, metal: str, lowest: float, highest: float) -> None:
        self.reaction = reaction
        self.cue = look.METALS[metal]
        low, high = (end.m_as("K") for end in reaction.valid)
        self.lowest, self.highest = max(lowest, low), min(highest, high)
        self.is_a_curve = self.highest - self.lowest > _LEAST_RANGE
        self.gaps: list[str] = []
        if high < highest:
            self.gaps.append(
                tr(
                    "No values above {high:.0f} K: {ended_by}. Nothing is carried on from there "
                    "by guess.",
                    high=high,
                    ended_by=_ended_by(reaction, high),
                )
            )
        self._picture = Picture(height=390)
        with styled():
            self._draw(lowest, highest)
            self._cursor, self._dot = self._draw_cursor()
        self._picture.moving(self._cursor, self._dot)
        self._marked = self._mark_transitions()

    def to_html(self, explained: Explanation) -> str:
        """An ``<img>`` with the cursor at the temperature of ``explained``."""
        if not self.is_a_curve:
            return ""
        T = explained.temperature.m_as("K")
        self._cursor.set_xdata([T, T])
        self._dot.set_data([T], [explained.gibbs_energy.m_as("kJ/mol")])
        return self._picture.to_html(self._in_words(explained))

    def _draw(self, lowest: float, highest: float) -> None:
        axes = self._picture.axes
        T = np.linspace(self.lowest, self.highest, _POINTS)
        G, H = self.reaction.gibbs_energy_si(T) / 1e3, self.reaction.enthalpy_si(T) / 1e3
        u = self.reaction.uncertainty_si(T) / 1e3
        # Sign within this band is not concluded.
        close = INCONCLUSIVE / 1e3
        axes.axhspan(-close, close, color="#eceaf2", zorder=0)
        axes.axhline(0, color=look.FAINT, linewidth=1)
        axes.fill_between(T, G - u, G + u, color=self.cue.hue, alpha=0.22, linewidth=0)
        lines = [
            (G, "ΔG", self.cue.hue, (0, self.cue.dash) if self.cue.dash else "-", 2.6),
            (H, "ΔH", look.INK, (0, (5, 3)), 1.4),
            (H - G, "T ΔS", look.CONTRAST, (0, (1, 2)), 1.8),
        ]
        for values, name, hue, dash, width in lines:
            axes.plot(T, values, color=hue, linestyle=dash, linewidth=width, label=name)
        axes.legend(loc="upper left", bbox_to_anchor=(1.0, 1.0), handlelength=3.2)
        low, high = _limits(np.concatenate([G - u, G + u, H, H - G]))
        axes.set(
            xlim=(lowest - 8, highest + 8),
            ylim=(low, high),
            xlabel=tr("temperature, K"),
            ylabel=tr("kJ per mole of reaction"),
        )
        if self.highest < highest - 1:
            axes.axvspan(
                self.highest, highest + 8, facecolor="none", hatch="//", edgecolor=look.GRID
            )

    def _draw_cursor(self) -> tuple[Any, Any]:
        axes = self._picture.axes
        cursor = axes.axvline(self.lowest, color=look.INK, linewidth=1.2)
        (dot,) = axes.plot(
            [self.lowest], [0], self.cue.marker, color=self.cue.hue,
            markeredgecolor=look.PAPER, markersize=10, zorder=5,
        )  # fmt: skip
        return cursor, dot

    def _mark_transitions(self) -> list[str]:
        axes = self._picture.axes
        told = []
        last = 0.0
        for formula, transition in self.reaction.transitions:
            word = _WORDS.get(transition.kind)
            T = transition.temperature.m_as("K")
            if word is None or not self.lowest < T < self.highest:
                continue
            told.append(
                tr(
                    "{formula} {word} at {temperature}",
                    formula=formula,
                    word=word,
                    temperature=show(transition.temperature, 4),
                )
            )
            axes.axvline(T, color=look.FAINT, linewidth=0.8, linestyle=(0, (2, 3)))
            # Labels of neighbours would run into each other: the second one moves to the right.
            last = max(T, last + 22)
            axes.text(
                last, 1.01, f"{formula} {word}", transform=axes.get_xaxis_transform(),
                rotation=38, fontsize=8.5, ha="left", va="bottom",
            )  # fmt: skip
        return told

    def _in_words(self, explained: Explanation) -> str:
        ends = self.reaction.gibbs_energy_si(np.array([self.lowest, self.highest])) / 1e3
        marked = "; ".join(self._marked)
        return tr(
            "Energies of {reaction} over temperature. ΔG goes from {at_lowest:.0f} kJ/mol at "
            "{lowest:.0f} K to {at_highest:.0f} kJ/mol at {highest:.0f} K. At {temperature}: ΔH "
            "{enthalpy}, ΔG {energy} ± {uncertainty}, {verdict}. {marked}.",
            reaction=self.reaction,
            at_lowest=ends[0],
            lowest=self.lowest,
            at_highest=ends[1],
            highest=self.highest,
            temperature=show(explained.temperature, 4),
            enthalpy=show(explained.enthalpy),
            energy=show(explained.gibbs_energy),
            uncertainty=show(explained.uncertainty, 1),
            verdict=tr(explained.verdict),
            marked=marked,
        ).replace("-", "−")


def _ended_by(reaction: Reaction, high: float) -> str:
    reasons = [
        f"{one} ({one.why_it_ends})"
        for one in reaction.species
        if abs(one.valid[1].m_as("K") - high) < 1e-6
    ]
    return tr(" and ").join(reasons)


def _limits(values: Floats) -> tuple[float, float]:
    """Calm axis limits in steps of 50 that hold all values and zero."""
    low, high = min(values.min(), -20.0), max(values.max(), 20.0)
    return 50 * np.floor((low - 10) / 50), 50 * np.ceil((high + 10) / 50)
