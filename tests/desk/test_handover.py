"""Out, back, on to the next team, and undone: what is said is what stands, and nobody loses out."""

from __future__ import annotations

import pytest

from clubbot.desk import booking, charging, fault, handover, passing, today, usability
from clubbot.desk import club as club_desk
from clubbot.rules.model import Reason, Refused, Role
from clubbot.rules.permissions import Deed
from clubbot.rules.results import (
    Booked,
    HandedOut,
    PassedOn,
    SaidBack,
    SessionHandedOut,
    TakenBack,
    TeamNeeded,
    Undone,
    UseChanged,
    WhatIsOut,
)
from clubbot.store.engine import Store
from tests.desk.scene import Club, Somebody, dump, make_club

FRIDAY = "Fri 15:30-17:00"
SESSION = "2026-10-02 15:30"


def labels(refs: object) -> str:
    return "".join(ref.label for ref in refs)  # type: ignore[attr-defined]


def book(club: Club, text: str, who: Somebody | None = None) -> int:
    """Book for a team in the Friday session; return the number."""
    booked = (who or club.helper)(booking.request, f"{text} {FRIDAY}")
    assert isinstance(booked, Booked), booked
    return booked.booking.number


@pytest.fixture
def session(club: Club) -> Club:
    """The club when its Friday session begins: Red has booked two kits, Blue D by name."""
    book(club, "2 kits for Red")
    book(club, "D for Blue")
    club.set(SESSION)
    return club


def test_a_bookings_kits_go_out_with_when_they_are_due(session: Club) -> None:
    given = session.helper(handover.give_out, "Red")
    assert isinstance(given, HandedOut)
    assert (labels(given.kits), given.team.name, given.number) == ("AB", "Red", 1)
    assert given.due == session.at("2026-10-02 17:00")
    assert session.out() == ["A", "B"]
    assert session.stands("A").position.team == session.team("Red")
    assert session.audit() == []


def test_one_word_gives_out_all_that_the_session_has_booked(session: Club) -> None:
    given = session.helper(handover.give_out, "")
    assert isinstance(given, SessionHandedOut)
    assert {(g.team.name, labels(g.kits)) for g in given.given} == {("Red", "AB"), ("Blue", "D")}
    assert given.short == ()
    assert session.helper(handover.give_out, "") == Refused(Reason.NOTHING_TO_GIVE_OUT)


def test_what_is_out_is_not_given_out_again_and_it_is_said_who_has_it(session: Club) -> None:
    session.helper(handover.give_out, "Red")
    again = session.helper(handover.give_out, "Red")
    assert again.reason is Reason.ALREADY
    assert again.facts["team"] == "Red"
    kit = session.helper(handover.give_out, "A for Blue")
    assert kit.reason is Reason.ALREADY


def test_kits_go_out_half_an_hour_early_and_no_earlier(session: Club) -> None:
    session.set("2026-10-02 14:59")
    early = session.helper(handover.give_out_booking, 1)
    assert early.reason is Reason.TOO_EARLY
    assert early.facts["start"] == session.at(SESSION)
    session.set("2026-10-02 15:00")
    assert isinstance(session.helper(handover.give_out_booking, 1), HandedOut)


def test_a_kit_in_hand_early_is_promised_to_nobody_else_meanwhile(session: Club) -> None:
    session.set("2026-10-02 15:00")
    session.helper(handover.give_out, "Red")
    refused = session.leader(booking.request, "A for Blue Fri 15:00-15:30")
    assert refused.reason is Reason.KIT_TAKEN


def test_a_kit_given_out_without_a_booking_gets_one_to_the_end_of_the_session(
    club: Club,
) -> None:
    club.set(SESSION)
    given = club.helper(handover.give_out, "E for Blue")
    assert (labels(given.kits), given.number) == ("E", None)
    assert given.due == club.at("2026-10-02 17:00")
    assert club.student(booking.free, "Fri 16:00-17:00").count == 5


def test_a_team_may_take_another_kit_than_the_one_it_booked(session: Club) -> None:
    given = session.helper(handover.give_out, "E for Blue")
    assert (labels(given.kits), given.number) == ("E", 2)
    assert session.student(booking.free, "Fri 16:00-17:00").count == 3
    assert isinstance(session.leader(booking.request, "D for Red Fri 16:00-17:00"), Booked)


def test_without_a_team_one_question_is_asked_and_one_tap_answers_it(session: Club) -> None:
    asked = session.helper(handover.give_out, "E F")
    assert isinstance(asked, TeamNeeded)
    assert labels(asked.kits) == "EF"
    ids = [ref.id for ref in asked.kits]
    given = session.helper(handover.give_to, ids, session.team("Blue"))
    assert isinstance(given, HandedOut)
    assert session.out() == ["E", "F"]


def test_a_kit_that_is_promised_to_another_team_is_not_given_away(session: Club) -> None:
    refused = session.helper(handover.give_out, "D for Red")
    assert refused.reason is Reason.KIT_TAKEN
    assert session.out() == []


def test_a_kit_chosen_for_another_team_is_given_when_that_team_can_have_another(
    session: Club,
) -> None:
    given = session.helper(handover.give_out, "A for Blue")
    assert isinstance(given, HandedOut)
    red = session.helper(handover.give_out, "Red")
    assert len(red.kits) == 2
    assert "A" not in labels(red.kits)


def test_a_team_that_takes_one_more_than_it_booked_keeps_both_from_others(club: Club) -> None:
    book(club, "1 kit for Red")
    club.set(SESSION)
    club.helper(handover.give_out, "A for Red")
    assert isinstance(club.helper(handover.give_out, "B for Red"), HandedOut)
    assert club.out() == ["A", "B"]
    assert club.student(booking.free, "Fri 16:00-17:00").count == 4
    refused = club.leader(booking.request, "5 kits for Blue Fri 16:00-17:00")
    assert refused.reason is Reason.NONE_FREE
    assert club.leader(booking.request, "B for Blue Fri 16:00-17:00").reason is Reason.KIT_TAKEN


def test_what_a_team_takes_beyond_its_booking_is_undone_with_nothing_left_behind(
    club: Club,
) -> None:
    book(club, "1 kit for Red")
    club.set(SESSION)
    club.helper(handover.give_out, "A for Red")
    club.later(minutes=1)
    club.helper(handover.give_out, "B for Red")
    club.later(minutes=1)
    club.helper(handover.undo)
    assert club.out() == ["A"]
    assert club.student(booking.free, "Fri 16:00-17:00").count == 5


def test_a_team_that_takes_three_at_once_where_it_booked_two_keeps_all_three(
    session: Club,
) -> None:
    given = session.helper(handover.give_out, "A B C for Red")
    assert labels(given.kits) == "ABC"
    assert session.student(booking.free, "Fri 16:00-17:00").count == 2


def test_a_promised_kit_that_broke_is_replaced_when_it_is_given_out(session: Club) -> None:
    session.helper(handover.give_out, "Blue")
    session.helper(handover.back, "D")
    club = session
    book(club, "E for Blue")
    club.helper(usability.withdraw, "E: bent axle")
    given = club.helper(handover.give_out, "Blue")
    assert isinstance(given, HandedOut)
    assert len(given.kits) == 1
    assert labels(given.kits) != "E"


def test_a_kit_that_may_not_be_used_is_not_given_out_and_its_reason_is_said(
    session: Club,
) -> None:
    session.helper(usability.withdraw, "E: bent axle")
    refused = session.helper(handover.give_out, "E for Red")
    assert refused == Refused(Reason.OUT_OF_USE, {"label": "E", "note": "bent axle"})


def test_a_helper_takes_back_and_sees_what_is_still_out(session: Club) -> None:
    session.helper(handover.give_out, "")
    taken = session.helper(handover.back, "A D")
    assert isinstance(taken, TakenBack)
    assert (labels(taken.kits), labels(taken.still_out)) == ("AD", "B")
    assert session.out() == ["B"]
    all_back = session.helper(handover.back, "all")
    assert labels(all_back.kits) == "B"
    assert session.helper(handover.back, "B").reason is Reason.NOT_OUT


def test_back_without_a_name_shows_what_is_out_to_choose_from(session: Club) -> None:
    session.helper(handover.give_out, "")
    shown = session.helper(handover.back, "")
    assert isinstance(shown, WhatIsOut)
    assert [(line.kit.label, line.team.name) for line in shown.lines] == [
        ("A", "Red"),
        ("B", "Red"),
        ("D", "Blue"),
    ]
    assert shown == session.leader(handover.what_is_out)


def test_all_back_leaves_out_what_is_at_home_for_days(club: Club) -> None:
    long_loan = club.leader(booking.request, "F for Blue from Fri 15:30 to Mon 16:00")
    book(club, "A for Red")
    club.set(SESSION)
    club.helper(handover.give_out_booking, long_loan.booking.number)
    club.helper(handover.give_out, "Red")
    assert labels(club.helper(handover.back, "all").kits) == "A"
    assert club.out() == ["F"]


def test_a_booking_ends_with_its_last_kit_and_its_time_is_free_again(session: Club) -> None:
    session.helper(handover.give_out, "Red")
    session.helper(handover.back, "A")
    assert session.student(booking.free, "Fri 16:30-17:00").count == 3
    session.helper(handover.back, "B")
    assert session.student(booking.free, "Fri 16:30-17:00").count == 5


def test_a_students_word_is_noted_and_frees_nothing(session: Club) -> None:
    session.helper(handover.give_out, "Red")
    said = session.student(handover.back, "A")
    assert isinstance(said, SaidBack)
    assert session.out() == ["A", "B"]
    assert session.stands("A").position.said_back_at == session.now
    session.later(minutes=5)
    assert labels(session.student(handover.back, "").kits) == "AB"
    assert session.stands("B").position.said_back_at == session.now


def test_a_student_speaks_for_their_own_teams_kits_only(session: Club) -> None:
    session.helper(handover.give_out, "")
    refused = session.student(handover.back, "D")
    assert refused == Refused(Reason.OTHERS, {"labels": ("D",)})
    assert session.student(handover.back_kit, session.kit("D")).reason is Reason.OTHERS
    assert isinstance(session.door(handover.back, "D"), SaidBack)


def test_a_kit_passed_on_goes_to_the_other_team_without_the_shelf(session: Club) -> None:
    session.helper(handover.give_out, "Red")
    passed = session.helper(passing.pass_on, "A to Blue")
    assert isinstance(passed, PassedOn)
    assert (labels(passed.kits), passed.team.name) == ("A", "Blue")
    assert session.stands("A").position.team == session.team("Blue")
    assert session.out() == ["A", "B"]
    assert session.audit() == []


def test_passing_on_what_is_on_the_shelf_or_with_that_team_already_is_refused(
    session: Club,
) -> None:
    session.helper(handover.give_out, "Red")
    assert session.helper(passing.pass_on, "E to Blue").reason is Reason.NOT_OUT
    assert session.helper(passing.pass_on, "A to Red").reason is Reason.ALREADY


def test_a_promise_later_in_the_session_stands_in_the_way_of_giving_out_without_a_booking(
    club: Club,
) -> None:
    club.leader(booking.request, "A for Red Fri 16:30-17:00")
    club.set(SESSION)
    assert club.helper(handover.give_out, "A for Blue").reason is Reason.KIT_TAKEN
    ids = [club.kit("A")]
    assert club.helper(handover.give_to, ids, club.team("Blue")).reason is Reason.KIT_TAKEN
    assert club.out() == []


def test_a_promise_to_a_third_team_stands_in_the_way_of_passing_on(store: Store) -> None:
    club = make_club(store, teams=("Red", "Blue", "Green"))
    club.helper(booking.request, "A for Red Fri 15:30-16:00")
    club.leader(booking.request, "A for Green Fri 16:30-17:00")
    club.set(SESSION)
    club.helper(handover.give_out, "A for Red")
    before = dump(club.store)
    refused = club.helper(passing.pass_on, "A to Blue")
    assert refused.reason is Reason.KIT_TAKEN
    assert dump(club.store) == before


def test_passing_on_undone_gives_the_kit_back_to_the_first_team_and_keeps_its_booking(
    session: Club,
) -> None:
    session.helper(handover.give_out, "Red")
    before = session.stands("A").position
    session.later(minutes=10)
    session.helper(passing.pass_on, "A to Blue")
    session.later(minutes=1)
    undone = session.helper(handover.undo)
    assert undone.what == (("passed on", "A"),)
    after = session.stands("A").position
    assert (after.team, after.booking, after.due) == (before.team, before.booking, before.due)
    assert session.student(booking.free, "Fri 16:00-17:00").count == 3
    blue = session.helper(handover.give_out, "Blue")
    assert len(blue.kits) == 1
    assert not {"A", "B"} & {*labels(blue.kits)}


def test_passing_the_only_kit_on_undone_opens_its_booking_again(session: Club) -> None:
    session.helper(handover.give_out, "Blue")
    session.later(minutes=10)
    session.helper(passing.pass_on, "D to Red")
    session.later(minutes=1)
    session.helper(handover.undo)
    assert session.stands("D").position.team == session.team("Blue")
    taken = session.helper(handover.back, "D")
    assert isinstance(taken, TakenBack)
    assert session.audit() == []


def test_passing_on_into_a_booking_undone_leaves_that_booking_its_kits(session: Club) -> None:
    """Blue has booked one movable kit; it gets A from Red instead, and that is undone."""
    book(session, "1 kit for Blue", session.leader)
    session.helper(handover.give_out, "Red")
    session.helper(handover.give_out, "Blue")
    session.later(minutes=10)
    session.helper(passing.pass_on, "A to Blue")
    session.later(minutes=1)
    session.helper(handover.undo)
    free = session.student(booking.free, "Fri 16:00-17:00")
    assert free.count == 2
    assert isinstance(session.leader(booking.request, "2 kits for Red Fri 16:00-17:00"), Booked)


@pytest.mark.parametrize("word", ["given out", "taken back", "put out of use", "charged"])
def test_each_kind_of_deed_is_undone_as_if_it_had_not_been(session: Club, word: str) -> None:
    if word == "taken back":
        session.leader(handover.give_out, "A for Red")
    position = session.stands("A").position
    deeds = {
        "given out": lambda: session.leader(handover.give_out, "A for Red"),
        "taken back": lambda: session.leader(handover.back, "A"),
        "put out of use": lambda: session.leader(usability.withdraw, "A: test"),
        "charged": lambda: session.leader(charging.charged, "A"),
    }
    session.later(minutes=1)
    assert not isinstance(deeds[word](), Refused)
    session.later(minutes=1)
    undone = session.leader(handover.undo)
    assert isinstance(undone, Undone)
    assert undone.what == ((word, "A"),)
    assert session.stands("A").position == position
    assert session.audit() == []


def test_undone_giving_out_of_a_whole_session_takes_all_of_it_back(session: Club) -> None:
    session.helper(handover.give_out, "")
    undone = session.helper(handover.undo)
    assert sorted(label for _, label in undone.what) == ["A", "B", "D"]
    assert session.out() == []
    given = session.helper(handover.give_out, "")
    assert len(given.given) == 2


def test_undone_giving_out_without_a_booking_leaves_no_booking_behind(session: Club) -> None:
    session.helper(handover.give_out, "E for Blue")
    session.later(minutes=1)
    session.helper(handover.undo)
    assert session.student(booking.free, "Fri 16:00-17:00").count == 3


def test_undo_goes_back_step_by_step_and_says_when_nothing_is_left(session: Club) -> None:
    session.helper(handover.give_out, "Red")
    session.later(minutes=1)
    session.helper(handover.back, "A")
    session.later(minutes=1)
    assert session.helper(handover.undo).what == (("taken back", "A"),)
    assert len(session.helper(handover.undo).what) == 2
    assert session.helper(handover.undo) == Refused(Reason.NOTHING_TO_UNDO)


def test_everybody_undoes_their_own_last_deed_and_nobody_elses(session: Club) -> None:
    session.leader(handover.give_out, "Red")
    assert session.helper(handover.undo) == Refused(Reason.NOTHING_TO_UNDO)
    assert isinstance(session.leader(handover.undo), Undone)


def test_what_others_built_on_is_not_undone_under_them(session: Club) -> None:
    session.helper(handover.give_out, "Red")
    session.later(minutes=1)
    session.leader(handover.back, "A")
    before = dump(session.store)
    assert session.helper(handover.undo).reason is Reason.LATER_ENTRIES
    assert dump(session.store) == before


def test_a_hold_for_danger_is_lifted_by_an_adult_only_not_by_undoing_the_report(
    session: Club,
) -> None:
    session.helper(fault.report, "the battery of E is swollen and hot")
    assert session.stands("E").position.held is not None
    refused = session.helper(handover.undo)
    assert refused == Refused(Reason.NOT_ALLOWED, {"deed": str(Deed.RELEASE)})
    assert session.stands("E").position.held is not None
    assert isinstance(session.leader(usability.release, "E"), UseChanged)


def test_a_return_undone_after_the_kit_was_promised_on_still_shows_who_has_it(
    session: Club,
) -> None:
    session.helper(handover.give_out, "Blue")
    session.later(minutes=5)
    session.helper(handover.back, "D")
    session.later(minutes=1)
    session.leader(booking.request, "D for Red Fri 16:00-17:00")
    session.later(minutes=1)
    session.helper(handover.undo)
    assert session.stands("D").position.team == session.team("Blue")
    (meeting,) = session.leader(today.today).sessions
    problems = [(line.booking.team.name, dict(line.problems)) for line in meeting.bookings]
    assert ("Red", {"D": "not back yet"}) in problems


def test_a_kit_of_a_closed_day_is_due_the_next_open_day(club: Club) -> None:
    club.leader(club_desk.close_days, "5 Oct: teachers' day")
    number = club.leader(
        booking.request, "F for Blue from Fri 15:30 to Mon 5 Oct 16:00"
    ).booking.number
    club.set(SESSION)
    given = club.helper(handover.give_out_booking, number)
    assert club.stands("F").position.due == club.at("2026-10-06 16:00")
    assert given.due == club.at("2026-10-06 16:00")


def test_todays_list_has_who_gets_what_and_what_changed_since_last_time(session: Club) -> None:
    session.helper(handover.give_out, "")
    session.helper(handover.back, "all")
    session.set("2026-10-05 09:00")
    session.leader(booking.request, "A and C for Red Mon 16:00-17:30")
    session.leader(booking.request, "D for Blue Mon 16:00-17:30")
    shown = session.helper(today.today)
    (meeting,) = shown.sessions
    assert meeting.adult == "Leader"
    changed = {line.booking.team.name: line.changed for line in meeting.bookings}
    assert changed == {"Red": ("A, B", "A, C"), "Blue": None}


def test_a_kits_card_says_whose_it_is_only_to_those_who_may_know(session: Club) -> None:
    session.helper(handover.give_out, "")
    outsider = session.newcomer("Outsider", Role.STUDENT)
    assert session.helper(today.kit_card, "A").team.name == "Red"
    assert session.student(today.kit_card, "A").team.name == "Red"
    card = outsider(today.kit_card, "A")
    assert (card.out, card.team, card.late, card.mine) == (True, None, False, False)
    assert card.due == session.at("2026-10-02 17:00")


def test_a_booking_short_of_a_kit_gets_what_there_is_and_takes_nothing_from_others(
    club: Club,
) -> None:
    for team, count in (("Red", 3), ("Blue", 3)):
        club.leader(booking.request, f"{count} kits for {team} {FRIDAY}")
    changed = club.leader(usability.withdraw, "A: bent axle")
    assert [view.count for view in changed.short] == [3]
    assert isinstance(club.leader(booking.request, f"1 kit for Red {FRIDAY}"), Refused)
    club.set(SESSION)
    result = club.helper(handover.give_out, "")
    assert sorted(len(each.kits) for each in result.given) == [2, 3]
    assert len(result.short) == 1
    assert isinstance(club.helper(handover.give_out, ""), Refused)
