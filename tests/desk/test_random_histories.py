"""Whatever is done, undone and said late, in whatever order: no kit is in two places.

Deeds are drawn at random and done by the desk's own functions on a real store. After each of them
the stored positions are those that the ledger leads to, a kit that is out is out for one team and
one booking that stands and knows it, and no two bookings are promised one kit at one time. At the
end all that still stands of one person is undone, step by step.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import combinations
from random import Random

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from clubbot.desk import (
    afterwards,
    booking,
    counting,
    handover,
    history,
    longer,
    passing,
    stocktaking,
    swapping,
    usability,
)
from clubbot.rules.ledger import EntryKind, replay, standing
from clubbot.rules.ledger import Position as At
from clubbot.rules.model import Refused, Window
from clubbot.store import bookings, kits, ledger
from clubbot.store.engine import Store
from tests.desk.scene import Club, make_club

LABELS = "ABCDE"
TEAMS = ("Red", "Blue")
TIMES = ("15:30", "15:35", "15:45", "16:00", "16:20")
SESSION = "2026-10-02 15:30"
DAY = ("2026-10-02 00:00", "2026-10-03 00:00")


@dataclass
class Day:
    """One session's afternoon, in which anything is done in any order."""

    club: Club
    by_chance: Random

    def one(self) -> str:
        """Return a kit, mostly one that is out."""
        out = self.club.out()
        return self.by_chance.choice(out if out and self.by_chance.random() < 0.7 else LABELS)

    def some(self) -> str:
        """Return one to three kits, any of them."""
        return " ".join(self.by_chance.sample(LABELS, self.by_chance.randint(1, 3)))

    def team(self) -> str:
        return self.by_chance.choice(TEAMS)

    def at(self) -> str:
        return self.by_chance.choice(TIMES)


def _out(day: Day) -> None:
    day.club.helper(handover.give_out, f"{day.some()} for {day.team()}")


def _all_out(day: Day) -> None:
    day.club.helper(handover.give_out, "")


def _back(day: Day) -> None:
    day.club.helper(handover.back, day.by_chance.choice([day.one(), day.some(), "all"]))


def _said_back(day: Day) -> None:
    day.club.student(handover.back, "")


def _pass(day: Day) -> None:
    day.club.helper(passing.pass_on, f"{day.one()} to {day.team()}")


def _swap(day: Day) -> None:
    day.club.helper(swapping.swap, day.one())


def _longer(day: Day) -> None:
    day.club.leader(longer.longer, f"{day.one()} {day.by_chance.choice(['17:15', '17:40'])}")


def _withdraw(day: Day) -> None:
    day.club.helper(day.by_chance.choice([usability.withdraw, usability.restore]), day.one())


def _count(day: Day) -> None:
    kit = day.club.kit(day.one())
    day.club.helper(counting.count_kit, kit)
    day.club.helper(counting.count_done, kit)


def _told(day: Day) -> None:
    """Say it afterwards, with times that lie before what is noted already."""
    pieces = [
        f"{day.some()} out {day.at()}",
        f"{day.some()} back {day.at()}",
        f"{day.one()} for {day.one()}",
        f"{day.one()} flat",
        f"{day.one()} short 2 cables",
    ]
    told = day.by_chance.sample(pieces, day.by_chance.randint(1, 3))
    day.club.helper(afterwards.tell, ", ".join(told))
    day.club.helper(afterwards.write_down)


def _undo(day: Day) -> None:
    day.by_chance.choice([day.club.helper, day.club.helper, day.club.leader])(handover.undo)


def _correct(day: Day) -> None:
    """Take back any entry of any kit, or let it stand again, as the history offers it."""
    kit = day.club.kit(day.one())
    page = day.club.leader(history.history_page, kit, 0)
    if page.lines:
        line = day.by_chance.choice(page.lines)
        again = line.not_so_at is not None
        day.club.leader(history.was_so if again else history.was_not_so, kit, line.seq)


def _stocktake(day: Day) -> None:
    day.club.leader(stocktaking.stocktake_anew)
    for label in day.by_chance.sample(LABELS, 2):
        seen = day.by_chance.choice(["there", "there", "gone"])
        day.club.leader(stocktaking.stock_seen, day.club.kit(label), seen)
    day.club.leader(stocktaking.stock_end)
    day.club.leader(stocktaking.stock_put_right)


DEEDS: tuple[Callable[[Day], None], ...] = (
    _out,
    _out,
    _all_out,
    _back,
    _back,
    _said_back,
    _pass,
    _swap,
    _longer,
    _withdraw,
    _count,
    _told,
    _undo,
    _correct,
    _correct,
    _stocktake,
)


def check(club: Club) -> None:
    """Fail where a kit would be in two places, or the store says otherwise than the ledger."""
    assert club.audit() == []
    with club.store.read() as tx:
        known = kits.kits(tx, club.id)
        near = {
            each.id: each
            for each in bookings.between(tx, club.id, Window(club.at(DAY[0]), club.at(DAY[1])))
        }
        entries = standing(ledger.history(tx, club.id))
    for kit, now in known.items():
        mine = [each for each in entries if each.kit == kit and each.item is None]
        assert now.position == replay(mine).kits.get(kit, At()) or not mine
        assert _walked(mine) == (now.position.team, now.position.out)
        if now.position.booking is not None:
            assert now.position.booking in near, "out for a booking that is over or cancelled"
            assert kit in near[now.position.booking].chosen
    for one, other in combinations(near.values(), 2):
        shared = set(one.chosen) & set(other.chosen)
        in_hand = {kit for kit in shared if known[kit].position.out}
        if one.window.overlaps(other.window):
            assert shared == in_hand, (one.number, other.number)


def _walked(entries: list[ledger.Entry]) -> tuple[object, bool]:
    """Follow a kit from hand to hand by what stands, not by the fold that is tried here."""
    holder, out = None, False
    for each in entries:
        if each.kind in (EntryKind.GIVEN_OUT, EntryKind.PASSED_ON):
            assert out is (each.kind is EntryKind.PASSED_ON), "given out from nobody's shelf"
            holder, out = each.detail.team, True
        elif each.kind is EntryKind.TAKEN_BACK:
            assert out, "taken back from nobody"
            holder, out = None, False
    return holder, out


@settings(max_examples=6, deadline=None, suppress_health_check=list(HealthCheck))
@given(seed=st.integers(0, 2**32 - 1))
def test_no_kit_is_ever_in_two_places(sqlite_store: Store, seed: int) -> None:
    by_chance = Random(seed)
    club = make_club(sqlite_store, labels=LABELS)
    day = Day(club, by_chance)
    for team in TEAMS:
        wanted = by_chance.choice([day.some(), "1 kit", "2 kits"])
        end = by_chance.choice(["16:30", "16:45", "17:00"])
        club.leader(booking.request, f"{wanted} for {team} Fri 15:30-{end}")
    club.set(SESSION)
    for _ in range(12):
        by_chance.choice(DEEDS)(day)
        check(club)
        club.later(minutes=by_chance.randint(1, 6))
    while not isinstance(club.helper(handover.undo), Refused):
        check(club)
        club.later(minutes=1)
