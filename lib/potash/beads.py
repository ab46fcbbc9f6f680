"""Beads of molten metal in the working liquid: rise or fall, roundness, and how soon they merge.

A bead is a fluid sphere a few millimetres wide. It rises where the liquid is denser, and how fast
follows from the drag; it stays round while surface tension outweighs gravity; two beads merge
once the film of liquid between them has drained. All of it holds for clean beads in a wide vessel:
a skin of oxide, the wall and the stirrer change the figures, so they are teaching values.
"""

import math
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from potash.errors import PotashError
from potash.properties.errors import NoTrustedValue
from potash.properties.liquids import Liquid, liquid
from potash.properties.metals import Metal, in_celsius, metal
from potash.units import Quantity, QuantityLike, magnitude, show, show_number
from potash.words import later, tr

GRAVITY = 9.80665  # m/s2, standard acceleration of free fall (CGPM 1901)

CREEPING = 0.1
"""Reynolds number up to which Stokes' law holds within 2 % (Clift, Grace and Weber 1978, ch. 5)."""

ROUND = 0.4
"""Bond number up to which drops and bubbles stay near-spherical (Clift, Grace and Weber 1978)."""

HAMAKER = 1e-19
"""J: a metal across a hydrocarbon, to an order of magnitude (Israelachvili, Intermolecular and
Surface Forces); it sets the thickness at which the film tears."""


class BeadHangs(PotashError):
    """Bead and liquid have the same density, so that nothing pushes the bead either way."""


@dataclass(frozen=True, slots=True)
class BeadMotion:
    """One bead of molten metal in one liquid at one temperature.

    density_difference: liquid minus metal (kg/m3); its standard uncertainty beside it.
    direction: "rises", "sinks" or "too close to call".
    velocity: terminal, by the drag of a rigid sphere (m/s); stokes_velocity and
        circulating_velocity (Hadamard-Rybczynski) are what creeping flow would give.
    reynolds_number: at ``velocity``; creeping flow needs less than 0.1.
    bond_number, largest_round_bead: roundness (m).
    drainage_time: shortest and longest order of magnitude until two such beads merge (s), for a
        bare and for a stiff, oxidised surface.
    interfacial_tension: metal against liquid (N/m), by Antonoff's rule.
    liquid_density, viscosity: of the liquid; metal_viscosity: of the melt.
    notes: what was assumed. sources: of the data and the equations.
    """

    metal: str
    liquid: str
    temperature: Quantity
    diameter: Quantity
    density_difference: Quantity
    density_uncertainty: Quantity
    direction: str
    stokes_velocity: Quantity
    circulating_velocity: Quantity
    velocity: Quantity
    reynolds_number: float
    interfacial_tension: Quantity
    bond_number: float
    largest_round_bead: Quantity
    drainage_time: tuple[Quantity, Quantity]
    liquid_density: Quantity
    viscosity: Quantity
    metal_viscosity: Quantity
    notes: tuple[str, ...]
    sources: tuple[str, ...]

    @property
    def is_round(self) -> bool:
        """Whether the bead stays near-spherical."""
        return self.bond_number <= ROUND

    @property
    def merging_in_words(self) -> str:
        """The two orders of magnitude of ``drainage_time``: "0.001 s to 1 s"."""
        bare, stiff = self.drainage_time
        return tr("{decade} to {stiff}", decade=_decade(bare), stiff=_decade(stiff))

    def _repr_html_(self) -> str:
        import html

        rows = "".join(
            f"<tr><th>{html.escape(name)}</th><td>{html.escape(text)}</td></tr>"
            for name, text in self.rows()
        )
        notes = html.escape(" ".join(self.notes))
        return f"<table>{rows}</table><p>{notes}</p>"

    def rows(self) -> tuple[tuple[str, str], ...]:
        """Name and text of each figure, for a table; ± twice the standard uncertainty."""
        difference, spread = self.density_difference, self.density_uncertainty
        return (
            (
                tr("Bead"),
                tr(
                    "{diameter} of {metal} in {liquid}",
                    diameter=show(self.diameter, 3, "mm"),
                    metal=self.metal,
                    liquid=self.liquid,
                ),
            ),
            (tr("Temperature"), in_celsius(self.temperature.m_as("K"))),
            ("It", self.direction),
            (
                tr("Liquid minus metal"),
                f"{show_number(difference.magnitude, 2)} ± {2 * spread.magnitude:.0f}\u00a0kg/m³",
            ),
            (tr("Terminal velocity"), show(self.velocity, 2, "cm/s")),
            (tr("Reynolds number"), show_number(self.reynolds_number, 2)),
            (tr("Bond number"), show_number(self.bond_number, 2)),
            (tr("Largest round bead"), show(self.largest_round_bead, 2, "mm")),
            (tr("Two beads merge after about"), self.merging_in_words),
        )


def bead(
    metal_name: str,
    liquid_name: str | Liquid,
    temperature: QuantityLike,
    diameter: QuantityLike,
) -> BeadMotion:
    """The motion, roundness and merging of one bead.

    Parameters: metal, symbol or name; liquid, a name of the table or a ``Liquid``; temperature and
    diameter, scalars.
    Raises: UnknownMetal, UnknownLiquid; SolidMetal; OutOfRange or NoTrustedValue, where the liquid
    has no density or viscosity at that temperature; OutOfBounds, for a diameter of 0 or above 5 cm.
    Source: as in the functions below.
    """
    melt = metal(metal_name)
    bath = liquid(liquid_name) if isinstance(liquid_name, str) else liquid_name
    T = Quantity(magnitude("temperature", temperature, "K", above=0), "K")
    d = Quantity(magnitude("diameter", diameter, "m", above=0, at_most=0.05), "m")
    melt.require_molten(T.magnitude)
    difference, uncertainty = density_difference(melt, bath, T)
    tension, assumed = interfacial_tension(melt, bath, T)
    viscosity, density = bath.value("viscosity", T), bath.density(T)
    push = Quantity(abs(difference.magnitude), "kg/m^3")
    velocity = terminal_velocity(d, push, density, viscosity)
    return BeadMotion(
        metal=melt.name,
        liquid=bath.name,
        temperature=T,
        diameter=d,
        density_difference=difference,
        density_uncertainty=uncertainty,
        direction=_direction(difference, uncertainty),
        stokes_velocity=stokes_velocity(d, push, viscosity),
        circulating_velocity=circulating_velocity(d, push, viscosity, melt.viscosity(T)),
        velocity=velocity,
        reynolds_number=reynolds_number(d, velocity, density, viscosity),
        interfacial_tension=tension,
        bond_number=bond_number(d, push, tension),
        largest_round_bead=largest_round_bead(push, tension),
        drainage_time=(
            drainage_time(d, push, melt.viscosity(T), tension, bare=True),
            drainage_time(d, push, viscosity, tension, bare=False),
        ),
        liquid_density=density,
        viscosity=viscosity,
        metal_viscosity=melt.viscosity(T),
        notes=(assumed, *_notes(d, velocity, density, viscosity)),
        sources=_sources(melt, bath),
    )


def density_difference(
    melt: Metal, bath: Liquid, temperature: QuantityLike
) -> tuple[Quantity, Quantity]:
    """Liquid minus metal, and its standard uncertainty (kg/m3 both). Positive: the bead rises.

    Raises: SolidMetal, OutOfRange, NoTrustedValue.
    """
    heavy, light = bath.density(temperature), melt.density(temperature)
    of_liquid = bath.record("density").relative_uncertainty or 0.02
    of_metal = melt.correlations["density"].relative_uncertainty
    spread = np.hypot(heavy.magnitude * of_liquid, light.magnitude * of_metal)
    return heavy - light, Quantity(float(spread), "kg/m^3")


def interfacial_tension(
    melt: Metal, bath: Liquid, temperature: QuantityLike
) -> tuple[Quantity, str]:
    r"""Tension between melt and liquid (N/m), and what was assumed for it, in words.

    .. math:: \sigma = \sigma_{metal} - \sigma_{liquid}

    Antonoff's rule, a teaching value: no measurement for these metals under organic liquids is at
    hand. Where the liquid's own tension is unknown, the metal's alone is taken, which is too high.
    Source: Antonoff, J. Chim. Phys. 5 (1907) 372.
    """
    alone = melt.surface_tension(temperature)
    try:
        return alone - bath.value("surface_tension", temperature), (
            tr(
                "The tension between metal and liquid is the difference of their surface tensions "
                "(Antonoff's rule), a teaching value."
            )
        )
    except PotashError:
        return alone, (
            tr(
                "The surface tension of {bath} has no trusted value here, so that of the metal "
                "alone is taken, which is some fifth too high: a teaching value.",
                bath=bath.name,
            )
        )


def stokes_velocity(
    diameter: QuantityLike, density_difference: QuantityLike, viscosity: QuantityLike
) -> Quantity:
    r"""Velocity of a rigid sphere in creeping flow.

    .. math:: U = \Delta\rho\, g\, d^2 / (18\, \mu)

    Parameters: diameter; density difference, sphere against liquid, its size; viscosity of the
    liquid. Scalars or arrays that broadcast.
    Returns: m/s, without sign. Valid: Reynolds number below 0.1.
    Raises: OutOfBounds, for a diameter or viscosity that is not above 0.
    Source: Stokes, Trans. Camb. Phil. Soc. 9 (1851) 8; Clift, Grace and Weber, Bubbles, Drops, and
    Particles (1978), ch. 3.
    """
    d, difference = _size(diameter), _difference(density_difference)
    return Quantity(_stokes(d, difference, _viscosity("viscosity", viscosity)), "m/s")


def circulating_velocity(
    diameter: QuantityLike,
    density_difference: QuantityLike,
    viscosity: QuantityLike,
    bead_viscosity: QuantityLike,
) -> Quantity:
    r"""Velocity of a fluid sphere, whose surface moves along, in creeping flow.

    .. math:: U = U_{Stokes}\; \frac{3 (\mu + \mu_b)}{2 \mu + 3 \mu_b}

    Parameters: as ``stokes_velocity``, with the viscosity of the bead, which may be 0 (a bubble).
    Returns: m/s; Stokes' velocity for a stiff bead, 1.5 times that for a bubble.
    Raises: OutOfBounds.
    Source: Hadamard, C. R. Acad. Sci. 152 (1911) 1735; Rybczynski, Bull. Acad. Sci. Cracovie A
    (1911) 40; Clift, Grace and Weber (1978), eq. 3-15.
    """
    d, difference = _size(diameter), _difference(density_difference)
    outside = _viscosity("viscosity", viscosity)
    inside = magnitude("bead_viscosity", bead_viscosity, "Pa*s", at_least=0)
    # Divided by the larger viscosity first, so that a stiff bead does not overflow.
    larger = np.maximum(outside, inside)
    mobile, stiff = outside / larger, inside / larger
    return Quantity(
        _stokes(d, difference, outside) * 3 * (mobile + stiff) / (2 * mobile + 3 * stiff), "m/s"
    )


def terminal_velocity(
    diameter: QuantityLike,
    density_difference: QuantityLike,
    liquid_density: QuantityLike,
    viscosity: QuantityLike,
) -> Quantity:
    r"""Velocity of a rigid sphere at any Reynolds number up to 200 000.

    .. math:: U = \sqrt{\frac{4\, g\, d\, \Delta\rho}{3\, C_D(Re)\, \rho}}

    Parameters: scalars or arrays that broadcast; density difference, its size.
    Returns: m/s; 0 where there is no difference. A clean bead, whose surface moves, is somewhat
    faster.
    Raises: OutOfBounds.
    Source: drag coefficient as chosen by ``fluids.drag`` (Barati, Neyshabouri and Ahmadi, Powder
    Technol. 257 (2014) 11; Stokes' law below Re 0.01); Clift, Grace and Weber (1978), ch. 5.
    """
    d, difference = _size(diameter), _difference(density_difference)
    rho = magnitude("liquid_density", liquid_density, "kg/m^3", above=0)
    mu = _viscosity("viscosity", viscosity)
    # The unknown velocity stands in C_D and Re both; C_D Re^2 does not hold it.
    driven = 4 / 3 * difference * rho * GRAVITY * d**3 / mu**2
    return Quantity(_reynolds_driven_by(driven) * mu / (rho * d), "m/s")


def reynolds_number(
    diameter: QuantityLike,
    velocity: QuantityLike,
    liquid_density: QuantityLike,
    viscosity: QuantityLike,
) -> float:
    r"""Inertia against viscosity: :math:`Re = \rho U d / \mu`. Raises: OutOfBounds."""
    rho = magnitude("liquid_density", liquid_density, "kg/m^3", above=0)
    speed = magnitude("velocity", velocity, "m/s", at_least=0)
    return float(rho * speed * _size(diameter) / _viscosity("viscosity", viscosity))


def bond_number(
    diameter: QuantityLike, density_difference: QuantityLike, tension: QuantityLike
) -> float:
    r"""Gravity against surface tension, also called the Eotvos number.

    .. math:: Bo = \Delta\rho\, g\, d^2 / \sigma

    Raises: OutOfBounds. Source: Clift, Grace and Weber (1978), ch. 2.
    """
    d, sigma = _size(diameter), _tension(tension)
    return float(_difference(density_difference) * GRAVITY * d**2 / sigma)


def capillary_length(density_difference: QuantityLike, tension: QuantityLike) -> Quantity:
    r"""Length at which gravity and surface tension balance (m).

    .. math:: \lambda = \sqrt{\sigma / (\Delta\rho\, g)}

    Raises: BeadHangs, for a difference of 0; OutOfBounds.
    Source: de Gennes, Brochard-Wyart and Quere, Capillarity and Wetting Phenomena (2004), eq. 2.2.
    """
    difference = _difference(density_difference)
    if np.any(difference == 0):
        raise BeadHangs(
            tr(
                "Bead and liquid have the same density: gravity does not flatten the bead, and "
                "there is no capillary length."
            )
        )
    return Quantity(np.sqrt(_tension(tension) / (difference * GRAVITY)), "m")


def largest_round_bead(density_difference: QuantityLike, tension: QuantityLike) -> Quantity:
    """Diameter at which the Bond number reaches 0.4: larger beads flatten (m).

    Infinite where the densities are equal. Raises: OutOfBounds. Source: as ``ROUND``.
    """
    if _difference(density_difference) == 0:
        return Quantity(math.inf, "m")
    length = capillary_length(density_difference, tension)
    return Quantity(math.sqrt(ROUND) * length.magnitude, "m")


def drainage_time(
    diameter: QuantityLike,
    density_difference: QuantityLike,
    viscosity: QuantityLike,
    tension: QuantityLike,
    *,
    bare: bool,
) -> Quantity:
    r"""Time for the film between two equal beads to thin until it tears; an order of magnitude.

    .. math:: t_{stiff} = \frac{3 \mu R^2 F}{16 \pi \sigma^2 h_c^2}, \qquad
              t_{bare} = \frac{\pi \mu_b \sqrt{F}}{2 h_c} \left(\frac{R}{2 \pi \sigma}\right)^{3/2},
              \qquad h_c = \left(\frac{A R}{8 \pi \sigma}\right)^{1/3}

    F is the weight or lift of one bead, R its radius, A the Hamaker constant.
    Parameters: viscosity, of the bead where ``bare`` (its surface moves with the draining film), of
    the liquid otherwise (the surface is stiff, as under a skin of oxide).
    Returns: s, good to a factor of ten at best: a teaching value.
    Raises: OutOfBounds.
    Source: Chesters, Trans. IChemE 69A (1991) 259, from memory.
    """
    radius, sigma = _size(diameter) / 2, _tension(tension)
    mu = _viscosity("viscosity", viscosity)
    lift = 4 / 3 * math.pi * radius**3 * _difference(density_difference) * GRAVITY
    tears = (HAMAKER * radius / (8 * math.pi * sigma)) ** (1 / 3)
    if bare:
        time = math.pi * mu * math.sqrt(lift) / (2 * tears)
        return Quantity(time * (radius / (2 * math.pi * sigma)) ** 1.5, "s")
    return Quantity(3 * mu * radius**2 * lift / (16 * math.pi * sigma**2 * tears**2), "s")


def _stokes(d: Any, difference: Any, mu: Any) -> Any:
    return difference * GRAVITY * d**2 / (18 * mu)


def _reynolds_driven_by(driven: Any) -> Any:
    """The Reynolds number at which C_D Re^2 is ``driven``; creeping flow below the curve."""
    log_driven, log_reynolds = _drag_curve()
    creeping = driven / 24
    on_curve = np.exp(np.interp(np.log(np.maximum(driven, 1e-300)), log_driven, log_reynolds))
    found = np.where(np.log(np.maximum(driven, 1e-300)) < log_driven[0], creeping, on_curve)
    return float(found) if np.ndim(found) == 0 else found


@cache
def _drag_curve() -> tuple[Any, Any]:
    """Logarithms of C_D Re^2 and of Re, rising, from creeping flow to Re 200 000."""
    from fluids.drag import drag_sphere

    reynolds = np.logspace(-3, math.log10(2e5), 600)
    driven = np.array([drag_sphere(float(one)) * one**2 for one in reynolds])
    # Where the fits of two ranges meet the product may dip by a hair.
    return np.log(np.maximum.accumulate(driven)), np.log(reynolds)


def _direction(difference: Quantity, uncertainty: Quantity) -> str:
    """Twice the standard uncertainty is asked for before a direction is named."""
    if abs(difference.magnitude) <= 2 * uncertainty.magnitude:
        return later("too close to call")
    return later("rises") if difference.magnitude > 0 else later("sinks")


def _notes(
    d: Quantity, velocity: Quantity, density: Quantity, viscosity: Quantity
) -> tuple[str, ...]:
    creeping = reynolds_number(d, velocity, density, viscosity) < CREEPING
    wide = tr("The vessel is taken as wide and unstirred, the bead as clean: teaching values.")
    if creeping:
        return (wide,)
    return (
        wide,
        tr(
            "The flow is past the creeping range, so the drag correlation holds and not Stokes' "
            "law."
        ),
    )


def _sources(melt: Metal, bath: Liquid) -> tuple[str, ...]:
    records = [melt.correlations[name].source for name in ("density", "viscosity")]
    for name in ("density", "viscosity", "surface_tension"):
        try:
            records.append(bath.record(name).source)
        except NoTrustedValue:
            continue
    return tuple(dict.fromkeys([*records, "Clift, Grace and Weber (1978)", "Chesters (1991)"]))


def _decade(time: Quantity) -> str:
    """A time as an order of magnitude: "10 µs", "100 ms", "1000 s"."""
    seconds = time.m_as("s")
    if seconds == 0:
        return "0\u00a0s"
    decade = 10.0 ** round(math.log10(seconds))
    unit, factor = next(
        (one for one in (("s", 1.0), ("ms", 1e3), ("µs", 1e6)) if decade * one[1] >= 0.99),
        ("ns", 1e9),
    )
    return f"{decade * factor:.0f}\u00a0{unit}"


def _size(diameter: QuantityLike) -> Any:
    return magnitude("diameter", diameter, "m", above=0)


def _difference(given: QuantityLike) -> Any:
    return magnitude("density_difference", given, "kg/m^3", at_least=0)


def _viscosity(name: str, given: QuantityLike) -> Any:
    return magnitude(name, given, "Pa*s", above=0)


def _tension(given: QuantityLike) -> Any:
    return magnitude("tension", given, "N/m", above=0)
