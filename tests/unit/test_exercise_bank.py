"""Exercise files: what they may hold, what is refused, and the proof of every one in the bank."""

import pytest

from potash import units
from potash.exercises import bank
from potash.exercises.bank import BadExercise, UnknownExercise
from potash.exercises.exercise import shown_figure
from potash.exercises.proof import Unproved, prove

SIMPLE = """
chapter = 2

[[exercise]]
id = "pure-mass"
title = "Mass"
outcome = "Turn an amount into a mass."
text = "You need {amount} of KOH at {celsius}."
caution = "Caustic."

[exercise.given.amount]
from = 0.10
to = 0.30
step = 0.05
unit = "mol"

[exercise.given.celsius]
choices = [20, 25.0]
unit = "degC"

[[exercise.asked]]
name = "mass"
prompt = "Mass"
unit = "g"
answer = 'amount * molar_mass("KOH")'
tolerance = { relative = 0.01 }
figures = 3

[[exercise.asked.slip]]
name = "doubled"
says = "Twice too much."
answer = "2 * mass"
"""


def one(text=SIMPLE):
    (exercise,) = bank.read(text, "file.toml")
    return exercise


def test_figures_keep_the_zeros_that_the_author_wrote():
    amount, celsius = one().givens
    assert amount.choices == (
        "0.10\u00a0mol",
        "0.15\u00a0mol",
        "0.20\u00a0mol",
        "0.25\u00a0mol",
        "0.30\u00a0mol",
    )
    assert celsius.choices == ("20\u00a0°C", "25.0\u00a0°C")


def test_lines_of_a_text_are_joined_and_equations_stand_alone():
    text = (
        '"""\nYou need\n{amount} at\n{celsius}:\nMg + H2O -> MgO + H2\nThen stop.\n\nGo -> on.\n"""'
    )
    exercise = one(SIMPLE.replace('"You need {amount} of KOH at {celsius}."', text))
    assert exercise.text.split("\n\n") == [
        "You need {amount} at {celsius}:",
        "Mg + H₂O -> MgO + H₂",
        "Then stop.",
        "Go -> on.",
    ]


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        (
            "Oxide is {metal}2O or {metal}O2, water H2O.",
            "Oxide is {metal}₂O or {metal}O₂, water H₂O.",
        ),
        ("Mg(OH)2 and C10H22", "Mg(OH)₂ and C₁₀H₂₂"),
        ("Ca2+, SO4^2-, 4 K2", "Ca2+, SO₄^2-, 4 K₂"),
        ("Table C1998 of 1998, 25 m3, p0, {a_T1}", "Table C1998 of 1998, 25 m3, p0, {a_T1}"),
    ],
)
def test_counts_of_atoms_stand_below_the_line(typed, shown):
    assert bank._written(typed) == shown


def test_formulas_compute_in_si():
    exercise = one()
    values = exercise.solve({"amount": "0.10\u00a0mol", "celsius": "25.0\u00a0°C"})
    assert values["celsius"] == pytest.approx(298.15)
    # CIAAW standard atomic weights, abridged: K 39.098, O 15.999, H 1.0080
    assert values["mass"] == pytest.approx(0.10 * 0.056105, rel=1e-5)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("chapter = 2", "", '"chapter" is a required property'),
        ('caution = "Caustic."', "", 'exercise pure-mass: "caution" is a required property'),
        ('title = "Mass"', 'titel = "Mass"', "'titel' was unexpected"),
        ('id = "pure-mass"', 'id = "Pure Mass"', "exercise Pure Mass, id"),
        ("{celsius}", "{kelvin}", "{kelvin} in a text names no given; the givens are amount"),
        ("{celsius}", "25 °C", "the text never tells the student {celsius}"),
        ("at {celsius}", "at {celsius} {", "not a {name} hole"),
        ('unit = "degC"', 'unit = "parsec"', "given celsius"),
        ("[20, 25.0]", '[20, "warm"]', "partly words, partly numbers"),
        ("[20, 25.0]", '["cold", "warm"]', "words have no unit"),
        ("step = 0.05", "step = 0.00001", "at most 10000 are used"),
        ("to = 0.30", "to = 0.05", "is not a range"),
        ("step = 0.05", "", "given, amount"),
        ('name = "mass"', 'name = "amount"', "two givens or questions are called 'amount'"),
        ('name = "mass"', 'name = "R"', "'R' is a constant of the library"),
        ("amount * molar_mass", "amonut * molar_mass", "asked mass, answer: formula"),
        ("amount * molar_mass", "amount + molar_mass", "where in mol is needed"),
        ('unit = "g"\nanswer', 'unit = "mL"\nanswer', "gives in kg; in m^3 is needed"),
        ('unit = "g"\nanswer', "answer", "needs unit"),
        ("{ relative = 0.01 }", '{ absolute = "1 mL" }', "tolerance: '1 mL' is not in kg"),
        ("{ relative = 0.01 }", "{ relative = 2 }", "tolerance, relative"),
        ('answer = "2 * mass"', 'answer = "mass > mass"', "slip 'doubled'"),
        ('answer = "2 * mass"', 'answer = "import os"', "slip 'doubled': formula `import os`"),
        ("chapter = 2", "chapter = 2 3", "file.toml: "),
    ],
)
def test_a_file_that_cannot_be_used_names_file_exercise_and_field(old, new, message):
    assert old in SIMPLE
    with pytest.raises(BadExercise) as caught:
        bank.read(SIMPLE.replace(old, new, 1), "file.toml")
    assert message in str(caught.value)
    assert str(caught.value).startswith("file.toml")


def test_the_same_id_twice_is_refused():
    with pytest.raises(BadExercise, match=r"b\.toml: the id 'pure-mass' belongs to another"):
        bank.add({"pure-mass": one()}, [one()], "b.toml")


def test_unknown_exercise_names_the_nearest():
    with pytest.raises(UnknownExercise, match="Did you mean weigh-hydroxide"):
        bank.find("weigh-hydroxyde", bank.bank())


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('answer = "2 * mass"', 'answer = "1.005 * mass"', "cannot be told from the right answer"),
        ("{ relative = 0.01 }", "{ relative = 0.000001 }", "too narrow for the figures asked"),
        ('"KOH")', '"Xx")', "has no value"),
        ('title = "Mass"', 'title = "Mass"\nconstraints = ["amount > 2 * amount"]', "only 0 of"),
        (
            "amount * molar_mass",
            '(amount - quantity("0.2 mol")) * molar_mass',
            "changes its sign",
        ),
    ],
)
def test_proof_fails_for_what_only_figures_show(old, new, message):
    with pytest.raises(Unproved) as caught:
        prove(one(SIMPLE.replace(old, new, 1)))
    assert message in str(caught.value)
    assert "pure-mass" in str(caught.value)


def test_a_choice_outside_its_options_is_found():
    choice = """
[[exercise.asked]]
name = "more"
prompt = "More?"
kind = "choice"
options = ["yes", "no"]
answer = '"perhaps" if mass > quantity("10 g") else "no"'
"""
    with pytest.raises(Unproved, match="'perhaps' is none of the options yes, no"):
        prove(one(SIMPLE + choice))


@pytest.mark.parametrize("exercise", bank.bank().values(), ids=lambda exercise: exercise.id)
def test_every_exercise_of_the_bank_is_proved(exercise):
    assert prove(exercise, 500) >= 25


def test_the_bank_is_as_large_as_promised():
    exercises = bank.bank().values()
    assert len(exercises) >= 12
    assert sum(len(exercise.asked) >= 3 for exercise in exercises) >= 4
    assert {exercise.chapter for exercise in exercises} >= {1, 2, 3}


@pytest.mark.parametrize(
    ("number", "unit", "shown"),
    [
        ("4.0E-10", "m2/s", "4.0 × 10⁻¹⁰ m²/s"),
        ("1.5E+3", "cm3", "1.5 × 10³ cm³"),
        ("-3.2", "degC", "\u22123.2 °C"),
        ("25", "um", "25 µm"),
        ("1.2", "W/(m2 K)", "1.2 W/(m² K)"),
        ("0.30", "mol/L", "0.30 mol/L"),
    ],
)
def test_a_figure_is_shown_as_people_write_it_and_can_be_typed_so(number, unit, shown):
    assert shown_figure(number, unit).replace("\u00a0", " ") == shown
    assert units.read(shown).si == pytest.approx(units.read(f"{number} {unit}").si)
