"""Equilibrium compositions against Cantera's multiphase solver, with the data made the same."""

import cantera
import numpy as np
import pytest
from scipy.optimize import nnls

from potash.equilibria import equilibrium
from potash.equilibria.mixture import mixture

# Every charge that is solved: what is put in, K, bar.
CHARGES = {
    "chloride with sodium": ({"KCl": 1.0, "Na": 1.0}, 1150.0, 1.0),
    "hydroxide with magnesium": ({"KOH": 2.0, "Mg": 2.0}, 1300.0, 1.0),
    "calcite, held": ({"CaCO3": 1.0}, 1100.0, 1.0),
    "calcite, decomposed": ({"CaCO3": 1.0}, 1190.0, 1.0),
    "carbonate with carbon": ({"Na2CO3": 1.0, "C": 2.0}, 1400.0, 1.0),
    "dolime with silicon in vacuum": ({"CaO": 2.0, "MgO": 2.0, "Si": 1.0}, 1450.0, 1e-3),
    "caesium chloride with calcium": ({"CsCl": 2.0, "Ca": 1.0}, 1100.0, 1e-3),
    "ammonia": ({"N2": 1.0, "H2": 3.0}, 700.0, 100.0),
    "lithium chloride with magnesium": ({"LiCl": 2.0, "Mg": 1.0}, 1300.0, 1e-3),
    "superoxide": ({"KO2": 1.0}, 1300.0, 0.1),
}


def _quantities(charge):
    """Amounts as Potash reads them."""
    return {formula: f"{moles} mol" for formula, moles in charge.items()}


def _cantera_mixture(charge, T, p):
    """A mixture of one ideal-gas phase and one fixed phase a condensed species, at T and p (bar).

    The amounts it starts from are some that hold the right atoms, not those of the equilibrium.
    """
    mixed = mixture(_quantities(charge), None)
    gas = [_species(c, T) for c in mixed.gas if c.has_data_at(T)]
    phases = [cantera.Solution(thermo="ideal-gas", kinetics=None, species=gas, name="gas")]
    phases += [_fixed_phase(c, T) for c in mixed.condensed if c.has_data_at(T)]
    found = cantera.Mixture([(phase, 1.0 if i == 0 else 0.0) for i, phase in enumerate(phases)])
    found.T, found.P = T, p * 1e5
    atoms = np.array(
        [
            [found.n_atoms(k, found.element_index(e)) for k in range(found.n_species)]
            for e in mixed.elements
        ]
    )
    found.species_moles = nnls(atoms, mixed.totals)[0]
    return found


def _species(candidate, T):
    enthalpy, entropy = _values(candidate, T)
    found = cantera.Species(candidate.name_at(T), dict(candidate.atoms))
    found.thermo = cantera.ConstantCp(200.0, 3000.0, 1e5, [T, 1e3 * enthalpy, 1e3 * entropy, 0.0])
    return found


def _fixed_phase(candidate, T):
    enthalpy, entropy = _values(candidate, T)
    name = candidate.name_at(T)
    atoms = ", ".join(f"{element}: {number:g}" for element, number in candidate.atoms.items())
    return cantera.Solution(
        yaml=f"""
phases:
- {{name: '{name}', thermo: fixed-stoichiometry, species: ['{name}']}}
species:
- name: '{name}'
  composition: {{{atoms}}}
  thermo:
    {{model: constant-cp, T0: {T}, h0: {enthalpy!r} J/mol, s0: {entropy!r} J/mol/K,
     cp0: 0 J/mol/K, reference-pressure: 1e5}}
  equation-of-state: {{model: constant-volume, molar-volume: 1e-12 m^3/mol}}
"""
    )


def _values(candidate, T):
    segment = next(s for s in candidate.segments if s.high > T or s is candidate.segments[-1])
    enthalpy = segment.enthalpy(T)
    return float(enthalpy), float((enthalpy - candidate.gibbs_energy(T)) / T)


# Cantera 3, Mixture.equilibrate: its Gibbs solver, which settles on these charges.
@pytest.mark.parametrize("name", CHARGES)
def test_amounts_match_the_multiphase_equilibrium_of_cantera(name, ledger):
    charge, T, p = CHARGES[name]
    reference = _cantera_mixture(charge, T, p)
    reference.equilibrate("TP", solver="gibbs", rtol=1e-11, max_steps=10_000)
    found = equilibrium(_quantities(charge), temperature=f"{T} K", pressure=f"{p} bar")
    expected = dict(zip(reference.species_names, reference.species_moles, strict=True))
    assert set(expected) == set(found.considered)
    total = sum(charge.values())
    for species, moles in expected.items():
        difference = (found.amount(species).m_as("mol") - moles) / total
        assert abs(difference) < 1e-6
        ledger.record("Cantera, equilibrium amounts, mol/mol x 1e6", name, difference * 1e6, 1.0)
