"""Label text of a waste vessel, with GHS elements gathered from its contents."""

from dataclasses import dataclass
from datetime import date

from potash.hazards import CHECK_THE_SDS, UnknownSubstance, statement, substance
from potash.units import show
from potash.waste.streams import WasteStream
from potash.words import tr

_MOST_PRECAUTIONS = 6  # CLP, Article 28(3)


@dataclass(frozen=True, slots=True)
class WasteLabel:
    """What goes on a waste vessel.

    pictograms: GHS codes; statements, precautions: texts with their codes.
    """

    title: str
    contents: str
    signal: str
    pictograms: tuple[str, ...]
    statements: tuple[str, ...]
    precautions: tuple[str, ...]
    filled: str
    note: str

    @property
    def text(self) -> str:
        """The label as plain text, one element a line."""
        return "\n".join(
            line
            for line in (
                f"WASTE: {self.title}",
                self.contents,
                self.signal.upper(),
                tr("Pictograms: ") + ", ".join(self.pictograms) if self.pictograms else "",
                *self.statements,
                *self.precautions,
                self.filled,
                self.note,
            )
            if line
        )


def label(stream: WasteStream, *, laboratory: str, person: str, on: date) -> WasteLabel:
    """The label of a stream's vessel.

    The hazards of the contents are gathered as they stand; dilution may take some away, which this
    does not judge. A substance without a record is named as such.
    """
    known, unknown = [], []
    for name in stream.contents:
        try:
            known.append(substance(name))
        except UnknownSubstance:
            unknown.append(name)
    signals = {one.signal for one in known}
    hazards = dict.fromkeys(code for one in known for code in one.statements)
    precautions = dict.fromkeys(code for one in known for code in one.precautions)
    chosen = [*list(precautions)[: _MOST_PRECAUTIONS - 1], "P501"]
    missing = tr(" No record of: {unknown}.", unknown=", ".join(unknown)) if unknown else ""
    return WasteLabel(
        title=stream.name,
        contents=tr(
            "{contents}; about {volume}",
            contents=", ".join(stream.contents),
            volume=show(stream.volume, 2),
        ),
        signal="Danger" if "Danger" in signals else "Warning" if "Warning" in signals else "",
        pictograms=_pictograms([code for one in known for code in one.pictograms]),
        statements=tuple(f"{code} {statement(code)}." for code in hazards),
        precautions=tuple(f"{code} {statement(code)}." for code in chosen),
        filled=tr(
            "{laboratory}, {person}, {isoformat}. Do not close gas-tight.",
            laboratory=laboratory,
            person=person,
            isoformat=on.isoformat(),
        ),
        note=tr(
            "Gathered from the contents undiluted.{missing} {check}",
            missing=missing,
            check=CHECK_THE_SDS,
        ),
    )


def _pictograms(codes: list[str]) -> tuple[str, ...]:
    """Each once; the exclamation mark gives way to the skull (CLP, Article 26)."""
    found = sorted(set(codes))
    if "GHS06" in found and "GHS07" in found:
        found.remove("GHS07")
    return tuple(found)
