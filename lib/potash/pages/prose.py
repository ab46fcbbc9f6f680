"""The prose of a chapter as HTML: formulas as MathML, pictures inside the page, no script."""

import re
from functools import cache
from html import escape
from pathlib import Path
from typing import Any

_BUTTON = re.compile(r"<button\b.*?</button>", re.S)
_TO_CHAPTER = re.compile(r'href="([\w.-]+)\.ipynb(#[^"]*)?"')


def to_html(markdown: str, folder: Path) -> str:
    """``markdown`` of a chapter that lies in ``folder`` as HTML.

    Buttons go, since no kernel answers them; links to chapters lead to their pages.
    """
    from nbconvert.filters.markdown_mistune import MarkdownWithMath

    renderer = _renderer_class()(escape=False, embed_images=True, path=str(folder))
    rendered = MarkdownWithMath(renderer=renderer).render(_BUTTON.sub("", markdown))
    return linked_pages(str(rendered))


def linked_pages(html: str) -> str:
    """``html`` whose links to notebooks lead to pages instead."""
    return _TO_CHAPTER.sub(r'href="\1.html"', html)


def math(latex: str, *, block: bool) -> str:
    """A formula as MathML, or its source where it cannot be set."""
    from latex2mathml.converter import convert

    # The converter knows lines below each other by the other name only.
    latex = latex.replace("{aligned}", "{align*}")
    try:
        return str(convert(latex, display="block" if block else "inline"))
    except Exception:  # the converter raises many kinds, none of which may cost the page
        return f"<code>{escape(latex)}</code>"


@cache
def _renderer_class() -> Any:
    from nbconvert.filters.markdown_mistune import IPythonRenderer

    class Renderer(IPythonRenderer):
        """Markdown as nbconvert renders it, with formulas that need no script."""

        def heading(self, text: str, level: int, **_attributes: Any) -> str:
            return f"<h{level}>{text}</h{level}>\n"

        def inline_math(self, body: str) -> str:
            return math(body, block=False)

        def block_math(self, body: str) -> str:
            return f"<div>{math(body, block=True)}</div>"

        def multiline_math(self, text: str) -> str:
            return self.block_math(text)

        def latex_environment(self, name: str, body: str) -> str:
            whole = rf"\begin{{{name}}}{body}\end{{{name}}}"
            return f"<div>{math(whole, block=True)}</div>"

    return Renderer
