"""The elements that matter here, in their places, each opening its data."""

from html import escape

from potash.lookup import Element
from potash.lookup import elements as kept_elements
from potash.panels.frame import controls, look
from potash.panels.frame.grid import ButtonGrid, Face
from potash.panels.frame.shell import Shell
from potash.words import tr

_ELEMENTS = {(one.period, one.group): one for one in kept_elements()}
_PERIODS = sorted({period for period, _ in _ELEMENTS})
_GROUPS = sorted({group for _, group in _ELEMENTS})
_NOBODY = Face("", "transparent", "inherit", "")
_PARTS = {"alkali metal": "●", "reductant": "▲", "in the flask": "○"}


def elements() -> Shell:
    """A periodic table of fourteen elements; press one for its data and where they come from."""
    return _StripPanel().shell


class _StripPanel:
    def __init__(self) -> None:
        self.shell = Shell(
            tr("The elements that matter here"),
            tr(
                "● alkali metal, in the hue of its flame   ▲ reductant   ○ also in the flask. "
                "Press one, or walk with the arrow keys."
            ),
        )
        self.grid = ButtonGrid(
            tr("Period"),
            [str(period) for period in _PERIODS],
            [tr("Group {group}", group=group) for group in _GROUPS],
            self._open,
        )
        self.detail = controls.html(height="270px")
        self.shell.fill(self.grid.widget, self.detail)
        self._show(next(one for one in _ELEMENTS.values() if one.symbol == "K"))

    def _open(self, row: int, column: int) -> None:
        chosen = _ELEMENTS.get((_PERIODS[row], _GROUPS[column]))
        if chosen:
            self.shell.guarded(lambda: self._show(chosen))()

    def _show(self, chosen: Element) -> None:
        self.grid.show([[_face(_ELEMENTS.get((p, g)), chosen) for g in _GROUPS] for p in _PERIODS])
        self.detail.value = _data(chosen)
        told = "; ".join(f"{fact.name} {fact.value}" for fact in chosen.facts())
        self.shell.keep(self.detail.value, f"{chosen.name}: {told}. {chosen.says}")


def _face(one: Element | None, chosen: Element) -> Face:
    if one is None:
        return _NOBODY
    cue = look.METALS.get(one.symbol)
    ground, ink = (cue.hue, look.PAPER) if cue else (look.PAPER, look.INK)
    label = tr(
        "{name}, {number}, {part}. Open.", name=tr(one.name), number=one.number, part=tr(one.part)
    )
    return Face(f"{one.symbol} {_PARTS[one.part]}", ground, ink, label, one is chosen)


def _data(one: Element) -> str:
    rows = [(fact.name, fact.value, fact.source) for fact in one.facts()]
    return (
        f"<h4>{one.number} {escape(tr(one.name).capitalize())}, {escape(tr(one.part))}</h4>"
        + look.paragraphs(one.says)
        + look.table(tr("What is known of it"), (tr("What"), tr("Value"), tr("Source")), rows)
    )
