"""The parts of a document, free of any page: what both renderings are made from."""

from dataclasses import dataclass
from datetime import date
from typing import TypeAlias

from potash.words import tr

NOT_APPROVED = tr("NOT APPROVED")
DEFER = tr(
    "Under licensed supervision only. Your institution's approval and local codes decide; nothing "
    "on these pages does."
)


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Running text; strong: what must not be overlooked, set apart by a frame, not by colour."""

    text: str
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Bullets:
    """Points, each with an optional first phrase that is set in bold."""

    points: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Table:
    """A table of text. heads: of the columns; the first cell of a row names it."""

    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Checklist:
    """Boxes to tick by hand, each with the reason it is asked for."""

    items: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class BlankLines:
    """Lines to write on by hand, under a heading of their own."""

    prompt: str
    lines: int


@dataclass(frozen=True, slots=True)
class SignatureLines:
    """One line each for name, signature and date of the roles named."""

    roles: tuple[str, ...]


Block: TypeAlias = Paragraph | Bullets | Table | Checklist | BlankLines | SignatureLines


@dataclass(frozen=True, slots=True)
class Section:
    """A numbered section and its blocks."""

    title: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Approval:
    """Who signed the plan, in which role, and when. It records a signature; it decides nothing."""

    name: str
    role: str
    on: date

    @property
    def words(self) -> str:
        """As it is printed."""
        return tr(
            "Signed by {name}, {role}, on {isoformat}.",
            name=self.name,
            role=self.role,
            isoformat=self.on.isoformat(),
        )


@dataclass(frozen=True, slots=True)
class Document:
    """A whole document. approval: None until a supervisor has signed."""

    title: str
    subtitle: str
    sections: tuple[Section, ...]
    approval: Approval | None = None

    @property
    def status(self) -> str:
        """What stands at the head of every page."""
        return (
            self.approval.words
            if self.approval
            else tr("{status}: nobody has signed this.", status=NOT_APPROVED)
        )

    @property
    def watermark(self) -> str | None:
        """What stands across every page; None once it is signed."""
        return None if self.approval else NOT_APPROVED
