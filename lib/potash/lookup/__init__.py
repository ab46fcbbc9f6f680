"""Looking things up: the chapters and what stands in them, the terms, the elements, units."""

from potash.lookup.chapters import BadChapter, Chapter, Hit, Passage, chapters, read_chapter, search
from potash.lookup.conversions import Conversion, Told, tell
from potash.lookup.elements import Element, Fact, UnknownElement, element, elements
from potash.lookup.glossary import Term, look_up, terms

__all__ = [
    "BadChapter",
    "Chapter",
    "Conversion",
    "Element",
    "Fact",
    "Hit",
    "Passage",
    "Term",
    "Told",
    "UnknownElement",
    "chapters",
    "element",
    "elements",
    "look_up",
    "read_chapter",
    "search",
    "tell",
    "terms",
]
