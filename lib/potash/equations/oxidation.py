"""Oxidation numbers by the textbook rules, for the inorganic species of this trade."""

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache

from potash.equations.equation import Number, whole
from potash.equations.errors import NoOxidationNumber
from potash.formulas import Formula, parse
from potash.words import tr

# Oxidation numbers that each element takes in well-known compounds (Greenwood and Earnshaw,
# Chemistry of the Elements, 2nd ed., from memory). What falls outside is refused: it tells of a
# peroxy group, a polysulfide, an alloy or a mistyped formula rather than of a new compound.
_IN_USE: dict[str, tuple[int, ...]] = {
    **dict.fromkeys(("Li", "Na", "K", "Rb", "Cs", "Ag"), (0, 1)),
    **dict.fromkeys(("Be", "Mg", "Ca", "Sr", "Ba", "Zn", "Cd"), (0, 2)),
    **dict.fromkeys(("B", "Al"), (0, 3)),
    "H": (-1, 0, 1), "C": (-4, -3, -2, -1, 0, 1, 2, 3, 4), "Si": (-4, 0, 4),
    "N": (-3, -2, -1, 0, 1, 2, 3, 4, 5), "P": (-3, -2, 0, 1, 3, 4, 5), "As": (-3, 0, 3, 5),
    "S": (-2, -1, 0, 1, 2, 3, 4, 5, 6), "F": (-1, 0), "Cl": (-1, 0, 1, 3, 4, 5, 7),
    "Br": (-1, 0, 1, 3, 5, 7), "I": (-1, 0, 1, 3, 5, 7),
    "Ti": (0, 2, 3, 4), "V": (0, 2, 3, 4, 5), "Cr": (0, 2, 3, 6), "Mn": (0, 2, 3, 4, 6, 7),
    "Fe": (0, 2, 3, 6), "Co": (0, 2, 3), "Ni": (0, 2, 3), "Cu": (0, 1, 2), "Mo": (0, 4, 6),
    "W": (0, 4, 6), "Sn": (0, 2, 4), "Hg": (0, 1, 2), "Pb": (0, 2, 4), "Bi": (0, 3, 5),
}  # fmt: skip
_OXYGEN_IN_USE = (-2, -1, Fraction(-1, 2), Fraction(-1, 3), 0, Fraction(1, 2))
_OXYGEN_WITH_FLUORINE = (1, 2)

_NONMETALS = {"H", "B", "C", "Si", "N", "P", "As", "O", "S", "F", "Cl", "Br", "I"}
_MORE_ELECTRONEGATIVE_THAN_HYDROGEN = _NONMETALS - {"H", "B", "Si"}
_ALWAYS = (
    ("F", -1),
    *((metal, 1) for metal in ("Li", "Na", "K", "Rb", "Cs")),
    *((metal, 2) for metal in ("Be", "Mg", "Ca", "Sr", "Ba")),
    ("Al", 3), ("B", 3), ("Zn", 2), ("Cd", 2), ("Ag", 1),
)  # fmt: skip

# Ions that fix the number of their central atom where the metal beside them is yet unknown.
_GROUPS = (
    ("NH4", "N", -3), ("NH3", "N", -3), ("NO3", "N", 5), ("NO2", "N", 3),
    ("SO4", "S", 6), ("SO3", "S", 4), ("S2O3", "S", 2), ("PO4", "P", 5),
    ("CO3", "C", 4), ("C2O4", "C", 3), ("CH3COO", "C", 0), ("SiO3", "Si", 4), ("SiO4", "Si", 4),
    ("ClO4", "Cl", 7), ("ClO3", "Cl", 5), ("ClO2", "Cl", 3), ("ClO", "Cl", 1),
    ("BrO3", "Br", 5), ("IO3", "I", 5), ("CrO4", "Cr", 6), ("Cr2O7", "Cr", 6),
)  # fmt: skip
_CYANIDE = re.compile(r"(?<!S)CN(?!O)")


@lru_cache(maxsize=4096)
def _oxidation_numbers(formula: Formula) -> tuple[tuple[str, Number], ...]:
    if formula.is_electron:
        raise NoOxidationNumber(tr("The electron has no oxidation number."))
    _refuse_undecided(formula)
    numbers: dict[str, Number] = {}
    for element, number in _rules(formula):
        if len(numbers) + 1 == len(formula.elements):
            break
        if element in formula.elements:
            numbers.setdefault(element, number)
    open_ones = [element for element in formula.elements if element not in numbers]
    if len(open_ones) != 1:
        raise NoOxidationNumber(
            tr(
                "The rules do not part the electrons of {formula} between {open_ones}. Write the "
                "ions that it is made of.",
                formula=formula,
                open_ones=tr(" and ").join(open_ones),
            )
        )
    last = open_ones[0]
    others = sum(formula.elements[element] * number for element, number in numbers.items())
    numbers[last] = whole(Fraction(formula.charge - others) / formula.elements[last])
    _refuse_unheard_of(formula, last, numbers[last])
    return tuple((element, numbers[element]) for element in formula.elements)


def oxidation_numbers(given: str | Formula) -> dict[str, Number]:
    """Oxidation number of each element in a species, as {'K': 1, 'O': -2, 'H': 1}.

    Where atoms of one element differ (Fe3O4, S2O3^2-, C2H5OH) the number is their average, which is
    all that electron counting needs.

    The rules, in order, until one element is left, which follows from the charge: elements 0 and
    simple ions their charge; F -1; group 1 +1, group 2 +2, B, Al +3, Zn, Cd +2, Ag +1; H +1, or -1
    beside metals, B and Si alone; O -2; central atoms of well-known ions; Cl, Br, I -1; S -2 and
    N -3 without oxygen. Peroxides, superoxides and hydrides follow from their metal.

    Raises: NoOxidationNumber, if the rules leave two elements open (CuFeS2), atoms of one element
    differ beyond averaging (NH4NO3), or the result is not in use (CrO5, FeS2, NaK); BadFormula.
    Source: Karen, McArdle and Takats, Comprehensive definition of oxidation state (IUPAC
    Recommendations 2016), Pure Appl. Chem. 2016, 88, 831, section 3.
    """
    formula = parse(given) if isinstance(given, str) else given
    return dict(_oxidation_numbers(formula))


def _rules(formula: Formula) -> Iterator[tuple[str, Number]]:
    """Element and number, the most certain first."""
    elements = formula.elements.keys()
    yield from _ALWAYS
    hydride = not (elements & _MORE_ELECTRONEGATIVE_THAN_HYDROGEN)
    yield "H", -1 if hydride else 1
    yield "O", -2
    if _CYANIDE.search(formula.text) and formula.elements["C"] == formula.elements["N"]:
        yield from (("C", 2), ("N", -3))
    yield from _central_atoms(formula)
    yield from (("Cl", -1), ("Br", -1), ("I", -1))
    if "O" not in elements:
        yield from (("S", -2), ("N", -3))


def _central_atoms(formula: Formula) -> Iterator[tuple[str, Number]]:
    """Central atoms of the ions in the formula, where only metals are unknown beside them."""
    found = {(element, number) for ion, element, number in _GROUPS if _holds(formula.text, ion)}
    for element, number in found:
        if sum(central == element for central, _ in found) == 1:
            yield element, number


def _holds(text: str, ion: str) -> bool:
    return re.search(rf"{ion}(?!\d)", text) is not None


def _refuse_undecided(formula: Formula) -> None:
    elements = formula.elements
    if _holds(formula.text, "NH4") and re.search(r"N(?!H4|[a-z])", formula.text):
        raise NoOxidationNumber(
            tr(
                "{formula} holds nitrogen of two kinds. Write NH4+ and the other ion apart.",
                formula=formula,
            )
        )
    if "N" in elements and elements.keys() <= {"N", "Cl", "Br", "I"} and len(elements) > 1:
        raise NoOxidationNumber(
            tr(
                "In {formula} nitrogen and the halogen attract electrons almost alike, and "
                "sources differ on its oxidation numbers.",
                formula=formula,
            )
        )


def _refuse_unheard_of(formula: Formula, element: str, number: Number) -> None:
    if element == "O":
        with_fluorine = _OXYGEN_WITH_FLUORINE if "F" in formula.elements else ()
        known = number in (*_OXYGEN_IN_USE, *with_fluorine)
    else:
        usual = _IN_USE.get(element)
        if usual is None:
            raise NoOxidationNumber(
                tr(
                    "{formula}: {element} is outside the elements of this trade.",
                    formula=formula,
                    element=element,
                )
            )
        average = number.denominator > 1 and min(usual) < number < max(usual)
        known = average or number in usual
    if not known:
        raise NoOxidationNumber(
            tr(
                "The rules would give {element} in {formula} the oxidation number {number}, which "
                "is not in use: it may hold a peroxy group or a polysulfide, be an alloy, or be "
                "mistyped.",
                element=element,
                formula=formula,
                number=number,
            )
        )
