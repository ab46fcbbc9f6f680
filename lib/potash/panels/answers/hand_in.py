"""Handing in: which file, from where, and what is still blank on it."""

from potash.exercises.progress import Progress, progress
from potash.exercises.sheet import AnswerSheet
from potash.panels.frame import controls, look
from potash.panels.frame.shell import Shell, in_words
from potash.words import tr


@in_words(tr("Hand in"))
def hand_in() -> Shell:
    """Says which file to hand in, and which questions have no recorded answer yet."""
    return _HandIn().shell


class _HandIn:
    def __init__(self) -> None:
        self.shell = Shell(tr("Hand in"))
        self.report = controls.html()
        self.again = controls.button(tr("Look again"), main=True)
        self.again.on_click(self.shell.guarded(self.look))
        self.shell.fill(self.report, controls.row(self.again))
        self.look()

    def look(self) -> None:
        """Read the sheet from the disk and say how it stands."""
        sheet = AnswerSheet.open()
        unfinished = _standing(sheet)
        self.report.value = _where(sheet) + _what_is_blank(unfinished, progress(sheet))
        self.shell.say("".join(look.note(notice) for notice in sheet.notices))
        self.shell.keep(
            self.report.value,
            tr("{path}; {number} unfinished.", path=sheet.path, number=len(unfinished)),
        )


def _standing(sheet: AnswerSheet) -> list[tuple[str, str, str, str]]:
    """Chapter, title, answered of asked, and the blank questions, of each unfinished exercise."""
    found = []
    for issued in sheet.exercises():
        answers = sheet.answers(issued.id)
        blank = [asked.prompt for asked in issued.asked if not answers.get(asked.name, "").strip()]
        if blank:
            done = tr(
                "{number} of {issued}",
                number=len(issued.asked) - len(blank),
                issued=len(issued.asked),
            )
            found.append((str(issued.chapter), issued.title, done, "; ".join(blank)))
    return found


def _where(sheet: AnswerSheet) -> str:
    if not sheet.path.exists():
        return look.note(tr("Nothing is recorded yet, so there is no file to hand in."))
    due = tr(" It is due {due}.", due=sheet.due) if sheet.due else ""
    whom = tr(" for {course_title}", course_title=sheet.course_title) if sheet.course_title else ""
    return look.good(
        tr(
            "Hand in this one file{whom}, the way your instructor asked: {path}.{due} The "
            "notebooks stay with you.",
            whom=whom,
            path=sheet.path,
            due=due,
        )
    )


def _what_is_blank(unfinished: list[tuple[str, str, str, str]], far: Progress) -> str:
    """The open questions counted by chapter, and behind a line each of them by name."""
    if not unfinished:
        return look.good(tr("Every question has a recorded answer."))
    by_chapter = [
        (
            str(number),
            tr("{recorded} of {questions}", recorded=one.recorded, questions=one.questions),
        )
        for number, one in far.chapters.items()
        if not one.complete
    ]
    named = look.table(
        tr("Exercises with questions that are still blank"),
        (tr("Chapter"), tr("Exercise"), tr("Recorded"), tr("Still blank")),
        unfinished,
    )
    counted = look.table(
        tr("Chapters with questions that are still blank"),
        (tr("Chapter"), tr("Recorded")),
        by_chapter,
        origins=["questions recorded"],
    )
    return counted + look.folded(tr("Which questions"), named)
