"""Wear as a leader sees it: a term of sessions, one bad kit, and the end of the term."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
import sqlalchemy as sa

from clubbot.chat.words import said
from clubbot.desk import club as club_desk
from clubbot.desk import fault, handover, mending, wearing
from clubbot.desk.acting import View
from clubbot.rules.model import Reason, Refused, Role
from clubbot.rules.results import WearLine, WearReport
from clubbot.store.tables import ITEM
from tests.desk.scene import Club, make_club


@pytest.fixture
def club(sqlite_club: Club) -> Club:
    return sqlite_club


@pytest.fixture
def sqlite_club(sqlite_store: object) -> Club:
    return make_club(sqlite_store)  # type: ignore[arg-type]


def _fridays(
    club: Club, weeks: int, bad: str = "", seen: str = "the left motor does not turn"
) -> None:
    """Let all kits go out on Fridays; the bad one has a fault at each that is mended at once."""
    for week in range(weeks):
        day = date(2026, 10, 2) + timedelta(days=7 * week)
        club.set(f"{day} 15:30")
        club.helper(handover.give_out, "A B C D E F Red")
        club.set(f"{day} 16:10")
        if bad:
            told = club.helper(fault.report, f"{bad}: {seen}")
            club.leader(mending.close, told.fault.number, "cleaned the axle")
        club.set(f"{day} 17:00")
        club.helper(handover.back, "all")


def _line(club: Club, label: str) -> tuple[WearReport, WearLine]:
    found = club.leader(wearing.report)
    assert isinstance(found, WearReport)
    return found, next(line for line in found.lines if line.kit.label == label)


def test_a_bad_kit_stands_out_at_the_end_of_the_term_and_not_before(club: Club) -> None:
    club.leader(club_desk.close_days, "21 Dec to 18 Jan: winter break")
    _fridays(club, 12, bad="D")
    club.set("2026-12-18 16:50")
    report, line = _line(club, "D")
    assert (report.compared, line.said) == (None, "too little use")
    assert (line.sessions, line.faults, line.again) == (12, 12, "motor-fault")
    assert (line.hours, line.advice) == (6, "look properly")
    assert line.low < 100 < line.high
    club.set("2026-12-19 10:00")
    report, line = _line(club, "D")
    assert report.compared == date(2026, 12, 18)
    assert (line.said, line.advice) == ("worse than the others", "scrap")
    assert report.lines[0] is line
    assert {each.advice for each in report.lines[1:]} == {"keep"}


def test_leaders_hear_of_it_once_as_the_term_ends_and_only_where_something_is_to_be_done(
    club: Club,
) -> None:
    club.leader(club_desk.close_days, "19 Dec to 18 Jan: winter break")
    _fridays(club, 12, bad="D")
    told = [each for each in club.mail()["Leader"] if isinstance(each, WearReport)]
    assert [line.kit.label for each in told for line in each.lines] == ["D"]
    club.set("2026-12-18 20:00")
    again = [each for each in club.mail().get("Leader", []) if isinstance(each, WearReport)]
    assert again == []


def test_a_healthy_fleet_is_no_message(club: Club) -> None:
    club.leader(club_desk.close_days, "19 Dec to 18 Jan: winter break")
    _fridays(club, 12)
    assert not any(isinstance(each, WearReport) for each in club.mail().get("Leader", []))


def test_what_was_never_the_kits_fault_does_not_count_against_it(club: Club) -> None:
    _fridays(club, 4, bad="D", seen="it still runs the old program")
    _, line = _line(club, "D")
    assert (line.sessions, line.faults, line.advice) == (4, 0, "keep")


def test_a_kit_with_a_fault_before_its_first_use_is_none_without_and_one_kit_may_be_asked_for(
    club: Club,
) -> None:
    club.helper(fault.report, "unit D won't start")
    report, line = _line(club, "D")
    text = said(report, View(club.zone, club.now, Role.LEADER, True, "Club")).text
    assert "No fault: A, B, C, E and F." in text
    assert "not counted: D 1." in text
    one = club.leader(wearing.report, "D")
    assert one.lines == (line,)
    text = said(one, View(club.zone, club.now, Role.LEADER, True, "Club")).text
    assert "D: No use is noted yet." in text
    assert "No fault" not in text
    assert club.leader(wearing.report, "Z").reason is Reason.UNKNOWN_KIT


def test_a_warranty_that_ends_soon_with_an_open_fault_is_pointed_out(club: Club) -> None:
    _fridays(club, 1)
    club.helper(fault.report, "D's tablet is frozen")
    with club.store.write() as tx:
        tx.execute(sa.update(ITEM).values(warranty_until=date(2026, 11, 1)))
    report, _ = _line(club, "D")
    assert [(each.kit.label, each.kind) for each in report.ending] == [("D", "tablet")]
    club.set("2026-11-02 10:00")
    assert _line(club, "D")[0].ending == ()


def test_only_adults_see_wear(club: Club) -> None:
    refused = club.helper(wearing.report)
    assert isinstance(refused, Refused)
    assert refused.reason is Reason.NOT_ALLOWED
