"""Driving minutes per kit between the moments at which a charge is certain."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence

from clubbot.rules.availability.model import FleetKit
from clubbot.rules.model import Window

Load = dict[tuple[int, int], int]
"""Minutes already assigned, by kit (its number in the fleet) and span."""


def micros(window: Window) -> tuple[int, int]:
    """The window's ends in whole microseconds, so that comparing and adding is exact."""
    return round(window.start.timestamp() * 1_000_000), round(window.end.timestamp() * 1_000_000)


class Budgets:
    """The batteries of a fleet.

    A kit's time is cut into spans by its certain charges. A booking counts in each span that its
    window touches: it might not have driven before the charge, nor be back for it. Span 0, up to
    the first charge, is hard; in the later ones minutes over the budget are only avoided.
    """

    def __init__(self, kits: Sequence[FleetKit]) -> None:
        self._cuts: dict[int, list[int]] = {}
        self._gives: dict[int, int] = {}
        self.base: Load = {}
        for number, kit in enumerate(kits):
            if kit.battery is not None:
                self._cuts[number] = [
                    round(charge.timestamp() * 1_000_000) for charge in kit.battery.charges
                ]
                self._gives[number] = kit.battery.gives
                self.base[number, 0] = kit.battery.used

    @property
    def most_spans(self) -> int:
        """The largest number of spans that any kit's time is cut into."""
        return 1 + max(map(len, self._cuts.values()), default=0)

    def __contains__(self, number: int) -> bool:
        return number in self._cuts

    def __bool__(self) -> bool:
        return bool(self._cuts)

    def spans(self, number: int, start: int, end: int) -> range:
        """The spans that a use from `start` to `end` counts in; none without a battery."""
        cuts = self._cuts.get(number)
        if cuts is None:
            return range(0)
        return range(bisect_right(cuts, start), bisect_left(cuts, end) + 1)

    def hard_until(self, number: int) -> int | None:
        """The first certain charge; None where none is known."""
        cuts = self._cuts[number]
        return cuts[0] if cuts else None

    def gives(self, number: int) -> int:
        return self._gives[number]

    def add(
        self, load: Load, number: int, start: int, end: int, drive: int, first: int = 0
    ) -> None:
        """Counts a use of `drive` minutes into `load`, from the span `first` on."""
        if drive:
            for span in self.spans(number, start, end):
                if span < first:
                    continue
                load[number, span] = load.get((number, span), 0) + drive

    def fits(self, load: Load, number: int, start: int, end: int, drive: int) -> bool:
        """True when the hard span has `drive` minutes left, or isn't touched."""
        if not drive or 0 not in self.spans(number, start, end):
            return True
        return load.get((number, 0), 0) + drive <= self._gives[number]

    def over(self, load: Load, number: int, start: int, end: int, drive: int) -> int:
        """By how many minutes the use would go further over the budgets of the later spans."""
        if not drive:
            return 0
        gives = self._gives.get(number, 0)
        more = 0
        for span in self.spans(number, start, end):
            if span:
                left = gives - load.get((number, span), 0)
                more += drive - max(0, min(left, drive))
        return more
