"""From a wanted yield or excess back to what must be weighed."""

import math

from potash.charge.stoichiometry import coefficient, mass_of, water_share, weigh
from potash.errors import PotashError
from potash.formulas import molar_mass
from potash.preparation import Preparation
from potash.units import Quantity, QuantityLike, magnitude, show
from potash.words import tr

_WEIGHED_FIGURES = 5  # a milligram in ten grams, what a balance shows
_POURED_FIGURES = 3


class CannotScale(PotashError):
    """A wanted yield for which no charge can be weighed."""


def scale(
    preparation: Preparation,
    target_metal_mass: QuantityLike,
    *,
    reductant_excess: QuantityLike = "25 %",
) -> Preparation:
    r"""The preparation whose theoretical yield is ``target_metal_mass``.

    The metal source limits. The reductant is weighed to cover the main reaction, its excess, and
    the water of all reagents, its own included:

    .. math:: m_r (w_r / M_r - k u_r / M_w) = \nu_r \xi (1 + x) + k \sum_{i \ne r} m_i u_i / M_w

    with assay w, moisture u and k moles of reductant for a mole of water. Everything else (liquid,
    catalyst, additives) grows in proportion to the metal source. Conditions stay.

    Parameters: target_metal_mass, above 0; reductant_excess, a fraction of what the main reaction
    needs, 0 or more.
    Returns: a preparation with masses to five figures and volumes to three.
    Raises: CannotScale, if the reductant brings more water than it can take up itself; OutOfBounds,
    WrongDimension or UnreadableQuantity, for the arguments.
    """
    grams = magnitude("target metal mass", target_metal_mass, "g", above=0)
    excess = magnitude("reductant excess", reductant_excess, "", at_least=0)
    factor = grams / _metal_from_source(preparation)
    masses = {
        f"reagents.{given.role}.mass": _text(mass_of(given) * factor, _WEIGHED_FIGURES)
        for given in preparation.reagents
        if given.role != "reductant"
    }
    return _with_excess(preparation.replace({**masses, **_poured(preparation, factor)}), excess)


def with_reductant_excess(preparation: Preparation, reductant_excess: QuantityLike) -> Preparation:
    """The same preparation with its reductant weighed for a wanted excess.

    Parameters: reductant_excess, as in ``scale``, which also gives the equation.
    Raises: as ``scale``.
    """
    excess = magnitude("reductant excess", reductant_excess, "", at_least=0)
    return _with_excess(preparation, excess)


def _with_excess(preparation: Preparation, excess: float) -> Preparation:
    # Rounded up, so that the metal source still limits when the excess is nothing.
    mass = _rounded_up(_reductant_mass(preparation, excess), _WEIGHED_FIGURES)
    return preparation.replace({"reagents.reductant.mass": _text(mass, _WEIGHED_FIGURES)})


def _extent(preparation: Preparation) -> float:
    """Moles of main reaction until the metal source is used up."""
    source = weigh(preparation.metal_source)
    return float(source.amount.m_as("mol") / -coefficient(preparation.equation, source.formula))


def _metal_from_source(preparation: Preparation) -> float:
    """Grams of metal that the metal source gives when it is used up."""
    metal = preparation.metal
    moles = _extent(preparation) * coefficient(preparation.equation, metal)
    return float(moles * molar_mass(metal).m_as("g/mol"))


def _reductant_mass(preparation: Preparation, excess: float) -> Quantity:
    """Mass of reductant for all of the metal source, the excess and the water of all reagents."""
    reductant, weighed = preparation.reductant, tuple(map(weigh, preparation.reagents))
    per_gram_of_water = water_share(weighed).per_water / molar_mass("H2O").m_as("g/mol")
    water = sum(one.water.m_as("g") for one in weighed if one.role != "reductant")
    main = _extent(preparation) * -coefficient(preparation.equation, reductant.formula)
    pure = reductant.assay.m_as("") / molar_mass(reductant.formula).m_as("g/mol")
    useful = pure - reductant.moisture.m_as("") * per_gram_of_water
    if useful <= 0:
        raise CannotScale(
            tr(
                "The {reductant} brings more water ({moisture}) than it can take up itself; no "
                "mass of it is enough. Use a drier reductant.",
                reductant=reductant.formula,
                moisture=show(reductant.moisture),
            )
        )
    return Quantity((main * (1 + excess) + water * per_gram_of_water) / useful, "g")


def _rounded_up(mass: Quantity, figures: int) -> Quantity:
    unit = 10.0 ** (math.floor(math.log10(mass.magnitude)) - figures + 1)
    return Quantity(math.ceil(mass.magnitude / unit) * unit, mass.units)


def _poured(preparation: Preparation, factor: float) -> dict[str, str]:
    changes = {}
    for place, poured in (("liquid", preparation.liquid), ("catalyst", preparation.catalyst)):
        if poured is not None:
            name = "mass" if poured.volume is None else "volume"
            changes[f"{place}.{name}"] = _text(poured.measured * factor, _POURED_FIGURES)
    return changes


def _text(value: Quantity, figures: int) -> str:
    # Plain spaces, as a person types them into the file.
    return show(value, figures).replace("\u202f", "").replace("\u00a0", " ")
