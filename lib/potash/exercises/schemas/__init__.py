"""The published shapes of every file that Potash exchanges, as JSON Schema 2020-12."""

import datetime
import json
from collections.abc import Mapping, Sequence
from functools import cache
from itertools import islice
from pathlib import Path
from typing import Any, Final, Literal

from potash.errors import PotashError

SchemaName = Literal["answer-sheet", "course", "decision", "exercises", "handout"]

_FOLDER: Final = Path(__file__).parent
_LONGEST_MESSAGE: Final = 240
_PROBLEMS_NAMED: Final = 3


class UnexpectedShape(PotashError):
    """Data does not follow its schema; the message names the place and what was expected there."""


@cache
def validator(name: SchemaName) -> Any:
    """The compiled validator of one schema; its ``is_valid`` is fast enough for marking."""
    import jsonschema_rs

    text = (_FOLDER / f"{name}.schema.json").read_text(encoding="utf-8")
    return jsonschema_rs.Draft202012Validator(json.loads(text))


def check(name: SchemaName, data: Any, where: str) -> None:
    """Say nothing if ``data`` follows the schema ``name``; ``where`` names the file in errors.

    Raises: UnexpectedShape, for the first things that are wrong: a misspelt field is both one that
    is missing and one that nobody expects.
    """
    plain = _plain(data)
    checker = validator(name)
    if not checker.is_valid(plain):
        problems = islice(checker.iter_errors(plain), _PROBLEMS_NAMED)
        raise UnexpectedShape("; ".join(_problem(where, plain, one) for one in problems) + ".")


def _problem(where: str, data: Any, problem: Any) -> str:
    message = str(problem.message)
    if len(message) > _LONGEST_MESSAGE:
        message = f"{message[:_LONGEST_MESSAGE]} …"
    return f"{where}{_place(data, problem.instance_path)}: {message}"


def _plain(data: Any) -> Any:
    """``data`` as JSON would hold it: TOML's dates become text."""
    if isinstance(data, Mapping):
        return {key: _plain(value) for key, value in data.items()}
    if isinstance(data, list | tuple):
        return [_plain(value) for value in data]
    if isinstance(data, datetime.date | datetime.time):
        return data.isoformat()
    return data


def _place(data: Any, path: Sequence[str | int]) -> str:
    """A path for people: ``, exercise weigh-hydroxide, asked 2, tolerance``."""
    words: list[str] = []
    for step in path:
        # A path does not tell the field "0" from the first item of a list, and drops the field "".
        step = str(step) if isinstance(data, Mapping) else step
        try:
            data = data[step]
        except (LookupError, TypeError):
            break
        if isinstance(step, str):
            words.append(step)
        else:
            name = data.get("id") or data.get("name") if isinstance(data, Mapping) else None
            words[-1:] = [f"{words[-1] if words else ''} {name or step + 1}".strip()]
    return "".join(f", {word}" for word in words)
