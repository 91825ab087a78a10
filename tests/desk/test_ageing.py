"""What is kept no longer than a club says: words of reports, people whom nobody has seen."""

from __future__ import annotations

import pytest
import sqlalchemy as sa

from clubbot.desk import booking, fault, leaving, mending, minding, people, upkeep
from clubbot.desk.minding import Delivered
from clubbot.rules.model import Reason, Refused, Role
from clubbot.store.engine import Store
from clubbot.store.tables import FAULT
from tests.desk.scene import Club, dump, make_club


@pytest.fixture
def club(sqlite_store: Store) -> Club:
    return make_club(sqlite_store)


def _names(club: Club) -> set[str]:
    return {each.name for each in club.leader(people.everyone).people}


def test_whoever_is_not_seen_for_a_year_is_forgotten_but_never_the_last_leader(club: Club) -> None:
    reader = club.newcomer("Reader", Role.STUDENT)
    club.newcomer("Gone", Role.STUDENT)
    for _ in range(12):
        club.later(days=30)
        club.student(booking.request, "1 kit tomorrow 15:30-17:00")
        minding.note(club.store, [Delivered(reader.telegram_id, "8 kits free", club.now)])
        upkeep.tidy(club.store, club.now)
    assert "Gone" in _names(club)
    club.later(days=6)
    upkeep.tidy(club.store, club.now)
    assert _names(club) == {"Leader", "Student", "Reader"}
    assert "Gone" not in repr(dump(club.store))
    assert club.audit() == []


def test_the_words_of_a_report_go_when_it_has_been_closed_for_as_long_as_the_club_says(
    club: Club,
) -> None:
    club.settings(keep_texts_days=30)
    for words in ("unit D keeps dying", "unit E keeps dying"):
        club.student(fault.report, words)
    assert not isinstance(club.leader(mending.close, 1, "a new battery"), Refused)
    club.later(days=29)
    upkeep.tidy(club.store, club.now)
    with club.store.read() as tx:
        said = sa.select(FAULT.c.said).order_by(FAULT.c.number)
        assert tx.execute(said).scalars().all() == ["unit D keeps dying", "unit E keeps dying"]
    club.later(days=2)
    upkeep.tidy(club.store, club.now)
    with club.store.read() as tx:
        assert tx.execute(said).scalars().all() == ["", "unit E keeps dying"]


def test_what_was_written_to_somebody_goes_with_them_and_where_they_are_named(club: Club) -> None:
    zed = club.newcomer("Zebedee", Role.STUDENT, ["Red"])
    batch = [
        Delivered(zed.telegram_id, "Booked: 1 kit", club.now),
        Delivered(club.helper.telegram_id, "Zebedee &lt;b&gt; knocks", club.now),
        Delivered(club.leader.telegram_id, "for adults only", club.now),
    ]
    minding.note(club.store, batch)
    shown = club.leader(minding.sent)
    assert [(each.name, each.text) for each in shown.lines] == [
        ("Helper", "Zebedee <b> knocks"),
        ("Zebedee", "Booked: 1 kit"),
    ]
    zed(leaving.leave)
    assert club.leader(minding.sent).lines == ()
    assert club.leader(minding.sent, "Zebedee") == Refused(Reason.UNKNOWN_PERSON)
