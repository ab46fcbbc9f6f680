"""Species records: names, phases, transitions, ranges, errors, and the curves under them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from potash.errors import PotashError
from potash.properties import (
    NoTrustedValue,
    OutOfRange,
    UnknownSpecies,
    extrapolated,
    species,
    species_names,
)
from potash.properties.curves import cubic, joined, quintic, slopes_through, weighted_sum
from potash.properties.freeze_janaf import BadTable, Node, Segment, _gated, _sides
from potash.units import OutOfBounds, Quantity, UnreadableQuantity, WrongDimension


def _with_gibbs_energy():
    for formula in species_names():
        record = species(formula)
        if record.confidence == "evaluated table":
            yield formula


TABULATED = tuple(_with_gibbs_energy())

# ------------------------------------------------------------------ names


@pytest.mark.parametrize(
    ("typed", "formula"),
    [
        ("KOH", "KOH"),
        (" KOH ", "KOH"),
        ("Potassium Hydroxide", "KOH"),
        ("caustic potash", "KOH"),
        ("HOK", "KOH"),
        ("graphite", "C"),
        ("H₂O", "H2O"),
        ("K⁺(aq)", "K+"),
        ("OH⁻", "OH-"),
        ("Mg(OH)2", "Mg(OH)2"),
        ("caesium chloride", "CsCl"),
        ("cesium chloride", "CsCl"),
        ("(KOH)2", "K2H2O2"),
    ],
)
def test_a_species_is_found_by_formula_and_by_common_name(typed, formula):
    assert species(typed).formula == formula


def test_a_phase_label_selects_one_phase_and_a_bare_name_none():
    assert species("K").phase is None
    assert species("K(g)").phase == "g"
    assert species("K(s)").phase == species("K(cr)").phase == "cr"
    assert species("K").phases == ("cr", "l", "g")


def test_an_unknown_species_gets_near_matches():
    with pytest.raises(UnknownSpecies, match="Did you mean KOH"):
        species("potasium hydroxide")
    with pytest.raises(UnknownSpecies, match="KCl"):
        species("kcl")


def test_a_very_long_name_gets_a_short_error():
    with pytest.raises(UnknownSpecies) as caught:
        species("K" * 100_000)
    assert len(str(caught.value)) < 300


@given(st.text(max_size=60))
def test_any_text_gives_a_species_or_one_of_our_errors(text):
    try:
        assert species(text).formula in species_names()
    except PotashError as problem:
        assert str(problem)


def test_a_phase_without_data_is_refused_with_the_phases_there_are():
    with pytest.raises(NoTrustedValue, match=r"CO2\(l\).*Held: CO2\(g\)"):
        species("CO2(l)")


# ------------------------------------------------------------------ phases and transitions


def test_bare_potassium_is_solid_then_liquid_then_vapour():
    K = species("K")
    assert K.stable_phase("25 °C") == "cr"
    assert list(K.stable_phase(["300 K", "473 K", "1100 K"])) == ["cr", "l", "g"]


def test_bare_potassium_above_its_boiling_point_has_the_values_of_the_vapour():
    assert species("K").gibbs_energy("1200 K") == species("K(g)").gibbs_energy("1200 K")
    assert species("K(g)").stable_phase("473 K") == "l"


def test_the_liquid_is_not_offered_where_its_table_does_not_hold():
    with pytest.raises(OutOfRange, match=r"K\(l\).*336\.35 K to 1039\.54 K"):
        species("K(l)").enthalpy("300 K")


def test_transitions_of_potassium_hydroxide_are_listed_in_order():
    kinds = [(t.kind, t.below, t.above) for t in species("KOH").transitions]
    assert kinds == [
        ("solid-solid", "cr, alpha", "cr, beta"),
        ("melting", "cr, beta", "l"),
        ("boiling", "l", "g"),
    ]


@pytest.mark.parametrize("formula", TABULATED)
def test_gibbs_energy_is_continuous_and_enthalpy_rises_at_each_transition(formula):
    record = species(formula)
    for transition in record.transitions:
        T = transition.temperature.m_as("K")
        jump = record.gibbs_energy_si(T) - record.gibbs_energy_si(np.nextafter(T, 0))
        # The tables print -[G-H(Tr)]/T to 0.001 J/(mol K) and the boiling point to 0.001 K.
        assert abs(jump) < 2e-3 * T + 0.2, transition
        rise = record.enthalpy_si(T) - record.enthalpy_si(np.nextafter(T, 0))
        assert rise == pytest.approx(transition.enthalpy.m_as("J/mol"), abs=5.0)
        assert rise > -2.0


@pytest.mark.parametrize("formula", TABULATED)
def test_entropy_is_minus_the_slope_of_the_gibbs_energy(formula):
    record = species(formula)
    low, high = (T.m_as("K") for T in record.valid)
    edges = [t.temperature.m_as("K") for t in record.transitions]
    h = 5.0
    for T in np.linspace(max(low, 300) + 2 * h, high - 2 * h, 97):
        if any(abs(T - edge) < 3 * h for edge in edges):
            continue
        slope = (record.gibbs_energy_si(T + h) - record.gibbs_energy_si(T - h)) / (2 * h)
        assert -slope == pytest.approx(record.entropy_si(T), abs=0.2)


@pytest.mark.parametrize("formula", TABULATED)
def test_heat_capacity_is_positive_everywhere(formula):
    record = species(formula)
    low, high = (T.m_as("K") for T in record.valid)
    assert record.heat_capacity_si(np.linspace(low, high, 400)).min() > 0


def test_gibbs_energy_is_enthalpy_less_temperature_times_entropy():
    T = Quantity(np.linspace(300.0, 1300.0, 11), "K")
    KOH = species("KOH")
    difference = KOH.enthalpy(T) - T * KOH.entropy(T) - KOH.gibbs_energy(T)
    assert np.abs(difference.m_as("kJ/mol")).max() < 1e-9


# ------------------------------------------------------------------ scalars, arrays, bad input


def test_arrays_and_scalars_agree_and_keep_their_shape():
    MgO = species("MgO")
    grid = Quantity(np.array([[300.0, 473.15], [700.0, 1200.0]]), "K")
    values = MgO.gibbs_energy(grid)
    assert values.shape == (2, 2)
    assert values[0, 1] == MgO.gibbs_energy("200 °C")
    assert isinstance(MgO.gibbs_energy_si(473.15), float)


@pytest.mark.parametrize(
    ("temperature", "error"),
    [
        ("25", UnreadableQuantity),
        (298.15, UnreadableQuantity),
        ("25 g", WrongDimension),
        ("-5 K", OutOfBounds),
        ("-300 °C", OutOfBounds),
        (Quantity(float("nan"), "K"), OutOfBounds),
        ("5000 K", OutOfRange),
        ("100 K", OutOfRange),
    ],
)
def test_a_bad_temperature_is_refused(temperature, error):
    with pytest.raises(error):
        species("KOH").gibbs_energy(temperature)


def test_not_a_number_is_refused_on_the_fast_path_too():
    with pytest.raises(OutOfRange):
        species("KOH").gibbs_energy_si(float("nan"))
    with pytest.raises(OutOfRange):
        species("KOH").gibbs_energy_si(np.array([300.0, np.nan]))


def test_out_of_range_names_species_temperature_range_and_source():
    with pytest.raises(OutOfRange, match=r"Mg\(OH\)2: 1100 K .* 200 K to 1000 K .*JANAF.*H-057"):
        species("Mg(OH)2").enthalpy("1100 K")


# ------------------------------------------------------------------ honesty about the data


def test_rubidium_hydroxide_is_known_near_room_temperature_only_and_with_lower_confidence():
    RbOH = species("RbOH")
    assert RbOH.confidence == "lower"
    assert RbOH.gibbs_energy("20 °C").m_as("kJ/mol") < -446
    with pytest.raises(OutOfRange, match=r"only values at 298\.15 K"):
        RbOH.gibbs_energy("400 K")


def test_rubidium_oxide_has_an_enthalpy_but_no_gibbs_energy():
    assert species("Rb2O").enthalpy("25 °C").m_as("kJ/mol") == pytest.approx(-339.0)
    with pytest.raises(NoTrustedValue, match="no entropy"):
        species("Rb2O").gibbs_energy("25 °C")
    with pytest.raises(NoTrustedValue, match="heat capacity"):
        species("Rb2O").heat_capacity("25 °C")


def test_a_species_that_no_table_holds_says_so():
    with pytest.raises(NoTrustedValue, match="No table at hand holds it"):
        species("CaO2").enthalpy("25 °C")
    assert species("CaO2").confidence == "none"


def test_the_uncertainty_grows_where_a_solid_is_tabulated_beyond_its_melting_point():
    K2O2 = species("K2O2")
    assert K2O2.melting_untabulated == Quantity(818, "K")
    below, above = K2O2.uncertainty(["298.15 K", "1200 K"]).m_as("kJ/mol")
    assert below == pytest.approx(5.0)
    assert 13 < above < 17


def test_every_species_with_data_names_its_source():
    for formula in species_names():
        record = species(formula)
        if record.confidence != "none":
            assert (
                ("Chase" in record.source) or ("CRC" in record.source) or ("NASA" in record.source)
            )


def test_the_molar_mass_goes_with_the_record():
    # IUPAC/CIAAW abridged weights: 39.098 + 15.999 + 1.0080
    assert species("KOH").molar_mass.m_as("g/mol") == pytest.approx(56.105, abs=0.001)


# ------------------------------------------------------------------ curves


def test_a_quintic_curve_follows_a_quintic_exactly():
    f = np.polynomial.Polynomial([3.0, -2.0, 0.5, 0.1, -0.02, 0.001])
    T = [0.0, 1.0, 3.0, 4.0]
    curve = quintic(T, f(np.array(T)), f.deriv()(np.array(T)), f.deriv(2)(np.array(T)))
    grid = np.linspace(0, 4, 33)
    assert np.allclose(curve(grid), f(grid), atol=1e-12)
    assert curve(2.5) == pytest.approx(f(2.5), abs=1e-12)


def test_a_cubic_curve_follows_a_cubic_exactly():
    f = np.polynomial.Polynomial([1.0, 2.0, -1.0, 0.3])
    T = [0.0, 1.5, 4.0]
    curve = cubic(T, f(np.array(T)), f.deriv()(np.array(T)))
    assert np.allclose(curve(np.linspace(0, 4, 33)), f(np.linspace(0, 4, 33)), atol=1e-12)


def test_slopes_of_a_parabola_are_exact_and_two_points_give_the_line():
    T = [0.0, 1.0, 3.0, 7.0]
    assert slopes_through(T, [t**2 for t in T]) == pytest.approx([2 * t for t in T])
    assert slopes_through([0.0, 2.0], [1.0, 5.0]) == [2.0, 2.0]


def test_a_weighted_sum_of_curves_is_the_sum_of_their_values():
    a, b = species("KOH").gibbs_energy_curve(), species("H2").gibbs_energy_curve()
    total = weighted_sum([(2.0, a), (-1.0, b)])
    grid = np.linspace(total.low, total.high, 501)
    assert np.allclose(total(grid), 2 * a(grid) - b(grid), rtol=0, atol=1e-6)


def test_curves_without_a_common_range_cannot_be_summed():
    a = cubic([0.0, 1.0], [0.0, 1.0], [1.0, 1.0])
    b = cubic([2.0, 3.0], [0.0, 1.0], [1.0, 1.0])
    with pytest.raises(ValueError, match="share no range"):
        weighted_sum([(1.0, a), (1.0, b)])


def test_at_an_edge_the_upper_piece_holds():
    step = joined(
        [cubic([0.0, 1.0], [0.0, 0.0], [0.0, 0.0]), cubic([1.0, 2.0], [5.0, 5.0], [0.0, 0.0])]
    )
    assert step(1.0) == 5.0
    assert list(step(np.array([0.5, 1.0, 1.5]))) == [0.0, 5.0, 5.0]


# ------------------------------------------------------------------ the gate of the frozen tables


def _segment(*rows):
    nodes = tuple(Node(*row) for row in rows)
    return Segment("X", "cr", "", "X-001", 0.0, nodes)


def _row(T, Cp=25.0):
    """A row of a solid of constant heat capacity, S(298.15 K) = 50 J/(mol K)."""
    H = Cp * (T - 298.15) / 1e3
    S = 50.0 + Cp * np.log(T / 298.15)
    return [T, Cp, S, S - 1e3 * H / T, H]


def test_rows_that_agree_pass_the_gate_unchanged():
    segment = _segment(*(_row(T) for T in (200.0, 298.15, 300.0, 400.0, 500.0)))
    assert _gated(segment) == segment


def test_a_misprint_in_the_entropy_of_one_row_is_refused():
    rows = [_row(T) for T in (298.15, 300.0, 400.0, 500.0)]
    rows[2][2] += 1.0
    with pytest.raises(BadTable, match=r"X-001 at 400 K: S is"):
        _gated(_segment(*rows))


def test_a_row_that_contradicts_its_neighbours_is_refused_above_room_temperature():
    rows = [_row(T) for T in (298.15, 300.0, 400.0, 500.0)]
    rows[2][2] += 5.0
    rows[2][3] += 5.0
    with pytest.raises(BadTable, match="does not follow the entropy"):
        _gated(_segment(*rows))


def test_cold_rows_that_contradict_the_others_are_left_out():
    rows = [_row(T) for T in (200.0, 298.15, 300.0, 400.0)]
    rows[0][2] += 5.0
    rows[0][3] += 5.0
    assert [n.temperature for n in _gated(_segment(*rows)).nodes] == [298.15, 300.0, 400.0]


def test_a_negative_heat_capacity_is_refused():
    rows = [_row(T) for T in (298.15, 300.0)]
    rows[1][1] = -25.0
    with pytest.raises(BadTable, match="must be positive"):
        _gated(_segment(*rows))


@pytest.mark.parametrize(
    ("label", "sides"),
    [
        ("ALPHA <--> BETA", ("alpha", "beta")),
        ("II <--> LIQUID", ("II", "liquid")),
        ("CRYSTAL <--> LIQUID", ("", "liquid")),
        ("CRYSTAL <--> LIQUID TRANSITION", ("", "liquid")),
        ("LIQUID <--> IDEAL GAS", ("liquid", "ideal gas")),
        ("Cp LAMBDA MAXIMUM", ("", "")),
        ("", ("", "")),
    ],
)
def test_transition_labels_are_read_as_the_tables_print_them(label, sides):
    assert _sides(label) == sides


def test_a_record_shows_itself_with_its_transitions_and_source():
    html = species("KOH")._repr_html_()
    assert html.count("<li>") == 3
    assert "Chase" in html
    assert "No trusted values" in species("CaO2")._repr_html_()


# ------------------------------------------------------------------ extrapolation on request


def test_an_extrapolated_record_is_marked_and_continues_smoothly():
    RbOH = species("RbOH")
    longer = extrapolated(RbOH)
    assert longer.confidence == "extrapolated"
    assert "288.15 K to 308.15 K" in longer.note
    assert longer.gibbs_energy("25 °C") == RbOH.gibbs_energy("25 °C")
    high = RbOH.valid[1].m_as("K")
    assert longer.gibbs_energy_si(high + 1e-6) == pytest.approx(RbOH.gibbs_energy_si(high))
    # dH = Cp dT with the CRC heat capacity, 69 J/(mol K)
    rise = longer.enthalpy_si(700.0) - longer.enthalpy_si(500.0)
    assert rise == pytest.approx(69.0 * 200.0)


def test_an_extrapolated_record_is_less_certain_the_further_it_goes():
    longer = extrapolated(species("RbOH"))
    near, far = longer.uncertainty(["300 K", "900 K"]).m_as("kJ/mol")
    assert near == pytest.approx(6.0, abs=0.1)
    assert far > 15


def test_the_record_itself_is_left_as_it_was():
    extrapolated(species("RbOH"))
    with pytest.raises(OutOfRange):
        species("RbOH").gibbs_energy("400 K")


def test_without_a_heat_capacity_there_is_nothing_to_extrapolate_with():
    with pytest.raises(NoTrustedValue):
        extrapolated(species("Rb2O"))
