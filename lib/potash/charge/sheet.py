"""The charge sheet: each number of a charge, how it was obtained, and what to stop at."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from html import escape
from typing import TypeVar

from potash.charge.stoichiometry import (
    Dosing,
    Reduction,
    WaterShare,
    Weighed,
    coefficient,
    density_of,
    dosing,
    gas_volume,
    mass_of,
    reduction,
    water_share,
    weigh,
)
from potash.formulas import molar_mass
from potash.preparation import Pour, Preparation, Reagent
from potash.properties.errors import NoTrustedValue, OutOfRange
from potash.properties.liquids import liquid
from potash.properties.metals import metal
from potash.units import Quantity, show
from potash.words import tr

_ATOMIC_WEIGHTS = "IUPAC/CIAAW atomic weights"
_AS_GIVEN = tr("the preparation")
_IDEAL_GAS = tr("ideal gas, R of CODATA 2018")
_FIGURES = 4

Found = TypeVar("Found")


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a charge sheet.

    label: what the value is.
    value: the result.
    how: the calculation in figures, such as "9.30 g × 86.5 %".
    source: where its figures or its reaction come from.
    """

    label: str
    value: Quantity
    how: str
    source: str

    @property
    def shown(self) -> str:
        """The value for people, with four figures, so that the next line can be checked by hand."""
        return show(self.value, _FIGURES)


@dataclass(frozen=True, slots=True)
class Charge:
    """A charge, calculated. It says nothing about whether a preparation is safe or permitted.

    weighed: each reagent taken apart.
    water, reduction: the two reactions, in the order in which they are counted.
    metal_amount, theoretical_yield: amount and mass of the metal at full yield.
    hydrogen_from_reaction, hydrogen_from_water, hydrogen_amount: amounts; the last is their sum.
    hydrogen_volume: as a dry ideal gas at the vent's temperature and pressure.
    liquid_mass, dosing: None, if the preparation has none or the density is not known.
    gaps: why a mass above is None although there is something to weigh.
    """

    preparation: Preparation
    weighed: tuple[Weighed, ...]
    water: WaterShare
    reduction: Reduction
    metal_amount: Quantity
    theoretical_yield: Quantity
    hydrogen_from_reaction: Quantity
    hydrogen_volume: Quantity
    liquid_mass: Quantity | None
    dosing: Dosing | None
    gaps: tuple[str, ...]

    @property
    def metal(self) -> str:
        """Symbol of the metal."""
        return self.preparation.metal

    @property
    def limiting(self) -> str:
        """Formula of the limiting reagent, after water took its share."""
        return self.reduction.limiting

    @property
    def hydrogen_from_water(self) -> Quantity:
        """Amount of hydrogen that the water releases."""
        return self.water.hydrogen

    @property
    def hydrogen_amount(self) -> Quantity:
        """Amount of hydrogen from the reaction and from water together."""
        total: Quantity = self.hydrogen_from_reaction + self.water.hydrogen
        return total

    @property
    def reductant_shares(self) -> dict[str, Quantity]:
        """What the reductant goes to, as amounts by name; they add up to all of it."""
        reductant, source = (
            self.preparation.reductant.formula,
            self.preparation.metal_source.formula,
        )
        used = -coefficient(self.preparation.equation, reductant) * self.reduction.extent
        return {
            tr("taken by water"): self.water.reductant,
            tr("works on {formula}", formula=source): used,
            tr("left over"): self.reduction.available[reductant] - used,
        }

    @property
    def lines(self) -> tuple[Line, ...]:
        """How each number was obtained, in the order in which it is calculated."""
        return tuple(_lines(self))

    @property
    def warnings(self) -> tuple[str, ...]:
        """What an expert would stop at. An empty list never means that a charge is safe."""
        return (*self.gaps, *_warnings(self))

    @property
    def notes(self) -> tuple[str, ...]:
        """What was assumed, and what was left out."""
        return tuple(_notes(self))

    def _repr_html_(self) -> str:
        rows = "".join(
            f"<tr><th scope='row'>{escape(line.label)}</th><td>{escape(line.how)}</td>"
            f"<td>{escape(line.shown)}</td><td>{escape(line.source)}</td></tr>"
            for line in self.lines
        )
        heads = "".join(
            f"<th scope='col'>{head}</th>"
            for head in (tr("What"), tr("How"), tr("Result"), tr("From"))
        )
        warnings, notes = (
            _list(tr("Stop and think"), self.warnings),
            _list(tr("Assumed"), self.notes),
        )
        return (
            f"<table class='potash-charge'><caption>{escape(self.preparation.title)}</caption>"
            f"<thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table>{warnings}{notes}"
        )


def charge(preparation: Preparation) -> Charge:
    r"""The charge sheet of a preparation.

    .. math:: n_i = m_i w_i / M_i, \quad \xi = \min_i (n_i / |\nu_i|),
              \quad m_\mathrm{metal} = \xi \, \nu M, \quad V = n_{H_2} R T / p

    with the assays :math:`w_i`, and the reductant's amount first lessened by the water's share.

    Returns: masses in g, amounts in mol, the volume in L.
    Raises: OutOfRange or NoTrustedValue, if a reagent is poured whose density is not known there.
    Source: stoichiometry; atomic weights of IUPAC/CIAAW; densities as cited with the liquids.
    """
    equation = preparation.equation
    weighed = tuple(weigh(reagent) for reagent in preparation.reagents)
    water = water_share(weighed)
    reduced = reduction(equation, weighed, water)
    metal_amount = reduced.extent * coefficient(equation, preparation.metal)
    from_reaction = reduced.extent * max(coefficient(equation, "H2"), 0)
    poured, catalyst = preparation.liquid, preparation.catalyst
    liquid_mass, liquid_gap = _or_gap(lambda: mass_of(poured) if poured else None)
    doses, catalyst_gap = _or_gap(lambda: dosing(catalyst, weighed) if catalyst else None)
    return Charge(
        preparation=preparation,
        weighed=weighed,
        water=water,
        reduction=reduced,
        metal_amount=metal_amount,
        theoretical_yield=(metal_amount * molar_mass(preparation.metal)).to("g"),
        hydrogen_from_reaction=from_reaction,
        hydrogen_volume=gas_volume(
            from_reaction + water.hydrogen, preparation.vent.temperature, preparation.vent.pressure
        ),
        liquid_mass=liquid_mass,
        dosing=doses,
        gaps=(*liquid_gap, *catalyst_gap),
    )


def _or_gap(find: Callable[[], Found | None]) -> tuple[Found | None, tuple[str, ...]]:
    """What ``find`` gives; where the table of liquids has a gap, None and the reason."""
    try:
        return find(), ()
    except (OutOfRange, NoTrustedValue) as gap:
        return None, (tr("{gap} Its mass is left out here.", gap=gap),)


# Lines


def _lines(found: Charge) -> Iterator[Line]:
    for one, reagent in zip(found.weighed, found.preparation.reagents, strict=True):
        yield from _reagent_lines(found, one, reagent)
    if found.water.water.magnitude > 0:
        yield from _water_lines(found)
    yield from _reduction_lines(found)
    yield from _hydrogen_lines(found)
    yield from _liquid_lines(found)
    yield from _catalyst_lines(found)


def _reagent_lines(found: Charge, one: Weighed, reagent: Reagent) -> Iterator[Line]:
    place, typed = f"reagents.{one.role}", found.preparation.typed
    mass = str(typed.get(f"{place}.mass", _4(one.mass)))
    if reagent.volume is not None:
        yield _poured_line(
            found, tr("Mass of {formula}", formula=one.formula), one.mass, reagent, place
        )
    yield Line(
        tr("Pure {formula}", formula=one.formula),
        one.pure,
        f"{mass} × {typed[f'{place}.assay']}",
        _AS_GIVEN,
    )
    yield Line(
        tr("Amount of {formula}", formula=one.formula),
        one.amount,
        f"{_4(one.pure)} ÷ {show(molar_mass(one.formula), 5)}",
        _ATOMIC_WEIGHTS,
    )
    if one.water.magnitude > 0:
        how = f"{mass} × {typed[f'{place}.moisture']}"
        yield Line(tr("Water in the {formula}", formula=one.formula), one.water, how, _AS_GIVEN)
    if one.impurity > 1e-9 * one.mass:
        known = [one.pure, one.water] if one.water.magnitude > 0 else [one.pure]
        how = " − ".join([mass, *map(_4, known)])
        yield Line(
            tr("Other matter in the {formula}", formula=one.formula), one.impurity, how, _AS_GIVEN
        )


def _water_lines(found: Charge) -> Iterator[Line]:
    water, reductant = found.water, _reductant(found)
    masses = " + ".join(_4(one.water) for one in found.weighed if one.water.magnitude > 0)
    masses = f"({masses})" if "+" in masses else masses
    yield Line(
        tr("Amount of water"),
        water.water,
        f"{masses} ÷ {show(molar_mass('H2O'), 5)}",
        _ATOMIC_WEIGHTS,
    )
    if water.equation is None:
        return
    share = f"{_4(water.water)} × {water.per_water:.4g}"
    if water.reductant == reductant.amount:
        share = tr(
            "at most all {most} of it; the water asks for {share}",
            most=_4(reductant.amount),
            share=share,
        )
    yield Line(
        tr("{reductant} taken by water", reductant=reductant.formula),
        water.reductant,
        share,
        str(water.equation),
    )
    yield Line(
        tr("{reductant} left for the reduction", reductant=reductant.formula),
        found.reduction.available[reductant.formula],
        f"{_4(reductant.amount)} − {_4(water.reductant)}",
        str(water.equation),
    )


def _reduction_lines(found: Charge) -> Iterator[Line]:
    equation, reduced = found.preparation.equation, found.reduction
    reaches = ", ".join(
        f"{formula} {_4(amount)} ÷ {-coefficient(equation, formula):g}"
        for formula, amount in reduced.available.items()
    )
    yield Line(
        tr("Extent of reaction"),
        reduced.extent,
        tr("least of {reaches}: {limiting} limits", reaches=reaches, limiting=reduced.limiting),
        str(equation),
    )
    for formula, excess in reduced.excess.items():
        available = reduced.available[formula]
        needed = reduced.extent * -coefficient(equation, formula)
        how = f"({_4(available)} − {_4(needed)}) ÷ {_4(needed)}"
        yield Line(tr("Excess of {formula}", formula=formula), excess, how, str(equation))
    metal = found.metal
    how = f"{_4(reduced.extent)} × {coefficient(equation, metal):g}"
    yield Line(
        tr("Amount of {metal} at full yield", metal=metal), found.metal_amount, how, str(equation)
    )
    yield Line(
        tr("Theoretical yield of {metal}", metal=metal),
        found.theoretical_yield,
        f"{_4(found.metal_amount)} × {show(molar_mass(metal), 5)}",
        _ATOMIC_WEIGHTS,
    )


def _hydrogen_lines(found: Charge) -> Iterator[Line]:
    equation, water, vent = found.preparation.equation, found.water, found.preparation.vent
    yield Line(
        tr("Hydrogen from the reaction"),
        found.hydrogen_from_reaction,
        f"{_4(found.reduction.extent)} × {max(coefficient(equation, 'H2'), 0):g}",
        str(equation),
    )
    if water.equation is not None and water.water.magnitude > 0:
        per_reductant = (water.hydrogen / water.reductant).m_as("")
        how = f"{_4(water.reductant)} × {per_reductant:.4g}"
        yield Line(tr("Hydrogen from water"), water.hydrogen, how, str(water.equation))
    if found.hydrogen_amount.magnitude > 0:
        typed = found.preparation.typed
        yield Line(
            tr(
                "Volume of hydrogen at {vent_temperature} and {vent_pressure}",
                vent_temperature=typed["vent.temperature"],
                vent_pressure=typed["vent.pressure"],
            ),
            found.hydrogen_volume,
            f"{_4(found.hydrogen_amount)} × 8.3145 J/(K mol) × {show(vent.temperature.to('K'), 5)} "
            f"÷ {_4(vent.pressure)}",
            _IDEAL_GAS,
        )


def _liquid_lines(found: Charge) -> Iterator[Line]:
    poured = found.preparation.liquid
    if poured and poured.volume is not None and found.liquid_mass is not None:
        yield _poured_line(
            found, tr("Mass of {poured}", poured=poured.name), found.liquid_mass, poured, "liquid"
        )


def _catalyst_lines(found: Charge) -> Iterator[Line]:
    catalyst, doses = found.preparation.catalyst, found.dosing
    if catalyst is None or doses is None:
        return
    source = next(one for one in found.weighed if one.role == found.preparation.metal_source.role)
    if catalyst.volume is not None:
        yield _poured_line(
            found,
            tr("Mass of {catalyst}", catalyst=catalyst.name),
            doses.mass,
            catalyst,
            "catalyst",
        )
    yield Line(
        tr("Amount of {catalyst}", catalyst=catalyst.name),
        doses.amount,
        f"{_4(doses.mass)} ÷ {show(molar_mass(liquid(catalyst.name).formula), 5)}",
        _ATOMIC_WEIGHTS,
    )
    yield Line(
        tr("{catalyst} per {source}", catalyst=catalyst.name, source=source.formula),
        doses.mole_percent,
        f"{_4(doses.amount)} ÷ {_4(source.amount)}",
        tr("amount of catalyst over amount of metal source"),
    )
    if doses.doses > 1:
        whole = _4(doses.dose * doses.doses)
        yield Line(tr("Each dose"), doses.dose, f"{whole} ÷ {doses.doses}", _AS_GIVEN)
        how = f"{_4(doses.amount)} ÷ {doses.doses}"
        yield Line(tr("Amount in each dose"), doses.dose_amount, how, _AS_GIVEN)


def _poured_line(
    found: Charge, label: str, mass: Quantity, poured: Pour | Reagent, place: str
) -> Line:
    typed = found.preparation.typed
    name = poured.liquid if isinstance(poured, Reagent) else poured.name
    density = tr(
        "{density} (density at {typed})",
        density=_4(density_of(poured)),
        typed=typed[f"{place}.measured_at"],
    )
    how = f"{typed[f'{place}.volume']} × {density}"
    return Line(label, mass, how, liquid(name or "").record("density").source)


# What to stop at, and what was assumed


def _warnings(found: Charge) -> Iterator[str]:
    yield from _warnings_about_amounts(found)
    yield from _warnings_about_the_liquid(found)
    yield from _warnings_about_the_metal(found)


def _warnings_about_amounts(found: Charge) -> Iterator[str]:
    water, reductant, source = found.water, _reductant(found), found.preparation.metal_source
    if water.equation is None and water.water.magnitude > 0:
        yield (
            tr(
                "The reagents bring {water} of water, and no reaction of {reductant} with water "
                "is known here: its share is not counted.",
                water=_3(water.water),
                reductant=reductant.formula,
            )
        )
    if water.reductant == reductant.amount:
        yield (
            tr(
                "Water takes all of the {reductant}: none is left to reduce {source}, and no "
                "metal can form.",
                reductant=reductant.formula,
                source=source.formula,
            )
        )
    elif found.limiting == reductant.formula:
        yield (
            tr(
                "{source} is in excess by {excess}: {reductant} runs out first, and {source} "
                "stays in the residue.",
                source=source.formula,
                excess=_3(found.reduction.excess[source.formula]),
                reductant=reductant.formula,
            )
        )


def _warnings_about_the_liquid(found: Charge) -> Iterator[str]:
    poured, T = found.preparation.liquid, found.preparation.temperature.to("K")
    if poured is None:
        return
    found_liquid, at = liquid(poured.name), show(T.to("degC"), 3)
    boiling, melting = (
        found_liquid.records.get(name) for name in ("boiling_point", "melting_point")
    )
    if boiling and boiling.values[0] < T.magnitude:
        yield (
            tr(
                "{temperature} lies above the boiling point of {poured}, {boiling_point} at 1 "
                "atm: it boils off, or builds up pressure if closed in.",
                temperature=at,
                poured=poured.name,
                boiling_point=show(found_liquid.boiling_point.to("degC"), 4),
            )
        )
    if melting and melting.values[0] > T.magnitude:
        yield tr("{poured} is solid at {temperature}.", poured=poured.name, temperature=at)


def _warnings_about_the_metal(found: Charge) -> Iterator[str]:
    T, one = found.preparation.temperature, metal(found.metal)
    at = show(T.to("degC"), 3)
    if one.melting_point_si > T.m_as("K"):
        melting = show(one.melting_point.to("degC"), 3)
        yield tr(
            "{symbol} is solid at {temperature}: it melts at {melting}; solid, it does not merge.",
            symbol=one.symbol,
            temperature=at,
            melting=melting,
        )
    if one.boiling_point_si < T.m_as("K"):
        boiling = show(one.boiling_point.to("degC"), 3)
        yield tr(
            "{symbol} is a vapour at {temperature}: it boils at {boiling} and leaves with the gas.",
            symbol=one.symbol,
            temperature=at,
            boiling=boiling,
        )


def _notes(found: Charge) -> Iterator[str]:
    if found.water.equation is not None and found.water.water.magnitude > 0:
        yield tr(
            "Water is taken to react first and completely: {equation}.",
            equation=found.water.equation.shown,
        )
    if found.dosing is not None and found.preparation.metal_source.role == "hydroxide":
        amount = _3(found.dosing.amount)
        yield (
            tr(
                "The catalyst is not counted above. Where it is an alcohol, ROH + {metal_source} "
                "+ reductant can bind up to {amount} of the hydroxide as alkoxide and release up "
                "to {amount} more hydrogen.",
                metal_source=found.preparation.metal_source.formula,
                amount=amount,
            )
        )
    if found.preparation.liquid is not None or found.preparation.catalyst is not None:
        yield tr("Liquid and catalyst are taken as dry and pure.")
    yield tr("Hydrogen is counted as a dry ideal gas that has cooled to the vent's temperature.")
    yield (
        tr(
            "A calculation for teaching. Whether a charge may be made up is decided by licensed "
            "supervision, your institution's approval and local codes."
        )
    )


def _reductant(found: Charge) -> Weighed:
    return next(one for one in found.weighed if one.role == "reductant")


def _list(heading: str, entries: tuple[str, ...]) -> str:
    if not entries:
        return ""
    items = "".join(f"<li>{escape(entry)}</li>" for entry in entries)
    return f"<p class='potash-list-head'>{heading}</p><ul>{items}</ul>"


def _3(value: Quantity) -> str:
    return show(value, 3)


def _4(value: Quantity) -> str:
    return show(value, _FIGURES)
