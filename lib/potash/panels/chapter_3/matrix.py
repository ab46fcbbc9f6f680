"""Every metal against every reductant: numbers in the cells, and the sum behind each of them."""

import math

from potash import routes
from potash.panels.chapter_3 import terms
from potash.panels.frame import controls, look
from potash.panels.frame.grid import ButtonGrid, Face, tint
from potash.panels.frame.predicting import PredictFirst
from potash.panels.frame.shell import Shell, in_words
from potash.reactions import DOWNHILL, UNDECIDED, UPHILL
from potash.routes import NO_VALUE, Matrix, Reading
from potash.units import Quantity, quantity, show
from potash.words import tr

ASKED_AT = quantity("473 K")
LOWEST, HIGHEST = 300.0, 1400.0  # K

_TITLE = tr("Metals against reductants")
_ORIGIN = "Gibbs energy per mole of metal"
_SIGNS = {DOWNHILL: "▼", UPHILL: "▲", UNDECIDED: "≈"}
_NONE, _FEW, _MANY, _ALL = tr("none"), tr("fewer than half"), tr("half or more"), tr("all")
_DEEPEST_AT = 250e3  # J/mol
_UNKNOWN = ("transparent", "inherit")
_LEGEND = tr(
    "kJ per mole of metal. ▼ downhill, ▲ uphill, ≈ too close to call (within 10 kJ, or within the "
    "uncertainty), – no value. Press a square to open its reaction."
)
_PRACTICE = tr(
    "A colour is no promise. The matrix knows nothing of rates, surfaces and catalysts, nor of a "
    "vapour that is led away. Open a square: where practice is known to part from it, that is "
    "said."
)


@in_words(_TITLE)
def matrix() -> Shell:
    """A kind of compound and a temperature; the Gibbs energy of every metal and reductant."""
    return MatrixPanel().shell


class MatrixPanel:
    """Predict how much of the matrix runs downhill, then move the temperature and open cells."""

    def __init__(self) -> None:
        self.shell = Shell(
            _TITLE,
            tr(
                "One square for each metal and each reductant. Colour and sign follow the Gibbs "
                "energy per mole of metal."
            ),
        )
        self.source = controls.choice(tr("Metals made from their"), routes.SOURCES, "hydroxide")
        self.temperature = controls.slider(
            tr("Temperature, K"), ASKED_AT.m_as("K"), LOWEST, HIGHEST, 1, ".0f"
        )
        self.grid = ButtonGrid(
            tr("Metal"),
            [f"{name} ({symbol})" for symbol, name in routes.METALS.items()],
            [f"{one.name} ({symbol})" for symbol, one in routes.REDUCTANTS.items()],
            self._open,
        )
        self.opened = (list(routes.METALS).index("K"), 0)
        self.detail = controls.html()
        self.prediction = PredictFirst(
            self.shell,
            "",
            controls.options(tr("Your prediction"), (_NONE, _FEW, _MANY, _ALL)),
            result=self._result,
            revealed=self._show,
        )
        self.results = controls.column(
            self.temperature,
            self.grid.widget,
            controls.html(look.note(_LEGEND) + look.note(_PRACTICE) + look.where_from(_ORIGIN)),
            self.detail,
        )
        self._lay_out()
        self.shell.guarded(self.choose)()

    def _lay_out(self) -> None:
        self.shell.fill(
            controls.row(self.source), self.shell.message, self.prediction.box, self.results
        )
        self.source.observe(self.shell.guarded(self.choose), "value")
        self.temperature.observe(self.shell.guarded(self._draw), "value")

    @property
    def matrix(self) -> Matrix:
        """The matrix of the chosen kind of compound."""
        return routes.matrix(self.source.value)

    def choose(self) -> None:
        """Turn to another kind of compound; ask about it first."""
        self.shell.say("")
        what_if = f"matrix: {self.source.value} at {show(ASKED_AT)}"
        self.prediction.about(what_if, self._question())

    def _question(self) -> str:
        return tr(
            "Metals made from their {compound}, at {temperature}: of the squares for which there "
            "is a value, how many run downhill?",
            compound=tr(self.source.value),
            temperature=show(ASKED_AT),
        )

    def _result(self) -> str:
        known = [one.verdict for one in self.matrix.at(ASKED_AT) if one.verdict != NO_VALUE]
        downhill = known.count(DOWNHILL)
        shares = {0: _NONE, len(known): _ALL}
        share = shares.get(downhill, _FEW if 2 * downhill < len(known) else _MANY)
        return tr(
            "{share}, {downhill} of {number}", share=share, downhill=downhill, number=len(known)
        )

    # ------------------------------------------------------------------ showing

    def _show(self) -> None:
        controls.shown(self.results, self.prediction.is_open)
        if self.prediction.is_open:
            self._draw()
        else:
            self.shell.keep(
                look.note(self._question()),
                tr("{question} No prediction yet.", question=self._question()),
            )

    def _open(self, row: int, column: int) -> None:
        self.opened = (row, column)
        self.shell.guarded(self._draw)()

    def _draw(self) -> None:
        if not self.prediction.is_open:
            return
        T = Quantity(self.temperature.value, "K")
        readings = self.matrix.at(T)
        width = len(routes.REDUCTANTS)
        rows = [readings[i : i + width] for i in range(0, len(readings), width)]
        row, column = self.opened
        self.grid.show(
            [
                [_face(one, (i, j) == self.opened) for j, one in enumerate(line)]
                for i, line in enumerate(rows)
            ]
        )
        self.detail.value = _opened(rows[row][column], T)
        table = _table(self.source.value, T, rows)
        told = "; ".join(_label(one) for one in readings if one.verdict != NO_VALUE)
        self.shell.keep(
            table + self.detail.value,
            tr("At {temperature}: {told}.", temperature=show(T), told=told),
        )


def _face(reading: Reading, chosen: bool) -> Face:
    ground, ink = _UNKNOWN
    if reading.gibbs_energy_si is not None:
        undecided = reading.verdict == UNDECIDED
        deep = tint(reading.gibbs_energy_si, _DEEPEST_AT)
        ground, ink = look.PAPER if undecided else deep, look.INK
    return Face(_text(reading), ground, ink, tr("{label}. Open.", label=_label(reading)), chosen)


def _text(reading: Reading) -> str:
    if reading.gibbs_energy_si is None:
        return "–"
    return f"{_SIGNS[reading.verdict]} {_whole(reading.gibbs_energy_si)}"


def _label(reading: Reading) -> str:
    cell = reading.cell
    pair = tr(
        "{metal} with {reductant}",
        metal=routes.METALS[cell.metal],
        reductant=routes.REDUCTANTS[cell.reductant].name,
    )
    if reading.gibbs_energy_si is None or reading.uncertainty_si is None:
        return tr("{pair}: no value", pair=pair)
    u = math.ceil(reading.uncertainty_si / 1e3)
    return tr(
        "{pair}: {whole} ± {uncertainty} kJ/mol, {verdict}",
        pair=pair,
        whole=_whole(reading.gibbs_energy_si),
        uncertainty=u,
        verdict=tr(reading.verdict),
    )


def _whole(energy: float) -> str:
    """J/mol as whole kilojoules."""
    return str(round(energy / 1e3)).replace("-", "−")


def _table(source: str, T: Quantity, rows: list[tuple[Reading, ...]]) -> str:
    heads = (tr("Metal"), *routes.REDUCTANTS)
    body = [(line[0].cell.metal, *(_text(one) for one in line)) for line in rows]
    caption = tr(
        "Metals from their {compound} at {temperature}, ΔG in kJ per mole of metal",
        compound=tr(source),
        temperature=show(T),
    )
    return look.table(caption, heads, body, origins=[_ORIGIN])


def _opened(reading: Reading, T: Quantity) -> str:
    """The reaction behind a cell, term by term, and what practice has to say."""
    cell = reading.cell
    practice = "".join(look.note(tr("In practice: {note}", note=one)) for one in cell.practice)
    if reading.verdict == NO_VALUE or cell.reaction is None:
        head = "" if cell.reaction is None else _equation(reading)
        return f"{head}{look.note(reading.why_not)}{practice}"
    explained = cell.reaction.explain(T)
    return (
        _equation(reading)
        + look.note(
            tr(
                "{reading}, per mole of metal.",
                reading=_label(reading)[0].upper() + _label(reading)[1:],
            )
        )
        + practice
        + terms.told(explained, explained.notes)
    )


def _equation(reading: Reading) -> str:
    assert reading.cell.reaction is not None
    return f'<p class="potash-equation">{reading.cell.reaction.equation.html}</p>'
