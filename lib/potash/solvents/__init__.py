"""Which liquid to work in: screening by rules that can be read, switched off and cited.

A verdict is suitable, suitable with care or unsuitable, and always comes with every rule that
passed, failed or lacked data, in words. It never says that anything is permitted.
"""

from potash.solvents.candidates import Candidate, Known, candidate, offered
from potash.solvents.conditions import BEADS, OPERATIONS, Conditions, UnknownChoice, conditions
from potash.solvents.errors import (
    AboveAllData,
    NameOfAMixture,
    NotAMolecularLiquid,
    UnknownRule,
    UnreadableStructure,
)
from potash.solvents.loss import SolventLoss, solvent_loss
from potash.solvents.rulebook import Rule, rule, rules
from potash.solvents.screening import judge, screen, screen_solvents, table
from potash.solvents.structures import Group, Structure, drawing, groups, structure
from potash.solvents.verdicts import (
    CARE,
    FAILED,
    MEANING,
    NO_DATA,
    PASSED,
    SUITABLE,
    SUITABLE_WITH_CARE,
    UNSUITABLE,
    VERDICTS,
    Buoyancy,
    Crossing,
    Finding,
    Verdict,
)

__all__ = [
    "BEADS",
    "CARE",
    "FAILED",
    "MEANING",
    "NO_DATA",
    "OPERATIONS",
    "PASSED",
    "SUITABLE",
    "SUITABLE_WITH_CARE",
    "UNSUITABLE",
    "VERDICTS",
    "AboveAllData",
    "Buoyancy",
    "Candidate",
    "Conditions",
    "Crossing",
    "Finding",
    "Group",
    "Known",
    "NameOfAMixture",
    "NotAMolecularLiquid",
    "Rule",
    "SolventLoss",
    "Structure",
    "UnknownChoice",
    "UnknownRule",
    "UnreadableStructure",
    "Verdict",
    "candidate",
    "conditions",
    "drawing",
    "groups",
    "judge",
    "offered",
    "rule",
    "rules",
    "screen",
    "screen_solvents",
    "solvent_loss",
    "structure",
    "table",
]
