"""The kinds of quantity that a question can ask for, by name."""

from dataclasses import dataclass

from potash.errors import PotashError
from potash.units.spelling import Exponents


class UnknownDimension(PotashError):
    """A name that is not in DIMENSIONS."""


@dataclass(frozen=True, slots=True)
class Dimension:
    """One kind of quantity.

    name: as people say it, "molar energy".
    exponents: powers of kg, m, s, mol and K.
    unit: a customary unit, as people write it; "" for numbers.
    """

    name: str
    exponents: Exponents
    unit: str

    @property
    def allows_bare_numbers(self) -> bool:
        """Whether a number without a unit is an answer."""
        return self.name in ("fraction", "number")

    @property
    def is_difference(self) -> bool:
        """Whether "25 °C" means 25 K here and not 298.15 K."""
        return self.name == "temperature difference"

    @property
    def example(self) -> str:
        """A quantity of this kind, as it may be typed."""
        return f"{'250' if self.exponents == (0, 0, 0, 0, 1) else '5.00'} {self.unit}".strip()


#              name                      kg  m  s mol K   unit
_ROWS: tuple[tuple[str, Exponents, str], ...] = (
    ("number",                          (0, 0, 0, 0, 0), ""),
    ("fraction",                        (0, 0, 0, 0, 0), "%"),
    ("mass",                            (1, 0, 0, 0, 0), "g"),
    ("volume",                          (0, 3, 0, 0, 0), "mL"),
    ("amount",                          (0, 0, 0, 1, 0), "mol"),
    ("length",                          (0, 1, 0, 0, 0), "mm"),
    ("area",                            (0, 2, 0, 0, 0), "cm2"),
    ("time",                            (0, 0, 1, 0, 0), "min"),
    ("temperature",                     (0, 0, 0, 0, 1), "°C"),
    ("temperature difference",          (0, 0, 0, 0, 1), "K"),
    ("pressure",                        (1, -1, -2, 0, 0), "kPa"),
    ("force",                           (1, 1, -2, 0, 0), "mN"),
    ("energy",                          (1, 2, -2, 0, 0), "kJ"),
    ("power",                           (1, 2, -3, 0, 0), "W"),
    ("density",                         (1, -3, 0, 0, 0), "g/mL"),
    ("concentration",                   (0, -3, 0, 1, 0), "mol/L"),
    ("molar mass",                      (1, 0, 0, -1, 0), "g/mol"),
    ("molar volume",                    (0, 3, 0, -1, 0), "L/mol"),
    ("molar energy",                    (1, 2, -2, -1, 0), "kJ/mol"),
    ("molar entropy",                   (1, 2, -2, -1, -1), "J/(K mol)"),
    ("specific energy",                 (0, 2, -2, 0, 0), "kJ/kg"),
    ("specific heat capacity",          (0, 2, -2, 0, -1), "J/(g K)"),
    ("heat capacity",                   (1, 2, -2, 0, -1), "J/K"),
    ("heat transfer coefficient",       (1, 0, -3, 0, -1), "W/(m2 K)"),
    ("thermal conductivity",            (1, 1, -3, 0, -1), "W/(m K)"),
    ("velocity",                        (0, 1, -1, 0, 0), "mm/s"),
    ("rate",                            (0, 0, -1, 0, 0), "1/min"),
    ("mass flow",                       (1, 0, -1, 0, 0), "g/min"),
    ("volume flow",                     (0, 3, -1, 0, 0), "mL/min"),
    ("molar flow",                      (0, 0, -1, 1, 0), "mmol/min"),
    ("viscosity",                       (1, -1, -1, 0, 0), "mPa s"),
    ("diffusivity",                     (0, 2, -1, 0, 0), "m2/s"),
    ("surface tension",                 (1, 0, -2, 0, 0), "mN/m"),
)  # fmt: skip

DIMENSIONS = {row[0]: Dimension(*row) for row in _ROWS}
"""Every kind of quantity, by its name."""


def dimension_named(name: str) -> Dimension:
    """The dimension called ``name``.

    Raises: UnknownDimension, naming those there are.
    """
    try:
        return DIMENSIONS[name]
    except KeyError:
        raise UnknownDimension(
            f'There is no dimension called "{name}". There are: {", ".join(DIMENSIONS)}.'
        ) from None


def dimension_of(exponents: Exponents, is_difference: bool = False) -> Dimension | None:
    """The first dimension of these exponents; a temperature difference only where asked for."""
    for dimension in DIMENSIONS.values():
        if dimension.exponents == exponents and dimension.name != "number":
            if is_difference and dimension.name == "temperature":
                continue
            return dimension
    return None


def kind(exponents: Exponents, name: str | None = None) -> str:
    """What people call a quantity of these exponents, with its article: "a volume"."""
    dimension = dimension_of(exponents)
    called = name or (dimension.name if dimension else "quantity of another kind")
    return f"{'an' if called[0] in 'aeiou' else 'a'} {called}"
