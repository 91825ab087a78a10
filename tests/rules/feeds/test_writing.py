"""The calendar file that goes out, read by a library that didn't write it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import vobject
from hypothesis import example, given
from hypothesis import strategies as st

from clubbot.rules.feeds import calendar_file
from clubbot.rules.model import BookingId, ClubId, KitId, PersonId, TeamId, Window
from clubbot.rules.results import BookingView, KitRef, TeamRef

NOW = datetime(2026, 10, 1, 12, tzinfo=UTC)
START = datetime(2026, 10, 2, 14, 30, tzinfo=UTC)


def booking(number: int = 12, team: str | None = "Red", count: int = 3) -> BookingView:
    return BookingView(
        id=BookingId(number + 500),
        number=number,
        team=None if team is None else TeamRef(TeamId(1), team),
        window=Window(START, START + timedelta(minutes=90)),
        count=count,
        kits=(KitRef(KitId(1), "D"),),
        booked_by=PersonId(7),
    )


def file(*bookings: BookingView, teams: bool = True, now: datetime = NOW) -> str:
    return calendar_file(bookings, bot_id=4242, club=ClubId(1), now=now, teams=teams)


def read(text: str) -> Any:
    """Read a file strictly; the library raises where the standard's demands aren't met."""
    found = vobject.readOne(text, validate=True)
    assert found.validate(raiseException=True)
    return found


def test_another_library_reads_what_was_booked() -> None:
    event = read(file(booking())).vevent
    assert event.summary.value == "3 kits for Red"
    assert event.description.value == "Booking 12"
    assert (event.dtstart.value, event.dtend.value) == (START, START + timedelta(minutes=90))
    assert event.dtstamp.value == NOW


def test_the_file_is_laid_out_as_the_standard_says() -> None:
    # RFC 5545: section 3.1 (lines end in CRLF, at most 75 octets), 3.6, 3.6.1, 3.7.
    text = file(booking(team="\u05d3\u05e0\u05d4 " * 14), booking(13, None, 1))
    assert text.count("\n") == text.count("\r\n")
    assert text.endswith("END:VCALENDAR\r\n")
    lines = text.split("\r\n")
    assert all(len(line.encode()) <= 75 for line in lines)
    assert any(line.startswith(" ") for line in lines), "a long one is folded"
    for line, times in (
        ("BEGIN:VCALENDAR", 1), ("VERSION:2.0", 1), ("BEGIN:VEVENT", 2),
        ("DTSTAMP:20261001T120000Z", 2), ("DTSTART:20261002T143000Z", 2),
    ):  # fmt: skip
        assert lines.count(line) == times, line
    assert sum(line.startswith("PRODID:") for line in lines) == 1


def test_an_event_keeps_its_identifier_and_no_two_share_one() -> None:
    def uids(text: str) -> list[str]:
        return [event.uid.value for event in read(text).vevent_list]

    first = uids(file(booking(12), booking(13)))
    assert len(set(first)) == 2
    assert uids(file(booking(12), booking(13), now=NOW + timedelta(days=3))) == first
    elsewhere = calendar_file([booking(12)], bot_id=4242, club=ClubId(2), now=NOW, teams=True)
    assert uids(elsewhere)[0] not in first


def test_a_students_file_names_no_team() -> None:
    assert "Red" not in file(booking(), teams=False)
    assert read(file(booking(), teams=False)).vevent.summary.value == "3 kits"


@given(st.text(max_size=60))
@example("\\N, \\n; \\, \u2028x")
def test_a_team_may_be_called_anything(name: str) -> None:
    summary = read(file(booking(team=name))).vevent.summary.value
    shown = "".join(char for char in name if char >= " " and not "\x7f" <= char < "\xa0")
    assert summary == f"3 kits for {shown}".replace("\\", "/")
