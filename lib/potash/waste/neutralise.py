"""Neutralising what the quench left: acid needed, heat, temperature rise, final pH."""

from dataclasses import dataclass
from html import escape
from typing import Any

from potash.errors import PotashError
from potash.properties import species
from potash.properties.metals import metal as metal_named
from potash.units import Quantity, magnitude, show
from potash.waste.acidity import ACIDS, AcidityRange, mixture_ph
from potash.words import tr

WATER_HEAT_CAPACITY = 4.18  # J/(mL K), the solution taken as water
_WARM = 20.0  # K: a rise from which it is to be done in an ice bath
_HOT_WATER = 333.15  # K

SOURCE = tr("Enthalpies of formation of the ions as held by species; Davies (1962) for activities")


class BadNeutralisation(PotashError):
    """A neutralisation that cannot be planned."""


@dataclass(frozen=True, slots=True)
class Neutralisation:
    """Neutralising the hydroxide that a quench left once it was diluted with water.

    base: alkali to neutralise. acid_volume: of the acid as it stands in the bottle.
    rise: if no heat is lost and the acid were poured at once. final: pH of the whole, beside what
    5 % too little or too much acid gives.
    """

    acid: str
    base: Quantity
    base_concentration: Quantity
    acid_volume: Quantity
    heat: Quantity
    rise: Quantity
    final: AcidityRange
    with_less_acid: AcidityRange
    with_more_acid: AcidityRange
    volume: Quantity

    @property
    def remarks(self) -> tuple[str, ...]:
        """How it is done, and what to stop at."""
        found = [
            tr(
                "Wait until no metal is left and no bubble has risen for an hour, then add water "
                "drop by drop, cooled, then the acid slowly with stirring; never the other way "
                "round."
            ),
            tr(
                "Near the end a drop swings the pH by whole units: calculation brings you near, "
                "indicator paper decides."
            ),
        ]
        if float(self.rise.m_as("delta_degC")) > _WARM:
            found.append(
                tr(
                    "All at once it would warm by {rise}: cool in ice and add slowly, or dilute "
                    "more; alcohol in it boils at 80\u00a0°C.",
                    rise=show(self.rise),
                )
            )
        return (*found, *self.final.limits)

    def rows(self) -> tuple[tuple[str, str], ...]:
        """Label and shown value of each number."""
        return (
            (tr("Alkali to neutralise"), show(self.base)),
            (tr("Its concentration before"), show(self.base_concentration)),
            (tr("{acid} needed", acid=self.acid.capitalize()), show(self.acid_volume)),
            (tr("Heat"), show(self.heat)),
            (tr("Temperature rise, all at once"), show(self.rise)),
            (tr("Final pH"), f"{self.final.ph:.1f}"),
            (tr("pH with 5 % less acid"), f"{self.with_less_acid.ph:.1f}"),
            (tr("pH with 5 % more acid"), f"{self.with_more_acid.ph:.1f}"),
            (tr("Volume afterwards"), show(self.volume)),
        )

    def _repr_html_(self) -> str:
        cells = "".join(
            f"<tr><th scope='row'>{escape(label)}</th><td>{escape(value)}</td></tr>"
            for label, value in self.rows()
        )
        return f"<table class='potash-waste'><tbody>{cells}</tbody></table>"


def neutralise(
    *,
    metal: str = "K",
    metal_amount: Any,
    water: Any = "500 mL",
    acid: str = "hydrochloric acid",
    acid_concentration: Any = "1 mol/L",
    temperature: Any = "20 °C",
) -> Neutralisation:
    r"""Neutralise the alkali of a quench, mole for mole.

    .. math:: Q = n\,|\Delta H|, \quad \Delta T = Q / (V c), \quad OH^- + H^+ \to H_2O

    An alkoxide turns to hydroxide and alcohol when water comes to it; each mole of metal leaves one
    mole of alkali.

    Parameters: metal_amount, an amount; water, the volume it was diluted to; acid, one of
    ``ACIDS``; acid_concentration, as in the bottle.
    Raises: BadNeutralisation, UnknownMetal, and what ``magnitude`` raises.
    Source: enthalpies of formation; activities after Davies (1962).
    """
    metal_named(metal)
    _demand_acid(acid)
    n = magnitude("metal_amount", metal_amount, "mol", above=0, at_most=100)
    before = magnitude("water", water, "L", above=0)
    c_acid = magnitude("acid_concentration", acid_concentration, "mol/L", above=0, at_most=20)
    T = magnitude("temperature", temperature, "K", at_least=273.15, at_most=_HOT_WATER)
    acid_volume = n / c_acid
    volume = before + acid_volume
    heat = n * -neutralisation_enthalpy_si()
    at = [_mixed(n, n * share, volume, acid, T) for share in (1.0, 0.95, 1.05)]
    return Neutralisation(
        acid=acid,
        base=Quantity(n * 1e3, "mmol"),
        base_concentration=Quantity(n / before, "mol/L"),
        acid_volume=Quantity(acid_volume * 1e3, "mL"),
        heat=Quantity(heat / 1e3, "kJ"),
        rise=Quantity(heat / (volume * 1e3 * WATER_HEAT_CAPACITY), "delta_degC"),
        final=at[0],
        with_less_acid=at[1],
        with_more_acid=at[2],
        volume=Quantity(volume * 1e3, "mL"),
    )


def neutralisation_enthalpy_si() -> float:
    """Enthalpy of H+ + OH- -> H2O(l) at 25 °C, J/mol, from the ions' enthalpies of formation.

    A weak acid gives a little less: the heat is an upper estimate for it.
    """
    T = 298.15
    made = species("H2O(l)").enthalpy_si(T)
    return float(made - species("H+").enthalpy_si(T) - species("OH-").enthalpy_si(T))


def _mixed(base: float, acid: float, volume: float, name: str, T: float) -> AcidityRange:
    return mixture_ph(
        Quantity(base / volume, "mol/L"),
        Quantity(acid / volume, "mol/L"),
        acid_name=name,
        temperature=Quantity(T, "K"),
    )


def _demand_acid(name: str) -> None:
    if name not in ACIDS:
        raise BadNeutralisation(
            tr(
                '"{name}" is none of the acids held: {acids}. Oxidising acids such as nitric acid '
                "are not for alcoholic waste.",
                name=name[:60],
                acids=", ".join(ACIDS),
            )
        )
