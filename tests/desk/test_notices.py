"""Reminders: each once, at the club's own wall time, joined, quiet at night, and never stale."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
import sqlalchemy as sa

from clubbot.desk import booking, charging, danger, fault, handover, sending, sweep
from clubbot.desk import club as club_desk
from clubbot.rules.model import BookingId, KitId, Reason, Refused, Role, TeamId
from clubbot.rules.results import (
    BookedTomorrow,
    ChargeList,
    DangerAlarm,
    DueSoon,
    KitRef,
    Late,
    SaidBack,
    StillOut,
    TakenBack,
    TeamRef,
    Today,
    WhatIsOut,
)
from clubbot.rules.sending import Gone, Sent, TryAgain, Unknown
from clubbot.store import clubs
from clubbot.store.clubs import ClubRow
from clubbot.store.engine import Store
from clubbot.store.tables import NOTICE, TEAM
from tests.desk.scene import BOT, Club, make_club

FRIDAY = "Fri 15:30-17:00"


def kinds(told: dict[str, list[object]]) -> dict[str, list[str]]:
    """Return what each person was told, by the names of its parts."""
    return {name: [type(each).__name__ for each in parts] for name, parts in told.items()}


def made(store: Store) -> list[tuple[str, str, str, int, datetime]]:
    """Return every notice ever made: kind, subject, occurrence, person, due."""
    with store.read() as tx:
        rows = tx.execute(
            sa.select(
                NOTICE.c.kind,
                NOTICE.c.subject,
                NOTICE.c.occurrence,
                NOTICE.c.person_id,
                NOTICE.c.due_at,
            )
        )
        return sorted(tuple(row) for row in rows)  # type: ignore[misc]


@pytest.fixture
def out(club: Club) -> Club:
    """The club at the end of its Friday session: Red has A and B, Blue has C, all due now."""
    club.student(booking.request, f"A and B {FRIDAY}")
    mate = club.newcomer("Mate", Role.STUDENT, ["Blue"])
    mate(booking.request, f"C {FRIDAY}")
    club.set("2026-10-02 15:30")
    club.mail()
    club.helper(handover.give_out, "")
    club.set("2026-10-02 17:00")
    club.mail()
    return club


def test_the_evening_before_people_are_reminded_with_their_kits(club: Club) -> None:
    club.student(booking.request, f"2 kits {FRIDAY}")
    club.set("2026-10-01 17:59")
    assert club.mail() == {}
    club.set("2026-10-01 18:00")
    told = club.mail()
    assert kinds(told) == {"Student": ["BookedTomorrow"]}
    (part,) = told["Student"]
    assert isinstance(part, BookedTomorrow)
    assert len(part.booking.kits) == 2
    assert club.mail() == {}


def test_of_a_booking_made_for_a_team_its_own_people_are_reminded_too(club: Club) -> None:
    mate = club.newcomer("Mate", Role.STUDENT, ["Red"])
    coach = club.newcomer("Coach", Role.CO_LEADER)
    with club.store.write() as tx:
        mine = TEAM.c.id == club.team("Blue")
        tx.execute(sa.update(TEAM).where(mine).values(adult_id=coach.id))
    club.helper(booking.request, f"A for Red {FRIDAY}")
    club.door(booking.request, f"B for Blue {FRIDAY}")
    mate(booking.request, "C for Red Mon 16:00-17:30")
    club.set("2026-10-01 18:00")
    assert set(club.mail()) == {"Helper", "Student", "Mate", "Door phone", "Coach"}
    club.set("2026-10-02 15:30")
    club.helper(handover.give_out, "Red")
    club.set("2026-10-02 16:51")
    soon = {name for name, parts in kinds(club.mail()).items() if "DueSoon" in parts}
    assert soon == {"Helper", "Student", "Mate"}
    club.set("2026-10-04 18:00")
    assert "Mate" not in club.mail(), "children hear nothing on a Sunday"
    club.set("2026-10-05 07:30")
    tomorrow = {name for name, parts in kinds(club.mail()).items() if "BookedTomorrow" in parts}
    assert tomorrow == {"Mate"}, "whoever books for their own team tells it"


def test_who_books_after_the_reminder_was_due_needs_none(club: Club) -> None:
    club.set("2026-10-01 18:30")
    club.student(booking.request, f"2 kits {FRIDAY}")
    assert club.mail() == {}


def test_a_cancelled_booking_is_not_reminded_of_even_when_the_notice_waits_already(
    club: Club,
) -> None:
    number = club.student(booking.request, f"2 kits {FRIDAY}").booking.number
    club.set("2026-10-01 18:00")
    club.sweep()
    club.student(booking.cancel, number)
    assert club.mail() == {}


def test_shortly_before_the_end_those_with_kits_are_told_and_not_those_without(
    club: Club,
) -> None:
    club.student(booking.request, f"2 kits {FRIDAY}")
    club.set("2026-10-02 15:30")
    club.mail()
    club.set("2026-10-02 16:50")
    assert club.mail() == {}
    club.helper(handover.give_out, "")
    (part,) = club.mail()["Student"]
    assert isinstance(part, DueSoon)
    assert part.due == club.at("2026-10-02 17:00")


def test_first_only_the_sessions_adult_is_asked_about_all_that_is_out_at_once(out: Club) -> None:
    out.set("2026-10-02 17:14")
    assert out.mail() == {}
    out.set("2026-10-02 17:15")
    assert kinds(out.mail()) == {"Leader": ["StillOut"]}


def _asked(club: Club) -> StillOut:
    """Let the moment come at which the adult is asked, and return the question."""
    club.set("2026-10-02 17:15")
    parts = club.mail()["Leader"]
    (question,) = parts
    assert isinstance(question, StillOut)
    return question


def test_all_back_takes_all_of_them_back_and_ends_the_chasing(out: Club) -> None:
    question = _asked(out)
    assert [ref.label for ref in question.kits] == ["A", "B", "C"]
    taken = out.leader(handover.all_back, question.notice)
    assert isinstance(taken, TakenBack)
    assert out.out() == []
    for moment in ("2026-10-02 19:00", "2026-10-05 08:00", "2026-10-06 08:00"):
        out.set(moment)
        assert "Late" not in str(kinds(out.mail()))


def test_only_who_was_asked_can_answer_and_only_that_question(out: Club) -> None:
    question = _asked(out)
    assert out.co_leader(handover.all_back, question.notice) == Refused(Reason.OUT_OF_DATE)
    with out.store.read() as tx:
        others = tx.execute(
            sa.select(NOTICE.c.id).where(
                NOTICE.c.person_id == out.leader.id, NOTICE.c.kind != "late asked"
            )
        ).scalars()
        numbers = [*others, 10_000]
    out.leader(fault.report, "the battery of F is swollen and hot")
    with out.store.read() as tx:
        numbers += tx.execute(sa.select(NOTICE.c.id).where(NOTICE.c.kind == "danger")).scalars()
    assert len(numbers) > 1
    for number in numbers:
        for answer in (handover.all_back, handover.some_missing):
            assert out.leader(answer, number) == Refused(Reason.OUT_OF_DATE)
    assert out.out() == ["A", "B", "C"]


def test_some_missing_leaves_ten_minutes_and_then_asks_who_has_them(out: Club) -> None:
    question = _asked(out)
    assert isinstance(out.leader(handover.some_missing, question.notice), WhatIsOut)
    out.leader(handover.back_kit, out.kit("C"))
    out.later(minutes=9)
    assert out.mail() == {}
    out.later(minutes=1)
    told = out.mail()
    assert kinds(told) == {"Student": ["Late"]}
    (part,) = told["Student"]
    assert isinstance(part, Late)
    assert ([ref.label for ref in part.kits], part.step) == (["A", "B"], "holder")


def test_an_adult_who_does_not_answer_is_waited_for_and_then_the_ladder_goes_on(
    out: Club,
) -> None:
    _asked(out)
    heard: list[tuple[str, str, str]] = []
    for wall in (
        "2026-10-02 17:59",
        "2026-10-02 18:00",
        "2026-10-02 18:30",
        "2026-10-03 08:00",
        "2026-10-05 07:59",
        "2026-10-05 08:00",
        "2026-10-05 12:00",
        "2026-10-06 08:00",
        "2026-10-06 18:00",
        "2026-10-07 08:00",
    ):
        out.set(wall)
        for name, parts in out.mail().items():
            heard += [(wall, name, each.step) for each in parts if isinstance(each, Late)]
    assert sorted(heard) == [
        ("2026-10-02 18:00", "Mate", "holder"),
        ("2026-10-02 18:00", "Student", "holder"),
        ("2026-10-05 08:00", "Mate", "morning"),
        ("2026-10-05 08:00", "Student", "morning"),
        ("2026-10-06 08:00", "Leader", "leader"),
        ("2026-10-06 08:00", "Leader", "leader"),
    ]


def test_a_teams_word_that_it_is_back_stops_the_chasing_of_them(out: Club) -> None:
    _asked(out)
    assert isinstance(out.student(handover.back, ""), SaidBack)
    out.set("2026-10-02 18:05")
    assert kinds(out.mail()) == {"Mate": ["Late"]}


def test_a_kit_that_came_back_between_the_sweep_and_the_sending_is_not_asked_after(
    out: Club,
) -> None:
    out.set("2026-10-02 17:15")
    out.sweep()
    out.helper(handover.back, "all")
    assert "StillOut" not in str(kinds(out.mail()))


def test_an_adult_who_cannot_be_reached_holds_up_nobody(out: Club) -> None:
    from clubbot.desk import people

    people.blocked(out.store, out.leader.asking())
    out.set("2026-10-02 17:15")
    assert "Leader" not in out.mail()
    out.set("2026-10-02 18:05")
    assert "Late" in str(kinds(out.mail()))


def test_what_is_owed_to_one_person_comes_in_one_message_and_danger_by_itself(
    club: Club,
) -> None:
    club.settings(evening_at=time(12, 30))
    club.student(booking.request, "1 kit Fri 15:30-16:00")
    club.student(booking.request, "1 kit Fri 16:00-17:00")
    club.set("2026-10-01 12:30")
    club.student(fault.report, "smoke comes out of kit E")
    club.sweep()
    owed = sending.lease(club.store, club.now, club.now)
    sizes = [(club.name_of(each.chat_id), each.urgent, len(each.notices)) for each in owed]
    assert sizes[0][1] is True
    assert [size for size in sizes if not size[1]] == [("Student", False, 2)]
    assert {name for name, urgent, _ in sizes if urgent} == {"Leader", "Co-leader"}


def test_danger_reaches_adults_at_night_and_everything_else_waits_for_the_morning(
    club: Club,
) -> None:
    club.set("2026-10-01 23:00")
    club.helper(fault.report, "kit F: the screen stays black")
    club.student(fault.report, "the battery of E is swollen and hot")
    told = club.mail()
    assert kinds(told) == {"Leader": ["DangerAlarm"], "Co-leader": ["DangerAlarm"]}
    (alarm,) = told["Leader"]
    assert isinstance(alarm, DangerAlarm)
    assert [ref.label for ref in alarm.kits] == ["E"]
    club.co_leader(danger.take, alarm.fault)
    assert kinds(club.mail()) == {"Leader": ["DangerHasSomeone"]}
    club.set("2026-10-02 07:59")
    assert club.mail() == {}
    club.set("2026-10-02 08:00")
    assert kinds(club.mail()) == {"Leader": ["NewFault"], "Co-leader": ["NewFault"]}


@pytest.mark.parametrize(("wall", "quiet"), [("18:59", False), ("19:00", True), ("19:30", True)])
def test_students_have_quiet_hours_of_their_own(club: Club, wall: str, quiet: bool) -> None:
    number = club.student(booking.request, f"2 kits {FRIDAY}").booking.number
    club.set(f"2026-10-01 {wall}")
    club.mail()
    club.helper(booking.cancel, number)
    assert ("Student" in club.mail()) is not quiet
    club.set("2026-10-02 07:30")
    assert ("Student" in club.mail()) is quiet


def test_what_a_bot_that_was_down_finds_at_night_waits_for_the_morning_too(club: Club) -> None:
    club.student(booking.request, f"2 kits {FRIDAY}")
    club.set("2026-10-01 23:30")
    assert club.mail() == {}
    club.set("2026-10-02 07:30")
    assert kinds(club.mail())["Student"] == ["BookedTomorrow"]


def test_what_became_due_while_the_bot_was_down_goes_out_late_while_it_is_of_use(
    club: Club,
) -> None:
    club.student(booking.request, f"2 kits {FRIDAY}")
    club.set("2026-10-02 09:00")
    assert "BookedTomorrow" in kinds(club.mail())["Student"]


def test_what_is_of_no_use_any_more_is_dropped(club: Club) -> None:
    club.student(booking.request, f"2 kits {FRIDAY}")
    club.set("2026-10-01 18:00")
    club.sweep()
    club.set("2026-10-02 15:30")
    assert "Student" not in club.mail()
    assert sending.nothing_owed(club.store, club.now)


def test_a_charge_list_missed_over_a_weekend_still_comes_before_the_next_week(club: Club) -> None:
    club.student(booking.request, "2 kits Mon 16:00-17:30")
    club.set("2026-10-02 14:00")
    club.mail()
    club.set("2026-10-04 20:00")
    assert "ChargeList" in str(kinds(club.mail()))


def test_a_bot_that_was_down_over_the_weekend_still_asks_about_what_is_out(out: Club) -> None:
    out.set("2026-10-05 09:00")
    told = out.mail()
    assert "StillOut" in kinds(told)["Leader"]
    assert "Student" not in told
    out.later(minutes=45)
    assert kinds(out.mail())["Student"] == ["Late"]


def test_repeated_sweeps_and_two_processes_make_no_notice_twice(club: Club) -> None:
    club.student(booking.request, f"2 kits {FRIDAY}")
    club.set("2026-10-01 18:00")
    other = Store(club.store.url.render_as_string(hide_password=False))
    with ThreadPoolExecutor(6) as pool:
        jobs = [
            pool.submit(sweep.sweep, store, club.now)
            for store in (club.store, other)
            for _ in range(6)
        ]
        added = sum(job.result() for job in jobs)
    other.close()
    assert added == len(made(club.store)) == 1
    assert club.sweep() == 0


def test_two_senders_never_take_the_same_notice(club: Club) -> None:
    for _ in range(3):
        club.student(fault.report, "smoke comes out of kit E")
    other = Store(club.store.url.render_as_string(hide_password=False))
    with ThreadPoolExecutor(6) as pool:
        jobs = [
            pool.submit(sending.lease, store, club.now, club.now, 2)
            for store in (club.store, other)
            for _ in range(5)
        ]
        taken = [row.id for job in jobs for owed in job.result() for row in owed.notices]
    other.close()
    assert len(taken) == len(set(taken)) > 0
    assert len(taken) == len(made(club.store))


REAL = datetime(2026, 11, 1, tzinfo=UTC)
"""Leases run on real time, whatever the club's clock shows."""


def _one_owed(club: Club) -> sending.Owed:
    club.student(booking.request, f"2 kits {FRIDAY}")
    club.set("2026-10-01 18:00")
    club.sweep()
    (owed,) = sending.lease(club.store, club.now, REAL)
    return owed


def _again(club: Club, after: timedelta) -> list[sending.Owed]:
    return sending.lease(club.store, club.now, REAL + after)


def test_what_a_dead_sender_left_is_taken_up_when_its_lease_is_over_and_then_not_again(
    club: Club,
) -> None:
    _one_owed(club)
    assert _again(club, timedelta(seconds=60)) == []
    assert len(_again(club, sending.LEASE + timedelta(seconds=1))) == 1
    assert _again(club, 3 * sending.LEASE) == []
    assert sending.nothing_owed(club.store, club.now)


@pytest.mark.parametrize(
    ("outcome", "tries_more"),
    [(Sent(7), 0), (Gone("blocked"), 0), (Unknown(), 1), (TryAgain(timedelta(seconds=5)), 9)],
    ids=["sent", "gone", "unknown", "try again"],
)
def test_each_outcome_is_remembered_for_what_it_is(
    club: Club, outcome: Sent | Gone | Unknown | TryAgain, tries_more: int
) -> None:
    owed = _one_owed(club)
    tried = 0
    for attempt in range(1, 10):
        now = REAL + attempt * timedelta(minutes=5)
        sending.mark(club.store, owed, outcome, club.now, now - timedelta(minutes=4))
        again = _again(club, attempt * timedelta(minutes=5))
        if not again:
            break
        (owed,) = again
        tried += 1
    assert tried == tries_more
    assert sending.nothing_owed(club.store, club.now) is (tries_more < 9)


def test_a_send_put_off_is_not_taken_up_before_its_time(club: Club) -> None:
    owed = _one_owed(club)
    sending.mark(club.store, owed, TryAgain(timedelta(minutes=3)), club.now, REAL)
    assert _again(club, timedelta(minutes=3)) == []
    assert len(_again(club, timedelta(minutes=3, seconds=1))) == 1


ZONES = ["Europe/Dublin", "America/New_York", "Australia/Hobart"]


def _changes(zone: ZoneInfo, year: int) -> list[date]:
    """Return the days of a year on which the zone's clocks change, from the zone's own data."""
    noons = [datetime(year, 1, 1, 12, tzinfo=zone) + n * timedelta(days=1) for n in range(366)]
    return [
        later.date()
        for earlier, later in pairwise(noons)
        if earlier.utcoffset() != later.utcoffset()
    ]


@pytest.mark.parametrize("zone", ZONES)
def test_the_weekly_list_keeps_its_wall_time_across_both_clock_changes(
    sqlite_store: Store, zone: str
) -> None:
    place = ZoneInfo(zone)
    changes = _changes(place, 2027)
    assert len(changes) == 2
    for change in changes:
        first = change - timedelta(days=change.weekday() + 14)
        club = make_club(sqlite_store, zone=zone, now=f"{first} 00:30")
        with sqlite_store.write() as tx:
            clubs.remove_meetings(tx, club.id)
        club.settings(charge_list_at=time(15))
        club.newcomer("Second", Role.LEADER)
        walls = []
        for week in range(4):
            monday = first + timedelta(weeks=week)
            club.set(f"{monday} 01:00")
            coming = monday + timedelta(days=8)
            club.leader(booking.request, f"1 kit for Red {coming} 15:30-17:00")
            club.set(f"{monday + timedelta(days=6)} 12:00")
            horizon = club.now
            club.set(f"{monday + timedelta(days=4)} 14:59")
            assert "ChargeList" not in str(kinds(club.mail()))
            club.set(f"{monday + timedelta(days=4)} 15:00")
            told = club.mail()
            assert kinds(told)["Leader"] == ["ChargeList"]
            assert club.now < horizon
            walls.append(monday + timedelta(days=4))
        mine = {row[2]: row[4] for row in made(sqlite_store) if row[3] == club.leader.id}
        lists = [due.astimezone(place) for key, due in mine.items() if "W" in key]
        assert [due.date() for due in sorted(lists)] == walls
        assert {due.time() for due in lists} == {time(15)}


@pytest.mark.parametrize("zone", ZONES)
def test_a_list_at_an_hour_that_is_skipped_or_repeated_comes_once(
    sqlite_store: Store, zone: str
) -> None:
    place = ZoneInfo(zone)
    for change in _changes(place, 2027):
        club = make_club(sqlite_store, zone=zone, now=f"{change - timedelta(days=3)} 10:00")
        hour = 1 if zone == "Europe/Dublin" else 2
        club.settings(charge_list_weekday=6, charge_list_at=time(hour, 30))
        club.leader(booking.request, f"1 kit for Red {change + timedelta(days=1)} 16:00-17:30")
        club.now = club.at(f"{change} 00:00")
        for _ in range(6 * 4):
            club.later(minutes=15)
            club.sweep()
        lists = [r for r in made(sqlite_store) if r[0] == "charge list" and r[3] == club.leader.id]
        assert len(lists) == 1


def test_the_list_of_a_closed_day_comes_on_an_open_day_before(club: Club) -> None:
    club.student(booking.request, "2 kits Mon 12 October 16:00-17:30")
    club.leader(club_desk.close_days, "9 Oct: teachers' day")
    club.set("2026-10-08 14:59")
    assert "ChargeList" not in str(kinds(club.mail()))
    club.set("2026-10-08 15:00")
    (part,) = [e for e in club.mail()["Leader"] if isinstance(e, ChargeList)]
    assert len(part.needed) == 2
    club.set("2026-10-09 18:00")
    assert "ChargeList" not in str(kinds(club.mail()))


def test_a_week_without_bookings_needs_no_charge_list(club: Club) -> None:
    club.set("2026-10-02 17:00")
    assert club.mail() == {}


def test_on_a_sessions_morning_the_adults_get_its_list(club: Club) -> None:
    club.student(booking.request, f"2 kits {FRIDAY}")
    club.set("2026-10-02 08:00")
    told = club.mail()
    (part,) = [each for each in told["Co-leader"] if isinstance(each, Today)]
    assert [
        line.booking.team.name
        for each in part.sessions
        for line in each.bookings
        if line.booking.team
    ] == ["Red"]
    club.set("2026-10-03 08:00")
    assert "Today" not in str(kinds(club.mail()))


def _story(club: Club) -> list[tuple[str, Callable[[], object]]]:
    """What people of the club do in one week, and when."""
    return [
        ("2026-10-01 12:00", lambda: club.student(booking.request, f"2 kits {FRIDAY}")),
        ("2026-10-01 12:15", lambda: club.helper(booking.request, f"D for Blue {FRIDAY}")),
        ("2026-10-02 15:30", lambda: club.helper(handover.give_out, "")),
        ("2026-10-02 16:15", lambda: club.helper(handover.back, "D")),
        ("2026-10-02 16:30", lambda: club.student(booking.request, "1 kit Mon 16:00-17:30")),
        ("2026-10-05 16:00", lambda: club.helper(handover.give_out, "")),
        ("2026-10-05 20:15", lambda: club.student(handover.back, "")),
    ]


def _step_by_step(club: Club, until: datetime) -> None:
    """Go from one due moment to the next, as a stepped clock does."""
    while (moment := sweep.next_moment(club.store, club.now, until)) is not None:
        club.now = moment
        club.mail()


def _every_quarter_hour(club: Club, until: datetime) -> None:
    while club.now + QUARTER <= until:
        club.now += QUARTER
        weekend = club.now.weekday() in (5, 6) and club.now.hour not in (7, 17)
        if club.now.hour != 23 and (weekend or not 5 < club.now.hour < 20):
            continue  # nothing is due in the club's night, but at its midnight
        if club.sweep() or club.now.minute in (0, 30):
            club.mail()


QUARTER = timedelta(minutes=15)


def _live(club: Club, pass_time: Callable[[Club, datetime], None]) -> list[tuple[object, ...]]:
    """Let some days pass, with what people do in them; return what the sweep made."""
    for wall, act in [*_story(club), ("2026-10-06 09:00", lambda: None)]:
        pass_time(club, club.at(wall))
        club.now = club.at(wall)
        act()
    return [row for row in made(club.store) if not row[2].startswith(f"{BOT}:")]


def test_going_from_one_due_moment_to_the_next_leaves_out_nothing(
    sqlite_store: Store, tmp_path: Path
) -> None:
    club = make_club(sqlite_store)
    club.settings(due_soon_minutes=15)
    sqlite_store.copy_to(tmp_path / "copy.sqlite")
    other = Store(f"sqlite:///{(tmp_path / 'copy.sqlite').as_posix()}")
    twin = replace(club, store=other)
    twin.people = {role: replace(who, club=twin) for role, who in club.people.items()}
    found = _live(club, _step_by_step)
    assert found == _live(twin, _every_quarter_hour)
    assert {row[0] for row in found} >= {"tomorrow", "due soon", "late asked", "late holder"}
    other.close()


def test_the_charge_list_says_what_was_charged_just_before_it_went_out(club: Club) -> None:
    club.student(booking.request, "A and B Mon 16:00-17:30")
    club.set("2026-10-02 17:00")
    club.leader(charging.charged, "A")
    (part,) = [each for each in club.mail()["Leader"] if isinstance(each, ChargeList)]
    assert {line.kit.label: line.charged_at for line in part.needed} == {"A": club.now, "B": None}


def test_a_club_whose_sweep_breaks_holds_back_no_other_clubs_reminders(
    club: Club, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    other = make_club(club.store, name="Other", labels=["Z1"], teams=["Faraway"])
    swept: list[int] = []

    def breaks(tx: object, row: ClubRow, now: object) -> object:
        swept.append(row.id)
        raise ValueError("a bug")

    monkeypatch.setattr(sweep, "_load", breaks)
    assert club.sweep() == 0
    assert {club.id, other.id} <= set(swept)
    assert "reference" in caplog.text


def test_late_kits_said_together_keep_the_button_for_longer() -> None:
    at, red = datetime(2026, 10, 2, 16, tzinfo=UTC), TeamRef(TeamId(1), "Red")
    kits = [KitRef(KitId(number), label) for number, label in ((1, "A"), (2, "B"), (3, "C"))]
    parts = [
        Late((kits[0],), red, at, "leader", BookingId(4)),
        Late((kits[1],), red, at, "leader", BookingId(4)),
        Late((kits[2],), red, at, "leader", BookingId(5)),
    ]
    together = Late((kits[0], kits[1]), red, at, "leader", BookingId(4))
    assert sending._joined(parts) == [together, parts[2]]
