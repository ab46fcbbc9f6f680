r"""The amounts that minimise the Gibbs energy of pure condensed phases and one ideal gas.

.. math::
    \min_{n \ge 0} \; \sum_j n_j g_j + \sum_i n_i (g_i + \ln p + \ln x_i)
    \quad\text{with}\quad A n = b

Everything is in units of R T; g is the Gibbs energy at 1 bar, p in bar. With each gas taken as pure
this is a linear programme. Its tableau writes every species in terms of the few that dominate, and
in the same terms Newton's method lets the gas mix. Signs then show whether the phases are right:
no amount below zero, no condensed species that would gain by forming, no gas that would, where
there is none. A wrong one is exchanged. Should exchanges lead nowhere, the gas that would form at
the potentials of the programme joins it as one more species of fixed composition, a cutting plane
on the convex dual, and the search goes on from there; such planes end at the minimum.

All in plain floats: on arrays of ten numbers the calls would cost more than the arithmetic.

Sources: W. B. White, S. M. Johnson and G. B. Dantzig, J. Chem. Phys. 1958, 28, 751, for the problem
and its linear programme; J. E. Kelley, J. Soc. Ind. Appl. Math. 1960, 8, 703, for cutting planes.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log
from operator import mul

from potash.equilibria.errors import NoConvergence, NoFeasibleComposition
from potash.equilibria.gas import Gas, Row, pressures, settled
from potash.equilibria.programme import Programme

_MOST_CUTS = 60
_MOST_EXCHANGES = 20
_FEASIBLE = 1e-9  # of the largest total
_LEAST = 1e-10  # of the largest total: what an amount may be below zero
_TOLERANCE = 1e-9  # in R T: what a condensed species or a gas might gain by forming
_NEVER = 1e7  # R T a mole; costs more than the penalty of a programme for the same atoms
_ROUNDING = 1e-10  # what a cut has to gain, relative to the pressure
_ABSENT = 1e-13  # of the largest total: less gas than that is none
_NEGLIGIBLE = 1e-9  # entries of a tableau that cannot be divided by
_DEEP = 30.0  # R T; a gas at such a potential is nowhere
_SCARCE = -3.0  # potential from which a component is sought of which there is none, in R T


@dataclass(frozen=True, slots=True)
class Minimum:
    """Amounts at the minimum.

    condensed, gas: mol of each species. fractions: mole fractions in the gas, or, without a gas,
    in the first bubble that would form. potentials: of the balances, in R T.
    """

    condensed: Row
    gas: Row
    fractions: Row
    potentials: Row


@dataclass(frozen=True, slots=True)
class _State:
    """A gas over the condensed species of a basis.

    potentials: of each row, 0 for condensed species. log_total: of the gas, None where there is
    none. relative: pressure of each gas over the total pressure. amounts: of each condensed species
    of the basis, 0 in the rows of gases. slacks: what each condensed species lacks to form, in R T.
    """

    programme: Programme
    potentials: Row
    log_total: float | None
    relative: Row
    amounts: Row
    slacks: Row

    @property
    def is_minimum(self) -> bool:
        return (
            min(self.amounts) >= -_LEAST
            and min(self.slacks, default=0.0) >= -_TOLERANCE
            and sum(self.relative) <= 1.0 + _TOLERANCE
        )


class Minimiser:
    """One mixture, to be solved at any conditions; each answer starts from the one before.

    condensed, gas: atoms of each balance in each species. totals: of each balance, mol, none
    negative and not all zero. Balances that follow from others do no harm.
    """

    def __init__(
        self, condensed: Sequence[Row], gas: Sequence[Row], totals: Sequence[float]
    ) -> None:
        self._scale = max(totals)
        self._blank = Programme([*condensed, *gas], [total / self._scale for total in totals])
        self._condensed = slice(self._blank.first, self._blank.first + len(condensed))
        self._gas = slice(self._condensed.stop, self._condensed.stop + len(gas))
        self._last: _State | None = None

    def at(self, condensed_energies: Row, gas_energies: Row) -> Minimum:
        """The minimum at one temperature and pressure.

        Parameters: energies over R T at that temperature, of the gases with ln(p/bar) added;
        infinite for species that cannot form.
        Raises: NoFeasibleComposition, NoConvergence.
        """
        energies = [min(g, _NEVER) for g in (*condensed_energies, *gas_energies)]
        found = self._from_last(energies) or self._from_scratch(energies)
        self._last = found if self._is_pure(found.programme) else None
        return self._minimum(found)

    def _from_last(self, energies: Row) -> _State | None:
        if self._last is None:
            return None
        programme = self._last.programme
        programme.price(energies)
        if any(programme.costs[j] == _NEVER for j in programme.basis):
            return None
        return self._exchanged(programme, self._last.potentials, self._last.log_total)

    def _from_scratch(self, energies: Row) -> _State:
        relaxed = self._blank.copy()
        relaxed.price(energies)
        relaxed.optimise()
        if relaxed.unmet > _FEASIBLE:
            raise NoFeasibleComposition("The species considered cannot hold these amounts.")
        relaxed.reduce()  # without the rounding that the penalty left
        for _ in range(_MOST_CUTS):
            found = self._from_programme(relaxed)
            if found is not None:
                return found
            self._cut(relaxed)
            relaxed.optimise()
        raise NoConvergence("The equilibrium calculation did not settle on a set of phases.")

    # ------------------------------------------------------------------ where to begin

    def _is_pure(self, programme: Programme) -> bool:
        """Whether no gas of fixed composition has joined it."""
        return len(programme.costs) == self._gas.stop

    def _from_programme(self, relaxed: Programme) -> _State | None:
        """The minimum, from the species that dominate a programme."""
        log_total = self._log_total(relaxed)
        if self._is_pure(relaxed):
            programme, potentials = relaxed.copy(), self._shares(relaxed, log_total)
        else:
            bare = self._state(relaxed, [0.0] * len(relaxed.rows), None)
            if log_total is None and bare.is_minimum:
                return bare
            programme = self._purified(relaxed)
            potentials = [-relaxed.reduced[j] if self._is_gas(j) else 0.0 for j in programme.basis]
        return self._exchanged(programme, potentials, log_total)

    def _is_gas(self, column: int) -> bool:
        return column >= self._gas.start

    def _gas_rows(self, programme: Programme) -> list[int]:
        return [i for i, j in enumerate(programme.basis) if j >= self._gas.start]

    def _log_total(self, programme: Programme) -> float | None:
        total = sum(abs(programme.rows[i][0]) for i in self._gas_rows(programme))
        return log(total) if total > _ABSENT else None

    def _shares(self, programme: Programme, log_total: float | None) -> Row:
        """Potentials at which the gases of the basis have the mole fractions of the programme."""
        potentials = [0.0] * len(programme.rows)
        if log_total is not None:
            for i in self._gas_rows(programme):
                amount = programme.rows[i][0]
                potentials[i] = log(amount) - log_total if amount > _ABSENT else _SCARCE
        return potentials

    def _cut(self, relaxed: Programme) -> None:
        """Let the gas that would form at the potentials of a programme join it.

        Raises: NoConvergence, if it would not form.
        """
        relative = pressures([], relaxed.reduced[self._gas], [])
        total = sum(relative)
        if total < 1.0 + _ROUNDING:
            raise NoConvergence("The phases of the equilibrium could not be told apart.")
        gas = [(j, y / total) for j, y in enumerate(relative, self._gas.start) if y > 0]
        relaxed.append(gas, sum(x * (relaxed.costs[j] + log(x)) for j, x in gas))

    def _purified(self, relaxed: Programme) -> Programme:
        """At a basis of species, with the most plentiful in place of each gas that joined."""
        basis = relaxed.copy()
        for i, joined in enumerate(basis.basis):
            if joined >= self._gas.stop:
                plenty = {
                    j: abs(basis.rows[i][j]) * exp(-max(relaxed.reduced[j], 0.0))
                    for j in range(self._gas.start, self._gas.stop)
                    if j not in basis.basis
                }
                basis.pivot(i, max(plenty, key=lambda j: plenty[j]))
        programme = self._blank.copy()
        programme.price(relaxed.costs[self._blank.first : self._gas.stop])
        programme.move_to(basis.basis)
        return programme

    # ------------------------------------------------------------------ phases and amounts

    def _exchanged(
        self, programme: Programme, potentials: Row, log_total: float | None
    ) -> _State | None:
        """The minimum, from a basis that is mended where signs show that it is wrong."""
        tried: set[frozenset[int]] = set()
        while len(tried) < _MOST_EXCHANGES and frozenset(programme.basis) not in tried:
            tried.add(frozenset(programme.basis))
            state = self._settled(programme, potentials, log_total)
            if state is None or state.is_minimum:
                return state
            exchange = self._exchange(state)
            if exchange is None:
                return None
            potentials = self._entered(state, *exchange)
            programme.pivot(*exchange)
            if log_total is None or self._log_total(programme) is None:
                log_total = self._log_total(programme)
            else:
                log_total = state.log_total
        return None

    def _settled(
        self, programme: Programme, potentials: Row, log_total: float | None
    ) -> _State | None:
        """The gas over the condensed species of the basis, or that there is none."""
        gas_rows = self._gas_rows(programme)
        potentials = potentials.copy()
        if log_total is None:
            depth = self._room(programme, gas_rows)
            for i in gas_rows:
                potentials[i] = -depth
            return self._state(programme, potentials, None)
        gas = settled(
            [programme.rows[i][self._gas] for i in gas_rows],
            programme.reduced[self._gas],
            [programme.rows[i][0] for i in gas_rows],
            Gas([potentials[i] for i in gas_rows], log_total),
        )
        if gas is None:
            return None
        for i, u in zip(gas_rows, gas.potentials, strict=True):
            potentials[i] = u
        return self._state(programme, potentials, gas.log_total)

    def _room(self, programme: Programme, gas_rows: list[int]) -> float:
        """How far to lower the potentials of gases of which there are none.

        Anything up to where a condensed species forms is as right; half of it is in the clear.
        """
        rows = [programme.rows[i][self._condensed] for i in gas_rows]
        slacks = programme.reduced[self._condensed]
        rates = map(sum, zip(*rows, strict=True))
        limits = [-a / b for a, b in zip(slacks, rates, strict=False) if b < -_NEGLIGIBLE]
        return 0.5 * max(min([_DEEP, *limits]), 0.0)

    def _state(self, programme: Programme, potentials: Row, log_total: float | None) -> _State:
        gas_rows = self._gas_rows(programme)
        u = [potentials[i] for i in gas_rows]
        rows = [programme.rows[i] for i in gas_rows]
        relative = pressures([r[self._gas] for r in rows], programme.reduced[self._gas], u)
        total = 0.0 if log_total is None else exp(log_total)
        amounts = [
            0.0 if self._is_gas(j) else row[0] - total * sum(map(mul, row[self._gas], relative))
            for row, j in zip(programme.rows, programme.basis, strict=True)
        ]
        slacks = programme.reduced[self._condensed]
        for potential, row in zip(u, rows, strict=True):
            if potential:
                takes = row[self._condensed]
                slacks = [a - potential * b for a, b in zip(slacks, takes, strict=True)]
        return _State(programme, potentials, log_total, relative, amounts, slacks)

    def _exchange(self, state: _State) -> tuple[int, int] | None:
        """Which row leaves the basis and which column enters, or None if nothing fits."""
        if min(state.amounts) < -_LEAST:
            i = state.amounts.index(min(state.amounts))
            return self._replaced_by_gas(state, i)
        if min(state.slacks, default=0.0) < -_TOLERANCE:
            return self._room_for(state, state.slacks.index(min(state.slacks)))
        return self._first_bubble(state)

    def _replaced_by_gas(self, state: _State, i: int) -> tuple[int, int] | None:
        """For a condensed species that the gas takes up: the gas that takes most of it."""
        row = state.programme.rows[i][self._gas]
        taken = list(map(mul, row, state.relative))
        j = taken.index(max(taken))
        return (i, self._gas.start + j) if row[j] > _NEGLIGIBLE else None

    def _room_for(self, state: _State, condensed: int) -> tuple[int, int] | None:
        """For a condensed species that forms: the scarcest gas it is made of, or what it uses up.

        A gas in the basis serves to express the others; while there is more than one, any will do.
        """
        j = self._condensed.start + condensed
        column = [row[j] for row in state.programme.rows]
        gas_rows = self._gas_rows(state.programme)
        made_of = [i for i in gas_rows if abs(column[i]) > _NEGLIGIBLE]
        if len(gas_rows) > 1 and made_of:
            return max(made_of, key=lambda i: abs(column[i]) * exp(-state.potentials[i])), j
        return self._used_up(state, j)

    def _first_bubble(self, state: _State) -> tuple[int, int] | None:
        """Where a gas forms that was not there: the most plentiful one, for what it uses up."""
        basis = state.programme.basis
        others = [j for j in range(self._gas.start, self._gas.stop) if j not in basis]
        j = max(others, key=lambda j: state.relative[j - self._gas.start], default=None)
        return None if j is None else self._used_up(state, j)

    def _used_up(self, state: _State, j: int) -> tuple[int, int] | None:
        programme = state.programme
        lasts = {
            i: (row[0] if self._is_gas(k) else amount) / row[j]
            for i, (row, k, amount) in enumerate(
                zip(programme.rows, programme.basis, state.amounts, strict=True)
            )
            if row[j] > _NEGLIGIBLE
        }
        return (min(lasts, key=lambda i: lasts[i]), j) if lasts else None

    def _entered(self, state: _State, i: int, j: int) -> Row:
        """The potentials once column ``j`` has taken the place of row ``i``."""
        potentials = state.potentials.copy()
        potentials[i] = 0.0
        if self._is_gas(j):
            rows = state.programme.rows
            worth = sum(u * row[j] for u, row in zip(state.potentials, rows, strict=True))
            potentials[i] = worth - state.programme.reduced[j]
        return potentials

    # ------------------------------------------------------------------ telling

    def _minimum(self, found: _State) -> Minimum:
        programme, scale = found.programme, self._scale
        gas_total = 0.0 if found.log_total is None else exp(found.log_total) * scale
        condensed = [0.0] * (self._condensed.stop - self._condensed.start)
        for amount, j in zip(found.amounts, programme.basis, strict=True):
            if self._condensed.start <= j < self._condensed.stop:
                condensed[j - self._condensed.start] = max(amount, 0.0) * scale
        pressure = sum(found.relative) or 1.0
        worth = [
            programme.costs[j] + u for j, u in zip(programme.basis, found.potentials, strict=True)
        ]
        inverse = zip(*(row[1 : programme.first] for row in programme.rows), strict=True)
        return Minimum(
            condensed=condensed,
            gas=[gas_total * y for y in found.relative],
            fractions=[y / pressure for y in found.relative],
            potentials=[sum(map(mul, worth, column)) for column in inverse],
        )
