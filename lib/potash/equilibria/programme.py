"""The simplex method on a tableau that can be looked into, copied and given more columns.

Source: G. B. Dantzig, Linear Programming and Extensions, 1963, chapters 5 and 8; R. G. Bland, Math.
Oper. Res. 1977, 2, 103, for a rule that cannot go round in circles.
"""

from collections.abc import Sequence
from operator import mul

from potash.equilibria.errors import NoConvergence
from potash.equilibria.rows import Row, less
from potash.words import tr

_ROUNDING = 1e-10  # entries and reduced costs that count as zero
_PENALTY = 1e5  # R T a mole of a balance that no species meets; more than any compound is worth
_SWIFT = 50  # pivots after which Bland's rule takes over
_MOST_PIVOTS = 500


class Programme:
    """Amounts that minimise ``costs . n`` with ``A n = b`` and ``n >= 0``.

    Columns: the amounts b, one a balance for what no species meets, then one a species, from
    ``first`` on. basis: the column that each row stands for. rows: all columns in terms of the
    basis, so that ``rows[i][0]`` is the amount of ``basis[i]``. reduced: what each column costs
    more than the same made of the basis. Lists are replaced, never changed, so copies are cheap.
    """

    __slots__ = ("_weights", "basis", "costs", "first", "reduced", "rows")

    def __init__(self, species: Sequence[Row], totals: Sequence[float]) -> None:
        m = len(totals)
        self.first = 1 + m
        self.basis = list(range(1, 1 + m))
        unit = [[float(i == k) for k in range(m)] for i in range(m)]
        self.rows: list[Row] = [
            [total, *unmet, *atoms]
            for total, unmet, *atoms in zip(totals, unit, *species, strict=True)
        ]
        self.costs: Row = []
        self.reduced: Row = []
        # By the atom the first pivots bring in what stays; by the mole they bring in what is big.
        self._weights = [1.0 / (sum(map(abs, atoms)) or 1.0) for atoms in species]

    def copy(self) -> "Programme":
        """Another one at the same basis."""
        found = Programme.__new__(Programme)
        found.first, found.costs, found.reduced = self.first, self.costs, self.reduced
        found.basis, found.rows = self.basis.copy(), self.rows.copy()
        found._weights = self._weights
        return found

    @property
    def unmet(self) -> float:
        """How much of the balances no species meets."""
        return sum([self.rows[i][0] for i, j in enumerate(self.basis) if j < self.first])

    def price(self, costs: Sequence[float]) -> None:
        """Take these costs of the species."""
        self.costs = [0.0, *[_PENALTY] * len(self.rows), *costs]
        self.reduce()

    def reduce(self) -> None:
        """Reckon the reduced costs afresh."""
        reduced = self.costs
        for i, j in enumerate(self.basis):
            reduced = less(reduced, self.costs[j], self.rows[i])
        self.reduced = reduced

    def optimise(self) -> None:
        """Pivot to the minimum, from a basis with amounts of at least zero.

        Raises: NoConvergence.
        """
        for count in range(_MOST_PIVOTS):
            j = self._cheapest() if count < _SWIFT else self._earliest()
            if self.reduced[j] >= -_ROUNDING:
                return
            self.pivot(self._used_up(j), j)
        raise NoConvergence(tr("The dominant species could not be found."))

    def _cheapest(self) -> int:
        gains = list(map(mul, self.reduced[self.first :], self._weights))
        return self.first + gains.index(min(gains))

    def _earliest(self) -> int:
        species = range(self.first, len(self.reduced))
        return next((j for j in species if self.reduced[j] < -_ROUNDING), self.first)

    def _used_up(self, j: int) -> int:
        """The row whose amount the least of column ``j`` uses up; of equals, the earliest column's.

        Raises: ValueError, if there is none.
        """
        rows = enumerate(self.rows)
        lasts = [(row[0] / row[j], self.basis[i], i) for i, row in rows if row[j] > _ROUNDING]
        return min(lasts)[2]

    def pivot(self, i: int, j: int) -> None:
        """Let column ``j`` take the place of row ``i`` in the basis."""
        divisor = self.rows[i][j]
        entering = [a / divisor for a in self.rows[i]]
        for k, row in enumerate(self.rows):
            if row[j] and k != i:
                self.rows[k] = less(row, row[j], entering)
        self.rows[i] = entering
        self.reduced = less(self.reduced, self.reduced[j], entering)
        self.basis[i] = j

    def move_to(self, basis: Sequence[int]) -> None:
        """Pivot to these columns, whatever the signs of their amounts."""
        for j in basis:
            if j not in self.basis:
                leaving = [i for i, k in enumerate(self.basis) if k not in basis]
                self.pivot(max(leaving, key=lambda i: abs(self.rows[i][j])), j)

    def append(self, parts: Sequence[tuple[int, float]], cost: float) -> None:
        """One more column, made of these amounts of other columns."""
        self.rows = [[*row, sum(row[j] * x for j, x in parts)] for row in self.rows]
        used = sum(map(mul, (row[-1] for row in self.rows), (self.costs[j] for j in self.basis)))
        self._weights = [*self._weights, 1.0]
        self.costs = [*self.costs, cost]
        self.reduced = [*self.reduced, cost - used]
