"""Which phases of a mixture are there: a gas settled over some, the signs looked at, one exchanged.

Signs show whether the phases are those of the minimum: no amount below zero, no condensed species
that would gain by forming, no gas that would, where there is none.
"""

from dataclasses import dataclass
from math import exp, log
from operator import mul

from potash.equilibria.gas import pressures, settled
from potash.equilibria.programme import Programme
from potash.equilibria.rows import Row, less

_MOST_EXCHANGES = 20
_LEAST = 1e-13  # of the largest total: what an amount may be below zero
_TOLERANCE = 1e-9  # in R T: what a condensed species or a gas might gain by forming
_ABSENT = 1e-13  # of the largest total: less gas than that is none
_NEGLIGIBLE = 1e-9  # entries of a tableau that cannot be divided by
_DEEP = 30.0  # R T; a gas at such a potential is nowhere
_SCARCE = -3.0  # potential from which a component is sought of which there is none, in R T


@dataclass(frozen=True, slots=True)
class State:
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
        """Whether all signs are right."""
        return (
            min(self.amounts) >= -_LEAST
            and min(self.slacks, default=0.0) >= -_TOLERANCE
            and sum(self.relative) <= 1.0 + _TOLERANCE
        )


@dataclass(frozen=True, slots=True)
class Phases:
    """The columns of a programme that are condensed species and those that are gases."""

    condensed: slice
    gas: slice

    def is_gas(self, column: int) -> bool:
        """Also true of gases of fixed composition that joined the programme."""
        return bool(column >= self.gas.start)

    def gas_rows(self, programme: Programme) -> list[int]:
        """The rows of the basis that stand for gases."""
        first = self.gas.start
        return [i for i, j in enumerate(programme.basis) if j >= first]

    def log_total(self, programme: Programme) -> float | None:
        """Of the gases of the basis, each taken as pure; None where there is none."""
        total = sum(abs(programme.rows[i][0]) for i in self.gas_rows(programme))
        return log(total) if total > _ABSENT else None

    def shares(self, programme: Programme, log_total: float | None) -> Row:
        """Potentials at which the gases of the basis have the mole fractions of the programme."""
        potentials = [0.0] * len(programme.rows)
        if log_total is not None:
            for i in self.gas_rows(programme):
                amount = programme.rows[i][0]
                potentials[i] = log(amount) - log_total if amount > _ABSENT else _SCARCE
        return potentials

    def exchanged(
        self, programme: Programme, potentials: Row, log_total: float | None
    ) -> State | None:
        """The minimum, from a basis that is mended where signs show that it is wrong.

        Parameters: potentials of the rows and ln of the amount of gas to begin with.
        Returns: None, if exchanges of one phase for another lead nowhere.
        """
        tried: set[frozenset[int]] = set()
        while len(tried) < _MOST_EXCHANGES and (basis := frozenset(programme.basis)) not in tried:
            tried.add(basis)
            state = self._settled(programme, potentials, log_total)
            if state is None or state.is_minimum:
                return state
            exchange = self._exchange(state)
            if exchange is None:
                return None
            potentials = self._entered(state, *exchange)
            programme.pivot(*exchange)
            unmixed = self.log_total(programme)
            log_total = unmixed if None in (unmixed, log_total) else state.log_total
        return None

    def _settled(
        self, programme: Programme, potentials: Row, log_total: float | None
    ) -> State | None:
        """The gas over the condensed species of the basis, or that there is none."""
        gas_rows = self.gas_rows(programme)
        takes = [programme.rows[i][self.gas] for i in gas_rows]
        energies = programme.reduced[self.gas]
        settled_at = [0.0] * len(programme.rows)
        if log_total is None:
            u = [-self._room(programme, gas_rows)] * len(gas_rows)
            relative = pressures(takes, energies, u)
        else:
            held = [programme.rows[i][0] for i in gas_rows]
            guess = [potentials[i] for i in gas_rows]
            gas = settled(takes, energies, held, guess, log_total)
            if gas is None:
                return None
            u, log_total, relative = gas.potentials, gas.log_total, gas.relative
        for i, potential in zip(gas_rows, u, strict=True):
            settled_at[i] = potential
        return self._state(programme, settled_at, log_total, relative)

    def _room(self, programme: Programme, gas_rows: list[int]) -> float:
        """How far to lower the potentials of gases of which there are none.

        Anything up to where a condensed species forms is as right; half of it is in the clear.
        """
        rows = [programme.rows[i][self.condensed] for i in gas_rows]
        slacks = programme.reduced[self.condensed]
        rates = map(sum, zip(*rows, strict=True))
        limits = [-a / b for a, b in zip(slacks, rates, strict=False) if b < -_NEGLIGIBLE]
        return 0.5 * max(min([_DEEP, *limits]), 0.0)

    def bare(self, programme: Programme) -> State:
        """Without a gas, at the potentials of the programme."""
        relative = pressures([], programme.reduced[self.gas], [])
        return self._state(programme, [0.0] * len(programme.rows), None, relative)

    def _state(
        self, programme: Programme, potentials: Row, log_total: float | None, relative: Row
    ) -> State:
        """What follows from these potentials and this gas."""
        total = 0.0 if log_total is None else exp(log_total)
        amounts = [0.0] * len(programme.rows)
        slacks = programme.reduced[self.condensed]
        for i, row in enumerate(programme.rows):
            if not self.is_gas(programme.basis[i]):
                amounts[i] = row[0] - total * sum(map(mul, row[self.gas], relative))
            elif potentials[i]:
                slacks = less(slacks, potentials[i], row[self.condensed])
        return State(programme, potentials, log_total, relative, amounts, slacks)

    def _exchange(self, state: State) -> tuple[int, int] | None:
        """Which row leaves the basis and which column enters, or None if nothing fits."""
        if min(state.amounts) < -_LEAST:
            i = state.amounts.index(min(state.amounts))
            return self._replaced_by_gas(state, i)
        if min(state.slacks, default=0.0) < -_TOLERANCE:
            return self._room_for(state, state.slacks.index(min(state.slacks)))
        return self._first_bubble(state)

    def _replaced_by_gas(self, state: State, i: int) -> tuple[int, int] | None:
        """For a condensed species that the gas takes up: the gas that takes most of it."""
        row = state.programme.rows[i][self.gas]
        taking = [j for j, nu in enumerate(row) if nu > _NEGLIGIBLE]
        j = max(taking, key=lambda j: row[j] * state.relative[j], default=None)
        return None if j is None else (i, self.gas.start + j)

    def _room_for(self, state: State, condensed: int) -> tuple[int, int] | None:
        """For a condensed species that forms: the scarcest gas it is made of, or what it uses up.

        A gas in the basis serves to express the others; while there is more than one, any will do.
        """
        j = self.condensed.start + condensed
        column = [row[j] for row in state.programme.rows]
        gas_rows = self.gas_rows(state.programme)
        made_of = [i for i in gas_rows if abs(column[i]) > _NEGLIGIBLE]
        if len(gas_rows) > 1 and made_of:
            return max(made_of, key=lambda i: abs(column[i]) * exp(-state.potentials[i])), j
        return self._used_up(state, j)

    def _first_bubble(self, state: State) -> tuple[int, int] | None:
        """Where a gas forms that was not there: the most plentiful one, for what it uses up."""
        basis = state.programme.basis
        others = [j for j in range(self.gas.start, self.gas.stop) if j not in basis]
        j = max(others, key=lambda j: state.relative[j - self.gas.start], default=None)
        return None if j is None else self._used_up(state, j)

    def _used_up(self, state: State, j: int) -> tuple[int, int] | None:
        """For column ``j``: the row that it uses up first."""
        programme = state.programme
        lasts = {
            i: (row[0] if self.is_gas(k) else amount) / row[j]
            for i, (row, k, amount) in enumerate(
                zip(programme.rows, programme.basis, state.amounts, strict=True)
            )
            if row[j] > _NEGLIGIBLE
        }
        return (min(lasts, key=lambda i: lasts[i]), j) if lasts else None

    def _entered(self, state: State, i: int, j: int) -> Row:
        """The potentials once column ``j`` has taken the place of row ``i``."""
        potentials = state.potentials.copy()
        potentials[i] = 0.0
        if self.is_gas(j):
            rows = state.programme.rows
            worth = sum(u * row[j] for u, row in zip(state.potentials, rows, strict=True))
            potentials[i] = worth - state.programme.reduced[j]
        return potentials
