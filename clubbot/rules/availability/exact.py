"""The exact search: a 0/1 programme, solved by HiGHS one preference after the other.

A variable says that an item has a kit; items that can't share a kit form cliques, of which each
kit serves one. The solver is loaded at the first use and counts its own seconds.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import Enum
from typing import TYPE_CHECKING

from clubbot.rules.availability.ground import Item, bits
from clubbot.rules.availability.parts import Part

if TYPE_CHECKING:
    import highspy

_TOGETHER = 1_000_000
"""Preferences are solved in one go while their weights stay below this: well within what the
solver's tolerances can tell apart."""


class Verdict(Enum):
    """No assignment exists; or the limit came first."""

    NO = "no"
    UNSURE = "unsure"


@dataclass(frozen=True, slots=True)
class Found:
    """Kits per item; which items are met at all; whether nothing better exists."""

    masks: tuple[int, ...]
    met: tuple[bool, ...]
    best: bool


@dataclass(frozen=True, slots=True)
class Shared:
    """Items that draw on the same resource at one moment, and how much of it there is."""

    wants: tuple[tuple[int, int], ...]
    count: int


@dataclass(slots=True)
class _Programme:
    """Columns and rows as they are collected; an objective per preference."""

    upper: list[float] = field(default_factory=list)
    integer: list[bool] = field(default_factory=list)
    rows: list[tuple[float, float, dict[int, float]]] = field(default_factory=list)
    kits: dict[tuple[int, int], int] = field(default_factory=dict)
    met: dict[int, int] = field(default_factory=dict)
    goals: list[tuple[dict[int, int], int]] = field(default_factory=list)

    def column(self, upper: float = 1, integer: bool = True) -> int:
        self.upper.append(upper)
        self.integer.append(integer)
        return len(self.upper) - 1


def search(
    part: Part,
    seconds: float,
    *,
    spare: Sequence[bool] = (),
    shared: Sequence[Shared] = (),
    prefer: bool = True,
) -> Found | Verdict:
    """The best assignment of the part; with `spare`, most bookings met where not all can be.

    `spare` says which items may be given up. Up to `seconds` are spent.
    """
    programme = _formulate(part, spare, shared)
    goals = _joined(programme.goals) if prefer or spare else []
    return _solve(part, programme, goals, seconds)


def _formulate(part: Part, spare: Sequence[bool], shared: Sequence[Shared]) -> _Programme:
    programme = _Programme()
    bookings: dict[int, int] = {}
    for number, item in enumerate(part.items):
        if spare and spare[number]:
            column = bookings.get(item.demand.booking)
            if column is None:
                column = bookings[item.demand.booking] = programme.column()
            programme.met[number] = column
        for kit in bits(item.allowed if item.need else 0):
            programme.kits[number, kit] = programme.column()
    if bookings:
        programme.goals.append((dict.fromkeys(bookings.values(), -1), len(bookings)))
    for number, item in enumerate(part.items):
        row = {programme.kits[number, kit]: 1.0 for kit in bits(item.allowed if item.need else 0)}
        met = programme.met.get(number)
        if met is not None:
            row[met] = -float(item.need)
        if item.need:
            need = 0 if met is not None else item.need
            programme.rows.append((need, need, row))
    _one_at_a_time(part, programme)
    for resource in shared:
        taken = sum(want for number, want in resource.wants if number not in programme.met)
        terms: dict[int, float] = {}
        for number, want in resource.wants:
            if number in programme.met:
                column = programme.met[number]
                terms[column] = terms.get(column, 0) + want
        programme.rows.append((-float("inf"), resource.count - taken, terms))
    _prefer(part, programme)
    _charge(part, programme)
    _wear(part, programme)
    return programme


def _one_at_a_time(part: Part, programme: _Programme) -> None:
    """Each kit serves one item of a clique; a held kit is taken while its item is met."""
    for kit in range(len(part.ground.kits)):
        users = 0
        for number, item in enumerate(part.items):
            if (number, kit) in programme.kits or item.held >> kit & 1:
                users |= 1 << number
        for clique in _cover(part, users):
            row: dict[int, float] = {}
            left = 1
            for number in bits(clique):
                column = programme.kits.get((number, kit), programme.met.get(number))
                if column is None:
                    left -= 1
                else:
                    row[column] = row.get(column, 0) + 1
            programme.rows.append((-float("inf"), left, row))


def _cover(part: Part, users: int) -> list[int]:
    """Cliques of the users that cover each pair that can't share a kit."""
    cliques: list[int] = []
    for number in bits(users):
        earlier = part.clash[number] & users & ((1 << number) - 1)
        while earlier:
            clique, together = 1 << number, part.clash[number] & users & ((1 << number) - 1)
            first = earlier & -earlier
            for other in (first.bit_length() - 1, *bits(together & ~first)):
                if clique & ~(part.clash[other] | 1 << other) == 0:
                    clique |= 1 << other
            earlier &= ~clique
            cliques = [known for known in cliques if known & ~clique]
            cliques.append(clique)
    return cliques


def _prefer(part: Part, programme: _Programme) -> None:
    """A goal for the told labels and one for the usual ones: each of them lost costs one."""
    for wanted in ([item.told for item in part.items], [item.usual for item in part.items]):
        goal: dict[int, int] = {}
        for number, (item, mask) in enumerate(zip(part.items, wanted, strict=True)):
            for kit in bits(mask):
                if (number, kit) in programme.kits:
                    goal[programme.kits[number, kit]] = -1
            met = programme.met.get(number)
            if met is not None and mask:
                goal[met] = goal.get(met, 0) + min(item.need, mask.bit_count())
        programme.goals.append((goal, sum(item.need for item in part.items)))


def _charge(part: Part, programme: _Programme) -> None:
    """Hard budgets as rows, minutes over the later ones as a goal."""
    budgets, goal = part.ground.budgets, {}
    uses: dict[tuple[int, int], dict[int, float]] = {}
    for number, item in enumerate(part.items):
        for kit in bits(item.allowed | item.held if item.drive else 0):
            column = programme.kits.get((number, kit), programme.met.get(number))
            if column is not None:
                for span in budgets.spans(kit, item.start, item.end):
                    row = uses.setdefault((kit, span), {})
                    row[column] = row.get(column, 0) + item.drive
    for (kit, span), row in uses.items():
        left = budgets.gives(kit) - part.load.get((kit, span), 0)
        if sum(row.values()) <= left:
            continue
        if not span:
            programme.rows.append((-float("inf"), max(0, left), row))
            continue
        over = programme.column(float("inf"), integer=False)
        goal[over] = 1
        programme.rows.append((-float("inf"), max(0, left), {**row, over: -1.0}))
    most = sum(item.need * item.drive for item in part.items) * budgets.most_spans
    programme.goals.append((goal, most))


def _wear(part: Part, programme: _Programme) -> None:
    kits = part.ground.kits
    least = min((kits[kit].uses for _, kit in programme.kits), default=0)
    goal = {column: kits[kit].uses - least for (_, kit), column in programme.kits.items()}
    most = max(goal.values(), default=0)
    programme.goals.append((goal, most * sum(item.need for item in part.items)))


def _joined(goals: Sequence[tuple[dict[int, int], int]]) -> list[dict[int, int]]:
    """The goals that matter, neighbours added up while the weights stay small."""
    joined: list[tuple[dict[int, int], int]] = []
    for goal, most in goals:
        goal = {column: cost for column, cost in goal.items() if cost}
        if not goal:
            continue
        if joined and (joined[-1][1] + 1) * (most + 1) <= _TOGETHER:
            earlier, range_ = joined.pop()
            sums = {column: cost * (most + 1) for column, cost in earlier.items()}
            for column, cost in goal.items():
                sums[column] = sums.get(column, 0) + cost
            joined.append((sums, range_ * (most + 1) + most))
        else:
            joined.append((goal, most))
    return [goal for goal, _ in joined]


def _solve(
    part: Part, programme: _Programme, goals: Sequence[dict[int, int]], seconds: float
) -> Found | Verdict:
    import highspy

    solver = highspy.Highs()  # type: ignore[no-untyped-call]
    for option, value in (
        ("output_flag", False),
        ("parallel", "off"),
        ("threads", 1),
        ("mip_rel_gap", 0.0),
        ("mip_abs_gap", 0.5),
        ("time_limit", seconds),
    ):
        solver.setOptionValue(option, value)
    solver.passModel(_model(programme))
    found: Found | Verdict = Verdict.UNSURE
    for turn, goal in enumerate(goals or [{}]):
        columns = len(programme.upper)
        solver.changeColsCost(
            columns, list(range(columns)), [float(goal.get(column, 0)) for column in range(columns)]
        )
        solver.run()
        status = solver.getModelStatus()
        if status == highspy.HighsModelStatus.kInfeasible and not turn:
            return Verdict.NO
        values = [round(value) for value in solver.getSolution().col_value]
        better = _read(part, programme, values) if values else None
        proved = status == highspy.HighsModelStatus.kOptimal
        if better is None or not proved:
            if found is Verdict.UNSURE and better is not None:
                found = better
            return found
        last = turn + 1 >= len(goals)
        found = Found(better.masks, better.met, best=last)
        if not last:
            reached = sum(cost * values[column] for column, cost in goal.items())
            indices = list(goal)
            solver.addRow(
                -highspy.kHighsInf,
                float(reached),
                len(indices),
                indices,
                [float(goal[column]) for column in indices],
            )
    return found


def _model(programme: _Programme) -> highspy.HighsLp:
    import highspy

    model = highspy.HighsLp()
    model.num_col_ = len(programme.upper)
    model.num_row_ = len(programme.rows)
    model.col_cost_ = [0.0] * len(programme.upper)
    model.col_lower_ = [0.0] * len(programme.upper)
    model.col_upper_ = programme.upper
    model.row_lower_ = [lower for lower, _, _ in programme.rows]
    model.row_upper_ = [upper for _, upper, _ in programme.rows]
    starts, indices, values = [0], [], []
    for _, _, row in programme.rows:
        indices += list(row)
        values += list(row.values())
        starts.append(len(indices))
    model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    model.a_matrix_.start_ = starts
    model.a_matrix_.index_ = indices
    model.a_matrix_.value_ = values
    model.integrality_ = [
        highspy.HighsVarType.kInteger if integer else highspy.HighsVarType.kContinuous
        for integer in programme.integer
    ]
    return model


def _read(part: Part, programme: _Programme, values: Sequence[int]) -> Found | None:
    """The solver's answer as kits, None unless it keeps to the rules when counted here."""
    masks = [0] * len(part.items)
    for (number, kit), column in programme.kits.items():
        if values[column]:
            masks[number] |= 1 << kit
    met = tuple(
        number not in programme.met or bool(values[programme.met[number]])
        for number in range(len(part.items))
    )
    if any(
        sum(cost * values[column] for column, cost in row.items()) > upper
        for _, upper, row in programme.rows
        if all(programme.integer[column] for column in row)
    ):
        return None
    counts = (_wanted(item, kept) for item, kept in zip(part.items, met, strict=True))
    if any(mask.bit_count() != count for mask, count in zip(masks, counts, strict=True)):
        return None
    return Found(tuple(masks), met, best=False)


def _wanted(item: Item, met: bool) -> int:
    return item.need if met else 0
