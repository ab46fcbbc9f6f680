"""A document as one self-contained HTML page, for screen and printer."""

from functools import cache
from importlib import resources
from typing import Any

from potash.plan_document.blocks import Document
from potash.words import in_templates


def to_html(document: Document) -> str:
    """``document`` as an HTML page without scripts, fonts or pictures from elsewhere."""
    return str(_template().render(document=document, kind=_kind))


def _kind(block: object) -> str:
    return type(block).__name__


@cache
def _template() -> Any:
    from jinja2 import Environment, StrictUndefined

    text = (
        resources.files("potash.plan_document")
        .joinpath("templates/plan.html.jinja")
        .read_text("utf-8")
    )
    environment = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True)
    environment.globals.update(in_templates())
    return environment.from_string(text)
