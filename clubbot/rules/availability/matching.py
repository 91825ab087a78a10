"""Cheapest assignment of rows to distinct columns (Hungarian method, shortest augmenting paths).

Source: R. Jonker and A. Volgenant, "A shortest augmenting path algorithm for dense and sparse
linear assignment problems", Computing 38 (1987). Whole-number costs of any size stay exact.
"""

from __future__ import annotations

from collections.abc import Sequence

Row = Sequence[int | None]
"""What each column costs; None where it is forbidden."""


def cheapest(rows: Sequence[Row]) -> list[int] | None:
    """The column of each row at the least total cost; None when some row must go without."""
    if not rows:
        return []
    columns = len(rows[0])
    row_price = [0] * len(rows)
    column_price = [0] * columns
    owner: list[int | None] = [None] * columns
    for first in range(len(rows)):
        path = _shortest(rows, first, row_price, column_price, owner)
        if path is None:
            return None
        column, came_from = path
        while True:
            previous = came_from[column]
            if previous is None:
                owner[column] = first
                break
            owner[column] = owner[previous]
            column = previous
    chosen = [0] * len(rows)
    for column, row in enumerate(owner):
        if row is not None:
            chosen[row] = column
    return chosen


def _shortest(
    rows: Sequence[Row],
    first: int,
    row_price: list[int],
    column_price: list[int],
    owner: list[int | None],
) -> tuple[int, list[int | None]] | None:
    """The free column nearest to row `first` in reduced cost, and how each column was reached."""
    came_from: list[int | None] = [None] * len(column_price)
    distance: list[int | None] = [None] * len(column_price)
    waiting = list(range(len(column_price)))
    settled: list[int] = []
    row, at, reached = first, None, 0
    while True:
        costs = rows[row]
        base = reached - row_price[row]
        best: int | None = None
        nearest = -1
        for column in waiting:
            cost = costs[column]
            known = distance[column]
            if cost is not None:
                far = base + cost - column_price[column]
                if known is None or far < known:
                    distance[column] = known = far
                    came_from[column] = at
            if known is not None and (best is None or known < best):
                best, nearest = known, column
        if best is None:
            return None
        taken_by = owner[nearest]
        if taken_by is None:
            break
        waiting.remove(nearest)
        settled.append(nearest)
        row, at, reached = taken_by, nearest, best
    row_price[first] += best
    for column in settled:
        _reprice(column, best - (distance[column] or 0), row_price, column_price, owner)
    return nearest, came_from


def _reprice(
    column: int,
    shorter: int,
    row_price: list[int],
    column_price: list[int],
    owner: list[int | None],
) -> None:
    """Keeps the reduced costs of what is assigned at nothing."""
    column_price[column] -= shorter
    holder = owner[column]
    if holder is not None:
        row_price[holder] += shorter
