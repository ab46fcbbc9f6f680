"""Speed of equilibrium compositions, as ratios within one run."""

import time

import cantera
import numpy as np
import pytest

from potash.equilibria import sweep
from potash.units import Quantity

TEMPERATURES = np.linspace(700.0, 1300.0, 200)
CHARGE = {"KCl": "1 mol", "Na": "1 mol"}
SPECIES = ("KCl", "NaCl", "K(g)", "K2", "Na(g)", "Na2", "K2Cl2", "Na2Cl2")  # ten with phases


@pytest.fixture(scope="module")
def reference():
    """The same ten species in Cantera, from its own NASA polynomials."""
    wanted = {"K", "K2", "Na", "Na2", "KCL", "NACL", "NaCL", "K2CL2", "Na2CL2"}
    gases = [s for s in cantera.Species.list_from_file("nasa_gas.yaml") if s.name in wanted]
    phases = [(cantera.Solution(thermo="ideal-gas", species=gases), 1.0)]
    solids = cantera.Species.list_from_file("nasa_condensed.yaml")
    phases += [(_fixed(s), 0.0) for s in solids if s.name in ("KCL(L)", "NaCL(L)")]
    mixture = cantera.Mixture(phases)
    assert mixture.n_species == 10
    return mixture


def _fixed(species):
    data = dict(species.input_data)
    data["equation-of-state"] = {"model": "constant-volume", "molar-volume": 3e-5}
    text = f"""
phases:
- {{name: '{species.name}', thermo: fixed-stoichiometry, species: ['{species.name}']}}
species: [{data}]
"""
    return cantera.Solution(yaml=text)


def _fastest(work, times):
    durations = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        durations.append(time.perf_counter() - start)
    return min(durations)


def test_a_sweep_costs_at_most_twelve_times_what_cantera_takes(reference):
    """Cantera's solver is compiled; ours takes a fraction of a millisecond a temperature."""
    names = reference.species_names
    start = [1.0 if name in ("KCL(L)", "Na") else 0.0 for name in names]

    def theirs():
        reference.species_moles = start
        for T in TEMPERATURES.tolist():
            reference.T, reference.P = T, 1e5
            reference.equilibrate("TP")

    def ours():
        return sweep(CHARGE, temperature=Quantity(TEMPERATURES, "K"), species=SPECIES)

    swept, compiled = _fastest(ours, 7), _fastest(theirs, 7)
    print(f"\n200 equilibria: {swept * 1e3:.0f} ms, Cantera {compiled * 1e3:.0f} ms")
    assert swept < 12 * compiled
