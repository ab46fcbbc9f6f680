"""Titration: standardising, and alkali by back-titration."""

from dataclasses import dataclass
from typing import Any

from potash.formulas import molar_mass
from potash.properties.metals import metal as metal_named
from potash.units import Quantity, magnitude, show
from potash.words import tr
from potash.yields.budget import BadMeasurement, Result, measured, result

Pair = tuple[Any, Any]


@dataclass(frozen=True, slots=True)
class BackTitration:
    """What a back-titration says: all the alkali, whether it was metal, oxide or hydroxide."""

    alkali: Result
    metal_mass: Result
    purity: Result
    notes: tuple[str, ...]


def standardise(
    *, mass: Pair, purity: Pair, molar_mass: Pair, titre: Pair, repeatability: Any = 0.0
) -> Result:
    r"""Concentration of a base from a weighed acid standard of one proton.

    .. math:: c = \frac{m P}{M V} f_{rep}

    Parameters: pairs of value and standard uncertainty; repeatability, relative standard
    uncertainty of the whole determination.
    Returns: mol/L, with its budget. Raises: BadMeasurement, and what ``magnitude`` raises.
    Source: EURACHEM/CITAC CG 4, Quantifying Uncertainty in Analytical Measurement, example A2.
    """
    m = measured(tr("mass of standard"), *mass, "g").variable
    P = measured(tr("purity of standard"), *purity, "").variable
    M = measured(tr("molar mass of standard"), *molar_mass, "g/mol").variable
    V = measured(tr("titre"), *titre, "L").variable
    f = measured(tr("repeatability"), 1.0, repeatability, "").variable
    return result(tr("Concentration"), m * P / (M * V) * f, "mol/L")


def back_titration(
    *,
    metal: str,
    sample: Pair,
    acid_volume: Pair,
    acid_concentration: Pair,
    titre: Pair,
    base_concentration: Pair,
    burette: Any = "50 mL",
    repeatability: Any = 0.0,
) -> BackTitration:
    r"""Alkali in a quenched and diluted sample: acid in excess, the rest titrated with base.

    .. math:: n = (c_a V_a - c_b V_b) f_{rep}, \quad w = n M / m

    Parameters: pairs of value and standard uncertainty; burette, what it holds; repeatability,
    relative standard uncertainty of the whole determination.
    Raises: BadMeasurement, if the titre is larger than the burette or than the acid; UnknownMetal;
    and what ``magnitude`` raises.
    Source: JCGM 100:2008 (GUM); EURACHEM/CITAC CG 4, examples A2 and A3, for the pattern.
    """
    from uncertainties import nominal_value

    symbol = metal_named(metal).symbol
    _demand_burette(titre[0], burette)
    m = measured(tr("sample mass"), *sample, "kg").variable
    acid = (
        measured(tr("acid volume"), *acid_volume, "m^3").variable
        * measured(tr("acid concentration"), *acid_concentration, "mol/m^3").variable
    )
    base = (
        measured(tr("titre"), *titre, "m^3").variable
        * measured(tr("base concentration"), *base_concentration, "mol/m^3").variable
    )
    _demand_excess(nominal_value(acid), nominal_value(base))
    n = (acid - base) * measured(tr("repeatability"), 1.0, repeatability, "").variable
    mass = n * float(molar_mass(symbol).m_as("kg/mol"))
    return BackTitration(
        alkali=result(tr("Alkali"), n, "mmol", 1e3),
        metal_mass=result(tr("{symbol} by its alkali", symbol=symbol), mass, "g", 1e3),
        purity=result(tr("Purity by back-titration"), mass / m, "percent", 100.0),
        notes=(
            tr(
                "Counted is all alkali: oxide, hydroxide and carbonate count as metal here. Gas "
                "volumetry counts metal only; the difference between the two is what had corroded."
            ),
        ),
    )


def _demand_burette(titre: Any, burette: Any) -> None:
    read = float(magnitude("titre", titre, "m^3", above=0))
    holds = float(magnitude("burette", burette, "m^3", above=0))
    if read > holds * (1 + 1e-9):
        raise BadMeasurement(
            tr(
                "The titre of {titre} is larger than the burette, which holds {holds}. If it was "
                "filled twice, give the burette as twice its volume and the uncertainty of four "
                "readings; else look at the titre again.",
                titre=show(Quantity(read * 1000000.0, "mL")),
                holds=show(Quantity(holds * 1000000.0, "mL")),
            )
        )


def _demand_excess(acid: float, base: float) -> None:
    if base >= acid:
        raise BadMeasurement(
            tr(
                "The base used, {base}, is no less than the acid put in, {acid}: no alkali would "
                "have been there. Check the two concentrations and which volume is which.",
                base=show(Quantity(base * 1000.0, "mmol")),
                acid=show(Quantity(acid * 1000.0, "mmol")),
            )
        )
