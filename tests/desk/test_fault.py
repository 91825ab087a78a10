"""Faults and what may not be used: said by anybody, danger first, and bookings looked after."""

from __future__ import annotations

from types import SimpleNamespace
from typing import cast

import pytest
import sqlalchemy as sa
from telegram import Bot, Message

from clubbot.chat.heard import heard
from clubbot.desk import booking, fault, mending, people, placing, showing, talk, usability
from clubbot.desk import group as group_desk
from clubbot.rules.ledger import Use
from clubbot.rules.model import Reason, Refused, Role
from clubbot.rules.permissions import Deed
from clubbot.rules.results import (
    Booked,
    BookedTomorrow,
    BookingLacks,
    DangerAlarm,
    DangerReported,
    FaultClosed,
    FaultKitNeeded,
    FaultReported,
    FixWanted,
    Forgot,
    GroupLinked,
    KitsSwapped,
    Knocked,
    NewFault,
    NotAFault,
    OpenFaults,
    PhotoAdded,
    PhotoWithoutFault,
    UseChanged,
)
from clubbot.store.tables import FAULT_PHOTO
from tests.desk.scene import Club, dump

FRIDAY = "Fri 15:30-17:00"
BLACK = "kit D: the screen stays black"
SWOLLEN = "the battery of E is swollen and hot"
PHOTO = showing.Photo("file-1", "unique-1", "photo")


def test_a_fault_is_noted_with_its_kit_and_the_adults_are_told(club: Club) -> None:
    reported = club.student(fault.report, BLACK)
    assert isinstance(reported, FaultReported)
    assert reported.fault.kit is not None
    assert (reported.fault.kit.label, reported.fault.number) == ("D", 1)
    assert (reported.joined, reported.on_hold) == (False, False)
    assert club.mail() == {}, "it can wait for the list of the next session's morning"
    club.set("2026-10-02 08:00")
    told = club.mail()
    assert set(told) == {"Leader", "Co-leader"}
    assert told["Leader"] == [NewFault(reported.fault)]


def test_during_a_session_the_adult_who_runs_it_hears_of_a_fault_at_once(club: Club) -> None:
    club.set("2026-10-02 15:40")
    assert isinstance(club.student(fault.report, BLACK), FaultReported)
    assert set(club.mail()) == {"Leader"}
    club.set("2026-10-02 17:00")
    assert "Co-leader" in club.mail(), "with the charge list, or on the next session's morning"


def test_the_same_fault_said_again_joins_the_first_and_tells_nobody_twice(club: Club) -> None:
    club.student(fault.report, BLACK)
    club.mail()
    again = club.helper(fault.report, BLACK)
    assert again.joined
    assert again.fault.number == 1
    assert len(club.helper(fault.open_faults).faults) == 1
    assert club.mail() == {}


def test_without_a_kit_it_is_asked_which_and_one_tap_or_word_answers(club: Club) -> None:
    asked = club.helper(fault.report, "the screen stays black")
    assert isinstance(asked, FaultKitNeeded)
    assert [ref.label for ref in asked.kits] == list("ABCDEF")
    tapped = club.helper(placing.report_kit, club.kit("D"))
    assert tapped.fault.kit.label == "D"
    assert club.helper(placing.report_kit, club.kit("D")) == Refused(Reason.OUT_OF_DATE)
    club.leader(fault.report, "the screen stays black")
    typed = club.leader(talk.hear, "F", True)
    assert typed.fault.kit.label == "F"
    assert typed.fault.said == "the screen stays black"


def test_the_team_that_has_one_kit_out_means_that_one(club: Club) -> None:
    from clubbot.desk import handover

    club.student(booking.request, f"B {FRIDAY}")
    club.set("2026-10-02 15:30")
    club.helper(handover.give_out, "")
    reported = club.student(fault.report, "the screen stays black")
    assert reported.fault.kit.label == "B"


@pytest.mark.parametrize("who", [Role.STUDENT, Role.DOOR, Role.HELPER])
def test_danger_holds_the_kit_at_once_and_alarms_every_adult(club: Club, who: Role) -> None:
    club.settings(emergency_number="112")
    said = club.people[who](fault.report, SWOLLEN)
    assert isinstance(said, DangerReported)
    assert ([ref.label for ref in said.kits], said.emergency_number) == (["E"], "112")
    assert club.stands("E").position.use is Use.HELD
    told = club.mail()
    assert set(told) == {"Leader", "Co-leader"}
    assert all(isinstance(part, DangerAlarm) for parts in told.values() for part in parts)
    assert club.leader(booking.request, f"E for Red {FRIDAY}").reason is Reason.KIT_TAKEN


def test_an_adult_who_reports_danger_is_alarmed_as_well(club: Club) -> None:
    club.leader(fault.report, SWOLLEN)
    assert set(club.mail()) == {"Leader", "Co-leader"}


def test_danger_without_a_kit_is_an_alarm_all_the_same(club: Club) -> None:
    said = club.student(fault.report, "there is smoke coming out of a robot")
    assert isinstance(said, DangerReported)
    assert said.kits == ()
    (alarm,) = club.mail()["Leader"]
    assert isinstance(alarm, DangerAlarm)
    assert alarm.by == "Student"


def test_danger_twice_alarms_twice_and_holds_once(club: Club) -> None:
    club.student(fault.report, SWOLLEN)
    club.mail()
    assert isinstance(club.student(fault.report, SWOLLEN), DangerReported)
    assert "Leader" in club.mail()
    assert club.audit() == []


def test_bookings_of_a_kit_reported_as_a_danger_get_others_and_their_people_are_told(
    club: Club,
) -> None:
    club.student(booking.request, f"E for Red {FRIDAY}")
    club.helper(booking.request, "E for Blue Mon 16:00-17:30")
    mate = club.newcomer("Mate", Role.STUDENT, ["Blue"])
    club.set("2026-10-01 18:00")
    club.mail()
    # Who reports it learns of their own booking too: the answer to a danger says nothing of it.
    assert isinstance(club.student(fault.report, SWOLLEN), DangerReported)
    assert club.stands("E").position.use is Use.HELD
    booked = [*club.student(booking.mine).bookings, *mate(booking.mine).bookings]
    assert [len(each.kits) for each in booked] == [1, 1]
    assert "E" not in {ref.label for each in booked for ref in each.kits}
    club.set("2026-10-02 08:00")
    assert any(isinstance(each, KitsSwapped) for each in club.mail()["Student"])
    club.set("2026-10-05 08:00")
    told = club.mail()
    for name in ("Mate", "Helper"):
        assert [each.swaps for each in told[name] if isinstance(each, BookedTomorrow)], name


def test_who_reports_a_danger_hears_that_their_own_booking_lacks_a_kit_now(club: Club) -> None:
    club.student(booking.request, f"6 kits {FRIDAY}")
    club.student(fault.report, SWOLLEN)
    club.set("2026-10-02 08:00")
    told = club.mail()
    assert "BookingShort" in {type(each).__name__ for each in told["Student"]}
    assert "BookingShort" in {type(each).__name__ for each in told["Leader"]}


def test_danger_comes_before_any_dialogue_that_stands(club: Club) -> None:
    club.student(booking.request, "2 kits")
    said = club.student(talk.hear, SWOLLEN, True)
    assert isinstance(said, DangerReported)


def test_a_danger_is_closed_and_its_kit_released_by_an_adult_only(club: Club) -> None:
    club.student(fault.report, SWOLLEN)
    before = dump(club.store)
    refused = Refused(Reason.NOT_ALLOWED, {"deed": str(Deed.RELEASE)})
    assert club.helper(mending.close, 1, "looked at it") == refused
    assert club.helper(usability.release, "E") == refused
    assert dump(club.store) == before
    closed = club.leader(mending.close, 1, "new battery")
    assert closed == FaultClosed(
        1, closed.kit, "new battery", still_not_usable=True, id=closed.id, on_hold=True
    )
    released = club.leader(usability.release, "E")
    assert released.use == str(Use.IN_USE)
    assert club.stands("E").position.use is Use.IN_USE


def test_putting_back_in_use_lifts_no_hold(club: Club) -> None:
    club.helper(usability.withdraw, "E: bent axle")
    club.student(fault.report, SWOLLEN)
    changed = club.helper(usability.restore, "E")
    assert changed.use == str(Use.HELD)
    assert club.stands("E").position.use is Use.HELD


def test_a_fault_is_closed_with_its_fix_once(club: Club) -> None:
    club.student(fault.report, BLACK)
    assert isinstance(club.helper(mending.close, 1, "  "), FixWanted)
    assert isinstance(club.helper(mending.close, 1, "new cable"), FaultClosed)
    assert club.helper(mending.close, 1, "new cable").reason is Reason.UNKNOWN_FAULT
    assert club.helper(fault.open_faults) == OpenFaults(())


def test_a_kit_out_of_use_is_replaced_in_what_was_promised_and_those_told_hear_of_it(
    club: Club,
) -> None:
    number = club.student(booking.request, f"1 kit {FRIDAY}").booking.number
    club.set("2026-10-01 18:00")
    (reminder,) = club.mail()["Student"]
    (told,) = reminder.booking.kits  # type: ignore[attr-defined]
    changed = club.helper(usability.withdraw, f"{told.label}: bent axle")
    assert isinstance(changed, UseChanged)
    assert (changed.note, changed.use) == ("bent axle", str(Use.WITHDRAWN))
    assert changed.short == ()
    (swap,) = changed.swaps
    assert (swap.before, swap.number) == (told.label, number)
    (part,) = club.mail()["Student"]
    assert isinstance(part, KitsSwapped)
    assert part.swaps[0][:2] == (told.label, swap.after)
    assert [ref.label for ref in part.booking.kits] == [swap.after]


def test_a_kit_asked_for_by_name_that_broke_is_replaced_as_well(club: Club) -> None:
    club.student(booking.request, f"A and B {FRIDAY}")
    changed = club.helper(usability.withdraw, "A: bent axle")
    assert [swap.before for swap in changed.swaps] == ["A"]
    (mine,) = club.student(booking.mine).bookings
    assert len(mine.kits) == 2
    assert "B" in [ref.label for ref in mine.kits]
    assert "A" not in [ref.label for ref in mine.kits]


def test_a_booking_that_cannot_have_all_its_kits_any_more_is_named_and_people_are_told(
    club: Club,
) -> None:
    club.student(booking.request, f"6 kits {FRIDAY}")
    changed = club.helper(usability.withdraw, "A: bent axle")
    assert [short.number for short in changed.short] == [1]
    assert "BookingShort" in {type(part).__name__ for part in club.mail()["Student"]}


def test_a_booking_that_was_short_has_its_kits_again_when_the_kit_is_restored(
    club: Club,
) -> None:
    club.student(booking.request, f"6 kits {FRIDAY}")
    club.helper(usability.withdraw, "A: bent axle")
    restored = club.helper(usability.restore, "A")
    assert restored.short == ()
    (mine,) = club.student(booking.mine).bookings
    assert len(mine.kits) == 6


def test_out_of_use_twice_or_back_without_is_said_to_be_so_already(club: Club) -> None:
    club.helper(usability.withdraw, "A")
    before = dump(club.store)
    assert club.helper(usability.withdraw, "A").reason is Reason.ALREADY
    assert club.helper(usability.restore, "B").reason is Reason.ALREADY
    assert club.helper(usability.restore_kit, club.kit("B")).reason is Reason.OUT_OF_DATE
    assert club.helper(usability.withdraw, "X").reason is Reason.UNKNOWN_KIT
    assert dump(club.store) == before


def test_a_photo_goes_with_the_report_it_came_with_or_the_last_one_within_the_hour(
    club: Club,
) -> None:
    assert isinstance(club.student(showing.report_with_photo, "", PHOTO), PhotoWithoutFault)
    club.student(showing.report_with_photo, BLACK, PHOTO)
    assert club.student(showing.report_with_photo, "", PHOTO) == PhotoAdded(1)
    assert club.student(
        showing.report_with_photo, "", showing.Photo("file-2", "unique-2", "photo")
    ) == PhotoAdded(1)
    with club.store.read() as tx:
        kept = tx.execute(sa.select(FAULT_PHOTO.c.file_unique_id)).scalars().all()
    assert sorted(kept) == ["unique-1", "unique-2"]
    club.later(minutes=61)
    assert isinstance(club.student(showing.report_with_photo, "", PHOTO), PhotoWithoutFault)


LONG = "kit D won't start and " + "really " * 600


@pytest.mark.parametrize(
    "text",
    [LONG[:4096], "kit D: <b>black</b> & \u202eblack\u200b", "D \U0001f525\U0001f525 won't start"],
    ids=["4,096 characters", "marks and markup", "emoji"],
)
def test_any_text_can_be_a_report(club: Club, text: str) -> None:
    said = club.student(fault.report, text)
    assert isinstance(said, FaultReported | DangerReported | FaultKitNeeded)
    club.mail()
    for _ in range(2):
        club.student(fault.report, text)


def test_a_long_reason_for_putting_out_of_use_is_kept_as_far_as_there_is_room(
    club: Club,
) -> None:
    changed = club.helper(usability.withdraw, "A: " + "bent " * 800)
    assert isinstance(changed, UseChanged)
    position = club.stands("A").position
    assert position.withdrawn is not None
    assert position.withdrawn.startswith("bent bent")
    assert club.audit() == []


def test_signs_that_no_database_takes_are_replaced_before_anything_is_kept(club: Club) -> None:
    body = {"message_id": 1, "date": 0, "chat": {"id": 1, "type": "private"}}
    message = Message.de_json({**body, "text": "/fault D: the screen\x00 stays \ud83dblack"}, None)
    said = heard(message, cast("Bot", SimpleNamespace(username="bot", id=4242)))
    reported = club.student(fault.report, said.text)
    assert isinstance(reported, FaultReported)
    assert reported.fault.said == "D: the screen\ufffd stays \ufffdblack"
    stranger, link = club.newcomer("N"), club.leader(people.invite, Role.STUDENT)
    assert isinstance(stranger(people.start, link.code, "Ni\x00a"), Knocked)
    assert club.leader(people.everyone).knocks[0].name == "Nia"
    club.group = -99
    linked = club.leader.in_group(group_desk.link_group, "Robots\x00", False)
    assert isinstance(linked, GroupLinked)


def test_nothing_to_say_is_asked_for(club: Club) -> None:
    assert club.student(fault.report, "") == Refused(Reason.SAY_WHAT)


def test_talk_is_a_request_a_fault_or_nothing(club: Club) -> None:
    assert isinstance(club.student(talk.hear, f"2 kits {FRIDAY}", True), Booked)
    assert isinstance(club.student(talk.hear, BLACK, True), FaultReported)
    assert isinstance(club.student(talk.hear, "hello, how are you?", True), NotAFault)


def test_in_a_group_that_it_overhears_it_speaks_of_danger_and_sure_faults_only(
    club: Club,
) -> None:
    before = dump(club.store)
    for text in (f"2 kits {FRIDAY}", "see you on Friday", "my phone is dead"):
        assert isinstance(club.student.in_group(talk.hear, text, False), NotAFault)
    assert {
        name: rows
        for name, rows in dump(club.store).items()
        if name not in ("handled_update", "club")
    } == {name: rows for name, rows in before.items() if name not in ("handled_update", "club")}
    assert isinstance(club.student.in_group(talk.hear, SWOLLEN, False), DangerReported)


def test_a_dialogue_is_stopped_and_nothing_of_it_is_kept(club: Club) -> None:
    asked = club.helper(booking.request, f"2 kits {FRIDAY}")
    assert isinstance(asked, BookingLacks)
    assert club.helper(talk.stop) == Forgot("booking")
    assert club.helper(booking.go_on, "", club.team("Red")) == Refused(Reason.OUT_OF_DATE)
    assert club.helper(talk.stop) == Forgot("")
