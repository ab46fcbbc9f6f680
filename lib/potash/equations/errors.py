"""What can be wrong with a chemical equation."""

from typing import TYPE_CHECKING

from potash.errors import PotashError

if TYPE_CHECKING:
    from potash.equations.equation import Equation


class BadEquation(PotashError):
    """A text is not one chemical equation; mistakes inside a formula are BadFormula."""


class CannotBalance(PotashError):
    """No set of positive whole numbers balances the equation, or more than one does.

    reason: why, in words.
    independent: the independent reactions, where the equation is a mixture of several.
    """

    def __init__(self, reason: str, independent: "tuple[Equation, ...]" = ()) -> None:
        self.reason = reason
        self.independent = independent
        super().__init__("\n  ".join([reason, *map(str, independent)]))


class NoOxidationNumber(PotashError):
    """The rules for oxidation numbers do not decide this species."""


class NoHalfEquations(PotashError):
    """The equation does not fall into one oxidation and one reduction by simple ions."""
