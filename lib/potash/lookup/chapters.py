"""The chapters as reading matter: what each teaches and how long it takes, and a search in all.

Everything is read from the notebooks themselves, as JSON: a new chapter appears by lying there.
"""

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from potash.errors import PotashError
from potash.files import read_capped
from potash.lookup.words import folded
from potash.words import tr
from potash.words.chapters import chapter_in_language
from potash.workspace import chapters_source

_LARGEST = 50_000_000  # bytes; a chapter with stored pictures stays far below
_EXCERPT = 170  # characters
_MOST_HITS = 40
_LONGEST_QUERY = 200

_TITLE = re.compile(r"^#\s+(?:\d+\s+)?(.+)$", re.M)
_HEADING = re.compile(r"^#{1,6}\s+(.+)$", re.M)
# Told by their form, not by their words, so that they are found in every language: the first list,
# and the line "**Time:** 45 minutes, exercises included. **You need:** paper, pencil."
_OUTCOMES = re.compile(r"(?:^[-*] .*\n?(?:  \S.*\n?)*)+", re.M)
_TIME = re.compile(r"^\*\*[^*\n]+\*\*\s*(\d+)\s", re.M)
_NEEDS = re.compile(r"^\*\*[^*\n]+\*\*\s*\d[^*]*\*\*[^*\n]+\*\*\s*(.+?)\.?\s*$", re.M)

# Markup that a reader of plain text does not want to see, in the order in which it goes.
_PLAINER = (
    (re.compile(r"<[^<>]{1,400}>"), " "),
    (re.compile(r"!?\[([^\]]*)\]\([^)]*\)"), r"\1"),
    (re.compile(r"\\(?:begin|end)\{\w+\}|&"), " "),
    (re.compile(r"\\(?:rightarrow|rightleftharpoons)"), "→"),
    (re.compile(r"\\Delta *"), "Δ"),
    (re.compile(r"\\[A-Za-z]+|\\."), " "),
    (re.compile(r"[|]|^[>#]+|^-{3,}|^[-+] ", re.M), " "),
    (re.compile(r"[_^{}$`*]"), ""),
    (re.compile(r"\s+"), " "),
)


class BadChapter(PotashError):
    """A file that is called a chapter and is none."""


@dataclass(frozen=True, slots=True)
class Passage:
    """One cell of prose. file: of its chapter; cell: its id; text: without markup."""

    file: str
    chapter: str
    cell: str
    heading: str
    text: str


@dataclass(frozen=True, slots=True)
class Chapter:
    """What a chapter says of itself.

    file: its name. number: None for a notebook beside the numbered chapters.
    minutes, needs, outcomes: as its first cell says; 0, "" and () where it says nothing.
    """

    file: str
    number: int | None
    title: str
    minutes: int
    needs: str
    outcomes: tuple[str, ...]
    passages: tuple[Passage, ...]

    @property
    def called(self) -> str:
        """Number and title, as people say them."""
        return self.title if self.number is None else f"{self.number} {self.title}"


@dataclass(frozen=True, slots=True)
class Hit:
    """A passage that a search found, and the words around the first find."""

    passage: Passage
    excerpt: str


def read_chapter(path: Path) -> Chapter:
    """The chapter in the notebook ``path``; nothing in it is executed.

    Raises: BadChapter, if it is no notebook or has no title; OSError, if it cannot be read.
    """
    cells = _markdown_cells(path)
    opening = "\n\n".join(source for _, source in cells)
    title = _TITLE.search(opening)
    if title is None:
        raise BadChapter(
            tr('{path} has no title: a chapter begins with a line "# Title".', path=path.name)
        )
    minutes, needs = _TIME.search(opening), _NEEDS.search(opening)
    name = _plain(title[1])
    return Chapter(
        file=path.name,
        number=int(path.name[:2]) if re.match(r"\d\d-", path.name) else None,
        title=name,
        minutes=int(minutes[1]) if minutes else 0,
        needs=_plain(needs[1]) if needs else "",
        outcomes=_outcomes(cells[0][1]),
        passages=tuple(_passages(path.name, name, cells)),
    )


def chapters(folder: Path | None = None) -> tuple[Chapter, ...]:
    """The numbered chapters in ``folder``, in their order; a damaged one is left out.

    Without any there, and without a folder, the original chapters.

    Raises: potash.workspace.ChaptersMissing.
    """
    return tuple(one for one in _all_in(folder) if one.number is not None)


def search(words: str, folder: Path | None = None) -> tuple[Hit, ...]:
    """The passages of ``folder`` that hold every one of ``words``, the best first.

    Case, accents and subscripts make no difference: "h2" finds H₂. A passage whose heading holds
    the words comes before one that only mentions them; then the order of the chapters counts.
    """
    wanted = folded(words[:_LONGEST_QUERY]).split()
    if not wanted:
        return ()
    found = []
    for chapter in _all_in(folder):
        for passage in chapter.passages:
            heading, text = folded(passage.heading), folded(passage.text)
            if all(word in text or word in heading for word in wanted):
                in_heading = all(word in heading for word in wanted)
                found.append((not in_heading, Hit(passage, _excerpt(passage.text, wanted))))
    found.sort(key=lambda one: one[0])  # stable: within a rank the chapters' order stays
    return tuple(hit for _, hit in found[:_MOST_HITS])


def _all_in(folder: Path | None) -> Iterator[Chapter]:
    paths = sorted(folder.glob("*.ipynb")) if folder else []
    if not any(re.match(r"\d\d-", path.name) for path in paths):
        paths = sorted(chapters_source().glob("*.ipynb"))
    for path in paths:
        try:
            written = path.stat()
            yield _read_once(path, written.st_mtime_ns, written.st_size)
        except (PotashError, OSError):
            continue  # one damaged file must not hide the others; JupyterLab says what is wrong


@lru_cache(maxsize=64)
def _read_once(path: Path, _written: int, _size: int) -> Chapter:
    """The chapter, read again only if its file was written since."""
    return read_chapter(path)


def _markdown_cells(path: Path) -> tuple[tuple[str, str], ...]:
    """Id and source of each cell of prose."""
    try:
        notebook = json.loads(chapter_in_language(read_capped(path, _LARGEST)))
        return tuple(
            (str(cell.get("id", "")), "".join(cell["source"]))
            for cell in notebook["cells"]
            if cell["cell_type"] == "markdown"
        )
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as reason:
        raise BadChapter(
            tr("{path} is no notebook: {reason!r}.", path=path.name, reason=reason)
        ) from reason


def _outcomes(opening: str) -> tuple[str, ...]:
    found = _OUTCOMES.search(opening)
    if found is None:
        return ()
    points = re.split(r"^[-*] ", found[0], flags=re.M)[1:]
    return tuple(_plain(point).rstrip(",.;") for point in points)


def _passages(file: str, chapter: str, cells: tuple[tuple[str, str], ...]) -> Iterator[Passage]:
    heading = chapter
    for cell, source in cells:
        found = _HEADING.search(source)
        if found:
            heading = _plain(re.sub(r"^\d+\s+", "", found[1]))
        yield Passage(file, chapter, cell, heading, _plain(source))


def _plain(source: str) -> str:
    for pattern, instead in _PLAINER:
        source = pattern.sub(instead, source)
    return source.strip()


def _excerpt(text: str, wanted: list[str]) -> str:
    """Some words around the first find in ``text``, cut between words."""
    places = [place for word in wanted if (place := _place(text, word)) >= 0]
    start = max(min(places, default=0) - _EXCERPT // 3, 0)
    if start:
        start = text.find(" ", start) + 1
    cut = text[start : start + _EXCERPT]
    ends = start + _EXCERPT >= len(text)
    return f"{'… ' if start else ''}{cut if ends else cut.rsplit(' ', 1)[0] + ' …'}"


def _place(text: str, word: str) -> int:
    """Where ``word``, folded, begins in the unfolded ``text``; -1 if nowhere.

    Folding may change the length of a text, so each sign is folded alone.
    """
    signs = [folded(sign) for sign in text]
    place = "".join(signs).find(word)
    if place < 0:
        return -1
    passed = 0
    for index, sign in enumerate(signs):
        if passed >= place:
            return index
        passed += len(sign)
    return len(text)
