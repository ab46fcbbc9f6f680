"""The language of the workbook: every text that people read passes through :func:`tr`.

English stands in the code, in the files of words beside it, and in the chapters.
:mod:`potash.words.gather` writes all of it into one catalogue, ``potash.pot``; a translation is
a GNU gettext file made from that, ``<language>.po`` in this folder. ``POTASH_LANGUAGE`` names the
language, or the path of a .po file; it is read once, so that a kernel speaks one language.
"""

import gettext
import os
from functools import cache
from pathlib import Path
from string import Formatter
from typing import Any

from potash.errors import PotashError

LANGUAGE = "POTASH_LANGUAGE"
ENGLISH = "en"


class NoSuchLanguage(PotashError):
    """The language asked for has no catalogue here, or one that cannot be read."""


def tr(message: str, /, **values: object) -> str:
    """``message`` in the language of the workbook, with ``values`` in its {holes}.

    ``message`` is the English text, a literal; a hole may carry a format: ``{celsius:.0f}``.
    """
    told = _catalogue().gettext(message) if message else ""  # to "" gettext tells its own header
    return told.format(**values) if values else told


def counted(one: str, many: str, number: int, /, **values: object) -> str:
    """Like :func:`tr`, with a form for one and one for any other ``number``.

    A language with more forms than two has its own rule in its catalogue.
    """
    return _catalogue().ngettext(one, many, number).format(**{"number": number, **values})


def later(message: str) -> str:
    """``message`` itself, marked for translators: ``tr`` is asked where it is shown.

    For words that the code also compares or stores, and which therefore stay English inside.
    """
    return message


def holes(message: str) -> set[str]:
    """The names in the {holes} of ``message``. Raises: ValueError, for braces that do not pair."""
    return {name for _, name, _, _ in Formatter().parse(message) if name is not None}


def language() -> str:
    """The language spoken, as a page says it in its ``lang``: "en", "de", "pt_BR" as "pt-BR"."""
    return Path(_asked()).stem.replace("_", "-")


def in_templates() -> dict[str, Any]:
    """What a Jinja template asks for words by."""
    return {"tr": tr, "counted": counted, "language": language()}


def languages() -> tuple[str, ...]:
    """The languages that the workbook speaks: English, and each that has a catalogue here."""
    found = (path.stem for path in Path(__file__).parent.glob("*.po"))
    return tuple(sorted({ENGLISH, *found}))


@cache
def _catalogue() -> gettext.NullTranslations:
    asked = _asked()
    if asked == ENGLISH:
        return gettext.NullTranslations()
    path = Path(asked) if asked.endswith(".po") else Path(__file__).parent / f"{asked}.po"
    return _read(path, asked)


def _asked() -> str:
    return os.environ.get(LANGUAGE) or ENGLISH


def _read(path: Path, asked: str) -> gettext.NullTranslations:
    import io

    from babel.messages.mofile import write_mo
    from babel.messages.pofile import read_po

    try:
        with path.open("rb") as file:
            catalogue = read_po(file, abort_invalid=True)
    except (OSError, ValueError) as error:
        raise NoSuchLanguage(
            f'{LANGUAGE} is "{asked}", which this workbook does not speak ({_reason(error)}). It '
            f"speaks: {', '.join(languages())}. The path of a .po file is welcome, too."
        ) from error
    for message in list(catalogue):
        if message.id and not _fits(message):
            catalogue.delete(message.id)
    compiled = io.BytesIO()
    write_mo(compiled, catalogue)
    compiled.seek(0)
    return gettext.GNUTranslations(compiled)


def _reason(error: OSError | ValueError) -> str:
    return (error.strerror if isinstance(error, OSError) else None) or str(error)


def _fits(message: Any) -> bool:
    """Whether each translation has only the holes of its English; where not, English is shown."""
    given = (message.id,) if isinstance(message.id, str) else message.id
    told = (message.string,) if isinstance(message.string, str) else message.string
    try:
        allowed = set().union(*(holes(text) for text in given))
    except ValueError:
        return True  # prose with braces of its own, which nothing fills
    try:
        return all(holes(text) <= allowed for text in told)
    except ValueError:
        return False
