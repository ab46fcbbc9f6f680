"""The language of the workbook: looked up, safe from a bad translation, and complete."""

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pseudo_language
import pytest

from potash import words
from potash.exercises import job
from potash.preparation import Preparation
from potash.words import NoSuchLanguage, chapters, counted, later, tables, tr

# What English looks like where it was not translated.
LITTLE_WORDS = re.compile(r"\b(the|of|and|is|are|with|to|in|not|from|at|for|by)\b", re.I)
# A source stays as it was printed: it has a year, or is one of these.
CITED = re.compile(r"\b(1[89]|20)\d\d\b|[Hh]andbook|IUPAC|agrees with|no second data set")

WORKBOOK = Path(__file__).resolve().parents[2] / "workbook"

HEAD = """msgid ""
msgstr ""
"Content-Type: text/plain; charset=UTF-8\\n"
"Plural-Forms: nplurals=2; plural=(n != 1);\\n"

"""


@pytest.fixture
def spoken(tmp_path, monkeypatch):
    """Makes this process speak the language of a .po file with these entries."""

    def speak(*entries: str) -> None:
        path = tmp_path / "trial.po"
        path.write_text(HEAD + "\n\n".join(entries) + "\n", "utf-8")
        monkeypatch.setenv(words.LANGUAGE, str(path))
        words._catalogue.cache_clear()

    yield speak
    monkeypatch.undo()
    words._catalogue.cache_clear()


def test_english_is_what_the_code_says():
    assert tr("Weigh {amount} of {formula}.", amount="2 g", formula="KOH") == "Weigh 2 g of KOH."
    assert tr("A set {a, b} without values") == "A set {a, b} without values"
    assert later("rises") == "rises"


def test_one_and_many_have_a_form_each():
    told = [counted("{number} sheet of {name}", "{number} sheets of {name}", n, name="Ida")
            for n in (0, 1, 2)]  # fmt: skip
    assert told == ["0 sheets of Ida", "1 sheet of Ida", "2 sheets of Ida"]


def test_a_translation_is_spoken_and_what_it_lacks_stays_english(spoken):
    spoken(
        'msgid "It boils at {boiling}."\nmsgstr "Siedepunkt: {boiling}."',
        'msgid "{number} sheet"\nmsgid_plural "{number} sheets"\n'
        'msgstr[0] "{number} Blatt"\nmsgstr[1] "{number} Blätter"',
        '#, fuzzy\nmsgid "Not sure yet"\nmsgstr "Noch unsicher"',
    )
    assert tr("It boils at {boiling}.", boiling="111 °C") == "Siedepunkt: 111 °C."
    assert counted("{number} sheet", "{number} sheets", 3) == "3 Blätter"
    assert tr("Not sure yet") == "Not sure yet"
    assert tr("Nobody translated this") == "Nobody translated this"
    assert tr("") == ""


@pytest.mark.parametrize(
    "translation", ["Siedepunkt: {siedend}.", "Siedepunkt: {boiling", "{boiling.__class__}"]
)
def test_a_translation_with_other_holes_is_not_taken(spoken, translation):
    spoken(f'msgid "It boils at {{boiling}}."\nmsgstr "{translation}"')
    assert tr("It boils at {boiling}.", boiling="111 °C") == "It boils at 111 °C."


@pytest.mark.parametrize("asked", ["xx", "../en", "no/such/file.po"])
def test_a_language_that_is_not_there_is_named_with_those_that_are(monkeypatch, asked):
    monkeypatch.setenv(words.LANGUAGE, asked)
    words._catalogue.cache_clear()
    with pytest.raises(NoSuchLanguage, match=r"POTASH_LANGUAGE.*It speaks: en"):
        tr("Anything")
    monkeypatch.undo()
    words._catalogue.cache_clear()


def test_words_of_a_data_file_are_translated_and_its_keys_are_not(spoken):
    english = tables.read_toml("solvents/data/rules.toml")["rule"][0]
    spoken(f'msgid "{english["title"]}"\nmsgstr "Bei Raumtemperatur flüssig"')
    told = tables.read_toml("solvents/data/rules.toml")["rule"][0]
    assert told == {**english, "title": "Bei Raumtemperatur flüssig"}


def test_every_pattern_of_words_meets_a_file_that_has_each_of_its_fields():
    package = Path(words.__file__).parents[1]
    for pattern, fields in {**tables.NAMES, **tables.WORDS}.items():
        found = [path.read_text("utf-8") for path in package.glob(pattern)]
        assert found, pattern
        assert all(any(field in text for text in found) for field in fields), pattern


def test_a_chapter_that_nothing_is_translated_of_keeps_its_bytes(spoken):
    spoken('msgid "Elsewhere"\nmsgstr "Anderswo"')
    for path in WORKBOOK.glob("*.ipynb"):
        assert chapters.chapter_in_language(path.read_bytes()) == path.read_bytes()


def test_the_prose_of_a_chapter_is_translated_a_paragraph_at_a_time(spoken):
    original = (WORKBOOK / "02-weigh-the-charge.ipynb").read_bytes()
    spoken('msgid "# 2 Weigh the charge"\nmsgstr "# 2 Die Einwaage"')
    told = json.loads(chapters.chapter_in_language(original))
    english = json.loads(original)
    first, before = (" ".join(one["cells"][0]["source"]) for one in (told, english))
    assert first == before.replace("# 2 Weigh the charge", "# 2 Die Einwaage")
    assert told["cells"][1:] == english["cells"][1:]


def test_a_class_marked_in_one_language_is_marked_anew_in_another(spoken, classroom):
    before = job._state(classroom.course, classroom.marks / "decisions.jsonl")
    spoken('msgid "Right."\nmsgstr "Richtig."')
    assert job._state(classroom.course, classroom.marks / "decisions.jsonl") != before


def test_every_panel_speaks_another_language(tmp_path):
    catalogue = pseudo_language.write(tmp_path / "pseudo.po")
    done = subprocess.run(
        [sys.executable, pseudo_language.__file__],
        env={**os.environ, words.LANGUAGE: str(catalogue)},
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr
    said = json.loads(done.stdout)
    assert len(said) > 30 and sum(map(len, said.values())) > 3000
    english = [
        f"{panel}: {text.strip()[:120]}"
        for panel, texts in said.items()
        for text in dict.fromkeys(texts)
        if LITTLE_WORDS.search(text.replace(Preparation.default().title, ""))
        and not CITED.search(text)
    ]
    assert not english, "\n".join(english)
