"""Write coolprop.csv: saturated-liquid values of the reference equations of state in CoolProp.

Run apart, never in the environment that the tests use, because the mere presence of CoolProp
changes what thermo answers and costs seconds at its first use:

    python -m venv APART && APART/bin/pip install CoolProp==8.0.0
    APART/bin/python tests/published/reference/freeze_coolprop.py

The tests read the frozen file, so that they run without network and without that package.
"""

import csv
from pathlib import Path

import CoolProp
from CoolProp.CoolProp import PropsSI

# CAS number, name in CoolProp. All fluids of the workbook's table that CoolProp has.
FLUIDS = {
    "108-88-3": "Toluene",
    "95-47-6": "o-Xylene",
    "108-38-3": "m-Xylene",
    "106-42-3": "p-Xylene",
    "100-41-4": "EthylBenzene",
    "71-43-2": "Benzene",
    "110-82-7": "CycloHexane",
    "142-82-5": "n-Heptane",
    "111-65-9": "n-Octane",
    "124-18-5": "n-Decane",
    "112-40-3": "n-Dodecane",
    "67-56-1": "Methanol",
    "64-17-5": "Ethanol",
    "67-64-1": "Acetone",
    "7732-18-5": "Water",
    "109-99-9": "Tetrahydrofuran",
}
COLUMNS = ("cas", "temperature/K", "property", "value", "unit", "equation of state")
WANTED = (
    ("density", "D", "kg/m^3"),
    ("vapour_pressure", "P", "Pa"),
    ("viscosity", "V", "Pa*s"),
    ("surface_tension", "I", "N/m"),
)


def main() -> None:
    """One row a fluid, temperature and property; what CoolProp lacks is left out."""
    rows = [row for cas, fluid in FLUIDS.items() for row in _rows(cas, fluid)]
    path = Path(__file__).with_name(f"coolprop-{CoolProp.__version__}.csv")
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(COLUMNS)
        writer.writerows(rows)


def _rows(cas: str, fluid: str):  # type: ignore[no-untyped-def]
    critical, triple = PropsSI("Tcrit", fluid), PropsSI("Ttriple", fluid)
    for T in (298.15, 323.15, 373.15, 423.15, 473.15):
        if not triple < T < 0.93 * critical:
            continue
        for name, key, unit in WANTED:
            try:
                value = PropsSI(key, "T", T, "Q", 0, fluid)
            except ValueError:
                continue
            reference = CoolProp.CoolProp.get_BibTeXKey(fluid, "EOS")
            yield cas, T, name, f"{value:.6g}", unit, reference


if __name__ == "__main__":
    main()
