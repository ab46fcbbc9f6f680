"""Exercises for other learning platforms: a package of items after 1EdTech QTI 3.0.

Each variant of an exercise becomes one static item: figures filled in, every number with a float
response and an absolute tolerance, its unit as a second response. A relative tolerance is never
written, because its bounds turn round for a negative key such as an enthalpy. A number earns its
point together with its unit. Equations and free text are for a person to score.

What QTI cannot say is lost: follow-through along a chain, known slips, significant figures. Whoever
needs these marks with Potash. The structure follows the published specification; no schema came
with it, so a package is checked against the schemas that a user has, and not claimed to be
certified.

Source: 1EdTech, Question and Test Interoperability 3.0 (2022): Assessment, Section and Item
Information Model; Best Practices and Implementation Guide. https://www.imsglobal.org/spec/qti/v3p0
"""

import io
import zipfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final
from xml.etree import ElementTree as ET

from potash.errors import PotashError
from potash.exercises.course import Course, Setting
from potash.exercises.exercise import Asked, shown_unit
from potash.exercises.formula import fill
from potash.exercises.variants import Figures, draw_figures, find_draw
from potash.files import write_atomically
from potash.words import tr

ITEM_NAMESPACE: Final = "http://www.imsglobal.org/xsd/imsqtiasi_v3p0"
PACKAGE_NAMESPACE: Final = "http://www.imsglobal.org/xsd/qti/qtiv3p0/imscp_v1p1"
ITEM_TYPE: Final = "imsqti_item_xmlv3p0"
VARIANTS: Final = 10
MAX_VARIANTS: Final = 1000

# Not a secret: exported items carry their keys anyway, and the same course gives the same items.
_SEED: Final = b"potash exported variants"
_UNITS_OFFERED: Final = 5
_OTHER_UNITS: Final = ("g", "mol", "kJ/mol", "L", "K", "kg", "mL")
_DAWN: Final = (1980, 1, 1, 0, 0, 0)  # the earliest date of a zip file: the same bytes every day

Node = ET.Element


class CannotExport(PotashError):
    """A package cannot be made or does not follow the schema; the message says where and why."""


@dataclass(frozen=True, slots=True)
class Exported:
    """What was written: how many items, and whether a schema was there to check them."""

    items: int
    checked: bool


def export(course: Course, to: Path, variants: int = VARIANTS, xsd: Path | None = None) -> Exported:
    """Write ``variants`` items for each exercise of the course into the zip file ``to``.

    The file holds keys and is for its owner's eyes alone. xsd: the item schema, from a user who
    has it; every item is checked against it first.

    Raises: CannotExport; NoFigures; OSError, if the file cannot be written.
    """
    if not 1 <= variants <= MAX_VARIANTS:
        raise CannotExport(
            tr(
                "{variants} variants cannot be made; ask for 1 to {most}.",
                variants=variants,
                most=MAX_VARIANTS,
            )
        )
    items = dict(_items(course, variants))
    if xsd is not None:
        _check(items, xsd)
    write_atomically(to, _package(course, items), mode=0o600)
    return Exported(len(items), xsd is not None)


def _items(course: Course, variants: int) -> Iterator[tuple[str, bytes]]:
    """The file name and the content of each item."""
    units = _asked_units(course)
    for setting in course.settings:
        exercise = setting.exercise
        earlier: list[Figures] = []
        for number in range(1, variants + 1):
            where = (exercise, _SEED, course.id, f"variant {number}")
            figures = draw_figures(*where, find_draw(*where, earlier[-1:]))
            earlier.append(figures)
            name = f"{exercise.id}-{number:03d}"
            yield f"items/{name}.xml", _bytes(_Item(setting, figures, name, units).node())


def _asked_units(course: Course) -> list[str]:
    asked = (one.unit for setting in course.settings for one in setting.exercise.asked if one.unit)
    return list(dict.fromkeys([*asked, *_OTHER_UNITS]))


class _Item:
    """One variant of an exercise on its way to XML."""

    def __init__(self, setting: Setting, figures: Figures, name: str, units: Sequence[str]) -> None:
        self._setting = setting
        self._exercise = setting.exercise
        self._figures = figures
        self._values: Mapping[str, Any] = setting.exercise.solve(figures)
        self._name = name
        self._units = units
        self._declarations: list[Node] = []
        self._rules: list[Node] = []
        self._body = Node("qti-item-body")

    def node(self) -> Node:
        self._write_text()
        for number, asked in enumerate(self._exercise.asked, 1):
            self._ask(f"R{number}", asked)
        item = Node(
            "qti-assessment-item",
            {
                "xmlns": ITEM_NAMESPACE,
                "identifier": self._name,
                "title": self._exercise.title,
                "adaptive": "false",
                "time-dependent": "false",
                "xml:lang": "en",
            },
        )
        item.extend(self._declarations)
        item.extend(self._outcomes())
        item.append(self._body)
        processing = ET.SubElement(item, "qti-response-processing")
        processing.extend(self._rules)
        return item

    def _write_text(self) -> None:
        for paragraph in self._told(self._exercise.text).split("\n\n"):
            _paragraph(self._body, paragraph)
        caution = ET.SubElement(self._body, "p")
        ET.SubElement(caution, "strong").text = "Caution."
        caution[0].tail = f" {self._told(self._exercise.caution)}"

    def _outcomes(self) -> Iterator[Node]:
        scored = sum(asked.kind in ("number", "choice") for asked in self._exercise.asked)
        for name, value in (("SCORE", 0), ("MAXSCORE", scored)):
            outcome = Node(
                "qti-outcome-declaration",
                {"identifier": name, "cardinality": "single", "base-type": "float"},
            )
            _value(ET.SubElement(outcome, "qti-default-value"), f"{value}")
            yield outcome

    def _ask(self, name: str, asked: Asked) -> None:
        match asked.kind:
            case "number":
                self._ask_number(name, asked)
            case "choice":
                self._ask_choice(name, asked)
            case _:
                self._ask_text(name, asked)

    def _ask_number(self, name: str, asked: Asked) -> None:
        value = self._values[asked.name]
        tolerance = (self._setting.tolerances or {}).get(asked.name, asked.tolerance)
        margin = tolerance.around(value) / abs(asked.factor)
        key = f"{asked.in_unit(value):.10g}"
        self._declare(name, "float", key)
        line = _paragraph(self._body, f"{self._told(asked.prompt)}: ")
        ET.SubElement(line, "qti-text-entry-interaction", {"response-identifier": name})
        near = Node("qti-equal", {"tolerance-mode": "absolute", "tolerance": f"{margin:.6g}"})
        near.append(_base_value("float", key))
        near.append(Node("qti-variable", {"identifier": name}))
        conditions = [near]
        if asked.unit:
            conditions.append(self._ask_unit(f"{name}_UNIT", asked.unit, line))
        self._score(conditions)

    def _ask_unit(self, name: str, unit: str, line: Node) -> Node:
        offered = sorted({unit, *[one for one in self._units if one != unit][: _UNITS_OFFERED - 1]})
        codes = {one: f"U{number}" for number, one in enumerate(offered, 1)}
        self._declare(name, "identifier", codes[unit])
        choice = ET.SubElement(
            line, "qti-inline-choice-interaction", {"response-identifier": name, "shuffle": "false"}
        )
        for one, code in codes.items():
            ET.SubElement(choice, "qti-inline-choice", {"identifier": code}).text = shown_unit(one)
        return _is_correct(name)

    def _ask_choice(self, name: str, asked: Asked) -> None:
        options = [fill(option, self._values) for option in asked.options]
        codes = {option: f"C{number}" for number, option in enumerate(options, 1)}
        self._declare(name, "identifier", codes[self._values[asked.name]])
        choice = ET.SubElement(
            self._body,
            "qti-choice-interaction",
            {"response-identifier": name, "max-choices": "1", "shuffle": "false"},
        )
        ET.SubElement(choice, "qti-prompt").text = self._told(asked.prompt)
        for option, code in codes.items():
            ET.SubElement(choice, "qti-simple-choice", {"identifier": code}).text = option
        self._score([_is_correct(name)])

    def _ask_text(self, name: str, asked: Asked) -> None:
        self._declare(name, "string", None)
        text = ET.SubElement(
            self._body, "qti-extended-text-interaction", {"response-identifier": name}
        )
        ET.SubElement(text, "qti-prompt").text = self._told(asked.prompt)

    def _declare(self, name: str, kind: str, key: str | None) -> None:
        declaration = Node(
            "qti-response-declaration",
            {"identifier": name, "cardinality": "single", "base-type": kind},
        )
        if key is not None:
            _value(ET.SubElement(declaration, "qti-correct-response"), key)
        self._declarations.append(declaration)

    def _score(self, conditions: list[Node]) -> None:
        """One point more if all of ``conditions`` hold."""
        condition = Node("qti-response-condition")
        met = ET.SubElement(condition, "qti-response-if")
        if len(conditions) == 1:
            met.append(conditions[0])
        else:
            ET.SubElement(met, "qti-and").extend(conditions)
        outcome = ET.SubElement(met, "qti-set-outcome-value", {"identifier": "SCORE"})
        both = ET.SubElement(outcome, "qti-sum")
        both.append(Node("qti-variable", {"identifier": "SCORE"}))
        both.append(_base_value("float", "1"))
        self._rules.append(condition)

    def _told(self, text: str) -> str:
        return self._exercise.told(text, self._figures)


def _paragraph(body: Node, text: str) -> Node:
    paragraph = ET.SubElement(body, "p")
    paragraph.text = text
    return paragraph


def _value(parent: Node, text: str) -> None:
    ET.SubElement(parent, "qti-value").text = text


def _base_value(kind: str, text: str) -> Node:
    value = Node("qti-base-value", {"base-type": kind})
    value.text = text
    return value


def _is_correct(name: str) -> Node:
    match = Node("qti-match")
    match.append(Node("qti-variable", {"identifier": name}))
    match.append(Node("qti-correct", {"identifier": name}))
    return match


def _bytes(root: Node) -> bytes:
    ET.indent(root)
    written: bytes = ET.tostring(root, encoding="UTF-8", xml_declaration=True)
    return written


def _manifest(course: Course, names: Sequence[str]) -> bytes:
    root = Node("manifest", {"xmlns": PACKAGE_NAMESPACE, "identifier": f"{course.id}-items"})
    metadata = ET.SubElement(root, "metadata")
    ET.SubElement(metadata, "schema").text = "QTI Package"
    ET.SubElement(metadata, "schemaversion").text = "3.0.0"
    ET.SubElement(root, "organizations")
    resources = ET.SubElement(root, "resources")
    for name in names:
        identifier = f"R-{Path(name).stem}"
        described = {"identifier": identifier, "type": ITEM_TYPE, "href": name}
        resource = ET.SubElement(resources, "resource", described)
        ET.SubElement(resource, "file", {"href": name})
    return _bytes(root)


def _package(course: Course, items: Mapping[str, bytes]) -> bytes:
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in {"imsmanifest.xml": _manifest(course, list(items)), **items}.items():
            entry = zipfile.ZipInfo(name, _DAWN)
            entry.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(entry, data)
    return whole.getvalue()


def _check(items: Mapping[str, bytes], xsd: Path) -> None:
    """Check every item against the schema of a user; nothing is fetched from anywhere.

    Raises: CannotExport.
    """
    try:
        from lxml import etree
    except ImportError:
        raise CannotExport(
            tr("checking against a schema needs the package lxml: install it.")
        ) from None
    reading = etree.XMLParser(no_network=True, resolve_entities=False)
    try:
        schema = etree.XMLSchema(etree.parse(str(xsd), reading))
    except (OSError, etree.XMLSyntaxError, etree.XMLSchemaParseError) as reason:
        raise CannotExport(
            tr("{xsd} cannot be used as a schema: {reason}", xsd=xsd, reason=reason)
        ) from None
    for name, data in items.items():
        if not schema.validate(etree.fromstring(data, reading)):
            told = "; ".join(
                tr("line {line}: {message}", line=one.line, message=one.message)
                for one in schema.error_log[:3]
            )
            raise CannotExport(
                tr("{name} does not follow {xsd}: {told}", name=name, xsd=xsd.name, told=told)
            )
