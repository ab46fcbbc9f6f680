"""The charges of charges.toml."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from potash.errors import PotashError
from potash.units import Quantity
from potash.words import tr
from potash.words.tables import read_toml


class UnknownCharge(PotashError):
    """No charge of the table has this name."""


@dataclass(frozen=True, slots=True, eq=False)
class RetortCharge:
    """What is put into a retort.

    metal: symbol of the metal to make. amounts: mol by formula. lowest, highest: K, the range in
    which its sweep shows something. says: what practice adds to the sum, from ``source``.
    """

    name: str
    metal: str
    amounts: Mapping[str, float]
    lowest: float
    highest: float
    says: str
    source: str

    @property
    def given(self) -> dict[str, Quantity]:
        """The amounts as quantities, mol."""
        return {formula: Quantity(moles, "mol") for formula, moles in self.amounts.items()}

    @property
    def metal_put_in(self) -> Quantity:
        """Amount of the metal in the charge, in whatever compound, mol."""
        from potash.formulas import parse

        total = sum(
            moles * float(parse(formula).elements.get(self.metal, 0))
            for formula, moles in self.amounts.items()
        )
        return Quantity(total, "mol")

    def __str__(self) -> str:
        return tr(" and ").join(
            tr("{moles:g} mol {formula}", moles=moles, formula=formula)
            for formula, moles in self.amounts.items()
        )


@cache
def retort_charges() -> tuple[RetortCharge, ...]:
    """All charges, in the order of the table."""
    return tuple(_charge(row) for row in read_toml("retorts/data/charges.toml")["charge"])


def retort_charge(name: str) -> RetortCharge:
    """The charge called ``name``.

    Raises: UnknownCharge, naming those there are.
    """
    found = {charge.name: charge for charge in retort_charges()}
    if name not in found:
        raise UnknownCharge(
            tr(
                "There is no charge {name!r}. There are: {names}.",
                name=name,
                names=", ".join(found),
            )
        )
    return found[name]


def _charge(row: Mapping[str, Any]) -> RetortCharge:
    return RetortCharge(
        row["name"], row["metal"], row["amounts"], row["lowest"], row["highest"], row["says"],
        row["from"],
    )  # fmt: skip
