"""A gas log of one's own: read, fitted, its residuals looked at, its end told or refused."""

from pathlib import Path
from typing import Any

import numpy as np

from potash.gas_log import GasFit, GasLog, NotBent, example_log, fit_gas_log, read_gas_log
from potash.panels.frame import controls, look
from potash.panels.frame.pictures import Picture, styled
from potash.panels.frame.shell import Shell, in_words
from potash.units import Quantity, show
from potash.words import tr
from potash.workspace import Workspace

_TITLE = tr("Your own gas log")
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
            tr(
                "A CSV file in this folder: time, volume or flow; temperature and pressure if read."
            ),
        )
        self.file = controls.text(tr("File"), "gas-log.csv", width="260px")
        self.temperature = controls.text(tr("Temperature, if not in it"), "20 °C", width="200px")
        self.pressure = controls.text(tr("Pressure, if not in it"), "1013 mbar", width="200px")
        self.read_button = controls.button(tr("Read and fit"), main=True)
        self.example_button = controls.button(tr("Try the invented log"))
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
        self.shell.keep(look.note(tr("No log was read yet.")), tr("No log was read yet."))

    def read(self) -> None:
        """Read and fit the file that is named."""
        self._take(self._path())

    def try_example(self) -> None:
        """Read and fit the invented log."""
        self._take(example_log())
        self.shell.say(look.note(tr("An invented log, drawn from a formula with noise.")))

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
        (tr("Pace just after the induction"), str(fit.rate)),
        (tr("Fall of the pace"), str(fit.decay)),
        (tr("Induction"), str(fit.induction)),
        (tr("Pace at the last reading, of the first"), str(fit.pace_left)),
        (tr("Scatter of the readings"), show(fit.noise, 2)),
    ]
    notes = "".join(look.note(warning) for warning in fit.warnings)
    try:
        rows += [
            (tr("Gas in all"), str(fit.total)),
            (tr("95 % of it will have come at"), str(fit.end_time())),
        ]
    except NotBent as refused:
        notes += look.note(str(refused))
    return (
        LogPicture(fit).to_html()
        + look.table(
            tr("The fit"), (tr("What"), tr("Value and its 95 % interval")), rows, origins=_ORIGINS
        )
        + notes
    )


def _in_text(fit: GasFit) -> str:
    return tr(
        "pace {rate}; fall {decay}; induction {induction}",
        rate=fit.rate,
        decay=fit.decay,
        induction=fit.induction,
    )


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
        end = (
            tr(" 95 % of the gas at {end_time}.", end_time=fit.end_time())
            if fit.has_bent
            else tr(" It has not bent.")
        )
        return self._picture.to_html(
            tr(
                "Gas log with its fit: {number} readings, pace {rate}, induction "
                "{induction}.{end} Residuals scatter by {noise}.",
                number=len(fit.log),
                rate=fit.rate,
                induction=fit.induction,
                end=end,
                noise=show(fit.noise, 2),
            )
        )

    def _draw(self, axes: Any, log: GasLog) -> None:
        fit = self.fit
        minutes, gas = log.time.m_as("min"), log.gas.magnitude
        last = float(minutes[-1])
        if fit.has_bent:
            end = fit.end_time()
            low, high = (float(edge.m_as("min")) for edge in (end.low, end.high))
            axes.axvspan(low, high, color=look.ACCENT, alpha=0.18, label=tr("95 % come: 95 % band"))
            last = max(last, high * 1.04)
        curve = np.linspace(float(minutes[0]), last, 300)
        axes.plot(minutes, gas, "o", color=look.CONTRAST, markersize=3.5, label=tr("readings"))
        fitted = fit.curve(Quantity(curve, "min")).magnitude
        axes.plot(curve, fitted, color=look.INK, linewidth=1.6, label=tr("fit"))
        axes.set(ylabel=tr("gas, mmol") if log.kind == "volume" else tr("gas flow, mmol/min"))
        axes.legend(loc="best", fontsize=8.5)

    def _draw_residuals(self, axes: Any, log: GasLog) -> None:
        minutes = log.time.m_as("min")
        axes.axhline(0, color=look.FAINT, linewidth=1)
        axes.plot(minutes, self.fit.residuals.magnitude, "o", color=look.CONTRAST, markersize=3)
        axes.set(xlabel=tr("time, min"), ylabel=tr("reading − fit"))
