"""A gas log of one's own: read, fitted, its residuals looked at, its end told or refused."""

from pathlib import Path
from typing import Any

import numpy as np

from potash.gas_log import GasFit, GasLog, NotBent, example_log, fit_gas_log, read_gas_log
from potash.panels.frame import controls, look
from potash.panels.frame.pictures import Picture, styled
from potash.panels.frame.shell import Shell, in_words
from potash.units import Quantity, show
from potash.workspace import Workspace

_TITLE = "Your own gas log"
_ORIGINS = ("fit of a gas log", "end of the gas")


@in_words(_TITLE)
def gas_log() -> Shell:
    """A CSV file of this folder, or an invented log, fitted."""
    return GasLogPanel(Workspace.find()).shell


class GasLogPanel:
    """A file, the gas's temperature and pressure, and the fit that follows."""

    def __init__(self, workspace: Workspace) -> None:
        self.workspace = workspace
        self.shell = Shell(
            _TITLE,
            "A CSV file in this folder: time, volume or flow; temperature and pressure if read.",
        )
        self.file = controls.text("File", "gas-log.csv", width="260px")
        self.temperature = controls.text("Temperature, if not in it", "20 °C", width="200px")
        self.pressure = controls.text("Pressure, if not in it", "1013 mbar", width="200px")
        self.read_button = controls.button("Read and fit", main=True)
        self.example_button = controls.button("Try the invented log")
        self.content = controls.html()
        self.fit: GasFit | None = None
        self.shell.fill(
            controls.row(self.file, self.temperature, self.pressure),
            controls.row(self.read_button, self.example_button),
            self.shell.message,
            self.content,
        )
        self.read_button.on_click(self.shell.guarded(self.read))
        self.example_button.on_click(self.shell.guarded(self.try_example))
        self.shell.keep(look.note("No log was read yet."), "No log was read yet.")

    def read(self) -> None:
        """Read and fit the file that is named."""
        self._take(self._path())

    def try_example(self) -> None:
        """Read and fit the invented log."""
        self._take(example_log())
        self.shell.say(look.note("An invented log, drawn from a formula with noise."))

    def _path(self) -> Path:
        return Path(self.workspace.folder, self.file.value.strip())

    def _take(self, source: str | Path) -> None:
        at = {"temperature": self.temperature.value, "pressure": self.pressure.value}
        with controls.emptied_on_error(self.content):
            self.fit = fit_gas_log(read_gas_log(source, **at))
        self.shell.say("")
        self.content.value = _told(self.fit)
        self.shell.keep(self.content.value, _in_text(self.fit))


def _told(fit: GasFit) -> str:
    rows = [
        ("Pace just after the induction", str(fit.rate)),
        ("Fall of the pace", str(fit.decay)),
        ("Induction", str(fit.induction)),
        ("Pace at the last reading, of the first", str(fit.pace_left)),
        ("Scatter of the readings", show(fit.noise, 2)),
    ]
    notes = "".join(look.note(warning) for warning in fit.warnings)
    try:
        rows += [
            ("Gas in all", str(fit.total)),
            ("95 % of it will have come at", str(fit.end_time())),
        ]
    except NotBent as refused:
        notes += look.note(str(refused))
    return (
        LogPicture(fit).to_html()
        + look.table("The fit", ("What", "Value and its 95 % interval"), rows, origins=_ORIGINS)
        + notes
    )


def _in_text(fit: GasFit) -> str:
    return f"pace {fit.rate}; fall {fit.decay}; induction {fit.induction}"


class LogPicture:
    """Readings and fit, the band of the end, and the residuals below."""

    def __init__(self, fit: GasFit) -> None:
        self.fit = fit
        self._picture = Picture(height=430)
        with styled():
            self._picture.axes.remove()
            top, low = self._picture.figure.subplots(2, 1, sharex=True, height_ratios=(3, 1.2))
            self._draw(top, fit.log)
            self._draw_residuals(low, fit.log)

    def to_html(self) -> str:
        """An ``<img>`` of the fit, told in words."""
        fit = self.fit
        end = f" 95 % of the gas at {fit.end_time()}." if fit.has_bent else " It has not bent."
        return self._picture.to_html(
            f"Gas log with its fit: {len(fit.log)} readings, pace {fit.rate}, induction "
            f"{fit.induction}.{end} Residuals scatter by {show(fit.noise, 2)}."
        )

    def _draw(self, axes: Any, log: GasLog) -> None:
        fit = self.fit
        minutes, gas = log.time.m_as("min"), log.gas.magnitude
        last = float(minutes[-1])
        if fit.has_bent:
            end = fit.end_time()
            low, high = (float(edge.m_as("min")) for edge in (end.low, end.high))
            axes.axvspan(low, high, color=look.ACCENT, alpha=0.18, label="95 % come: 95 % band")
            last = max(last, high * 1.04)
        curve = np.linspace(float(minutes[0]), last, 300)
        axes.plot(minutes, gas, "o", color=look.CONTRAST, markersize=3.5, label="readings")
        fitted = fit.curve(Quantity(curve, "min")).magnitude
        axes.plot(curve, fitted, color=look.INK, linewidth=1.6, label="fit")
        axes.set(ylabel="gas, mmol" if log.kind == "volume" else "gas flow, mmol/min")
        axes.legend(loc="best", fontsize=8.5)

    def _draw_residuals(self, axes: Any, log: GasLog) -> None:
        minutes = log.time.m_as("min")
        axes.axhline(0, color=look.FAINT, linewidth=1)
        axes.plot(minutes, self.fit.residuals.magnitude, "o", color=look.CONTRAST, markersize=3)
        axes.set(xlabel="time, min", ylabel="reading − fit")
