"""Pictures of hydrogen on its way out: the flow, and the hood's air against the limit."""

import numpy as np

from potash.hydrogen import LOWER_FLAMMABLE_LIMIT, HeatCheck, HoodAir, Release
from potash.panels.frame import look
from potash.panels.frame.pictures import Picture, round_up, styled
from potash.units import show
from potash.words import tr

_FLOOR = 1e-5  # percent, the lowest that the picture of the hood's air shows


class FlowPicture:
    """Hydrogen flow over time, its worst moment and its mean."""

    def __init__(self, release: Release) -> None:
        self.release = release
        self._picture = Picture(height=250)
        worst, when = release.worst
        with styled():
            axes = self._picture.axes
            flow = release.flow.m_as("mL/min")
            axes.plot(release.time.m_as("min"), flow, color=look.CONTRAST, label=tr("hydrogen"))
            mean = release.mean_flow.m_as("mL/min")
            axes.axhline(mean, color=look.FAINT, linestyle=(0, (5, 3)), label=tr("mean"))
            axes.plot(
                [when.m_as("min")], [worst.m_as("mL/min")], "v", color=look.WARNING, markersize=9,
                label=tr("worst moment"),
            )  # fmt: skip
            axes.set(
                xlabel=tr("time from heating, min"),
                ylabel="mL/min at the hood",
                ylim=(0, round_up(1.15 * float(np.max(flow)) or 1.0)),
            )
            axes.legend(loc="upper right", fontsize=8.5)

    def to_html(self) -> str:
        """An ``<img>`` of the flow, told in words."""
        worst, when = self.release.worst
        return self._picture.to_html(
            tr(
                "Hydrogen flow over time: at most {worst} at {when}, on average {mean_flow}, in "
                "all {total_volume}.",
                worst=show(worst),
                when=show(when),
                mean_flow=show(self.release.mean_flow),
                total_volume=show(self.release.total_volume),
            )
        )


class HeatPicture:
    """Heat released over time against what bath and condenser carry together."""

    def __init__(self, check: HeatCheck) -> None:
        self.check = check
        self._picture = Picture(height=230)
        carried = (check.bath + check.condenser).m_as("W")
        heat = check.heat_rate.m_as("W")
        with styled():
            axes = self._picture.axes
            axes.plot(check.time.m_as("min"), heat, color=look.ACCENT, label=tr("heat released"))
            axes.axhline(
                carried, color=look.WARNING, linestyle=(0, (5, 3)), label=tr("bath and condenser")
            )
            low = min(0.0, 1.1 * float(np.min(heat)))
            high = round_up(1.15 * max(float(np.max(heat)), carried, 1.0))
            axes.set(xlabel=tr("time from heating, min"), ylabel="W", ylim=(low, high))
            axes.legend(loc="center right", fontsize=8.5)

    def to_html(self) -> str:
        """An ``<img>`` of the heat, told in words."""
        return self._picture.to_html(tr("Heat over time. {words}", words=self.check.words))


class HoodPicture:
    """Hydrogen in the hood's air over time on a logarithmic scale, against both limits."""

    def __init__(self, air: HoodAir) -> None:
        self._picture = Picture(height=300)
        with styled():
            axes = self._picture.axes
            limit = 100 * LOWER_FLAMMABLE_LIMIT
            design = air.limit.m_as("percent")
            axes.axhspan(limit, 100, color=look.WARNING, alpha=0.25)
            axes.axhline(
                limit, color=look.WARNING, linewidth=1.8, label=tr("lower flammable limit")
            )
            axes.axhline(
                design, color=look.WARNING, linestyle=(0, (5, 3)), linewidth=1.6,
                label=tr("what the design keeps below"),
            )  # fmt: skip
            (self._line,) = axes.plot(
                [], [], color=look.CONTRAST, linewidth=2, label=tr("hood's air")
            )
            (self._worst,) = axes.plot([], [], "v", color=look.INK, markersize=9)
            axes.set_yscale("log")
            end = float(air.time.m_as("min")[-1])
            axes.set(
                xlim=(-0.02 * end, 1.02 * end), ylim=(1e-4, 100),
                xlabel=tr("time from heating, min"), ylabel=tr("hydrogen, % by volume"),
            )  # fmt: skip
            axes.legend(loc="upper center", ncols=3, fontsize=8.5)
        self._picture.moving(self._line, self._worst)

    def to_html(self, air: HoodAir) -> str:
        """An ``<img>`` of the hood's air."""
        fraction = np.maximum(air.fraction.m_as("percent"), _FLOOR)
        self._line.set_data(air.time.m_as("min"), fraction)
        worst = max(float(air.worst.m_as("percent")), _FLOOR)
        self._worst.set_data([air.worst_time.m_as("min")], [worst])
        return self._picture.to_html(air.words)
