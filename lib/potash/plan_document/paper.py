"""A document as PDF, set by reportlab with the DejaVu fonts that come with matplotlib.

Both are plain wheels without system libraries, so that every student's computer can print. What is
printed needs no colour: frames, weight and words carry all meaning.
"""

import io
from collections.abc import Callable, Iterator
from functools import cache
from html import escape
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from potash.plan_document.blocks import (
    BlankLines,
    Block,
    Bullets,
    Checklist,
    Document,
    Paragraph,
    SignatureLines,
    Table,
)
from potash.words import language, tr

_FONT, _BOLD, _ITALIC = "Potash", "Potash-Bold", "Potash-Italic"
_FACES = {
    _FONT: "DejaVuSans.ttf",
    _BOLD: "DejaVuSans-Bold.ttf",
    _ITALIC: "DejaVuSans-Oblique.ttf",
}
_MARGIN = 51.0  # points: 18 mm
_BOX = "☐"


def to_pdf(document: Document) -> bytes:
    """``document`` as the bytes of a PDF, A4."""
    _register_fonts()
    # How many pages there are is known only once they are laid out.
    _, pages = _laid_out(document, pages=0)
    written, _ = _laid_out(document, pages)
    return written


def _laid_out(document: Document, pages: int) -> tuple[bytes, int]:
    """The PDF whose foot counts so many pages, and how many it has."""
    from reportlab.lib.pagesizes import A4
    from reportlab.platypus import BaseDocTemplate, Frame, PageTemplate

    written = io.BytesIO()
    width, height = A4
    inside = Frame(_MARGIN, _MARGIN, width - 2 * _MARGIN, height - 2 * _MARGIN - 16, id="page")
    sheet = BaseDocTemplate(
        written,
        pagesize=A4,
        title=document.title,
        author="Potash workbook",
        subject=document.status,
        lang=language(),
    )
    sheet.addPageTemplates(
        PageTemplate(
            id="plan", frames=[inside], onPage=lambda canvas, _: _furnish(canvas, document, pages)
        )
    )
    sheet.build(list(_story(document)))
    return written.getvalue(), sheet.page


def _furnish(canvas: Any, document: Document, pages: int) -> None:
    """Head, foot and, until it is signed, the words across the page."""
    from reportlab.lib.pagesizes import A4

    width, height = A4
    canvas.saveState()
    if document.watermark:
        canvas.setFont(_BOLD, 74)
        canvas.setFillGray(0.88)
        canvas.translate(width / 2, height / 2)
        canvas.rotate(52)
        canvas.drawCentredString(0, -25, document.watermark)
        canvas.restoreState()
        canvas.saveState()
    canvas.setFont(_BOLD, 8)
    canvas.drawString(_MARGIN, height - _MARGIN + 6, document.status)
    canvas.setFont(_FONT, 8)
    canvas.drawString(_MARGIN, _MARGIN - 16, _short(document.title))
    number = tr("page {page} of {pages}", page=canvas.getPageNumber(), pages=pages)
    canvas.drawRightString(width - _MARGIN, _MARGIN - 16, number)
    canvas.line(_MARGIN, _MARGIN - 6, width - _MARGIN, _MARGIN - 6)
    canvas.restoreState()


def _story(document: Document) -> Iterator[Any]:
    from reportlab.platypus import CondPageBreak

    yield _set(document.title, "title")
    yield _set(document.subtitle, "lead")
    for number, section in enumerate(document.sections, 1):
        yield CondPageBreak(110)
        yield _set(f"{number}. {section.title}", "section")
        for block in section.blocks:
            yield from _SETTERS[type(block)](block)


def _paragraph(block: Paragraph) -> Iterator[Any]:
    yield _set(block.text, "strong" if block.strong else "text")


def _bullets(block: Bullets) -> Iterator[Any]:
    for phrase, text in block.points:
        bold = f'<font name="{_BOLD}">{escape(phrase)}</font> ' if phrase else ""
        yield _marked(f"•&nbsp;&nbsp;{bold}{escape(text)}", "bullet")


def _checklist(block: Checklist) -> Iterator[Any]:
    for question, reason in block.items:
        italic = f'<font name="{_ITALIC}" size="8">{escape(reason)}</font>'
        yield _marked(f"{_BOX}&nbsp;&nbsp;{escape(question)} {italic}", "check")


def _table(block: Table) -> Iterator[Any]:
    from reportlab.platypus import Spacer
    from reportlab.platypus import Table as Grid

    yield _set(block.caption, "caption")
    cells = [[_set(head, "head") for head in block.heads]]
    cells += [[_set(cell, "cell") for cell in row] for row in block.rows]
    grid = Grid(cells, colWidths=_column_widths(block), repeatRows=1, hAlign="LEFT")
    grid.setStyle(
        [
            ("GRID", (0, 0), (-1, -1), 0.5, (0.35, 0.35, 0.35)),
            ("LINEBELOW", (0, 0), (-1, 0), 1.4, (0, 0, 0)),
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("TOPPADDING", (0, 0), (-1, -1), 2.5),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 2.5),
        ]
    )
    yield grid
    yield Spacer(1, 6)


def _blank_lines(block: BlankLines) -> Iterator[Any]:
    from reportlab.platypus import HRFlowable, KeepTogether

    lines = [
        HRFlowable(width="100%", thickness=0.5, color=(0.4, 0.4, 0.4), spaceBefore=20)
        for _ in range(block.lines)
    ]
    yield KeepTogether([_set(block.prompt, "text"), *lines])


def _signature_lines(block: SignatureLines) -> Iterator[Any]:
    from reportlab.platypus import KeepTogether
    from reportlab.platypus import Table as Grid

    rows = [[_set(role, "cell"), "", "", ""] for role in block.roles]
    heads = [_set(text, "head") for text in ("", tr("Name"), tr("Signature"), tr("Date"))]
    grid = Grid(
        [heads, *rows],
        colWidths=[share * _text_width() for share in (0.24, 0.3, 0.3, 0.16)],
        rowHeights=[18] + [34] * len(rows),
        hAlign="LEFT",
    )
    grid.setStyle(
        [("LINEBELOW", (1, 1), (-1, -1), 0.8, (0, 0, 0)), ("VALIGN", (0, 0), (-1, -1), "BOTTOM")]
    )
    yield KeepTogether([grid])


_SETTERS: dict[type[Block], Callable[[Any], Iterator[Any]]] = {
    Paragraph: _paragraph,
    Bullets: _bullets,
    Checklist: _checklist,
    Table: _table,
    BlankLines: _blank_lines,
    SignatureLines: _signature_lines,
}


def _column_widths(block: Table) -> list[float]:
    """Widths by the length of what stands in each column, none below a readable least."""
    columns = list(zip(block.heads, *block.rows, strict=True))
    weights = [min(max(14, max(len(cell) for cell in column)), 60) ** 0.75 for column in columns]
    return [_text_width() * weight / sum(weights) for weight in weights]


def _text_width() -> float:
    from reportlab.lib.pagesizes import A4

    return float(A4[0]) - 2 * _MARGIN - 12


def _set(text: str, style: str) -> Any:
    return _marked(escape(text), style)


def _marked(markup: str, style: str) -> Any:
    from reportlab.platypus import Paragraph as Flowable

    return Flowable(markup, _styles()[style])


@cache
def _styles() -> dict[str, Any]:
    from reportlab.lib.styles import ParagraphStyle

    text = ParagraphStyle("text", fontName=_FONT, fontSize=9.5, leading=13, spaceAfter=5)

    def like(name: str, **changes: Any) -> Any:
        return ParagraphStyle(name, parent=text, **changes)

    return {
        "text": text,
        "title": like("title", fontName=_BOLD, fontSize=16, leading=20),
        "lead": like("lead", fontSize=10.5, leading=14, spaceAfter=8),
        "section": like("section", fontName=_BOLD, fontSize=12.5, leading=16, spaceBefore=9),
        "strong": like(
            "strong", fontName=_BOLD, borderWidth=1.2, borderColor=(0, 0, 0), borderPadding=5,
            spaceBefore=8, spaceAfter=10, leftIndent=6, rightIndent=6,
        ),
        "caption": like("caption", fontName=_ITALIC, fontSize=8.5, spaceBefore=5, spaceAfter=3,
                        leading=11, keepWithNext=1),
        "head": like("head", fontName=_BOLD, fontSize=8.5, leading=11, spaceAfter=0),
        "cell": like("cell", fontSize=8.5, leading=11, spaceAfter=0),
        "bullet": like("bullet", leftIndent=13, firstLineIndent=-13),
        "check": like("check", leftIndent=18, firstLineIndent=-18, spaceAfter=6),
    }  # fmt: skip


@cache
def _register_fonts() -> None:
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    for name, file in _FACES.items():
        pdfmetrics.registerFont(TTFont(name, str(_font_folder() / file)))


def _font_folder() -> Path:
    # Found without importing matplotlib, which is large.
    spec = find_spec("matplotlib")
    assert spec is not None and spec.submodule_search_locations
    return Path(spec.submodule_search_locations[0]) / "mpl-data" / "fonts" / "ttf"


def _short(title: str) -> str:
    return title if len(title) <= 80 else title[:79] + "…"
