"""The command line: open the workbook, assign exercises, print the key, mark what came back."""

import argparse
import sys
import textwrap
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from potash import __version__
from potash.errors import PotashError
from potash.words import tr

_WIDTH = 88
_LEFT_OUT_SHOWN = 20

Progress = Callable[[int, int], None]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and give back its exit status: 0, or 2 after an error told in words."""
    try:
        options = _parser().parse_args(arguments)
        options.run(options)
    except PotashError as reason:
        _say_error(str(reason))
        return 2
    except OSError as reason:
        place = f"{reason.filename}: " if reason.filename else ""
        _say_error(f"{place}{reason.strerror or reason}")
        return 2
    except KeyboardInterrupt:
        _say_error(tr("stopped before the end; run the same command again to complete it."))
        return 130
    return 0


def _say_error(message: str) -> None:
    paragraph = " ".join(f"potash: {message}".split())
    # Paths and ids must stay whole, so that they can be copied.
    wrapped = textwrap.fill(paragraph, _WIDTH, break_long_words=False, break_on_hyphens=False)
    print(wrapped, file=sys.stderr)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="potash",
        description=tr(
            "A teaching workbook for alkali-metal reduction chemistry. It teaches and plans; "
            "licensed supervision, your institution and local codes decide what is done."
        ),
    )
    parser.add_argument("--version", action="version", version=f"potash {__version__}")
    commands = parser.add_subparsers(title=tr("commands"), metavar="COMMAND", required=True)
    _add_open(commands.add_parser("open", help=tr("open the workbook in JupyterLab")))
    _add_exercises(commands.add_parser("exercises", help=tr("list what a course can set")))
    _add_assign(commands.add_parser("assign", help=tr("make a handout for each student")))
    _add_key(commands.add_parser("key", help=tr("print the key to the exercises")))
    _add_mark(commands.add_parser("mark", help=tr("mark returned answer sheets")))
    _add_export(commands.add_parser("export", help=tr("write the exercises as a QTI 3.0 package")))
    _add_pages(commands.add_parser("pages", help=tr("write the chapters as pages to read")))
    _add_host(commands.add_parser("host", help=tr("start a hub's server on the workbook")))
    return parser


def _add_open(command: argparse.ArgumentParser) -> None:
    command.description = tr("Lay the chapters into FOLDER and open them in JupyterLab.")
    command.add_argument("folder", type=Path, nargs="?", default=Path("my-workbook"))
    command.add_argument("--no-browser", action="store_true", help=tr("print the address only"))
    command.add_argument("--port", type=int, help=tr("the port to serve on"))
    command.set_defaults(run=_open)


def _add_exercises(command: argparse.ArgumentParser) -> None:
    command.description = tr(
        "List the exercises by chapter, with the ids that a course file names."
    )
    command.add_argument("--chapter", type=int, metavar="N", help=tr("one chapter only"))
    command.set_defaults(run=_exercises)


def _add_assign(command: argparse.ArgumentParser) -> None:
    command.description = tr("Make one folder a student, with the chapters and own figures.")
    command.add_argument("course", type=Path, metavar="COURSE.toml")
    what = command.add_mutually_exclusive_group(required=True)
    what.add_argument("--to", type=Path, metavar="HANDOUTS", help=tr("where the handouts go"))
    what.add_argument(
        "--check", action="store_true", help=tr("prove the exercises of the course, write nothing")
    )
    command.set_defaults(run=_assign)


def _add_key(command: argparse.ArgumentParser) -> None:
    command.description = tr("Print the key of every student, or of one. For markers only.")
    command.add_argument("course", type=Path, metavar="COURSE.toml")
    command.add_argument("--student", metavar="ID", help=tr("one student of the class list"))
    command.add_argument("--to", type=Path, metavar="FILE", help=tr("write it to FILE instead"))
    command.set_defaults(run=_key)


def _add_mark(command: argparse.ArgumentParser) -> None:
    command.description = tr("Mark every answer sheet under RETURNS. Nothing in them is executed.")
    command.add_argument("course", type=Path, metavar="COURSE.toml")
    command.add_argument(
        "returns", type=Path, metavar="RETURNS", help=tr("a folder, a zip file or a single file")
    )
    command.add_argument(
        "--to", type=Path, required=True, metavar="MARKS", help=tr("where marks go")
    )
    who = command.add_mutually_exclusive_group()
    who.add_argument(
        "--workers", type=int, metavar="N", help=tr("processes to use; all cores if left out")
    )
    who.add_argument(
        "--scheduler",
        metavar="ADDRESS",
        help=tr("mark on the Dask cluster whose scheduler is there"),
    )
    command.set_defaults(run=_mark)


def _add_pages(command: argparse.ArgumentParser) -> None:
    command.description = tr(
        "Write every notebook of FOLDER, or of the workbook, as an HTML page that needs no kernel "
        "and no network. Each is run on a copy; FOLDER is not changed."
    )
    command.add_argument("folder", type=Path, nargs="?", help=tr("a student's folder"))
    command.add_argument(
        "--to", type=Path, required=True, metavar="PAGES", help=tr("where pages go")
    )
    command.set_defaults(run=_pages)


def _add_host(command: argparse.ArgumentParser) -> None:
    command.description = tr(
        "Lay the chapters into FOLDER, then become SERVER, the single-user server of a hub, with "
        "the workbook's settings and its chapters trusted."
    )
    command.add_argument("folder", type=Path)
    command.add_argument("server", nargs=argparse.REMAINDER, metavar="-- SERVER")
    command.set_defaults(run=_host)


def _add_export(command: argparse.ArgumentParser) -> None:
    command.description = tr("Write the exercises of a course, with keys, as a QTI 3.0 package.")
    command.add_argument("course", type=Path, metavar="COURSE.toml")
    command.add_argument(
        "--to", type=Path, required=True, metavar="FILE.zip", help=tr("the package")
    )
    command.add_argument("--variants", type=int, default=10, metavar="N", help=tr("10 if left out"))
    command.add_argument(
        "--xsd", type=Path, metavar="PATH", help=tr("check items against this schema")
    )
    command.set_defaults(run=_export)


def _open(options: argparse.Namespace) -> None:
    from potash import launch

    launch.open_workbook(options.folder, browser=not options.no_browser, port=options.port)


def _exercises(options: argparse.Namespace) -> None:
    from potash.exercises import bank

    for one in bank.of_chapter(options.chapter):
        asked = _counted(len(one.asked), "question")
        print(f"{one.chapter}  {one.id:<32}{asked:<13}{one.title}")


def _assign(options: argparse.Namespace) -> None:
    from potash.exercises import assign, course

    loaded = course.load(options.course)
    if options.check:
        with _progress(tr("Proving exercises")) as progress:
            told = assign.check_exercises(loaded, progress)
        print("\n".join(told))
        return
    with _progress(tr("Handing out")) as progress:
        done = assign.assign(loaded, options.to, progress)
    print(
        tr(
            "{number} handouts written to {folder}, {unchanged} were up to date.",
            number=done.written,
            folder=options.to,
            unchanged=done.unchanged,
        )
    )
    print(
        tr(
            "Keep {with_suffix} to yourself: marking needs it.",
            with_suffix=loaded.path.with_suffix(".secret"),
        )
    )


def _key(options: argparse.Namespace) -> None:
    from potash.exercises import course, key
    from potash.files import write_atomically

    lines = key.key(course.load(options.course), options.student)
    if options.to is None:
        for line in lines:
            print(line)
    else:
        # Like the secret, the key is for the eyes of its owner.
        write_atomically(options.to, "\n".join(lines) + "\n", mode=0o600)
        print(tr("The key is in {path}.", path=options.to))


def _mark(options: argparse.Namespace) -> None:
    from potash.exercises import course, marks, workers

    loaded = course.load(options.course)
    chosen = None
    if options.scheduler or options.workers is not None:
        chosen = workers.choose(options.workers, options.scheduler)
    with _progress(tr("Marking")) as progress:
        summary = marks.mark_returns(loaded, options.returns, options.to, progress, workers=chosen)
    marked = _counted(summary.marked, "student")
    print(
        tr(
            "{loaded}: {marked} marked, {missing} without a sheet.",
            loaded=loaded.title,
            marked=marked,
            missing=summary.missing,
        )
    )
    if summary.marked:
        average = summary.points / summary.marked
        print(
            tr("Average {average:.2f} of {points:g} points.", average=average, points=loaded.points)
        )
    for outcome, count in summary.outcomes.most_common():
        print(f"  {count:6d}  {outcome}")
    _print_left_out(summary.left_out)
    if summary.to_review:
        lines = _counted(summary.to_review, "line")
        print(
            tr(
                "{lines} for a person to look at: {path}",
                lines=lines,
                path=options.to / marks.REVIEW,
            )
        )
    for path in summary.put_aside:
        print(tr("It had been edited by hand, and is kept as {path}.", path=path))
    print(
        tr(
            "Mark book: {path}; items: {items}",
            path=options.to / marks.MARK_BOOK,
            items=options.to / marks.ITEMS,
        )
    )


def _pages(options: argparse.Namespace) -> None:
    from potash import pages

    with _progress(tr("Writing pages")) as progress:
        written = pages.write_pages(options.folder, options.to, progress)
    print(
        tr(
            "{number} pages written to {folder}; begin with {first}.",
            number=len(written),
            folder=options.to,
            first=written[0],
        )
    )


def _host(options: argparse.Namespace) -> None:
    from potash import hosting

    command = options.server[1:] if options.server[:1] == ["--"] else options.server
    hosting.host(options.folder, command)


def _export(options: argparse.Namespace) -> None:
    from potash.exercises import course, qti

    done = qti.export(course.load(options.course), options.to, options.variants, options.xsd)
    checked = tr("each follows the schema") if done.checked else tr("not checked against a schema")
    print(
        tr(
            "{items} items are in {path}, {checked}. They hold the keys: for staff only.",
            items=done.items,
            path=options.to,
            checked=checked,
        )
    )


def _counted(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


def _print_left_out(left_out: Sequence[tuple[str, str]]) -> None:
    if not left_out:
        return
    print(tr("Not marked: {counted}:", counted=_counted(len(left_out), tr("returned file"))))
    for name, reason in left_out[:_LEFT_OUT_SHOWN]:
        print(f"  {_printable(name)}: {_printable(reason)}")
    if len(left_out) > _LEFT_OUT_SHOWN:
        print(
            tr(
                "  and {number} more, all on the review list",
                number=len(left_out) - _LEFT_OUT_SHOWN,
            )
        )


def _printable(text: str) -> str:
    # A file's name may hold control sequences; the terminal must not obey them.
    return "".join(sign if sign.isprintable() else "\ufffd" for sign in text)[:300]


@contextmanager
def _progress(what: str) -> Iterator[Progress]:
    """A progress bar on standard error."""
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn
    from rich.progress import TimeRemainingColumn as Remaining

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), Remaining())
    with Progress(*columns, console=Console(stderr=True)) as bar:
        task = bar.add_task(what, total=None)
        yield lambda done, total: bar.update(task, completed=done, total=total)


if __name__ == "__main__":
    sys.exit(main())
