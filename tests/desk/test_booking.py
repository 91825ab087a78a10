"""Booking, as people do it: what is free, asking step by step, and never the same kit twice."""

from __future__ import annotations

import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor

import pytest

from clubbot.desk import booking, handover, usability
from clubbot.desk import club as club_desk
from clubbot.rules.model import Reason, Refused, Role, Window
from clubbot.rules.results import (
    Booked,
    BookedWeekly,
    BookingLacks,
    BookingTwoWays,
    Cancelled,
    FreeKits,
    MyBookings,
)
from clubbot.store import bookings, clubs, people
from clubbot.store.engine import Store
from tests.desk.scene import Club, dump, make_club

FRIDAY = "Fri 15:30-17:00"


def test_all_kits_are_free_at_the_next_session_of_an_unbooked_club(club: Club) -> None:
    free = club.student(booking.free)
    assert isinstance(free, FreeKits)
    assert (free.count, free.of, free.closed) == (6, 6, None)
    assert free.window.start == club.at("2026-10-02 15:30")


def test_what_is_booked_is_not_free_any_more(club: Club) -> None:
    booked = club.student(booking.request, f"2 kits {FRIDAY}")
    assert isinstance(booked, Booked)
    free = club.student(booking.free, "Fri 16:00-16:30")
    assert free.count == 4
    assert len(free.kits) == 4
    assert not {ref.id for ref in free.kits} & {ref.id for ref in booked.booking.kits}


def test_a_students_booking_is_for_their_own_team(club: Club) -> None:
    booked = club.student(booking.request, f"2 kits {FRIDAY}").booking
    assert (booked.team.name, booked.count, len(booked.kits)) == ("Red", 2, 2)
    assert (booked.window.start, booked.window.end) == (
        club.at("2026-10-02 15:30"),
        club.at("2026-10-02 17:00"),
    )
    assert booked.booked_by == club.student.id


def test_a_student_cannot_book_for_another_team(club: Club) -> None:
    asked = club.student(booking.request, f"2 kits for Blue {FRIDAY}")
    assert isinstance(asked, BookingLacks)
    assert [ref.name for ref in asked.teams] == ["Red"]
    refused = club.student(booking.go_on, "", club.team("Blue"))
    assert refused == Refused(Reason.UNKNOWN_TEAM)
    assert club.student(booking.mine) == MyBookings(())


def test_a_helper_is_asked_for_which_team_and_one_tap_books(club: Club) -> None:
    asked = club.helper(booking.request, f"2 kits {FRIDAY}")
    assert isinstance(asked, BookingLacks)
    assert asked.ask == "team"
    assert [ref.name for ref in asked.teams] == ["Blue", "Red"]
    booked = club.helper(booking.go_on, "", club.team("Blue"))
    assert booked.booking.team.name == "Blue"


def test_a_request_made_in_small_answers_is_booked_as_if_it_had_been_said_at_once(
    club: Club,
) -> None:
    assert club.student(booking.request, "book").ask in ("day", "count")
    step, answers = None, {"day": "Friday", "start": "15:30", "end": "17:00", "count": "2"}
    for _ in range(4):
        step = club.student(booking.go_on, answers[step.ask if step else "day"])
        if isinstance(step, Booked):
            break
    assert isinstance(step, Booked)
    assert (step.booking.count, step.booking.window.start) == (2, club.at("2026-10-02 15:30"))
    assert club.student(booking.go_on, "3") == Refused(Reason.OUT_OF_DATE)


def test_tomorrow_means_the_day_after_it_was_said_not_after_it_was_answered(club: Club) -> None:
    club.set("2026-10-01 23:50")
    asked = club.leader(booking.request, "2 kits for Red tomorrow from 15:30")
    assert isinstance(asked, BookingLacks)
    club.later(minutes=15)
    booked = club.leader(booking.go_on, "until 17:00")
    assert booked.booking.window.start == club.at("2026-10-02 15:30")


def test_a_question_is_forgotten_after_an_hour(club: Club) -> None:
    club.helper(booking.request, f"2 kits {FRIDAY}")
    club.later(minutes=61)
    assert club.helper(booking.go_on, "", club.team("Red")) == Refused(Reason.OUT_OF_DATE)


def test_two_people_in_one_group_are_asked_apart(club: Club) -> None:
    club.helper.in_group(booking.request, f"2 kits {FRIDAY}")
    assert club.leader.in_group(booking.go_on, "", club.team("Red")) == Refused(Reason.OUT_OF_DATE)
    assert isinstance(club.helper.in_group(booking.go_on, "", club.team("Red")), Booked)


def test_what_can_be_read_two_ways_is_asked_and_one_tap_decides(club: Club) -> None:
    asked = club.leader(booking.request, "2 kits for Red Friday or Monday 15:30-17:00")
    assert isinstance(asked, BookingTwoWays)
    for place in (-1, len(asked.readings)):
        assert club.leader(booking.choose_reading, place) == Refused(Reason.OUT_OF_DATE)
    booked = club.leader(booking.choose_reading, 1)
    assert booked.booking.window == asked.readings[1].window
    assert booked.booking.team.name == "Red"


def test_what_repeats_and_what_comes_along_is_kept_when_one_of_two_readings_is_chosen(
    club: Club,
) -> None:
    with club.store.write() as tx:
        clubs.set_resource(tx, club.id, "mat", 4)
    text = "2 kits and 3 mats every week next friday 15:30-17:00 until 18 December"
    asked = club.leader(booking.request, text)
    assert isinstance(asked, BookingTwoWays)
    which = club.leader(booking.choose_reading, 1)
    assert isinstance(which, BookingLacks)
    booked = club.leader(booking.go_on, "Red")
    assert isinstance(booked, BookedWeekly)
    assert booked.bookings[0].window == asked.readings[1].window
    with club.store.read() as tx:
        live = bookings.by_id(tx, club.id, [each.id for each in booked.bookings])
    assert {number for each in live.values() for _, number in each.resources} == {3}


def test_named_kits_are_the_ones_that_are_booked(club: Club) -> None:
    booked = club.helper(booking.request, f"D and F for Red {FRIDAY}").booking
    assert [ref.label for ref in booked.kits] == ["D", "F"]
    assert booked.named


def test_a_named_kit_that_is_taken_is_refused_by_name_and_nothing_changes(club: Club) -> None:
    club.helper(booking.request, f"D for Red {FRIDAY}")
    before = dump(club.store)
    refused = club.helper(booking.request, f"D for Blue {FRIDAY}")
    assert refused.reason is Reason.KIT_TAKEN
    assert refused.facts["labels"] == ("D",)
    assert dump(club.store) == before


def test_a_booking_by_count_makes_way_for_one_by_name(club: Club) -> None:
    first = club.helper(booking.request, f"2 kits for Red {FRIDAY}").booking
    wanted = first.kits[0].label
    assert isinstance(club.helper(booking.request, f"{wanted} for Blue {FRIDAY}"), Booked)
    with club.store.read() as tx:
        moved = bookings.by_id(tx, club.id, [first.id])[first.id]
    assert len(moved.chosen) == 2
    assert club.kit(wanted) not in moved.chosen


def test_too_many_is_refused_with_how_many_there_could_be_and_what_would_be_a_yes(
    club: Club,
) -> None:
    club.helper(booking.request, f"4 kits for Red {FRIDAY}")
    refused = club.helper(booking.request, f"3 kits for Blue {FRIDAY}")
    assert refused.reason is Reason.NONE_FREE
    assert refused.facts["possible"] == 2
    assert refused.instead
    taken = club.helper(booking.request, f"2 kits for Blue {FRIDAY}")
    assert isinstance(taken, Booked)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("0 kits Fri 15:30-17:00", Reason.ZERO),
        ("2 kits Fri 17:00-15:30", Reason.END_BEFORE_START),
        ("2 kits today 9:00-10:00", Reason.PAST),
        ("kit X Fri 15:30-17:00", Reason.UNKNOWN_KIT),
        ("7 kits Fri 15:30-17:00", Reason.NONE_FREE),
        ("2 kits from Fri 15:30 to 30 Oct 17:00", Reason.TOO_LONG),
    ],
)
def test_a_request_that_makes_no_sense_is_refused_for_its_reason_and_changes_nothing(
    club: Club, text: str, reason: Reason
) -> None:
    before = dump(club.store)
    refused = club.student(booking.request, text)
    assert isinstance(refused, Refused), refused
    assert refused.reason is reason
    assert dump(club.store) == before


def test_a_team_keeps_to_the_clubs_rules_and_a_leader_may_go_beyond(club: Club) -> None:
    club.settings(team_limit=2, ahead_days=30)
    assert not isinstance(club.student(booking.request, f"3 kits {FRIDAY}"), Booked)
    far = "2 kits on 4 December 2026 15:30-17:00"
    assert club.student(booking.request, far).reason is Reason.TOO_FAR
    assert isinstance(club.leader(booking.request, f"3 kits for Red {FRIDAY}"), Booked)
    assert isinstance(
        club.leader(booking.request, "2 kits for Blue on 4 December 2026 15:30-17:00"), Booked
    )


def test_a_closed_day_is_refused_with_its_reason(club: Club) -> None:
    club.leader(club_desk.close_days, "2 Oct: the hall is painted")
    refused = club.student(booking.request, f"2 kits {FRIDAY}")
    assert refused.reason is Reason.CLOSED
    assert refused.facts["why"] == "the hall is painted"
    assert club.student(booking.free, FRIDAY).closed == "the hall is painted"


def test_a_gap_between_two_teams_is_kept_and_not_between_a_teams_own_bookings(club: Club) -> None:
    club.settings(gap_minutes=30)
    club.leader(booking.request, "6 kits for Red Fri 15:30-16:30")
    blue = club.leader(booking.request, "1 kit for Blue Fri 16:45-17:00")
    assert blue.reason is Reason.NONE_FREE
    assert isinstance(club.leader(booking.request, "6 kits for Red Fri 16:30-17:00"), Booked)


def test_a_booking_that_ends_when_the_next_begins_takes_nothing_from_it(club: Club) -> None:
    club.leader(booking.request, "6 kits for Red Fri 15:30-16:30")
    assert isinstance(club.leader(booking.request, "6 kits for Blue Fri 16:30-17:30"), Booked)


def test_everybody_sees_their_own_bookings_and_their_teams(club: Club) -> None:
    mate = club.newcomer("Mate", Role.STUDENT, ["Red"])
    outsider = club.newcomer("Outsider", Role.STUDENT, ["Blue"])
    number = club.student(booking.request, f"2 kits {FRIDAY}").booking.number
    assert [b.number for b in club.student(booking.mine).bookings] == [number]
    assert [b.number for b in mate(booking.mine).bookings] == [number]
    assert outsider(booking.mine) == MyBookings(())
    assert club.helper(booking.mine) == MyBookings(())


def test_a_booking_is_cancelled_by_its_team_or_a_helper_and_by_no_other_student(
    club: Club,
) -> None:
    outsider = club.newcomer("Outsider", Role.STUDENT, ["Blue"])
    number = club.student(booking.request, f"2 kits {FRIDAY}").booking.number
    assert outsider(booking.cancel, number).reason is Reason.OTHERS
    assert isinstance(club.student(booking.cancel, number), Cancelled)
    assert club.student(booking.cancel, number).reason is Reason.UNKNOWN_BOOKING
    assert club.student(booking.free, FRIDAY).count == 6
    number = club.student(booking.request, f"2 kits {FRIDAY}").booking.number
    assert isinstance(club.helper(booking.cancel, number), Cancelled)
    (told,) = club.mail()["Student"]
    assert told.number == number


def test_a_booking_whose_kits_are_out_is_not_cancelled(club: Club) -> None:
    number = club.student(booking.request, f"2 kits {FRIDAY}").booking.number
    club.set("2026-10-02 15:30")
    club.helper(handover.give_out_booking, number)
    refused = club.student(booking.cancel, number)
    assert refused.reason is Reason.ALREADY
    assert len(refused.facts["labels"]) == 2


def test_a_booking_that_is_over_is_not_cancelled(club: Club) -> None:
    number = club.student(booking.request, f"2 kits {FRIDAY}").booking.number
    club.set("2026-10-02 17:00")
    assert club.student(booking.cancel, number).reason is Reason.UNKNOWN_BOOKING


def test_a_team_that_was_taken_off_the_list_is_no_longer_booked_for(club: Club) -> None:
    with club.store.write() as tx:
        people.put_in_team(tx, club.id, club.helper.id, club.team("Red"))
    club.leader(club_desk.remove_team, "Red")
    asked = club.helper(booking.request, f"2 kits {FRIDAY}")
    assert [ref.name for ref in asked.teams] == ["Blue"]
    booked = club.student(booking.request, f"2 kits {FRIDAY}")
    assert isinstance(booked, Booked)
    assert booked.booking.team is None


def test_a_kit_out_of_use_is_not_promised(club: Club) -> None:
    club.helper(usability.withdraw, "A B C D: flood")
    assert club.student(booking.free, FRIDAY).count == 2
    assert club.helper(booking.request, f"3 kits for Red {FRIDAY}").reason is Reason.NONE_FREE
    refused = club.helper(booking.request, f"A for Red {FRIDAY}")
    assert refused.reason is Reason.KIT_TAKEN


_LAST = f"1 kit for Red {FRIDAY}"


def _all_ask_for_the_last(club: Club, many: int) -> list[object]:
    askers = [club.newcomer(f"P{n}", Role.HELPER) for n in range(many)]
    with ThreadPoolExecutor(many) as pool:
        jobs = [pool.submit(p, booking.request, _LAST) for p in askers]
        return [job.result() for job in jobs]


def test_of_fifty_who_ask_for_the_last_kit_at_once_one_gets_it_and_all_get_an_answer(
    store: Store,
) -> None:
    club = make_club(store, labels="A")
    answers = _all_ask_for_the_last(club, 50)
    assert sum(isinstance(each, Booked) for each in answers) == 1
    refused = [each for each in answers if isinstance(each, Refused)]
    assert len(refused) == 49
    assert {each.reason for each in refused} == {Reason.NONE_FREE}
    assert club.audit() == []


_ASK = """
import sys
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime
from clubbot.desk import booking
from clubbot.desk.acting import Asking
from clubbot.rules.results import Booked
from clubbot.store.engine import Store

url, now, first, askers = sys.argv[1], datetime.fromisoformat(sys.argv[2]), *map(int, sys.argv[3:])
store = Store(url)

def ask(telegram_id):
    asking = Asking(1, telegram_id, telegram_id, telegram_id, True, now, now)
    return booking.request(store, asking, "1 kit for Red Fri 15:30-17:00").value

print("ready", flush=True)
sys.stdin.readline()
with ThreadPoolExecutor(25) as pool:
    answers = list(pool.map(ask, range(first, first + askers)))
print(sum(isinstance(each, Booked) for each in answers), len(answers))
"""


def test_two_programs_never_promise_the_last_kits_twice(postgresql_store: Store) -> None:
    club = make_club(postgresql_store, labels="ABC")
    askers = [club.newcomer(f"P{n}", Role.HELPER) for n in range(32)]
    url = postgresql_store.url.render_as_string(hide_password=False)
    theirs = askers[16].telegram_id
    command = [sys.executable, "-c", _ASK, url, club.now.isoformat(), str(theirs), "16"]
    with (
        subprocess.Popen(
            command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        ) as other,
        ThreadPoolExecutor(16) as pool,
    ):
        assert other.stdin is not None
        assert other.stdout is not None
        assert other.stdout.readline() == "ready\n"
        other.stdin.write("\n")
        other.stdin.flush()
        answers = list(pool.map(lambda p: p(booking.request, _LAST), askers[:16]))
        booked, answered = map(int, other.stdout.readline().split())
    assert other.returncode == 0
    assert (len(answers), answered) == (16, 16)
    assert sum(isinstance(each, Booked) for each in answers) + booked == 3
    with postgresql_store.read() as tx:
        friday = Window(club.at("2026-10-02 15:30"), club.at("2026-10-02 17:00"))
        live = bookings.between(tx, club.id, friday)
    assert sorted(kit for each in live for kit in each.chosen) == sorted(map(club.kit, "ABC"))
