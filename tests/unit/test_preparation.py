"""The preparation file: what it takes, what it refuses and in which words."""

import re
from pathlib import Path

import pytest
import tomli_w
from hypothesis import given
from hypothesis import strategies as st

from potash.preparation import KEYS, BadPreparation, Preparation, default_text

DEFAULT = Preparation.default()

CHLORIDE = """
format = 1
title = "Caesium from caesium chloride and calcium"
equation = "2 CsCl + Ca -> 2 Cs + CaCl2"
temperature = "700 °C"

[reagents.salt]
formula = "CsCl"
mass = "33.67 g"

[reagents.reductant]
formula = "Ca"
mass = "8.0 g"

[vent]
temperature = "20 °C"
pressure = "1 bar"
"""


def refusal(changes) -> str:
    with pytest.raises(BadPreparation) as refused:
        DEFAULT.replace(changes)
    assert len(str(refused.value)) < 1500
    return str(refused.value)


def refusal_of_text(text) -> str:
    with pytest.raises(BadPreparation) as refused:
        Preparation.load(text)
    assert len(str(refused.value)) < 1500
    return str(refused.value)


# What a preparation holds


def test_the_default_preparation_reads_as_typed():
    assert DEFAULT.metal == "K"
    assert DEFAULT.metal_source.formula == "KOH"
    assert DEFAULT.metal_source.mass.m_as("g") == 9.30
    assert DEFAULT.metal_source.assay.m_as("") == pytest.approx(0.865)
    assert DEFAULT.metal_source.moisture.m_as("") == pytest.approx(0.128)
    assert DEFAULT.reductant.formula == "Mg"
    assert DEFAULT.liquid.name == "tetralin"
    assert DEFAULT.liquid.volume.m_as("mL") == pytest.approx(85)
    assert DEFAULT.catalyst.doses == 3
    assert DEFAULT.temperature.m_as("K") == pytest.approx(473.15)
    assert DEFAULT.vent.pressure.m_as("Pa") == pytest.approx(101_300)
    assert DEFAULT.equation.coefficients == {"KOH": -2, "Mg": -2, "K": 2, "MgO": 2, "H2": 1}


def test_the_default_says_that_its_laboratory_is_invented():
    assert "Larkmoor College" in DEFAULT.title
    assert "invented" in default_text()


def test_a_chloride_without_liquid_catalyst_or_moisture_is_a_preparation():
    found = Preparation.load(CHLORIDE)
    assert found.metal == "Cs"
    assert found.liquid is None and found.catalyst is None
    assert found.metal_source.moisture.m_as("") == 0


def test_typed_text_is_kept_to_the_letter():
    found = DEFAULT.replace({"reagents.hydroxide.mass": "9,30 g", "temperature": "200 degC"})
    assert found.typed["reagents.hydroxide.mass"] == "9,30 g"
    assert found.metal_source.mass.m_as("g") == pytest.approx(9.3)


# Files


def test_a_saved_preparation_loads_as_the_same(tmp_path):
    own = DEFAULT.replace(title="O'Neil's <b>K</b> & \"Co\", 5 °C")
    own.save(tmp_path / "preparation.toml")
    assert Preparation.load(tmp_path / "preparation.toml") == own
    assert Preparation.load(str(tmp_path / "preparation.toml")) == own


def test_saving_twice_gives_the_same_bytes(tmp_path):
    DEFAULT.save(tmp_path / "a.toml")
    Preparation.load(tmp_path / "a.toml").save(tmp_path / "b.toml")
    assert (tmp_path / "a.toml").read_bytes() == (tmp_path / "b.toml").read_bytes()


def test_a_file_written_by_hand_is_kept_beside_before_it_is_replaced(tmp_path):
    path = tmp_path / "preparation.toml"
    by_hand = default_text().replace("9.30 g", "9.10 g") + "# weigh under argon, says Ms Okafor\n"
    path.write_text(by_hand, "utf-8")
    Preparation.load(path).save(path)
    assert (tmp_path / "preparation.as-written.toml").read_text("utf-8") == by_hand
    assert Preparation.load(path).metal_source.mass.m_as("g") == 9.10


def test_each_hand_written_version_is_kept(tmp_path):
    path = tmp_path / "preparation.toml"
    for note in ("# one", "# two"):
        path.write_text(note)
        DEFAULT.save(path)
    assert (tmp_path / "preparation.as-written.toml").read_text() == "# one"
    assert (tmp_path / "preparation.as-written-2.toml").read_text() == "# two"


def test_saving_over_our_own_file_or_the_laid_default_leaves_no_copies(tmp_path):
    path = tmp_path / "preparation.toml"
    path.write_text(default_text(), "utf-8")
    DEFAULT.save(path)
    DEFAULT.replace(temperature="210 °C").save(path)
    assert [found.name for found in tmp_path.iterdir()] == ["preparation.toml"]


def test_saving_into_a_missing_folder_says_so(tmp_path):
    with pytest.raises(BadPreparation, match="was not saved: no such file or directory"):
        DEFAULT.save(tmp_path / "no" / "preparation.toml")
    assert list(tmp_path.iterdir()) == []


def test_a_byte_order_mark_and_windows_line_ends_are_read(tmp_path):
    path = tmp_path / "preparation.toml"
    path.write_bytes(b"\xef\xbb\xbf" + default_text().replace("\n", "\r\n").encode())
    assert Preparation.load(path) == DEFAULT


def test_a_missing_file_is_named(tmp_path):
    with pytest.raises(BadPreparation, match=r'There is no file ".*none\.toml"'):
        Preparation.load(tmp_path / "none.toml")


def test_a_file_in_another_encoding_is_refused_with_the_byte(tmp_path):
    (tmp_path / "a.toml").write_bytes(default_text().encode("latin-1"))
    with pytest.raises(BadPreparation, match=r"is not UTF-8 text \(byte \d+\)"):
        Preparation.load(tmp_path / "a.toml")


def test_a_huge_file_is_refused_unread(tmp_path):
    (tmp_path / "a.toml").write_bytes(b"#" * 64_001)
    with pytest.raises(BadPreparation, match="larger than"):
        Preparation.load(tmp_path / "a.toml")


def test_a_folder_in_place_of_a_file_is_refused(tmp_path):
    with pytest.raises(BadPreparation, match="cannot be read"):
        Preparation.load(tmp_path)


# Text that is no preparation


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "holds no preparation. It begins with: format = 1"),
        ("# nothing\n", "holds no preparation"),
        ("x" * 100_000, "100000 characters; a preparation has at most 64000"),
        ("title = 1\nmass = 9.30 g\n", r"line 2, column .*The line is: mass = 9.30 g.*in quotes"),
        ("a = " + "[" * 5000, "not TOML|deeply nested"),
        ("format = " + "9" * 5000 + "\n", "too long a number|newer"),
        ("{}\n", "not TOML"),
        ("format = 7\n", "format 7, which a newer Potash wrote; this one reads format 1. Update"),
        ("format = 0\n", "format = 0: Potash reads format 1. A line that works: format = 1"),
        ('format = "1"\n', 'format = "1": Potash reads format 1'),
        ("format = true\n", "format = true: Potash reads"),
        ('title = "x"\n', "format is missing. A line that works: format = 1"),
    ],
)
def test_text_that_is_no_preparation_is_refused(text, words):
    assert re.search(words, refusal_of_text(text))


def test_a_missing_table_is_named_with_the_line_that_begins_it():
    without = CHLORIDE[: CHLORIDE.index("[vent]")]
    assert refusal_of_text(without).endswith(
        "The table [vent] is missing. It begins with the line: [vent]"
    )


def test_missing_reagents_are_named():
    text = 'format = 1\ntitle = "a"\nequation = "b"\ntemperature = "1 K"\n'
    assert "The table [reagents] is missing" in refusal_of_text(text)


def test_a_missing_key_is_named_with_a_line_that_works():
    text = CHLORIDE.replace('formula = "Ca"', "")
    assert refusal_of_text(text) == (
        '[reagents.reductant] formula is missing. A line that works: formula = "KOH"'
    )


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("[reagents.salt]", "[reagents.slat]", 'Did you mean "salt"?'),
        ("[reagents.salt]", "[reagent.salt]", 'Did you mean "reagents"?'),
        ('mass = "8.0 g"', 'maas = "8.0 g"', '"maas" in [reagents.reductant] is not known. '),
        ('title = "', 'titel = "', '"titel" above the tables is not known. Did you mean "title"?'),
        ('mass = "8.0 g"', "mass = 8.0", "mass = 8.0: The unit is missing. A line that works"),
        ('mass = "8.0 g"', "mass = [8]", "mass = a list: Text in quotes is needed."),
        ('mass = "8.0 g"', "mass = true", "mass = true: Text in quotes"),
        ('mass = "8.0 g"', "mass = nan", "mass = nan: The unit is missing"),
        ('mass = "8.0 g"', "", "[reagents.reductant] gives neither a mass nor a volume"),
        ('pressure = "1 bar"', "pressure = 1979-05-27", "[vent] pressure = 1979-05-27: Text"),
    ],
)
def test_misspelt_and_mistyped_keys_are_named(old, new, words):
    assert old in CHLORIDE
    assert words in refusal_of_text(CHLORIDE.replace(old, new))


# Values that cannot be


@pytest.mark.parametrize(
    ("place", "typed", "words"),
    [
        ("reagents.hydroxide.mass", "9.30 mL", "volume"),
        ("reagents.hydroxide.mass", "9.30", "unit"),
        ("reagents.hydroxide.mass", "9**9**9 g", "calculation"),
        ("reagents.hydroxide.mass", "-9.30 g", "It must be above 0 g"),
        ("reagents.hydroxide.mass", "0 g", "It must be above 0 g"),
        ("reagents.hydroxide.mass", "nan g", "number"),
        ("reagents.hydroxide.mass", "g" * 100_000, "at most 300 fit"),
        ("reagents.hydroxide.mass", " ", "It is empty"),
        ("reagents.hydroxide.assay", "0 %", "It must be above 0 %"),
        ("reagents.hydroxide.assay", "120 %", "It must be at most 100 %"),
        ("reagents.hydroxide.assay", "-5 %", "It must be above 0 %"),
        ("reagents.hydroxide.moisture", "100 %", "It must be below 100 %"),
        ("reagents.hydroxide.moisture", "250 %", "It must be below 100 %"),
        ("reagents.hydroxide.moisture", "-1 %", "It must be at least 0 %"),
        ("temperature", "-300 °C", "It must be above 0 K"),
        ("temperature", "0 K", "It must be above 0 K"),
        ("temperature", "25 C", "coulomb"),
        ("liquid.volume", "85 g", "mass"),
        ("liquid.measured_at", "-1 K", "It must be above 0 K"),
        ("vent.pressure", "0 bar", "It must be above 0 mbar"),
        ("vent.pressure", "20 °C", "temperature"),
        ("reagents.hydroxide.formula", "KOHx", "formula = \"KOHx\""),
        ("reagents.hydroxide.formula", "K(OH", "formula = \"K(OH\""),
        ("liquid.name", "tetrlin", "Near it: tetralin"),
        ("catalyst.name", "decalin", "cis-decalin or trans-decalin"),
        ("title", "two\nlines", "line break"),
        ("title", "\ud800", "no text"),
    ],
)  # fmt: skip
def test_a_value_that_cannot_be_is_named_with_what_came_and_a_line_that_works(place, typed, words):
    message = refusal({place: typed})
    table, _, key = place.rpartition(".")
    assert message.startswith(f"[{table}] {key} = " if table else f"{key} = ")
    assert words in message
    example = KEYS[table.partition(".")[0]][key].example
    assert message.endswith(f'A line that works: {key} = "{example}"')


@pytest.mark.parametrize("doses", [0, -1, 10**6])
def test_a_number_of_doses_that_cannot_be_is_refused(doses):
    assert f"[catalyst] doses = {doses}: It must be from 1 to 1000" in refusal(
        {"catalyst.doses": doses}
    )


def test_assay_and_moisture_of_more_than_the_whole_are_refused_together():
    message = refusal({"reagents.hydroxide.assay": "90 %", "reagents.hydroxide.moisture": "12 %"})
    assert "[reagents.hydroxide] assay and moisture add up to more than 100 %" in message


def test_assay_and_moisture_of_exactly_the_whole_are_fine():
    found = DEFAULT.replace(
        {"reagents.hydroxide.assay": "87.2 %", "reagents.hydroxide.moisture": "12.8 %"}
    )
    assert found.metal_source.assay.m_as("") == pytest.approx(0.872)


# Equations


def test_an_unbalanced_equation_is_offered_balanced():
    message = refusal({"equation": "KOH + Mg -> K + MgO + H2"})
    assert "it does not balance" in message
    assert message.endswith('equation = "2 KOH + 2 Mg -> 2 K + 2 MgO + H2"')


@pytest.mark.parametrize(
    "equation", ["", "KOH", "KOH + Mg -> K + MgO + F2", "Xx + Mg -> K", "->", "9" * 299]
)
def test_an_equation_that_cannot_be_is_refused_with_a_line_that_works(equation):
    message = refusal({"equation": equation})
    assert message.startswith("equation = ")
    assert message.endswith('A line that works: equation = "2 KOH + 2 Mg -> 2 K + 2 MgO + H2"')


def test_an_equation_that_makes_no_alkali_metal_is_refused():
    assert "No alkali metal stands alone on the right" in refusal(
        {"equation": "2 H2 + O2 -> 2 H2O"}
    )


def test_a_reagent_that_is_not_in_the_equation_is_named():
    message = refusal({"reagents.reductant.formula": "Ca"})
    assert (
        '[reagents.reductant] formula = "Ca": The equation consumes KOH and Mg, not Ca' in message
    )


def test_a_substance_of_the_equation_without_a_reagent_is_named():
    message = refusal({"reagents.reductant": None})
    assert "The equation consumes Mg, and no table has that formula. Give one" in message


def test_two_reagents_for_one_substance_are_refused():
    message = refusal({"reagents.additive.formula": "HOK", "reagents.additive.mass": "1 g"})
    assert "The equation consumes KOH, and 2 table" in message


def test_a_source_that_holds_no_metal_is_refused():
    swapped = {"reagents.hydroxide.formula": "Mg", "reagents.reductant.formula": "KOH"}
    assert "It holds no K, which the equation makes" in refusal(swapped)


def test_phase_labels_in_the_equation_do_not_matter_to_the_reagents():
    found = DEFAULT.replace(equation="2 KOH(s) + 2 Mg(s) -> 2 K(l) + 2 MgO(s) + H2(g)")
    assert found.metal == "K"


def test_a_temperature_of_measuring_belongs_to_a_volume_only():
    assert "reagents.hydroxide.measured_at" not in DEFAULT.typed
    assert DEFAULT.metal_source.measured_at is None
    assert DEFAULT.typed["liquid.measured_at"] == "20 °C"
    poured = DEFAULT.replace({"catalyst.measured_at": None})
    assert poured.typed["catalyst.measured_at"] == "20 °C"


# Replacing


def test_replacing_leaves_the_first_as_it_was():
    changed = DEFAULT.replace({"reagents.hydroxide.mass": "1 g"})
    assert changed != DEFAULT
    assert DEFAULT.metal_source.mass.m_as("g") == 9.30


def test_a_mass_takes_the_place_of_a_volume():
    changed = DEFAULT.replace({"liquid.mass": "80 g"})
    assert changed.liquid.volume is None
    assert changed.liquid.mass.m_as("g") == 80


def test_a_table_can_be_taken_out():
    assert DEFAULT.replace({"catalyst": None}).catalyst is None


def test_several_changes_are_checked_together():
    sodium = DEFAULT.replace(
        {
            "equation": "2 NaOH + 2 Mg -> 2 Na + 2 MgO + H2",
            "reagents.hydroxide.formula": "NaOH",
            "title": "Sodium",
        }
    )
    assert sodium.metal == "Na"


@pytest.mark.parametrize("place", ["title.x", "reagents.hydroxide", "", "nonsense", "a.b.c", "."])
def test_a_place_that_is_none_is_refused(place):
    assert refusal({place: "x"})


# Showing


def test_the_notebook_view_escapes_what_people_typed():
    shown = DEFAULT.replace(title="<script>alert(1)</script>")._repr_html_()
    assert "<script>" not in shown
    assert "&lt;script&gt;" in shown


# Properties that hold for whatever is typed

masses = st.decimals(min_value="0.001", max_value=10_000, places=3).map(lambda m: f"{m} g")
fractions = st.decimals(min_value=1, max_value=50, places=1).map(lambda f: f"{f} %")
titles = st.text(st.characters(blacklist_categories=["Cc", "Cs"]), min_size=1, max_size=100).filter(
    str.strip
)


@given(title=titles, mass=masses, assay=fractions, moisture=fractions, doses=st.integers(1, 1000))
def test_whatever_is_typed_comes_back_from_toml(title, mass, assay, moisture, doses):
    prep = DEFAULT.replace(
        {
            "title": title,
            "reagents.hydroxide.mass": mass,
            "reagents.hydroxide.assay": assay,
            "reagents.hydroxide.moisture": moisture,
            "catalyst.doses": doses,
        }
    )
    again = Preparation.load(prep.to_toml())
    assert again == prep
    assert again.to_toml() == prep.to_toml()


anything = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3)
    ),
    max_leaves=8,
)


def without_none(value):
    if isinstance(value, dict):
        return {key: without_none(inner) for key, inner in value.items() if inner is not None}
    return (
        [without_none(inner) for inner in value if inner is not None]
        if isinstance(value, list)
        else value
    )


@given(place=st.sampled_from(sorted(DEFAULT.typed)), value=anything)
def test_any_value_anywhere_is_taken_or_refused_and_never_crashes(place, value):
    document = {}
    for each, typed in {**DEFAULT.typed, place: value}.items():
        *tables, name = each.split(".")
        inner = document
        for table in tables:
            inner = inner.setdefault(table, {})
        inner[name] = typed
    try:
        text = tomli_w.dumps(without_none(document))
        text.encode()
    except (UnicodeEncodeError, ValueError):
        return
    try:
        found = Preparation.load(text)
    except BadPreparation as refused:
        assert str(refused)
    else:
        assert Preparation.load(found.to_toml()) == found


@given(text=st.text(max_size=200))
def test_any_text_is_taken_or_refused_and_never_crashes(text):
    with pytest.raises(BadPreparation):
        Preparation.load(text)


def test_the_default_file_is_short_enough_to_read():
    path = Path(__file__).parents[2] / "lib" / "potash" / "preparation" / "default.toml"
    assert path.read_text("utf-8") == default_text()
    assert len(default_text().splitlines()) < 60
