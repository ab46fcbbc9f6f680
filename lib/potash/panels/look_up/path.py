"""The path through the chapters: what each is about, how long it takes, how far the student is."""

from collections.abc import Iterable
from html import escape

from potash.errors import PotashError
from potash.exercises.progress import ChapterProgress, Progress, progress
from potash.exercises.sheet import AnswerSheet
from potash.lookup import Chapter, chapters
from potash.panels.frame import controls, links, look
from potash.panels.frame.look import Number
from potash.panels.frame.shell import Shell, in_words
from potash.words import tr
from potash.workspace import Workspace

_TITLE = tr("Your path")
_NONE = Progress({}, 0)


@in_words(_TITLE)
def path() -> Shell:
    """All chapters that lie here, in their order, with what is recorded in each."""
    return _PathPanel(Workspace.find()).shell


class _PathPanel:
    def __init__(self, workspace: Workspace) -> None:
        self.workspace = workspace
        self.shell = Shell(
            _TITLE, tr("Every chapter that lies in this folder, and what you recorded.")
        )
        self.stations = controls.html()
        self.again = controls.button(tr("Look again"))
        self.again.on_click(self.shell.guarded(self.look))
        style = controls.html(f"<style>{look.stylesheet('lookup.css')}</style>")
        self.shell.fill(
            style, self.shell.message, self.stations, controls.row(self.again), links.opened_here()
        )
        self.shell.guarded(self.look)()

    def look(self) -> None:
        """Read chapters and answer sheet from the disk, and show how they stand."""
        found = chapters(self.workspace.folder)
        far, notices = self._progress()
        self.shell.say("".join(notices))
        self.stations.value = _numbers(found, far) + _go_on(found, far) + _stations(found, far)
        self.shell.keep(self.stations.value, "\n".join(_in_text(found, far)))

    def _progress(self) -> tuple[Progress, list[str]]:
        """What the sheet says; a sheet that cannot be read must not hide the path."""
        try:
            sheet = AnswerSheet.open(self.workspace.folder)
            return progress(sheet), [look.note(notice) for notice in sheet.notices]
        except PotashError as error:
            return _NONE, [look.problem(str(error))]


def _numbers(found: Iterable[Chapter], far: Progress) -> str:
    minutes = sum(one.minutes for one in found)
    recorded, hours = (
        tr("{recorded} of {questions}", recorded=far.recorded, questions=far.questions),
        f"{minutes // 60} h {minutes % 60} min",
    )
    return look.key_numbers(
        Number(tr("questions recorded"), recorded, "questions recorded"),
        Number(tr("predictions kept"), str(far.predictions), "predictions kept"),
        Number(tr("all chapters together"), hours, "time of the chapters"),
    )


def _go_on(found: tuple[Chapter, ...], far: Progress) -> str:
    if not found:
        return look.note(tr("No chapter lies in this folder. `potash open` lays them here."))
    if not far.recorded and not far.predictions:
        begin = found[0]
        return _linked_note(tr("Begin with"), begin)
    onward = next((one for one in found if one.number == far.next_chapter), None)
    if onward is None:
        return look.good(
            tr("Every question has a recorded answer. Right or wrong is not judged here.")
        )
    return _linked_note(tr("Go on with"), onward)


def _linked_note(words: str, chapter: Chapter) -> str:
    return f'<div class="potash-note">{words} {links.link(chapter.called, chapter.file)}.</div>'


def _stations(found: Iterable[Chapter], far: Progress) -> str:
    listed = "".join(_station(one, far.chapters.get(one.number or 0)) for one in found)
    return f'<ol class="potash-path">{listed}</ol>'


def _station(chapter: Chapter, far: ChapterProgress | None) -> str:
    state, told, bar = _standing(far)
    dot = "✓" if state == "complete" else str(chapter.number)
    outcomes = "".join(f"<li>{escape(outcome)}</li>" for outcome in chapter.outcomes)
    aside = [tr("{minutes} minutes", minutes=chapter.minutes) if chapter.minutes else "", told]
    needs = ""
    if chapter.needs:
        needs = f"<p>{escape(tr('You need: {needs}.', needs=chapter.needs))}</p>"
    return (
        f'<li class="potash-station potash-{state}">'
        f'<span class="potash-dot" aria-hidden="true">{dot}</span>'
        f'<div class="potash-head">{links.link(chapter.called, chapter.file)}'
        f'<span class="potash-aside">{escape(" · ".join(part for part in aside if part))}</span>'
        f"</div>{bar}"
        + look.folded(tr("What you will be able to do"), f"<ul>{outcomes}</ul>{needs}")
        + "</li>"
    )


def _standing(far: ChapterProgress | None) -> tuple[str, str, str]:
    """State, the same in words, and a bar that shows it."""
    if far is None:
        return "open", tr("nothing to record"), ""
    state = "complete" if far.complete else "begun" if far.recorded else "open"
    share = 100 * far.recorded / far.questions if far.questions else 100
    filled = f'<span style="width: {share:.0f}%"></span>'
    bar = f'<div class="potash-bar" aria-hidden="true">{filled}</div>'
    done = tr("all") if far.complete else tr("{recorded} of", recorded=far.recorded)
    return (
        state,
        tr("{done} {questions} questions recorded", done=done, questions=far.questions),
        bar,
    )


def _in_text(found: Iterable[Chapter], far: Progress) -> list[str]:
    return [
        tr(
            "{called}: {minutes} minutes, {standing}",
            called=one.called,
            minutes=one.minutes,
            standing=_standing(far.chapters.get(one.number or 0))[1],
        )
        for one in found
    ]
