"""Who takes the gas from whom? A Gibbs energy diagram that answers to a temperature."""

import math
from functools import cache
from html import escape

from potash import diagrams
from potash.diagrams import PER_ATOM, PER_OXIDANT, Crossing, Exchange, Line
from potash.panels.chapter_3.diagram_picture import HIGHEST, LOWEST, DiagramPicture
from potash.panels.frame import controls, look
from potash.panels.frame.look import Number
from potash.panels.frame.predicting import PredictFirst
from potash.panels.frame.shell import Shell, in_words
from potash.reactions import DOWNHILL, UNDECIDED, UPHILL
from potash.units import show
from potash.words import tr

ASKED_AT = 1000.0  # K

_TITLE = tr("Who takes it from whom?")
_VERDICTS = (DOWNHILL, UPHILL, UNDECIDED)
_NAMES = {"O2": tr("oxygen"), "Cl2": tr("chlorine"), "F2": tr("fluorine")}
# Pairs that show something at first sight: a crossing in reach of the slider.
_FIRST = {
    "oxides": ("CO", "MgO"),
    "chlorides": ("CaCl2", "KCl"),
    "fluorides": ("MgF2", "NaF"),
}
_HEADS = (
    tr("Line"),
    tr("ΔG, kJ per mole of {gas}"),
    tr("uncertainty, kJ"),
    tr("Marks on the line"),
)
_PER_ATOM_NOTE = tr(
    "Per mole of metal atoms the lines say how much a metal gains by burning. They may not be "
    "compared for an exchange: its Gibbs energy is the gap of the lines per mole of the gas, and "
    "the crossings below are those."
)


@in_words(_TITLE)
def diagram() -> Shell:
    """A family of compounds, a pair of elements and a temperature; the lines, marks, crossings."""
    return DiagramPanel().shell


class DiagramPanel:
    """Choose two elements, predict which holds the gas more tightly, then move the temperature."""

    def __init__(self) -> None:
        self.shell = Shell(
            _TITLE,
            tr(
                "Each line is the formation of a compound from its element, for one mole of the "
                "same gas. The lower line takes the gas from the upper one."
            ),
        )
        self.family = controls.choice(tr("Diagram of the"), tuple(diagrams.FAMILIES), "oxides")
        self.per = controls.choice(tr("Drawn per"), (), None)
        self.taker = controls.choice(tr("This element…"), (), None)
        self.giver = controls.choice(tr("…takes the gas from"), (), None)
        self.temperature = controls.slider(
            tr("Temperature, K"), ASKED_AT, LOWEST, HIGHEST, 10, ".0f"
        )
        self.shown = controls.html()
        self.crossings = controls.html()
        self._turning = False
        self.pictures: dict[tuple[str, str], DiagramPicture] = {}
        self.prediction = PredictFirst(
            self.shell,
            "",
            controls.options(tr("Your prediction"), _VERDICTS),
            result=self._result,
            revealed=self._show,
        )
        self.results = controls.column(
            self.per,
            self.temperature,
            self.shown,
            self.crossings,
        )
        self._lay_out()
        self.shell.guarded(self.choose_family)()

    def _lay_out(self) -> None:
        self.shell.fill(
            controls.row(self.family, self.taker, self.giver),
            self.shell.message,
            self.prediction.box,
            self.results,
        )
        self.family.observe(self.shell.guarded(self.choose_family), "value")
        for choice in (self.taker, self.giver):
            choice.observe(self.shell.guarded(self.choose_pair), "value")
        self.per.observe(self.shell.guarded(self._draw), "value")
        self.temperature.observe(self.shell.guarded(self._draw), "value")

    # ------------------------------------------------------------------ choosing

    def choose_family(self) -> None:
        """Turn to another diagram, with a pair that shows something."""
        family = self.family.value
        lines = [one for one in diagrams.lines(family) if not one.is_point]
        gas = diagrams.FAMILIES[family].gas
        taker, giver = _FIRST[family]
        takers = [
            (
                tr("{element} (to {compound})", element=one.element, compound=one.compound),
                one.compound,
            )
            for one in lines
        ]
        bases = [(tr("mole of {gas}", gas=gas), PER_OXIDANT), (tr("mole of metal atoms"), PER_ATOM)]
        # Until all three lists belong to the new family, no pair of them means anything.
        self._turning = True
        self.taker.options, self.taker.value = takers, taker
        self.giver.options, self.giver.value = [one.compound for one in lines], giver
        self.per.options, self.per.value = bases, PER_OXIDANT
        self._turning = False
        self.crossings.value = _crossings_told(family)
        self.choose_pair()

    def choose_pair(self) -> None:
        """Turn to another pair; ask about it first."""
        if self._turning:
            return
        self.shell.say("")
        controls.shown(self.prediction.box, False)
        controls.shown(self.results, False)
        exchange = self.exchange
        if exchange.taker.element == exchange.giver.element:
            self.shell.say(look.note(tr("Choose two different elements.")))
            return
        controls.shown(self.prediction.box, True)
        self.prediction.about(
            f"exchange: {exchange.reaction} at {ASKED_AT:.0f} K", self._question()
        )

    @property
    def exchange(self) -> Exchange:
        """The exchange between the two chosen lines."""
        family = self.family.value
        return Exchange(
            diagrams.line(family, self.taker.value), diagrams.line(family, self.giver.value)
        )

    def _question(self) -> str:
        exchange = self.exchange
        gas = _NAMES[exchange.taker.gas]
        return tr(
            "At {temperature:.0f} K, as pure substances at 1 bar: can {element} take the {gas} "
            "from {compound}? {arrow}: downhill, uphill, or too close to call?",
            temperature=ASKED_AT,
            element=exchange.taker.element,
            gas=gas,
            compound=exchange.giver.compound,
            arrow=_arrow(exchange),
        )

    def _result(self) -> str:
        exchange = self.exchange
        gas = exchange.taker.gas
        return tr(
            "{verdict}, ΔG = {gap} per mole of {gas}",
            verdict=_verdict(exchange, ASKED_AT),
            gap=_gap(exchange, ASKED_AT),
            gas=gas,
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

    def _draw(self) -> None:
        if self._turning or not self.prediction.is_open:
            return
        picture = self._picture()
        exchange, T = self.exchange, self.temperature.value
        picture.pick_out(exchange)
        words = self._in_words(exchange, T)
        # One message and one repaint a key press, not one a part.
        self.shown.value = picture.to_html(T, words) + _rules() + self._told(exchange, T)
        self.shell.keep(self.shown.value + self.crossings.value, words)

    def _picture(self) -> DiagramPicture:
        key = (self.family.value, self.per.value)
        if key not in self.pictures:
            self.pictures[key] = DiagramPicture(diagrams.lines(self.family.value), self.per.value)
        return self.pictures[key]

    def _in_words(self, exchange: Exchange, T: float) -> str:
        ordered = ", ".join(one.compound for one, _ in _ordered(self.family.value, T))
        return tr(
            "Gibbs energy diagram of the {family}, per mole of {gas}. At {temperature:.0f} K the "
            "lines from lowest to highest: {ordered}. {arrow}: {gap}, {verdict}.",
            family=tr(self.family.value),
            gas=exchange.taker.gas,
            temperature=T,
            ordered=ordered,
            arrow=_arrow(exchange),
            gap=_gap(exchange, T),
            verdict=_verdict(exchange, T),
        )

    def _told(self, exchange: Exchange, T: float) -> str:
        gas = exchange.taker.gas
        table = look.table(
            tr("All lines at {temperature:.0f} K, the lowest first", temperature=T),
            [head.format(gas=gas) for head in _HEADS],
            [_row(one, G, T) for one, G in _ordered(self.family.value, T)],
            origins=["formation line"],
        )
        note = look.note(_PER_ATOM_NOTE) if self.per.value == PER_ATOM else ""
        return (
            f'<p class="potash-equation">{exchange.reaction.equation.html}</p>'
            + _numbers(self.family.value, exchange, T) + note + table
        )  # fmt: skip


# ---------------------------------------------------------------------- in words


def _numbers(family: str, exchange: Exchange, T: float) -> str:
    gap = tr(
        "ΔG of the exchange at {temperature:.0f} K, per mole of {gas}",
        temperature=T,
        gas=exchange.taker.gas,
    )
    return look.key_numbers(
        Number(gap, _gap(exchange, T), "Gibbs energy of exchange"),
        Number(tr("verdict"), _verdict(exchange, T), "direction of exchange"),
        Number(tr("these two cross at"), _where(family, exchange), "crossing of formation lines"),
    )


def _ordered(family: str, T: float) -> list[tuple[Line, float]]:
    """The lines with data at ``T`` (K) and their values in kJ, the lowest first."""
    values = [(one, float(one.gibbs_energy_si(T)) / 1e3) for one in diagrams.lines(family)]
    return sorted((pair for pair in values if pair[1] == pair[1]), key=lambda pair: pair[1])


def _row(line: Line, G: float, T: float) -> tuple[str, ...]:
    half_width = math.ceil(line.uncertainty_si(T) / 1e3)
    return line.name, str(round(G)).replace("-", "−"), f"± {half_width}", _marks(line)


@cache
def _marks(line: Line) -> str:
    """The marks of a line, which no slider moves."""
    return ", ".join(f"{one.label} {one.of} {show(one.temperature, 4)}" for one in line.marks)


def _has_data(exchange: Exchange, T: float) -> bool:
    gap = exchange.gibbs_energy_si(T)
    return gap == gap


def _gap(exchange: Exchange, T: float) -> str:
    if not _has_data(exchange, T):
        return tr("no data at {temperature:.0f} K", temperature=T)
    G, u = exchange.gibbs_energy_si(T) / 1e3, exchange.uncertainty_si(T) / 1e3
    return f"{round(G)} ± {math.ceil(u)} kJ".replace("-", "−")


def _arrow(exchange: Exchange) -> str:
    return exchange.reaction.equation.shown


def _verdict(exchange: Exchange, T: float) -> str:
    return tr(exchange.verdict(T)) if _has_data(exchange, T) else tr("no data")


def _where(family: str, exchange: Exchange) -> str:
    pair = {exchange.taker.compound, exchange.giver.compound}
    found = [
        _temperature(one)
        for one in diagrams.crossings(family, LOWEST, HIGHEST)
        if {one.lower_below.compound, one.lower_above.compound} == pair
    ]
    return tr(" and ").join(found) or tr(
        "no temperature from {lowest:.0f} to {highest:.0f} K", lowest=LOWEST, highest=HIGHEST
    )


def _temperature(crossing: Crossing) -> str:
    T, spread = crossing.temperature.m_as("K"), crossing.uncertainty.m_as("K")
    # No more digits than the uncertainty bears: to 10 K, or to 100 K where it is that wide.
    step = 10 if spread < 100 else 100
    return f"{step * round(T / step)} K ± {step * max(1, round(spread / step))} K"


def _rules() -> str:
    listed = "".join(f"<li>{escape(rule)}</li>" for rule in diagrams.READING_RULES)
    return f"<h4>{tr('How to read it')}</h4><ul>{listed}</ul>"


def _crossings_told(family: str) -> str:
    rows = [
        (_temperature(one), one.lower_below.name, one.lower_above.name)
        for one in diagrams.crossings(family, LOWEST, HIGHEST)
    ]
    caption = tr(
        "Every crossing of the {family} from {lowest:.0f} to {highest:.0f} K",
        family=tr(family),
        lowest=LOWEST,
        highest=HIGHEST,
    )
    table = look.table(
        caption,
        (tr("At"), tr("Lower below it"), tr("Lower above it")),
        rows,
        origins=["crossing of formation lines"],
    )
    gaps = "".join(look.note(gap) for gap in diagrams.missing(family))
    sources = {s.source for line in diagrams.lines(family) for s in line.reaction.species}
    listed = "".join(f"<li>{escape(source)}</li>" for source in sorted(sources))
    return (
        look.folded(tr("Crossings, found as roots of the gap ({number})", number=len(rows)), table)
        + look.folded(tr("Tables and sources"), f"<ul>{listed}</ul>")
        + gaps
    )
