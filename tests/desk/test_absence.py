"""While an adult is away, what would reach them reaches whoever acts for them; danger both."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubbot.desk import absence, booking, fault, handover, people, today
from clubbot.rules.absence import Absence, acting_for
from clubbot.rules.model import Reason, Refused, Role
from clubbot.rules.results import (
    AwayAsks,
    AwayNoted,
    BackAgain,
    DangerAlarm,
    NewFault,
    StillOut,
    TakenBack,
    WhoIsAway,
    YouAct,
)
from tests.desk.scene import Club

FRIDAY = "Fri 15:30-17:00"


def late_friday(club: Club) -> dict[str, list[object]]:
    """Let a kit stay out after Friday's session, and return what people are told then."""
    club.student(booking.request, f"A {FRIDAY}")
    club.set("2026-10-02 15:30")
    club.mail()
    club.helper(handover.give_out, "")
    club.set("2026-10-02 17:15")
    return club.mail()


def knocked(club: Club) -> dict[str, list[object]]:
    """Let somebody knock, and return what people are told of it."""
    code = club.leader(people.invite, Role.STUDENT).code
    guest = club.newcomer("Guest")
    people.start(club.store, guest.asking(), code, "Guest")
    return club.mail()


def test_whoever_acts_is_told_so_and_gets_the_late_question_and_answers_it(club: Club) -> None:
    noted = club.leader(absence.go_away, "2 Oct to 9 Oct Co-leader")
    assert isinstance(noted, AwayNoted)
    assert (noted.line.first, noted.line.last) == (date(2026, 10, 2), date(2026, 10, 9))
    assert club.mail() == {
        "Co-leader": [YouAct("Leader", date(2026, 10, 2), date(2026, 10, 9), over=False)]
    }
    told = late_friday(club)
    assert "Leader" not in told
    (asked,) = [each for each in told["Co-leader"] if isinstance(each, StillOut)]
    assert isinstance(club.co_leader(handover.all_back, asked.notice), TakenBack)


def test_before_and_after_it_all_goes_to_the_one_who_was_away(club: Club) -> None:
    club.leader(absence.go_away, "5 Oct to 9 Oct Co-leader")
    told = late_friday(club)
    assert any(isinstance(each, StillOut) for each in told["Leader"])
    assert not any(isinstance(each, StillOut) for each in told.get("Co-leader", []))
    club.set("2026-10-05 00:00")
    assert not any(isinstance(each, StillOut) for each in club.mail().get("Co-leader", []))
    club.set("2026-10-10 00:00")
    assert isinstance(club.leader(absence.who_is_away), WhoIsAway)
    assert club.leader(absence.who_is_away).lines == ()
    club.set("2026-10-10 09:00")
    assert set(knocked(club)) == {"Leader", "Co-leader"}


def test_danger_reaches_both_and_what_all_adults_get_reaches_one_once(club: Club) -> None:
    club.leader(absence.go_away, "today Co-leader")
    club.mail()
    told = knocked(club)
    assert set(told) == {"Co-leader"}
    assert len(told["Co-leader"]) == 1
    club.student(fault.report, "the battery of D is smoking")
    alarms = {
        name: [each for each in parts if isinstance(each, DangerAlarm)]
        for name, parts in club.mail().items()
    }
    assert {name: len(each) for name, each in alarms.items()} == {"Leader": 1, "Co-leader": 1}


def test_what_waits_when_somebody_goes_away_at_once_moves_too(club: Club) -> None:
    club.set("2026-10-01 22:00")
    link = club.leader(people.invite, Role.STUDENT).code
    people.start(club.store, club.stranger.asking(), link, "Newcomer")
    club.leader(absence.go_away, "until 3 Oct Co-leader")
    club.set("2026-10-02 07:00")
    assert "Leader" not in club.mail()


def test_what_waits_for_a_list_that_comes_while_somebody_is_away_moves_too(club: Club) -> None:
    club.student(fault.report, "D: the arm is bent")
    assert club.mail() == {}
    club.leader(absence.go_away, "2 Oct to 9 Oct Co-leader")
    club.student(fault.report, "E: the arm is bent")
    club.set("2026-10-02 08:00")
    told = club.mail()
    assert "Leader" not in told
    faults = [each.fault.number for each in told["Co-leader"] if isinstance(each, NewFault)]
    assert sorted(faults) == [1, 2]


def test_whoever_acts_is_not_told_what_they_did_themselves(club: Club) -> None:
    club.leader(absence.go_away, "until 3 Oct Co-leader")
    club.mail()
    club.co_leader(fault.report, "D: the arm is bent")
    assert club.mail() == {}


def test_coming_back_early_ends_it_and_is_told(club: Club) -> None:
    club.leader(absence.go_away, "1 Oct to 20 Oct Co-leader")
    club.leader(absence.go_away, "1 Dec to 3 Dec Co-leader")
    club.mail()
    club.set("2026-10-01 14:00")
    assert club.leader(absence.come_back) == BackAgain(("Co-leader",))
    (told,) = set(club.mail()["Co-leader"][:1])
    assert isinstance(told, YouAct)
    assert told.over
    assert club.leader(absence.who_is_away).lines == ()
    assert any(isinstance(each, StillOut) for each in late_friday(club)["Leader"])
    assert club.leader(absence.come_back) == BackAgain(())


def test_the_days_list_names_who_runs_the_session_then(club: Club) -> None:
    club.leader(absence.go_away, "2 Oct Co-leader")
    club.set("2026-10-02 09:00")
    (session,) = club.helper(today.today).sessions
    assert session.adult == "Co-leader"


def test_who_acts_is_asked_where_several_could(club: Club) -> None:
    third = club.newcomer("Hugo Long", Role.CO_LEADER)
    asked = club.leader(absence.go_away, "2 Oct to 3 Oct")
    assert isinstance(asked, AwayAsks)
    assert {each.name for each in asked.adults} == {"Co-leader", "Hugo Long"}
    noted = club.leader(absence.let_act, "2026-10-02", "2026-10-03", third.id)
    assert noted.line.acting == "Hugo Long"
    again = club.leader(absence.go_away, "2 Oct to 3 Oct, hugo acts")
    assert again.line.acting == "Hugo Long"
    assert len(club.leader(absence.who_is_away).lines) == 1
    assert club.co_leader(absence.go_away, "3 Oct Leader").reason is Reason.AWAY_TOO


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("2 Oct to 3 Oct Zoe", Reason.UNKNOWN_PERSON),
        ("Co-leader", Reason.NOT_UNDERSTOOD),
        ("", Reason.NOT_UNDERSTOOD),
        ("\u202e<b>", Reason.UNKNOWN_PERSON),
    ],
)
def test_what_cannot_be_read_changes_nothing(club: Club, text: str, reason: Reason) -> None:
    club.newcomer("Hugo", Role.CO_LEADER)
    assert club.leader(absence.go_away, text).reason is reason
    assert club.leader(absence.who_is_away).lines == ()


def test_a_helper_cannot_act_for_a_leader_and_an_only_adult_is_told_what_to_do(club: Club) -> None:
    club.leader(people.remove, club.co_leader.id)
    assert club.leader(absence.go_away, "2 Oct Helper") == Refused(Reason.NO_OTHER_ADULT)


def test_where_whoever_acts_leaves_the_club_all_comes_to_the_leader_again(club: Club) -> None:
    club.leader(absence.go_away, "1 Oct to 9 Oct Co-leader")
    club.leader(people.remove, club.co_leader.id)
    assert any(isinstance(each, StillOut) for each in late_friday(club)["Leader"])


NOON = datetime(2026, 10, 1, 12)  # noqa: DTZ001 - the rule compares and no more
SPANS = st.tuples(st.integers(0, 6), st.integers(0, 6), st.integers(0, 9), st.integers(1, 9))


@given(st.lists(SPANS, max_size=8), st.integers(0, 6), st.integers(0, 18))
def test_nothing_ever_goes_to_nobody_or_to_somebody_who_is_away(
    spans: list[tuple[int, int, int, int]], person: int, hour: int
) -> None:
    away = [
        Absence(one, other, NOON + timedelta(hours=at), NOON + timedelta(hours=at + length))
        for one, other, at, length in spans
        if one != other
    ]
    moment = NOON + timedelta(hours=hour)
    found = acting_for(person, moment, away)
    gone = {each.person for each in away if each.starts_at <= moment <= each.ends_at}
    assert found == person or found not in gone
    if person not in gone:
        assert found == person
