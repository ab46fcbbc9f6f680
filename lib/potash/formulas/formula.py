"""A chemical formula as a count of atoms and a charge, and what follows from it."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from html import escape

from potash.formulas.errors import NoAtomicWeight
from potash.units import Quantity
from potash.words import tr

ELECTRON_RELATIVE_MASS = 5.485_799_090_441e-4
"""Relative mass of the electron. Source: CODATA 2022 (5.485 799 090 441(97) e-4)."""

_MARKS = re.compile(r"\^(?P<caret>\d*[+-])|(?P<sign>[+-])(?=\(|$)|(?<=[A-Za-z)\]}])(?P<count>\d+)")


_COUNT = re.compile(r"(?<=[A-Za-z)\]}])\d+")
SUBSCRIPTS = str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉")


def lowered(text: str) -> str:
    """Plain text of a formula or an equation with the counts of atoms below the line: "Al₂O₃"."""
    return _COUNT.sub(lambda count: count[0].translate(SUBSCRIPTS), text)


@dataclass(frozen=True, slots=True)
class Formula:
    """One species: its atoms, its charge and its phase label.

    text: in plain spelling: "Cr2O7^2-", "OH-", "KOH·H2O", "K(l)", "e-" for the electron.
    elements: symbol and number of atoms; whole, or a fraction in the likes of CaSO4·0.5H2O.
    charge: in elementary charges.
    phase: "s", "cr", "l", "g", "aq" or None.
    """

    text: str
    elements: Mapping[str, int | Fraction] = field(hash=False)
    charge: int = 0
    phase: str | None = None

    @property
    def is_electron(self) -> bool:
        """Whether this is the free electron."""
        return not self.elements

    @property
    def relative_molecular_mass(self) -> float:
        """Mass relative to 1/12 of carbon-12: the sum of atomic weights, less lost electrons.

        Raises: NoAtomicWeight, for an element such as Tc that has none.
        Source: CIAAW abridged standard atomic weights 2021 (Prohaska et al., Pure Appl. Chem.
        2022, 94, 573), as carried by ``periodictable``.
        """
        weights = atomic_weights()
        for element in self.elements:
            if weights[element].is_integer():  # a mass number in place of a weight
                raise NoAtomicWeight(
                    tr(
                        "{text}: {element} has no standard atomic weight, because it has no "
                        "stable isotopes; its molar mass depends on the isotope.",
                        text=self.text,
                        element=element,
                    )
                )
        atoms = sum(weights[element] * float(count) for element, count in self.elements.items())
        return atoms - self.charge * ELECTRON_RELATIVE_MASS

    @property
    def molar_mass(self) -> Quantity:
        """Molar mass (g/mol); see ``relative_molecular_mass``."""
        return Quantity(self.relative_molecular_mass, "g/mol")

    @property
    def hill(self) -> str:
        """The Hill formula: carbon, hydrogen, then the alphabet; the alphabet alone without carbon.

        Source: E. A. Hill, J. Am. Chem. Soc. 1900, 22, 478.
        """
        first = [element for element in ("C", "H") if {"C", element} <= self.elements.keys()]
        order = [*first, *sorted(set(self.elements) - set(first))]
        atoms = "".join(_counted(element, self.elements[element]) for element in order)
        return (atoms or "e") + (f"^{signed(self.charge)}" if self.charge else "")

    @property
    def html(self) -> str:
        """The formula with subscripts and superscripts, as a safe piece of HTML."""
        return _MARKS.sub(_raised_or_lowered, escape(self.text))

    def __reduce__(self) -> tuple[object, ...]:
        # Marking in several processes sends formulas about, and a mapping proxy cannot travel.
        from potash.formulas.grammar import parse

        return parse, (self.text,)

    def __str__(self) -> str:
        return self.text


@cache
def atomic_weights() -> Mapping[str, float]:
    """Atomic weight by element symbol; a whole number where there is only a mass number."""
    from periodictable import elements

    return {element.symbol: float(element.mass) for element in elements if element.symbol != "n"}


def _counted(element: str, count: int | Fraction) -> str:
    return element if count == 1 else f"{element}{float(count):g}"


def signed(charge: int) -> str:
    """``charge`` as chemists write it: "2-", "+"."""
    return f"{abs(charge) if abs(charge) > 1 else ''}{'+' if charge > 0 else '-'}"


def _raised_or_lowered(mark: re.Match[str]) -> str:
    if mark["count"]:
        return f"<sub>{mark['count']}</sub>"
    return f"<sup>{(mark['caret'] or mark['sign']).replace('-', '−')}</sup>"
