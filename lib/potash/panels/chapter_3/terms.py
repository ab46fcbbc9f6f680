"""A reaction at one temperature as a student follows it: key numbers, the sum term by term."""

from collections.abc import Sequence
from html import escape

from potash.panels.frame import look
from potash.panels.frame.look import Number
from potash.reactions import Explanation
from potash.units import show
from potash.words import tr

_HEADS = (
    tr("Species"),
    tr("Phase"),
    "ν",
    "H, kJ/mol",
    "S, J/(mol K)",
    "G, kJ/mol",
    "ν × G, kJ/mol",
)


_ORIGINS = ("Gibbs energy of a species",)


def told(explained: Explanation, remarks: Sequence[str]) -> str:
    """The key numbers, the table of terms, the remarks and the sources, as HTML."""
    T = explained.temperature
    table = look.table(
        tr("Term by term at {temperature}", temperature=show(T, 4)),
        _HEADS,
        explained.rows(),
        origins=_ORIGINS,
    )
    sources = "".join(f"<li>{escape(source)}</li>" for source in explained.sources)
    return (
        _numbers(explained)
        + table
        + "".join(look.note(remark) for remark in remarks)
        + look.folded(tr("Tables and sources"), f"<ul>{sources}</ul>")
    )


def _numbers(explained: Explanation) -> str:
    entropic = show((explained.temperature * explained.entropy).to("kJ/mol"), 4)
    energy = f"{show(explained.gibbs_energy, 4)} ± {show(explained.uncertainty, 1)}"
    return look.key_numbers(
        Number("ΔH", show(explained.enthalpy, 4), "reaction enthalpy"),
        Number("T ΔS", entropic, "entropy term"),
        Number("ΔG = ΔH − T ΔS", energy, "reaction Gibbs energy"),
        Number(tr("verdict"), tr(explained.verdict), "direction of a reaction"),
    )
