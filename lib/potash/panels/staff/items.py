"""Item analysis on one page: how each question went, at a glance and then in numbers."""

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from potash.errors import PotashError
from potash.exercises.items import LEAST_STUDENTS
from potash.exercises.marks import ITEMS
from potash.exercises.outcomes import Outcome
from potash.panels.frame import controls, look
from potash.panels.frame.pictures import Picture, styled
from potash.panels.frame.shell import Shell, in_words
from potash.words import tr

# Below this a question hardly tells students apart (common practice, no source).
_TELLS_LITTLE: Final = 0.15

_ORIGINS: Final = (
    "difficulty of a question",
    "discrimination of a question",
    "median minutes of an exercise",
)

# Each group of outcomes: its name, its colour, and a hatch as a second cue.
_GROUPS: Final = (
    ("right", look.CONTRAST, "", (Outcome.CORRECT, Outcome.FOLLOW_THROUGH)),
    ("slip", "#c98a1b", "///", (Outcome.UNIT_SLIP, Outcome.KNOWN_SLIP)),
    ("wrong", "#b3344a", "xxx", (Outcome.WRONG,)),
    ("blank", look.GRID, "", (Outcome.BLANK,)),
    ("for a person", look.FAINT, "...", (Outcome.UNREADABLE, Outcome.TO_BE_READ)),
)


class NoItems(PotashError):
    """There is no item table yet, or it cannot be read."""


@dataclass(frozen=True, slots=True)
class Item:
    """A question of the item table; numbers are None where they are withheld or do not exist."""

    place: str
    students: int
    difficulty: float | None
    discrimination: float | None
    groups: tuple[int, ...]
    slip: str
    minutes: str

    @property
    def told(self) -> bool:
        """Whether the group was large enough for numbers."""
        return self.difficulty is not None


@in_words(tr("Item analysis"))
def items(marks: str = "marks") -> Shell:
    """How hard each question was and how well it tells students apart; ``marks`` is a folder."""
    return ItemsPanel(marks).shell


class ItemsPanel:
    """The picture, the table, and what to look at first."""

    def __init__(self, marks: str) -> None:
        self.shell = Shell(
            tr("How did each question go?"),
            tr(
                "Each bar is a question, in the order of the course. Look first at questions that "
                "many got wrong, and at those that tell nobody apart."
            ),
        )
        self.marks = controls.text(tr("Marks folder"), marks)
        self.look_button = controls.button(tr("Look again"), main=True)
        self.picture = controls.html()
        self.table = controls.html()
        self.look_button.on_click(self.shell.guarded(self.look))
        self.shell.fill(
            controls.row(self.marks, self.look_button),
            self.shell.message,
            self.picture,
            self.table,
        )
        self.shell.keep(look.note(tr("Run this cell to see the items.")), tr("Item analysis."))
        if (Path(marks) / ITEMS).exists():
            self.shell.guarded(self.look)()
        else:
            self.shell.say(look.note(tr("Nothing is marked yet: mark the class, then look again.")))

    def look(self) -> None:
        """Read the item table from the disk and show it."""
        found = read_items(Path(self.marks.value))
        told = [item for item in found if item.told]
        self.picture.value = picture(told) if told else ""
        self.table.value = _table(found)
        self.shell.say(_first_look(found))
        self.shell.keep(self.picture.value + self.table.value, tr("Item analysis."))


def read_items(marks: Path) -> list[Item]:
    """The item table in the marks folder.

    Raises: NoItems.
    """
    path = marks / ITEMS
    try:
        with path.open(encoding="utf-8", newline="") as file:
            return [_item(row) for row in csv.DictReader(file, strict=True)]
    except FileNotFoundError:
        raise NoItems(
            tr("there is no item table in {marks} yet: mark the class first.", marks=marks)
        ) from None
    except (OSError, ValueError, KeyError, TypeError, csv.Error) as reason:
        raise NoItems(
            tr("{path} cannot be read: {reason}. Mark the class again.", path=path, reason=reason)
        ) from None


def _item(row: dict[str, str]) -> Item:
    return Item(
        place=f"{row['exercise']}: {row['question']}",
        students=int(row["students"]),
        difficulty=_number(row["difficulty"]),
        discrimination=_number(row["discrimination"]),
        groups=tuple(sum(int(row[one] or 0) for one in ends) for _, _, _, ends in _GROUPS),
        slip=row["most frequent slip"]
        and f"{row['most frequent slip']} ({row['students with it']})",
        minutes=row["median minutes"],
    )


def picture(found: Sequence[Item]) -> str:
    """An ``<img>`` with a stacked bar for each question."""
    drawn = Picture(width=760, height=120 + 26 * len(found))
    axes = drawn.axes
    with styled():
        left = [0.0] * len(found)
        places = range(len(found))
        for group, (name, colour, hatch, _) in enumerate(_GROUPS):
            shares = [100 * item.groups[group] / item.students for item in found]
            axes.barh(
                places, shares, left=left, color=colour, hatch=hatch, edgecolor=look.PAPER,
                linewidth=0.5, label=name,
            )  # fmt: skip
            left = [start + share for start, share in zip(left, shares, strict=True)]
        axes.set_yticks(places, [item.place for item in found])
        axes.invert_yaxis()
        axes.set(xlim=(0, 100), xlabel=tr("students, %"))
        axes.grid(visible=False, axis="y")
        axes.legend(loc="upper left", bbox_to_anchor=(1.0, 1.0))
    drawn.settle()
    return drawn.to_html(_in_words(found))


def _in_words(found: Sequence[Item]) -> str:
    told = "; ".join(
        tr(
            "{place}: {groups:.0f} % right, {students:.0f} % a slip",
            place=item.place,
            groups=100 * item.groups[0] / item.students,
            students=100 * item.groups[1] / item.students,
        )
        for item in found
    )
    return tr(
        "Stacked bars of outcomes for {number} questions. {told}.", number=len(found), told=told
    )


def _first_look(found: Sequence[Item]) -> str:
    if not any(item.told for item in found):
        return look.note(
            tr(
                "Numbers are shown from {fewest} sheets on: below that they would say more about "
                "single people than about a question.",
                fewest=LEAST_STUDENTS,
            )
        )
    odd = [
        item.place
        for item in found
        if item.discrimination is not None and item.discrimination < _TELLS_LITTLE
    ]
    if not odd:
        return look.good(tr("Every question tells students apart."))
    return look.note(
        tr(
            "These tell hardly anybody apart, or the wrong way round: {odd}. Read the exercise "
            "and its key again.",
            odd=", ".join(odd),
        )
    )


def _table(found: Sequence[Item]) -> str:
    rows = [
        (
            item.place,
            str(item.students),
            _shown(item.difficulty),
            _shown(item.discrimination),
            item.slip,
            item.minutes,
        )
        for item in found
    ]
    heads = (
        tr("Question"),
        tr("Students"),
        tr("Difficulty (mean share of points)"),
        tr("Discrimination (with the rest)"),
        tr("Most frequent slip"),
        tr("Median minutes"),
    )
    return look.table(tr("Items"), heads, rows, origins=_ORIGINS)


def _number(text: str) -> float | None:
    return float(text) if text else None


def _shown(number: float | None) -> str:
    return "" if number is None else f"{number:.2f}".replace("-", "\u2212")
