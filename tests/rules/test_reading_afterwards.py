"""What a leader types in the evening is read into what happened, with its own times."""

from __future__ import annotations

from datetime import datetime, time
from zoneinfo import ZoneInfo

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from clubbot.rules.reading import MeetingTime
from clubbot.rules.reading.afterwards import Afterwards, Happening, Told, read_afterwards
from clubbot.rules.reading.vocabulary import words

LABELS = list("ABCDEFGHK")
TEAMS = ("Red", "Blue", "The Otters")
MEETINGS = (MeetingTime(4, time(15, 30), time(17)), MeetingTime(0, time(16), time(17, 30)))
FRIDAY = datetime(2026, 10, 16, 19, tzinfo=ZoneInfo("Europe/Dublin"))

LINES = {
    # the whole of an evening
    "all out 15:30, K for F, all back 17:00, G flat, D short 2 cables": (
        "out all 15:30; K instead of F; back all 17:00; ran flat G; short D 2 cables"
    ),
    "all out 15:30\nK for F\nall back\nG flat": (
        "out all 15:30; K instead of F; back all; ran flat G"
    ),
    "all out 1530 all back 1700": "out all 15:30; back all 17:00",
    "All out 3:30. All back 5. G flat.": "out all 15:30; back all 17:00; ran flat G",
    "all out at half past 3; all back at 5": "out all 15:30; back all 17:00",
    "all out at 3 back at 5": "out all 15:00; back all 17:00",
    "out 15:30, back 17:00": "out all 15:30; back all 17:00",
    "everything back at 5pm": "back all 17:00",
    "rest back 17:00": "back all 17:00",
    "all home 17:05, E came back late at 17:25": "back all 17:05; back E 17:25",
    "all back 17:00, all fine": "back all 17:00",
    # one by one, and lists
    "A back 17:10": "back A 17:10",
    "kit A back 17:10": "back A 17:10",
    "a back 5.10": "back A 17:10",
    "A, B back 17:10": "back A,B 17:10",
    "A, B and C out 15:30": "out A,B,C 15:30",
    "A B C back 17:00": "back A,B,C 17:00",
    "back: A B C 17:00": "back A,B,C 17:00",
    "A back 17:10, B 17:20, C 17:30": "back A 17:10; back B 17:20; back C 17:30",
    "A, B, C out 15:30 D, E out 15:40": "out A,B,C 15:30; out D,E 15:40",
    "A and B back 17:00 and C flat": "back A,B 17:00; ran flat C",
    "A 15:30-17:00": "out A 15:30; back A 17:00",
    "A and B out 15:30 to 17:00": "out A,B 15:30; back A,B 17:00",
    "A out 15:30 back 17:00": "out A 15:30; back A 17:00",
    # all but some
    "all back 17:00 but D": "back all but D 17:00",
    "all back but D, F": "back all but D,F",
    "all out 15:30 except H and G, all back 17:00": "out all but H,G 15:30; back all 17:00",
    # late, still out, not used
    "A late, B still out": "late A; still out B",
    "a late, b back 17:20": "late A; back B 17:20",
    "all back, A 10 minutes late": "back all; late A",
    "still out: A, B": "still out A,B",
    "B still with Red": "still out B (Red)",
    "D missing": "still out D",
    "H not used": "not used H",
    "H wasn't used": "not used H",
    # teams
    "Red out 15:40, Blue back 17:10": "out (Red) 15:40; back (Blue) 17:10",
    "The Otters K, Red F": "out K (The Otters); out F (Red)",
    "gave K to Blue 15:45": "out K (Blue) 15:45",
    "K to Blue 16:15": "passed on K (Blue) 16:15",
    "A passed to Red 16:15": "passed on A (Red) 16:15",
    # one for another
    "K for F": "K instead of F",
    "K not F": "K instead of F",
    "F replaced by K": "K instead of F",
    "swapped F for K": "K instead of F",
    "Red had K instead of F": "K instead of F (Red)",
    "K for F, G for H": "K instead of F; G instead of H",
    "A and B for C and D": "A instead of C; B instead of D",
    "F wouldn't connect, swapped for K": "fault F will-not-connect; K instead of F",
    "K for F (F won't charge)": "K instead of F; fault F will-not-charge",
    # flat, and not
    "G ran flat after 20 min": "ran flat G after 20",
    "G flat at the start": "found flat G",
    "G found flat": "found flat G",
    "F dead battery": "ran flat F",
    "F and G flat in 45 minutes": "ran flat F,G after 45",
    "A and B flat": "ran flat A,B",
    "A flat, B too": "ran flat A; ran flat B",
    "G not flat": "not so G ran flat",
    # parts
    "D short 2 cables": "short D 2 cables",
    "D -2 cables": "short D 2 cables",
    "D: 2 cables short": "short D 2 cables",
    "2 cables missing from D": "short D 2 cables",
    "D missing a motor and 2 wheels": "short D 1 motor+2 wheels",
    "D short 2 cables, 1 wheel": "short D 2 cables+1 wheel",
    "B short 1 cable, C 2 cables": "short B 1 cable; short C 2 cables",
    "D lost one wheel": "short D 1 wheel",
    "D and E short 1 cable each": "short D,E 1 cable",
    "A came back with 2 wheels missing": "back A; short A 2 wheels",
    # what is broken
    "F broken": "fault F unclear",
    "D keeps dying": "fault D loses-power",
    "E's motor is stuck": "fault E motor-fault",
    "C screen cracked": "fault C broken-part",
    # days
    "yesterday: all out 15:30, all back 17:00": "out all 15:30 on 10-15; back all 17:00 on 10-15",
    "Fri 9 Oct all out 3:30, all back 5": "out all 15:30 on 10-09; back all 17:00 on 10-09",
    "monday: A back 17:45": "back A 17:45 on 10-12",
    "A back 9/10 17:00": "back A 17:00 on 10-09",
    # corrections
    "no, A back 17:20": "back A 17:20",
    "correction: A back 17:20": "back A 17:20",
    "A back 17:20 not 17:10": "back A 17:20",
    # slips
    "all bakc 17:00": "back all 17:00",
    "D misssing 2 cables": "short D 2 cables",
    # nothing to note
    "all good": "",
    # what can't be read is asked about, and the rest kept
    "all back 17:00, the dog ate it": "back all 17:00; ? the dog ate it",
    "Z back 17:00": "? Z back 17:00",
    "2 wheels missing": "? 2 wheels missing",
    "A back 17:10 17:20 17:30": "? A back 17:10 17:20 17:30",
}


def _in_short(told: Told) -> str:
    if told.what is Happening.INSTEAD:
        shown = [f"{told.kits[0]} instead of {told.instead}"]
    else:
        whose = "all" if told.every else ",".join(told.kits)
        shown = [str(told.what), *filter(None, [whose])]
    shown += [f"but {','.join(told.but)}"] if told.but else []
    shown += [f"({told.team})"] if told.team else []
    shown += ["+".join(f"{number} {name}" for name, number in told.parts)] if told.parts else []
    shown += [told.symptom] if told.symptom else []
    shown += [str(told.of)] if told.of else []
    shown += [f"after {told.minutes}"] if told.minutes else []
    shown += [f"{told.at:%H:%M}"] if told.at else []
    shown += [f"on {told.day:%m-%d}"] if told.day else []
    return " ".join(shown)


def _read(text: str, labels: list[str] | None = None, zone: str = "Europe/Dublin") -> Afterwards:
    return read_afterwards(text, FRIDAY, labels or LABELS, TEAMS, MEETINGS, zone)


def in_short(text: str, labels: list[str] | None = None, zone: str = "Europe/Dublin") -> str:
    found = _read(text, labels, zone)
    return "; ".join([*map(_in_short, found.told), *(f"? {piece}" for piece in found.unread)])


@pytest.mark.parametrize(("line", "meant"), LINES.items(), ids=list(LINES))
def test_a_line_is_read_into_what_happened(line: str, meant: str) -> None:
    assert in_short(line) == meant


NUMBERED = {
    "all out 15:30, 7 for 4, all back 17:00, 5 flat, 3 short 2 cables": (
        "out all 15:30; 7 instead of 4; back all 17:00; ran flat 5; short 3 2 cables"
    ),
    "3, 4 and 12 back 5": "back 3,4,12 17:00",
    "2 cables missing from 7": "short 7 2 cables",
    "kit 3 flat after 20 min": "ran flat 3 after 20",
    "3 back 17:10, 4 17:20": "back 3 17:10; back 4 17:20",
}


@pytest.mark.parametrize(("line", "meant"), NUMBERED.items(), ids=list(NUMBERED))
def test_kits_that_are_numbered_are_told_from_counts_and_times(line: str, meant: str) -> None:
    assert in_short(line, [str(number) for number in range(1, 13)]) == meant


def test_kits_with_names_are_read_as_well() -> None:
    labels = ["Otter", "Fox", "Red Panda", "R2"]
    assert in_short("Otter and Fox back 17:10, red panda flat, R2 for Fox", labels) == (
        "back Otter,Fox 17:10; ran flat Red Panda; R2 instead of Fox"
    )


def test_nine_of_ten_is_a_day_as_people_of_the_zone_write_it() -> None:
    assert in_short("10/9 A back 17:00", zone="America/Chicago").endswith("on 10-09")
    assert in_short("9/10 A back 17:00", zone="Europe/Dublin").endswith("on 10-09")


WORDS = st.sampled_from(
    words(
        "all out back late flat short missing for K F A a B 2 15:30 17:00 cables , . ; and not but "
        "still Red Blue monday yesterday 9/10 15.30 at 5 broken instead of home \u00bd ( - 0 99:99"
    )
)


@example("all back 99:99")
@given(st.lists(WORDS | st.just("\n"), max_size=14).map(" ".join) | st.text(max_size=60))
@settings(max_examples=300, deadline=None)
def test_any_text_is_read_and_nothing_of_it_is_lost(text: str) -> None:
    found = _read(text)
    for told in found.told:
        assert set(told.kits) | set(told.but) <= set(LABELS)
        assert told.every or told.kits or told.team
        assert told.day is None or told.day <= FRIDAY.date()
        assert told.what is not Happening.INSTEAD or told.instead not in ("", told.kits[0])
        assert all(number > 0 for _, number in told.parts)
