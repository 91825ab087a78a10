"""What people type when they want kits, and what it is read as."""

from __future__ import annotations

import importlib.resources
import json
import math
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clubbot.rules.reading import (
    Answer,
    Either,
    MeetingTime,
    Missing,
    Reading,
    Unreadable,
    Weekly,
    date_order,
    describe_json,
    instant,
    read_answer,
    read_booking,
    read_labels,
    understand_bookings,
)
from clubbot.rules.reading.numbered import with_kit_word

PHRASES = Path(__file__).parent / "phrases"
DUBLIN = ZoneInfo("Europe/Dublin")
NEW_YORK = ZoneInfo("America/New_York")
WEDNESDAY = datetime(2026, 10, 7, 13, 20, tzinfo=DUBLIN)
LETTERS = tuple("ABCDEFGHJKLM")
FRIDAYS = MeetingTime(4, time(15, 30), time(17), "robotics")
EVENINGS = MeetingTime(1, time(19), time(21))
MORNINGS = MeetingTime(5, time(7), time(9), "early birds")


def read(text: str, *meetings: MeetingTime) -> Answer:
    return read_booking(text, WEDNESDAY, LETTERS, meetings)


def on(month: int, day: int, hour: int, minute: int = 0) -> datetime:
    return datetime(2026, month, day, hour, minute, tzinfo=DUBLIN)


def date_time(year: int, month: int, day: int = 1) -> datetime:
    return datetime.combine(date(year, month, day), time())


def share_right(name: str) -> tuple[int, int, float, float]:
    """How many phrases of a file are read as their writer meant, of how many, and the Wilson
    95 % interval (Wilson 1927; formula from memory, as in NIST/SEMATECH e-Handbook 7.2.4.1)."""
    lines = (PHRASES / name).read_text(encoding="utf-8").splitlines()
    said = [line for line in lines if line.strip()]
    right = sum(
        same(json.loads(line)["expect"], json.loads(answer))
        for line, answer in zip(said, understand_bookings(said), strict=True)
    )
    count, z = len(said), 1.959964
    share = right / count
    middle = (share + z * z / (2 * count)) / (1 + z * z / count)
    spread = z * math.sqrt(share * (1 - share) / count + z * z / (4 * count * count))
    spread /= 1 + z * z / count
    return right, count, middle - spread, middle + spread


def same(left: dict[str, object], right: dict[str, object]) -> bool:
    """Alike, whatever the order in which readings and labels are listed."""

    def plain(value: object) -> object:
        if isinstance(value, dict):
            return {key: plain(each) for key, each in value.items()}
        if isinstance(value, list):
            return sorted((plain(each) for each in value), key=repr)
        return value

    return plain(left) == plain(right)


@pytest.mark.parametrize(
    ("name", "least"),
    [("bookings_own.jsonl", 1.0), ("bookings_tuned.jsonl", 0.98), ("bookings_unseen.jsonl", 0.95)],
)
def test_the_share_of_phrases_read_as_their_writers_meant_is_high(
    name: str, least: float, record_property: pytest.FixtureRequest
) -> None:
    right, count, low, high = share_right(name)
    stated = (
        f"{name}: {right} of {count} right, {right / count:.1%} (95 %: {low:.1%} to {high:.1%})"
    )
    record_property("share", stated)  # type: ignore[operator]
    assert right / count >= least, stated


WORDS = (
    "3 kits kit D A I a friday mon 3:30 3.30 15h30 1530 to - until from at for the an hour and "
    "half past quarter two dozen next this last week weekend 9th 9/10 9.10. october 12 every in "
    "or not except all no tomorrow today now tonight morning pm am o'clock 31 0 99 2026-10-09 "
    "class 7B R2 Otter days month ago before lunch noon midnight actually 24:00 1/2 overnight ( :"
)
LABEL_SETS = st.sampled_from(
    [LETTERS, tuple("123456789"), ("Otter", "Blue Whale", "Lynx"), ("R1", "R2", "R10"), ()]
)
MOMENTS = st.datetimes(date_time(2025, 1), date_time(2030, 1)).map(
    lambda wall: instant(wall, WEDNESDAY.replace(tzinfo=NEW_YORK))
)


@settings(max_examples=300, deadline=None)
@given(
    text=st.one_of(
        st.text(max_size=60), st.lists(st.sampled_from(WORDS.split()), max_size=12).map(" ".join)
    ),
    labels=LABEL_SETS,
    now=MOMENTS,
)
def test_no_text_whatever_is_read_as_nonsense(
    text: str, labels: tuple[str, ...], now: datetime
) -> None:
    answer = read_booking(text, now, labels, (FRIDAYS, EVENINGS))
    json.dumps(describe_json(answer))
    readings = answer.readings if isinstance(answer, Either) else ()
    assert not isinstance(answer, Either) or len(set(readings)) > 1
    assert not isinstance(answer, Missing) or answer.ask
    for each in [answer] if isinstance(answer, Reading) else readings:
        assert each.start.tzinfo is each.end.tzinfo is now.tzinfo
        assert now.replace(second=0, microsecond=0).timestamp() <= each.start.timestamp()
        assert each.start.timestamp() < each.end.timestamp()
        assert each.end.replace(tzinfo=None) - each.start.replace(tzinfo=None) <= timedelta(14)
        assert set(each.kits) <= set(labels)
        assert each.count >= max(1, len(each.kits))


@given(
    start=st.datetimes(date_time(2026, 10, 8), date_time(2027, 9)),
    minutes=st.integers(5, 14 * 24 * 60),
    count=st.integers(1, 40),
)
@settings(max_examples=150, deadline=None)
def test_a_request_written_out_in_full_is_read_back(
    start: datetime, minutes: int, count: int
) -> None:
    start = start.replace(second=0, microsecond=0)
    end = start + timedelta(minutes=minutes)
    spelled = [f"{each:%A} {each.day} {each:%B %Y}, {each:%I:%M %p}" for each in (start, end)]
    text = f"{count} {'kit' if count == 1 else 'kits'} from {spelled[0]} to {spelled[1]}"
    answer = read(text)
    first, last = instant(start, WEDNESDAY), instant(end, WEDNESDAY)
    if first.timestamp() < last.timestamp():
        assert isinstance(answer, Reading)
        assert (answer.start, answer.end, answer.count) == (first, last, count)


@pytest.mark.parametrize(
    ("now", "text", "start", "end"),
    [
        # RFC 5545, 3.3.5: 2007-11-04 01:30 in New York happens twice: the first, 05:30Z.
        ("2007-11-01", "kit D nov 4 1:30 am to 4 am", "2007-11-04T05:30", "2007-11-04T09:00"),
        # RFC 5545, 3.3.5: 2007-03-11 02:30 is skipped: the offset before the gap, 07:30Z.
        ("2007-03-10", "kit D mar 11 2:30 am to 4 am", "2007-03-11T07:30", "2007-03-11T08:00"),
        # RFC 5545, 3.3.6: hours are exact; two of them from half past midnight end at 3:30.
        ("2007-03-10", "kit D mar 11 12:30 am for 2 hours", "2007-03-11T05:30", "2007-03-11T07:30"),
        # RFC 5545, 3.3.6: a day is one on the calendar, here of 25 hours.
        ("2007-11-01", "kit D nov 3 3pm for 1 day", "2007-11-03T19:00", "2007-11-04T20:00"),
    ],
)
def test_times_around_a_clock_change_are_what_the_calendar_standard_says(
    now: str, text: str, start: str, end: str
) -> None:
    answer = read_booking(text, datetime.fromisoformat(now).replace(tzinfo=NEW_YORK), LETTERS)
    assert isinstance(answer, Reading)
    assert answer.start.astimezone(UTC).isoformat()[:16] == start
    assert answer.end.astimezone(UTC).isoformat()[:16] == end


def test_day_and_month_are_read_in_the_order_of_the_zones_country() -> None:
    # Order by country: Unicode CLDR; zones by country: zone.tab of the tz database.
    table = importlib.resources.files("tzdata").joinpath("zoneinfo", "zone.tab").read_text()
    month_first = "US AS GU MH MP PH PR UM VI PA JP CN KR KP TW HU LT MN"
    for line in table.splitlines():
        if line.startswith("#"):
            continue
        country, _, zone = line.split("\t")[:3]
        expected = "month-first" if country in month_first else "day-first"
        assert date_order(zone) == ("either" if country == "CA" else expected), zone
    assert date_order("US/Pacific") == "month-first"
    for zone, day in ((DUBLIN, date(2026, 11, 12)), (NEW_YORK, date(2026, 12, 11))):
        answer = read_booking("kit D 12/11 3-5", WEDNESDAY.astimezone(zone), LETTERS)
        assert isinstance(answer, Reading)
        assert answer.start.date() == day


def test_in_a_country_that_writes_dates_both_ways_both_are_offered() -> None:
    here = WEDNESDAY.astimezone(ZoneInfo("America/Toronto"))
    answer = read_booking("kit D 12/11 3-5", here, LETTERS)
    assert isinstance(answer, Either)
    assert [each.start.date() for each in answer.readings] == [
        date(2026, 11, 12),
        date(2026, 12, 11),
    ]


@pytest.mark.parametrize(
    ("text", "known", "unknown"),
    [
        ("give out D and F", ["D", "F"], []),
        ("unit D keeps dying", ["D"], []),
        ("unit keeps dying", [], []),
        ("D's battery is hot", ["D"], []),
        ("A won't start", ["A"], []),
        ("A wheel fell off", [], []),
        ("I think kit a is flat", ["A"], []),
        ("take back A-D", ["A", "B", "C", "D"], []),
        ("kit Z and kit D", ["D"], ["Z"]),
        ("robot 4 won't move", [], ["4"]),
        ("3 kits are flat", [], []),
        ("Ms B says kit C is broken", ["C"], []),
        ("D,F&G back", ["D", "F", "G"], []),
    ],
)
def test_labels_are_told_from_words(text: str, known: list[str], unknown: list[str]) -> None:
    assert read_labels(text, LETTERS) == (known, unknown)


@pytest.mark.parametrize(
    ("text", "labels", "known"),
    [
        ("robot Otter won't move", ["Otter", "Lynx"], ["Otter"]),
        ("lynxs wheel, I mean Lynx", ["Otter", "Lynx"], ["Lynx"]),
        ("unit 4 is dead", ["3", "4"], ["4"]),
        ("R2 and r10", ["R1", "R2", "R10"], ["R2", "R10"]),
        ("blue whale is stuck", ["Blue Whale", "Blue"], ["Blue Whale"]),
        ("kit 2 is back", ["Kit 1", "Kit 2"], ["Kit 2"]),
    ],
)
def test_labels_of_every_kind_come_back_as_the_club_spells_them(
    text: str, labels: list[str], known: list[str]
) -> None:
    assert read_labels(text, labels)[0] == known


@pytest.mark.parametrize(
    ("text", "start", "end"),
    [
        ("3 kits friday", on(10, 9, 15, 30), on(10, 9, 17)),
        ("3 kits for friday's session", on(10, 9, 15, 30), on(10, 9, 17)),
        ("3 kits for the next session", on(10, 9, 15, 30), on(10, 9, 17)),
        ("3 kits for early birds", on(10, 10, 7), on(10, 10, 9)),
        ("3 kits saturday 7 to 8", on(10, 10, 7), on(10, 10, 8)),
        ("3 kits tuesday 8 to 9", on(10, 13, 20), on(10, 13, 21)),
        ("3 kits tuesday 8 to 9 am", on(10, 13, 8), on(10, 13, 9)),
        ("3 kits thursday 7 to 8", on(10, 8, 19), on(10, 8, 20)),
    ],
)
def test_the_clubs_own_meetings_lend_their_times(text: str, start: datetime, end: datetime) -> None:
    answer = read(text, FRIDAYS, EVENINGS, MORNINGS)
    assert isinstance(answer, Reading)
    assert (answer.start, answer.end) == (start, end)


def test_the_team_and_the_weeks_are_read_along() -> None:
    answer = read("3 kits every thursday 3:30 to 5 until 12 dec for the Lanterns")
    assert isinstance(answer, Reading)
    assert answer.team == "Lanterns"
    assert answer.repeat == Weekly(date(2026, 12, 12))
    assert answer.start == on(10, 8, 15, 30)
    fortnightly = read("kit D every other friday 3-5 for Year 9")
    assert isinstance(fortnightly, Reading)
    assert (fortnightly.repeat, fortnightly.team) == (Weekly(None, 2), "Year 9")


@pytest.mark.parametrize("text", ["kit D for friday 3-5", "kit D for the 9th 3-5", "kit D for me"])
def test_a_day_is_no_team(text: str) -> None:
    answer = read(text)
    assert isinstance(answer, Reading | Missing)
    assert answer.team is None


def test_what_is_known_is_kept_and_the_answers_complete_it() -> None:
    first = read("kits friday for the Lanterns")
    assert isinstance(first, Missing)
    assert first.ask == ("start", "end", "count")
    assert (first.day, first.team) == (date(2026, 10, 9), "Lanterns")
    second = read_answer(first, "start", "3:30", WEDNESDAY, LETTERS)
    assert isinstance(second, Missing)
    assert (second.ask, second.start) == (("end", "count"), time(15, 30))
    third = read_answer(second, "end", "an hour and a half", WEDNESDAY, LETTERS)
    assert isinstance(third, Missing)
    assert (third.ask, third.length) == (("count",), timedelta(minutes=90))
    last = read_answer(third, "count", "4", WEDNESDAY, LETTERS)
    assert last == Reading(on(10, 9, 15, 30), on(10, 9, 17), 4, (), "Lanterns")


@pytest.mark.parametrize(
    ("text", "error", "word"),
    [
        ("0 kits or kit Z friday 5pm to 3pm", "unknown-kit", "Z"),
        ("0 kits friday 5pm to 3pm", "zero", "0 kits"),
        ("2 kits yesterday 5pm to 3pm", "end-before-start", "3pm"),
        ("2 kits 1 sep 3pm to 30 sep 3pm", "too-long", "30 sep"),
        ("2 kits last monday 3 to 5", "past", "last monday"),
    ],
)
def test_the_first_thing_wrong_is_named_with_its_words(text: str, error: str, word: str) -> None:
    assert read(text) == Unreadable(error, word)  # type: ignore[arg-type]


def test_a_line_that_is_no_request_stops_nothing() -> None:
    good = {"text": "kit D friday 3-5", "now": "2026-10-07T13:20", "tz": "Europe/Dublin"}
    lines = [
        "{",
        "[1]",
        json.dumps(good),
        "",
        json.dumps(good | {"labels": ["D"], "tz": "No/Where"}),
    ]
    answers = list(understand_bookings([*lines, json.dumps(good | {"labels": ["D"]})]))
    assert answers[:4] == ['{"error": "unreadable-line"}'] * 4
    assert json.loads(answers[4]) == {
        "start": "2026-10-09T15:00",
        "end": "2026-10-09T17:00",
        "count": 1,
        "kits": ["D"],
    }


@pytest.mark.parametrize(
    ("said", "kits", "count"),
    [
        ("14 and 15 mon 16:00-17:30 for Blue", ("14", "15"), 2),
        ("3, 4, 5 on friday 15:30 to 17:00", ("3", "4", "5"), 3),
        ("14 kits mon 16:00-17:30", (), 14),
        ("14 and 99 mon 16:00-17:30", None, 0),
    ],
)
def test_several_numbers_before_a_day_are_kits_where_all_are_labels(
    said: str, kits: tuple[str, ...] | None, count: int
) -> None:
    numbers = [str(number) for number in range(1, 31)]
    text = with_kit_word(said, numbers)
    if kits is None:
        assert text == said
        return
    found = read_booking(text, WEDNESDAY, numbers)
    assert isinstance(found, Reading)
    assert (found.kits, found.count) == (kits, count)


@pytest.mark.parametrize(
    ("said", "without", "team"),
    [
        ("2 kits fri 3pm to 5pm for Red, not A or B", ("A", "B"), "Red"),
        ("2 kits fri 3pm to 5pm for Red, without A", ("A",), "Red"),
        ("2 kits fri 3pm to 5pm for Blue except C and D", ("C", "D"), "Blue"),
        ("2 kits fri 3pm to 5pm without a teacher", (), None),
    ],
)
def test_kits_that_are_not_wanted_are_told_apart_from_the_team(
    said: str, without: tuple[str, ...], team: str | None
) -> None:
    found = read(said)
    assert isinstance(found, Reading)
    assert (found.without, found.team) == (without, team)
