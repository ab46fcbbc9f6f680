r"""The amounts that minimise the Gibbs energy of pure condensed phases and one ideal gas.

.. math::
    \min_{n \ge 0} \; \sum_j n_j g_j + \sum_i n_i (g_i + \ln p + \ln x_i)
    \quad\text{with}\quad A n = b

Everything is in units of R T; g is the Gibbs energy at 1 bar, p in bar. With each gas taken as pure
this is a linear programme. Its tableau writes every species in terms of the few that dominate, and
in the same terms Newton's method lets the gas mix; a phase that turns out wrong is exchanged.
Should that lead nowhere, the gas that would form at the potentials of the programme joins it as one
more species of fixed composition, a cutting plane on the convex dual, and the search goes on.

All in plain floats: on arrays of ten numbers the calls would cost more than the arithmetic.

Sources: W. B. White, S. M. Johnson and G. B. Dantzig, J. Chem. Phys. 1958, 28, 751, for the problem
and its linear programme; J. E. Kelley, J. Soc. Ind. Appl. Math. 1960, 8, 703, for cutting planes.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log
from operator import mul

from potash.equilibria.errors import NoConvergence, NoFeasibleComposition
from potash.equilibria.gas import pressures
from potash.equilibria.phases import Phases, State
from potash.equilibria.programme import Programme
from potash.equilibria.rows import Row
from potash.words import tr

_MOST_CUTS = 60
_FEASIBLE = 1e-9  # of the largest total
_NEVER = 1e7  # R T a mole; costs more than the penalty of a programme for the same atoms
_ROUNDING = 1e-10  # what a cut has to gain, relative to the pressure
_NEGLIGIBLE = 1e-9  # entries of a tableau that cannot be divided by


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
        first, first_gas = self._blank.first, self._blank.first + len(condensed)
        self._phases = Phases(slice(first, first_gas), slice(first_gas, first_gas + len(gas)))
        self._last: State | None = None

    def at(self, condensed_energies: Row, gas_energies: Row) -> Minimum:
        """The minimum at one temperature and pressure.

        Parameters: energies over R T at that temperature, of the gases with ln(p/bar) added;
        infinite for species that cannot form.
        Raises: NoFeasibleComposition, NoConvergence.
        """
        energies = [g if g < _NEVER else _NEVER for g in (*condensed_energies, *gas_energies)]
        found = self._from_last(energies) or self._from_scratch(energies)
        self._last = found if self._is_pure(found.programme) else None
        return self._minimum(found)

    def _from_last(self, energies: Row) -> State | None:
        if self._last is None:
            return None
        programme = self._last.programme
        programme.price(energies)
        if any(programme.costs[j] == _NEVER for j in programme.basis):
            return None
        return self._phases.exchanged(programme, self._last.potentials, self._last.log_total)

    def _from_scratch(self, energies: Row) -> State:
        relaxed = self._blank.copy()
        relaxed.price(energies)
        relaxed.optimise()
        if relaxed.unmet > _FEASIBLE:
            raise NoFeasibleComposition(tr("The species considered cannot hold these amounts."))
        relaxed.reduce()  # without the rounding that the penalty left
        for _ in range(_MOST_CUTS):
            found = self._from_programme(relaxed)
            if found is not None:
                return found
            self._cut(relaxed)
            relaxed.optimise()
        raise NoConvergence(tr("The equilibrium calculation did not settle on a set of phases."))

    # ------------------------------------------------------------------ where to begin

    def _is_pure(self, programme: Programme) -> bool:
        """Whether no gas of fixed composition has joined it."""
        return bool(len(programme.costs) == self._phases.gas.stop)

    def _from_programme(self, relaxed: Programme) -> State | None:
        """The minimum, from the species that dominate a programme."""
        log_total = self._phases.log_total(relaxed)
        if self._is_pure(relaxed):
            programme, potentials = relaxed.copy(), self._phases.shares(relaxed, log_total)
        else:
            bare = self._phases.bare(relaxed)
            if log_total is None and bare.is_minimum:
                return bare
            programme = self._purified(relaxed)
            potentials = [
                -relaxed.reduced[j] if self._phases.is_gas(j) else 0.0 for j in programme.basis
            ]
        return self._phases.exchanged(programme, potentials, log_total)

    def _cut(self, relaxed: Programme) -> None:
        """Let the gas that would form at the potentials of a programme join it.

        Raises: NoConvergence, if it would not form.
        """
        relative = pressures([], relaxed.reduced[self._phases.gas], [])
        total = sum(relative)
        if total < 1.0 + _ROUNDING:
            raise NoConvergence(tr("The phases of the equilibrium could not be told apart."))
        gas = [(j, y / total) for j, y in enumerate(relative, self._phases.gas.start) if y > 0]
        relaxed.append(gas, sum(x * (relaxed.costs[j] + log(x)) for j, x in gas))

    def _purified(self, relaxed: Programme) -> Programme:
        """At a basis of species, with the most plentiful in place of each gas that joined.

        Raises: NoConvergence, if none can take its place.
        """
        gases = range(self._phases.gas.start, self._phases.gas.stop)
        basis = relaxed.copy()
        for i, joined in enumerate(relaxed.basis):
            if joined >= gases.stop:
                plenty = {
                    j: abs(basis.rows[i][j]) * exp(-max(relaxed.reduced[j], 0.0))
                    for j in gases
                    if j not in basis.basis and abs(basis.rows[i][j]) > _NEGLIGIBLE
                }
                if not plenty:
                    raise NoConvergence(tr("The gases of the equilibrium could not be told apart."))
                basis.pivot(i, max(plenty, key=lambda j: plenty[j]))
        programme = self._blank.copy()
        programme.price(relaxed.costs[self._blank.first : self._phases.gas.stop])
        programme.move_to(basis.basis)
        return programme

    def _minimum(self, found: State) -> Minimum:
        programme, scale = found.programme, self._scale
        gas_total = 0.0 if found.log_total is None else exp(found.log_total) * scale
        amounts = dict(zip(programme.basis, found.amounts, strict=True))
        solids = range(self._phases.condensed.start, self._phases.condensed.stop)
        pressure = sum(found.relative) or 1.0
        worth = [programme.costs[j] + found.potentials[i] for i, j in enumerate(programme.basis)]
        inverse = zip(*(row[1 : programme.first] for row in programme.rows), strict=True)
        return Minimum(
            condensed=[max(amounts.get(j, 0.0), 0.0) * scale for j in solids],
            gas=[gas_total * y for y in found.relative],
            fractions=[y / pressure for y in found.relative],
            potentials=[sum(map(mul, worth, column)) for column in inverse],
        )
