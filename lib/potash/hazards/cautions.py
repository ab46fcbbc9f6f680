"""A caution: one thing that an expert would stop at, with its reason."""

from collections.abc import Iterable
from dataclasses import dataclass
from html import escape

from potash.words import tr


@dataclass(frozen=True, slots=True)
class Caution:
    """One thing to stop at. Where there is none, nothing is thereby safe or permitted.

    code: what it is called in programs and tests, such as "water-quench"; it never changes.
    title: in a few words.
    reason: why, with the figures that lead to it.
    advice: what would be different in a plan without it.
    source: of the rule behind it.
    """

    code: str
    title: str
    reason: str
    advice: str
    source: str

    def __str__(self) -> str:
        return f"{self.title}. {self.reason} {self.advice}"


def cautions_html(cautions: Iterable[Caution]) -> str:
    """The cautions as an HTML list; a sentence that claims nothing, if there are none."""
    rows = "".join(
        f"<li><strong>{escape(one.title)}.</strong> {escape(one.reason)} {escape(one.advice)} "
        f"<small>{escape(one.source)}</small></li>"
        for one in cautions
    )
    if rows:
        return f"<ul class='potash-cautions'>{rows}</ul>"
    return f"<p>{escape(NONE_RAISED)}</p>"


NONE_RAISED = tr(
    "None of the rules that this workbook knows is broken. It knows few: your supervisor, your "
    "institution's approval and local codes decide."
)
