"""Reading, checking and showing quantities."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from potash.errors import PotashError
from potash.units import (
    DIMENSIONS,
    AmbiguousQuantity,
    OutOfBounds,
    Quantity,
    UnknownDimension,
    UnreadableQuantity,
    WrongDimension,
    magnitude,
    quantity,
    read,
    show,
    significant_figures,
    ureg,
)


@pytest.mark.parametrize(
    "text, value, unit",
    [
        ("5 g", 5, "g"),
        ("5g", 5, "g"),
        ("  5.0   g ", 5, "g"),
        ("3,5 mL", 3.5, "mL"),
        ("0,234 g", 0.234, "g"),
        (".5 g", 0.5, "g"),
        ("+5 g", 5, "g"),
        ("−5 kJ/mol", -5, "kJ/mol"),
        ("–5 kJ/mol", -5, "kJ/mol"),
        ("-5 kJ/mol", -5, "kJ/mol"),
        ("1.2e-3 mol", 0.0012, "mol"),
        ("1.2E−3 mol", 0.0012, "mol"),
        ("1.2×10⁻³ mol", 0.0012, "mol"),
        ("1,2 · 10^-3 mol", 0.0012, "mol"),
        ("1.2*10**(-3) mol", 0.0012, "mol"),
        ("1.5 x 10^3 Pa", 1500, "Pa"),
        ("10^5 Pa", 1e5, "Pa"),
        ("10⁻³ mol", 1e-3, "mol"),
        ("1 234 g", 1234, "g"),
        ("1\u202f234\u202f567,5 g", 1234567.5, "g"),
        ("1\u00a0234 g", 1234, "g"),
        ("1'234.5 g", 1234.5, "g"),
        ("1,234.5 g", 1234.5, "g"),
        ("1.234,5 g", 1234.5, "g"),
        ("1,234,567 Pa", 1234567, "Pa"),
        ("0.123 45 g", 0.12345, "g"),
        ("12.500 mL", 12.5, "mL"),
        ("25 °C", 25, "degC"),
        ("25 ℃", 25, "degC"),
        ("25 º C", 25, "degC"),
        ("25 deg C", 25, "degC"),
        ("25 degrees Celsius", 25, "degC"),
        ("298 K", 298, "K"),
        ("85 %", 85, "percent"),
        ("85 wt%", 85, "percent"),
        ("4.0 vol %", 4, "percent"),
        ("120 ppm", 120, "ppm"),
        ("0.5 M", 0.5, "M"),
        ("0.5 mol/L", 0.5, "mol/L"),
        ("0.5 mol dm-3", 0.5, "mol/dm**3"),
        ("5 cm3", 5, "cm**3"),
        ("5 cm³", 5, "cm**3"),
        ("5 cc", 5, "cm**3"),
        ("5 ml", 5, "mL"),
        ("5 µL", 5, "uL"),
        ("5 μL", 5, "uL"),
        ("12 kJ mol⁻¹", 12, "kJ/mol"),
        ("12 kJ mol-1", 12, "kJ/mol"),
        ("12 kJ·mol^(-1)", 12, "kJ/mol"),
        ("12 kJ per mol", 12, "kJ/mol"),
        ("12 KJ/mol", 12, "kJ/mol"),
        ("65 J K-1 mol-1", 65, "J/K/mol"),
        ("65 J/(K mol)", 65, "J/K/mol"),
        ("65 J/(K·mol)", 65, "J/K/mol"),
        ("65 J/K/mol", 65, "J/K/mol"),
        ("1.8 J/(g °C)", 1.8, "J/g/delta_degC"),
        ("3 /min", 3, "1/min"),
        ("3 1/min", 3, "1/min"),
        ("60 mmHg", 60, "mmHg"),
        ("1 Torr", 1, "torr"),
        ("1 mbar", 1, "mbar"),
        ("5 grams", 5, "g"),
        ("5 Milligrams", 5, "mg"),
        ("2 hours", 2, "h"),
    ],
)
def test_what_chemists_type_is_read(text, value, unit):
    reading = read(text)
    assert reading.value == pytest.approx(value, rel=1e-15)
    assert reading.unit == unit
    assert reading.text == text


@pytest.mark.parametrize(
    "text, one, other",
    [
        ("25 C", "Celsius", "coulomb"),
        ("1,234 g", "1.234", "1234"),
        ("12,500 Pa", "12.500", "12500"),
        ("65 J/K mol", "J/(K mol)", "J mol/K"),
        ("12 kJ/mol·K", "kJ/(mol K)", "kJ K/mol"),
        ("5 pH", "acidity", "picohenry"),
        ("0.1 N", "newton", "normal"),
        ("25°", "Celsius", "Fahrenheit"),
    ],
)
def test_what_can_be_read_in_two_ways_is_asked_back_with_both(text, one, other):
    with pytest.raises(AmbiguousQuantity) as caught:
        read(text)
    assert one in str(caught.value)
    assert other in str(caught.value)
    assert text in str(caught.value)


@pytest.mark.parametrize(
    "text, reason",
    [
        ("", "Nothing was typed"),
        ("   ", "Nothing was typed"),
        ("g", "does not begin with a number"),
        ("five g", "does not begin with a number"),
        ("nan g", "does not begin with a number"),
        ("inf K", "does not begin with a number"),
        ("-", "does not begin with a number"),
        ("~5 g", "estimate or a bound"),
        ("< 5 g", "estimate or a bound"),
        ("9**9**9 g", "nothing is calculated"),
        ("5-6 g", "nothing is calculated"),
        ("1/2 mol", "nothing is calculated"),
        ("5 1/2 g", "nothing is calculated"),
        ("5 ± 0.1 g", "uncertainty"),
        ("5 +/- 0.1 g", "uncertainty"),
        ("5(1) g", "uncertainty"),
        ("12 34 g", "not one number"),
        ("1.2.3 g", "not one number"),
        ("1,23,456 g", "not one number"),
        ("5 g KOH", "not a unit"),
        ("5 kj", 'Did you mean "kJ"?'),
        ("5 MG", '"mg"'),
        ("5 °K", '"K"'),
        ("5 g)", "not a unit"),
        ("5 J/(g K", "not a unit"),
        ("5 J/", "not a unit"),
        ("5 ()", "not a unit"),
        ("5 m-9", "power"),
        ("5 __import__('os')", "not a unit"),
        ("5 g\n6 g", "more than one line"),
        ("1e999 g", "too large"),
        ("1e-999 g", "too small"),
        ("1e99999999 g", "too large"),
    ],
)
def test_what_cannot_be_read_is_refused_with_the_reason(text, reason):
    with pytest.raises(UnreadableQuantity) as caught:
        read(text)
    assert reason in str(caught.value)


def test_a_very_long_text_is_refused_at_once_and_not_repeated_in_full():
    with pytest.raises(UnreadableQuantity) as caught:
        read("1" * 100_000)
    assert "100000 characters" in str(caught.value)
    assert len(str(caught.value)) < 300


@pytest.mark.parametrize(
    "text, figures, sure_figures",
    [
        ("5 g", 1, 1),
        ("5.00 g", 3, 3),
        ("0.0120 mol", 3, 3),
        ("0,0120 mol", 3, 3),
        ("1.20e3 g", 3, 3),
        ("1.20×10³ g", 3, 3),
        ("200 °C", 3, 1),
        ("200. °C", 3, 3),
        ("2.0e2 °C", 2, 2),
        ("1 230 g", 4, 3),
        ("1002 g", 4, 4),
        ("0 g", 1, 1),
        ("-196 kJ/mol", 3, 3),
        ("100 %", 3, 1),
    ],
)
def test_significant_figures_are_judged_on_the_typed_text(text, figures, sure_figures):
    reading = read(text)
    assert reading.figures == significant_figures(text) == figures
    assert reading.sure_figures == sure_figures


def test_a_celsius_temperature_is_on_the_kelvin_scale_in_si_and_a_difference_is_not():
    assert read("25 °C").si == 298.15
    assert read("25 °C", difference=True).si == 25
    assert read("25 K", difference=True).si == 25
    assert read("77 °F").si == pytest.approx(298.15)
    assert read("-273.15 °C").si == 0


def test_celsius_inside_a_compound_unit_counts_degrees():
    assert read("4.18 J/(g °C)").si == pytest.approx(4180)


@pytest.mark.parametrize("dimension", DIMENSIONS.values(), ids=str)
def test_the_example_of_each_dimension_is_a_quantity_of_that_dimension(dimension):
    assert read(dimension.example).dimension == dimension.exponents
    assert quantity(dimension.example, dimension.name).magnitude > 0


def test_a_quantity_keeps_the_unit_it_was_typed_in():
    found = quantity("3,5 mL", "volume")
    assert found.magnitude == 3.5
    assert found.units == ureg.milliliter


def test_a_percentage_is_a_fraction():
    assert quantity("85 %", "fraction").m_as("dimensionless") == pytest.approx(0.85)
    assert quantity("0.85", "fraction").m_as("dimensionless") == 0.85
    assert quantity(0.85, "fraction").m_as("percent") == pytest.approx(85)


@pytest.mark.parametrize("bare", [5, 5.0, "5", "-1.2e3", np.float64(5)])
@pytest.mark.parametrize("dimension", ["mass", "temperature", None])
def test_a_bare_number_is_refused_and_a_unit_named(bare, dimension):
    with pytest.raises(UnreadableQuantity, match=r"has no unit.*such as"):
        quantity(bare, dimension)


@pytest.mark.parametrize("given", [None, True, ["5 g"], b"5 g", object()])
def test_what_is_neither_text_nor_quantity_is_refused(given):
    with pytest.raises(UnreadableQuantity, match="A quantity is text"):
        quantity(given, "mass")


@pytest.mark.parametrize(
    "given, dimension, message",
    [
        ("5 mL", "mass", r'"5 mL" is a volume; a mass is asked for, such as "5.00 g"'),
        ("10 J/K", "energy", "is a heat capacity; an energy is asked for"),
        ("5 delta_degC", "temperature", "is a temperature difference; a temperature is asked"),
        ("5", "fraction", None),
        ("5 g", "fraction", "is a mass; a fraction is asked for"),
        ("5 g2", "mass", "is a quantity of another kind; a mass is asked for"),
    ],
)
def test_a_quantity_of_another_kind_is_refused_and_both_kinds_named(given, dimension, message):
    if message is None:
        assert quantity(given, dimension).magnitude == 5
        return
    with pytest.raises(WrongDimension, match=message):
        quantity(given, dimension)


def test_a_pint_quantity_of_another_kind_is_refused():
    with pytest.raises(WrongDimension, match="is a volume; a mass is asked for"):
        quantity(Quantity(5, "mL"), "mass")
    with pytest.raises(WrongDimension):
        quantity(Quantity(5, "ampere"), "mass")


def test_an_unknown_dimension_is_refused_and_the_known_ones_named():
    with pytest.raises(UnknownDimension, match=r'"masss".*mass, volume'):
        quantity("5 g", "masss")


def test_magnitude_takes_text_quantities_and_arrays_of_them():
    assert magnitude("temperature", "25 °C", "K") == 298.15
    assert magnitude("temperature", Quantity(25.0, "degC"), "K") == 298.15
    assert magnitude("temperature", ["25 °C", "300 K"], "K") == pytest.approx([298.15, 300])
    several = magnitude("temperature", Quantity(np.array([[25.0], [30.0]]), "degC"), "K")
    assert several.shape == (2, 1)
    assert several[1, 0] == 303.15
    assert magnitude("assay", "86.5 %", "") == pytest.approx(0.865)
    assert magnitude("assay", 0.865, "") == 0.865
    assert magnitude("rise", "25 °C", "delta_degC") == 25
    assert magnitude("rise", Quantity(25.0, "degC"), "delta_degC") == 25


@pytest.mark.parametrize("value", [25, "25", [300, 400], np.array([300.0]), None])
def test_magnitude_refuses_what_has_no_unit_and_names_the_argument(value):
    with pytest.raises(UnreadableQuantity, match=r"^temperature: "):
        magnitude("temperature", value, "K")


def test_magnitude_refuses_another_dimension_and_shows_one_that_works():
    with pytest.raises(WrongDimension, match=r'temperature: "5 g" is a mass.*such as "250 °C"'):
        magnitude("temperature", "5 g", "K")
    with pytest.raises(WrongDimension, match=r"temperature: .* has no place in this workbook"):
        magnitude("temperature", Quantity(5, "ampere*kelvin"), "K")


@pytest.mark.parametrize(
    "bounds, demand",
    [
        ({"above": 0}, "above 0 g"),
        ({"at_least": 0}, "at least 0 g"),
        ({"below": -5}, "below -5 g"),
        ({"at_most": -5.5}, "at most -5.5 g"),
    ],
)
def test_magnitude_refuses_what_is_out_of_bounds(bounds, demand):
    with pytest.raises(OutOfBounds, match=f'mass is given as "-5 g"; it must be {demand}'):
        magnitude("mass", "-5 g", "g", **bounds)
    with pytest.raises(OutOfBounds):
        magnitude("mass", ["-5 g"], "g", **bounds)


def test_magnitude_accepts_the_bounds_it_includes():
    assert magnitude("mass", "-5 g", "g", at_least=-5, at_most=-5) == -5


@pytest.mark.parametrize("number", [math.nan, math.inf])
def test_magnitude_refuses_numbers_that_are_not_finite(number):
    with pytest.raises(OutOfBounds, match="a finite number"):
        magnitude("mass", Quantity(number, "g"), "g")


@pytest.mark.parametrize(
    "number, unit, figures, shown",
    [
        (12.345, "g", 3, "12.3 g"),
        (9.999, "mL", 3, "10.0 mL"),
        (-196.2, "kJ/mol", 3, "−196 kJ/mol"),
        (473.15, "K", 3, "473 K"),
        (25.0, "degC", 3, "25.0 °C"),
        (5.0, "delta_degC", 2, "5.0 K"),
        (86.5, "percent", 3, "86.5 %"),
        (65.3, "J/K/mol", 3, "65.3 J/(K mol)"),
        (0.9, "g/cm**3", 2, "0.90 g/cm³"),
        (0.5, "M", 2, "0.50 mol/L"),
        (5.0, "uL", 1, "5 µL"),
        (2.0, "1/min", 2, "2.0 min⁻¹"),
        (101325.0, "Pa", 6, "101\u202f325 Pa"),
        (1.23e-9, "m**2/s", 3, "1.23 × 10⁻⁹ m²/s"),
        (0.0, "g", 3, "0.00 g"),
        (-0.001, "", 1, "−0.001"),
    ],
)
def test_quantities_are_shown_as_people_write_them(number, unit, figures, shown):
    assert show(Quantity(number, unit), figures).replace("\u00a0", " ") == shown


def test_a_quantity_can_be_shown_in_another_unit():
    assert show(Quantity(0.0123, "kg"), unit="g") == "12.3\u00a0g"


_UNITS = ["g", "mL", "mol", "kJ/mol", "J/K/mol", "degC", "K", "percent", "Pa", "1/min", "cm**3",
          "mol/L", "mN/m", "mPa*s", "W/m**2/K", "mmHg", "month", "year", "kcal", ""]  # fmt: skip


@given(
    number=st.floats(-1e30, 1e30).filter(lambda number: number == 0 or abs(number) > 1e-30),
    unit=st.sampled_from(_UNITS),
    figures=st.integers(1, 9),
)
def test_what_is_shown_is_read_back_within_its_rounding(number, unit, figures):
    shown = show(Quantity(number, unit), figures)
    back = read(shown)
    assert back.value == pytest.approx(number, rel=0.51 * 10 ** (1 - figures))
    assert back.si == pytest.approx(Quantity(back.value, unit).to_base_units().magnitude, rel=1e-12)


@given(st.text(max_size=250))
def test_any_text_is_read_or_refused_with_a_reason(text):
    _read_or_refused(text)


@given(
    st.lists(
        st.sampled_from(
            [*"0123456789.,'-+eE×x*^()/% ", "10", "⁻³", " g", "mol", "°C", "K", "±", "kJ", "\u202f"]
        ),
        max_size=40,
    ).map("".join)
)
def test_any_text_made_of_the_parts_of_quantities_is_read_or_refused(text):
    _read_or_refused(text)


def _read_or_refused(text):
    try:
        reading = read(text)
    except PotashError as reason:
        assert len(str(reason)) > 20
        assert len(str(reason)) < 600
    else:
        assert math.isfinite(reading.si)
        assert 1 <= reading.sure_figures <= reading.figures


@given(st.decimals(min_value=-999999, max_value=999999, places=2))
def test_a_decimal_comma_means_what_a_decimal_point_means(number):
    with_comma = f"{number} kJ/mol".replace(".", ",")
    assert read(with_comma).value == read(f"{number} kJ/mol").value == float(number)
