"""Speed of reading typed quantities, beside Pint's own parser in the same run."""

import timeit

import pytest

from potash.units import read, ureg

# Keyboard spellings that both read alike; Pint misreads decimal commas and typographic signs.
TYPED = ["3.55 g", "12.0 mL", "-196.5 kJ/mol", "1.2e-3 mol", "473.15 K", "0.85 percent"]


@pytest.mark.parametrize("text", TYPED)
def test_both_read_the_same_quantity(text):
    assert read(text).si == pytest.approx(ureg.Quantity(text).to_base_units().magnitude, rel=1e-12)


def test_reading_is_several_times_faster_than_pint():
    ours = min(timeit.repeat(lambda: [read(text) for text in TYPED], number=500, repeat=3))
    theirs = min(
        timeit.repeat(lambda: [ureg.Quantity(text) for text in TYPED], number=50, repeat=3)
    )
    each = ours / 500 / len(TYPED) * 1e6
    print(f"\n{each:.1f} us a quantity, {theirs * 10 / ours:.0f} times faster than Pint")
    assert theirs * 10 > 5 * ours
