"""Whole-number solutions of homogeneous linear equations, exactly."""

from collections.abc import Sequence
from fractions import Fraction
from math import gcd, lcm

from potash.equations.equation import Number, smallest_whole_numbers

Vector = list[int]
Matrix = list[Vector]


def null_space(matrix: Matrix) -> Matrix:
    """Whole-number vectors, without common factors, that span the solutions of ``matrix @ x = 0``.

    Gauss-Jordan elimination without fractions: rows stay whole and are divided by their factor.
    """
    rows = [row[:] for row in matrix]
    size = len(rows[0]) if rows else 0
    pivots: list[int] = []
    for column in range(size):
        done = len(pivots)
        pivot = next((i for i in range(done, len(rows)) if rows[i][column]), None)
        if pivot is None:
            continue
        rows[done], rows[pivot] = rows[pivot], rows[done]
        for i, row in enumerate(rows):
            if i != done and row[column]:
                rows[i] = _eliminated(row, rows[done], column)
        pivots.append(column)
    return [_solution(rows, pivots, free, size) for free in range(size) if free not in pivots]


def _eliminated(row: Vector, pivot_row: Vector, column: int) -> Vector:
    a, b = pivot_row[column], row[column]
    combined = [a * x - b * y for x, y in zip(row, pivot_row, strict=True)]
    factor = gcd(*combined) or 1
    return [number // factor for number in combined]


def _solution(rows: Matrix, pivots: Sequence[int], free: int, size: int) -> Vector:
    """The solution in which one free variable is not zero and the other free ones are."""
    solution: list[Number] = [0] * size
    solution[free] = 1
    for row, column in zip(rows, pivots, strict=False):
        solution[column] = Fraction(-row[free], row[column])
    return smallest_whole_numbers(solution)


def is_independent(chosen: Matrix, vector: Vector) -> bool:
    """Whether ``vector`` is no combination of ``chosen``: then only zeros combine to zero."""
    columns = [list(row) for row in zip(*chosen, vector, strict=True)]
    return not null_space(columns)


def cleared(row: Sequence[Number]) -> Vector:
    """``row`` times the least number that makes it whole."""
    scale = lcm(*(number.denominator for number in row))
    return [int(number * scale) for number in row]
