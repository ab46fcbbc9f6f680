"""``Run``: one simulated reduction, as quantities, signs and warnings."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from html import escape

import numpy as np
from numpy.typing import NDArray

from potash.hydrogen import Release, release
from potash.kinetics.dosing import Dose, DosePlan
from potash.kinetics.network import Composition
from potash.kinetics.parameters import Parameters
from potash.kinetics.signs import Sign
from potash.units import Quantity, QuantityLike, magnitude, show
from potash.words import tr

NOT_A_PREDICTION = tr(
    "Teaching values: the model shows how such a run behaves, not what yours will do. Licensed "
    "supervision, your institution's approval and local codes decide."
)
SOURCES = (
    tr(
        "structure: ROH + MOH <-> ROM + H2O; 2 ROM + Mg -> Mg(OR)2 + 2 M; Mg(OR)2 + 2 MOH -> 2 "
        "ROM + MgO + H2O; H2O + Mg -> MgO + H2 (common practice, no source)"
    ),
    tr("rates: teaching values of this workbook, none of them measured"),
    tr(
        "shrinking particles: Levenspiel, Chemical Reaction Engineering, 3rd ed. (1999), chapter 25"
    ),
    tr("heats: NIST-JANAF tables (Chase, 1998) and two teaching values for the alkoxides"),
)


@dataclass(frozen=True, slots=True)
class Run:
    """A simulated run. Arrays have shape (n,), one entry for each step of the integrator.

    plan, parameters: what was asked; doses: what was given, those on sight included.
    stirred, surface: as asked.
    time (min), temperature (K).
    amounts: of each species (mol), by the part it plays ("metal", "alkoxide", ...).
    bare_share: share of the reductant's surface that is free of its first oxide film.
    metal_yield: metal now there, as a share of what the charge can give (percent).
    gas_rate: hydrogen leaving (mol/s); gas_flow (mL/min) and gas_volume (mL): the same as dry ideal
        gas at the vent's temperature and pressure.
    heat_rate: heat released (W); heat: released so far (kJ).
    signs: what an observer would see; warnings: what to know before believing a number.
    composition: what each species is made of.
    """

    title: str
    plan: DosePlan
    parameters: Parameters = field(repr=False)
    stirred: bool
    surface: str
    doses: tuple[Dose, ...]
    time: Quantity = field(repr=False)
    temperature: Quantity = field(repr=False)
    amounts: Mapping[str, Quantity] = field(repr=False)
    bare_share: Quantity = field(repr=False)
    metal_yield: Quantity = field(repr=False)
    gas_rate: Quantity = field(repr=False)
    gas_flow: Quantity = field(repr=False)
    gas_volume: Quantity = field(repr=False)
    heat_rate: Quantity = field(repr=False)
    heat: Quantity = field(repr=False)
    most_metal: Quantity
    vent_temperature: Quantity
    vent_pressure: Quantity
    signs: tuple[Sign, ...] = field(repr=False)
    warnings: tuple[str, ...] = field(repr=False)
    composition: Composition = field(repr=False)

    @property
    def final_yield(self) -> Quantity:
        """Metal at the end as a share of what the charge can give (percent)."""
        return Quantity(float(self.metal_yield.magnitude[-1]), "percent")

    @property
    def best_yield(self) -> Quantity:
        """The highest share that was there at any time (percent); later some was lost again."""
        return Quantity(float(self.metal_yield.magnitude.max()), "percent")

    @property
    def total_gas(self) -> Quantity:
        """Hydrogen released in all (mol)."""
        return Quantity(float(self.amounts["hydrogen"].magnitude[-1]), "mol")

    @property
    def alcohol_used(self) -> Quantity:
        """Alcohol given in all doses (mL)."""
        return Quantity(sum(dose.volume.m_as("mL") for dose in self.doses), "mL")

    @property
    def peak_gas_flow(self) -> tuple[Quantity, Quantity]:
        """The highest gas flow (mL/min) and when (min): the worst moment, not the mean."""
        worst = int(np.argmax(self.gas_flow.magnitude))
        return self.gas_flow[worst], self.time[worst]

    @property
    def release(self) -> Release:
        """The hydrogen that leaves, for ``potash.hydrogen``, at the vent's conditions."""
        return release(self.time, self.gas_rate, self.vent_temperature, self.vent_pressure)

    @property
    def sources(self) -> tuple[str, ...]:
        """Where the model's structure and numbers come from."""
        return SOURCES

    def sign_at(self, time: QuantityLike) -> Sign:
        """What would be seen at ``time``, within the run.

        Raises: OutOfBounds, if the time lies outside the run.
        """
        end = float(self.time.m_as("min")[-1])
        moment = magnitude("time", time, "min", at_least=0, at_most=end)
        found = self.signs[0]
        for sign in self.signs:
            if sign.start.m_as("min") <= moment:
                found = sign
        return found

    def at(self, time: QuantityLike) -> Mapping[str, Quantity]:
        """The amounts of all species (mol) at ``time``, between the steps by straight lines.

        Raises: OutOfBounds, if the time lies outside the run.
        """
        minutes = self.time.m_as("min")
        moment = magnitude("time", time, "min", at_least=0, at_most=float(minutes[-1]))
        return {
            name: Quantity(float(np.interp(moment, minutes, amount.magnitude)), "mol")
            for name, amount in self.amounts.items()
        }

    def element_totals(self) -> Mapping[str, NDArray[np.float64]]:
        """Amount of every element (mol, shape (n,)) in all species together, gas included.

        Constant but for the doses of alcohol, at every step.
        """
        amounts = np.array([self.amounts[name].m_as("mol") for name in self.amounts])
        totals = self.composition.totals(amounts)
        return dict(zip(self.composition.elements, totals, strict=True))

    def _repr_html_(self) -> str:
        peak, when = self.peak_gas_flow
        litres = show(self.gas_volume[-1], unit="L")
        rows = "".join(
            f"<tr><th scope='row'>{name}</th><td>{escape(text)}</td></tr>"
            for name, text in (
                (
                    tr("alcohol"),
                    tr(
                        "{alcohol_used} in {number} doses",
                        alcohol_used=show(self.alcohol_used),
                        number=len(self.doses),
                    ),
                ),
                (
                    tr("metal at the end"),
                    tr(
                        "{final_yield} of {most_metal}",
                        final_yield=show(self.final_yield),
                        most_metal=show(self.most_metal),
                    ),
                ),
                (tr("hydrogen in all"), f"{show(self.total_gas)}, {litres}"),
                (
                    tr("most hydrogen at once"),
                    tr("{peak} at {when}", peak=show(peak), when=show(when)),
                ),
                (tr("heat in all"), show(self.heat[-1])),
            )
        )
        seen = "".join(f"<li>{escape(str(sign))}</li>" for sign in self.signs)
        notes = "".join(f"<li>{escape(note)}</li>" for note in self.warnings)
        return (
            f"<table class='potash-run'><caption>{escape(self.title)}: {escape(self.plan.title)}"
            f"</caption><tbody>{rows}</tbody></table>"
            f"<p>{escape(tr('What an observer would see:'))}</p><ul>{seen}</ul>"
            f"<p>{escape(tr('Before you believe it:'))}</p><ul>{notes}</ul>"
        )
