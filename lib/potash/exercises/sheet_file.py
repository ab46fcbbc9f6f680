"""The answer sheet as a file: its content, and reading it as untrusted data."""

import codecs
import json
from collections.abc import Mapping
from typing import Any, Final, NoReturn

from potash import __version__
from potash.errors import PotashError
from potash.exercises import schemas
from potash.words import tr

FORMAT: Final = "potash answer sheet"
VERSION: Final = 1
MIME: Final = "application/vnd.potash.answers+json"
SOFTWARE: Final = f"potash {__version__}"

MAX_BYTES: Final = 5_000_000
MAX_TYPED: Final = 10_000
MAX_ATTEMPTS: Final = 200
MAX_PREDICTIONS: Final = 5_000


class BadSheet(PotashError):
    """Data is no answer sheet; the message says what it is instead, in words for its owner."""


def new_sheet(course: str, student: str) -> dict[str, Any]:
    """An answer sheet without answers."""
    return {
        "format": FORMAT,
        "version": VERSION,
        "software": SOFTWARE,
        "course": course,
        "student": student,
        "exercises": {},
        "predictions": [],
    }


def parse(data: bytes) -> dict[str, Any]:
    """The answer sheet in ``data``, which may come from anybody.

    Raises: BadSheet, if it is empty, not UTF-8, not JSON, nested too deeply, holds NaN or
    Infinity, or does not follow the schema.
    """
    return checked(parse_json(data))


def parse_json(data: bytes) -> Any:
    """The JSON value in ``data``.

    Raises: BadSheet, if it is empty, not UTF-8, not JSON, nested too deeply, or holds NaN,
    Infinity or half a character.
    """
    if not data or data.isspace():
        raise BadSheet(tr("the file is empty"))
    try:
        value = _DECODER.decode(data.removeprefix(codecs.BOM_UTF8).decode())
        if b"\\u" in data:  # an escape can hold half of a surrogate pair, which nothing can write
            json.dumps(value, ensure_ascii=False).encode()
        return value
    except UnicodeEncodeError:
        raise BadSheet(tr("the file holds half a character (a lone surrogate)")) from None
    except UnicodeDecodeError as reason:
        raise BadSheet(
            tr(
                "the file is not UTF-8 text: {reason} at {start}",
                reason=reason.reason,
                start=reason.start,
            )
        ) from None
    except RecursionError:
        raise BadSheet(tr("the file is nested too deeply to be an answer sheet")) from None
    except ValueError as reason:
        raise BadSheet(tr("the file is not JSON: {reason}", reason=reason)) from None


def checked(sheet: Any) -> dict[str, Any]:
    """``sheet`` itself, if it follows the schema.

    Raises: BadSheet.
    """
    try:
        if schemas.validator("answer-sheet").is_valid(sheet):
            assert isinstance(sheet, dict)
            return sheet
        if isinstance(sheet, dict) and sheet.get("format") != FORMAT:
            raise BadSheet(
                tr('the file is no answer sheet: it lacks "format": "{format}"', format=FORMAT)
            )
        schemas.check("answer-sheet", sheet, "answer sheet")
    except BadSheet:
        raise
    except (ValueError, RecursionError) as reason:
        raise BadSheet(
            tr("the file is no answer sheet: {reason}", reason=str(reason)[:300])
        ) from None
    raise BadSheet(tr("the file is no answer sheet"))


def dump(sheet: Mapping[str, Any]) -> str:
    """The text of the file; the same sheet gives the same text."""
    return json.dumps(sheet, ensure_ascii=False, indent=1) + "\n"


def latest(exercise: Mapping[str, Any]) -> dict[str, str]:
    """The answers that stand, by name, of one exercise of a sheet."""
    return {name: attempts[-1]["typed"] for name, attempts in exercise["answers"].items()}


def last_recorded(sheet: Mapping[str, Any]) -> str:
    """The time of the latest attempt on a sheet; "" on a sheet without any."""
    return max(
        [
            attempts[-1]["at"]
            for exercise in sheet["exercises"].values()
            for attempts in exercise["answers"].values()
        ],
        default="",
    )


def _refuse_constant(name: str) -> NoReturn:
    raise ValueError(tr("{name} is not a JSON number", name=name))


_DECODER: Final = json.JSONDecoder(parse_constant=_refuse_constant)
