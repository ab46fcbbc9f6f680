"""The parts of a preparation, each built from typed values and checked as chemistry."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from potash import equations
from potash.equations import Equation
from potash.errors import PotashError
from potash.formulas import molar_mass, parse
from potash.preparation.keys import (
    ROLES,
    BadPreparation,
    Typed,
    bad,
    key_at,
    line_that_works,
    named,
)
from potash.properties.liquids import liquid
from potash.units import Quantity, quantity
from potash.words import tr

METAL_SOURCES = ("hydroxide", "salt")
ALKALI_METALS = ("Li", "Na", "K", "Rb", "Cs")

_MOST_DOSES = 1000
_ROUNDING = 1e-9  # 87.2 % and 12.8 % add up to a hair above 1 in binary


@dataclass(frozen=True, slots=True)
class Reagent:
    """A substance of the equation as it is weighed or poured.

    role: one of ``ROLES``.
    mass, volume: one of the two; a volume is of the liquid named ``liquid``, read at
        ``measured_at``.
    assay: mass fraction of the pure substance in what is weighed.
    moisture: mass fraction of water in what is weighed. Assay and moisture together are at most
        1; the rest is impurity that takes no part.
    """

    role: str
    formula: str
    mass: Quantity | None
    volume: Quantity | None
    liquid: str | None
    measured_at: Quantity | None
    assay: Quantity
    moisture: Quantity


@dataclass(frozen=True, slots=True)
class Pour:
    """A liquid as it is measured out: a mass, or a volume read at ``measured_at``."""

    name: str
    mass: Quantity | None
    volume: Quantity | None
    measured_at: Quantity | None

    @property
    def measured(self) -> Quantity:
        """The mass or the volume, whichever was measured."""
        measured = self.mass if self.volume is None else self.volume
        assert measured is not None
        return measured


@dataclass(frozen=True, slots=True)
class Catalyst(Pour):
    """The whole of the catalyst, and in how many equal doses it is added."""

    doses: int


@dataclass(frozen=True, slots=True)
class Vent:
    """Where the gas is led: the hood's temperature and pressure."""

    temperature: Quantity
    pressure: Quantity


def checked(typed: Mapping[str, Typed]) -> dict[str, Any]:
    """Each typed value as a quantity inside its bounds; words and whole numbers as they are.

    Raises: BadPreparation, naming the table and key.
    """
    return {place: _checked(place, value) for place, value in typed.items()}


def balanced_equation(typed: str) -> Equation:
    """The equation as typed, if it balances and makes an alkali metal. Raises: BadPreparation."""
    try:
        equation = equations.read(typed)
        balanced = equation if equation.is_balanced else equations.balance(typed)
        metal_made(balanced)
    except PotashError as error:
        raise bad("equation", typed, str(error)) from None
    if not equation.is_balanced:
        raise BadPreparation(
            tr(
                'equation = "{typed}": it does not balance. A line that works: equation = '
                '"{balanced}"',
                typed=typed,
                balanced=balanced,
            )
        )
    return equation


def metal_made(equation: Equation) -> str:
    """Symbol of the alkali metal that ``equation`` makes. Raises: BadPreparation, if none."""
    for formula, coefficient in equation.coefficients.items():
        elements = parse(formula).elements
        if coefficient > 0 and len(elements) == 1 and set(elements) <= set(ALKALI_METALS):
            return next(iter(elements))
    raise BadPreparation(
        tr(
            "No alkali metal stands alone on the right; it makes none of {metals}.",
            metals=", ".join(ALKALI_METALS),
        )
    )


def same_substance(one: str, other: str) -> bool:
    """Whether two formulas have the same atoms and charge, whatever their phase or spelling."""
    first, second = parse(one), parse(other)
    return dict(first.elements) == dict(second.elements) and first.charge == second.charge


def reagent(role: str, found: Mapping[str, Any]) -> Reagent:
    """The reagent of ``role`` from checked values. Raises: BadPreparation."""
    place = f"reagents.{role}"
    names = ("formula", "mass", "volume", "liquid", "measured_at", "assay", "moisture")
    values: dict[str, Any] = {name: found.get(f"{place}.{name}") for name in names}
    _demand_formula(place, values["formula"])
    _demand_one_measure(place, found)
    if values["assay"].m_as("") + values["moisture"].m_as("") > 1 + _ROUNDING:
        raise BadPreparation(
            tr(
                "[{place}] assay and moisture add up to more than 100 %. Both are mass fractions "
                'of what is weighed; a pair that works: assay = "86.5 %" and moisture = "12.8 %"',
                place=place,
            )
        )
    if values["volume"] is not None:
        _demand_liquid(f"{place}.liquid", values["liquid"], values["formula"])
    return Reagent(role, **values)


def pour(place: str, found: Mapping[str, Any]) -> Pour:
    """The liquid at ``place`` from checked values. Raises: BadPreparation."""
    return Pour(**_measured(place, found))


def catalyst(found: Mapping[str, Any]) -> Catalyst:
    """The catalyst from checked values. Raises: BadPreparation."""
    doses = found.get("catalyst.doses", 1)
    if not 1 <= doses <= _MOST_DOSES:
        raise bad(
            "catalyst.doses",
            doses,
            tr("It must be from 1 to {most}.", most=_MOST_DOSES),
        )
    return Catalyst(**_measured("catalyst", found), doses=doses)


def demand_a_complete_set(equation: Equation, reagents: tuple[Reagent, ...]) -> None:
    """Each substance on the left has one reagent, each reagent is there, and the roles are filled.

    Raises: BadPreparation.
    """
    left = [formula for formula, number in equation.coefficients.items() if number < 0]
    _demand_one_side(equation, left)
    for given in reagents:
        if not any(same_substance(given.formula, formula) for formula in left):
            raise bad(
                f"reagents.{given.role}.formula",
                given.formula,
                tr(
                    "The equation consumes {left}, not {formula}; change one of the two.",
                    left=tr(" and ").join(left),
                    formula=given.formula,
                ),
            )
    for formula in left:
        _demand_one_reagent(formula, reagents)
    _demand_roles(equation, reagents)


def _checked(place: str, typed: Typed) -> Any:
    dimension = key_at(place).dimension
    if dimension is None or isinstance(typed, int):
        return typed
    try:
        found = quantity(typed, dimension)
    except PotashError as error:
        raise bad(place, typed, str(error)) from None
    _demand_bounds(place, typed, found)
    return found


def _demand_bounds(place: str, typed: str, found: Quantity) -> None:
    key = key_at(place)
    value = _in_base_units(found)
    for limit, holds, words in (
        (key.above, value.__gt__, tr("above")),
        (key.at_least, value.__ge__, tr("at least")),
        (key.below, value.__lt__, tr("below")),
        (key.at_most, value.__le__, tr("at most")),
    ):
        if limit and not holds(_in_base_units(quantity(limit, key.dimension))):
            raise bad(place, typed, tr("It must be {words} {limit}.", words=words, limit=limit))


def _in_base_units(found: Quantity) -> float:
    return float(found.to_base_units().magnitude)


def _measured(place: str, found: Mapping[str, Any]) -> dict[str, Any]:
    _demand_one_measure(place, found)
    _demand_liquid(f"{place}.name", found[f"{place}.name"])
    names = ("name", "mass", "volume", "measured_at")
    return {name: found.get(f"{place}.{name}") for name in names}


def _demand_formula(place: str, formula: str) -> None:
    try:
        found = parse(formula)
        molar_mass(formula)
    except PotashError as error:
        raise bad(f"{place}.formula", formula, str(error)) from None
    if found.charge:
        raise bad(f"{place}.formula", formula, tr("What is weighed carries no charge."))


def _demand_one_measure(place: str, found: Mapping[str, Any]) -> None:
    given = [name for name in ("mass", "volume") if f"{place}.{name}" in found]
    if len(given) != 1:
        what = tr("both a mass and a volume") if given else tr("neither a mass nor a volume")
        raise BadPreparation(
            tr(
                "[{place}] gives {what}; one of the two is needed. {line_that_works}",
                place=place,
                what=what,
                line_that_works=line_that_works(f"{place}.mass"),
            )
        )


def _demand_liquid(place: str, name: str | None, formula: str | None = None) -> None:
    if name is None:
        raise BadPreparation(
            tr(
                "{named} is missing; a volume needs the liquid's name, for its density. "
                "{line_that_works}",
                named=named(place),
                line_that_works=line_that_works(place),
            )
        )
    try:
        found = liquid(name)
    except PotashError as error:
        raise bad(place, name, str(error)) from None
    if formula is not None and not same_substance(formula, found.formula):
        raise bad(
            place,
            name,
            tr(
                "That liquid is {formula}, and the reagent {reagent}.",
                formula=found.formula,
                reagent=formula,
            ),
        )


def _demand_one_side(equation: Equation, left: list[str]) -> None:
    for formula, number in equation.coefficients.items():
        if number > 0 and any(same_substance(formula, other) for other in left):
            raise bad(
                "equation", str(equation), tr("{formula} stands on both sides.", formula=formula)
            )


def _demand_one_reagent(formula: str, reagents: tuple[Reagent, ...]) -> None:
    number = sum(same_substance(given.formula, formula) for given in reagents)
    if number != 1:
        raise BadPreparation(
            tr(
                "The equation consumes {formula}, and {number} table has that formula. Give one "
                '[reagents.ROLE] with: formula = "{formula}". ROLE is one of {roles}.',
                formula=formula,
                number=number or tr("no"),
                roles=", ".join(ROLES),
            )
        )


def _demand_roles(equation: Equation, reagents: tuple[Reagent, ...]) -> None:
    sources = [given for given in reagents if given.role in METAL_SOURCES]
    if len(sources) != 1 or not any(given.role == "reductant" for given in reagents):
        raise BadPreparation(
            tr(
                "A preparation has one source of the metal, [reagents.hydroxide] or "
                "[reagents.salt], and a [reagents.reductant]; given: {role}.",
                role=", ".join(given.role for given in reagents),
            )
        )
    metal = metal_made(equation)
    if metal not in parse(sources[0].formula).elements:
        raise bad(
            f"reagents.{sources[0].role}.formula",
            sources[0].formula,
            tr("It holds no {metal}, which the equation makes.", metal=metal),
        )
