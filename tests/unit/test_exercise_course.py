"""Course files and class lists: what is read, and what is refused with its place named."""

import csv
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from potash.errors import PotashError
from potash.exercises import course as courses
from potash.exercises.bank import BadExercise, UnknownExercise
from potash.exercises.course import BadCourse
from potash.exercises.outcomes import Outcome
from potash.exercises.roster import BadClassList, read_class_list
from potash.exercises.tables import defused


def test_a_course_is_read(lay_class):
    course = lay_class().course
    assert course.id == "larkmoor-test"
    assert course.due == datetime(2099, 12, 4, 17, tzinfo=UTC)
    assert [setting.practice for setting in course.settings] == [True, False, False]
    assert course.points == 6
    assert course.settings[1].points_each == 1
    assert course.credit[Outcome.UNIT_SLIP] == 0.5
    assert [student.id for student in course.students()] == ["s01", "s02", "s03"]


def test_credit_and_tolerances_of_the_course_win(lay_class):
    changes = {
        "figures_cost = 0.5": "figures_cost = 0\n[credit]\nunit-slip = 0.25\nfollow-through = 0.9",
        "weight = 4": "weight = 4\ntolerance = { relative = 0.05 }",
    }
    course = lay_class(changes=changes).course
    assert course.credit[Outcome.UNIT_SLIP] == 0.25
    assert course.credit[Outcome.FOLLOW_THROUGH] == 0.9
    chain = course.settings[1]
    assert set(chain.tolerances) == {"hydroxide", "magnesium_left", "metal"}
    assert chain.tolerances["metal"].around(0.010) == pytest.approx(0.0005)


@pytest.mark.parametrize(
    ("old", "new", "error", "message"),
    [
        (
            '"weigh-hydroxide"',
            '"weigh-hydroxid"',
            UnknownExercise,
            "course.toml: no exercise is called 'weigh-hydroxid'. Did you mean weigh-hydroxide",
        ),
        (
            '"two-for-one"',
            '"weigh-hydroxide"',
            BadCourse,
            "weigh-hydroxide: the exercise is set twice",
        ),
        ('title = "Before', 'titel = "Before', BadCourse, "'titel' was unexpected"),
        ("weight = 4", "weight = -1", BadCourse, "exercise water-takes-magnesium, weight"),
        ('use = "practice"', 'use = "fun"', BadCourse, "exercise weigh-hydroxide, use"),
        ("weight = 4", 'tolerance = { absolute = "1 K" }', BadExercise, "'1 K' is not in mol"),
        ("T17:00:00+00:00", "T17:00:00", BadCourse, "give date, time and distance from UTC"),
        ("2099-12-04T17:00:00+00:00", '"soon"', BadCourse, "due: soon does not say when"),
        ('"class.csv"', '"../class.csv"', BadCourse, "lies outside the course's folder"),
        ('"own.toml"', '"none.toml"', BadCourse, "none.toml cannot be read"),
        ('"larkmoor-test"', '"../larkmoor"', BadCourse, "course.toml, id"),
        ("weight = 4", "weight = ", BadCourse, "course.toml is no course file"),
    ],
)
def test_a_course_file_that_cannot_be_used_says_where(lay_class, old, new, error, message):
    classroom = lay_class(changes={old: new})
    with pytest.raises(error) as caught:
        _ = classroom.course
    assert message in str(caught.value)


def test_a_missing_course_file_is_told(tmp_path):
    with pytest.raises(BadCourse, match="there is no course file"):
        courses.load(tmp_path / "none.toml")


@pytest.fixture
def read(tmp_path):
    def read(content, columns=None):
        path = tmp_path / "class.csv"
        path.write_bytes(content.encode() if isinstance(content, str) else content)
        students = read_class_list(path, columns or {})
        return [(student.id, student.name) for student in students]

    return read


TWO = [("s1", "Ada"), ("s2", "Bo")]


@pytest.mark.parametrize(
    "content",
    [
        "id,name\ns1,Ada\ns2,Bo\n",
        "\ufeffid,name\ns1,Ada\ns2,Bo\n",
        "id;name\r\ns1;Ada\r\ns2;Bo\r\n",
        "ID\tName\rs1\tAda\rs2\tBo",
        "sep=;\nName;other;Id\nAda;x;s1\nBo;y;s2\n",
        'name,id\n"Ada",s1\n\n  \n"Bo","s2"\n',
        "id,name\n s1 , Ada \n s2 , Bo \n",
    ],
)
def test_class_lists_are_read_as_they_come(read, content):
    assert read(content) == TWO


def test_columns_may_have_other_names(read):
    content = "Number,Family name\ns1,Ada\ns2,Bo\n"
    assert read(content, {"id": "number", "name": "FAMILY NAME"}) == TWO


def test_names_may_hold_what_names_hold(read):
    content = 'id,name\ns1,"O\'Neil, Zoë ""Zed"""\ns2,=SUM(A1)\n'
    assert read(content) == [("s1", 'O\'Neil, Zoë "Zed"'), ("s2", "=SUM(A1)")]


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ("../s1,x", "would lead out of its folder"),
        ("a/b,x", "would lead out of its folder"),
        ("a\\b,x", "would lead out of its folder"),
        ("..,x", "would lead out of its folder"),
        (".hidden,x", "begins or ends with a dot"),
        ("s1.,x", "begins or ends with a dot"),
        ("=1+1,x", "takes for a formula"),
        ("+1,x", "takes for a formula"),
        ("-1,x", "takes for a formula"),
        ("@x,x", "takes for a formula"),
        ("a\x07b,x", "holds '\\x07'"),
        ("a\x00b,x", "line 3"),
        ("a<b,x", "holds '<'"),
        ("a:b,x", "holds ':'"),
        ("con,x", "Windows keeps for a device"),
        ("COM1.txt,x", "Windows keeps for a device"),
        (",x", "is empty"),
        (f"{'a' * 65},x", "longer than 64"),
        ("S0,x", "is on line 2 already"),
        ("s3", "the line has 1 cells"),
        ('"s3,x', "line 3"),
        (f"s3,{'x' * 201}", "longer than 200"),
        ("s3,a\x1bb", "control character"),
    ],
)
def test_a_line_that_cannot_be_used_is_named(read, line, message):
    with pytest.raises(BadClassList) as caught:
        read(f"id,name\ns0,First\n{line}\n")
    assert message in str(caught.value)
    assert "class.csv, line 3" in str(caught.value)


@pytest.mark.parametrize(
    ("content", "message"),
    [
        ("", "names no column 'id'"),
        ("id,name\n", "names no student"),
        ("number,name\ns1,Ada\n", "[class_list.columns]"),
        ("id,id,name\n1,2,Ada\n", "names two columns 'id'"),
        ("id,name\ns1,Ada\n".encode("utf-16"), "UTF-16"),
        ("id,name\ns1,Zoë\n".encode("latin-1"), "line 2: byte"),
    ],
)
def test_a_class_list_that_cannot_be_used_is_told(read, content, message):
    with pytest.raises(BadClassList) as caught:
        read(content)
    assert message in str(caught.value)


def test_a_missing_class_list_is_told(tmp_path):
    with pytest.raises(BadClassList, match="cannot be read: No such file"):
        read_class_list(tmp_path / "none.csv")


@given(st.binary(max_size=120))
def test_any_bytes_are_a_class_list_or_a_clear_refusal(tmp_path_factory, data):
    path = tmp_path_factory.getbasetemp() / "any.csv"
    path.write_bytes(b"id,name\n" + data)
    try:
        students = read_class_list(path)
    except PotashError as refusal:
        assert "any.csv" in str(refusal)
    else:
        for student in students:
            assert (path.parent / student.id).resolve().parent == path.parent.resolve()


# OWASP, CSV Injection: cells beginning with = + - @ (and full-width forms) are formulas.
@given(st.text(max_size=40))
def test_no_defused_cell_begins_like_a_formula(text):
    cell = defused(text)
    assert not cell.lstrip().startswith(("=", "+", "-", "@", "＝", "＋", "－", "＠", "\t", "\r"))
    assert next(csv.reader([cell]), []) is not None
    assert "\n" not in cell


def test_harmless_text_stays_as_it_is():
    assert defused("5 g = 0.005 kg") == "5 g = 0.005 kg"
    assert defused("=cmd|'/c calc'!A0") == "'=cmd|'/c calc'!A0"
    assert defused(" \t@SUM(A1)") == "'@SUM(A1)"
