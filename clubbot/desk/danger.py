"""Danger: the kit on hold and every adult told at once, again until one of them has it.

Each round of telling is owed from the moment at which the round before it was sent, so that a
restart or an outage delays the rounds and loses none.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from hashlib import sha256

from clubbot.desk import blaming, notices
from clubbot.desk.acting import Answer, Asking, Who, deed, once, stranger_view, view
from clubbot.desk.replanning import plan_anew
from clubbot.rules.faults import FaultReading, read_fault
from clubbot.rules.ledger import Detail, EntryKind
from clubbot.rules.model import ClubId, FaultId, KitId, PersonId, Reason, Refused, Role
from clubbot.rules.permissions import Deed
from clubbot.rules.results import (
    DangerAlarm,
    DangerHasSomeone,
    DangerReported,
    DangerTaken,
    DangerUnanswered,
)
from clubbot.store import clubs, faults, people
from clubbot.store import notices as rows
from clubbot.store.engine import Store, Tx
from clubbot.store.kits import KitNow, kits
from clubbot.store.ledger import Draft
from clubbot.store.notices import NewNotice, NoticeRow

AGAIN_AFTER = timedelta(minutes=3)
ROUNDS = 2
"""How often all are told again at most; more would teach them not to read it."""
TERM = timedelta(weeks=14)
"""Common practice, no source: a school's term is 10 to 15 weeks long."""
OFTEN = 3
"""From this alarm on within a term the leaders see how many came from one account."""
STRANGERS_HOLD = 2
"""How many kits a message may hold whose writer the club doesn't know."""
USEFUL = timedelta(days=7)
HAS_IT = "has it"


def raise_alarm(
    tx: Tx, who: Who, meant: Sequence[KitNow], reading: FaultReading, said: str
) -> DangerReported:
    """Open a fault for each kit, put it on hold and owe every adult the alarm at once."""
    symptom = reading.symptom or "battery-danger"
    about: list[KitId | None] = [now.kit.id for now in meant]
    lines = [
        faults.add(
            tx,
            who.club,
            kit=kit,
            symptom=symptom,
            danger=True,
            said=said,
            reported_by=who.person or None,
            now=who.now,
        )
        for kit in about or [None]
    ]
    for line in lines:
        blaming.hang(tx, who.club, line, who.now)
    free = [now for now in meant if now.position.held is None]
    note = Detail(note=f"danger reported, fault {lines[0].number}")
    who.append(tx, [Draft(EntryKind.HELD, kit=now.kit.id, detail=note) for now in free])
    facts = {
        "kits": [now.kit.id for now in meant],
        "said": said[:300],
        "by": who.name,
        "fire": reading.fire,
        "numbers": [line.number for line in lines],
        "often": _alarms(tx, who),
    }
    if not who.person:
        facts["account"] = _account(who)
    subject = f"fault {lines[0].id}"
    notices.tell_adults(tx, who, notices.DANGER, subject, facts, urgent=True)
    if free:
        plan_anew(tx, who, shown=False)
    refs = tuple(now.ref for now in meant)
    return DangerReported(refs, reading.fire, who.settings.emergency_number)


def _alarms(tx: Tx, who: Who) -> int:
    """Return how many alarms came from this account within a term, with this one; 0: no matter."""
    since = who.now - TERM
    if who.role.adult:
        return 0
    if who.person:
        return faults.alarms_by(tx, who.club, who.person, since)
    known = rows.of_kind(tx, who.club, notices.DANGER, since)
    mine = {row.subject for row in known if row.facts.get("account") == _account(who)}
    return len(mine) + 1


def _account(who: Who) -> str:
    """Return what tells a stranger's account from others in this club, and says nothing else."""
    return sha256(f"{who.club}:{who.asking.telegram_id}".encode()).hexdigest()[:16]


def hear_unknown(store: Store, asking: Asking, text: str) -> Answer:
    """Take danger seriously whoever says it: in a club's group it holds the kits that are named.

    Anything else that an unknown person says is refused, as everywhere.
    """
    with store.write() as tx:
        if asking.private:
            return Answer(_in_private(text), stranger_view(asking))
        club = clubs.club_of_group(tx, asking.chat_id)
        if club is None:
            return Answer(Refused(Reason.NO_SUCH_CLUB), stranger_view(asking))
        clubs.lock(tx, club)
        who = _unknown(tx, club, asking)
        return once(tx, asking, view(who), lambda: _heard(tx, who, text))


def _in_private(text: str) -> DangerReported | Refused:
    """Return what keeps the writer safe; which club it is about nobody can say."""
    reading = read_fault(text, [])
    return DangerReported((), reading.fire, "") if reading.danger else Refused(Reason.NO_SUCH_CLUB)


def _heard(tx: Tx, who: Who, text: str) -> DangerReported | Refused:
    known = {now.kit.label: now for now in kits(tx, who.club).values()}
    reading = read_fault(text, list(known))
    if not reading.danger:
        return Refused(Reason.NO_SUCH_CLUB)
    named = [known[label] for label in reading.kits if label in known]
    return raise_alarm(tx, who, named[:STRANGERS_HOLD], reading, text)


def _unknown(tx: Tx, club: ClubId, asking: Asking) -> Who:
    row = clubs.club(tx, club)
    return Who(PersonId(0), "", Role.STRANGER, row.id, row.name, row.zone, row.settings, asking)


@deed(Deed.RELEASE)
def take(tx: Tx, who: Who, fault: FaultId) -> DangerTaken | Refused:
    """Note that this adult goes and looks; the first one has it, and the other adults hear so."""
    told = rows.about(tx, who.club, (notices.DANGER, notices.DANGER_AGAIN), f"fault {fault}")
    mine = [row for row in told if row.person == who.person]
    if not mine:
        return Refused(Reason.OUT_OF_DATE)
    alarm = shown(tx, who, mine[0])
    first = _who_has_it(told)
    if first is not None and first.person != who.person:
        names = {row.id: row.name for row in people.people(tx, who.club)}
        return DangerTaken(alarm, names.get(first.person, ""), mine=False)
    if first is None:
        rows.mark(tx, [mine[0].id], answer=HAS_IT, answered_at=who.now)
        others = [person for person in notices.adults(tx, who) if person != who.person]
        facts = {**mine[0].facts, "has": who.name}
        subject = f"fault {fault}"
        notices.tell(tx, who, others, notices.DANGER_TAKEN, subject, facts, urgent=True)
    return DangerTaken(alarm, who.name, mine=True)


def _who_has_it(told: Sequence[NoticeRow]) -> NoticeRow | None:
    taken = [row for row in told if row.answer == HAS_IT and row.answered_at is not None]
    return min(taken, key=lambda row: row.answered_at or row.due_at, default=None)


def follow(tx: Tx, row: NoticeRow, now: datetime) -> None:
    """Owe all adults the next round, where a notice of danger was just sent and nobody has it."""
    done = {notices.DANGER: 0, notices.DANGER_AGAIN: _round(row)}.get(row.kind, ROUNDS)
    if done >= ROUNDS or _settled(tx, row):
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
            facts=row.facts,
        )
        for person in adults
    ]
    rows.add(tx, row.club, again)


def _round(row: NoticeRow) -> int:
    return int(row.occurrence) if row.kind == notices.DANGER_AGAIN else 0


def _settled(tx: Tx, row: NoticeRow) -> bool:
    """Say whether somebody has it, or an adult has looked: the hold is off, the faults closed."""
    told = rows.about(tx, row.club, (notices.DANGER, notices.DANGER_AGAIN), row.subject)
    if _who_has_it(told) is not None:
        return True
    numbers = {line.number for line in faults.still_open(tx, row.club)}
    if not numbers & set(row.facts["numbers"]):
        return True
    known = kits(tx, row.club)
    named = [known[kit] for kit in row.facts["kits"] if kit in known]
    return bool(named) and all(now.position.held is None for now in named)


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
    )


def unanswered(tx: Tx, who: Who, row: NoticeRow) -> DangerUnanswered | None:
    """Return what all are told again, unless somebody has it by now."""
    if _settled(tx, row):
        return None
    told = rows.about(tx, who.club, (notices.DANGER,), row.subject)
    since = min((each.sent_at for each in told if each.sent_at), default=row.due_at - AGAIN_AFTER)
    silent = [each.name for each in people.people(tx, who.club) if each.role.adult]
    return DangerUnanswered(
        shown(tx, who, row),
        minutes=int((who.now - since) / timedelta(minutes=1)),
        silent=tuple(silent),
        last=_round(row) == ROUNDS,
    )


def taken(tx: Tx, who: Who, row: NoticeRow) -> DangerHasSomeone:
    """Return what the other adults are told when one of them has it."""
    return DangerHasSomeone(shown(tx, who, row), row.facts["has"])
