"""Teaching values of the kinetic model: each with its unit, slider range and sentence."""

import difflib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from html import escape
from typing import Any

from potash.kinetics.errors import UnknownParameter
from potash.units import Quantity, QuantityLike, magnitude, quantity, show
from potash.words import tr
from potash.words.tables import read_toml

LABEL = tr("teaching value")


@dataclass(frozen=True, slots=True)
class Parameter:
    """One number of the model.

    value, lowest, highest: in ``unit``; lowest and highest are the ends of its slider.
    activation: Arrhenius activation energy (kJ/mol); None, if temperature does not touch it.
    sentence: what it says, for people.
    label: "teaching value", or "changed here" once somebody moved it.
    """

    name: str
    value: float
    unit: str
    lowest: float
    highest: float
    activation: float | None
    sentence: str
    label: str = LABEL

    @property
    def quantity(self) -> Quantity:
        """The value with its unit."""
        return Quantity(self.value, self.unit)

    @property
    def si(self) -> float:
        """The value in coherent SI units."""
        return self.value * _factor(self.unit)


@dataclass(frozen=True, slots=True)
class Parameters(Mapping[str, Parameter]):
    """All numbers of the model, by name, and the temperature (K) at which the rates hold."""

    entries: Mapping[str, Parameter]
    reference_temperature: float

    def __getitem__(self, name: str) -> Parameter:
        if name in self.entries:
            return self.entries[name]
        near = difflib.get_close_matches(str(name)[:60], self.entries, n=3, cutoff=0.5)
        raise UnknownParameter(
            tr(
                'No teaching value is called "{name}". {near}: {entries}.',
                name=str(name)[:60],
                near=tr("Near it") if near else tr("There are"),
                entries=", ".join(near or self.entries),
            )
        )

    def __iter__(self) -> Iterator[str]:
        return iter(self.entries)

    def __len__(self) -> int:
        return len(self.entries)

    def __contains__(self, name: object) -> bool:
        return name in self.entries

    def changed(self, **values: QuantityLike | float) -> "Parameters":
        """The same parameters with some moved, each text or quantity within its slider's range.

        A bare number is taken only where the parameter has no unit.

        Raises: UnknownParameter; UnreadableQuantity, WrongDimension, OutOfBounds, naming which.
        """
        moved = {
            name: replace(self[name], value=_within(self[name], value), label=tr("changed here"))
            for name, value in values.items()
        }
        return Parameters({**self.entries, **moved}, self.reference_temperature)

    def si_values(self) -> Mapping[str, float]:
        """Every value in coherent SI units, by name."""
        return {name: entry.si for name, entry in self.entries.items()}

    def _repr_html_(self) -> str:
        rows = "".join(
            f"<tr><th scope='row'>{escape(tr(entry.name.replace('_', ' ')))}</th>"
            f"<td>{escape(show(entry.quantity))}</td><td>{escape(entry.sentence)}</td>"
            f"<td>{escape(entry.label)}</td></tr>"
            for entry in self.entries.values()
        )
        caption = tr("Numbers of the model: none is measured")
        heads = (tr("name"), tr("value"), tr("what it says"), tr("kind"))
        return (
            f"<table class='potash-parameters'><caption>{escape(caption)}</caption><thead><tr>"
            + "".join(f"<th>{escape(head)}</th>" for head in heads)
            + f"</tr></thead><tbody>{rows}</tbody></table>"
        )


@cache
def teaching_values() -> Parameters:
    """The teaching values that come with the workbook. None is measured."""
    document = read_toml("kinetics/data/teaching_values.toml")
    label = document.pop("label")
    reference = quantity(document.pop("reference_temperature"), "temperature").m_as("K")
    entries = {
        name: Parameter(name=name, activation=fields.pop("activation", None), label=label, **fields)
        for name, fields in document.items()
    }
    return Parameters(entries, float(reference))


def _within(entry: Parameter, value: Any) -> float:
    found = magnitude(entry.name, value, entry.unit, at_least=entry.lowest, at_most=entry.highest)
    return float(found)


@cache
def _factor(unit: str) -> float:
    return float(Quantity(1.0, unit).to_base_units().magnitude)
