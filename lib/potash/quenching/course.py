"""The course of a simulated quench, and what an expert reads off it."""

from dataclasses import dataclass
from functools import cached_property
from html import escape
from typing import Any

import numpy as np

from potash.quenching.criticality import BadTemperatures, Criticality, criticality_si
from potash.quenching.gas import gas_flow, share_in_air
from potash.quenching.model import (
    LONGEST,
    Floats,
    Model,
    Stretch,
    Trajectory,
    heat_capacity,
    integrate,
    model_of,
)
from potash.quenching.setup import Quench, demand_simulable
from potash.units import Quantity, show
from potash.words import tr

LABEL = tr(
    "Teaching values: rates and heat transfer were not measured. They show how things hang "
    "together, not what your flask will do."
)


@dataclass(frozen=True)
class QuenchCourse:
    """A simulated quench: arrays over time, each a quantity of shape (n,), and what follows.

    accumulated: share of the metal that the alcohol and water already in the flask would consume.
    after_cooling_failure: temperature if cooling and feed stopped at that moment and all that is
        accumulated reacted.
    hydrogen_share: volume fraction in the hood's air where it mixes.
    """

    quench: Quench
    model: Model
    trajectory: Trajectory

    # ------------------------------------------------------------------ over time

    @property
    def time(self) -> Quantity:
        return Quantity(self.trajectory.t / 60, "min")

    @property
    def temperature(self) -> Quantity:
        return Quantity(self.trajectory.T - 273.15, "degC")

    @property
    def metal(self) -> Quantity:
        return Quantity(self._metal * 1e3, "mmol")

    @property
    def alcohol(self) -> Quantity:
        return Quantity(self.trajectory.alcohol * 1e3, "mmol")

    @property
    def accumulated(self) -> Quantity:
        return Quantity(self._accumulated / self._metal[0] * 100, "percent")

    @property
    def after_cooling_failure(self) -> Quantity:
        return Quantity(self._failure - 273.15, "degC")

    @property
    def hydrogen_flow(self) -> Quantity:
        return Quantity(self._hydrogen * 6e7, "mL/min")

    @property
    def hydrogen_share(self) -> Quantity:
        shares = [share_in_air(flow, self.quench.hood) for flow in self._hydrogen]
        return Quantity(np.array(shares) * 100, "percent")

    # ------------------------------------------------------------------ single numbers

    @property
    def ends(self) -> Quantity | None:
        """When the last metal is gone and bubbling stops; None, if not within three days."""
        end = self.trajectory.ended
        return None if end is None else Quantity(end / 60, "min")

    @property
    def highest_temperature(self) -> Quantity:
        return Quantity(self.peak_si - 273.15, "degC")

    @property
    def synthesis_temperature(self) -> Quantity:
        """Maximum temperature of the synthesis reaction: the worst moment for the cooling to fail.

        Source: Stoessel, Thermal Safety of Chemical Processes (2008), ch. 3.
        """
        return Quantity(self.synthesis_si - 273.15, "degC")

    @property
    def worst_moment(self) -> Quantity:
        """When a cooling failure would be worst, min."""
        return Quantity(float(self.trajectory.t[int(np.argmax(self._failure))]) / 60, "min")

    @property
    def boiling_margin(self) -> Quantity:
        """From the highest temperature up to the lowest boiling point, K; negative above it."""
        return Quantity(self.quench.lowest_boiling[1] - self.peak_si, "delta_degC")

    @property
    def highest_hydrogen_flow(self) -> Quantity:
        return Quantity(float(self._hydrogen.max()) * 6e7, "mL/min")

    @property
    def highest_hydrogen_share(self) -> Quantity:
        return Quantity(self.hydrogen_share_si * 100, "percent")

    @property
    def criticality(self) -> Criticality | None:
        """The criticality class; None, if the flask boils or decomposes without any failure."""
        try:
            return criticality_si(
                self.peak_si,
                max(self.synthesis_si, self.peak_si),
                self.quench.lowest_boiling[1],
                self.quench.decomposition,
            )
        except BadTemperatures:
            return None

    @property
    def peak_si(self) -> float:
        """Highest temperature, K."""
        return float(self.trajectory.T.max())

    @property
    def synthesis_si(self) -> float:
        """Maximum temperature of the synthesis reaction, K."""
        return float(self._failure.max())

    @property
    def hydrogen_share_si(self) -> float:
        """Highest volume fraction of hydrogen in the hood's air."""
        return share_in_air(float(self._hydrogen.max()), self.quench.hood)

    def rows(self) -> tuple[tuple[str, str], ...]:
        """Label and shown value of each key number, for tables and alternative texts."""
        found = self.criticality
        return (
            (tr("Hydrogen in all"), show(self.quench.hydrogen_volume)),
            (tr("Alcohol in all"), show(self.quench.alcohol_volume)),
            (tr("Highest temperature"), show(self.highest_temperature)),
            (tr("Below the lowest boiling point by"), show(self.boiling_margin)),
            (tr("After a cooling failure at the worst moment"), show(self.synthesis_temperature)),
            (
                tr("Criticality class"),
                str(found.number) if found else tr("none: it boils as planned"),
            ),
            (tr("Most hydrogen"), show(self.highest_hydrogen_flow)),
            (tr("Hydrogen in the hood's air, at most"), show(self.highest_hydrogen_share, 2)),
            (tr("Bubbling stops after"), show(self.ends) if self.ends else _UNENDING),
        )

    def _repr_html_(self) -> str:
        cells = "".join(
            f"<tr><th scope='row'>{escape(label)}</th><td>{escape(value)}</td></tr>"
            for label, value in self.rows()
        )
        return (
            f"<table class='potash-quench'><caption>{escape(LABEL)}</caption>"
            f"<tbody>{cells}</tbody></table>"
        )

    # ------------------------------------------------------------------ inside

    @cached_property
    def _metal(self) -> Floats:
        return np.asarray(self.model.metal(self.trajectory.radius))

    @cached_property
    def _accumulated(self) -> Floats:
        present = self.trajectory.alcohol + self.trajectory.water
        return np.minimum(present, self._metal)

    @cached_property
    def _failure(self) -> Floats:
        capacity = heat_capacity(self.model, self.trajectory.fed)
        return np.asarray(self.trajectory.T + self._accumulated * self.model.heat / capacity)

    @cached_property
    def _hydrogen(self) -> Floats:
        """Hydrogen (m3/s) as it leaves, at the flask's temperature."""
        t, metal = self.trajectory.t, self._metal
        # Where something was switched the same moment stands twice.
        once = np.concatenate([[True], np.diff(t) > 0])
        rate = np.interp(t, t[once], -np.gradient(metal[once], t[once]) / 2)
        flows = [gas_flow(max(n, 0.0), T) for n, T in zip(rate, self.trajectory.T, strict=True)]
        return np.array(flows)


_UNENDING = tr("does not stop within {hours:.0f} h", hours=LONGEST / 3600)


def simulate_quench(
    quench: Any, stretches: tuple[Stretch, ...] = (), **planned: Any
) -> QuenchCourse:
    """Follow a quench over time: temperature, metal, accumulated alcohol, hydrogen.

    Parameters: quench, a ``Quench``, or a preparation, whose theoretical yield is then quenched
    with ``planned`` as for ``Quench.planned``; stretches, of what is switched meanwhile.
    Raises: BadQuench, with every reason why it cannot be simulated.
    Source: Stoessel, Thermal Safety of Chemical Processes (2008), semi-batch heat balance.
    """
    plan = quench if isinstance(quench, Quench) else Quench.of(quench, **planned)
    demand_simulable(plan)
    model = model_of(plan)
    return QuenchCourse(plan, model, integrate(model, stretches))
