"""A danger that is known already: said once more, looked at by an adult, or not after all."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import timedelta

from clubbot.desk import alarms, notices
from clubbot.desk.acting import Who
from clubbot.rules.faults.harm import Hazard
from clubbot.rules.ledger import Entry, EntryKind
from clubbot.rules.model import KitId
from clubbot.rules.results import FaultLine
from clubbot.store import evidence, faults
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow
from clubbot.store.notices import NoticeRow

AT_ONCE = timedelta(minutes=10)
"""Within this time one person's words are about one and the same danger."""
HAD_FOR = timedelta(hours=12)
"""So long somebody looks after a danger that they took; then the same words alarm all again."""
RELEASED = "released"


def joins(
    tx: Tx, who: Who, now: KitNow | None, said: str, hazard: Hazard, *, fire: bool
) -> FaultLine | None:
    """Add a report to the danger that somebody has in hand, and tell them; None where none is.

    What is worse than was told, and any fire or anybody hurt that another person speaks of, is
    never one more of the same.
    """
    if now is not None and now.position.held is None:
        return None
    only_own = now is None or fire or bool(hazard.harm)
    for line in faults.still_open(tx, who.club, now.kit.id if now else None):
        if not line.danger or (only_own and not _just_said(tx, who, line)):
            continue
        told = alarms.of_fault(tx, who, line)
        holder = _looking_after(tx, who, told)
        if holder is None or _is_worse(told[0], hazard, fire=fire):
            continue
        if now is None and not alarms.without_kit(told[0]):
            continue
        faults.join(tx, who.club, line.id, said)
        evidence.note(tx, who.club, line.id, who.now, "again", said)
        facts = {**told[0].facts, "again": said[:300], "again_by": who.name}
        subject, to = told[0].subject, [holder.person]
        notices.tell(tx, who, to, notices.DANGER_SAID, subject, facts, urgent=True)
        return line
    return None


def _just_said(tx: Tx, who: Who, line: FaultLine) -> bool:
    mine = bool(who.person) and faults.reporter(tx, who.club, line.id) == who.person
    return mine and who.now - line.reported_at < AT_ONCE


def _looking_after(tx: Tx, who: Who, told: Sequence[NoticeRow]) -> NoticeRow | None:
    """Return the notice to the adult who took a danger lately, where one did and is still here."""
    holder = alarms.who_has_it(told)
    if holder is None or holder.person not in notices.adults(tx, who):
        return None
    since = holder.answered_at or holder.due_at
    return holder if who.now - since < HAD_FOR else None


def _is_worse(told: NoticeRow, hazard: Hazard, *, fire: bool) -> bool:
    facts = told.facts
    more = not {*hazard.harm} <= {*facts.get("harm", ())}
    thing = hazard.thing and not facts.get("thing", True)
    return more or thing or (fire and not facts["fire"])


def looked(tx: Tx, who: Who, released: Iterable[KitId], found: str) -> tuple[int, ...]:
    """Close the dangers of kits that an adult takes off hold; return their numbers.

    What waits for the supplier's answer stays open until it is there.
    """
    mine = [
        line
        for kit in released
        for line in faults.still_open(tx, who.club, kit)
        if line.danger and not line.at_supplier
    ]
    for line in mine:
        faults.close(tx, who.club, line.id, found, who.now)
        evidence.note(tx, who.club, line.id, who.now, RELEASED, found)
    return tuple(sorted(line.number for line in mine))


def held_again(tx: Tx, who: Who, undone: Iterable[Entry]) -> None:
    """Open the dangers again that were closed with a release which is taken back."""
    for entry in undone:
        if entry.kind is not EntryKind.RELEASED:
            continue
        for number in evidence.noted_at(tx, who.club, RELEASED, entry.said_at):
            line = faults.by_id(tx, who.club, number)
            mine = line is not None and line.kit is not None and line.kit.id == entry.kit
            if line is not None and mine and line.closed_at == entry.said_at:
                faults.reopen(tx, who.club, number, "")
                evidence.note(tx, who.club, number, who.now, "undone")
