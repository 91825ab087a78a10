"""The preferred assignment, exactly: a 0/1 programme of who has which kit.

Items that can't share a kit form cliques, of which each kit serves one. Where some items may be
given up, most bookings met come first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from clubbot.rules.availability.ground import bits
from clubbot.rules.availability.parts import Part, cover
from clubbot.rules.availability.programme import Programme, Row, Verdict
from clubbot.rules.model import BookingId, KitId


@dataclass(frozen=True, slots=True)
class Found:
    """Kits per item; which items are met at all; whether nothing better exists."""

    masks: tuple[int, ...]
    met: tuple[bool, ...]
    best: bool


@dataclass(frozen=True, slots=True)
class Shared:
    """Items, with how many each wants, that draw on one resource at one moment."""

    wants: tuple[tuple[int, int], ...]
    count: int


def search(
    part: Part, seconds: float, *, spare: Sequence[bool] = (), shared: Sequence[Shared] = ()
) -> Found | Verdict:
    """The best assignment of the part; with `spare`, most bookings met where not all can be.

    `spare` says of each item whether it may be given up. Up to `seconds` are spent.
    """
    choice = _Choice(part, spare)
    choice.give_each_its_need()
    choice.serve_one_at_a_time()
    for resource in shared:
        choice.share(resource)
    choice.drive_within_budgets()
    choice.prefer()
    solution = choice.programme.solve(seconds)
    if isinstance(solution, Verdict):
        return solution
    masks = [0] * len(part.items)
    for (number, kit), column in choice.kits.items():
        masks[number] |= solution.values[column] << kit
    met = tuple(
        number not in choice.met or bool(solution.values[choice.met[number]])
        for number in range(len(part.items))
    )
    return Found(tuple(masks), met, solution.best)


class _Choice:
    """A column for each kit an item may have, and for each booking that may be given up."""

    def __init__(self, part: Part, spare: Sequence[bool]) -> None:
        self.part = part
        self.programme = Programme()
        self.kits: dict[tuple[int, int], int] = {}
        self.met: dict[int, int] = {}
        self.over: list[int] = []
        bookings: dict[BookingId, int] = {}
        for number, item in enumerate(part.items):
            if spare and spare[number]:
                if item.demand.booking not in bookings:
                    bookings[item.demand.booking] = self.programme.column()
                self.met[number] = bookings[item.demand.booking]
            for kit in bits(item.allowed if item.need else 0):
                self.kits[number, kit] = self.programme.column()
        self.programme.goal(dict.fromkeys(bookings.values(), -1), len(bookings))

    def _user(self, number: int, kit: int) -> int | None:
        """The column that says whether the item has the kit; None where it's certain."""
        return self.kits.get((number, kit), self.met.get(number))

    def give_each_its_need(self) -> None:
        for number, item in enumerate(self.part.items):
            if item.need:
                row: Row = {self.kits[number, kit]: 1.0 for kit in bits(item.allowed)}
                met = self.met.get(number)
                if met is None:
                    self.programme.exactly(item.need, row)
                else:
                    self.programme.exactly(0, {**row, met: -float(item.need)})

    def serve_one_at_a_time(self) -> None:
        """Each kit serves one item of a clique; held kits are taken while their item is met."""
        covers: dict[int, list[int]] = {}
        for kit in range(len(self.part.ground.kits)):
            users = 0
            for number, item in enumerate(self.part.items):
                if (number, kit) in self.kits or item.held >> kit & 1:
                    users |= 1 << number
            if users not in covers:
                covers[users] = cover(self.part, users)
            for clique in covers[users]:
                self._at_most(1, [(number, 1) for number in bits(clique)], kit)

    def _at_most(self, limit: int, uses: Sequence[tuple[int, int]], kit: int) -> None:
        row: Row = {}
        for number, amount in uses:
            column = self._user(number, kit)
            if column is None:
                limit -= amount
            else:
                row[column] = row.get(column, 0) + amount
        if sum(row.values()) > limit:
            self.programme.at_most(limit, row)

    def share(self, resource: Shared) -> None:
        row: Row = {}
        left = resource.count
        for number, want in resource.wants:
            column = self.met.get(number)
            if column is None:
                left -= want
            else:
                row[column] = row.get(column, 0) + want
        self.programme.at_most(max(0, left), row)

    def drive_within_budgets(self) -> None:
        """Hard spans are rows; minutes over the later ones get a column each."""
        budgets = self.part.ground.budgets
        uses: dict[tuple[int, int], Row] = {}
        for number, item in enumerate(self.part.items):
            for kit in bits(item.allowed | item.held if item.drive else 0):
                column = self._user(number, kit)
                if column is not None:
                    for span in budgets.spans(kit, item.start, item.end):
                        row = uses.setdefault((kit, span), {})
                        row[column] = row.get(column, 0) + item.drive
        for (kit, span), row in uses.items():
            left = max(0, budgets.gives(kit) - self.part.load.get((kit, span), 0))
            if sum(row.values()) > left:
                if span:
                    self.over.append(self.programme.column(float("inf"), integer=False))
                    row[self.over[-1]] = -1.0
                self.programme.at_most(left, row)

    def prefer(self) -> None:
        """The goals: told labels kept, usual kits given, minutes over budgets, earlier uses."""
        items = self.part.items
        self._keep([(item.told, item.demand.told) for item in items])
        self._keep([(item.usual, item.demand.usual) for item in items])
        minutes = sum((item.need + item.held.bit_count()) * item.drive for item in items)
        most_over = minutes * self.part.ground.budgets.most_spans
        self.programme.goal(dict.fromkeys(self.over, 1), most_over)
        self._wear()

    def _wear(self) -> None:
        """Earlier uses of the kits; where all are met those of the least used don't matter."""
        kits = self.part.ground.kits
        least = 0 if self.met else min((kits[kit].uses for _, kit in self.kits), default=0)
        goal = {column: kits[kit].uses - least for (_, kit), column in self.kits.items()}
        for number, met in self.met.items():
            held = sum(kits[kit].uses for kit in bits(self.part.items[number].held))
            goal[met] = goal.get(met, 0) + held
        wanted = sum(item.need + item.held.bit_count() for item in self.part.items)
        self.programme.goal(goal, wanted * max((kit.uses for kit in kits), default=0))

    def _keep(self, wanted: Sequence[tuple[int, Sequence[KitId]]]) -> None:
        """Each of the wanted kits that a met item doesn't get, though it could count, costs one."""
        goal: dict[int, int] = {}
        most = 0
        for number, (mask, labels) in enumerate(wanted):
            demand = self.part.items[number].demand
            most += demand.count
            for kit in bits(mask):
                if (number, kit) in self.kits:
                    goal[self.kits[number, kit]] = -1
            met = self.met.get(number)
            if met is not None:
                fixed = sum(kit in demand.fixed for kit in labels)
                goal[met] = goal.get(met, 0) + min(len(labels), demand.count) - fixed
        self.programme.goal(goal, most)
