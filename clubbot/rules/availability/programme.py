"""A whole-number programme, solved by HiGHS one goal after the other.

The solver is loaded at the first use. It counts its own seconds.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum
from math import ceil
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import highspy

Row = dict[int, float]
"""Factors by column."""

Goal = Mapping[int, int]
"""What a unit of each column costs."""

_TOGETHER = 1_000_000
"""Goals are solved in one go while their weights stay below this: well within what the solver's
tolerances can tell apart."""

_TOLERANCE = 1e-6
"""HiGHS' own, by default, for what counts as met."""

_ALWAYS: tuple[tuple[str, bool | int | float | str], ...] = (
    ("parallel", "off"),
    ("threads", 1),
    ("mip_rel_gap", 0.0),
    ("mip_abs_gap", 0.5),
)
_LIGHT: tuple[tuple[str, bool | int | float | str], ...] = (
    ("presolve", "off"),
    ("mip_detect_symmetry", False),
    ("mip_heuristic_run_feasibility_jump", False),
)
"""Measured: most programmes are solved at the root, in a quarter of the time without these."""


class Verdict(Enum):
    """No assignment exists; or the limit came first."""

    NO = "no"
    UNSURE = "unsure"


@dataclass(frozen=True, slots=True)
class Solution:
    """A value per column; `best` when it is proved that no goal can be reached better."""

    values: tuple[int, ...]
    best: bool


@dataclass(slots=True)
class Programme:
    """Columns from 0 to `upper`, and rows that are at most, or exactly, what they are given."""

    upper: list[float] = field(default_factory=list)
    integer: list[bool] = field(default_factory=list)
    rows: list[tuple[float, float, Row]] = field(default_factory=list)
    goals: list[tuple[Goal, int]] = field(default_factory=list)

    def column(self, upper: float = 1, *, integer: bool = True) -> int:
        self.upper.append(upper)
        self.integer.append(integer)
        return len(self.upper) - 1

    def at_most(self, limit: float, row: Row) -> None:
        self.rows.append((-float("inf"), limit, row))

    def exactly(self, value: float, row: Row) -> None:
        self.rows.append((value, value, row))

    def goal(self, goal: Goal, most: int) -> None:
        """A further goal, of less weight than those before; it ranges over `most` at most."""
        self.goals.append((goal, most))

    def solve(self, seconds: float) -> Solution | Verdict:
        """The goals in their order, each at its least without loss to those before it."""
        if any(not row and not lower <= 0 <= upper for lower, upper, row in self.rows):
            return Verdict.NO
        if not self.upper:
            return Solution((), best=True)
        goals = _joined(self.goals)
        first = self._solve(goals, seconds / 3, light=True)
        if first is Verdict.NO or (isinstance(first, Solution) and first.best):
            return first
        second = self._solve(goals, seconds * 2 / 3, light=False)
        return first if second is Verdict.UNSURE else second

    def _solve(self, goals: Sequence[Goal], seconds: float, *, light: bool) -> Solution | Verdict:
        import highspy

        solver = quiet()
        for option, value in (*_ALWAYS, *(_LIGHT if light else ()), ("time_limit", seconds)):
            solver.setOptionValue(option, value)
        solver.passModel(self._model())
        columns = list(range(len(self.upper)))
        found: Solution | Verdict = Verdict.UNSURE
        for turn, goal in enumerate(goals):
            costs = [float(goal.get(column, 0)) for column in columns]
            solver.changeColsCost(len(columns), columns, costs)
            solver.run()
            status = solver.getModelStatus()
            if status == highspy.HighsModelStatus.kInfeasible and not turn:
                return Verdict.NO
            values = self._whole(solver.getSolution().col_value)
            if not values or not self.holds(values):
                return found
            if status != highspy.HighsModelStatus.kOptimal:
                return Solution(values, best=False) if not turn else found
            found = Solution(values, best=turn + 1 == len(goals))
            reached = float(sum(cost * values[column] for column, cost in goal.items()))
            bound = [float(goal[column]) for column in goal]
            solver.addRow(-highspy.kHighsInf, reached, len(goal), list(goal), bound)
        return found

    def _whole(self, values: Sequence[float]) -> tuple[int, ...]:
        """The solver's values without its rounding; what may be broken is rounded up."""
        return tuple(
            round(value) if integer else ceil(value - _TOLERANCE)
            for value, integer in zip(values, self.integer, strict=bool(values))
        )

    def holds(self, values: Sequence[int]) -> bool:
        """True when the values, counted here and not by the solver, keep to every row."""
        return all(
            0 <= value <= top for value, top in zip(values, self.upper, strict=True)
        ) and all(
            lower <= sum(factor * values[column] for column, factor in row.items()) <= upper
            for lower, upper, row in self.rows
        )

    def _model(self) -> highspy.HighsLp:
        import highspy

        model = highspy.HighsLp()
        model.num_col_ = len(self.upper)
        model.num_row_ = len(self.rows)
        model.col_cost_ = [0.0] * len(self.upper)
        model.col_lower_ = [0.0] * len(self.upper)
        model.col_upper_ = self.upper
        model.row_lower_ = [lower for lower, _, _ in self.rows]
        model.row_upper_ = [upper for _, upper, _ in self.rows]
        starts, indices, values = [0], [], []
        for _, _, row in self.rows:
            indices += list(row)
            values += list(row.values())
            starts.append(len(indices))
        model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        model.a_matrix_.start_ = starts
        model.a_matrix_.index_ = indices
        model.a_matrix_.value_ = values
        kinds = (highspy.HighsVarType.kContinuous, highspy.HighsVarType.kInteger)
        model.integrality_ = [kinds[integer] for integer in self.integer]
        return model


def quiet() -> highspy.Highs:
    """A solver that doesn't greet on standard output when it is made."""
    import highspy

    class Quiet(highspy.Highs):
        def enableCallbacks(self) -> None:
            self.setOptionValue("output_flag", False)
            super().enableCallbacks()  # type: ignore[no-untyped-call]

    return Quiet()  # type: ignore[no-untyped-call]


def _joined(goals: Sequence[tuple[Goal, int]]) -> list[Goal]:
    """The goals that matter, neighbours added up while the weights stay small; at least one."""
    joined: list[tuple[Goal, int]] = []
    for goal, most in goals:
        costs = {column: cost for column, cost in goal.items() if cost}
        if not costs:
            continue
        if joined and (joined[-1][1] + 1) * (most + 1) <= _TOGETHER:
            earlier, spread = joined.pop()
            sums = {column: cost * (most + 1) for column, cost in earlier.items()}
            for column, cost in costs.items():
                sums[column] = sums.get(column, 0) + cost
            joined.append((sums, spread * (most + 1) + most))
        else:
            joined.append((costs, most))
    return [goal for goal, _ in joined] or [{}]
