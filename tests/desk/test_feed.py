"""The school's calendar at the desk: days close and open with it, bookings only by a person."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from clubbot.desk import booking, feed, fetched, handover
from clubbot.desk import club as club_desk
from clubbot.rules.feeds import (
    FeedCopy,
    FeedToFetch,
    Fetched,
    Trouble,
    Unchanged,
    calendar_file,
    read_feed,
)
from clubbot.rules.model import Reason, Refused
from clubbot.rules.results import (
    Booked,
    BookingOff,
    CalendarFile,
    FeedAsked,
    FeedBookingsKept,
    FeedBookingsOff,
    FeedBroken,
    FeedNews,
    FeedOff,
    FeedView,
)
from clubbot.store import clubs
from tests.desk.scene import Club
from tests.rules.feeds.calendars import calendar, event

ADDRESS = "https://school.example/secret-key/cal.ics"
MID_TERM = event("Mid-term break", "20261026", "20261031")
STAFF_DAY = event("Staff day, no school", "20261112")
CHRISTMAS = event("Christmas holidays", "20261221", "20270102")
YEAR_SIX = event("Year 6: no school", "20261120")


class School:
    """A school whose calendar the club's leader has set."""

    def __init__(self, club: Club) -> None:
        self.club = club
        assert club.leader(feed.change, ADDRESS) == FeedAsked("school.example")

    def due(self) -> list[FeedToFetch]:
        return fetched.due(self.club.store, self.club.now)

    def answers(self, answer: Fetched | str) -> None:
        """Let the calendar be fetched, with this answer or this text."""
        (asked,) = self.due()
        if isinstance(answer, str) and not isinstance(answer, Trouble):
            read = read_feed(answer, asked.zone, asked.today)
            answer = read if isinstance(read, Trouble) else FeedCopy(read, etag='"x"')
        fetched.take_in(self.club.store, asked, answer, self.club.now)

    def says(self, *events: str) -> None:
        self.answers(calendar(*events))

    def says_later(self, *events: str) -> None:
        self.club.later(hours=6)
        self.says(*events)


def closed(club: Club) -> list[str]:
    with club.store.read() as tx:
        found = clubs.calendar(tx, club.id, club.zone).closures
    return [f"{each.first_day:%d.%m.} {each.why}" for each in found]


def news(club: Club, who: str = "Leader") -> FeedNews:
    (found,) = [each for each in club.mail().get(who, []) if isinstance(each, FeedNews)]
    return found


def booked(club: Club, text: str) -> int:
    result = club.leader(booking.request, f"{text} for Red")
    assert isinstance(result, Booked), result
    return result.booking.number


def standing(club: Club) -> list[int]:
    return [each.number for each in club.leader(booking.mine).bookings]


def test_the_first_reading_closes_days_and_says_which_at_once(club: Club) -> None:
    club.set("2026-10-01 22:30")
    School(club).says(MID_TERM, YEAR_SIX, CHRISTMAS)
    told = news(club)
    assert told.first
    assert [day.why for day in told.taken] == ["Mid-term break", "Christmas holidays"]
    assert [day.why for day in told.unsure] == ["Year 6: no school"]
    assert closed(club) == ["26.10. Mid-term break", "21.12. Christmas holidays"]
    refused = club.student(booking.request, "1 kit mon 26 oct 16:00 to 17:30")
    assert isinstance(refused, Refused)
    assert refused.reason is Reason.CLOSED


def test_a_title_with_signs_that_nobody_sees_is_kept_without_them(club: Club) -> None:
    School(club).says(event("Mid-term\x00 \u202ebreak\x07", "20261026", "20261031"))
    assert closed(club) == ["26.10. Mid-term break"]


def test_only_adults_set_it_and_its_address_is_never_shown_whole(club: Club) -> None:
    for somebody in (club.helper, club.student, club.door):
        refused = somebody(feed.change, ADDRESS)
        assert isinstance(refused, Refused)
        assert refused.reason is Reason.NOT_ALLOWED
    school = School(club)
    school.says(MID_TERM)
    shown = repr([club.leader(feed.shown), club.mail()])
    assert "school.example" in shown
    assert "secret" not in shown


def test_what_isnt_an_address_changes_nothing(club: Club) -> None:
    refused = club.leader(feed.change, "the calendar on our website")
    assert isinstance(refused, Refused)
    assert club.leader(feed.shown) == FeedView(None)


def test_it_is_fetched_every_six_hours_and_whole_once_a_week(club: Club) -> None:
    school = School(club)
    assert [each.etag for each in school.due()] == [""]
    school.says(MID_TERM)
    assert school.due() == []
    start = club.now
    moment = fetched.next_moment(club.store, start, start + timedelta(days=1))
    assert moment == start + timedelta(hours=6)
    club.later(hours=6)
    assert [each.etag for each in school.due()] == ['"x"']
    school.answers(Unchanged())
    club.now = start + timedelta(days=7)
    assert [each.etag for each in school.due()] == [""]


def test_days_that_come_and_go_do_so_here_and_typed_ones_stay(club: Club) -> None:
    club.leader(club_desk.close_days, "9 Nov: our own")
    school = School(club)
    school.says(MID_TERM, CHRISTMAS)
    club.mail()
    school.says_later(MID_TERM, STAFF_DAY)
    told = news(club)
    assert not told.first
    assert [day.why for day in told.taken] == ["Staff day, no school"]
    assert [day.why for day in told.gone] == ["Christmas holidays"]
    assert closed(club) == [
        "26.10. Mid-term break",
        "09.11. our own",
        "12.11. Staff day, no school",
    ]
    school.says_later(MID_TERM, STAFF_DAY)
    assert club.mail() == {}


def test_a_break_that_grows_is_told_and_one_that_comes_in_sight_is_not(club: Club) -> None:
    school = School(club)
    school.says(MID_TERM)
    club.mail()
    far = event("Mid-term break", "20271110", "20271113")
    school.says_later(event("Mid-term break", "20261026", "20261101"), far)
    assert [day.last_day for day in news(club).taken] == [date(2026, 10, 31)]
    club.later(days=20)
    school.says(event("Mid-term break", "20261026", "20261101"), far)
    assert not any(isinstance(each, FeedNews) for each in club.mail().get("Leader", []))
    assert closed(club)[-1] == "10.11. Mid-term break"


def test_trouble_leaves_all_as_it_is_and_is_told_once(club: Club) -> None:
    school = School(club)
    school.says(MID_TERM, CHRISTMAS)
    club.mail()
    read_at = club.now
    before = closed(club)
    for answer in (Trouble.SLOW, "<html>", calendar(), Trouble.TOO_BIG, Trouble.NOT_PUBLIC):
        club.later(hours=6)
        school.answers(answer)
    told = [each for each in club.mail()["Leader"] if isinstance(each, FeedBroken)]
    assert told == [FeedBroken("school.example", Trouble.NOT_PUBLIC, read_at)]
    assert closed(club) == before
    shown = club.leader(feed.shown)
    assert (shown.trouble, shown.read_at) == (Trouble.NOT_PUBLIC, read_at)
    assert [day.why for day in shown.taken] == ["Mid-term break", "Christmas holidays"]


def test_trouble_that_is_over_before_the_morning_is_not_told(club: Club) -> None:
    school = School(club)
    school.says(MID_TERM)
    club.mail()
    club.set("2026-10-02 01:00")
    school.answers(Trouble.NOT_REACHED)
    assert "Leader" not in club.mail()
    club.set("2026-10-02 07:00")
    school.answers(Unchanged())
    club.set("2026-10-02 07:01")
    assert not any(isinstance(each, FeedBroken) for each in club.mail().get("Leader", []))


def test_a_calendar_that_comes_and_goes_is_complained_of_once_a_week(club: Club) -> None:
    school = School(club)
    school.says(MID_TERM)
    club.mail()
    days_told: list[int] = []
    for day in range(10, 20):
        club.set(f"2026-10-{day} 12:00")
        school.answers(Trouble.SLOW)
        if any(isinstance(each, FeedBroken) for each in club.mail().get("Leader", [])):
            days_told.append(day)
        club.set(f"2026-10-{day} 18:00")
        school.answers(Unchanged())
    assert days_told == [10, 17]


def test_when_all_closures_go_at_once_the_last_copy_stands_until_a_leader_says_so(
    club: Club,
) -> None:
    school = School(club)
    school.says(MID_TERM, CHRISTMAS)
    club.mail()
    school.says_later(event("Sports day", "20261112"))
    (told,) = club.mail()["Leader"]
    assert isinstance(told, FeedBroken)
    assert told.trouble is Trouble.GONE
    assert len(closed(club)) == 2
    club.leader(feed.change, ADDRESS)
    school.says(event("Sports day", "20261112"))
    assert closed(club) == []
    assert [day.why for day in news(club).gone] == ["Mid-term break", "Christmas holidays"]


def test_bookings_on_newly_closed_days_stand_until_the_leader_says_otherwise(club: Club) -> None:
    on_closed = booked(club, "2 kits mon 26 oct 16:00 to 17:30")
    other = booked(club, "2 kits mon 2 nov 16:00 to 17:30")
    school = School(club)
    school.says(CHRISTMAS)
    club.mail()
    school.says_later(CHRISTMAS, MID_TERM)
    told = news(club)
    assert [each.number for each in told.bookings] == [on_closed]
    assert standing(club) == [on_closed, other], "the calendar alone cancels nothing"
    assert club.leader(feed.keep, told.notice) == FeedBookingsKept(1)
    assert standing(club) == [on_closed, other]
    done = club.leader(feed.cancel, told.notice)
    assert club.leader.again() == done == FeedBookingsOff(cancelled=1, told=1)
    assert standing(club) == [other]
    off = [each for each in club.mail()["Student"] if isinstance(each, BookingOff)]
    assert [(each.number, each.closed) for each in off] == [(on_closed, True)]
    assert club.leader(feed.cancel, told.notice) == FeedBookingsOff(0, 0)


def test_only_who_was_asked_answers_for_the_bookings(club: Club) -> None:
    booked(club, "2 kits mon 26 oct 16:00 to 17:30")
    School(club).says(MID_TERM)
    told = news(club)
    for somebody in (club.co_leader, club.student, club.stranger):
        assert isinstance(somebody(feed.cancel, told.notice), Refused)
    assert isinstance(club.leader(feed.cancel, 999_999), Refused)
    assert len(standing(club)) == 1


def test_a_kit_due_on_a_day_that_closes_is_due_on_the_next_open_one(club: Club) -> None:
    club.set("2026-10-23 15:30")
    result = club.leader(booking.request, "kit A for Red fri 23 oct 15:30 to mon 26 oct 16:30")
    assert isinstance(result, Booked), result
    club.leader(handover.give_out, "A Red")
    assert club.stands("A").position.due == club.at("2026-10-26 16:30")
    School(club).says(MID_TERM)
    assert club.stands("A").position.due == club.at("2026-11-02 16:30")
    assert club.audit() == []


def test_a_wrong_closure_is_dropped_for_good_and_a_doubtful_one_taken(club: Club) -> None:
    school = School(club)
    school.says(MID_TERM, YEAR_SIX)
    told = news(club)
    shown = club.leader(feed.drop, told.taken[0].key)
    assert [day.why for day in shown.dropped] == ["Mid-term break"]
    assert closed(club) == []
    on_day = booked(club, "1 kit fri 20 nov 15:30 to 17:00")
    club.leader(feed.take, told.unsure[0].key)
    assert closed(club) == ["20.11. Year 6: no school"]
    asked = news(club)
    assert [each.number for each in asked.bookings] == [on_day]
    school.says_later(MID_TERM, YEAR_SIX)
    assert closed(club) == ["20.11. Year 6: no school"]
    again = club.leader(feed.take, told.taken[0].key)
    assert [day.why for day in again.taken] == ["Mid-term break", "Year 6: no school"]
    assert isinstance(club.leader(feed.drop, "0123456789ab"), Refused)


def test_a_day_opened_by_hand_stays_open(club: Club) -> None:
    school = School(club)
    school.says(MID_TERM, CHRISTMAS)
    club.leader(club_desk.open_days, "26 oct to 30 oct")
    school.says_later(MID_TERM, CHRISTMAS)
    assert closed(club) == ["21.12. Christmas holidays"]
    assert [day.why for day in club.leader(feed.shown).dropped] == ["Mid-term break"]


def test_off_takes_its_closures_along_and_no_other(club: Club) -> None:
    club.leader(club_desk.close_days, "9 Nov: our own")
    school = School(club)
    school.says(MID_TERM, CHRISTMAS)
    assert club.leader(feed.change, "off") == FeedOff(2)
    assert closed(club) == ["09.11. our own"]
    assert club.leader(feed.shown) == FeedView(None)
    assert school.due() == []
    assert not any(isinstance(each, FeedNews) for each in club.mail().get("Leader", []))


def test_what_was_fetched_for_an_address_that_was_changed_meanwhile_is_dropped(
    club: Club,
) -> None:
    school = School(club)
    (asked,) = school.due()
    club.leader(feed.change, "https://other.example/cal.ics")
    read: Any = read_feed(calendar(MID_TERM), asked.zone, asked.today)
    fetched.take_in(club.store, asked, FeedCopy(read), club.now)
    assert closed(club) == []


def test_one_clubs_calendar_closes_no_other_club(club: Club, other_club: Club) -> None:
    School(club).says(MID_TERM)
    key = news(club).taken[0].key
    assert closed(other_club) == []
    assert other_club.leader(feed.shown) == FeedView(None)
    assert isinstance(other_club.leader(feed.drop, key), Refused)
    assert closed(club) == ["26.10. Mid-term break"]


def test_staff_get_the_clubs_bookings_as_a_file_and_a_student_their_own(club: Club) -> None:
    mine = booked(club, "2 kits fri 2 oct 15:30 to 17:00")
    result = club.leader(booking.request, "1 kit fri 2 oct 15:30 to 17:00 for Blue")
    assert isinstance(result, Booked)
    file = club.helper(feed.export)
    assert isinstance(file, CalendarFile)
    assert (file.bookings, file.everyone) == (2, True)
    assert "SUMMARY:2 kits for Red" in file.content
    assert "SUMMARY:1 kit for Blue" in file.content
    own = club.student(feed.export)
    assert (own.bookings, own.everyone) == (1, False)
    assert f"DESCRIPTION:Booking {mine}" in own.content
    assert "Red" not in own.content
    assert not any(name in file.content for name in ("Leader", "Student", "Helper"))
    assert own.content.count("UID:") == 1
    assert own.content.split("UID:")[1][:36] in file.content
    assert isinstance(club.door(feed.export), Refused)
    club.set("2026-10-03 09:00")
    assert club.student(feed.export).content == calendar_file(
        [], bot_id=4242, club=club.id, now=club.now, teams=False
    )
