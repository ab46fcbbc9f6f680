"""Rows of ten numbers or so, as lists: on arrays the calls would cost more than the arithmetic."""

from itertools import repeat
from operator import mul, sub

Row = list[float]


def less(row: Row, times: float, other: Row) -> Row:
    """``row - times * other``: most of the work, and a fifth faster than with a strict zip."""
    return list(map(sub, row, map(mul, repeat(times), other)))
