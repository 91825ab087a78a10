"""Notices: messages owed to people, each once, whatever restarts and second processes there are."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any

import sqlalchemy as sa

from clubbot.rules.absence import acting_for
from clubbot.rules.model import ClubId, NoticeId, PersonId
from clubbot.store.absences import absences
from clubbot.store.engine import Tx, inserting
from clubbot.store.tables import NOTICE, PERSON

KEY = ("club_id", "kind", "subject", "occurrence", "person_id")


@dataclass(frozen=True, slots=True)
class NewNotice:
    """A notice that may already be there; `facts` are plain values for the wording.

    `personal`: it is about the person themselves, so that nobody else gets it while they are away.
    `moves_at`: whoever acts for the person then gets it; the moment that it is due, if not said.
    """

    kind: str
    subject: str
    occurrence: str
    person: PersonId
    due_at: datetime
    send_at: datetime
    useful_until: datetime
    urgent: bool = False
    facts: Mapping[str, Any] = field(default_factory=dict)
    personal: bool = False
    moves_at: datetime | None = None


def add(tx: Tx, club: ClubId, new: Sequence[NewNotice], by: PersonId | None = None) -> int:
    """Add the notices that aren't there yet, and return how many those were.

    What is due while somebody is away goes to whoever acts for them, unless `by` is that person:
    they know what they did. What is urgent goes to both.
    """
    new = _addressed(tx, club, new, by) if new else []
    if not new:
        return 0
    rows = [
        {
            "club_id": club,
            "kind": each.kind,
            "subject": each.subject,
            "occurrence": each.occurrence,
            "person_id": each.person,
            "due_at": each.due_at,
            "send_at": each.send_at,
            "useful_until": each.useful_until,
            "urgent": each.urgent,
            "facts": dict(each.facts),
            "state": "waiting",
            "tries": 0,
        }
        for each in new
    ]
    added = tx.execute(
        inserting(tx.dialect, NOTICE)
        .values(rows)
        .on_conflict_do_nothing(index_elements=list(KEY))
        .returning(NOTICE.c.id)
    )
    return len(added.all())


def _addressed(
    tx: Tx, club: ClubId, new: Sequence[NewNotice], by: PersonId | None
) -> Sequence[NewNotice]:
    away = absences(tx, club)
    if not away:
        return new
    found: list[NewNotice] = []
    for each in new:
        moment = each.moves_at or each.due_at
        acting = each.person if each.personal else acting_for(each.person, moment, away)
        if each.urgent or acting == each.person:
            found.append(each)
        if acting != each.person and (acting != by or each.urgent):
            found.append(replace(each, person=acting))
    return found


@dataclass(frozen=True, slots=True)
class NoticeRow:
    """A notice as it stands, with the private chat of the person it is owed to."""

    id: NoticeId
    club: ClubId
    kind: str
    subject: str
    occurrence: str
    person: PersonId
    chat_id: int | None
    due_at: datetime
    useful_until: datetime
    urgent: bool
    facts: Mapping[str, Any]
    tries: int
    answer: str | None
    answered_at: datetime | None
    sent_at: datetime | None
    state: str

    @property
    def asked_at(self) -> datetime | None:
        """When the person was asked, or, where they can't be reached, should have been."""
        if self.sent_at is not None:
            return self.sent_at
        return None if self.state in ("waiting", "sending") else self.due_at


_ROW = sa.select(NOTICE, PERSON.c.telegram_id, PERSON.c.left_at).join_from(
    NOTICE, PERSON, sa.and_(PERSON.c.club_id == NOTICE.c.club_id, PERSON.c.id == NOTICE.c.person_id)
)


def lease(tx: Tx, now: datetime, real: datetime, until: datetime, limit: int) -> list[NoticeRow]:
    """Take what is owed by `now`: no other sender gets it before `until`, in real time.

    What a dead sender left behind is taken up again: it may have been sent, so it counts as a
    try. Danger comes first, then what has been due longest.
    """
    free = sa.or_(NOTICE.c.lease_until.is_(None), NOTICE.c.lease_until < real)
    wanted = (
        _ROW.where(NOTICE.c.state.in_(("waiting", "sending")), NOTICE.c.send_at <= now, free)
        .order_by(NOTICE.c.urgent.desc(), NOTICE.c.due_at, NOTICE.c.id)
        .limit(limit)
    )
    if tx.dialect.name != "sqlite":
        wanted = wanted.with_for_update(of=NOTICE, skip_locked=True)
    rows = tx.execute(wanted).all()
    if rows:
        tx.execute(
            sa.update(NOTICE)
            .where(NOTICE.c.id.in_([row.id for row in rows]))
            .values(state="sending", lease_until=until, tries=NOTICE.c.tries + 1)
        )
    return [_row(row) for row in rows]


def release(tx: Tx) -> None:
    """Let go of what a sender held that is surely no more: it is taken up again at once."""
    tx.execute(sa.update(NOTICE).where(NOTICE.c.state == "sending").values(lease_until=None))


def owed(tx: Tx, now: datetime) -> int:
    """Return how many notices wait to be sent by this moment."""
    found = (
        sa.select(sa.func.count())
        .select_from(NOTICE)
        .where(NOTICE.c.state.in_(("waiting", "sending")), NOTICE.c.send_at <= now)
    )
    return int(tx.execute(found).scalar_one())


def next_sending(tx: Tx, after: datetime, until: datetime) -> datetime | None:
    """Return when the next notice that was put off is to be sent."""
    found = sa.select(sa.func.min(NOTICE.c.send_at)).where(
        NOTICE.c.state == "waiting", NOTICE.c.send_at > after, NOTICE.c.send_at <= until
    )
    moment: datetime | None = tx.execute(found).scalar_one()
    return moment


def mark(tx: Tx, ids: Iterable[NoticeId], **values: Any) -> None:
    """Change the state of notices."""
    tx.execute(sa.update(NOTICE).where(NOTICE.c.id.in_(list(ids))).values(**values))


def answer(
    tx: Tx, club: ClubId, person: PersonId, number: NoticeId, kind: str, said: str, now: datetime
) -> datetime | None:
    """Note a person's answer to being asked about late kits; a later answer replaces it.

    Returns the moment at which those kits were due, or None where this person wasn't asked.
    """
    found = tx.execute(
        sa.update(NOTICE)
        .where(
            NOTICE.c.club_id == club,
            NOTICE.c.id == number,
            NOTICE.c.person_id == person,
            NOTICE.c.kind == kind,
        )
        .values(answer=said, answered_at=now)
        .returning(NOTICE.c.occurrence)
    ).scalar_one_or_none()
    return datetime.fromisoformat(found) if found else None


def sent_since(
    tx: Tx, club: ClubId, persons: Sequence[PersonId], since: datetime, but: Iterable[str]
) -> dict[PersonId, int]:
    """Return how many messages people got since then, `but` for some kinds.

    What was joined into one message counts once.
    """
    one = sa.func.coalesce(NOTICE.c.message_id, -NOTICE.c.id)
    found = (
        sa.select(NOTICE.c.person_id, sa.func.count(one.distinct()))
        .where(
            NOTICE.c.club_id == club,
            NOTICE.c.person_id.in_(list(persons)),
            NOTICE.c.state.in_(("sent", "unknown")),
            NOTICE.c.kind.not_in(list(but)),
            NOTICE.c.sent_at >= since,
        )
        .group_by(NOTICE.c.person_id)
    )
    return {PersonId(row[0]): row[1] for row in tx.execute(found)}


def try_again(tx: Tx, telegram_id: int, now: datetime) -> int:
    """Owe somebody who is back what couldn't be sent and is still of use; return how much."""
    them = sa.select(PERSON.c.id).where(
        PERSON.c.telegram_id == telegram_id, PERSON.c.club_id == NOTICE.c.club_id
    )
    lost = sa.and_(
        NOTICE.c.person_id.in_(them), NOTICE.c.state == "gone", NOTICE.c.useful_until > now
    )
    again = {"state": "waiting", "tries": 0, "lease_until": None}
    return int(tx.execute(sa.update(NOTICE).where(lost).values(**again)).rowcount)


def of_kind(tx: Tx, club: ClubId, kind: str, since: datetime) -> list[NoticeRow]:
    """Return a club's notices of one kind that have become due since then."""
    wanted = _ROW.where(NOTICE.c.club_id == club, NOTICE.c.kind == kind, NOTICE.c.due_at >= since)
    return [_row(row) for row in tx.execute(wanted.order_by(NOTICE.c.due_at, NOTICE.c.id))]


def about(tx: Tx, club: ClubId, kinds: Sequence[str], subject: str) -> list[NoticeRow]:
    """Return a club's notices of these kinds about one thing, the first due first."""
    wanted = _ROW.where(
        NOTICE.c.club_id == club, NOTICE.c.kind.in_(kinds), NOTICE.c.subject == subject
    )
    return [_row(row) for row in tx.execute(wanted.order_by(NOTICE.c.due_at, NOTICE.c.id))]


def forget(tx: Tx, before: datetime) -> None:
    """Delete what was settled before then."""
    settled = NOTICE.c.state.in_(("sent", "unknown", "dropped", "gone"))
    tx.execute(sa.delete(NOTICE).where(settled, NOTICE.c.due_at < before))


def _row(row: Any) -> NoticeRow:
    return NoticeRow(
        id=row.id,
        club=row.club_id,
        kind=row.kind,
        subject=row.subject,
        occurrence=row.occurrence,
        person=row.person_id,
        chat_id=row.telegram_id if row.left_at is None else None,
        due_at=row.due_at,
        useful_until=row.useful_until,
        urgent=row.urgent,
        facts=row.facts,
        tries=row.tries,
        answer=row.answer,
        answered_at=row.answered_at,
        sent_at=row.sent_at,
        state=row.state,
    )
