"""Looking things up: chapters from their own words, search, terms, elements, conversions."""

import json
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from potash import lookup
from potash.lookup.words import folded
from potash.units import AmbiguousQuantity, UnreadableQuantity

OPENING = """# 7 Quench it

After this chapter you will be able to

- choose an *alcohol*, and say
  why,
- stop in time.

**Time:** 55 minutes, exercises included. **You need:** chapter 2, a pencil.
"""


def write_chapter(folder, name, *cells):
    path = folder / name
    notebook = {
        "cells": [
            {"cell_type": "markdown", "id": f"c{number}", "source": text.splitlines(True)}
            for number, text in enumerate(cells)
        ]
    }
    path.write_text(json.dumps(notebook), "utf-8")
    return path


def test_a_chapter_tells_of_itself(tmp_path):
    chapter = lookup.read_chapter(write_chapter(tmp_path, "07-quench-it.ipynb", OPENING))
    assert (chapter.number, chapter.title, chapter.minutes) == (7, "Quench it", 55)
    assert chapter.called == "7 Quench it"
    assert chapter.needs == "chapter 2, a pencil"
    assert chapter.outcomes == ("choose an alcohol, and say why", "stop in time")


def test_every_real_chapter_says_title_time_and_outcomes():
    real = lookup.chapters()
    assert len(real) >= 4
    assert [one.number for one in real] == sorted(one.number for one in real)
    for one in real:
        assert one.title and one.minutes and len(one.outcomes) >= 2, one.file


def test_a_new_chapter_appears_by_lying_there_and_a_damaged_one_hides_nothing(tmp_path):
    write_chapter(tmp_path, "07-quench-it.ipynb", OPENING)
    write_chapter(tmp_path, "12-a-new-one.ipynb", "# 12 A new one")
    (tmp_path / "08-damaged.ipynb").write_text('{"cells": [')
    (tmp_path / "09-odd.ipynb").write_text('{"cells": [3]}')
    write_chapter(tmp_path, "notes-of-mine.ipynb", "# Notes")
    assert [one.number for one in lookup.chapters(tmp_path)] == [7, 12]


@pytest.mark.parametrize("content", ["", "{", "[]", '{"cells": 3}', "[" * 100_000, '{"cells": []}'])
def test_what_is_no_chapter_is_refused_by_name(tmp_path, content):
    path = tmp_path / "03-odd.ipynb"
    path.write_text(content)
    with pytest.raises(lookup.BadChapter, match=r"03-odd\.ipynb"):
        lookup.read_chapter(path)


def test_search_finds_subscripts_accents_and_several_words_and_puts_headings_first(tmp_path):
    write_chapter(
        tmp_path,
        "01-first.ipynb",
        "# 1 First\n\nNothing but **hydrogen**, $\\mathrm{H_2}$, H₂ and a café of water.",
        "## Hydrogen goes\n\nIt goes.",
    )
    found = lookup.search("hydrogen", tmp_path)
    assert [hit.passage.cell for hit in found] == ["c1", "c0"]
    assert found[0].passage.heading == "Hydrogen goes"
    assert [hit.passage.cell for hit in lookup.search("H2 CAFE", tmp_path)] == ["c0"]
    assert "**" not in found[1].excerpt
    assert lookup.search("hydrogen nowhere", tmp_path) == ()
    assert lookup.search("  ", tmp_path) == ()


def test_an_excerpt_stands_around_the_find_and_is_cut_between_words(tmp_path):
    text = " ".join(["before"] * 200 + ["tetralin"] + ["after"] * 200)
    write_chapter(tmp_path, "01-first.ipynb", f"# First\n\n{text}")
    (hit,) = lookup.search("tetralin", tmp_path)
    assert "tetralin" in hit.excerpt
    assert len(hit.excerpt) < 200
    assert set(hit.excerpt.strip("… ").split()) == {"before", "tetralin", "after"}


def test_search_finds_real_passages_of_the_real_chapters():
    assert any(hit.passage.file.startswith("02-") for hit in lookup.search("moisture"))
    assert any(hit.passage.file.startswith("00-") for hit in lookup.search("readiness"))


@given(st.text(max_size=80))
def test_search_takes_any_text(text):
    lookup.search(text)
    lookup.look_up(text)


@given(st.text(max_size=40))
def test_folding_twice_is_folding_once(text):
    assert folded(folded(text)) == folded(text)


def test_every_sign_of_unicode_folds_at_once():
    for sign in map(chr, range(sys.maxunicode + 1)):
        assert folded(folded(sign)) == folded(sign), hex(ord(sign))


# ------------------------------------------------------------------ terms


def test_each_term_has_a_meaning_a_chapter_and_a_source():
    for term in lookup.terms():
        assert term.meaning.endswith("."), term.term
        assert 0 <= term.chapter <= 10, term.term
        assert term.source, term.term


def test_no_term_or_other_word_is_explained_twice():
    names = [folded(name) for term in lookup.terms() for name in (term.term, *term.also)]
    assert len(names) == len(set(names))


def test_no_meaning_calls_anything_safe():
    told = " ".join(term.meaning for term in lookup.terms()).lower()
    assert not any(claim in told for claim in ("is safe", "safely", "is permitted", "is allowed"))


def test_a_term_is_found_by_its_beginning_first_then_by_other_words_then_by_its_meaning():
    assert lookup.look_up("lim")[0].term == "limiting reagent"
    assert lookup.look_up("eotvos")[0].term == "Bond number"
    assert "molar mass" in [one.term for one in lookup.look_up("formula says")]
    assert lookup.look_up("") == lookup.terms()
    assert lookup.look_up("zzz") == ()


# ------------------------------------------------------------------ elements

# IUPAC Periodic Table of the Elements (2022): atomic number, period, group.
IUPAC = {
    "H": (1, 1, 1), "Li": (3, 2, 1), "C": (6, 2, 14), "O": (8, 2, 16), "Na": (11, 3, 1),
    "Mg": (12, 3, 2), "Al": (13, 3, 13), "Si": (14, 3, 14), "Cl": (17, 3, 17), "K": (19, 4, 1),
    "Ca": (20, 4, 2), "Fe": (26, 4, 8), "Rb": (37, 5, 1), "Cs": (55, 6, 1),
}  # fmt: skip


def test_the_elements_stand_where_the_periodic_table_has_them():
    kept = {one.symbol: (one.number, one.period, one.group) for one in lookup.elements()}
    assert kept == IUPAC
    assert [one.number for one in lookup.elements()] == sorted(n for n, _, _ in IUPAC.values())


def test_every_fact_of_an_element_has_a_source_and_no_value_is_missing():
    for element in lookup.elements():
        facts = element.facts()
        assert len(facts) >= 2 or element.symbol == "C"
        for fact in facts:
            assert fact.value and fact.source, (element.symbol, fact.name)


# Melting points: CRC Handbook of Chemistry and Physics, The Elements (from memory).
@pytest.mark.parametrize(
    ("symbol", "celsius"), [("Li", 180.5), ("Na", 97.8), ("K", 63.5), ("Mg", 650), ("Al", 660.3)]
)
def test_melting_points_agree_with_the_handbook(symbol, celsius):
    facts = {fact.name: fact.value for fact in lookup.element(symbol).facts()}
    assert float(facts["Melts at 1 bar"].split("\u00a0")[0]) == pytest.approx(celsius, abs=0.5)


def test_names_are_iupacs():
    assert lookup.element("Cs").name == "caesium"
    assert lookup.element("Al").name == "aluminium"


def test_an_element_that_is_not_kept_is_answered_with_those_that_are():
    with pytest.raises(lookup.UnknownElement, match=r'"Xe" is not kept.*Li'):
        lookup.element("Xe")


# ------------------------------------------------------------------ conversions


# NIST SP 811 (2008), appendix B.8: factors that are exact by definition; 0 °C = 273.15 K.
@pytest.mark.parametrize(
    ("typed", "unit", "shown"),
    [
        ("1.00000 atm", "Pa", "101 325"),
        ("1.000 kcal", "J", "4184"),
        ("25 °C", "K", "298"),
        ("25.0 °C", "K", "298.2"),
        ("298.15 K", "°C", "25.00"),
        ("212 degF", "°C", "100"),
        ("3,5 mL", "L", "0.00350"),
        ("1 bar", "mmHg", "750"),
        ("85 %", "ppm", "850 000"),
        ("−5.00 kJ/mol", "J/mol", "−5000"),
    ],
)
def test_a_typed_quantity_is_converted(typed, unit, shown):
    told = lookup.tell(typed)
    converted = {one.unit: one.value.replace("\u202f", " ") for one in told.conversions}
    assert converted[unit] == shown


def test_how_a_quantity_is_read_is_told_with_its_kind_and_figures():
    told = lookup.tell("3,50 mL")
    assert (told.read_as, told.figures, told.kinds) == ("3.50\u00a0mL", 3, ("volume",))


def test_a_rise_of_temperature_is_another_kind_than_a_temperature():
    rise = lookup.tell("25 °C", difference=True)
    assert rise.kinds == ("temperature difference",)
    assert next(one.value for one in rise.conversions) == "25.0"
    assert lookup.tell("25 °C").kinds == ("temperature",)


def test_a_kind_without_a_name_is_read_and_not_converted():
    told = lookup.tell("5 J/(m2 K)")
    assert (told.kinds, told.conversions) == ((), ())


@pytest.mark.parametrize(
    ("typed", "error"), [("25 C", AmbiguousQuantity), ("x", UnreadableQuantity)]
)
def test_what_cannot_be_read_is_refused_as_everywhere(typed, error):
    with pytest.raises(error):
        lookup.tell(typed)
