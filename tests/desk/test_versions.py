"""Software versions as leaders note them, and the days on which they hear who is behind."""

from __future__ import annotations

from datetime import timedelta

import pytest

from clubbot.chat.words import said
from clubbot.desk import booking, fitting, handover, history, today, versions
from clubbot.desk.acting import View
from clubbot.rules.model import Reason, Refused, Role
from clubbot.rules.results import (
    EventsNoted,
    OlderVersion,
    VersionAgreed,
    VersionNoted,
    Versions,
    VersionsBehind,
)
from tests.desk.scene import Club, dump


def _has(club: Club, thing: str = "unit") -> dict[str, str]:
    found = club.leader(versions.show)
    assert isinstance(found, Versions)
    return {e.kit.label: e.version for e in found.lines if e.thing == thing and e.version}


def _say(club: Club, *texts: str) -> object:
    result: object = None
    for text in texts:
        club.later(seconds=30)
        result = club.leader(versions.say, text)
    return result


def _told(club: Club, wall: str) -> list[VersionsBehind]:
    """Let the clock come to a moment with a sweep every three hours; return what is told."""
    until = club.at(wall)
    found: list[VersionsBehind] = []
    while club.now < until:
        club.now = min(club.now + timedelta(hours=3), until)
        told = club.mail()
        assert not [e for n in ("Student", "Helper") for e in told.get(n, []) if _is(e)]
        found += [each for each in told.get("Leader", []) if isinstance(each, VersionsBehind)]
    return found


def _ledger(club: Club) -> object:
    return dump(club.store)["entry"]


def _is(each: object) -> bool:
    return isinstance(each, VersionsBehind)


def _behind(club: Club) -> None:
    _say(club, "all 3.2", "tablet all 7.1", "D F 3.1 yes", "agree unit 3.2", "agree tablet 7.1")


def test_who_is_behind_is_shown_with_the_minutes_and_noting_it_settles_it(club: Club) -> None:
    _say(club, "A B C E 3.10", "D F 3.9")
    agreed = _say(club, "agree unit 3.10")
    assert isinstance(agreed, VersionAgreed)
    assert ([kit.label for kit in agreed.behind], agreed.minutes) == (["D", "F"], 40)
    noted = _say(club, "D 3.10.0")
    assert isinstance(noted, VersionNoted)
    assert (noted.kits[0].label, noted.back) == ("D", ())
    shown = club.leader(versions.show)
    assert [e.kit.label for e in shown.lines if e.standing == "behind"] == ["F"]
    assert shown.minutes == 20
    club.leader(handover.undo)
    assert _has(club)["D"] == "3.9"
    assert club.audit() == []


def test_going_back_is_asked_about_once_with_its_cautions_and_is_a_step_of_its_own(
    club: Club,
) -> None:
    _say(club, "D F 3.2")
    before = _ledger(club)
    asked = _say(club, "D F 3.1")
    assert isinstance(asked, OlderVersion)
    assert _ledger(club) == before
    view = View(club.zone, club.now, Role.LEADER, private=True, club="Lanterns")
    reply = said(asked, view)
    for caution in ("may not open", "maker's guide", "An adult", "above half", "unplugged"):
        assert caution in reply.text
    assert reply.buttons[0][0].data == f"v1:verback:{asked.said}"
    noted = _say(club, asked.said)
    assert isinstance(noted, VersionNoted)
    assert [kit.label for kit in noted.back] == ["D", "F"]
    newest = club.leader(history.history, "D").lines[0]
    assert (newest.what, newest.note) == ("back to old version", "3.1")
    club.leader(history.was_not_so, club.kit("D"), newest.seq)
    assert _has(club) == {"D": "3.2", "F": "3.1"}
    assert _say(club, "F 3.1") == Refused(Reason.ALREADY, {"labels": ("F",)})


def test_a_version_goes_along_with_the_tablet_that_has_it(club: Club) -> None:
    _say(club, "tablet A B 7.0")
    assert _has(club, "tablet") == {"A": "7.0", "B": "7.0"}
    assert club.leader(history.history, "A").lines[0].thing == "tablet"
    club.later(minutes=1)
    club.leader(fitting.fit, "new tablet T3 to A")
    assert _has(club, "tablet") == {"B": "7.0"}
    _say(club, "tablet A 7.1")
    club.later(minutes=1)
    club.leader(fitting.fit, "tablet T3 to C")
    assert _has(club, "tablet") == {"A": "7.0", "B": "7.0", "C": "7.1"}
    made = club.leader(fitting.fit, "tablet T4 to B")
    club.leader(fitting.was_there, made.ask)
    assert _has(club, "tablet")["B"] == "7.0"
    assert club.audit() == []


def test_leaders_hear_days_before_who_of_the_booked_kits_is_behind(club: Club) -> None:
    _behind(club)
    club.student(booking.request, "kit D Mon 5 Oct 16:00 to 17:30")
    # Its club meets on Fridays, when the charge list goes out, and on Mondays.
    assert _told(club, "2026-10-03 14:00") == []
    told = _told(club, "2026-10-03 20:00")
    assert [[line.kit.label for line in each.lines] for each in told] == [["D"]]
    assert (told[0].minutes, told[0].booked.isoformat()) == (20, "2026-10-05")
    view = View(club.zone, club.now, Role.LEADER, private=True, club="Lanterns")
    text = said(told[0], view).text
    for words in ("About 20 minutes", "mains and the network", "Not on a session's day"):
        assert words in text
    assert _told(club, "2026-10-10 14:00") == []
    assert _told(club, "2026-10-17 20:00") == []


def test_nobody_hears_of_it_where_no_booked_kit_is_behind_any_more(club: Club) -> None:
    _behind(club)
    club.student(booking.request, "kit D Mon 5 Oct 16:00 to 17:30")
    _say(club, "D 3.2")
    assert _told(club, "2026-10-05 09:00") == []


def test_near_an_event_nobody_is_told_unless_they_ask(club: Club) -> None:
    _behind(club)
    club.student(booking.request, "kit D Mon 5 Oct 16:00 to 17:30")
    club.student(booking.request, "kit D Mon 19 Oct 16:00 to 17:30")
    noted = _say(club, "event 9 Oct to 11 Oct: city cup")
    assert isinstance(noted, EventsNoted)
    assert [each.why for each in noted.events] == ["city cup"]
    assert _told(club, "2026-10-12 09:00") == []
    shown = club.leader(versions.show)
    assert [e.kit.label for e in shown.lines if e.standing == "behind"] == ["D", "F"]
    assert [each.booked.isoformat() for each in _told(club, "2026-10-18 09:00")] == ["2026-10-19"]


def test_a_notice_held_back_until_a_sessions_day_is_not_sent(club: Club) -> None:
    _behind(club)
    club.student(booking.request, "kit D Mon 5 Oct 16:00 to 17:30")
    club.set("2026-10-03 15:30")
    assert club.sweep()
    club.set("2026-10-05 08:00")
    assert not [each for each in club.mail().get("Leader", []) if _is(each)]


def test_todays_list_says_that_a_version_is_behind_and_the_kit_goes_out_all_the_same(
    club: Club,
) -> None:
    _behind(club)
    club.student(booking.request, "kit D Fri 15:30 to 17:00 for Red")
    club.set("2026-10-02 15:00")
    listed = club.leader(today.today)
    booked = listed.sessions[0].bookings[0]
    assert booked.problems == (("D", "version behind (3.1, agreed 3.2): not today"),)
    assert listed.todo == ()
    club.set("2026-10-02 15:30")
    club.helper(handover.give_out, "D for Red")
    assert club.out() == ["D"]


@pytest.mark.parametrize(
    "text",
    ["D", "X 3.2", "D <b>3</b>", "agree unit a/b", "event whenever", "event 1 Sep to 2 Sep 2026"],
)
def test_what_cant_be_noted_changes_nothing_and_is_said_kindly(club: Club, text: str) -> None:
    before = dump(club.store)
    refused = club.leader(versions.say, text)
    assert isinstance(refused, Refused)
    assert dump(club.store) == before
    view = View(club.zone, club.now, Role.LEADER, private=True, club="Lanterns")
    assert len(said(refused, view).text) < 100


def test_versions_are_for_adults(club: Club) -> None:
    for ask in (club.student, club.helper):
        assert ask(versions.show).reason is Reason.NOT_ALLOWED
        assert ask(versions.say, "D 3.2").reason is Reason.NOT_ALLOWED
