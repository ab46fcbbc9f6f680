"""The honest yield, and the mass balance of the whole run with what is unaccounted for."""

from dataclasses import dataclass
from html import escape
from typing import Any

from potash.units import magnitude
from potash.words import tr
from potash.yields.budget import BadMeasurement, Measured, Result, measured, result

Pair = tuple[Any, Any]


def honest_yield(*, isolated: Pair, purity: Pair, theoretical: Pair) -> Result:
    r"""Yield of pure metal.

    .. math:: Y = m\,w / m_{theory}

    Parameters: pairs of value and standard uncertainty: isolated mass, purity of it, theoretical
    yield. Raises: BadMeasurement, and what ``magnitude`` raises.
    """
    m = measured(tr("isolated mass"), *isolated, "g")
    w = measured(tr("purity"), *purity, "")
    theory = measured(tr("theoretical yield"), *theoretical, "g")
    if theory.value <= 0:
        raise BadMeasurement(tr("The theoretical yield must be above zero."))
    if not 0 <= w.value <= 1.05:
        raise BadMeasurement(
            tr(
                "A purity of {purity:g} % cannot be; give it as a fraction or in percent, such as "
                '"96.5 %".',
                purity=w.value * 100,
            )
        )
    return result(tr("Yield"), m.variable * w.variable / theory.variable, "percent", 100.0)


@dataclass(frozen=True, slots=True)
class MassBalance:
    """Where the metal of the charge went. shares: of what went in, in percent, each with its name.

    unaccounted: what is missing; negative, if more came out than went in.
    """

    shares: tuple[tuple[str, float], ...]
    unaccounted: Result

    @property
    def verdict(self) -> str:
        """What the unaccounted part says, judged against twice its standard uncertainty."""
        missing, spread = self.unaccounted.value, 2 * self.unaccounted.uncertainty
        if abs(missing) <= spread:
            return tr("What is unaccounted for lies within its uncertainty: the balance closes.")
        if missing > 0:
            return tr(
                "More is missing than the uncertainty explains: look for metal in the residues, "
                "on the stirrer and in the washings before anything goes to waste."
            )
        return tr(
            "More came out than went in, by more than the uncertainty: oil on the beads, a purity "
            "that is not one, or a weighing to look at again."
        )

    def _repr_html_(self) -> str:
        rows = "".join(
            f"<tr><th scope='row'>{escape(name)}</th><td>{share:.1f} %</td></tr>"
            for name, share in self.shares
        )
        return (
            f"<table class='potash-balance'><caption>{escape(self.verdict)}</caption><tbody>{rows}"
            f"<tr><th scope='row'>{escape(tr('Unaccounted for'))}</th>"
            f"<td>{escape(self.unaccounted.shown)}</td></tr></tbody></table>"
        )


def mass_balance(charged: Pair, found: dict[str, Pair]) -> MassBalance:
    """The metal of the charge against all that was found of it.

    Parameters: charged, metal in what was weighed in (a mass and its standard uncertainty);
    found, masses of metal by where they were found: isolated, in residues by titration, and so on.
    Raises: BadMeasurement, if nothing went in; and what ``magnitude`` raises.
    """
    into = measured(tr("metal charged"), *charged, "g")
    if into.value <= 0:
        raise BadMeasurement(tr("The metal charged must be above zero."))
    parts = [_part(name, pair) for name, pair in found.items()]
    missing = into.variable - sum(part.variable for part in parts)
    return MassBalance(
        shares=tuple((part.name, 100 * part.value / into.value) for part in parts),
        unaccounted=result(tr("Unaccounted for"), missing / into.variable, "percent", 100.0),
    )


def _part(name: str, pair: Pair) -> Measured:
    magnitude(name, pair[0], "g", at_least=0)
    return measured(name, *pair, "g")
