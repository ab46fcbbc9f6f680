"""From TOML text to typed values by place, and back. Nothing here knows chemistry."""

import difflib
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from potash.files import FileTooLarge, read_capped
from potash.preparation.keys import (
    FORMAT,
    KEYS,
    OPTIONAL_TABLES,
    ROLES,
    BadPreparation,
    Key,
    Typed,
    bad,
    line_that_works,
    named,
    shown,
)
from potash.words import tr

LONGEST_FILE = 64_000  # bytes; the default preparation has under 2,000
LONGEST_TEXT = 300  # characters of one value

_HEADER = "# A preparation for the Potash workbook. Amounts carry their unit and stand in quotes.\n"


def content(path: Path) -> str:
    """The text of a file. Raises: BadPreparation, if it cannot be read as a short UTF-8 text."""
    try:
        return read_capped(path, LONGEST_FILE).decode("utf-8-sig")
    except FileTooLarge as error:
        raise BadPreparation(
            tr("{error} A preparation has a few dozen lines.", error=error)
        ) from None
    except UnicodeDecodeError as error:
        raise BadPreparation(
            tr(
                '"{path}" is not UTF-8 text (byte {start}). Save it as UTF-8.',
                path=path.name,
                start=error.start,
            )
        ) from None
    except FileNotFoundError:
        raise BadPreparation(
            tr(
                'There is no file "{path}". Save a preparation there first, or start from '
                "Preparation.default().",
                path=path,
            )
        ) from None
    except OSError as error:
        raise BadPreparation(
            tr('"{path}" cannot be read: {strerror}.', path=path, strerror=error.strerror or error)
        ) from error


def parsed(text: str, name: str) -> dict[str, Any]:
    """The TOML document in ``text``, which messages call ``name``. Raises: BadPreparation."""
    if len(text) > LONGEST_FILE:
        raise BadPreparation(
            tr(
                "{name} has {number} characters; a preparation has at most {most}.",
                name=name,
                number=len(text),
                most=LONGEST_FILE,
            )
        )
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise BadPreparation(_why_not_toml(text, name, str(error))) from None
    except (RecursionError, ValueError):  # nested deep; a number of thousands of digits
        raise BadPreparation(
            tr("{name} is too deeply nested, or holds too long a number.", name=name)
        ) from None
    if not document:
        raise BadPreparation(
            tr(
                "{name} holds no preparation. It begins with: format = {format}",
                name=name,
                format=FORMAT,
            )
        )
    return document


def written(typed: Mapping[str, Typed]) -> str:
    """The file for ``typed``; the same values give the same bytes."""
    import tomli_w

    return _HEADER + tomli_w.dumps(nested(typed))


def nested(typed: Mapping[str, Typed]) -> dict[str, Any]:
    """Typed values by place, as the tables of a document. Raises: BadPreparation."""
    document: dict[str, Any] = {}
    for place, value in typed.items():
        *tables, name = place.split(".")
        inner = document
        for table in tables:
            inner = inner.setdefault(table, {})
            if not isinstance(inner, dict):
                raise BadPreparation(
                    tr(
                        "{shown} is no place; {table} is a key, not a table.",
                        shown=shown(place),
                        table=table,
                    )
                )
        inner[name] = value
    return document


def typed_values(document: Mapping[str, Any]) -> dict[str, Typed]:
    """Each place of the document with its typed value, defaults filled in, in the order of KEYS.

    Raises: BadPreparation, if the format is not ours, a table or key is missing or not known, or a
    value is not text (a whole number, where one is asked for).
    """
    _demand_known_format(document)
    _demand_known_names("", document, (*KEYS[""], *(name for name in KEYS if name)))
    return dict(_values(document))


def _values(document: Mapping[str, Any]) -> Iterator[tuple[str, Typed]]:
    yield from _values_of("", document)
    for name in KEYS:
        if not name or (name in OPTIONAL_TABLES and name not in document):
            continue
        table = _table(document, name, name)
        if name != "reagents":
            yield from _values_of(name, table)
            continue
        _demand_known_names(name, table, ROLES)
        for role in ROLES:  # in this order, so that the same reagents give the same bytes
            if role in table:
                place = f"reagents.{role}"
                yield from _values_of(place, _table(table, role, place))


def _values_of(place: str, table: Mapping[str, Any]) -> Iterator[tuple[str, Typed]]:
    keys = KEYS[place.partition(".")[0]]
    if place:
        _demand_known_names(place, table, keys)
    for name, key in keys.items():
        where = f"{place}.{name}" if place else name
        applies = key.only_with is None or key.only_with in table
        value = table.get(name, key.default if applies else None)
        if value is not None:
            yield where, _typed(where, key, value)
        elif key.required:
            raise BadPreparation(
                tr(
                    "{named} is missing. {line_that_works}",
                    named=named(where),
                    line_that_works=line_that_works(where),
                )
            )


def _typed(place: str, key: Key, value: Any) -> Typed:
    if isinstance(key.example, int):
        if isinstance(value, int) and not isinstance(value, bool):
            return value
        raise bad(place, value, tr("A whole number is needed, without quotes."))
    if not isinstance(value, str):
        bare = isinstance(value, (int, float)) and not isinstance(value, bool) and key.dimension
        raise bad(
            place, value, tr("The unit is missing.") if bare else tr("Text in quotes is needed.")
        )
    if len(value) > LONGEST_TEXT:
        raise bad(
            place,
            value,
            tr(
                "It has {number} characters; at most {most} fit.",
                number=len(value),
                most=LONGEST_TEXT,
            ),
        )
    if not value.strip():
        raise bad(place, value, tr("It is empty."))
    if any(sign < " " or sign == "\x7f" or "\ud800" <= sign <= "\udfff" for sign in value):
        raise bad(place, value, tr("It has a line break or another character that is no text."))
    return value


def _table(parent: Mapping[str, Any], key: str, place: str) -> Mapping[str, Any]:
    begins = f"[{'reagents.hydroxide' if place == 'reagents' else place}]"
    if key not in parent:
        raise BadPreparation(
            tr(
                "The table [{place}] is missing. It begins with the line: {begins}",
                place=place,
                begins=begins,
            )
        )
    table = parent[key]
    if not isinstance(table, dict):
        raise BadPreparation(
            tr(
                "{place} is {shown}, where a table is needed. It begins with the line: {begins}",
                place=place,
                shown=shown(table),
                begins=begins,
            )
        )
    return table


def _demand_known_format(document: Mapping[str, Any]) -> None:
    version = document.get("format")
    if version is None:
        raise BadPreparation(
            tr("format is missing. {line_that_works}", line_that_works=line_that_works("format"))
        )
    whole = isinstance(version, int) and not isinstance(version, bool)
    if whole and version > FORMAT:
        raise BadPreparation(
            tr(
                "This preparation has format {shown}, which a newer Potash wrote; this one reads "
                "format {format}. Update Potash to open it.",
                shown=shown(version),
                format=FORMAT,
            )
        )
    if not whole or version != FORMAT:
        raise bad("format", version, tr("Potash reads format {format}.", format=FORMAT))


def _demand_known_names(place: str, table: Mapping[str, Any], known: Iterable[str]) -> None:
    for name in table:
        if name not in known:
            near = difflib.get_close_matches(name[:60], known, n=1, cutoff=0.5)
            meant = tr('Did you mean "{near}"? ', near=near[0]) if near else ""
            where = tr("in [{place}]", place=place) if place else tr("above the tables")
            raise BadPreparation(
                tr(
                    "{shown} {where} is not known. {meant}Known there: {known}.",
                    shown=shown(name),
                    where=where,
                    meant=meant,
                    known=", ".join(known),
                )
            )


def _why_not_toml(text: str, name: str, problem: str) -> str:
    number = problem.rpartition("at line ")[2].partition(",")[0]
    lines = text.split("\n")
    line = ""
    if number.isdigit() and int(number) <= len(lines):
        line = tr(" The line is: {shown}.", shown=shown(lines[int(number) - 1].strip())[1:-1])
    return tr(
        '{name} is not TOML: {problem}.{line} Every amount stands in quotes, as in: mass = "9.30 '
        'g"',
        name=name,
        problem=problem,
        line=line,
    )
