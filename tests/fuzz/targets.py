"""What is fuzzed: readers of what anybody may type or hand in. Each takes bytes and says nothing.

A reader may refuse, with an error of ours that has a message. It may not raise anything else, run
for a second, or give a number that is none.
"""

import io
import json
import math
import time
import zipfile
from collections.abc import Callable, Mapping

from potash import equations, formulas, units
from potash.errors import PotashError
from potash.exercises import archives, returns, sheet_file
from potash.exercises.equation_answers import judge_equation

SECONDS = 1.0
UNBALANCED = "KOH + Mg -> K + MgO + H2"


class Slow(AssertionError):
    """A reader took longer than a second."""


def read_sheet(data: bytes) -> None:
    """An answer sheet as it comes back; what is read can be written and read again."""
    sheet = sheet_file.parse(data)
    assert sheet_file.parse(sheet_file.dump(sheet).encode()) == sheet


def read_notebook(data: bytes) -> None:
    """A notebook handed in by mistake."""
    returns._from_notebook(sheet_file.parse_json(data))


def read_quantity(data: bytes) -> None:
    """A typed quantity, as marking and as panels read it."""
    text = data.decode("utf-8", "replace")
    reading = units.read(text)
    assert math.isfinite(reading.si)
    assert 0 <= reading.figures <= len(text)
    assert math.isfinite(float(units.quantity(text).magnitude))


def read_equation(data: bytes) -> None:
    """A typed equation, read and held against a key."""
    text = data.decode("utf-8", "replace")
    assert judge_equation(UNBALANCED, text).says
    equation = equations.read(text)
    assert len(equation.terms) >= 2
    str(equation)


def read_formula(data: bytes) -> None:
    """A typed formula and its molar mass."""
    text = data.decode("utf-8", "replace")
    parsed = formulas.parse(text)
    assert parsed.molar_mass.m_as("g/mol") >= 0


def read_zip(data: bytes) -> None:
    """A zip file: what it says that it holds."""
    for info in archives._open(io.BytesIO(data)).infolist():
        archives._problem(info)


def _zipped() -> bytes:
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w") as archive:
        archive.writestr("a/answers.json", "{}")
        archive.writestr("b.json", "{}")
    return whole.getvalue()


READERS: Mapping[str, Callable[[bytes], None]] = {
    "sheet": read_sheet,
    "notebook": read_notebook,
    "quantity": read_quantity,
    "equation": read_equation,
    "formula": read_formula,
    "zip": read_zip,
}

_ATTEMPT = {"typed": "0.1 mol", "at": "2026-11-25T09:30:00Z"}
_ROW = {"figures": {"a": "1\u00a0g"}, "draw": 0, "seal": "0" * 64, "answers": {"n": [_ATTEMPT]}}
_SHEET = {**sheet_file.new_sheet("course", "student"), "exercises": {"two-for-one": _ROW}}
_CELL = {"outputs": [{"data": {sheet_file.MIME: _SHEET}}]}

SEEDS: Mapping[str, tuple[bytes, ...]] = {
    "sheet": (json.dumps(_SHEET).encode(),),
    "notebook": (json.dumps({"cells": [_CELL]}).encode(),),
    "quantity": tuple(
        text.encode()
        for text in (
            "3,5 mL",
            "1.2×10⁻³ mol",
            "−5 kJ/mol",
            "12 kJ mol-1",
            "25 °C",
            "1 234 g",
            "85 %",
        )
    ),
    "equation": (
        b"2 KOH + 2 Mg -> 2 K + 2 MgO + H2",
        "½ O₂ + 2 K(l) → K₂O(cr)".encode(),
        b"OH- + H+ = H2O",
    ),
    "formula": (b"Na2SO4.10H2O", b"K4[Fe(CN)6]", "CuSO₄·5H₂O".encode()),
    "zip": (_zipped(),),
}


def feed(reader: Callable[[bytes], None], data: bytes) -> bool:
    """Give ``data`` to ``reader``; whether it was taken, and not refused.

    Raises: Slow; whatever a reader lets escape that is no refusal of ours.
    """
    start = time.process_time()
    try:
        reader(data)
        taken = True
    except PotashError as refusal:
        assert str(refusal)
        taken = False
    if time.process_time() - start > SECONDS:
        raise Slow(f"{reader.__name__} took more than {SECONDS} s for {data[:200]!r}")
    return taken
