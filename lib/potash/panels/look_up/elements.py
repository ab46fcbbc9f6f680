"""The elements that matter here, in their places, each opening its data."""

from html import escape

from potash.lookup import Element
from potash.lookup import elements as kept_elements
from potash.panels.frame import controls, look
from potash.panels.frame.grid import ButtonGrid, Face
from potash.panels.frame.shell import Shell

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
            "The elements that matter here",
            "● alkali metal, in the hue of its flame   ▲ reductant   ○ also in the flask. "
            "Press one, or walk with the arrow keys.",
        )
        self.grid = ButtonGrid(
            "Period",
            [str(period) for period in _PERIODS],
            [f"Group {group}" for group in _GROUPS],
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
    label = f"{one.name}, {one.number}, {one.part}. Open."
    return Face(f"{one.symbol} {_PARTS[one.part]}", ground, ink, label, one is chosen)


def _data(one: Element) -> str:
    rows = [(fact.name, fact.value, fact.source) for fact in one.facts()]
    return (
        f"<h4>{one.number} {escape(one.name.capitalize())}, {escape(one.part)}</h4>"
        + look.paragraphs(one.says)
        + look.table("What is known of it", ("What", "Value", "Source"), rows)
    )
