"""What the writer of a formula that is none may have meant."""

import difflib
from collections.abc import Iterator

from potash.formulas.formula import atomic_weights
from potash.words import tr

ABBREVIATIONS = {
    "THF": ("tetrahydrofuran", "C4H8O"),
    "DMF": ("N,N-dimethylformamide", "C3H7NO"),
    "DMSO": ("dimethyl sulfoxide", "C2H6OS"),
    "DME": ("1,2-dimethoxyethane", "C4H10O2"),
    "DCM": ("dichloromethane", "CH2Cl2"),
    "EtOH": ("ethanol", "C2H5OH"),
    "MeOH": ("methanol", "CH3OH"),
    "MeCN": ("acetonitrile", "CH3CN"),
    "Et2O": ("diethyl ether", "C4H10O"),
    "PhH": ("benzene", "C6H6"),
    "PhMe": ("toluene", "C7H8"),
    "PrOH": ("a propanol", "C3H7OH"),
    "iPrOH": ("2-propanol", "C3H7OH"),
    "IPA": ("2-propanol", "C3H7OH"),
    "BuOH": ("a butanol", "C4H9OH"),
    "tBuOH": ("2-methyl-2-propanol", "C4H9OH"),
    "tBuOK": ("potassium tert-butoxide", "C4H9OK"),
    "KOtBu": ("potassium tert-butoxide", "C4H9OK"),
    "AcOH": ("acetic acid", "CH3COOH"),
    "HOAc": ("acetic acid", "CH3COOH"),
    "NaOAc": ("sodium acetate", "CH3COONa"),
    "KOAc": ("potassium acetate", "CH3COOK"),
    "Ac2O": ("acetic anhydride", "C4H6O3"),
}
"""Abbreviations of whole substances: name and formula. Several would pass as formulas."""

GROUPS = {
    "Me": ("methyl", "CH3"),
    "Et": ("ethyl", "C2H5"),
    "Bu": ("butyl", "C4H9"),
    "Ph": ("phenyl", "C6H5"),
    "Bn": ("benzyl", "C7H7"),
    "Bz": ("benzoyl", "C7H5O"),
    "Cp": ("cyclopentadienyl", "C5H5"),
    "Tf": ("trifluoromethanesulfonyl", "CF3SO2"),
}
"""Abbreviations of groups that are no element symbols: name and formula."""

ELEMENTS_TAKEN_FOR_GROUPS = {
    "Ac": ("acetyl", "C2H3O", "actinium"),
    "Pr": ("propyl", "C3H7", "praseodymium"),
    "Ts": ("tosyl", "C7H7SO2", "tennessine"),
}
"""Element symbols that mean a group beside carbon, hydrogen or oxygen."""

_STAND_INS = {
    "M": tr("any metal"),
    "R": tr("any organic group"),
    "X": tr("any halogen"),
    "L": tr("any ligand"),
    "A": tr("any atom"),
    "E": tr("any element"),
}
_ISOTOPES = {"D": "deuterium", "T": "tritium"}


def about_symbol(symbol: str) -> str:
    """Why ``symbol``, a capital and small letters, is no element, and what may be meant."""
    if symbol in _ISOTOPES:
        return tr(
            "{symbol} ({meaning}) is an isotope; isotopes are not read here. Write H.",
            symbol=symbol,
            meaning=_ISOTOPES[symbol],
        )
    if symbol in _STAND_INS:
        return tr(
            "{symbol} stands for {meaning}. Write the formula of one substance.",
            symbol=symbol,
            meaning=_STAND_INS[symbol],
        )
    if symbol in GROUPS:
        name, formula = GROUPS[symbol]
        return tr(
            "{symbol} is an abbreviation of {name}. Write its atoms, {formula}.",
            symbol=symbol,
            name=name,
            formula=formula,
        )
    return tr(
        "{symbol} is not an element.{did_you_mean}",
        symbol=symbol,
        did_you_mean=_did_you_mean(_near_symbols(symbol)),
    )


def about_small_letters(word: str) -> str:
    """What is meant by ``word``, small letters where an element symbol should begin."""
    return tr(
        "The symbol of an element begins with a capital letter.{did_you_mean}",
        did_you_mean=_did_you_mean(list(_capitalised(word[:8].lower()))[:3]),
    )


def _near_symbols(symbol: str) -> list[str]:
    elements = atomic_weights()
    apart = list(_capitalised(symbol[:8].lower()))
    near = difflib.get_close_matches(symbol, elements, n=2, cutoff=0.6)
    same_start = [element for element in (symbol[:2], symbol[:1]) if element in elements]
    return list(dict.fromkeys([*apart, *near, *same_start]))[:3]


def _capitalised(word: str) -> Iterator[str]:
    """The ways to divide ``word``, small letters, into element symbols, one-letter ones first."""
    if not word:
        yield ""
    for size in (1, 2):
        symbol = word[:size].capitalize()
        if len(word) >= size and symbol in atomic_weights():
            yield from (symbol + rest for rest in _capitalised(word[size:]))


def _did_you_mean(candidates: list[str]) -> str:
    return (
        tr(" Did you mean {candidates}?", candidates=tr(" or ").join(candidates))
        if candidates
        else ""
    )
