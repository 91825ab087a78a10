"""The club itself: set up step by step, settings, closures, its group."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import date, time

import pytest

from clubbot.desk import booking, handover, people, placing, questions, talk
from clubbot.desk import club as club_desk
from clubbot.desk import group as group_desk
from clubbot.rules.model import Reason, Refused, Role
from clubbot.rules.permissions import Deed
from clubbot.rules.results import (
    Booked,
    BookingOff,
    Closed,
    ClubView,
    DangerReported,
    FaultKitNeeded,
    FaultReported,
    GroupLetGo,
    GroupLinked,
    Invited,
    NotAFault,
    SchoolsYesNeeded,
    SetUpAsks,
    SetUpStep,
)
from clubbot.store import clubs
from clubbot.store.engine import Store
from tests.desk.scene import Club, dump, make_club

FRIDAY = "Fri 15:30-17:00"


def _say(club: Club, text: str) -> SetUpAsks:
    asked = club.leader(talk.hear, text, True)
    assert isinstance(asked, SetUpAsks), asked
    return asked


def test_a_new_club_is_set_up_answer_by_answer(store: Store) -> None:
    club = make_club(store, labels=[], teams=[])
    with store.write() as tx:
        clubs.remove_meetings(tx, club.id)
        clubs.change(tx, club.id, zone="UTC")
    assert club.leader(questions.go_on).step == "zone"
    assert _say(club, "Chicago").step == "kits"
    assert _say(club, "A to H").step == "type"
    assert _say(club, "usual").club.parts
    assert dict(_say(club, "large motor 3, no touch sensor, run 90").club.parts)["large motor"] == 3
    assert _say(club, "ok").step == "tablets"
    assert _say(club, "A to C").step == "chargers"
    assert _say(club, "shelf 4, desk 2").step == "meetings"
    assert _say(club, "Fri 15:30-17:00, Mon 4-5pm with Co-leader").step == "runners"
    assert _say(club, "Fri Co-leader").step == "hours"
    assert _say(club, "Mon 13:00-17:00").step == "teams"
    assert _say(club, "Red, Blue, Green").step == "accounts"
    assert _say(club, "without").step == "feed"
    assert _say(club, "skip").step == "quiet"
    assert _say(club, "9 pm to 7:30 am").step == "emergency"
    assert _say(club, "112").step == "contact"
    done = _say(club, "Ms Quinn")
    assert (done.step, done.missing) == ("done", "feed")
    shown = done.club
    assert (shown.zone, shown.zone_set) == ("America/Chicago", True)
    assert [ref.label for ref in shown.kits] == list("ABCDEFGH")
    assert (shown.run_minutes, dict(shown.parts).get("touch sensor")) == (90, None)
    assert (shown.tablets, shown.bays, shown.chargers) == (3, 6, (("shelf", 4), ("desk", 2)))
    assert [(m.weekday, m.starts, m.ends, m.adult) for m in shown.meetings] == [
        (0, "16:00", "17:00", "Co-leader"),
        (4, "15:30", "17:00", "Co-leader"),
    ]
    assert [(m.weekday, m.starts, m.ends) for m in shown.hours] == [(0, "13:00", "17:00")]
    assert [ref.name for ref in shown.teams] == ["Blue", "Green", "Red"]
    assert (shown.accounts, shown.quiet) == ("without", ("21:00", "07:30"))
    assert (shown.emergency, shown.contact) == ("112", "Ms Quinn")


@pytest.mark.parametrize(
    "said", ["kit D is broken", "D keeps dying", "D won't charge", "the wheel fell off kit D"]
)
@pytest.mark.parametrize("step", ["name", "zone", "kits", "type", "meetings", "teams"])
def test_a_fault_said_while_the_set_up_asks_is_noted_and_the_question_stays_open(
    club: Club, step: SetUpStep, said: str
) -> None:
    before = club.leader(questions.set_up, step).club
    reported = club.leader(talk.hear, said, True)
    assert isinstance(reported, FaultReported)
    assert reported.fault.kit is not None
    assert reported.fault.kit.label == "D"
    assert club.leader(club_desk.settings) == before
    assert isinstance(club.leader(talk.hear, SETS_UP[step], True), SetUpAsks)


def test_a_danger_said_while_the_set_up_asks_is_an_alarm_and_no_team(club: Club) -> None:
    club.leader(questions.set_up, "teams")
    assert isinstance(club.leader(talk.hear, "the battery is hot!", True), DangerReported)
    assert [ref.name for ref in _say(club, "Green").club.teams] == ["Blue", "Green", "Red"]


def test_a_fault_without_a_label_asks_which_kit_and_then_the_set_up_goes_on(club: Club) -> None:
    club.leader(questions.set_up, "teams")
    assert isinstance(club.leader(talk.hear, "the motor is stuck", True), FaultKitNeeded)
    assert isinstance(club.leader(talk.hear, "D", True), FaultReported)
    club.leader(questions.set_up, "teams")
    assert isinstance(club.leader(talk.hear, "the tablet does not connect", True), FaultKitNeeded)
    assert isinstance(club.leader(placing.report_kit, club.kit("D")), FaultReported)
    assert [ref.name for ref in _say(club, "Green").club.teams] == ["Blue", "Green", "Red"]


@pytest.mark.parametrize(
    "names", ["Broken Bots", "Robot Wreckers", "Lost Parts, Dead Batteries", "Gear Grinders"]
)
def test_a_team_may_be_called_after_what_breaks(club: Club, names: str) -> None:
    club.leader(questions.set_up, "teams")
    teams = {ref.name for ref in _say(club, names).club.teams}
    assert teams == {"Red", "Blue", *names.split(", ")}


def test_a_question_of_the_set_up_waits_for_a_day_and_then_a_text_is_no_answer(club: Club) -> None:
    club.leader(questions.set_up, "teams")
    club.later(hours=23)
    assert _say(club, "Green").step == "done"
    club.leader(questions.set_up, "teams")
    club.later(hours=25)
    assert isinstance(club.leader(talk.hear, "Orange", True), NotAFault)


SETS_UP: dict[SetUpStep, str] = {
    "name": "Robots",
    "zone": "Dublin",
    "kits": "X, Y",
    "type": "small",
    "meetings": "Fri 15:30-17:00",
    "teams": "Green",
}


@pytest.mark.parametrize(
    ("step", "answer"),
    [
        ("name", "x" * 81),
        ("zone", "nowhere at all"),
        ("kits", "0"),
        ("kits", "A, a"),
        ("kits", "1 to 999"),
        ("kits", "Z is now W"),
        ("kits", "A is now B"),
        ("type", "whatever there is"),
        ("tablets", "Z"),
        ("chargers", "many"),
        ("chargers", "-2"),
        ("meetings", "sometimes"),
        ("runners", "Fri Nobody"),
        ("hours", "when I can"),
        ("teams", " , "),
        ("accounts", "perhaps"),
        ("feed", "the school's"),
        ("quiet", "25:00-07:00"),
        ("emergency", "the police"),
        ("contact", " "),
    ],
)
def test_an_answer_that_cannot_be_read_is_asked_again_with_what_is_wrong(
    club: Club, step: str, answer: str
) -> None:
    before = club.leader(questions.set_up, step).club
    again = _say(club, answer)
    assert (again.step, again.club) == (step, before)
    assert again.problem


def test_a_question_can_be_skipped_and_taken_up_days_later(club: Club) -> None:
    club.leader(questions.go_on)
    assert club.leader(questions.skip_set_up, "zone").step == "kits"
    club.later(days=6)
    assert not isinstance(club.leader(talk.hear, "G, H", True), SetUpAsks)
    assert club.leader(questions.set_up, "kits").step == "kits"
    assert _say(club, "G, H").step == "done"
    assert "H" in [ref.label for ref in club.leader(club_desk.settings).kits]


def test_labels_that_will_be_misread_are_taken_only_after_a_keep(club: Club) -> None:
    club.leader(questions.set_up, "kits")
    asked = _say(club, "G to K")
    assert (asked.step, asked.misread, len(asked.instead)) == ("kits", ("I",), 5)
    assert "I" not in [ref.label for ref in asked.club.kits]
    kept = _say(club, "keep")
    assert [ref.label for ref in kept.club.kits] == list("ABCDEFGHIJK")
    club.leader(questions.set_up, "kits")
    assert "W" in [ref.label for ref in _say(club, "I is now W").club.kits]


def test_only_a_leader_confirms_what_has_to_be_so_before_students_come_in(store: Store) -> None:
    club = make_club(store)
    with store.write() as tx:
        clubs.change(tx, club.id, settings={})
    club.co_leader(questions.set_up, "accounts")
    assert club.co_leader(talk.hear, "with", True).confirm
    refused = club.co_leader(questions.answer, "accounts", "confirmed")
    assert (refused.problem, refused.club.confirmed_on) == ("a leader for that", None)
    assert club.leader(people.invite, Role.STUDENT) == Refused(Reason.STUDENTS_UNCONFIRMED)
    done = club.leader(questions.answer, "accounts", "confirmed")
    assert done.club.confirmed_on == club.now.date()
    assert isinstance(club.leader(people.invite, Role.STUDENT), Invited)
    club.leader(questions.answer, "accounts", "without")
    assert club.leader(people.invite, Role.STUDENT) == Refused(Reason.STUDENTS_UNCONFIRMED)


def test_labels_and_teams_that_are_there_already_are_not_added_twice(club: Club) -> None:
    club.leader(questions.set_up, "kits")
    _say(club, "a, B, Z")
    assert [ref.label for ref in club.leader(club_desk.settings).kits] == list("ABCDEFZ")
    club.leader(questions.set_up, "teams")
    shown = _say(club, "RED, Green").club
    assert [ref.name for ref in shown.teams] == ["Blue", "Green", "Red"]


def test_a_removed_teams_name_is_free_again_however_long_it_is(club: Club) -> None:
    name = "The Team With The Longest Name That There Can Be In This Club"[:60]
    for _ in range(2):
        club.leader(questions.set_up, "teams")
        assert name in [ref.name for ref in _say(club, name).club.teams]
        removed = club.leader(club_desk.remove_team, name.upper())
        assert name not in [ref.name for ref in removed.club.teams]
    assert club.leader(club_desk.remove_team, name).reason is Reason.UNKNOWN_TEAM


def test_two_settings_changed_at_once_are_both_kept(club: Club) -> None:
    texts = ["grace 20", "gap 10", "late wait 30", "evening 17:30", "longest 7", "ahead 90"]
    with ThreadPoolExecutor(6) as pool:
        answers = list(pool.map(lambda text: club.leader(club_desk.change_setting, text), texts))
    assert not any(isinstance(each, Refused) for each in answers)
    with club.store.read() as tx:
        kept = clubs.club(tx, club.id).settings
    assert (kept.grace_minutes, kept.gap_minutes, kept.late_wait_minutes) == (20, 10, 30)
    assert (kept.evening_at, kept.longest_days, kept.ahead_days) == (time(17, 30), 7, 90)


@pytest.mark.parametrize("text", ["", "grace", "grace soon", "grace -1", "evening 25:00", "x 1"])
def test_a_setting_that_cannot_be_read_changes_nothing_and_says_what_is_wanted(
    club: Club, text: str
) -> None:
    before = dump(club.store)
    refused = club.leader(club_desk.change_setting, text)
    assert refused.reason is Reason.NOT_UNDERSTOOD
    assert refused.facts["problem"]
    assert dump(club.store) == before


def test_closing_days_cancels_what_begins_on_them_and_tells_those_concerned(club: Club) -> None:
    club.student(booking.request, f"2 kits {FRIDAY}")
    club.student(booking.request, "1 kit Mon 16:00-17:30")
    closed = club.leader(club_desk.close_days, "2 Oct: the hall is painted")
    assert isinstance(closed, Closed)
    assert (closed.first_day, closed.last_day, closed.cancelled) == (
        date(2026, 10, 2),
        date(2026, 10, 2),
        1,
    )
    (told,) = club.mail()["Student"]
    assert told == BookingOff(1, club.at("2026-10-02 15:30"), closed=True)
    assert [b.number for b in club.student(booking.mine).bookings] == [2]


def test_what_is_out_is_not_cancelled_by_a_closure(club: Club) -> None:
    club.student(booking.request, f"2 kits {FRIDAY}")
    club.set("2026-10-02 15:10")
    club.helper(handover.give_out, "")
    closed = club.leader(club_desk.close_days, "today")
    assert closed.cancelled == 0
    assert len(club.out()) == 2


def test_one_day_of_a_closure_is_opened_and_the_others_stay_closed(club: Club) -> None:
    club.leader(club_desk.close_days, "26 Oct to 30 Oct: mid-term")
    opened = club.leader(club_desk.open_days, "28 Oct")
    assert opened == Closed(False, date(2026, 10, 28), date(2026, 10, 28), 0, 0)
    closures = club.leader(club_desk.settings).closures
    assert closures == (
        (date(2026, 10, 26), date(2026, 10, 27), "mid-term"),
        (date(2026, 10, 29), date(2026, 10, 30), "mid-term"),
    )
    assert isinstance(club.leader(booking.request, "1 kit for Red 28 Oct 16:00-17:00"), Booked)
    assert club.leader(booking.request, "1 kit for Red 30 Oct 16:00-17:00").reason is Reason.CLOSED


def test_opening_days_that_are_open_is_refused(club: Club) -> None:
    before = dump(club.store)
    assert club.leader(club_desk.open_days, "28 Oct").reason is Reason.NOT_UNDERSTOOD
    assert club.leader(club_desk.close_days, "some day").reason is Reason.NOT_UNDERSTOOD
    assert dump(club.store) == before


def test_a_group_is_linked_by_an_adult_and_follows_its_new_id(club: Club) -> None:
    refused = club.helper.in_group(group_desk.link_group, "Robots", False)
    assert refused == Refused(Reason.NOT_ALLOWED, {"deed": str(Deed.LINK_GROUP)})
    club.group = -77
    before = dump(club.store)
    asked = club.leader.in_group(group_desk.link_group, "x" * 255, True, False)
    assert asked == SchoolsYesNeeded("Club", as_administrator=False)
    assert dump(club.store) == before
    linked = club.leader.in_group(group_desk.link_group, "x" * 255, True, False, True)
    assert linked == GroupLinked("Club", sees_everything=True)
    assert not isinstance(club.student.in_group(booking.free), Refused)
    people.group_moved(club.store, -77, -100_077)
    people.group_moved(club.store, -77, -100_077)
    assert club.student.in_group(booking.free) == Refused(Reason.NO_SUCH_CLUB)
    club.group = -100_077
    assert not isinstance(club.student.in_group(booking.free), Refused)


def test_a_group_of_another_club_is_not_taken_over(club: Club, other_club: Club) -> None:
    group, before = club.group, dump(club.store)
    other_club.group = group
    refused = other_club.leader.in_group(group_desk.link_group, "Ours now", False)
    assert refused == Refused(Reason.ALREADY, {"what": "another club's"})
    # The club that asked counts its version up, as with everything that is asked of it.
    assert {k: v for k, v in dump(club.store).items() if k != "club"} == {
        k: v for k, v in before.items() if k != "club"
    }
    assert isinstance(club.leader.in_group(group_desk.link_group, "Again", False), GroupLinked)
    assert not isinstance(other_club.leader.in_group(group_desk.let_group_go), GroupLetGo)
    assert not isinstance(club.helper.in_group(group_desk.let_group_go), GroupLetGo)
    assert club.leader.in_group(group_desk.let_group_go) == GroupLetGo("Club")
    assert isinstance(other_club.leader.in_group(group_desk.link_group, "x", False), GroupLinked)
    assert not isinstance(other_club.student.in_group(booking.free), Refused)
    assert club.student.in_group(booking.free) == Refused(Reason.NO_SUCH_CLUB)


def test_a_group_that_the_bot_was_taken_out_of_may_go_to_another_club(
    club: Club, other_club: Club
) -> None:
    other_club.group = club.group
    people.group_left(club.store, club.stranger.asking(club.group))
    people.group_joined(club.store, other_club.leader.asking(club.group))
    assert club.student.in_group(booking.free) == Refused(Reason.NO_SUCH_CLUB)
    assert isinstance(other_club.leader.in_group(group_desk.link_group, "x", False), GroupLinked)


def test_two_clubs_that_link_one_group_at_once_do_not_both_get_it(
    club: Club, other_club: Club
) -> None:
    club.group = other_club.group = -4711
    with ThreadPoolExecutor(2) as pool:
        answers = list(
            pool.map(
                lambda each: each.leader.in_group(group_desk.link_group, "x", False),
                (club, other_club),
            )
        )
    assert sorted(type(each).__name__ for each in answers) == ["GroupLinked", "Refused"]


def test_a_group_that_put_the_bot_out_is_none_of_the_clubs_until_it_is_back(club: Club) -> None:
    asking = club.leader.asking(club.group)
    people.group_left(club.store, asking)
    assert club.student.in_group(booking.free) == Refused(Reason.NO_SUCH_CLUB)
    shown = club.leader(club_desk.settings)
    assert isinstance(shown, ClubView)
    assert shown.group is None
    people.group_joined(club.store, asking)
    assert not isinstance(club.student.in_group(booking.free), Refused)
