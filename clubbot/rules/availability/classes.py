"""Whether a part can be served at all, exactly, with kits that are alike taken together.

Kits that the same items may have form a class; a column says how many of a class an item gets.
That an item can follow another on a kit is an order (transitive: it ends, with the gap where the
teams differ, before the other starts), so a class serves its items if and only if no set of items
of which none can follow another gets more than the class has (Dilworth, "A decomposition theorem
for partially ordered sets", Annals of Mathematics 51, 1950). Such sets are added as they are found
to be needed.
"""

from __future__ import annotations

from dataclasses import replace

from clubbot.rules.availability.fit import Fit, fit
from clubbot.rules.availability.ground import bits
from clubbot.rules.availability.parts import Part, cover
from clubbot.rules.availability.programme import Programme, Row, Verdict

_ROUNDS = 60
"""How often sets may be added before the answer is left open."""


def any_fit(part: Part, seconds: float) -> Fit | Verdict:
    """Kits for each item without regard to preferences, or that there are none.

    Each of at most a few rounds may take up to `seconds`; mostly there is one.
    """
    classes = _classes(part)
    programme, columns = _formulate(part, classes)
    for _ in range(_ROUNDS):
        solution = programme.solve(seconds)
        if isinstance(solution, Verdict):
            return solution
        masks = [0] * len(part.items)
        missed = False
        for kits, users in classes:
            given = {n: solution.values[columns[n, kits]] for n in bits(users)}
            fitted = _within(part, kits, given)
            if fitted is not None:
                masks = [mask | more for mask, more in zip(masks, fitted, strict=True)]
                continue
            missed = True
            for crowd in _crowds(part, given, kits.bit_count()):
                row = {columns[number, kits]: 1.0 for number in bits(crowd)}
                programme.at_most(kits.bit_count(), row)
        if not missed:
            return tuple(masks)
    return Verdict.UNSURE


def _classes(part: Part) -> list[tuple[int, int]]:
    """Sets of kits, each with the items that may have them.

    Kits with a battery that is drawn on, and all kits where a keep may still move, stand alone.
    """
    budgets = part.ground.budgets
    keeps = any(item.demand.keep for item in part.items if item.need)
    drains = 0
    for number, item in enumerate(part.items):
        if item.need and item.drive:
            drains |= 1 << number
    together: dict[tuple[int, int], int] = {}
    for kit in range(len(part.ground.kits)):
        users = 0
        for number, item in enumerate(part.items):
            if item.need and item.allowed >> kit & 1:
                users |= 1 << number
        if users:
            alone = keeps or (kit in budgets and users & drains)
            key = users, kit if alone else -1
            together[key] = together.get(key, 0) | 1 << kit
    return [(kits, users) for (users, _), kits in together.items()]


def _formulate(
    part: Part, classes: list[tuple[int, int]]
) -> tuple[Programme, dict[tuple[int, int], int]]:
    programme = Programme()
    columns: dict[tuple[int, int], int] = {}
    needs: dict[int, Row] = {n: {} for n, item in enumerate(part.items) if item.need}
    for kits, users in classes:
        for number in bits(users):
            column = programme.column(min(kits.bit_count(), part.items[number].need))
            columns[number, kits] = column
            needs[number][column] = 1.0
        for clique in cover(part, users):
            row = {columns[number, kits]: 1.0 for number in bits(clique)}
            programme.at_most(kits.bit_count(), row)
        _budget(part, programme, columns, kits, users)
    for number, row in needs.items():
        programme.exactly(part.items[number].need, row)
    return programme, columns


def _budget(
    part: Part, programme: Programme, columns: dict[tuple[int, int], int], kits: int, users: int
) -> None:
    budgets, kit = part.ground.budgets, kits.bit_length() - 1
    row: Row = {}
    for number in bits(users):
        item = part.items[number]
        if item.drive and 0 in budgets.spans(kit, item.start, item.end):
            row[columns[number, kits]] = float(item.drive)
    if row:
        programme.at_most(max(0, budgets.gives(kit) - part.load.get((kit, 0), 0)), row)


def _within(part: Part, kits: int, given: dict[int, int]) -> Fit | None:
    """The class's kits for the items, so many each, if that goes."""
    items = tuple(
        replace(item, need=given.get(number, 0), allowed=kits)
        for number, item in enumerate(part.items)
    )
    return fit(replace(part, items=items), alike=True)


def _crowds(part: Part, given: dict[int, int], limit: int) -> list[int]:
    """Sets of items of which no two can share a kit, and that were given more than the limit.

    Each such set has a last item to start, and those that clash with it clash with each other
    unless they are of one team; so per last item the fullest is that with each team at its
    busiest moment.
    """
    found = []
    for number in given:
        teams: dict[object, list[int]] = {}
        for other in bits(part.clash[number] & ((1 << number) - 1)):
            if other in given:
                group = part.items[other].group
                teams.setdefault((other,) if group is None else group, []).append(other)
        crowd, count = 1 << number, given[number]
        for members in teams.values():
            busiest = max(
                (
                    [o for o in members if o <= last and part.items[o].end > part.items[last].start]
                    for last in members
                ),
                key=lambda running: sum(given[o] for o in running),
            )
            crowd |= sum(1 << o for o in busiest)
            count += sum(given[o] for o in busiest)
        if count > limit:
            found.append(crowd)
    return found
