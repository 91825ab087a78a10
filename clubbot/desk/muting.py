"""Which kinds of notices a person wants, and how many a child gets."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from clubbot.desk.acting import Who, deed, look
from clubbot.rules.model import ClubId, NoticeId, PersonId, Reason, Refused, Role
from clubbot.rules.muting import ANSWERS, BY_ROLE, FAULTS, Owed, group_of, too_many
from clubbot.rules.permissions import Deed
from clubbot.rules.results import Mutes
from clubbot.store import clubs, minding, people
from clubbot.store import notices as rows
from clubbot.store.engine import Tx
from clubbot.store.notices import NoticeRow


@look(Deed.SEE_SELF)
def mine(tx: Tx, who: Who) -> Mutes:
    """Return which kinds of notices the one who asks gets."""
    return _mutes(tx, who)


@deed(Deed.SEE_SELF)
def switch(tx: Tx, who: Who, kind: str) -> Mutes | Refused:
    """Switch a kind of notice off, or on again where it is off."""
    said = kind.strip().casefold()
    word = next((each for each in BY_ROLE[who.role] if said and each.startswith(said)), None)
    if word is None:
        return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "mute"})
    off = minding.muted(tx, who.club).get(who.person, frozenset())
    if word == FAULTS and word not in off and _alone_hears(tx, who):
        return Refused(Reason.LAST_TOLD)
    minding.mute(tx, who.club, who.person, word, wanted=word in off)
    return _mutes(tx, who)


def _alone_hears(tx: Tx, who: Who) -> bool:
    """Say whether no other adult hears of faults: whoever reports one is promised that one does."""
    off = minding.muted(tx, who.club)
    others = [row.id for row in people.people(tx, who.club) if row.role.adult]
    return all(FAULTS in off.get(each, ()) for each in others if each != who.person)


def _mutes(tx: Tx, who: Who) -> Mutes:
    off = minding.muted(tx, who.club).get(who.person, frozenset())
    return Mutes(tuple((word, word not in off) for word in BY_ROLE[who.role]))


def unwanted(tx: Tx, taken: Sequence[NoticeRow], now: datetime) -> list[NoticeId]:
    """Return which of the notices that are about to be sent people are spared, none of them urgent.

    Those that they switched off, and those to a child who has had enough this week.
    """
    spared: list[NoticeId] = []
    by_club: dict[ClubId, list[NoticeRow]] = {}
    for row in taken:
        by_club.setdefault(row.club, []).append(row)
    for club, owed in by_club.items():
        off = minding.muted(tx, club)
        muted = [
            each.id
            for each in owed
            if not each.urgent and group_of(each.kind) in off.get(each.person, ())
        ]
        spared += muted
        spared += _over(tx, club, [each for each in owed if each.id not in muted], now)
    return spared


def _over(tx: Tx, club: ClubId, owed: Sequence[NoticeRow], now: datetime) -> list[NoticeId]:
    roles: Mapping[PersonId, Role] = {row.id: row.role for row in people.people(tx, club)}
    children = (Role.STUDENT, Role.HELPER)
    due: dict[PersonId, list[Owed]] = {}
    for each in owed:
        if roles.get(each.person) in children:
            due.setdefault(each.person, []).append(Owed(each.id, each.kind, each.urgent))
    if not due:
        return []
    zone = clubs.club(tx, club).zone
    today = now.astimezone(zone)
    monday = (today - timedelta(days=today.weekday())).replace(
        hour=0, minute=0, second=0, microsecond=0
    )
    sent = rows.sent_since(tx, club, list(due), monday, ANSWERS)
    return [
        spared for person, mine in due.items() for spared in too_many(mine, sent.get(person, 0))
    ]
