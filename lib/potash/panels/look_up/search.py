"""Search: words typed, passages of the chapters found, each with a link to its place."""

import re
from html import escape

from potash.lookup import Hit
from potash.lookup import search as passages_with
from potash.panels.frame import controls, links, look
from potash.panels.frame.shell import Shell
from potash.words import counted, tr
from potash.workspace import Workspace


def search() -> Shell:
    """A field for words, and the passages of all chapters that hold them."""
    return _SearchPanel(Workspace.find()).shell


class _SearchPanel:
    def __init__(self, workspace: Workspace) -> None:
        self.workspace = workspace
        self.shell = Shell(
            tr("Search the chapters"), tr("All the words you type must stand in a passage.")
        )
        self.words = controls.text(
            tr("Words to find"), width="380px", placeholder=tr("limiting reagent"), live=True
        )
        self.found = controls.html()
        self.words.observe(self.shell.guarded(self.look), "value")
        style = controls.html(f"<style>{look.stylesheet('lookup.css')}</style>")
        self.shell.fill(style, self.words, self.shell.message, self.found, links.opened_here())
        self.look()

    def look(self) -> None:
        """Find what is typed now."""
        typed = self.words.value.strip()
        hits = passages_with(typed, self.workspace.folder) if typed else ()
        self.shell.say(look.note(_told(typed, len(hits))))
        self.found.value = _listed(hits, typed)
        text = "\n".join(f"{hit.passage.chapter}, {hit.passage.heading}" for hit in hits)
        self.shell.keep(look.note(_told(typed, len(hits))) + self.found.value, text)


def _told(typed: str, count: int) -> str:
    if not typed:
        return tr("Type a word, such as tetralin, H2 or moisture.")
    if not count:
        return tr(
            "No passage holds “{typed}”. Try fewer or shorter words, or the terms below.",
            typed=typed[:80],
        )
    return counted(
        "{number} passage holds “{typed}”.",
        "{number} passages hold “{typed}”.",
        count,
        typed=typed[:80],
    )


def _listed(hits: tuple[Hit, ...], typed: str) -> str:
    if not hits:
        return ""
    items = "".join(_item(hit, typed) for hit in hits)
    return (
        f'<div class="potash-list" role="region" aria-label="{tr("Passages found")}" tabindex="0">'
        f'<ul class="potash-found">{items}</ul></div>'
    )


def _item(hit: Hit, typed: str) -> str:
    passage = hit.passage
    where = (
        passage.heading
        if passage.heading == passage.chapter
        else f"{passage.chapter}: {passage.heading}"
    )
    place = links.link(where, passage.file, passage.cell)
    return f"<li>{place}<p>{_marked(hit.excerpt, typed)}</p></li>"


def _marked(excerpt: str, typed: str) -> str:
    words = sorted({word for word in typed.split() if word}, key=len, reverse=True)
    pattern = re.compile("|".join(re.escape(word) for word in words), re.IGNORECASE)
    parts, end = [], 0
    for match in pattern.finditer(excerpt):
        parts += [escape(excerpt[end : match.start()]), f"<mark>{escape(match[0])}</mark>"]
        end = match.end()
    return "".join([*parts, escape(excerpt[end:])])
