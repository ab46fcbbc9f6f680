"""Gas logs: what is read, what is refused line by line, and whether a fit finds what was put in."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from potash.errors import PotashError
from potash.gas_log import BadLog, CannotFit, NotBent, fit_gas_log, read_gas_log
from potash.units import OutOfBounds

# True values of the invented logs: pace (mmol/min), its fall (1/min), induction (min).
PACE, FALL, INDUCTION = 0.8, 0.012, 35.0
MILLILITRES = 24.0548  # per mmol at 20 °C and 101.325 kPa: 8.314463 x 293.15 / 101.325


def _collected(time, pace=PACE, fall=FALL, induction=INDUCTION):
    after = np.maximum(time - induction, 0)
    return pace / fall * (1 - np.exp(-fall * after))


def _passing(time):
    return np.where(time > INDUCTION, PACE * np.exp(-FALL * (time - INDUCTION)), 0.0)


def _written(time, values, heading="volume / mL", mark=";"):
    rows = [f"{t:.3f}{mark}{v:.4f}" for t, v in zip(time, values, strict=True)]
    return "\n".join([f"time / min{mark}{heading}", *rows, ""])


def _invented(seed, kind="volume", end=240.0, n=121, noise=None, **true):
    time = np.linspace(0.0, end, n)
    shape = _collected(time, **true) if kind == "volume" else _passing(time)
    noise = noise if noise is not None else (5.0 if kind == "volume" else 0.5)
    values = shape * MILLILITRES + np.random.default_rng(seed).normal(0, noise, n)
    heading = "volume / mL" if kind == "volume" else "flow / (mL/min)"
    return read_gas_log(_written(time, values, heading), pressure="101.325 kPa")


@pytest.mark.parametrize("kind", ["volume", "flow"])
def test_known_values_lie_inside_their_intervals_in_90_to_99_of_100_seeds(kind):
    true = {
        "rate": f"{PACE} mmol/min",
        "decay": f"{FALL} 1/min",
        "induction": f"{INDUCTION} min",
        "end": f"{INDUCTION + np.log(20) / FALL:.9f} min",
        "total": f"{PACE / FALL:.9f} mmol",
    }
    held = dict.fromkeys(true, 0)
    for seed in range(100):
        fit = fit_gas_log(_invented(seed, kind))
        found = {
            "rate": fit.rate, "decay": fit.decay, "induction": fit.induction,
            "end": fit.end_time("95 %"), "total": fit.total,
        }  # fmt: skip
        for name, value in true.items():
            held[name] += found[name].holds(value)
    print(f"\n{kind}: intervals that hold the true value, of 100: {held}")
    assert all(90 <= count <= 99 for count in held.values()), held


def test_without_noise_the_fit_finds_the_values_themselves():
    fit = fit_gas_log(_invented(0, noise=0.0))
    # Readings are written to 0.0001 mL, and millilitres per millimole to six figures.
    assert fit.rate.value.m_as("mmol/min") == pytest.approx(PACE, rel=3e-5)
    assert fit.decay.value.m_as("1/min") == pytest.approx(FALL, rel=3e-5)
    assert fit.induction.value.m_as("min") == pytest.approx(INDUCTION, abs=1e-3)


def test_residuals_are_reading_minus_fit():
    log = _invented(3)
    fit = fit_gas_log(log)
    expected = log.gas.m_as("mmol") - fit.curve(log.time).m_as("mmol")
    assert fit.residuals.m_as("mmol") == pytest.approx(expected, abs=1e-9)
    assert fit.noise.m_as("mmol") == pytest.approx(5.0 / MILLILITRES, rel=0.2)


def test_a_log_that_has_not_bent_gives_its_pace_and_no_end():
    fit = fit_gas_log(_invented(1, end=60.0, fall=0.002, induction=10.0))
    assert not fit.has_bent
    assert fit.rate.holds("0.8 mmol/min")
    with pytest.raises(NotBent, match=r"has not bent.*still comes at.*Go on reading"):
        fit.end_time()
    with pytest.raises(NotBent):
        _ = fit.total
    assert "has not bent" in fit._repr_html_()


def test_a_straight_log_is_not_bent_in_99_of_100_seeds():
    told = sum(
        fit_gas_log(_invented(seed, end=90.0, fall=1e-9, induction=10.0)).has_bent
        for seed in range(100)
    )
    assert told <= 1


def test_a_gas_of_another_shape_is_warned_of():
    time = np.linspace(0, 240, 121)
    steps = 200 * np.floor(time / 60) + np.random.default_rng(1).normal(0, 2, 121)
    fit = fit_gas_log(read_gas_log(_written(time, steps)))
    assert any("does not follow the model" in warning for warning in fit.warnings)


def test_no_gas_at_all_is_refused():
    with pytest.raises(CannotFit, match="No gas comes"):
        fit_gas_log(read_gas_log(_written(np.arange(20.0), np.zeros(20))))


@pytest.mark.parametrize("share", ["0 %", "100 %", "120 %"])
def test_a_share_out_of_bounds_is_refused(share):
    with pytest.raises(OutOfBounds, match="share of the gas"):
        fit_gas_log(_invented(0)).end_time(share)


# Reading


def _log(*lines, heading="time / min; volume / mL"):
    filled = [f"{10 + n}; {n}" for n in range(10)]
    return "\n".join([heading, *lines, *filled, ""])


@pytest.mark.parametrize(
    "heading, row",
    [
        ("time / min; volume / mL", "{t}; {v}"),
        ("time (min),volume (mL)", "{t},{v}"),
        ("Time [min]\tGas volume [mL]", "{t}\t{v}"),
        ("volume / cm3; t / min", "{v}; {t}"),
        ("time / s; volume / L", "{s}; {litres}"),
        ("note; time / min; volume / mL", "x; {t}; {v}"),
    ],
)
def test_the_same_log_is_read_from_many_spellings(heading, row):
    rows = [
        row.format(t=n, v=10.5 * n, s=60 * n, litres=0.0105 * n).replace("\r", "")
        for n in range(10)
    ]
    log = read_gas_log("\n".join([heading, *rows]))
    assert log.time.m_as("min") == pytest.approx(np.arange(10.0))
    assert log.read.m_as("mL") == pytest.approx(10.5 * np.arange(10))


def test_decimal_commas_a_byte_order_mark_and_windows_lines_are_read(tmp_path):
    text = "\ufefftime / min; volume / mL\r\n# a note\r\n\r\n"
    text += "".join(f"{n},5; {n},25\r\n" for n in range(10))
    path = tmp_path / "log.csv"
    path.write_bytes(text.encode("utf-8"))
    log = read_gas_log(path)
    assert log.time.m_as("min")[3] == 3.5
    assert log.read.m_as("mL")[3] == 3.25
    assert log.name == "log.csv"


def test_gas_is_counted_at_the_temperature_and_pressure_of_its_own_reading():
    heading = "time / min; volume / mL; temperature / °C; pressure / kPa"
    rows = [f"{n}; {100 * n}; {25 if n else 20}; 100" for n in range(10)]
    log = read_gas_log("\n".join([heading, *rows]))
    # SATP, 24.790 L/mol (IUPAC)
    assert log.gas.m_as("mmol")[9] == pytest.approx(900 / 24.790, rel=1e-4)


@pytest.mark.parametrize(
    "text, says",
    [
        (_log("1; "), r"Line 2 has no volume\. Fill in"),
        (_log("1; 5", "1; 6"), r"Lines 2 and 3 have the same time, 1 min"),
        (_log("5; 5", "4; 6"), r"goes back from 5 min in line 2 to 4 min in line 3"),
        (_log("1; about 5"), r'Line 2, volume: "about 5" is no number'),
        (_log("1; nan"), "is no number"),
        (_log("1; 1.234,5"), "a comma and a point"),
        (_log("1; 2; 3"), "Line 2 has 3 cells where the first line names 2 columns"),
        (_log(heading="time; volume / mL"), 'The column "time" has no unit'),
        (_log(heading="time / mL; volume / mL"), "none of time"),
        (_log(heading="minutes / min; volume / mL"), "no column of time"),
        (_log(heading="time / min; colour"), "neither a volume nor a flow"),
        (
            "time / min; volume / mL; flow / (mL/min)\n" + "1; 2; 3\n" * 9,
            "both a volume and a flow",
        ),
        ("time / min; volume / mL; volume / L\n" + "1; 2; 3\n" * 9, "two columns of volume"),
        ("time / min; volume / mL\n1; 2\n2; 3\n", "has 2 readings; at least 8"),
        ("\n\n", "empty"),
        ('time / min; volume / mL\n1; "2\n2; 3\n', "quotation mark"),
    ],
)
def test_a_bad_log_is_refused_with_its_line_and_what_would_be_right(text, says):
    with pytest.raises(BadLog, match=says):
        read_gas_log(text)


def test_decimal_commas_between_comma_columns_are_told_of():
    text = "time / min,volume / mL\n" + "".join(f"{n},5,{n},2\n" for n in range(10))
    with pytest.raises(BadLog, match="separate the columns by semicolons"):
        read_gas_log(text)


def test_a_long_gap_in_time_is_warned_of_and_does_not_stop_the_reading():
    minutes = [*range(10), *range(60, 70)]
    text = "time / min; volume / mL\n" + "".join(f"{n}; {n}\n" for n in minutes)
    log = read_gas_log(text)
    assert len(log) == 20
    assert any("No reading between 9.00" in warning for warning in log.warnings)


def test_a_volume_that_falls_is_warned_of():
    values = [*range(0, 100, 5), 40, 30]
    text = "time / min; volume / mL\n" + "".join(f"{n}; {v}\n" for n, v in enumerate(values))
    assert any("leak" in warning for warning in read_gas_log(text).warnings)


def test_a_missing_file_a_file_too_large_and_one_that_is_no_text_are_refused(tmp_path):
    with pytest.raises(BadLog, match="cannot be read"):
        read_gas_log(tmp_path / "none.csv")
    large = tmp_path / "large.csv"
    large.write_bytes(b"1;2\n" * 1_500_000)
    with pytest.raises(BadLog, match="larger than the 5 MB"):
        read_gas_log(large)
    odd = tmp_path / "odd.csv"
    odd.write_bytes(b"time / min; volume / mL\n\xff\xfe")
    with pytest.raises(BadLog, match="UTF-8"):
        read_gas_log(odd)


@given(st.text(max_size=300))
def test_any_text_is_either_read_or_refused_with_a_message(text):
    try:
        log = read_gas_log(f"{text}\n")
    except PotashError as problem:
        assert str(problem)
    else:
        assert len(log) >= 8


@given(
    st.lists(
        st.text(alphabet='0123456789.,;eE+-− \t"#/()mLin', max_size=12), min_size=8, max_size=20
    )
)
def test_any_rows_are_either_read_or_refused_with_a_message(rows):
    try:
        log = read_gas_log("\n".join(["time / min; volume / mL", *rows, ""]))
    except PotashError as problem:
        assert str(problem)
    else:
        assert np.all(np.isfinite(log.gas.magnitude))
