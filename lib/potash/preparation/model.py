"""``Preparation``: what is weighed, poured, heated and vented, as one frozen object."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from html import escape
from importlib import import_module, resources
from pathlib import Path
from typing import TYPE_CHECKING, Any

from potash.equations import Equation
from potash.errors import PotashError
from potash.files import write_atomically
from potash.preparation.document import LONGEST_TEXT, content, nested, parsed, typed_values, written
from potash.preparation.keys import BadPreparation, Typed
from potash.preparation.parts import (
    METAL_SOURCES,
    Catalyst,
    Pour,
    Reagent,
    Vent,
    balanced_equation,
    catalyst,
    checked,
    demand_a_complete_set,
    metal_made,
    pour,
    reagent,
)
from potash.units import Quantity
from potash.words import tr

if TYPE_CHECKING:
    from potash.charge import Charge


@dataclass(frozen=True, slots=True)
class Preparation:
    """What is weighed, poured, heated and vented. Two are equal if their typed values are.

    equation: the balanced main reaction.
    temperature: of the mixture while it reacts.
    reagents: one for each substance on the left of the equation.
    liquid, catalyst: None, if the preparation has none.
    typed: each value as it was typed, by its place, such as "reagents.hydroxide.mass"; significant
        figures are judged on it.
    """

    title: str
    equation: Equation = field(compare=False)
    temperature: Quantity = field(compare=False)
    reagents: tuple[Reagent, ...] = field(compare=False)
    liquid: Pour | None = field(compare=False)
    catalyst: Catalyst | None = field(compare=False)
    vent: Vent = field(compare=False)
    typed: Mapping[str, Typed] = field(hash=False, repr=False)

    @classmethod
    def default(cls) -> "Preparation":
        """The preparation that the workbook opens on: invented, like Larkmoor College itself."""
        return cls.load(default_text())

    @classmethod
    def load(cls, path_or_text: str | Path) -> "Preparation":
        """Read a preparation from a file, or from the text of one.

        Text has a line break or an equals sign; anything else is the path of a file.

        Raises: BadPreparation, naming the table and key, what came and a line that works.
        """
        if isinstance(path_or_text, str) and _is_text(path_or_text):
            return _build(parsed(path_or_text, tr("The text")))
        path = Path(path_or_text)
        return _build(parsed(content(path), f'"{path.name}"'))

    @property
    def metal(self) -> str:
        """Symbol of the alkali metal that the equation makes."""
        return metal_made(self.equation)

    @property
    def metal_source(self) -> Reagent:
        """The hydroxide or salt that brings the metal."""
        return next(given for given in self.reagents if given.role in METAL_SOURCES)

    @property
    def reductant(self) -> Reagent:
        """The reagent that takes the oxygen or the halogen."""
        return next(given for given in self.reagents if given.role == "reductant")

    def charge(self) -> "Charge":
        """The charge sheet: see ``potash.charge.charge``."""
        # By name, because the charge stands on a floor above and builds on this one.
        sheet: Charge = import_module("potash.charge").charge(self)
        return sheet

    def replace(
        self, changes: Mapping[str, Typed | None] | None = None, **top_level: Typed
    ) -> "Preparation":
        """The same preparation with some values typed anew, all checked together.

        Parameters: changes, from places to text, as in ``{"reagents.hydroxide.mass": "9.50 g"}``;
        None takes out a key or a whole table; keywords change the keys above the tables.
        Raises: BadPreparation, as ``load`` does; this preparation stays as it is.
        """
        typed: dict[str, Any] = dict(self.typed)
        for place, value in {**(changes or {}), **top_level}.items():
            if value is None:
                _take_out(typed, place)
            else:
                _put(typed, place, value)
        return _build(nested(typed))

    def to_toml(self) -> str:
        """The preparation as TOML, values as typed; equal preparations give the same bytes."""
        return written(self.typed)

    def save(self, path: str | Path) -> None:
        """Write the preparation to ``path``, wholly or not at all.

        A file there that somebody wrote by hand (it has comments, or cannot be read) is first kept
        beside it, as "preparation.as-written.toml", so that nobody's words are lost.

        Raises: BadPreparation, if the file cannot be written; the old one is then untouched.
        """
        path = Path(path)
        try:
            _keep_what_was_written_by_hand(path)
            write_atomically(path, self.to_toml())
        except OSError as error:
            raise BadPreparation(
                tr(
                    '"{path}" was not saved: {strerror}. Save it in a folder that exists and that '
                    "you can write to.",
                    path=path,
                    strerror=(error.strerror or str(error)).lower(),
                )
            ) from error

    def _repr_html_(self) -> str:
        rows = "".join(
            f"<tr><th scope='row'>{escape(place)}</th><td>{escape(str(value))}</td></tr>"
            for place, value in self.typed.items()
            if place not in ("format", "title")
        )
        return (
            f"<table class='potash-preparation'><caption>{escape(self.title)}</caption>"
            f"<tbody>{rows}</tbody></table>"
        )


def default_text() -> str:
    """The default preparation as it is laid into a student's folder, comments included."""
    return (resources.files("potash") / "preparation" / "default.toml").read_text("utf-8")


def _build(document: Mapping[str, Any]) -> Preparation:
    typed = typed_values(document)
    found = checked(typed)
    equation = balanced_equation(found["equation"])
    reagents = tuple(reagent(role, found) for role in _roles(typed))
    demand_a_complete_set(equation, reagents)
    return Preparation(
        title=found["title"],
        equation=equation,
        temperature=found["temperature"],
        reagents=reagents,
        liquid=pour("liquid", found) if "liquid" in document else None,
        catalyst=catalyst(found) if "catalyst" in document else None,
        vent=Vent(found["vent.temperature"], found["vent.pressure"]),
        typed=typed,
    )


def _roles(typed: Mapping[str, Typed]) -> tuple[str, ...]:
    places = (place.split(".") for place in typed if place.startswith("reagents."))
    return tuple(dict.fromkeys(role for _, role, _ in places))


def _is_text(given: str) -> bool:
    if "\n" in given or "\0" in given or len(given) > LONGEST_TEXT:
        return True
    return not given.strip() or ("=" in given and not Path(given).is_file())


def _take_out(typed: dict[str, Any], place: str) -> None:
    for key in [key for key in typed if key == place or key.startswith(f"{place}.")]:
        del typed[key]


def _put(typed: dict[str, Any], place: str, value: Typed) -> None:
    # A mass typed where a volume stood replaces it: of the two, a file holds one.
    table, _, name = place.rpartition(".")
    other = {"mass": "volume", "volume": "mass"}.get(name)
    if other:
        typed.pop(f"{table}.{other}", None)
    typed[place] = value


def _keep_what_was_written_by_hand(path: Path) -> None:
    if not path.is_file():
        return
    present = path.read_bytes()
    if present == default_text().encode() or _is_as_we_write(present):
        return
    kept, number = path.with_name(f"{path.stem}.as-written{path.suffix}"), 2
    while kept.exists() and kept.read_bytes() != present:
        kept = path.with_name(f"{path.stem}.as-written-{number}{path.suffix}")
        number += 1
    write_atomically(kept, present)


def _is_as_we_write(present: bytes) -> bool:
    try:
        text = present.decode("utf-8")
        return _build(parsed(text, "")).to_toml() == text
    except (UnicodeDecodeError, PotashError):
        return False
