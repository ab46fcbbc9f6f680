"""Where the numbers on screen come from: whole records, each in use, each telling of its model."""

import ast
import importlib
import importlib.util
import inspect
import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import astuple
from importlib import resources
from pathlib import Path
from typing import Any

import pytest

from potash import beads, hydrogen, panels, reactions, solvents, waste
from potash.exercises.items import LEAST_STUDENTS
from potash.gas_log import fitting
from potash.origins import Origin, origin, origins
from potash.panels.chapter_3 import diagram_picture, heating
from potash.panels.chapter_4 import solvent_loss
from potash.panels.frame import look
from potash.panels.frame.look import Number
from potash.quenching.alcohols import teaching
from potash.retorts import vapour
from potash.solvents.loss import DIFFUSIVITY
from potash.storage import discard
from potash.storage.ingress import rule
from potash.waste.acidity import HIGHEST_STRENGTH
from potash.waste.neutralise import WATER_HEAT_CAPACITY

PANELS = Path(panels.__file__).parent
LOOK = PANELS / "frame" / "look.py"  # hands on the names that the panels give it

every_origin = pytest.mark.parametrize("one", origins().values(), ids=origins().keys())


# --------------------------------------------------------------------- what the panels ask for

Constants = Mapping[str, ast.expr]


def modules() -> Iterator[tuple[str, ast.Module]]:
    for path in sorted(PANELS.rglob("*.py")):
        if path != LOOK:
            yield str(path.relative_to(PANELS)), ast.parse(path.read_text("utf-8"))


def constants(module: ast.Module) -> Constants:
    """What a module says of its names at its top."""
    found: dict[str, ast.expr] = {}
    for node in module.body:
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
            found[node.targets[0].id] = node.value
        if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name) and node.value:
            found[node.target.id] = node.value
    return found


def written(node: ast.expr, known: Constants) -> list[str]:
    """The texts that an expression stands for; one that is not plain text fails the test."""
    match node:
        case ast.Constant(value=str(text)):
            return [text]
        case ast.Tuple(elts=parts) | ast.List(elts=parts):
            return [text for part in parts for text in written(part, known)]
        case ast.Starred(value=inner):
            return written(inner, known)
        case ast.Name(id=name) if name in known:
            return written(known[name], known)
    raise AssertionError(f"not a plain name of an origin: {ast.unparse(node)}")


def called(node: ast.Call) -> str:
    return ast.unparse(node.func).rpartition(".")[2]


def asked_of(node: ast.Call, known: Constants) -> list[str]:
    """The origins that a call names: of a number, of a fold, or of a table."""
    if called(node) == "Number":
        return written(node.args[2], known)
    if called(node) == "where_from":
        return [text for argument in node.args for text in written(argument, known)]
    given = [one.value for one in node.keywords if one.arg == "origins"]
    return [text for value in given for text in written(value, known)]


def asked() -> Iterator[tuple[str, str]]:
    """Each origin that a panel asks for, with the module that does."""
    for place, module in modules():
        known = constants(module)
        for node in ast.walk(module):
            if isinstance(node, ast.Call):
                for name in asked_of(node, known):
                    yield place, name


def test_every_origin_that_a_panel_names_has_a_record():
    unknown = [(place, name) for place, name in asked() if name not in origins()]
    assert unknown == []


def test_every_record_is_asked_for_by_a_panel():
    assert origins().keys() - {name for _, name in asked()} == set()


def test_every_panel_with_key_numbers_is_looked_at():
    sources = {place: ast.unparse(module) for place, module in modules()}
    shows = {place for place, source in sources.items() if "Number(" in source}
    assert len(shows) >= 15  # a search that finds nothing would let everything pass
    assert shows <= {place for place, _ in asked()}


# --------------------------------------------------------------------- the records


def imported(dotted: str) -> Any:
    """The module, function, class or method called ``dotted``. Raises: AttributeError."""
    found: Any = importlib.import_module("potash")
    path = "potash"
    for part in dotted.removeprefix("potash.").split("."):
        path = f"{path}.{part}"
        try:
            found = getattr(found, part)
        except AttributeError:
            if not inspect.ismodule(found) or importlib.util.find_spec(path) is None:
                raise
            found = importlib.import_module(path)
    return found


@every_origin
def test_a_record_has_all_its_parts(one: Origin):
    assert all(part.strip() for part in astuple(one))


@every_origin
def test_a_record_names_what_computes_its_number(one: Origin):
    assert one.computed_by.startswith("potash.")
    assert imported(one.computed_by) is not None


@every_origin
def test_a_record_calls_nothing_safe_or_permitted(one: Origin):
    assert not re.search(r"\b(safe|safely|allowed|permitted)\b", " ".join(astuple(one)), re.I)


def test_no_two_chapters_use_one_name():
    files = [one for one in resources.files("potash.origins").iterdir() if one.name[-5:] == ".toml"]
    names = [name for file in files for name in tomllib.loads(file.read_text("utf-8"))]
    assert len(files) >= 9
    assert sorted(names) == sorted(origins())


def default(function: Any, name: str) -> Any:
    return inspect.signature(function).parameters[name].default


# A figure that stands in a record is known in two places: here they are held together.
@pytest.mark.parametrize(
    ("name", "figure"),
    [
        ("reaction Gibbs energy", f"{reactions.UNCERTAINTY / 1e3:g} kJ/mol"),
        ("direction of a reaction", f"{reactions.INCONCLUSIVE / 1e3:g} kJ/mol"),
        ("Gibbs energy of exchange", f"{reactions.UNCERTAINTY / 1e3:g} kJ and"),
        ("direction of exchange", f"{reactions.INCONCLUSIVE / 1e3:g} kJ and"),
        (
            "crossing of formation lines",
            f"from {diagram_picture.LOWEST:.0f} K to {diagram_picture.HIGHEST:.0f} K",
        ),
        ("onset of metal vapour", f"two of {vapour.SWEEP_POINTS} equilibria"),
        ("largest share of metal vapour", f"over {vapour.SWEEP_POINTS} equilibria"),
        ("heat of a charge", f"T0 = {heating._START.m_as('K'):.0f} K"),
        ("velocity of a bead", f"Re below {beads.CREEPING:g}"),
        ("time until two beads merge", f"A = {beads.HAMAKER:g} J"),
        ("largest round bead", f"Bo = {beads.ROUND:g}"),
        ("liquid lost", f"neck {default(solvents.solvent_loss, 'neck_diameter')} wide"),
        ("liquid lost", f"{default(solvents.solvent_loss, 'neck_length')} long"),
        ("liquid lost", f"D0 = {DIFFUSIVITY:.0e}".replace("e-0", "e-")),
        ("level of the liquid", f"vessel {solvent_loss._VESSEL} wide"),
        ("end of the gas", f"fallen to {100 * fitting._BENT_TO:.0f} %"),
        ("smallest airflow", f"{100 * hydrogen.LOWER_FLAMMABLE_LIMIT:.1f} vol%"),
        ("filling of a balloon", f"at most {default(hydrogen.balloon, 'largest_fill')}"),
        ("volume drawn back", f"{default(hydrogen.suck_back, 'cold')} when cold"),
        ("criticality class", f"{teaching('decomposition_temperature') - 273.15:.0f} °C"),
        ("hydrogen share in the hood", f"K = {teaching('mixing_factor'):g}"),
        ("least air of the hood", f"K = {teaching('mixing_factor'):g}"),
        ("least air of the hood", f"{100 * hydrogen.LOWER_FLAMMABLE_LIMIT:.1f} vol%"),
        ("largest feed", f"{teaching('boiling_margin'):g} K below the lowest boiling point"),
        ("smallest excess of alcohol", f"session of {teaching('session') / 3600:g} h"),
        ("relative rate of an alcohol", f"= −{teaching('acidity_slope'):g} · "),
        ("heat of neutralisation", f"c = {WATER_HEAT_CAPACITY:g} J/(mL K)"),
        ("pH after neutralising", f"at {default(waste.neutralise, 'temperature')}"),
        ("pH after neutralising", f"strength of {HIGHEST_STRENGTH:g} mol/L"),
        ("discard date", f"at most {rule('few_months'):g} days"),
        ("discard date", f"{rule('horizon') / 365:g} years where it is sealed"),
        ("discard date", f"{rule('first_crust'):g} µm where superoxide can form"),
        ("discard date", f"{rule('plain_crust'):g} µm elsewhere"),
        ("discard date", f"divided by f{'⁰¹²³'[int(discard._COVERAGE)]}"),
        ("difficulty of a question", f"below {LEAST_STUDENTS} students"),
        ("discrimination of a question", f"below {LEAST_STUDENTS} students"),
    ],
)
def test_a_figure_in_a_record_is_that_of_its_model(name: str, figure: str):
    assert figure in " ".join(astuple(origin(name)))


# --------------------------------------------------------------------- on screen


def test_a_key_number_opens_to_every_part_of_its_origin():
    shown = look.key_numbers(Number("potassium", "3.1 g", "theoretical yield"))
    found = origin("theoretical yield")
    assert shown.index("<summary") < shown.index("potassium") < shown.index("</summary>")
    for part in (found.equation, found.inputs, found.source, found.validity, found.computed_by):
        assert part in shown


def test_neither_a_number_nor_its_origin_is_taken_for_markup():
    shown = look.key_numbers(Number("<b>name", "<i>value", "direction of a reaction"))
    assert "&lt;b&gt;name" in shown and "<b>name" not in shown
    assert "&lt;i&gt;value" in shown and "<i>value" not in shown
    assert "ΔG &lt; 0" in shown and "ΔG < 0" not in shown


def keys(shown: str) -> list[str]:
    return re.findall(r'data-key="([^"]*)"', shown)


def rises(T: int) -> str:
    return look.key_numbers(
        Number(f"rise at {T} K", "12 K", "adiabatic temperature rise"),
        Number("rise without any liquid", "900 K", "adiabatic temperature rise"),
    )


def test_a_number_whose_name_moves_keeps_the_key_that_holds_it_open():
    assert keys(rises(473)) == keys(rises(474))
    assert len(set(keys(rises(473)))) == 2


def test_a_table_tells_the_origins_that_it_names_behind_one_line_under_it():
    heads, rows = ("Element", "Left"), [("K", "2")]
    plain = look.table("Atoms", heads, rows)
    told = look.table("Atoms", heads, rows, origins=["atoms counted", "oxidation numbers"])
    assert told.startswith(plain)
    assert "<details" not in plain
    assert told.count("<details") == 1
    for name in ("atoms counted", "oxidation numbers"):
        assert f"<b>{name}</b>" in told
        assert origin(name).validity in told


@pytest.mark.parametrize(
    "ask",
    [
        origin,
        look.where_from,
        lambda name: look.key_numbers(Number("mass", "1 g", name)),
        lambda name: look.table("Masses", ("What",), [("K",)], origins=[name]),
    ],
    ids=["origin", "where_from", "key_numbers", "table"],
)
def test_an_origin_without_a_record_is_refused(ask: Any):
    with pytest.raises(KeyError, match="phlogiston"):
        ask("phlogiston")
