r"""The heat balance: what a reaction sets free at the start warms its products and the liquid.

.. math::
    \sum_\text{before} n_i H_i(T_0) =
    \sum_\text{after} n_i H_i(T) + n_l \int_{T_0}^{T} C_{p,l}\,\mathrm{d}T + n_l x\,\Delta_v H

at constant pressure, with x the share of the liquid that has boiled: zero below its boiling point.
Phases follow their stability at 1 bar, so melting and boiling of the products take their part.

Source: definition of an adiabatic temperature rise; see F. Stoessel, Thermal Safety of Chemical
Processes (2008), chapter 2, from memory.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from potash.errors import PotashError
from potash.formulas import parse
from potash.properties import OutOfRange, species
from potash.properties.curves import Curve, weighted_sum
from potash.properties.liquid_heat import LiquidHeat, liquid_heat
from potash.properties.liquids import liquid as liquid_record
from potash.reactions import Reaction
from potash.units import Quantity, QuantityLike, magnitude
from potash.words import tr

_NOTHING = 1e-12  # mol; less than this is none
_CLOSE = 1e-4  # K

Amounts = Mapping[str, float]


class Unbalanced(PotashError):
    """What is there after the reaction is not made of the atoms that were there before."""


@dataclass(frozen=True, slots=True)
class Heating:
    """Where the temperature of a charge ends if no heat leaves it.

    start, end: K. heat: set free at the start temperature, kJ, positive if heat is released.
    uncertainty: of the rise, K, from that of the reaction enthalpies; other losses are left out.
    boiled_away: share of the liquid that has boiled, 0 to 1.
    held_by: what holds the temperature where it is, such as "boiling of tetralin"; or "".
    """

    start: Quantity
    end: Quantity
    heat: Quantity
    uncertainty: Quantity
    boiled_away: float
    held_by: str

    @property
    def rise(self) -> Quantity:
        """Temperature rise, K."""
        return Quantity(self.end.m_as("K") - self.start.m_as("K"), "delta_degC")


def run_to_the_end(before: Amounts, reactions: Iterable[Reaction]) -> dict[str, float]:
    """Amounts (mol) after each of ``reactions`` in turn has used up its limiting substance."""
    amounts = dict(before)
    for reaction in reactions:
        used = {f: -float(n) for f, n in reaction.coefficients.items() if n < 0}
        extent = min(amounts.get(formula, 0.0) / number for formula, number in used.items())
        for formula, number in reaction.coefficients.items():
            amounts[formula] = amounts.get(formula, 0.0) + float(number) * extent
    return {formula: moles for formula, moles in amounts.items() if moles > _NOTHING}


def adiabatic_heating(
    before: Mapping[str, QuantityLike],
    after: Mapping[str, QuantityLike],
    *,
    start: QuantityLike,
    liquid: str | None = None,
    liquid_mass: QuantityLike = "0 g",
) -> Heating:
    """Where the temperature ends if ``before`` turns into ``after`` and keeps its heat.

    Parameters: before, after, amounts by formula; start, a temperature; liquid, a name with a heat
    capacity in the table, and its mass.
    Raises: Unbalanced, if atoms appear or vanish; OutOfRange, if the products have no data as hot
    as that, or the liquid boils below the start; NoTrustedValue, UnknownSpecies.
    """
    first, last = (_moles(amounts) for amounts in (before, after))
    _require_balance(first, last)
    T = float(magnitude("start", start, "K", above=0))
    mass = float(magnitude("liquid mass", liquid_mass, "kg", at_least=0))
    return heating_si(first, last, T, liquid if mass > 0 else None, mass)


def heating_si(
    before: Amounts, after: Amounts, start: float, liquid: str | None, mass: float
) -> Heating:
    """``adiabatic_heating`` in mol, K and kg, for atoms that are known to balance."""
    products = _enthalpies(tuple(sorted(after.items())))
    was = sum(n * float(species(f).enthalpy_si(start)) for f, n in before.items())
    if products.outside(start) is not None:
        raise OutOfRange(tr("The products have no data at the start, {start:g} K.", start=start))
    heat = was - products(start)
    around = None if liquid is None else _Liquid(liquid_heat(liquid), _amount(liquid, mass), start)
    end, boiled, held = _settle(products, was, around, start)
    spread = _heat_uncertainty(before, after, start) / abs(heat) if heat else 0.0
    return Heating(
        start=Quantity(start, "K"),
        end=Quantity(end, "K"),
        heat=Quantity(heat / 1e3, "kJ"),
        uncertainty=Quantity(abs(end - start) * spread, "delta_degC"),
        boiled_away=boiled,
        held_by=held or _change_at(after, end),
    )


# ------------------------------------------------------------------ the balance


@dataclass(frozen=True, slots=True)
class _Liquid:
    """A liquid around the charge: its record, amount (mol) and start temperature (K)."""

    record: LiquidHeat
    amount: float
    start: float

    def uptake(self, T: float) -> float:
        """J from the start to ``T`` (K), at most to the boiling point."""
        end = min(T, self.record.boiling_point_si)
        return self.amount * self.record.uptake_si(self.start, end)

    @property
    def to_boil_away(self) -> float:
        """J that all of it takes up on boiling."""
        return self.amount * self.record.vaporization_si


def _settle(
    products: Curve, was: float, around: _Liquid | None, start: float
) -> tuple[float, float, str]:
    """End temperature (K), share of the liquid boiled, and what holds the temperature."""
    if around is None:
        return _where(products, was, None, start), 0.0, ""
    boiling = around.record.boiling_point_si
    spare = was - products(boiling) - around.uptake(boiling)
    if spare <= 0:
        return _where(products, was, around, start), 0.0, ""
    share = spare / around.to_boil_away
    if share <= 1:
        return boiling, share, tr("boiling of {name}", name=around.record.name)
    left = was - around.uptake(boiling) - around.to_boil_away
    return _where(products, left, None, start), 1.0, ""


def _where(products: Curve, total: float, around: _Liquid | None, start: float) -> float:
    """The temperature (K) at which products and liquid hold ``total`` (J); bisection.

    Raises: OutOfRange, if the products have no data as hot as that.
    """
    low, high = products.low, products.high
    if around is not None:
        low, high = min(start, high), min(high, around.record.boiling_point_si)
    if products(high) + (around.uptake(high) if around else 0.0) < total:
        raise OutOfRange(
            tr(
                "The products would end hotter than {high:.0f} K, where their data end. Nothing "
                "is extrapolated.",
                high=high,
            )
        )
    while high - low > _CLOSE:
        middle = (low + high) / 2
        held = products(middle) + (around.uptake(middle) if around else 0.0)
        low, high = (middle, high) if held < total else (low, middle)
    return (low + high) / 2


def _change_at(after: Amounts, T: float) -> str:
    """The change of phase of a product that holds the temperature at ``T`` (K); or ""."""
    for formula in after:
        for change in species(formula).transitions:
            if abs(change.temperature.m_as("K") - T) < 10 * _CLOSE:
                return tr("{kind} of {formula}", kind=change.kind, formula=formula)
    return ""


@lru_cache(maxsize=512)
def _enthalpies(amounts: tuple[tuple[str, float], ...]) -> Curve:
    """Total enthalpy (J) of the amounts (mol) as one curve over T (K)."""
    try:
        return weighted_sum([(moles, species(f).enthalpy_curve()) for f, moles in amounts])
    except ValueError:
        names = ", ".join(formula for formula, _ in amounts)
        raise OutOfRange(
            tr("There is no temperature at which {names} all have data.", names=names)
        ) from None


def _heat_uncertainty(before: Amounts, after: Amounts, T: float) -> float:
    """J; the uncertainties of the species' values as independent, as for a reaction."""
    changes = {f: after.get(f, 0.0) - before.get(f, 0.0) for f in {*before, *after}}
    squares = sum((n * float(species(f).uncertainty_si(T))) ** 2 for f, n in changes.items() if n)
    return float(squares**0.5)


# ------------------------------------------------------------------ what is given


def _moles(amounts: Mapping[str, QuantityLike]) -> dict[str, float]:
    return {
        formula: float(magnitude(f"amount of {formula}", amount, "mol", at_least=0))
        for formula, amount in amounts.items()
    }


def _amount(name: str, mass: float) -> float:
    """Amount of a liquid, mol, from its mass in kg."""
    from potash.formulas import molar_mass

    return mass / float(molar_mass(liquid_record(name).formula).m_as("kg/mol"))


def _require_balance(before: Amounts, after: Amounts) -> None:
    counted = [_atoms(amounts) for amounts in (before, after)]
    for element in sorted({*counted[0], *counted[1]}):
        was, now = (atoms.get(element, 0.0) for atoms in counted)
        if abs(was - now) > 1e-6 * max(was, now):
            raise Unbalanced(
                tr(
                    "There are {was:.4g} mol {element} before and {now:.4g} mol after; atoms "
                    "neither appear nor vanish.",
                    was=was,
                    element=element,
                    now=now,
                )
            )


def _atoms(amounts: Amounts) -> dict[str, float]:
    atoms: dict[str, float] = {}
    for formula, moles in amounts.items():
        for element, number in parse(formula).elements.items():
            atoms[element] = atoms.get(element, 0.0) + float(number) * moles
    return atoms
