"""Readers of what anybody may type or hand in, given anything: taken, or refused in words."""

import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

sys.path.insert(0, str(Path(__file__).parent))

from targets import READERS, SEEDS, feed

EXAMPLES = 300


@st.composite
def mangled(draw: st.DrawFn, seeds: tuple[bytes, ...]) -> bytes:
    """A genuine input with a few pieces cut out, doubled or replaced, or another one's put in."""
    data = bytearray(draw(st.sampled_from(seeds)))
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(data)))
        end = draw(st.integers(start, min(len(data), start + 12)))
        other = draw(st.sampled_from([bytes(data[start:end]) * 2, b"", None]))
        data[start:end] = draw(st.binary(max_size=6)) if other is None else other
    return bytes(data)


@pytest.mark.parametrize("name", READERS)
def test_genuine_inputs_are_taken(name: str) -> None:
    for seed in SEEDS[name]:
        assert feed(READERS[name], seed), seed


@pytest.mark.parametrize("name", READERS)
def test_any_bytes_are_taken_or_refused(name: str) -> None:
    @settings(max_examples=EXAMPLES, deadline=None, database=None)
    @given(st.binary(max_size=300) | st.text(max_size=100).map(str.encode))
    def try_it(data: bytes) -> None:
        assert feed(READERS[name], data) in (True, False)

    try_it()


@pytest.mark.parametrize("name", READERS)
def test_mangled_inputs_are_taken_or_refused(name: str) -> None:
    @settings(max_examples=EXAMPLES, deadline=None, database=None)
    @given(mangled(SEEDS[name]))
    def try_it(data: bytes) -> None:
        assert feed(READERS[name], data) in (True, False)

    try_it()
