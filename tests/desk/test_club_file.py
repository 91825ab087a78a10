"""The club's own file: given out and taken in again, and a whole club from files."""

from __future__ import annotations

import pytest

from clubbot.desk import exchange, questions
from clubbot.rules.results import Imported, ImportPreview, ImportProblems, NothingToImport
from clubbot.store import clubs
from clubbot.store.engine import Store
from tests.desk.scene import Club, make_club

FILE = """setting,value
name,Friday robots
city,Cork; Ireland
meetings,"Fri 3:30-5pm with Co-leader, Robotics A: Mon 16:00-17:30"
adult there,Mon 13:00-16:00
student accounts,without
calendar,https://school.example/calendar.ics
chargers,"shelf 4, desk 2"
quiet from,22:00
emergency,+353 112
contact,Ms Quinn
grace,20
""".replace("Cork; Ireland", '"Cork, Ireland"')


def _files(club: Club) -> dict[str, str]:
    return {file.name: file.content for file in club.leader(exchange.export).files}


def test_what_the_set_up_asks_is_taken_in_from_a_file_and_given_back(sqlite_store: Store) -> None:
    club = make_club(sqlite_store)
    shown = club.leader(exchange.take_in, FILE)
    assert isinstance(shown, ImportPreview), shown
    done = club.leader(exchange.confirm, shown.key)
    assert isinstance(done, Imported)
    view = club.leader(questions.set_up).club
    assert (view.name, view.zone, view.accounts) == ("Friday robots", "Europe/Dublin", "without")
    assert [(m.weekday, m.starts, m.adult) for m in view.meetings] == [
        (0, "16:00", "Leader"),
        (4, "15:30", "Co-leader"),
    ]
    assert (view.bays, view.feed, view.emergency) == (6, "school.example", "+353 112")
    assert [(each.weekday, each.starts) for each in view.hours] == [(0, "13:00")]
    with club.store.read() as tx:
        assert clubs.club(tx, club.id).settings.grace_minutes == 20
    given = _files(club)["club.csv"]
    for line in (
        'meetings,"Robotics A: Mon 16:00-17:30 with Leader, Fri 15:30-17:00 with Co-leader"',
        "city,Europe/Dublin",
        'chargers,"shelf 4, desk 2"',
        "emergency,'+353 112",
    ):
        assert line in given
    for content in _files(club).values():
        club.later(hours=2)
        again = club.leader(exchange.take_in, content)
        assert isinstance(again, NothingToImport) or not content.count("\n") > 1, (again, content)


@pytest.mark.parametrize(
    ("line", "what"),
    [
        ("favourite colour,blue", "setting"),
        ("city,nowhere at all", "value"),
        ("meetings,sometimes", "value"),
        ("grace,long", "value"),
        ("student accounts,confirmed", "value"),
        ("name,", "missing"),
    ],
)
def test_a_line_that_cannot_be_read_changes_nothing(
    sqlite_store: Store, line: str, what: str
) -> None:
    club = make_club(sqlite_store)
    before = club.leader(questions.set_up).club
    found = club.leader(exchange.take_in, f"setting,value\ncontact,Ms Quinn\n{line}\n")
    assert isinstance(found, ImportProblems)
    assert [each.what for each in found.problems] == [what]
    assert club.leader(questions.set_up).club == before
