"""The molecule behind a liquid: read from SMILES, and searched for groups that metal attacks.

Groups are found on the structure by substructure search, never by the name. `rdkit` is loaded when
the first structure is read.
"""

from dataclasses import dataclass
from functools import cache
from typing import Any

from potash.solvents.errors import NotAMolecularLiquid, UnreadableStructure
from potash.words import tr
from potash.words.tables import read_toml

LONGEST_SMILES = 300  # characters; the largest liquid of the table takes 50

_NON_METALS = frozenset({"H", "B", "C", "N", "O", "F", "Si", "P", "S", "Cl", "Se", "Br", "I"})


@dataclass(frozen=True, slots=True)
class Group:
    """One kind of group, what becomes of it, and why.

    smarts: the substructure. effect: "attacked", "attacked when hot", "care", "takes electrons" or
    "takes up water". above: K, for "attacked when hot", else None.
    """

    name: str
    smarts: str
    effect: str
    because: str
    source: str
    above: float | None


@dataclass(frozen=True, slots=True)
class Structure:
    """A molecule and the groups found on it.

    smiles: canonical, so that equal molecules have equal text; flat: the same without stereo.
    key: the InChIKey, by which data are found.
    """

    smiles: str
    flat: str
    key: str
    formula: str
    groups: tuple[Group, ...]

    def with_effect(self, *effects: str) -> tuple[Group, ...]:
        """The groups found whose effect is one of ``effects``."""
        return tuple(group for group in self.groups if group.effect in effects)


@cache
def groups() -> tuple[Group, ...]:
    """The groups that are looked for, from groups.toml."""
    return tuple(_group(entry) for entry in read_toml("solvents/data/groups.toml")["group"])


@cache
def structure(smiles: str) -> Structure:
    """The structure that ``smiles`` writes.

    Raises: UnreadableStructure, where it is too long or does not parse; NotAMolecularLiquid, for a
    salt, a metal or several substances.
    Source: Weininger, J. Chem. Inf. Comput. Sci. 28 (1988) 31, for SMILES; `rdkit` reads it.
    """
    from rdkit import Chem
    from rdkit.Chem.rdMolDescriptors import CalcMolFormula

    molecule = _molecule(smiles)
    _require_one_neutral_molecule(smiles, molecule)
    return Structure(
        Chem.MolToSmiles(molecule),
        Chem.MolToSmiles(molecule, isomericSmiles=False),
        str(Chem.MolToInchiKey(molecule)),  # type: ignore[no-untyped-call]
        CalcMolFormula(molecule),
        tuple(group for group, pattern in _patterns() if molecule.HasSubstructMatch(pattern)),
    )


def parses(smiles: str) -> bool:
    """Whether ``smiles`` reads as a molecule at all."""
    try:
        _molecule(smiles)
    except UnreadableStructure:
        return False
    return True


def drawing(smiles: str, width: int = 220, height: int = 150) -> str:
    """An SVG drawing of the structure, with the groups that metal attacks marked.

    Raises: UnreadableStructure.
    """
    from rdkit.Chem.Draw import rdMolDraw2D

    molecule = _molecule(smiles)
    drawn = rdMolDraw2D.MolDraw2DSVG(width, height)
    options: Any = drawn.drawOptions()
    options.clearBackground = False
    options.setHighlightColour((0.98, 0.75, 0.55))
    rdMolDraw2D.PrepareAndDrawMolecule(drawn, molecule, highlightAtoms=_attacked_atoms(molecule))
    drawn.FinishDrawing()
    return str(drawn.GetDrawingText())


def _molecule(smiles: str) -> Any:
    from rdkit import Chem, rdBase

    if len(smiles) > LONGEST_SMILES:
        raise UnreadableStructure(
            tr(
                "This SMILES has {number} characters; at most {most} are read. A liquid has a "
                "small molecule.",
                number=len(smiles),
                most=LONGEST_SMILES,
            )
        )
    with rdBase.BlockLogs():
        molecule = Chem.MolFromSmiles(smiles) if smiles.strip() else None
    if molecule is None or molecule.GetNumAtoms() == 0:
        raise UnreadableStructure(
            tr(
                '"{smiles}" is not a SMILES that can be read: {complaint}. Write one such as '
                '"CC(C)c1ccc(C)cc1" (p-cymene): rings are closed by a pair of equal digits, '
                "brackets come in pairs, and each atom has its usual number of bonds.",
                smiles=smiles,
                complaint=_complaint(smiles),
            )
        )
    return molecule


def _complaint(smiles: str) -> str:
    """What is wrong with it, as far as can be told in a few words."""
    from rdkit import Chem, rdBase

    if smiles.count("(") != smiles.count(")"):
        return tr("its round brackets do not come in pairs")
    if smiles.count("[") != smiles.count("]"):
        return tr("its square brackets do not come in pairs")
    with rdBase.BlockLogs():
        unchecked = Chem.MolFromSmiles(smiles, sanitize=False) if smiles.strip() else None
        problems = Chem.DetectChemistryProblems(unchecked) if unchecked is not None else ()
    if problems:
        return str(problems[0].Message()).rstrip(".").lower().replace("# ", "")
    return tr("a ring is left open, or it holds a character that means nothing there")


def _require_one_neutral_molecule(smiles: str, molecule: Any) -> None:
    from rdkit import Chem

    symbols = {atom.GetSymbol() for atom in molecule.GetAtoms()}
    parts = Chem.GetMolFrags(molecule)
    charges = [atom.GetFormalCharge() for atom in molecule.GetAtoms()]
    of_parts = [sum(charges[atom] for atom in part) for part in parts]
    metallic = sorted(symbols - _NON_METALS)
    if any(of_parts):
        raise NotAMolecularLiquid(
            tr(
                '"{smiles}" is a salt or an ion. A working liquid is one neutral molecule; molten '
                "salts and ionic liquids are not screened here.",
                smiles=smiles,
            )
        )
    if metallic:
        raise NotAMolecularLiquid(
            tr(
                '"{smiles}" holds {metallic}. A working liquid is a neutral organic molecule '
                "without metals.",
                smiles=smiles,
                metallic=", ".join(metallic),
            )
        )
    if any(atom.GetNumRadicalElectrons() for atom in molecule.GetAtoms()):
        raise NotAMolecularLiquid(
            tr(
                '"{smiles}" is no molecule with all its bonds: an element or a radical. A working '
                "liquid is one neutral molecule.",
                smiles=smiles,
            )
        )
    if len(parts) > 1:
        raise NotAMolecularLiquid(
            tr(
                '"{smiles}" writes {number} substances, separated by a point. Screen each of them '
                "on its own.",
                smiles=smiles,
                number=len(parts),
            )
        )


@cache
def _patterns() -> tuple[tuple[Group, Any], ...]:
    from rdkit import Chem

    return tuple((group, Chem.MolFromSmarts(group.smarts)) for group in groups())


def _attacked_atoms(molecule: Any) -> list[int]:
    found = {
        atom
        for group, pattern in _patterns()
        if group.effect != "takes up water"
        for match in molecule.GetSubstructMatches(pattern)
        for atom in match
    }
    return sorted(found)


def _group(entry: dict[str, Any]) -> Group:
    above = entry.get("above")
    return Group(
        entry["name"],
        entry["smarts"],
        entry["effect"],
        entry["because"],
        entry["source"],
        None if above is None else above + 273.15,
    )
