"""Measured values with standard uncertainties, and the budget of what is made from them."""

import math
from dataclasses import dataclass
from html import escape
from typing import Any

from potash.errors import PotashError
from potash.units import Quantity, magnitude, show_number, show_unit
from potash.words import tr

COVERAGE_FACTOR = 2.0
GUM = "JCGM 100:2008 (GUM), 5.1.2, law of propagation of uncertainty"

DISTRIBUTIONS = {"normal": 1.0, "rectangular": math.sqrt(3), "triangular": math.sqrt(6)}
"""What a half-width is divided by to give a standard uncertainty (GUM, 4.3.7 and 4.3.9)."""


class BadMeasurement(PotashError):
    """A measured value or its uncertainty that cannot be used."""


@dataclass(frozen=True, slots=True)
class Measured:
    """One input: ``value`` and standard ``uncertainty`` in ``unit``."""

    name: str
    value: float
    uncertainty: float
    unit: str

    @property
    def variable(self) -> Any:
        """As a variable whose uncertainty is followed through whatever is made from it.

        A value without uncertainty stays a plain number and has no line in a budget.
        """
        from uncertainties import ufloat

        if self.uncertainty == 0:
            return self.value
        return ufloat(self.value, self.uncertainty, tag=self.name)


def measured(
    name: str, value: Any, half_width: Any, unit: str, distribution: str = "normal"
) -> Measured:
    """A measured value in ``unit``, with its uncertainty from a half-width.

    Parameters: name, for the budget; value and half_width, quantities of the kind of ``unit``;
    distribution, "normal" (the half-width is the standard uncertainty already), "rectangular"
    (it lies within, that is all that is known) or "triangular" (more likely in the middle).
    Raises: BadMeasurement; OutOfBounds, UnreadableQuantity, WrongDimension.
    Source: JCGM 100:2008 (GUM), 4.3.
    """
    if distribution not in DISTRIBUTIONS:
        raise BadMeasurement(
            tr(
                '{name}: there is no distribution called "{distribution}". There are: '
                "{distributions}.",
                name=name,
                distribution=distribution[:40],
                distributions=", ".join(DISTRIBUTIONS),
            )
        )
    width_unit = f"delta_{unit}" if unit in ("degC", "degF") else unit
    width_unit = "delta_degC" if unit == "K" else width_unit
    found = float(magnitude(name, value, unit))
    width = float(magnitude(f"uncertainty of {name}", half_width, width_unit, at_least=0))
    return Measured(name, found, width / DISTRIBUTIONS[distribution], unit)


@dataclass(frozen=True, slots=True)
class Contribution:
    """One line of a budget.

    contribution: |dy/dx| u(x), in the unit of the result. share: of the variance (0 to 1).
    """

    name: str
    contribution: float
    share: float


@dataclass(frozen=True, slots=True)
class Result:
    """A result with its standard uncertainty and where that comes from.

    value, uncertainty: in ``unit``. budget: the largest contribution first.
    """

    name: str
    value: float
    uncertainty: float
    unit: str
    budget: tuple[Contribution, ...]
    source: str = GUM

    @property
    def quantity(self) -> Quantity:
        """The value alone."""
        return Quantity(self.value, self.unit)

    @property
    def expanded(self) -> Quantity:
        """Expanded uncertainty with coverage factor 2, about 95 %."""
        return Quantity(COVERAGE_FACTOR * self.uncertainty, self.unit)

    @property
    def shown(self) -> str:
        """As it is reported: "0.10214 ± 0.00020 mol/L (k = 2)"; two figures of uncertainty."""
        width = COVERAGE_FACTOR * self.uncertainty
        unit = show_unit(self.unit)
        tail = f" {unit}" if unit else ""
        if width == 0:
            return tr(
                "{value}{tail} (no uncertainty given)", value=show_number(self.value, 4), tail=tail
            )
        decimals = max(1 - math.floor(math.log10(width)), 0)
        value, spread = f"{self.value:.{decimals}f}", f"{width:.{decimals}f}"
        return f"({value} ± {spread}){tail} (k = 2)".replace("-", "−")

    def _repr_html_(self) -> str:
        rows = "".join(
            f"<tr><th scope='row'>{escape(one.name)}</th>"
            f"<td>{show_number(one.contribution, 2)}</td><td>{one.share * 100:.0f} %</td></tr>"
            for one in self.budget
        )
        unit = show_unit(self.unit) or "1"
        heads = (tr("Input"), tr("Contribution, {unit}", unit=unit), tr("Share of variance"))
        return (
            f"<table class='potash-budget'><caption>{escape(self.name)}: {escape(self.shown)}"
            f"</caption><thead><tr>{''.join(f'<th>{escape(head)}</th>' for head in heads)}</tr>"
            f"</thead><tbody>{rows}</tbody></table>"
        )


def result(name: str, made: Any, unit: str, scale: float = 1.0) -> Result:
    r"""``made`` from variables of ``Measured``, as a result with its budget.

    .. math:: u^2(y) = \sum_i (\partial y/\partial x_i)^2 u^2(x_i)

    Parameters: scale, that brings the number of ``made`` into ``unit``.
    Source: JCGM 100:2008 (GUM), eq. 10; derivatives by the package ``uncertainties``.
    """
    from uncertainties import nominal_value, std_dev

    parts: dict[str, float] = {}
    for variable, part in getattr(made, "error_components", dict)().items():
        parts[variable.tag] = math.hypot(parts.get(variable.tag, 0.0), part)
    spread = float(std_dev(made))
    lines = (
        Contribution(tag, part * abs(scale), (part / spread) ** 2 if spread else 0.0)
        for tag, part in parts.items()
    )
    return Result(
        name,
        float(nominal_value(made)) * scale,
        spread * abs(scale),
        unit,
        tuple(sorted(lines, key=lambda one: -one.contribution)),
    )
