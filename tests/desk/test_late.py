"""Late kits: each step once, at hours that people keep; and who is next hears early."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

import pytest
import sqlalchemy as sa

from clubbot.desk import answering, booking, handover, sweep, today
from clubbot.desk import club as clubs_desk
from clubbot.rules.results import KitsSwapped, Late, StillOut
from clubbot.store.engine import Store
from tests.desk.scene import Club, make_club


def _live(club: Club, days: int) -> list[tuple[datetime, str, object]]:
    """Let time pass from one due moment to the next; return (when, to whom, what) was said.

    It ends when the leaders were told, a week later.
    """
    heard: list[tuple[datetime, str, object]] = []
    until = club.now + timedelta(days=days)
    while (moment := sweep.next_moment(club.store, club.now, until)) is not None:
        club.now = moment
        heard += _mail(club)
        if any(isinstance(part, Late) and part.step == "leader" for _, _, part in heard):
            for _ in range(3):
                club.later(days=1, hours=13)
                heard += _mail(club)
            break
    return heard


def _mail(club: Club) -> list[tuple[datetime, str, object]]:
    return [(club.now, name, part) for name, parts in club.mail().items() for part in parts]


@pytest.mark.parametrize(
    ("friday", "ends", "shut", "answer"),
    [
        ("2026-10-02", "17:00", (), "missing"),
        ("2026-10-02", "19:30", (3, 6), "never"),
        ("2026-10-23", "17:00", (), "late at night"),
        ("2026-10-23", "18:40", (3, 3), "missing"),
        ("2027-03-26", "18:40", (1, 4), "never"),
        ("2027-03-26", "17:00", (), "missing"),
    ],
)
def test_each_step_comes_once_in_order_and_at_hours_that_people_keep(
    sqlite_store: Store, friday: str, ends: str, shut: tuple[int, ...], answer: str
) -> None:
    """The clocks go back on 25 October 2026 and forward on 28 March 2027."""
    first = date.fromisoformat(friday)
    club = make_club(sqlite_store, now=f"{first - timedelta(days=1)} 12:00")
    closed = (
        {first + timedelta(days=more) for more in range(shut[0], shut[1] + 1)} if shut else set()
    )
    if closed:
        club.leader(clubs_desk.close_days, f"{min(closed)} to {max(closed)}: mid-term")
    club.leader(booking.request, f"A for Red {friday} 15:30 to {ends}")
    club.set(f"{friday} 15:30")
    assert club.helper(handover.give_out, "Red").kits
    club.now = club.at(f"{friday} {ends}") + timedelta(minutes=15)
    heard = _mail(club)
    (asked,) = [part for _, _, part in heard if isinstance(part, StillOut)]
    if answer == "late at night":
        club.set(f"{friday} 20:50")
        heard += _mail(club)
        club.set(f"{friday} 23:50")
    if answer != "never":
        club.leader(handover.some_missing, asked.notice)
    heard += _live(club, 14)
    said = [
        (at.astimezone(club.zone), who, part.step if isinstance(part, Late) else "asked")
        for at, who, part in heard
        if isinstance(part, StillOut | Late)
    ]
    assert len({(who, step) for _, who, step in said}) == len(said), "each step once"
    order = ["asked", "holder", "morning", "leader"]
    ranks = [order.index(step) for _, _, step in said]
    assert ranks == sorted(ranks)
    assert {"asked", "morning", "leader"} <= {step for _, _, step in said}
    for at, who, step in said:
        quiet = (time(19), time(7, 30)) if who == "Student" else (time(21), time(7))
        assert quiet[1] <= at.time() < quiet[0], (who, step, at)
        if step in ("morning", "leader"):
            assert at.time() == time(8), "wall time, across the change of clocks too"
            assert at.date().weekday() < 5
            assert at.date() not in closed
    by_step = {step: at for at, _, step in said}
    assert by_step["morning"].date() < by_step["leader"].date()
    if "holder" in by_step:
        assert by_step["morning"] - by_step["holder"] > timedelta(hours=2)


def test_the_adult_of_the_next_team_hears_before_its_booking_that_a_kit_is_late(
    club: Club,
) -> None:
    club.leader(answering.team_adult, "Blue adult Co-leader")
    club.leader(booking.request, "A for Red Fri 15:30 to 16:15")
    club.leader(booking.request, "A and B for Blue Fri 16:30 to 17:00")
    club.set("2026-10-02 15:30")
    club.helper(handover.give_out, "Red")
    club.set("2026-10-02 16:14")
    club.mail()
    club.set("2026-10-02 16:15")
    told = club.mail()["Co-leader"]
    (part,) = [each for each in told if isinstance(each, KitsSwapped)]
    assert [(before, why) for before, _, why in part.swaps] == [("A", "not back yet")]
    after = part.swaps[0][1]
    (given,) = [g for g in club.helper(handover.give_out, "Blue").kits if g.label == after]
    assert given


def test_a_team_that_nobody_of_is_in_the_chat_is_heard_for_by_who_runs_the_session(
    club: Club,
) -> None:
    club.helper(booking.request, "A for Red Fri 15:30 to 16:15")
    club.door(booking.request, "A for Blue Fri 16:30 to 17:00")
    club.set("2026-10-02 15:30")
    club.helper(handover.give_out, "Red")
    club.set("2026-10-02 16:15")
    heard = club.mail()
    assert any(isinstance(part, KitsSwapped) for parts in heard.values() for part in parts)


def test_back_to_back_a_kit_is_waited_for_until_it_is_late(club: Club) -> None:
    club.leader(booking.request, "A for Red Fri 15:30 to 16:15")
    club.leader(booking.request, "A for Blue Fri 16:15 to 17:00")
    club.set("2026-10-02 15:30")
    club.helper(handover.give_out, "Red")
    club.set("2026-10-02 16:16")
    swapped = [p for parts in club.mail().values() for p in parts if isinstance(p, KitsSwapped)]
    assert swapped == []
    club.set("2026-10-02 16:30")
    swapped = [p for parts in club.mail().values() for p in parts if isinstance(p, KitsSwapped)]
    assert len(swapped) == 1


def test_a_kit_without_a_booking_is_asked_after_too(club: Club) -> None:
    club.set("2026-10-02 15:30")
    club.helper(handover.give_out, "A for Red")
    (row,) = [b for s in club.leader(today.today).sessions for b in s.bookings]
    with club.store.write() as tx:
        tx.execute(sa.text("UPDATE booking SET cancelled_at = booked_at"))
    assert row.booking.kits
    club.set("2026-10-02 17:15")
    asked = [p for parts in club.mail().values() for p in parts if isinstance(p, StillOut)]
    assert [kit.label for part in asked for kit in part.kits] == ["A"]
