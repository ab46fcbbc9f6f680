"""Exported packages against the structure that the QTI 3.0 specification documents.

The order of an item's children, the namespaces, the resource type and the meaning of qti-equal's
absolute tolerance are those of the 1EdTech Information Model (2022) and its implementation guide.
"""

import itertools
import zipfile
from xml.etree import ElementTree as ET

import pytest

from potash import units
from potash.cli import main
from potash.exercises import course as courses
from potash.exercises import qti
from potash.exercises.judging import judge
from potash.exercises.outcomes import Outcome

ITEM = "{http://www.imsglobal.org/xsd/imsqtiasi_v3p0}"
PACKAGE = "{http://www.imsglobal.org/xsd/qti/qtiv3p0/imscp_v1p1}"
ORDER = [
    "qti-response-declaration",
    "qti-outcome-declaration",
    "qti-item-body",
    "qti-response-processing",
]


@pytest.fixture
def package(lay_class):
    """The package of the class's course, opened."""
    classroom = lay_class()
    path = classroom.folder / "items.zip"
    done = qti.export(classroom.course, path, variants=4)
    assert (done.items, done.checked) == (12, False)
    with zipfile.ZipFile(path) as archive:
        assert archive.testzip() is None
        yield {name: archive.read(name) for name in archive.namelist()}


def items(package):
    return {name: ET.fromstring(data) for name, data in package.items() if "/" in name}


def test_the_manifest_comes_first_and_lists_every_item(package):
    assert next(iter(package)) == "imsmanifest.xml"
    root = ET.fromstring(package["imsmanifest.xml"])
    assert root.tag == f"{PACKAGE}manifest"
    assert root.findtext(f"{PACKAGE}metadata/{PACKAGE}schema") == "QTI Package"
    resources = root.findall(f"{PACKAGE}resources/{PACKAGE}resource")
    assert {one.get("type") for one in resources} == {"imsqti_item_xmlv3p0"}
    assert [one.get("href") for one in resources] == list(package)[1:]
    assert all(one.find(f"{PACKAGE}file").get("href") == one.get("href") for one in resources)
    assert len({one.get("identifier") for one in resources}) == len(resources)


def test_an_item_has_what_the_specification_asks_for_in_its_order(package):
    for root in items(package).values():
        assert root.tag == f"{ITEM}qti-assessment-item"
        assert {"identifier", "title", "time-dependent"} <= set(root.keys())
        children = [child.tag.removeprefix(ITEM) for child in root]
        assert [name for name, _ in itertools.groupby(children)] == ORDER


def test_every_interaction_answers_a_declared_response(package):
    for root in items(package).values():
        declared = {one.get("identifier") for one in root.iter(f"{ITEM}qti-response-declaration")}
        answered = [
            one.get("response-identifier")
            for one in root.iter()
            if one.tag.endswith("-interaction")
        ]
        assert sorted(answered) == sorted(declared)
        used = {one.get("identifier") for one in root.iter(f"{ITEM}qti-variable")} - {"SCORE"}
        assert used <= declared


def score(root, responses):
    """What the item's own processing makes of ``responses``, worked out from its XML alone."""
    correct = {
        one.get("identifier"): one.findtext(f"{ITEM}qti-correct-response/{ITEM}qti-value")
        for one in root.iter(f"{ITEM}qti-response-declaration")
    }

    def holds(node):
        match node.tag.removeprefix(ITEM):
            case "qti-and":
                return all(map(holds, node))
            case "qti-match":
                name = node[0].get("identifier")
                return responses.get(name) == correct[name]
            case "qti-equal":
                assert node.get("tolerance-mode") == "absolute"
                key, given = float(node[0].text), responses.get(node[1].get("identifier"))
                return given is not None and abs(given - key) <= float(node.get("tolerance"))
        raise AssertionError(node.tag)

    return sum(holds(one[0]) for one in root.iter(f"{ITEM}qti-response-if"))


def right(root):
    responses = {}
    for one in root.iter(f"{ITEM}qti-response-declaration"):
        key = one.findtext(f"{ITEM}qti-correct-response/{ITEM}qti-value")
        if key is not None:
            responses[one.get("identifier")] = (
                float(key) if one.get("base-type") == "float" else key
            )
    return responses


def test_the_key_earns_every_point_and_a_wrong_number_or_unit_loses_one(package):
    for root in items(package).values():
        most = next(
            float(one.findtext(f"{ITEM}qti-default-value/{ITEM}qti-value"))
            for one in root.iter(f"{ITEM}qti-outcome-declaration")
            if one.get("identifier") == "MAXSCORE"
        )
        answers = right(root)
        assert score(root, answers) == most > 0
        assert score(root, {}) == 0
        for name, value in answers.items():
            changed = value * 1.5 if isinstance(value, float) else "U9"
            assert score(root, answers | {name: changed}) == most - 1


def test_tolerances_hold_for_negative_keys_and_agree_with_our_own_marking(tmp_path):
    (tmp_path / "class.csv").write_text("id,name\ns1,A\n")
    (tmp_path / "course.toml").write_text(
        'id = "signs"\ntitle = "Signs"\nclass_list = "class.csv"\n'
        '[[exercise]]\nid = "gibbs-from-its-parts"\n'
    )
    course = courses.load(tmp_path / "course.toml")
    qti.export(course, tmp_path / "items.zip", variants=6)
    exercise = course.settings[0].exercise
    negative = 0
    with zipfile.ZipFile(tmp_path / "items.zip") as archive:
        for name in archive.namelist()[1:]:
            root = ET.fromstring(archive.read(name))
            answers, most = right(root), score(root, right(root))
            for number, asked in enumerate(exercise.asked, 1):
                if asked.kind != "number":
                    continue
                key = answers[f"R{number}"]
                negative += key < 0
                si = units.read(f"{key} {asked.unit}", difference=asked.difference).si
                margin = asked.tolerance.around(si) / asked.factor
                for factor, expected in ((-0.98, most), (0.98, most), (1.02, most - 1)):
                    near = answers | {f"R{number}": key + factor * margin}
                    assert score(root, near) == expected
    assert negative


def test_the_same_course_gives_the_same_bytes_and_the_file_is_for_its_owner(lay_class):
    classroom = lay_class()
    first, second = classroom.folder / "a.zip", classroom.folder / "b.zip"
    for path in (first, second):
        qti.export(classroom.course, path, variants=2)
    assert first.read_bytes() == second.read_bytes()
    assert first.stat().st_mode & 0o777 == 0o600
    assert (classroom.folder / "staff" / "course.secret").read_bytes() not in first.read_bytes()


def test_two_variants_differ_in_their_figures(package):
    bodies = {
        name: ET.tostring(root.find(f"{ITEM}qti-item-body"))
        for name, root in items(package).items()
    }
    one = [body for name, body in bodies.items() if "two-for-one" in name]
    assert len(set(one)) == len(one) == 4


SCHEMA = """<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema"
  targetNamespace="http://www.imsglobal.org/xsd/imsqtiasi_v3p0">
  <xs:element name="{root}"><xs:complexType><xs:sequence>
    <xs:any processContents="skip" maxOccurs="unbounded"/></xs:sequence>
    <xs:anyAttribute processContents="skip"/></xs:complexType></xs:element></xs:schema>"""


def test_items_are_checked_against_a_schema_that_a_user_has(lay_class, capsys):
    pytest.importorskip("lxml")
    classroom = lay_class()
    xsd, to = classroom.folder / "items.xsd", classroom.folder / "items.zip"
    words = ["export", str(classroom.course_file), "--to", str(to), "--xsd", str(xsd)]
    xsd.write_text(SCHEMA.format(root="qti-assessment-item"))
    assert main([*words, "--variants", "1"]) == 0
    assert "3 items are in" in capsys.readouterr().out
    to.unlink()
    xsd.write_text(SCHEMA.format(root="something-else"))
    assert main(words) == 2
    assert "does not follow items.xsd" in " ".join(capsys.readouterr().err.split())
    xsd.write_text("<no schema")
    assert main(words) == 2
    assert "cannot be used as a schema" in " ".join(capsys.readouterr().err.split())
    assert not to.exists()


@pytest.mark.parametrize("variants", [0, -1, 5000])
def test_a_number_of_variants_that_makes_no_sense_is_refused(lay_class, variants):
    classroom = lay_class()
    with pytest.raises(qti.CannotExport, match="ask for 1 to 1000"):
        qti.export(classroom.course, classroom.folder / "x.zip", variants)


def test_our_marking_agrees_that_the_exported_key_is_right(lay_class):
    classroom = lay_class()
    course = classroom.course
    path = classroom.folder / "items.zip"
    qti.export(course, path, variants=1)
    exercise = next(s.exercise for s in course.settings if s.exercise.id == "two-for-one")
    with zipfile.ZipFile(path) as archive:
        root = ET.fromstring(archive.read("items/two-for-one-001.xml"))
    amount = root.find(f"{ITEM}qti-item-body/{ITEM}p").text.split(" of hydrogen")[0]
    key = exercise.solve({"amount": amount})
    typed = {"potassium": f"{right(root)['R1']:.3g} mol"}
    assert judge(exercise, key, typed)["potassium"].outcome is Outcome.CORRECT
