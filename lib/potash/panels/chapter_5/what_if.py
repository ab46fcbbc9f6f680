"""What if: many runs over what is not exactly known, with progress and a way to stop."""

import threading

import ipywidgets as widgets

from potash.kinetics import standing_plan
from potash.panels.chapter_5.run_pictures import SpreadPicture, TornadoPicture
from potash.panels.frame import controls, look
from potash.panels.frame.current import current_preparation
from potash.panels.frame.look import Number
from potash.panels.frame.predicting import PredictFirst
from potash.panels.frame.shell import Shell, in_words
from potash.preparation import Preparation
from potash.units import show
from potash.whatif import OUTCOMES, BadSweep, Spread, Tornado, monte_carlo, tornado
from potash.words import tr
from potash.workspace import Workspace

WHAT_IF = "what if: what moves the yield most"
_TITLE = tr("What if nothing is exactly known?")


@in_words(_TITLE)
def what_if() -> Shell:
    """Many runs of the preparation in this folder, each input moved by its tolerance."""
    return WhatIfPanel(current_preparation(Workspace.find())).shell


class WhatIfPanel:
    """Predict what matters most, then see the tornado, then let the runs spread."""

    def __init__(self, preparation: Preparation) -> None:
        self.preparation = preparation
        self.shell = Shell(_TITLE, preparation.title)
        self.outcome = controls.choice(tr("Outcome"), list(OUTCOMES), "metal yield")
        self.samples = controls.text(tr("Number of runs"), "200", width="130px")
        self.cluster = controls.text(
            tr("Dask scheduler, if you have one"), "", width="280px", placeholder="tcp://host:8786"
        )
        self.go_button = controls.button(tr("Make the runs"), main=True)
        self.stop_button = controls.button(tr("Stop"))
        self.progress = widgets.IntProgress(
            value=0, min=0, max=1, description=tr("Runs made"),
            layout=widgets.Layout(width="100%", max_width="480px"),
            style={"description_width": "auto"},
        )  # fmt: skip
        self.done = controls.html(height="24px")
        self.tornado_place = controls.html()
        self.spread_place = controls.html()
        self.found: Tornado | None = None
        self.spread: Spread | None = None
        self.worker: threading.Thread | None = None
        self._stopped = threading.Event()
        self.prediction = PredictFirst(
            self.shell,
            tr(
                "Each input is known only within its tolerance. Which of these moves the yield of "
                "{metal} most?",
                metal=preparation.metal,
            ),
            controls.options(
                tr("Your prediction"),
                ["mass of the hydroxide", "volume of the alcohol", "working temperature"],
            ),
            result=self._most,
            revealed=self._show,
        )
        self._lay_out()
        self.prediction.about(WHAT_IF)

    def _lay_out(self) -> None:
        self.settings = controls.column(
            self.outcome,
            self.tornado_place,
            controls.row(self.samples, self.cluster),
            controls.row(self.go_button, self.stop_button),
        )
        self.results = controls.column(
            self.progress,
            self.done,
            self.spread_place,
        )
        self.stop_button.disabled = True
        self.shell.fill(self.prediction.box, self.settings, self.shell.message, self.results)
        self.outcome.observe(self.shell.guarded(self._draw), "value")
        self.go_button.on_click(self.shell.guarded(self.go))
        self.stop_button.on_click(self.shell.guarded(self.stop))

    def go(self) -> None:
        """Start the runs in a thread of their own, so that the page stays alive."""
        if self.worker is not None and self.worker.is_alive():
            return
        samples = self._samples()
        self.shell.say("")
        self._stopped.clear()
        self.progress.max, self.progress.value = samples, 0
        self.go_button.disabled, self.stop_button.disabled = True, False
        work = self.shell.told(lambda: self._sweep(samples))  # Stop must not wait for it
        self.worker = threading.Thread(target=work, daemon=True)
        self.worker.start()

    def stop(self) -> None:
        """End after the piece that is being worked on; what was made is kept."""
        self._stopped.set()

    def _sweep(self, samples: int) -> None:
        try:
            self.spread = monte_carlo(
                self.preparation,
                samples=samples,
                progress=self._tell_progress,
                cancelled=self._stopped.is_set,
                cluster=self.cluster.value.strip() or None,
            )
        finally:
            self.go_button.disabled, self.stop_button.disabled = False, True
        self._draw()

    def _tell_progress(self, done: int, asked: int) -> None:
        self.progress.value = done
        told = tr("{done} of {asked} runs made.", done=done, asked=asked)
        self.done.value = f"<p>{told}</p>"

    def _samples(self) -> int:
        typed = self.samples.value.strip()
        if not typed.isdecimal() or not 10 <= int(typed) <= 10_000:
            raise BadSweep(
                tr(
                    'Number of runs: "{typed}" is none from 10 to 10000. One that works: 200.',
                    typed=typed[:20],
                )
            )
        return int(typed)

    def _tornado(self) -> Tornado:
        if self.found is None:
            self.found = tornado(self.preparation, standing_plan(self.preparation))
        return self.found

    def _most(self) -> str:
        first, second = self._tornado().bars("metal yield")[:2]
        return tr(
            "{sentence} moves it most, from {low} to {high}; then {second} (teaching values)",
            sentence=first.tolerance.sentence,
            low=show(first.low),
            high=show(first.high),
            second=second.tolerance.sentence,
        )

    def _show(self) -> None:
        for box in (self.settings, self.results):
            controls.shown(box, self.prediction.is_open)
        if self.prediction.is_open:
            self._draw()
        else:
            self.shell.keep(look.note(tr("No prediction yet.")), tr("No prediction yet."))

    def _draw(self) -> None:
        if not self.prediction.is_open:
            return
        name = self.outcome.value
        unit = {"percent": "%"}.get(OUTCOMES[name], OUTCOMES[name])
        found = self._tornado()
        central = float(found.central[name].magnitude)
        bars = TornadoPicture(found.bars(name), central, name, unit)
        self.tornado_place.value = bars.to_html()
        self.spread_place.value = _told(self.spread, name, unit) if self.spread else ""
        self.shell.keep(
            self.tornado_place.value + self.spread_place.value,
            tr("What moves the {name} most", name=name),
        )


def _told(spread: Spread, name: str, unit: str) -> str:
    if not spread.done:
        return look.note(tr("Stopped before the first run was made."))
    low, high = spread.interval(name)
    values = spread.samples[name].magnitude
    picture = SpreadPicture(values, float(low.magnitude), float(high.magnitude), f"{name}, {unit}")
    between = tr("{low} and {high}", low=show(low), high=show(high))
    made = tr("{done}, stopped", done=spread.done) if spread.cancelled else str(spread.done)
    numbers = look.key_numbers(
        Number(tr("{name}, middle", name=name), show(spread.median(name)), "median of the runs"),
        Number(tr("19 of 20 runs lie between"), between, "spread of the runs"),
        Number(tr("runs"), made, "runs made"),
    )
    return numbers + picture.to_html()
