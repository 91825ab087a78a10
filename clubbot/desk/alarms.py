"""The alarm of a danger: who has it, told again until one of them has, and what each is told.

Each round of telling is owed from the moment at which the round before it was sent, so that a
restart or an outage delays the rounds and loses none.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from clubbot.desk import chargers, notices
from clubbot.desk.acting import Who
from clubbot.rules.model import FaultId, Role
from clubbot.rules.results import (
    DangerAlarm,
    DangerHasSomeone,
    DangerPlaced,
    DangerSaidAgain,
    DangerUnanswered,
    FaultLine,
)
from clubbot.store import faults, people
from clubbot.store import notices as rows
from clubbot.store.engine import Tx
from clubbot.store.kits import kits
from clubbot.store.notices import NewNotice, NoticeRow

AGAIN_AFTER = timedelta(minutes=3)
ROUNDS = 2
"""How often all are told again at most; more would teach them not to read it."""
OFTEN = 3
"""From this alarm on within a term the leaders see how many came from one account."""
USEFUL = timedelta(days=7)
HAS_IT = "has it"
TOLD = (notices.DANGER, notices.DANGER_AGAIN)


def of_fault(tx: Tx, who: Who, line: FaultLine) -> list[NoticeRow]:
    """Return what was told of the alarm that a fault belongs to, the first told first."""
    alarms = rows.of_kind(tx, who.club, notices.DANGER, line.reported_at)
    first = next((row for row in alarms if line.number in row.facts["numbers"]), None)
    return rows.about(tx, who.club, TOLD, first.subject) if first else []


def without_kit(row: NoticeRow) -> bool:
    """Say whether no kit was named when it was raised; one may have been named since."""
    return bool(row.facts.get("placed")) or not row.facts["kits"]


def who_has_it(told: Sequence[NoticeRow]) -> NoticeRow | None:
    """Return the notice to whoever said first that they have it."""
    taken = [row for row in told if row.answer == HAS_IT and row.answered_at is not None]
    return min(taken, key=lambda row: row.answered_at or row.due_at, default=None)


def follow(tx: Tx, row: NoticeRow, now: datetime) -> None:
    """Owe all adults the next round, where a notice of danger was just sent and nobody has it."""
    done = {notices.DANGER: 0, notices.DANGER_AGAIN: _round(row)}.get(row.kind, ROUNDS)
    told = rows.about(tx, row.club, TOLD, row.subject)
    if done >= ROUNDS or _settled(tx, told):
        return
    due = now + AGAIN_AFTER
    adults = [each.id for each in people.people(tx, row.club) if each.role.adult]
    again = [
        NewNotice(
            kind=notices.DANGER_AGAIN,
            subject=row.subject,
            occurrence=str(done + 1),
            person=person,
            due_at=due,
            send_at=due,
            useful_until=due + USEFUL,
            urgent=True,
            facts=told[0].facts,
        )
        for person in adults
    ]
    rows.add(tx, row.club, again)


def _round(row: NoticeRow) -> int:
    return int(row.occurrence) if row.kind == notices.DANGER_AGAIN else 0


def _settled(tx: Tx, told: Sequence[NoticeRow]) -> bool:
    """Say whether somebody has it, or an adult has looked: all its faults are closed."""
    if who_has_it(told) is not None:
        return True
    numbers = {line.number for line in faults.still_open(tx, told[0].club)}
    return not numbers & set(told[0].facts["numbers"])


def shown(tx: Tx, who: Who, row: NoticeRow) -> DangerAlarm:
    """Return the alarm that a notice is about, as this person may see it."""
    facts, known = row.facts, kits(tx, who.club)
    often = int(facts.get("often", 0))
    return DangerAlarm(
        fault=FaultId(int(row.subject.rpartition(" ")[2])),
        kits=tuple(known[kit].ref for kit in facts["kits"] if kit in known),
        said=facts["said"],
        by=facts["by"],
        fire=facts["fire"],
        numbers=tuple(facts["numbers"]),
        often=often if who.role is Role.LEADER and often >= OFTEN else 0,
        harm=tuple(facts.get("harm", ())),
        thing=facts.get("thing", True),
        emergency_number=who.settings.emergency_number,
        before=facts.get("before", 0),
        bays=chargers.bays_of(tx, who.club, [known[kit] for kit in facts["kits"] if kit in known]),
    )


def unanswered(tx: Tx, who: Who, row: NoticeRow) -> DangerUnanswered | None:
    """Return what all are told again, unless somebody has it by now."""
    told = rows.about(tx, who.club, TOLD, row.subject)
    if _settled(tx, told):
        return None
    sent = [each.sent_at for each in told if each.kind == notices.DANGER and each.sent_at]
    since = min(sent, default=row.due_at - AGAIN_AFTER)
    alarm = shown(tx, who, row)
    said_it = faults.reporter(tx, who.club, alarm.fault)
    adults = [each for each in people.people(tx, who.club) if each.role.adult]
    silent = [each.name for each in adults if each.id != said_it]
    return DangerUnanswered(
        alarm,
        minutes=int((who.now - since) / timedelta(minutes=1)),
        silent=tuple(silent),
        last=_round(row) == ROUNDS,
    )


def taken(tx: Tx, who: Who, row: NoticeRow) -> DangerHasSomeone:
    """Return what the other adults are told when one of them has it."""
    return DangerHasSomeone(shown(tx, who, row), row.facts["has"])


def placed(tx: Tx, who: Who, row: NoticeRow) -> DangerPlaced:
    """Return what all adults are told when it is said which kit a danger is in."""
    holder = who_has_it(rows.about(tx, who.club, TOLD, row.subject))
    names = {each.id: each.name for each in people.people(tx, who.club)}
    return DangerPlaced(shown(tx, who, row), names.get(holder.person, "") if holder else "")


def said_again(tx: Tx, who: Who, row: NoticeRow) -> DangerSaidAgain:
    """Return what whoever has it is told when the same danger is reported once more."""
    return DangerSaidAgain(shown(tx, who, row), row.facts["again"], row.facts["again_by"])
