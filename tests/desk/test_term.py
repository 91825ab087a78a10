"""Twelve weeks of a club, from due moment to due moment: with student accounts, and without."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from functools import partial

import pytest

from clubbot.desk import booking, charging, fault, handover, notices, people, sending, sweep
from clubbot.rules.model import Reason, Refused, Role
from clubbot.rules.results import Booked, Charged, HandedOut, TakenBack
from clubbot.rules.sending import Sent
from clubbot.store import clubs
from clubbot.store import people as person_rows
from clubbot.store.engine import Store
from tests.desk.scene import Club, make_club

WEEKS = 12
FIRST_MONDAY = date(2026, 10, 5)
DANGER = {notices.DANGER, notices.DANGER_AGAIN, notices.DANGER_TAKEN}


@dataclass
class Message:
    at: datetime
    to: str
    kinds: tuple[str, ...]


@dataclass
class Term:
    """A club whose clock goes from one due moment, or planned action, to the next."""

    club: Club
    messages: list[Message] = field(default_factory=list)
    plan: list[tuple[datetime, Callable[[], object]]] = field(default_factory=list)
    ids: int = 0

    def on(self, wall: str, act: Callable[[], object]) -> None:
        self.plan.append((self.club.at(wall), act))

    def play(self, until: str) -> None:
        end = self.club.at(until)
        self.plan.sort(key=lambda each: each[0])
        while self.club.now < end:
            moments = [end]
            if due := sweep.next_moment(self.club.store, self.club.now, end):
                moments.append(due)
            if self.plan:
                moments.append(self.plan[0][0])
            self.club.now = max(min(moments), self.club.now)
            while self.plan and self.plan[0][0] <= self.club.now:
                self.plan.pop(0)[1]()
            self._post()

    def _post(self) -> None:
        club = self.club
        club.sweep()
        while leased := sending.lease(club.store, club.now, club.now):
            for owed in leased:
                if sending.message(club.store, owed, club.now) is None:
                    sending.drop(club.store, owed)
                    continue
                self.ids += 1
                kinds = tuple(sorted({row.kind for row in owed.notices}))
                at = club.now.astimezone(club.zone)
                self.messages.append(Message(at, club.name_of(owed.chat_id), kinds))
                sending.mark(club.store, owed, Sent(self.ids), club.now, club.now)


def weeks() -> list[tuple[str, str]]:
    """Return each week's Monday and Friday, but for the week of the holidays."""
    mondays = [FIRST_MONDAY + timedelta(weeks=week) for week in range(WEEKS)]
    return [
        (day.isoformat(), (day + timedelta(days=4)).isoformat())
        for day in mondays
        if day != date(2026, 10, 26)
    ]


def done(result: object, kind: type) -> None:
    assert isinstance(result, kind), result


@pytest.fixture
def club(sqlite_store: Store) -> Club:
    made = make_club(sqlite_store, labels="ABCDEFGH", teams=("Red", "Blue", "Green"))
    with sqlite_store.write() as tx:
        clubs.close_days(tx, made.id, date(2026, 10, 26), date(2026, 10, 30), "mid-term")
    return made


def test_nobody_gets_more_messages_over_a_term_than_they_can_bear(club: Club) -> None:
    mates = [club.student, club.newcomer("Mate", Role.STUDENT, ["Blue"])]
    term = Term(club)
    for monday, friday in weeks():
        for day, hours in ((monday, "16:00-17:30"), (friday, "15:30-17:00")):
            begins, ends = hours.split("-")
            before = date.fromisoformat(day) - timedelta(days=3)
            for who in mates:
                text = f"2 kits {day} {hours}"
                ask = partial(who, booking.request, text)
                term.on(f"{before} 12:00", lambda a=ask: done(a(), Booked))
            term.on(f"{day} {begins}", lambda: [club.helper(handover.give_out, t) for t in BOTH])
            term.on(f"{day} {ends}", lambda: done(club.helper(handover.back, "all"), TakenBack))
        term.on(f"{friday} 17:10", lambda: done(club.leader(charging.charged, "all"), Charged))
        term.on(f"{monday} 20:30", lambda: club.student(fault.report, "kit C: a wheel fell off"))
        term.on(f"{friday} 10:00", lambda: club.helper(fault.report, "kit E won't connect"))
    term.on("2026-11-18 12:00", lambda: club.student(fault.report, "the battery of H is hot"))
    term.play("2026-12-27 12:00")

    sessions = {date.fromisoformat(day) for pair in weeks() for day in pair}
    for name in ("Leader", "Co-leader"):
        mine = [m for m in term.messages if m.to == name and not DANGER & set(m.kinds)]
        mornings = Counter(m.at.date() for m in mine if m.at.date() in sessions and m.at.hour < 12)
        assert set(mornings.values()) <= {1}, (name, mornings)
        others = [m for m in mine if m.at.date() not in sessions or m.at.hour >= 12]
        weekly = Counter(m.at.isocalendar()[:2] for m in others)
        assert max(weekly.values()) == 1, (name, [m for m in others])
        assert any("fault" in m.kinds and "morning list" in m.kinds for m in mine)
        assert any(DANGER & set(m.kinds) for m in term.messages if m.to == name)
    for name in ("Student", "Mate"):
        mine = [m for m in term.messages if m.to == name]
        weekly = Counter(m.at.isocalendar()[:2] for m in mine)
        assert len(weekly) >= WEEKS - 2
        assert max(weekly.values()) <= 3, (name, weekly)
        assert all("07:30" <= f"{m.at:%H:%M}" < "19:00" for m in mine)
        assert all(m.at.weekday() < 5 for m in mine)
        told = sum("tomorrow" in m.kinds for m in mine)
        assert told >= 2 * (WEEKS - 2), "every booking is told of, whatever else is left out"


BOTH = ("Red", "Blue")


def test_a_whole_term_goes_without_any_student_account(club: Club) -> None:
    with club.store.write() as tx:
        person_rows.change(tx, club.id, club.student.id, left_at=club.now)
        settings = clubs.club(tx, club.id).settings.changed()
        settings |= {"accounts": "without", "students_confirmed_on": ""}
        clubs.change(tx, club.id, settings=settings)
    assert club.leader(people.invite, Role.STUDENT) == Refused(Reason.STUDENTS_UNCONFIRMED)
    term, door, helper = Term(club), club.door, club.helper
    given = Counter[str]()
    for week, (_, friday) in enumerate(weeks()):
        before = date.fromisoformat(friday) - timedelta(days=8)
        for team in ("Red", "Blue", "Green"):
            text = f"2 kits for {team} {friday} 15:30-17:00"
            term.on(f"{before} 16:05", lambda t=text: done(door(booking.request, t), Booked))

            def hand(team: str = team) -> None:
                done(door(handover.give_out, team), HandedOut)
                given[team] += 1

            term.on(f"{friday} 15:30", hand)
        if week == 4:
            continue  # nobody types that they are back
        if week == 6:
            term.on(f"{friday} 16:55", lambda: done(door(handover.back, "all for Red"), object))
        term.on(f"{friday} 17:00", lambda: done(helper(handover.back, "all"), TakenBack))
        term.on(f"{friday} 17:20", lambda: done(club.leader(charging.charged, "all"), Charged))
        if week % 3 == 0:
            term.on(f"{friday} 16:00", lambda: door(fault.report, "D keeps switching off"))
    late = weeks()[4][1]
    term.on(f"{late} 17:40", lambda: club.leader(handover.back, "all"))
    term.play("2026-12-27 12:00")

    assert given == {"Red": 11, "Blue": 11, "Green": 11}
    assert club.out() == []
    assert club.audit() == []
    assert {m.to for m in term.messages} <= {"Leader", "Co-leader", "Helper", "Door phone"}
    kinds = Counter(kind for m in term.messages if m.to == "Leader" for kind in m.kinds)
    assert kinds["morning list"] >= 11
    assert kinds["charge list"] >= 8
    assert kinds["late asked"] == 1, "asked once, in the week in which nobody said it"
    assert kinds["fault"] >= 1
    at_the_door = [m for m in term.messages if m.to == "Door phone"]
    assert not [m for m in at_the_door if {"late holder", "late morning"} & set(m.kinds)]
