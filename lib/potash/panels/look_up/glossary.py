"""The terms of the trade: typed words narrow the list, each term with meaning and source."""

from html import escape

from potash.lookup import Term, look_up
from potash.panels.frame import controls, look
from potash.panels.frame.shell import Shell


def glossary() -> Shell:
    """All terms, and a field that narrows them down."""
    return _GlossaryPanel().shell


class _GlossaryPanel:
    def __init__(self) -> None:
        self.shell = Shell(
            "Terms", "As this workbook uses them. Type a few letters to narrow the list down."
        )
        self.words = controls.text("Term or word", width="320px", placeholder="limiting", live=True)
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
        return f"No term holds “{typed[:80]}”. Search the chapters above for it."
    return f"{count} {'term' if count == 1 else 'terms'}."


def _listed(found: tuple[Term, ...]) -> str:
    if not found:
        return ""
    items = "".join(_item(one) for one in found)
    return (
        '<div class="potash-list" role="region" aria-label="Terms found" tabindex="0">'
        f'<dl class="potash-found">{items}</dl></div>'
    )


def _item(one: Term) -> str:
    also = f" (also: {', '.join(one.also)})" if one.also else ""
    return (
        f"<div><dt>{escape(one.term)}<span class='potash-aside'>{escape(also)}</span></dt>"
        f"<dd>{escape(one.meaning)} <span class='potash-aside'>Chapter {one.chapter}. "
        f"Source: {escape(one.source)}.</span></dd></div>"
    )
