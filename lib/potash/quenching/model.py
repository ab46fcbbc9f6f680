"""The semi-batch heat and gas balance in plain SI floats: what the solver sees.

State: radius of the pieces (m), alcohol and water in the vessel (mol), temperature (K). Metal under
a diluent, alcohol fed at a constant rate until the planned amount is in.

.. math::
    dr/dt = -(k_A c_A + k_W c_W) V_m, \\quad
    dn_A/dt = F - k_A c_A S, \\quad dn_W/dt = -k_W c_W S \\\\
    C\\,dT/dt = (k_A c_A + k_W c_W) S\\,|\\Delta H| - U A_b (T - T_b) - F c_{p,A} (T - T_{feed})

with S the area of all pieces and V_m the molar volume of the metal. Nothing is lost to evaporation,
so temperatures near a boiling point are upper estimates, and beyond it no longer a forecast.
Source: Stoessel, Thermal Safety of Chemical Processes (2008), ch. 7, semi-batch heat balance.
"""

import math
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from potash.properties import species
from potash.quenching.alcohols import Alcohol, alcohols, quenched_metals, teaching
from potash.quenching.heat import GAS_CONSTANT, ROOM, quench_enthalpy_si
from potash.quenching.setup import Quench, molar_mass_si

Floats = NDArray[np.float64]

LONGEST = 72 * 3600.0  # s; what has not ended by then is reported as unending
_LEAST_STEPS, _MOST_STEPS = 50, 400  # a picture needs the first and no more than the second
_GONE = 1e-3  # of the first radius: a billionth of the metal is left
_RELATIVE = 1e-5
_OF_RADIUS, _OF_METAL, _KELVIN = 1e-6, 1e-7, 1e-3  # absolute tolerances, by the size of the quench


@dataclass(frozen=True, slots=True)
class Model:
    """The constants of one quench, SI.

    area_factor: 4 pi N, so that S = area_factor r^2. metal_molar_volume: m3/mol.
    rate, water_rate: m/s at 25 °C. heat: J/mol of metal. feed: mol/s. to_feed: mol.
    alcohol_heat_capacity: J/(mol K). heat_capacity: of diluent and metal, J/K.
    volume: of the liquid before anything is fed, m3; without a diluent that of the metal, so that a
    first drop is nearly neat. coupling: U A_b, W/K.
    """

    radius: float
    area_factor: float
    metal_molar_volume: float
    rate: float
    water_rate: float
    activation: float
    heat: float
    feed: float
    to_feed: float
    alcohol_molar_volume: float
    alcohol_heat_capacity: float
    heat_capacity: float
    volume: float
    coupling: float
    bath: float
    feed_temperature: float
    water: float

    def metal(self, radius: Any) -> Any:
        """Metal left (mol) when the pieces have ``radius``."""
        return self.area_factor / 3 * radius**3 / self.metal_molar_volume


@dataclass(frozen=True, slots=True)
class Stretch:
    """A time over which nothing is switched.

    rate, cooling: factors on the reaction rate and on the heat transfer. feed: factor on the feed.
    """

    until: float
    rate: float = 1.0
    cooling: float = 1.0
    feed: float = 1.0


@dataclass(frozen=True, slots=True)
class Trajectory:
    """The solution. t (s), radius (m), alcohol and water (mol), T (K), fed (mol): shape (n,).

    ended: when the last metal was gone (s), or None.
    """

    t: Floats
    radius: Floats
    alcohol: Floats
    water: Floats
    T: Floats
    fed: Floats
    ended: float | None


def model_of(quench: Quench) -> Model:
    """The constants of ``quench``, which must be simulable."""
    liquid, dil = quench.alcohol_record, quench.diluent_record
    molar = molar_mass_si(quench.metal)
    diluent_mass = quench.diluent_mass
    half_fed = quench.alcohol_amount * quench.alcohol_molar_volume / 2
    return Model(
        radius=quench.radius,
        area_factor=4 * math.pi * quench.pieces,
        metal_molar_volume=molar / quench.density,
        rate=rate_constant(quench.metal, liquid),
        water_rate=teaching("water_advantage") * rate_constant(quench.metal, alcohols()[0]),
        activation=teaching("activation_energy") / GAS_CONSTANT,
        heat=-quench_enthalpy_si(quench.metal),
        feed=quench.feed / quench.alcohol_molar_volume,
        to_feed=quench.alcohol_amount,
        alcohol_molar_volume=quench.alcohol_molar_volume,
        alcohol_heat_capacity=liquid.heat_capacity * molar_mass_si(liquid.liquid.formula),
        heat_capacity=diluent_mass * (dil.heat_capacity if dil else 0.0)
        + quench.metal_amount * _metal_heat_capacity(quench.metal),
        volume=max(quench.diluent_volume, quench.mass / quench.density),
        coupling=_coupling(quench.diluent_volume + half_fed),
        bath=quench.bath,
        feed_temperature=293.15,
        water=quench.water_in_diluent * diluent_mass / 0.018015,
    )


@cache
def _metal_heat_capacity(metal: str) -> float:
    """Of the solid at room temperature, J/(mol K)."""
    return float(species(f"{metal}(cr)").heat_capacity_si(ROOM))


def rate_constant(metal: str, liquid: Alcohol) -> float:
    """Rate constant of ``metal`` in an alcohol at 25 °C per area, m/s: a teaching value."""
    reactivity = quenched_metals()[metal].reactivity
    return teaching("reference_rate") * reactivity * liquid.relative_rate


def integrate(model: Model, stretches: tuple[Stretch, ...] = ()) -> Trajectory:
    """Follow ``model`` through ``stretches`` and on until metal and feed are at an end."""
    parts: list[tuple[Floats, Floats, Floats]] = []
    start, state, fed = 0.0, np.array([model.radius, 0.0, model.water, model.bath]), 0.0
    while start < LONGEST:
        stretch, feed, until = _next(model, stretches, start, fed)
        t, y = _solve(model, stretch, feed, (start, until), state)
        parts.append((t, y, fed + feed * (t - start)))
        start, state = float(t[-1]), y[:, -1]
        fed = float(parts[-1][2][-1])
        if state[0] <= _GONE * model.radius and fed >= model.to_feed * (1 - 1e-9):
            break
    return _joined(parts, model)


def heat_capacity(model: Model, fed: Any) -> Any:
    """Heat capacity of the vessel's contents when ``fed`` (mol) of alcohol went in, J/K."""
    return model.heat_capacity + fed * model.alcohol_heat_capacity


def _next(
    model: Model, stretches: tuple[Stretch, ...], start: float, fed: float
) -> tuple[Stretch, float, float]:
    """The stretch that begins at ``start``, its feed (mol/s), and when something changes next."""
    stretch = next((one for one in stretches if one.until > start), Stretch(LONGEST))
    feed = model.feed * stretch.feed
    left = model.to_feed - fed
    if left <= 1e-9 * model.to_feed or feed == 0.0:
        return stretch, 0.0, stretch.until
    return stretch, feed, min(stretch.until, start + left / feed)


def _solve(
    model: Model, stretch: Stretch, feed: float, span: tuple[float, float], state: Floats
) -> tuple[Floats, Floats]:
    """Times and states from ``span[0]`` on, to its end or until the metal is gone.

    The reaction goes on past a radius of zero, so that no kink stands in the solver's way, and is
    cut back. The solver is led step by step, because its own event search fails where its
    interpolation does not meet its steps; the radius falls evenly enough for a straight line.
    """
    from scipy.integrate import LSODA

    reacting = bool(state[0] > _GONE * model.radius)
    derivatives = (_reacting if reacting else _waiting)(model, stretch, feed)
    solver = LSODA(
        derivatives,
        span[0],
        state,
        span[1],
        max_step=_longest_step(derivatives, span, state),
        rtol=_RELATIVE,
        atol=tolerances(model),
    )
    times, states = [span[0]], [state]
    while solver.status == "running":
        solver.step()
        times.append(solver.t)
        states.append(solver.y.copy())
        if reacting and solver.y[0] <= _GONE * model.radius:
            _cut(times, states, _GONE * model.radius)
            break
    return np.array(times), np.array(states).T


def tolerances(model: Model) -> tuple[float, float, float, float]:
    """Absolute tolerances of the state: a small quench is solved as closely as a large one."""
    amount = _OF_METAL * float(model.metal(model.radius))
    return _OF_RADIUS * model.radius, amount, amount, _KELVIN


def _longest_step(derivatives: Any, span: tuple[float, float], state: Floats) -> float:
    """A step that leaves a picture enough points, also where the metal goes long before the end."""
    duration = span[1] - span[0]
    recession = -float(derivatives(span[0], state)[0])
    active = min(duration, state[0] / recession) if recession > 0 else duration
    return float(max(active / _LEAST_STEPS, duration / _MOST_STEPS))


def _cut(times: list[float], states: list[Floats], radius: float) -> None:
    """Move the last point back to where the pieces have ``radius``."""
    before, after = states[-2], states[-1]
    share = (before[0] - radius) / (before[0] - after[0])
    times[-1] = times[-2] + share * (times[-1] - times[-2])
    states[-1] = before + share * (after - before)


def _waiting(model: Model, stretch: Stretch, feed: float) -> Any:
    """The balance once the metal is gone: only feed and cooling."""
    bound, coupling = model.metal(model.radius), model.coupling * stretch.cooling

    def derivatives(_t: float, y: Any) -> tuple[float, float, float, float]:
        _, n_alcohol, _, T = y
        capacity = model.heat_capacity + model.alcohol_heat_capacity * (n_alcohol + bound)
        loss = coupling * (T - model.bath) + feed * model.alcohol_heat_capacity * (
            T - model.feed_temperature
        )
        return 0.0, feed, 0.0, -loss / capacity

    return derivatives


def _reacting(model: Model, stretch: Stretch, feed: float) -> Any:
    """The balance while there is metal."""
    exp = math.exp
    base, first_metal = model.volume, model.metal(model.radius)
    molar, coupling = model.alcohol_molar_volume, model.coupling * stretch.cooling
    k_alcohol, k_water = model.rate * stretch.rate, model.water_rate * stretch.rate
    feed_heat = feed * model.alcohol_heat_capacity

    def derivatives(_t: float, y: Any) -> tuple[float, float, float, float]:
        r, n_alcohol, n_water, T = y
        bound = first_metal - model.metal(r)
        capacity = model.heat_capacity + model.alcohol_heat_capacity * (n_alcohol + bound)
        loss = coupling * (T - model.bath) + feed_heat * (T - model.feed_temperature)
        warm = exp(model.activation * (1 / ROOM - 1 / T)) / (base + n_alcohol * molar)
        surface = model.area_factor * r * r
        by_alcohol = k_alcohol * warm * n_alcohol
        by_water = k_water * warm * n_water
        rate = by_alcohol + by_water
        return (
            -rate * model.metal_molar_volume,
            feed - by_alcohol * surface,
            -by_water * surface,
            (rate * surface * model.heat - loss) / capacity,
        )

    return derivatives


def _joined(parts: list[tuple[Floats, Floats, Floats]], model: Model) -> Trajectory:
    t = np.concatenate([part[0] for part in parts])
    radius, alcohol, water, T = np.concatenate([part[1] for part in parts], axis=1)
    fed = np.concatenate([part[2] for part in parts])
    radius = np.maximum(radius, 0.0)
    gone = np.flatnonzero(radius <= 1.01 * _GONE * model.radius)
    return Trajectory(
        t,
        radius,
        np.maximum(alcohol, 0.0),
        np.maximum(water, 0.0),
        T,
        fed,
        float(t[gone[0]]) if gone.size else None,
    )


def _coupling(volume: float) -> float:
    """U A_b (W/K) of a round flask that holds ``volume`` (m3) and stands in a bath."""
    sphere = (36 * math.pi) ** (1 / 3) * volume ** (2 / 3)
    return float(teaching("heat_transfer_coefficient") * teaching("wetted_share") * sphere)
