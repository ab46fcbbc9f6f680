"""Heat released by a run against what the condenser and the bath carry; boil-up.

It stands beside the hydrogen because it is asked at the same worst moment: a condenser that no
longer keeps up lets solvent vapour into the hood together with the gas.
"""

from dataclasses import dataclass, field
from html import escape

import numpy as np

from potash.units import Quantity, QuantityLike, magnitude, show
from potash.words import tr


@dataclass(frozen=True, slots=True)
class HeatCheck:
    """Heat at the worst moment.

    time (min) and heat_rate (W), shape (n,), as given.
    worst (W) and worst_time (min): the highest heat release.
    bath, condenser (W): what each carries.
    boil_up (g/min): liquid that the rest of the heat boils, shape (n,); worst_boil_up, the most.
    """

    time: Quantity = field(repr=False)
    heat_rate: Quantity = field(repr=False)
    boil_up: Quantity = field(repr=False)
    worst: Quantity
    worst_time: Quantity
    bath: Quantity
    condenser: Quantity
    worst_boil_up: Quantity

    @property
    def carried(self) -> bool:
        """Whether bath and condenser together carry the worst moment."""
        return bool(self.worst.m_as("W") <= self.bath.m_as("W") + self.condenser.m_as("W"))

    @property
    def words(self) -> str:
        """The verdict in a sentence, with its figures."""
        both = self.bath + self.condenser
        relation = tr("carry") if self.carried else tr("do not carry")
        return tr(
            "Bath and condenser together, {both}, {relation} the worst moment of this model: "
            "{worst} at {worst_time}, which boils up {worst_boil_up}.",
            both=show(both),
            relation=relation,
            worst=show(self.worst),
            worst_time=show(self.worst_time),
            worst_boil_up=show(self.worst_boil_up),
        )

    def _repr_html_(self) -> str:
        return f"<p>{escape(self.words)}</p>"


def condenser_power(
    coefficient: QuantityLike, area: QuantityLike, temperature_difference: QuantityLike
) -> Quantity:
    r"""Heat that a condenser carries (W).

    .. math:: P = U A \Delta T

    Parameters: coefficient U (W/(m2 K)), area, mean temperature difference, each above 0.
    Raises: OutOfBounds; errors of units. Source: definition of the overall coefficient.
    """
    U = magnitude("coefficient", coefficient, "W/m^2/K", above=0)
    A = magnitude("area", area, "m^2", above=0)
    difference = magnitude("temperature difference", temperature_difference, "delta_degC", above=0)
    return Quantity(U * A * difference, "W")


def heat_check(
    time: QuantityLike,
    heat_rate: QuantityLike,
    *,
    condenser: QuantityLike,
    bath: QuantityLike = "0 W",
    latent_heat: QuantityLike = "330 kJ/kg",
) -> HeatCheck:
    r"""Heat release against bath and condenser, and the boil-up that what the bath leaves causes.

    .. math:: \dot m = \max(\dot Q - P_{bath}, 0) / \Delta h

    Parameters: time and heat_rate, both (n,), such as a run's; condenser and bath, what they carry,
    0 or more; latent_heat of the liquid (the default is about tetralin's, from memory).
    Raises: OutOfBounds; errors of units.
    """
    minutes = np.atleast_1d(magnitude("time", time, "min"))
    watts = np.atleast_1d(magnitude("heat rate", heat_rate, "W"))
    taken = magnitude("condenser", condenser, "W", at_least=0)
    lost = magnitude("bath", bath, "W", at_least=0)
    latent = magnitude("latent heat", latent_heat, "J/kg", above=0)
    boil_up = np.maximum(watts - lost, 0.0) / latent * 6e4
    at = int(np.argmax(watts))
    return HeatCheck(
        time=Quantity(minutes, "min"),
        heat_rate=Quantity(watts, "W"),
        boil_up=Quantity(boil_up, "g/min"),
        worst=Quantity(float(watts[at]), "W"),
        worst_time=Quantity(float(minutes[at]), "min"),
        bath=Quantity(lost, "W"),
        condenser=Quantity(taken, "W"),
        worst_boil_up=Quantity(float(boil_up[at]), "g/min"),
    )
