"""The terms of the trade: typed words narrow the list, each term with meaning and source."""

from html import escape

from potash.lookup import Term, look_up
from potash.panels.frame import controls, look
from potash.panels.frame.shell import Shell
from potash.words import counted, tr


def glossary() -> Shell:
    """All terms, and a field that narrows them down."""
    return _GlossaryPanel().shell


class _GlossaryPanel:
    def __init__(self) -> None:
        self.shell = Shell(
            tr("Terms"),
            tr("As this workbook uses them. Type a few letters to narrow the list down."),
        )
        self.words = controls.text(
            tr("Term or word"), width="320px", placeholder=tr("limiting"), live=True
        )
        self.found = controls.html()
        self.words.observe(self.shell.guarded(self.look), "value")
        style = controls.html(f"<style>{look.stylesheet('lookup.css')}</style>")
        self.shell.fill(style, self.words, self.shell.message, self.found)
        self.look()

    def look(self) -> None:
        """Show the terms that hold what is typed now."""
        typed = self.words.value.strip()
        found = look_up(typed)
        self.shell.say(look.note(_told(typed, len(found))))
        self.found.value = _listed(found)
        self.shell.keep(self.found.value, "\n".join(f"{one.term}: {one.meaning}" for one in found))


def _told(typed: str, count: int) -> str:
    if not count:
        return tr("No term holds “{typed}”. Search the chapters above for it.", typed=typed[:80])
    return counted("{number} term.", "{number} terms.", count)


def _listed(found: tuple[Term, ...]) -> str:
    if not found:
        return ""
    items = "".join(_item(one) for one in found)
    return (
        f'<div class="potash-list" role="region" aria-label="{tr("Terms found")}" tabindex="0">'
        f'<dl class="potash-found">{items}</dl></div>'
    )


def _item(one: Term) -> str:
    also = tr(" (also: {also})", also=", ".join(one.also)) if one.also else ""
    where = tr("Chapter {chapter}. Source: {source}.", chapter=one.chapter, source=one.source)
    return (
        f"<div><dt>{escape(one.term)}<span class='potash-aside'>{escape(also)}</span></dt>"
        f"<dd>{escape(one.meaning)} <span class='potash-aside'>{escape(where)}</span></dd></div>"
    )
