"""``Release``: how fast hydrogen leaves, over time."""

from dataclasses import dataclass, field, replace
from html import escape

import numpy as np
from numpy.typing import NDArray

from potash.charge import GAS_CONSTANT
from potash.hydrogen.errors import BadRelease
from potash.units import Quantity, QuantityLike, magnitude, show
from potash.words import tr


@dataclass(frozen=True, slots=True)
class Release:
    """Hydrogen leaving, between its points by straight lines.

    time: (n,) min, never falling; rate: (n,) mmol/min, never negative.
    temperature, pressure: where volumes are counted: the hood's.
    """

    time: Quantity = field(repr=False)
    rate: Quantity = field(repr=False)
    temperature: Quantity
    pressure: Quantity

    @property
    def flow(self) -> Quantity:
        """Dry ideal gas at the hood's temperature and pressure (mL/min), shape (n,)."""
        return Quantity(self._cubic_metres_a_second() * 6e7, "mL/min")

    @property
    def total(self) -> Quantity:
        """All hydrogen (mol), by the trapezium rule."""
        return Quantity(float(np.trapezoid(self.rate.m_as("mol/s"), self.time.m_as("s"))), "mol")

    @property
    def total_volume(self) -> Quantity:
        """All hydrogen as dry gas at the hood's temperature and pressure (L)."""
        return Quantity(self.total.m_as("mol") * self._molar_volume() * 1e3, "L")

    @property
    def worst(self) -> tuple[Quantity, Quantity]:
        """The highest flow (mL/min) and when (min)."""
        at = int(np.argmax(self.rate.magnitude))
        return (
            Quantity(float(self.flow.magnitude[at]), "mL/min"),
            Quantity(float(self.time.m_as("min")[at]), "min"),
        )

    @property
    def mean_flow(self) -> Quantity:
        """Total over duration (mL/min): shown only to say how far it lies below the worst."""
        duration = float(self.time.m_as("min")[-1] - self.time.m_as("min")[0])
        return Quantity(self.total_volume.m_as("mL") / duration, "mL/min")

    def scaled(self, times: float) -> "Release":
        """The release of a preparation that is ``times`` as large. Raises: OutOfBounds."""
        factor = magnitude("scale", times, "", above=0)
        return replace(self, rate=Quantity(factor * self.rate.m_as("mmol/min"), "mmol/min"))

    def floats(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Time (s) and flow at the hood's conditions (m3/s), both (n,), for computing on."""
        return np.asarray(self.time.m_as("s"), dtype=float), self._cubic_metres_a_second()

    def _cubic_metres_a_second(self) -> NDArray[np.float64]:
        return np.asarray(self.rate.m_as("mol/s"), dtype=float) * self._molar_volume()

    def _molar_volume(self) -> float:
        """m3/mol."""
        return float(GAS_CONSTANT * self.temperature.m_as("K") / self.pressure.m_as("Pa"))

    def _repr_html_(self) -> str:
        worst, when = self.worst
        told = tr(
            "{total} of hydrogen, {volume} at {temperature} and {pressure}; at most {worst}, at "
            "{when}; on average {mean}.",
            total=show(self.total),
            volume=show(self.total_volume),
            temperature=show(self.temperature),
            pressure=show(self.pressure),
            worst=show(worst),
            when=show(when),
            mean=show(self.mean_flow),
        )
        return f"<p>{escape(told)}</p>"


def release(
    time: QuantityLike,
    rate: QuantityLike,
    temperature: QuantityLike = "20 °C",
    pressure: QuantityLike = "1013 mbar",
) -> Release:
    """A release from times and molar rates, such as those of a simulated run.

    Parameters: time, shape (n,), n at least 2, never falling; rate, shape (n,), each 0 or more;
    temperature and pressure of the hood.
    Raises: BadRelease, if the shapes differ, or time falls or stands still throughout;
    OutOfBounds, WrongDimension, UnreadableQuantity.
    """
    minutes = np.atleast_1d(magnitude("time", time, "min"))
    # A solver leaves rates such as -1e-12 mol/s where nothing happens; those are no negative rates.
    rates = np.atleast_1d(magnitude("rate", rate, "mmol/min", at_least=-1e-3))
    if minutes.shape != rates.shape or minutes.size < 2:
        raise BadRelease(
            tr(
                "{size} times and {rates} rates are given. A release needs a rate for each time, "
                "and at least two of both.",
                size=minutes.size,
                rates=rates.size,
            )
        )
    falls = np.flatnonzero(np.diff(minutes) < 0)
    if falls.size or minutes[-1] == minutes[0]:
        what = tr("all times are the same")
        if falls.size:
            earlier, later = minutes[falls[0]], minutes[falls[0] + 1]
            what = tr("after {earlier:.4g} min comes {later:.4g} min", earlier=earlier, later=later)
        raise BadRelease(
            tr("Time must go forward, and {what}. Sort the points by time.", what=what)
        )
    return Release(
        Quantity(minutes, "min"),
        Quantity(np.maximum(rates, 0.0), "mmol/min"),
        Quantity(magnitude("temperature", temperature, "K", above=0), "K"),
        Quantity(magnitude("pressure", pressure, "Pa", above=0), "Pa"),
    )


def steady_release(
    flow: QuantityLike,
    duration: QuantityLike,
    temperature: QuantityLike = "20 °C",
    pressure: QuantityLike = "1013 mbar",
) -> Release:
    """A release at one flow, counted at the hood's temperature and pressure, for a time.

    Raises: OutOfBounds, if the flow is negative or the duration not above 0; errors of units.
    """
    volume = magnitude("flow", flow, "m^3/s", at_least=0)
    minutes = magnitude("duration", duration, "min", above=0)
    T = magnitude("temperature", temperature, "K", above=0)
    p = magnitude("pressure", pressure, "Pa", above=0)
    rate = volume * p / (GAS_CONSTANT * T)
    return release(
        Quantity(np.array([0.0, minutes]), "min"),
        Quantity(np.full(2, rate), "mol/s"),
        Quantity(T, "K"),
        Quantity(p, "Pa"),
    )
