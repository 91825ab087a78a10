"""A session held at another time: the calendar, its bookings, and what people are told."""

from __future__ import annotations

from datetime import date
from itertools import pairwise

import pytest
import sqlalchemy as sa

from clubbot.desk import booking, feed, handover, moving, today, usability, waiting
from clubbot.desk import club as club_desk
from clubbot.rules.model import Reason, Refused
from clubbot.rules.results import (
    Booked,
    BookedWeekly,
    MyBookings,
    NotAlong,
    SessionElsewhen,
    SessionMoved,
    Today,
)
from clubbot.store import clubs
from clubbot.store.tables import MEETING
from tests.desk.scene import Club, dump

FRIDAY = "Fri 15:30-17:00"
THURSDAY = "2026-10-08 16:00", "2026-10-08 17:30"


def _moved(club: Club, text: str) -> SessionMoved:
    moved = club.leader(moving.move_session, text)
    assert isinstance(moved, SessionMoved), moved
    return moved


def _mine(club: Club) -> list[tuple[int, str, list[str]]]:
    shown = club.leader(booking.mine)
    assert isinstance(shown, MyBookings)
    return [
        (
            each.number,
            f"{each.window.start.astimezone(club.zone):%a %d %H:%M}"
            f"-{each.window.end.astimezone(club.zone):%H:%M}",
            [kit.label for kit in each.kits],
        )
        for each in shown.bookings
    ]


@pytest.mark.parametrize(
    ("text", "to"),
    [
        ("friday to saturday 16:00-17:30", "Sat 03 16:00-17:30"),
        ("2 Oct to 3 Oct 16:00", "Sat 03 16:00-17:30"),
        ("tomorrow to 5 Oct 10am", "Mon 05 10:00-11:30"),
        ("fri to thu 8 oct", "Thu 08 15:30-17:00"),
        ("friday to 16:30", "Fri 02 16:30-18:00"),
        ("friday 15:30 to 17:00 onto saturday 9 to 10:30am", "Sat 03 09:00-10:30"),
        ("Friday to tomorrow 16:00 to 17:15: the hall is let", "Fri 02 16:00-17:15"),
    ],
)
def test_a_session_is_moved_in_one_line_and_its_booking_keeps_its_number_and_kits(
    club: Club, text: str, to: str
) -> None:
    club.leader(booking.request, f"2 kits for Red {FRIDAY}")
    ((_, _, kits),) = _mine(club)
    moved = _moved(club, text)
    assert [each.number for each in moved.along] == [1]
    assert moved.left == ()
    assert _mine(club) == [(1, to, kits)]


def test_the_calendar_shows_the_session_at_its_new_time_and_none_at_the_old(club: Club) -> None:
    club.student(booking.request, f"1 kit {FRIDAY}")
    _moved(club, "friday to thu 8 oct 16:00-17:30")
    club.set("2026-10-02 09:00")
    old = club.leader(today.today)
    assert isinstance(old, Today)
    assert (old.sessions, old.others) == ((), ())
    assert "Leader" not in club.mail()
    assert club.student(booking.request, "1 kit 2 Oct 15:30-17:00").reason is Reason.OUTSIDE_HOURS
    club.set("2026-10-08 09:00")
    (session,) = club.leader(today.today).sessions
    assert session.session.window.start == club.at("2026-10-08 16:00")
    assert [line.booking.number for line in session.bookings] == [1]
    free = club.student(booking.free, "thursday")
    assert (free.window.start, free.count) == (club.at("2026-10-08 16:00"), 5)
    assert "Today" in [type(part).__name__ for part in club.mail()["Leader"]]


def test_the_teams_and_the_other_adults_are_told_what_changed_and_why(club: Club) -> None:
    club.student(booking.request, f"2 kits {FRIDAY}")
    moved = _moved(club, "friday to thu 8 oct 16:00-17:30: the hall is let")
    assert moved.told == 1
    told = club.mail()
    (part,) = told["Student"]
    assert isinstance(part, SessionElsewhen)
    assert part.before.start == club.at("2026-10-02 15:30")
    assert (part.after.start, part.after.end) == tuple(club.at(each) for each in THURSDAY)
    assert part.why == "the hall is let"
    assert part.booking is not None
    assert part.booking.window == part.after
    (other,) = told["Co-leader"]
    assert isinstance(other, SessionElsewhen)
    assert other.booking is None
    assert "Leader" not in told
    club.set("2026-10-07 18:30")
    assert [type(each).__name__ for each in club.mail()["Student"]] == ["BookedTomorrow"]


def test_moving_back_puts_everything_where_it_was(club: Club) -> None:
    club.leader(booking.request, f"kit B and kit C for Red {FRIDAY}")
    club.leader(booking.request, "1 kit for Blue Fri 16:00-16:45")
    before = _mine(club)
    moved = _moved(club, "friday to thu 8 oct 17:00-19:00")
    assert _mine(club)[1][1] == "Thu 08 17:30-18:15"
    day, _, at = moved.back.partition(":")
    back = club.leader(moving.move_back, day, f"{at[:2]}:{at[2:]}")
    assert isinstance(back, SessionMoved)
    assert back.back == ""
    assert _mine(club) == before
    _moved(club, "friday to thu 8 oct 17:00-19:00")
    assert _moved(club, "8 oct to 2 oct").back == ""
    assert _mine(club) == before
    with club.store.read() as tx:
        assert clubs.calendar(tx, club.id, club.zone).moves == ()
    assert club.leader(moving.move_back, day, "15:30") == Refused(Reason.OUT_OF_DATE)


def test_what_cannot_go_along_stands_and_is_listed_with_what_would_be_possible(
    club: Club,
) -> None:
    club.leader(booking.request, "4 kits for Blue Thu 8 Oct 16:00-17:30")
    club.student(booking.request, f"1 kit {FRIDAY}")
    club.leader(booking.request, f"3 kits for Blue {FRIDAY}")
    moved = _moved(club, "friday to thu 8 oct 16:00-17:30")
    assert [each.number for each in moved.along] == [2]
    assert [(each.booking.number, each.possible, each.why) for each in moved.left] == [
        (3, 1, "kits")
    ]
    assert moved.left[0].booking.window.start == club.at("2026-10-02 15:30")
    changed = club.leader(moving.bring_along, 3, 1)
    (now,) = changed.bookings
    assert (now.number, now.count) == (3, 1)
    assert now.window.start == club.at("2026-10-08 16:00")
    assert club.leader(moving.bring_along, 3, 1) == Refused(Reason.OUT_OF_DATE)


def test_people_whose_booking_cannot_go_along_are_told_so(club: Club) -> None:
    club.leader(booking.request, "6 kits for Blue Thu 8 Oct 16:00-17:30")
    club.student(booking.request, f"1 kit {FRIDAY}")
    moved = _moved(club, "friday to thu 8 oct 16:00-17:30")
    assert [(each.possible, each.why) for each in moved.left] == [(0, "kits")]
    (part,) = club.mail()["Student"]
    assert isinstance(part, NotAlong)
    assert part.possible == 0
    assert part.booking.window.start == club.at("2026-10-02 15:30")


def test_a_kit_asked_for_by_name_that_is_taken_then_can_be_had_as_another(club: Club) -> None:
    club.leader(booking.request, "kit C for Blue Thu 8 Oct 16:00-17:30")
    club.leader(booking.request, f"kit C for Red {FRIDAY}")
    moved = _moved(club, "friday to thu 8 oct 16:00-17:30")
    assert [(each.booking.number, each.possible, each.why) for each in moved.left] == [
        (2, 1, "named")
    ]
    (now,) = club.leader(moving.bring_along, 2, 1).bookings
    assert [kit.label for kit in now.kits] != ["C"]


def test_an_hour_later_the_same_day_all_go_along_though_every_kit_is_taken(club: Club) -> None:
    for team, count in (("Red", 4), ("Blue", 2)):
        club.leader(booking.request, f"{count} kits for {team} {FRIDAY}")
    before = [kits for _, _, kits in _mine(club)]
    moved = _moved(club, "friday to 16:30")
    assert len(moved.along) == 2
    assert [(window, kits) for _, window, kits in _mine(club)] == [
        ("Fri 02 16:30-18:00", kits) for kits in before
    ]


def test_what_stays_behind_keeps_its_kits_from_those_that_go(club: Club) -> None:
    club.settings(gap_minutes=10)
    club.leader(booking.request, "3 kits for Blue Fri 17:15-18:30")
    club.leader(booking.request, f"4 kits for Red {FRIDAY}")
    club.leader(booking.request, "2 kits Fri 15:30-17:00 for Blue")
    moved = _moved(club, "friday to 16:30")
    taken: dict[str, list[tuple[str, str]]] = {}
    for number, window, kits in _mine(club):
        for kit in kits:
            taken.setdefault(kit, []).append((window, str(number)))
    assert [each.booking.number for each in moved.left] == [2]
    for spans in taken.values():
        times = sorted(window[7:].split("-") for window, _ in spans)
        assert all(one[1] <= two[0] for one, two in pairwise(times))


@pytest.mark.parametrize("who", ["leader", "student"])
def test_who_books_a_moved_session_by_its_name_gets_the_time_at_which_it_is_held(
    club: Club, who: str
) -> None:
    with club.store.write() as tx:
        tx.execute(sa.update(MEETING).where(MEETING.c.weekday == 4).values(name="Builders"))
    _moved(club, "friday to thu 8 oct 16:00-17:30")
    booked = getattr(club, who)(booking.request, "2 kits for Red at Builders on Friday")
    assert isinstance(booked, Booked), booked
    held = booked.booking.window.start.astimezone(club.zone)
    assert f"{held:%a %d %H:%M}" == "Thu 08 16:00"


def test_those_who_wait_for_a_place_wait_for_it_at_the_new_time(club: Club) -> None:
    club.leader(booking.request, f"6 kits for Blue {FRIDAY}")
    start, end = club.at("2026-10-02 15:30"), club.at("2026-10-02 17:00")
    club.student(waiting.wait, start, end, 1, None)
    _moved(club, "friday to thu 8 oct 16:00-17:30")
    club.mail()
    club.leader(booking.cancel, 1)
    (offer,) = club.mail()["Student"]
    assert offer.window.start == club.at("2026-10-08 16:00")


def test_what_repeats_follows_the_sessions_that_are_held_elsewhen(club: Club) -> None:
    _moved(club, "9 oct to 8 oct 16:00-17:30")
    weekly = club.leader(booking.request, "1 kit for Red every friday 15:30-17:00 until 16 Oct")
    assert isinstance(weekly, BookedWeekly)
    starts = [each.window.start for each in weekly.bookings]
    assert starts == [
        club.at("2026-10-02 15:30"),
        club.at("2026-10-08 16:00"),
        club.at("2026-10-16 15:30"),
    ]


def test_a_closed_days_session_is_moved_and_nothing_is_moved_to_a_closed_day(club: Club) -> None:
    club.leader(club_desk.close_days, "2 Oct: the hall is painted")
    refused = club.leader(moving.move_session, "mon to 2 oct")
    assert refused == Refused(
        Reason.CLOSED, {"why": "the hall is painted", "day": date(2026, 10, 2)}
    )
    _moved(club, "2 oct to 1 oct 16:00-17:30")
    (session,) = club.leader(today.today).sessions
    assert session.session.window.start == club.at("2026-10-01 16:00")


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", Reason.NOT_UNDERSTOOD),
        ("friday", Reason.NOT_UNDERSTOOD),
        ("friday to", Reason.NOT_UNDERSTOOD),
        ("wednesday to thursday", Reason.NOT_UNDERSTOOD),
        ("friday to someday", Reason.NOT_UNDERSTOOD),
        ("friday to friday", Reason.NOT_UNDERSTOOD),
        ("friday to 1 Oct 10:00", Reason.PAST),
        ("friday to monday 15:00-17:00", Reason.SESSION_THERE),
    ],
)
def test_a_move_that_cannot_be_read_or_made_changes_nothing(
    club: Club, text: str, reason: Reason
) -> None:
    club.student(booking.request, f"1 kit {FRIDAY}")
    before = dump(club.store)
    assert club.leader(moving.move_session, text).reason is reason
    assert dump(club.store) == before


def test_only_adults_move_a_session(club: Club) -> None:
    assert club.helper(moving.move_session, "fri to sat").reason is Reason.NOT_ALLOWED


def test_a_booking_whose_kits_are_out_already_stays_as_it_is(club: Club) -> None:
    club.leader(booking.request, f"1 kit for Red {FRIDAY}")
    club.set("2026-10-02 15:10")
    club.helper(handover.give_out, "")
    moved = _moved(club, "today to sat 10:00-11:30")
    assert [(each.booking.number, each.why) for each in moved.left] == [(1, "out")]
    assert len(club.out()) == 1


def test_a_move_said_twice_is_made_once(club: Club) -> None:
    club.leader(booking.request, f"1 kit for Red {FRIDAY}")
    first = _moved(club, "friday to thu 8 oct 16:00-17:30")
    assert club.leader.again() == first
    assert club.leader(usability.withdraw, "F: bent").use == "out of use"
    assert club.leader(feed.export).bookings == 1
