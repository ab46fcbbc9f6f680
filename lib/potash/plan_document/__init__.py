"""The printed plan of a whole preparation, and the lab record that goes with it.

One document, as HTML and as PDF, readable in black and white. "Not approved" stands across it until
a supervisor has signed, and a signature makes nothing safe or permitted by itself.
"""

from potash.plan_document.blocks import (
    Approval,
    BlankLines,
    Block,
    Bullets,
    Checklist,
    Document,
    Paragraph,
    Section,
    SignatureLines,
    Table,
)
from potash.plan_document.contents import Plan, plan_document, planned
from potash.plan_document.page import to_html
from potash.plan_document.paper import to_pdf

__all__ = [
    "Approval",
    "BlankLines",
    "Block",
    "Bullets",
    "Checklist",
    "Document",
    "Paragraph",
    "Plan",
    "Section",
    "SignatureLines",
    "Table",
    "plan_document",
    "planned",
    "to_html",
    "to_pdf",
]
