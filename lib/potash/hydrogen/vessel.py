"""The gas on its way out: volumes warm and wet, bubbler, balloon, and air drawn in on cooling."""

from dataclasses import dataclass
from html import escape

import numpy as np

from potash.charge import GAS_CONSTANT
from potash.hydrogen.errors import BalloonTooSmall
from potash.units import Quantity, QuantityLike, magnitude, show
from potash.words import tr

_GRAVITY = 9.80665  # m/s2, standard; Source: SI Brochure, 9th ed.


def wet_gas_volume(
    amount: QuantityLike,
    temperature: QuantityLike,
    pressure: QuantityLike,
    vapour_pressure: QuantityLike = "0 Pa",
) -> Quantity:
    r"""Volume of a gas that is saturated with a vapour, at the pressure of the whole.

    .. math:: V = n R T / (p - p_v)

    Parameters: amount of the dry gas (0 or more); vapour_pressure of water or solvent where the
    gas was last in touch with it, at least 0 and below ``pressure``.
    Returns: litres, scalar or the shape of ``amount``.
    Raises: OutOfBounds, for a vapour pressure that is not below the whole; errors of units.
    Source: ideal gas law and Dalton's law; R of CODATA 2018.
    """
    n = magnitude("amount", amount, "mol", at_least=0)
    T = magnitude("temperature", temperature, "K", above=0)
    p = magnitude("pressure", pressure, "Pa", above=0)
    vapour = magnitude("vapour pressure", vapour_pressure, "Pa", at_least=0, below=p)
    return Quantity(1e3 * n * GAS_CONSTANT * T / (p - vapour), "L")


def bubble_rate(flow: QuantityLike, bubble_diameter: QuantityLike = "5 mm") -> Quantity:
    r"""Bubbles a second in a bubbler, which an observer can count up to about 3.

    .. math:: f = Q / (\pi d^3 / 6)

    Raises: OutOfBounds, for a negative flow or a diameter that is not above 0; errors of units.
    Source: geometry; the diameter is a teaching value.
    """
    volume = magnitude("flow", flow, "m^3/s", at_least=0)
    d = magnitude("bubble diameter", bubble_diameter, "m", above=0)
    return Quantity(volume / (np.pi * d**3 / 6), "1/s")


def back_pressure(depth: QuantityLike, density: QuantityLike = "850 kg/m3") -> Quantity:
    r"""Overpressure that a bubbler lays on the vessel (mbar).

    .. math:: \Delta p = \rho g h

    Raises: OutOfBounds, for a negative depth; errors of units. Source: hydrostatics.
    """
    h = magnitude("depth", depth, "m", at_least=0)
    rho = magnitude("density", density, "kg/m^3", above=0)
    return Quantity(rho * _GRAVITY * h / 100, "mbar")


@dataclass(frozen=True, slots=True)
class Balloon:
    """A balloon that takes the gas of a run. fill: share of its volume at the end (percent)."""

    volume: Quantity
    gas: Quantity
    fill: Quantity

    def _repr_html_(self) -> str:
        told = tr(
            "{gas} of gas fill {fill} of a balloon of {volume}. A balloon of hydrogen is a store "
            "of fuel: a bubbler into a working hood holds none.",
            gas=show(self.gas),
            fill=show(self.fill),
            volume=show(self.volume),
        )
        return f"<p>{escape(told)}</p>"


def balloon(
    amount: QuantityLike,
    volume: QuantityLike,
    temperature: QuantityLike = "20 °C",
    pressure: QuantityLike = "1013 mbar",
    *,
    largest_fill: QuantityLike = "80 %",
) -> Balloon:
    """Whether a balloon takes all the gas of a run.

    Parameters: amount of hydrogen in all; volume of the balloon; largest_fill, the share of its
    volume that is used.
    Raises: BalloonTooSmall, naming the volume that would do; OutOfBounds; errors of units.
    """
    litres = magnitude("volume of the balloon", volume, "L", above=0)
    share = magnitude("largest fill", largest_fill, "", above=0, at_most=1)
    gas = wet_gas_volume(amount, temperature, pressure).m_as("L")
    if gas > share * litres:
        raise BalloonTooSmall(
            tr(
                "The balloon holds {volume}, and the run releases {gas}. Filled to {share} it "
                "must hold at least {least}; a bubbler into a working hood needs no volume at all.",
                volume=show(Quantity(litres, "L")),
                gas=show(Quantity(gas, "L")),
                share=show(Quantity(100 * share, "percent")),
                least=show(Quantity(gas / share, "L")),
            )
        )
    return Balloon(
        Quantity(litres, "L"), Quantity(gas, "L"), Quantity(100 * gas / litres, "percent")
    )


@dataclass(frozen=True, slots=True)
class SuckBack:
    """What cooling draws back into a closed vessel. volume: of air or bubbler liquid (mL).

    trap: volume of the trap that stands between; None, if there is none.
    """

    volume: Quantity
    trap: Quantity | None

    @property
    def held(self) -> bool:
        """Whether the trap holds all that is drawn back."""
        return self.trap is not None and bool(self.trap.m_as("mL") > self.volume.m_as("mL"))

    @property
    def words(self) -> str:
        """What happens, in a sentence."""
        drawn = tr("On cooling {volume} are drawn back", volume=show(self.volume))
        if self.trap is None:
            return tr(
                "{drawn}, and no trap stands in the way: bubbler liquid or air reaches the metal.",
                drawn=drawn,
            )
        held = tr("holds them") if self.held else tr("is too small for them")
        return tr(
            "{drawn}; the trap of {trap} {held}. Nitrogen let in meanwhile is better.",
            drawn=drawn,
            trap=show(self.trap),
            held=held,
        )

    def _repr_html_(self) -> str:
        return f"<p>{escape(self.words)}</p>"


def suck_back(
    headspace: QuantityLike,
    hot: QuantityLike,
    cold: QuantityLike = "20 °C",
    *,
    pressure: QuantityLike = "1013 mbar",
    vapour_pressure_hot: QuantityLike = "0 Pa",
    vapour_pressure_cold: QuantityLike = "0 Pa",
    trap: QuantityLike | None = None,
) -> SuckBack:
    r"""Volume drawn into the vessel when it cools at constant pressure.

    .. math:: \Delta V = V \left(1 - \frac{p - p_{v,hot}}{p - p_{v,cold}}
              \frac{T_{cold}}{T_{hot}}\right)

    Parameters: headspace, gas in vessel and tubes; hot and cold temperatures; vapour pressures of
    the liquid at both, below ``pressure``; trap, volume of the empty trap before the bubbler.
    Raises: OutOfBounds, if the vessel does not cool; errors of units.
    Source: ideal gas law and Dalton's law.
    """
    volume = magnitude("headspace", headspace, "mL", above=0)
    T_hot = magnitude("hot temperature", hot, "K", above=0)
    T_cold = magnitude("cold temperature", cold, "K", above=0, at_most=T_hot)
    p = magnitude("pressure", pressure, "Pa", above=0)
    p_hot = magnitude("vapour pressure while hot", vapour_pressure_hot, "Pa", at_least=0, below=p)
    p_cold = magnitude(
        "vapour pressure when cold", vapour_pressure_cold, "Pa", at_least=0, at_most=p_hot
    )
    kept = (p - p_hot) / (p - p_cold) * T_cold / T_hot
    room = None if trap is None else Quantity(magnitude("trap", trap, "mL", above=0), "mL")
    return SuckBack(Quantity(volume * (1 - kept), "mL"), room)
