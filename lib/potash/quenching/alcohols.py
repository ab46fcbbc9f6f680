"""The alcohols a quench can be made with, ranked by acidity and rate; diluents; metals."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from potash.errors import PotashError
from potash.properties.liquids import Liquid, liquid
from potash.words import tr
from potash.words.tables import read_csv

WATER = "water"


class UnknownAlcohol(PotashError):
    """Not one of the alcohols of the table."""


class UnknownDiluent(PotashError):
    """Not one of the diluents of the table."""


@dataclass(frozen=True, slots=True)
class Alcohol:
    """An alcohol as a quench liquid.

    kind: "primary", "secondary" or "tertiary". acidity: pKa in water at 25 °C.
    heat_capacity: J/(kg K) at 25 °C. flash_point: K. lower_flammable_limit: volume fraction.
    """

    name: str
    kind: str
    acidity: float
    acidity_source: str
    heat_capacity: float
    heat_capacity_source: str
    flash_point: float
    lower_flammable_limit: float
    flammability_source: str

    @property
    def liquid(self) -> Liquid:
        """Its record in the table of liquids."""
        return liquid(self.name)

    @property
    def relative_rate(self) -> float:
        r"""Rate constant over that of methanol: a teaching value.

        .. math:: \log_{10} k/k_{MeOH} = -\beta (pK_a - pK_{a,MeOH})

        Source: the Broensted relation; the slope is this workbook's teaching value.
        """
        reference = alcohols()[0].acidity
        return float(10 ** (-teaching("acidity_slope") * (self.acidity - reference)))

    @property
    def verdict(self) -> str:
        """What to think of it as a quench, in one sentence. It never calls anything safe."""
        return _VERDICTS[self.kind if self.name != "methanol" else "methanol"]


_VERDICTS = {
    "methanol": tr(
        "For no one while flammable liquid or vapour is about: the fastest of them, close to "
        "water, low boiling and toxic."
    ),
    "primary": tr(
        "Fast. Heat and gas follow the funnel closely; for sodium and lithium rather than for "
        "potassium."
    ),
    "secondary": tr(
        "The usual choice: slow enough to be led by the funnel, fast enough to come to an end."
    ),
    "tertiary": tr(
        "Too slow to finish a session: alcohol gathers unreacted, and metal is still there when "
        "everybody thinks that it is over. Some published procedures use it on small scraps of "
        "potassium for just that slowness."
    ),
}


@dataclass(frozen=True, slots=True)
class Diluent:
    """A liquid that the metal lies under. heat_capacity: J/(kg K) at 25 °C; flash_point: K."""

    name: str
    heat_capacity: float
    heat_capacity_source: str
    flash_point: float
    flash_point_source: str

    @property
    def liquid(self) -> Liquid:
        """Its record in the table of liquids."""
        return liquid(self.name)


@dataclass(frozen=True, slots=True)
class QuenchedMetal:
    """What is known of a metal under alcohol and water; reactivity is relative to potassium."""

    metal: str
    reactivity: float
    reactivity_source: str
    lights_itself_on_water: str
    with_water: str
    with_water_source: str


@cache
def alcohols() -> tuple[Alcohol, ...]:
    """The alcohols, the most acidic and fastest first."""
    found = [_alcohol(row) for row in read_csv("quenching/data/alcohols.csv")]
    return tuple(sorted(found, key=lambda one: one.acidity))


def alcohol(name: str) -> Alcohol:
    """The alcohol called ``name``, by any name of the table of liquids. Raises: UnknownAlcohol."""
    found = {one.name: one for one in alcohols()}.get(_listed_name(name))
    if found:
        return found
    names = ", ".join(one.name for one in alcohols())
    if _listed_name(name) == WATER:
        raise UnknownAlcohol(
            tr(
                "Water is no quench liquid: it gives all its heat and hydrogen at once. See what "
                "it does with met_by_water. The alcohols held are: {names}.",
                names=names,
            )
        )
    raise UnknownAlcohol(
        tr('"{name}" is none of the alcohols held: {names}.', name=name[:60], names=names)
    )


@cache
def diluents() -> tuple[Diluent, ...]:
    """The diluents: inert hydrocarbons."""
    return tuple(_diluent(row) for row in read_csv("quenching/data/diluents.csv"))


def diluent(name: str) -> Diluent:
    """The diluent called ``name``. Raises: UnknownDiluent."""
    found = {one.name: one for one in diluents()}.get(_listed_name(name))
    if found:
        return found
    raise UnknownDiluent(
        tr(
            '"{name}" is none of the inert hydrocarbons held: {diluents}.',
            name=name[:60],
            diluents=", ".join(one.name for one in diluents()),
        )
    )


@cache
def quenched_metals() -> Mapping[str, QuenchedMetal]:
    """The five metals by symbol."""
    return {
        row["metal"]: QuenchedMetal(**{**row, "reactivity": float(row["reactivity"])})  # type: ignore[arg-type]
        for row in read_csv("quenching/data/metals.csv")
    }


@dataclass(frozen=True, slots=True)
class TeachingValue:
    """A number that was not measured, and why it was taken."""

    name: str
    value: float
    unit: str
    what: str
    source: str


@cache
def teaching_values() -> tuple[TeachingValue, ...]:
    """Every number of the quench model that was not measured."""
    return tuple(
        TeachingValue(**{**row, "value": float(row["value"])})  # type: ignore[arg-type]
        for row in read_csv("quenching/data/teaching.csv")
    )


@cache
def teaching(name: str) -> float:
    """The teaching value called ``name``, in the unit of its row."""
    return next(one.value for one in teaching_values() if one.name == name)


def _alcohol(row: Mapping[str, str]) -> Alcohol:
    numbers = ("acidity", "heat_capacity", "flash_point", "lower_flammable_limit")
    return Alcohol(**{**row, **{key: float(row[key]) for key in numbers}})  # type: ignore[arg-type]


def _diluent(row: Mapping[str, str]) -> Diluent:
    numbers = ("heat_capacity", "flash_point")
    return Diluent(**{**row, **{key: float(row[key]) for key in numbers}})  # type: ignore[arg-type]


def _listed_name(name: str) -> str:
    try:
        return liquid(name).name
    except PotashError:
        return name
