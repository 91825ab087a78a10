"""Danger in full: who has it, all told again, an unknown person's word, and the third alarm."""

from __future__ import annotations

import pytest

from clubbot.desk import alarms, danger, fault, usability
from clubbot.rules.ledger import Use
from clubbot.rules.model import FaultId, Reason, Refused, Role
from clubbot.rules.results import (
    DangerAlarm,
    DangerHasSomeone,
    DangerReported,
    DangerTaken,
    DangerUnanswered,
)
from clubbot.rules.sending import Gone, TryAgain
from tests.desk.scene import Club

SWOLLEN = "the battery of E is swollen and hot"
ADULTS = {"Leader", "Co-leader"}


def alarmed(club: Club, said: str = SWOLLEN) -> DangerAlarm:
    """Let the student report danger, and return what the leader is told."""
    club.student(fault.report, said)
    told = club.mail()
    assert set(told) == ADULTS
    (alarm,) = [each for each in told["Leader"] if isinstance(each, DangerAlarm)]
    return alarm


def rounds(club: Club, minutes: int) -> list[tuple[int, DangerUnanswered]]:
    """Return after how many minutes all adults were told again, and what."""
    found = []
    for passed in range(1, minutes + 1):
        club.later(minutes=1)
        told = club.mail()
        if told:
            assert set(told) == ADULTS
            (part,) = told["Leader"]
            assert isinstance(part, DangerUnanswered)
            found.append((passed, part))
    return found


def test_while_nobody_has_it_all_are_told_again_after_three_minutes_and_after_six(
    club: Club,
) -> None:
    club.set("2026-10-01 23:30")
    alarm = alarmed(club)
    told = rounds(club, 30)
    assert [passed for passed, _ in told] == [3, 6]
    assert [(part.minutes, part.last) for _, part in told] == [(3, False), (6, True)]
    assert {part.alarm.fault for _, part in told} == {alarm.fault}
    assert set(told[0][1].silent) == ADULTS


def test_who_has_it_first_is_shown_to_the_others_and_nobody_is_told_again(club: Club) -> None:
    alarm = alarmed(club)
    club.later(minutes=2)
    had = club.co_leader(danger.take, alarm.fault)
    assert (had.name, had.mine, had.alarm.kits) == ("Co-leader", True, alarm.kits)
    assert club.mail() == {"Leader": [DangerHasSomeone(alarm, "Co-leader")]}
    late = club.leader(danger.take, alarm.fault)
    assert (late.name, late.mine) == ("Co-leader", False)
    assert club.co_leader(danger.take, alarm.fault) == had
    assert club.mail() == {}
    assert rounds(club, 10) == []
    assert club.stands("E").position.use is Use.HELD


def test_between_the_rounds_one_tap_stops_the_second(club: Club) -> None:
    alarm = alarmed(club)
    assert [passed for passed, _ in rounds(club, 4)] == [3]
    club.leader(danger.take, alarm.fault)
    assert club.mail() == {"Co-leader": [DangerHasSomeone(alarm, "Leader")]}
    assert rounds(club, 10) == []


def test_an_adult_who_has_looked_and_taken_it_off_hold_needs_no_further_round(club: Club) -> None:
    alarmed(club)
    club.leader(usability.release, "E")
    assert rounds(club, 10) == []


def test_the_minutes_run_from_when_the_alarm_was_really_sent(club: Club) -> None:
    club.student(fault.report, SWOLLEN)
    club.mail(TryAgain(alarms.AGAIN_AFTER * 0))
    club.later(minutes=20)
    assert all(isinstance(part, DangerAlarm) for part in club.mail()["Leader"])
    assert [(passed, part.minutes) for passed, part in rounds(club, 10)] == [(3, 3), (6, 6)]


def test_where_no_adult_can_be_reached_it_is_tried_again_all_the_same(club: Club) -> None:
    club.student(fault.report, SWOLLEN)
    club.mail(Gone("blocked"))
    club.later(minutes=3)
    assert set(club.mail()) == ADULTS


def test_only_an_adult_who_was_told_can_have_it(club: Club) -> None:
    alarm = alarmed(club)
    assert club.helper(danger.take, alarm.fault).reason is Reason.NOT_ALLOWED
    assert club.leader(danger.take, FaultId(999)) == Refused(Reason.OUT_OF_DATE)
    new = club.newcomer("Late", Role.CO_LEADER)
    assert new(danger.take, alarm.fault) == Refused(Reason.OUT_OF_DATE)
    club.later(minutes=3)
    assert set(club.mail()) == ADULTS
    club.later(minutes=3)
    assert set(club.mail()) == {*ADULTS, "Late"}
    assert isinstance(new(danger.take, alarm.fault), DangerTaken)


def test_each_danger_has_somebody_of_its_own(club: Club) -> None:
    first = alarmed(club)
    second = alarmed(club, "smoke comes out of kit F")
    club.leader(danger.take, first.fault)
    club.mail()
    (again,) = {part.alarm.fault for _, part in rounds(club, 3)}
    assert again == second.fault


# -- an unknown person's word ------------------------------------------------------------


def test_an_unknown_persons_word_in_the_clubs_group_holds_the_kit_named_and_no_other(
    club: Club,
) -> None:
    said = club.stranger.in_group(danger.hear_unknown, SWOLLEN)
    assert isinstance(said, DangerReported)
    assert [ref.label for ref in said.kits] == ["E"]
    assert club.stands("E").position.use is Use.HELD
    (alarm,) = club.mail()["Leader"]
    assert isinstance(alarm, DangerAlarm)
    assert alarm.by == ""
    club.stranger.in_group(danger.hear_unknown, "A B C D F are all on fire!!!")
    held = [label for label in "ABCDF" if club.stands(label).position.use is Use.HELD]
    assert len(held) <= danger.STRANGERS_HOLD
    club.stranger.in_group(danger.hear_unknown, "one of the robots is on fire")
    assert len([label for label in "ABCDF" if club.stands(label).position.held]) == len(held)
    assert club.audit() == []


def test_an_unknown_person_in_private_reads_what_keeps_them_safe_and_nothing_is_held(
    club: Club,
) -> None:
    assert club.stranger(danger.hear_unknown, SWOLLEN) == DangerReported((), False, "")
    assert club.stranger(danger.hear_unknown, "E is on fire").fire
    assert club.stranger(danger.hear_unknown, "hello") == Refused(Reason.NO_SUCH_CLUB)
    no = Refused(Reason.NO_SUCH_CLUB)
    assert club.stranger.in_group(danger.hear_unknown, "E won't start") == no
    assert club.mail() == {}
    assert club.stands("E").position.use is Use.IN_USE


def test_the_same_word_delivered_twice_alarms_once(club: Club) -> None:
    first = club.stranger.in_group(danger.hear_unknown, SWOLLEN)
    assert club.stranger.again() == first
    assert {name: len(parts) for name, parts in club.mail().items()} == dict.fromkeys(ADULTS, 1)


# -- the third alarm from one account ------------------------------------------------------


@pytest.mark.parametrize("role", [Role.STUDENT, Role.STRANGER])
def test_the_third_alarm_from_one_account_within_a_term_is_shown_to_leaders_only(
    club: Club, role: Role
) -> None:
    writer, use_case = club.people[role], fault.report
    often = []
    for label in "ABC":
        if role is Role.STRANGER:
            writer.in_group(danger.hear_unknown, f"{label}'s battery is swollen")
        else:
            writer(use_case, f"{label}'s battery is swollen")
        told = club.mail()
        (leader,), (other,) = told["Leader"], told["Co-leader"]
        assert isinstance(leader, DangerAlarm)
        assert isinstance(other, DangerAlarm)
        often.append((leader.often, other.often))
        club.leader(danger.take, leader.fault)
        club.mail()
        club.later(minutes=5)
    assert often == [(0, 0), (0, 0), (3, 0)]


def test_alarms_of_an_earlier_term_or_of_several_kits_at_once_are_not_counted_together(
    club: Club,
) -> None:
    club.student(fault.report, "A, B and C have swollen batteries")
    club.later(days=1)
    club.student(fault.report, SWOLLEN)
    club.mail()
    club.later(days=120)
    alarm = alarmed(club)
    assert alarm.often == 0
