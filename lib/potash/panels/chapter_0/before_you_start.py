"""Before you start: the cautions of this chemistry, and a readiness check that is never "safe"."""

from dataclasses import dataclass
from functools import cache
from html import escape

from potash.hazards import ReadinessItem, readiness_items, unready
from potash.panels.frame import controls, look
from potash.panels.frame.shell import Shell
from potash.words import counted, tr
from potash.words.tables import read_toml

COMPLETE = tr(
    "The checklist is complete. That does not make the work safe or permitted: under licensed "
    "supervision, your institution's approval and local codes decide."
)


@dataclass(frozen=True, slots=True)
class Told:
    """A hazard of this chemistry in words, and where the words come from."""

    title: str
    text: str
    source: str


@cache
def cautions() -> tuple[Told, ...]:
    """The hazards that every chapter rests on."""
    rows = read_toml("panels/chapter_0/cautions.toml")["caution"]
    return tuple(Told(**row) for row in rows)


def before_you_start() -> Shell:
    """The cautions, then a checklist whose verdict is "not ready" until every condition is met."""
    return ReadinessPanel().shell


class ReadinessPanel:
    """Cautions, boxes to tick, and a verdict that names what is open."""

    def __init__(self) -> None:
        self.shell = Shell(
            tr("What can go wrong, and are you ready?"),
            tr(
                "Tick what holds here and now. Ticks are not kept: the check is made anew each "
                "time."
            ),
        )
        self.shell.message.layout.min_height = "104px"
        self.ticks = {item.code: controls.tick(item.question) for item in readiness_items()}
        for tick in self.ticks.values():
            tick.observe(self.shell.guarded(self.judge), "value")
        reasons = controls.html(look.folded(tr("Why each of these is asked"), _reasons()))
        self.shell.fill(
            controls.html(_cautions_shown() + f"<h4>{tr('Readiness check')}</h4>"),
            *self.ticks.values(),
            self.shell.message,
            reasons,
        )
        self.judge()

    def judge(self) -> None:
        """Say which conditions are open; complete is not the same as safe."""
        ticked = [code for code, tick in self.ticks.items() if tick.value]
        self.shell.say(_verdict(unready(ticked)))
        rows = [
            (item.question, tr("ticked") if item.code in ticked else tr("open"))
            for item in readiness_items()
        ]
        self.shell.keep(
            _cautions_shown()
            + look.table(tr("Readiness check"), (tr("Condition"), tr("State")), rows),
            "\n".join(f"[{state}] {question}" for question, state in rows),
        )


def _verdict(unmet: tuple[ReadinessItem, ...]) -> str:
    if not unmet:
        return look.note(COMPLETE)
    asked = len(readiness_items())
    first = unmet[0]
    still_open = counted(
        "{number} of {asked} condition is open. The first of them: {question}",
        "{number} of {asked} conditions are open. The first of them: {question}",
        len(unmet),
        asked=asked,
        question=first.question,
    )
    return (
        f'<div class="potash-problem"><b>{tr("Not ready.")}</b> {escape(still_open)} '
        f"<i>{escape(first.reason)}</i></div>"
    )


def _reasons() -> str:
    rows = ((item.question, item.reason) for item in readiness_items())
    return look.table(tr("The readiness check"), (tr("Condition"), tr("Reason")), rows)


def _cautions_shown() -> str:
    points = "".join(
        f"<li><b>{escape(one.title)}.</b> {escape(one.text)}</li>" for one in cautions()
    )
    sources = "".join(f"<li>{escape(one.title)}: {escape(one.source)}.</li>" for one in cautions())
    return (
        f'<div class="potash-caution"><p class="potash-caution-title">{tr("What can go wrong")}</p>'
        f"<ul>{points}</ul></div>"
        + look.folded(tr("Where these cautions come from"), f"<ul>{sources}</ul>")
    )
