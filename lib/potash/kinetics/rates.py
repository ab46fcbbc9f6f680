"""The rate laws, in SI floats: what every step of the integrator asks for.

Each law is written for one state, because a solver asks for one state at a time and plain floats
are then several times faster than arrays. Temperature enters by

    k(T) = k(Tr) exp(-E/R (1/T - 1/Tr))                                     (Arrhenius)

and the reductant offers the surface

    A = A0 (n/n0)^(2/3) b / (1 + c m/n0)                                    (shrinking particles)

with n of n0 left (Levenspiel, Chemical Reaction Engineering, 3rd ed., chapter 25), a bare share b
that grows from the first breaks in the oxide film, and oxide m that crusts over with strength c.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import exp

import numpy as np
from numpy.typing import NDArray

from potash.charge import GAS_CONSTANT
from potash.kinetics.batch import ROOM, Batch
from potash.kinetics.network import REACTIONS, SPECIES, stoichiometry
from potash.kinetics.parameters import Parameters

_RATES = (
    "drying_rate",
    "alkoxide_formation_rate",
    "reduction_rate",
    "regeneration_rate",
    "scavenging_rate",
    "activation_rate",
    "binding_rate",
    "spending_rate",
    "clumping_rate",
    "clearing_rate",
    "metal_water_rate",
    "metal_alcohol_rate",
    "tarnishing_rate",
    "cleaning_rate",
    "film_rate",
)
STATES = len(REACTIONS) + 1
"""Extents of all reactions (mol), then the bare share of the reductant's surface."""


@dataclass(frozen=True, slots=True)
class Laws:
    """Everything that the rate laws need of one flask; SI floats.

    rates_at_reference, barriers: of ``_RATES``, the barriers in kelvin (E/R).
    charge: amounts at the start, in the order of the network's species.
    """

    rates_at_reference: tuple[float, ...]
    barriers: tuple[float, ...]
    reference_temperature: float
    charge: NDArray[np.float64]
    volume: float
    area: float
    reductant: float
    reserve: float
    equilibrium: float
    working_share: float
    protection: float
    film_alcohol: float
    crusting: float
    working_temperature: float
    heating_time: float
    bare_share: float

    def temperature(self, t: float) -> float:
        """Temperature (K) at ``t`` (s): a straight rise from the room's, then constant."""
        if t >= self.heating_time:
            return self.working_temperature
        return ROOM + (self.working_temperature - ROOM) * t / self.heating_time

    def constants(self, T: float) -> list[float]:
        """Every rate constant at ``T`` (K)."""
        x = 1.0 / T - 1.0 / self.reference_temperature
        return [
            k * exp(-barrier * x)
            for k, barrier in zip(self.rates_at_reference, self.barriers, strict=True)
        ]


def laws(
    found: Batch,
    parameters: Parameters,
    *,
    stirred: bool,
    surface: str,
    factors: Mapping[str, float] | None = None,
) -> Laws:
    """The rate laws for one flask with these numbers, some multiplied by ``factors``."""
    value = {**parameters.si_values()}
    for name, factor in (factors or {}).items():
        value[name] *= factor
    return Laws(
        rates_at_reference=tuple(value[name] for name in _RATES),
        barriers=tuple(
            1000 * (parameters[name].activation or 0.0) / GAS_CONSTANT for name in _RATES
        ),
        reference_temperature=parameters.reference_temperature,
        charge=_charge(found, value["impurity"]),
        volume=found.liquid_volume,
        area=value["specific_area"] * found.reductant_mass,
        reductant=found.reductant,
        reserve=value["hydroxide_reserve"] * found.hydroxide,
        equilibrium=value["alkoxide_equilibrium"],
        working_share=value[f"working_share_{found.alcohol_class}"]
        * value[f"metal_share_{found.metal}"],
        protection=value["protection"],
        film_alcohol=value["film_alcohol"],
        crusting=value["crusting_stirred" if stirred else "crusting_still"],
        working_temperature=found.temperature,
        heating_time=value["heating_time"],
        bare_share=value[f"bare_share_{surface}"],
    )


def _charge(found: Batch, impurity: float) -> NDArray[np.float64]:
    charged: Mapping[str, float] = {
        "hydroxide": found.hydroxide,
        "bound water": found.water,
        "reductant": found.reductant,
        "impurity": impurity * found.liquid_volume,
    }
    return np.array([charged.get(name, 0.0) for name in SPECIES])


def reaction_rates(
    law: Laws, k: Sequence[float], amounts: Sequence[float], bare: float
) -> tuple[float, ...]:
    """Rates of all reactions (mol/s, in the order of ``REACTIONS``), then that of the bare share.

    Parameters: k, from ``Laws.constants``; amounts (mol) of all species; bare, share from 0 to 1.
    """
    (
        hydroxide, bound_water, water, reductant, alcohol, alkoxide, reductant_alkoxide,
        metal, crust, oxide, _, impurity, *_,
    ) = amounts  # fmt: skip
    (
        k_drying, k_formation, k_reduction, k_regeneration, k_scavenging, k_activation, k_binding,
        k_spending, k_clumping, k_clearing, k_metal_water, k_metal_alcohol, k_tarnishing,
        k_cleaning, k_film,
    ) = k  # fmt: skip
    volume = law.volume
    c_water, c_alcohol, c_alkoxide = water / volume, alcohol / volume, alkoxide / volume
    solid = hydroxide / (hydroxide + law.reserve) if hydroxide > 0.0 else 0.0
    left = reductant / law.reductant if reductant > 0.0 else 0.0
    area = law.area * left ** (2 / 3) * bare / (1.0 + law.crusting * oxide / law.reductant)
    shelter = 1.0 + (c_alkoxide / law.protection) ** 2
    return (
        k_drying * bound_water,
        k_formation * (alcohol * solid - alkoxide * c_water / law.equilibrium),
        k_reduction * law.working_share * area * c_alkoxide,
        k_regeneration * reductant_alkoxide * solid,
        k_scavenging * area * c_water,
        k_activation * area * c_alcohol,
        k_binding * c_alcohol * impurity,
        k_binding * c_alkoxide * impurity,
        k_spending * alkoxide,
        k_clumping * c_alkoxide * alkoxide,
        k_clearing * area * impurity / volume,
        k_metal_water * metal * c_water,
        k_metal_alcohol * metal * c_alcohol,
        k_tarnishing * metal * solid / shelter,
        k_cleaning * crust * c_alcohol,
        k_film * (1.0 + c_alcohol / law.film_alcohol) * bare * (1.0 - bare),
    )


def right_hand_side(
    law: Laws, present: NDArray[np.float64]
) -> Callable[[float, NDArray[np.float64]], tuple[float, ...]]:
    """Time derivative of the extents and the bare share, with ``present`` (mol) at extents zero."""
    matrix = stoichiometry()
    reactions = len(REACTIONS)
    hot = law.constants(law.working_temperature)

    def derivative(t: float, state: NDArray[np.float64]) -> tuple[float, ...]:
        k = hot if t >= law.heating_time else law.constants(law.temperature(t))
        amounts = present + matrix @ state[:reactions]
        return reaction_rates(law, k, amounts.tolist(), float(state[reactions]))

    return derivative
