"""One line afterwards: read, shown once for a yes, and written down with its own times."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import groupby
from typing import Any

from clubbot.desk import energy, fault
from clubbot.desk.acting import Who, deed
from clubbot.desk.evenings import work_out
from clubbot.desk.outcomes import end_where_all_back
from clubbot.desk.retelling import KINDS, Evening, Step, bookings_named
from clubbot.rules.faults import read_fault
from clubbot.rules.ledger import Before, Detail, EntryKind
from clubbot.rules.model import BookingId, KitId, Reason, Refused, Window
from clubbot.rules.permissions import Deed, may
from clubbot.rules.reading import MeetingTime
from clubbot.rules.reading.afterwards import Afterwards, Happening, read_afterwards
from clubbot.rules.results import (
    DangerReported,
    EveningRead,
    EveningWritten,
    FaultReported,
    ToldAsk,
)
from clubbot.store import bookings, clubs, dialogues
from clubbot.store.engine import Tx
from clubbot.store.kits import kits
from clubbot.store.ledger import Draft

STEP = "afterwards"
OVER_AFTER = timedelta(hours=1)
_BARE_TIME = re.compile(r"\s*(?:at\s+)?\d{1,2}(?:[:.]?\d{2})?\s*(?:am|pm)?\s*", re.IGNORECASE)
_HANDED = (Happening.OUT, Happening.INSTEAD, Happening.PASSED)
_MOVES = (Happening.OUT, Happening.BACK, Happening.INSTEAD, Happening.PASSED)

Facts = Mapping[str, Any]


@deed(Deed.TAKE_BACK)
def tell(tx: Tx, who: Who, text: str) -> EveningRead | DangerReported | Refused:
    """Read a line of what happened and show what would be written; danger comes first."""
    if not text.strip():
        return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "evening"})
    labels = [now.kit.label for now in kits(tx, who.club).values()]
    reading = read_fault(text, labels)
    if reading.danger:
        found = fault.note_report(tx, who, text, reading)
        if isinstance(found, DangerReported):
            return found
    return show(tx, who, [[text, who.asking.said_at.isoformat()]])


def sounds_told(tx: Tx, who: Who, text: str) -> bool:
    """Say whether a sentence tells of what went out and back, from one who may note that."""
    if not who.asking.private or not may(who.role, Deed.TAKE_BACK):
        return False
    found = _read(tx, who, text, who.asking.said_at)
    moves = [told for told in found.told if told.what in _MOVES]
    timed = any(told.at for told in moves)
    return bool(moves) and (len(found.told) > 1 or (timed and not found.unread))


def take_answer(tx: Tx, who: Who, text: str, facts: Facts) -> EveningRead | None:
    """Take a typed correction or answer to a list that is shown; None where it is none."""
    late = facts.get("late") or []
    if late and _BARE_TIME.fullmatch(text):
        text = f"{' and '.join(late)} back {text}"
    if not _read(tx, who, text, who.asking.said_at).told:
        return None
    return show(tx, who, [*facts["texts"], [text, who.asking.said_at.isoformat()]])


@deed(Deed.TAKE_BACK)
def write_down(tx: Tx, who: Who) -> EveningWritten | EveningRead | Refused:
    """Write what was shown, if it still comes to the same; else show it as it is now."""
    asking = who.asking
    stands = dialogues.standing(tx, asking.chat_id, asking.telegram_id, who.now - OVER_AFTER)
    if stands is None or stands.step != STEP:
        return Refused(Reason.OUT_OF_DATE)
    evening = _worked_out(tx, who, stands.facts["texts"])
    if repr(evening.lines()) != stands.facts["shown"]:
        return show(tx, who, stands.facts["texts"])
    if not evening.steps:
        return Refused(Reason.OUT_OF_DATE)
    dialogues.end(tx, asking.chat_id, asking.telegram_id)
    numbers = _write(tx, who, evening)
    if flat := {step.kit for step in evening.steps if step.what is Happening.FLAT}:
        energy.remember(tx, who, flat)
    return EveningWritten(evening.day, evening.lines(), numbers, tuple(evening.asks))


def show(tx: Tx, who: Who, texts: list[list[str]]) -> EveningRead:
    """Show what these texts come to, and keep them until the yes."""
    evening = _worked_out(tx, who, texts)
    lines = evening.lines()
    late = [ask.label for ask in evening.asks if ask.why == "when"]
    facts = {"texts": texts, "shown": repr(lines), "late": late}
    dialogues.put(tx, who.asking.chat_id, who.asking.telegram_id, STEP, facts, who.now)
    return EveningRead(evening.day, lines, tuple(evening.asks))


def _worked_out(tx: Tx, who: Who, texts: Iterable[list[str]]) -> Evening:
    read = [(_read(tx, who, text, datetime.fromisoformat(at)), at) for text, at in texts]
    told = tuple(each for found, _ in read for each in found.told)
    evening = Evening(tx, who, datetime.fromisoformat(read[-1][1]), told)
    work_out(evening)
    unread = dict.fromkeys(words for found, _ in read for words in found.unread)
    evening.asks += [ToldAsk("unread", words) for words in unread]
    return evening


def _read(tx: Tx, who: Who, text: str, said_at: datetime) -> Afterwards:
    calendar = clubs.calendar(tx, who.club, who.zone)
    return read_afterwards(
        text,
        said_at.astimezone(who.zone),
        [now.kit.label for now in kits(tx, who.club).values()],
        [team.name for team in clubs.teams(tx, who.club).values()],
        [MeetingTime(m.weekday, m.starts, m.ends, m.name) for m in calendar.meetings],
        who.zone.key,
    )


# -- writing --------------------------------------------------------------------------------------


def _write(tx: Tx, who: Who, evening: Evening) -> tuple[int, ...]:
    known = evening.known
    undone = [
        Draft(EntryKind.CORRECTED, kit=step.cancelled_kit or step.kit, cancels=seq)
        for step in evening.steps
        for seq in step.cancels
    ]
    if undone:
        who.append(tx, undone)
    _promise(tx, who, evening)
    before = _as_they_stand(evening)
    numbers: list[int] = []
    ordered = sorted(evening.steps, key=lambda step: step.at)
    for at, same in groupby(ordered, key=lambda step: step.at):
        steps = list(same)
        _book(tx, who, evening, steps)
        drafts = [_remembering(step.draft, before) for step in steps if step.what in KINDS]
        who.append(tx, drafts, happened_at=at)
        numbers += _faults(tx, who, steps, [now.kit.label for now in known.values()])
    after = kits(tx, who.club)
    for booking in bookings.by_id(tx, who.club, bookings_named(evening.steps)).values():
        if out := [kit for kit, now in after.items() if now.position.booking == booking.id]:
            bookings.open_again(tx, who.club, booking, out, who.now)
    back = {step.kit for step in evening.steps if step.what is Happening.BACK}
    ended = {known[kit].position.booking for kit in back} | set(bookings_named(evening.steps))
    end_where_all_back(tx, who, after, ended if back else (), ())
    return tuple(dict.fromkeys(numbers))


def _as_they_stand(evening: Evening) -> dict[BookingId, Before]:
    """Return the bookings that are about to change, so that undoing it finds them as they were."""
    return {each.id: (each.id, each.count, each.chosen, each.named) for each in evening.near}


def _remembering(draft: Draft, before: Mapping[BookingId, Before]) -> Draft:
    was = before.get(draft.detail.booking) if draft.detail.booking is not None else None
    return replace(draft, detail=replace(draft.detail, before=(was,))) if was else draft


def _book(tx: Tx, who: Who, evening: Evening, steps: list[Step]) -> None:
    """Give the bookings the kits that they really had."""
    by_id = {booking.id: booking for booking in evening.near}
    for step in steps:
        booking = by_id.get(step.detail.booking) if step.detail.booking else None
        if booking is None or step.what not in (Happening.OUT, Happening.INSTEAD):
            continue
        if step.instead is not None:
            bookings.drop(tx, who.club, booking.id, [step.instead])
    for step in steps:
        booking = by_id.get(step.detail.booking) if step.detail.booking else None
        if booking is None or step.what not in (Happening.OUT, Happening.INSTEAD):
            continue
        fresh = bookings.by_id(tx, who.club, [booking.id]).get(booking.id, booking)
        if step.kit not in fresh.chosen:
            bookings.choose(tx, who.club, booking.id, [step.kit], frozenset(), who.now)
            if len(fresh.chosen) >= fresh.count:
                bookings.widen(tx, who.club, booking.id, len(fresh.chosen) + 1)
        bookings.told(tx, who.club, booking.id, who.now)


def _faults(tx: Tx, who: Who, steps: list[Step], labels: list[str]) -> list[int]:
    numbers: list[int] = []
    for said in dict.fromkeys(step.said for step in steps if step.what is Happening.FAULT):
        found = fault.note_report(tx, who, said, read_fault(said, labels))
        if isinstance(found, FaultReported):
            numbers += [each.fault.number for each in (found, *found.more)]
    return numbers


def _promise(tx: Tx, who: Who, evening: Evening) -> None:
    """Make a booking for what is still out without one, so that it is promised to somebody."""
    loose: dict[Detail, list[KitId]] = {}
    for step in evening.steps:
        detail = step.detail
        if step.what not in _HANDED or detail.booking is not None or detail.due is None:
            continue
        stands = evening.stands(step.kit, evening.said_at)
        if stands.out and stands.out_since == step.at and detail.due > who.now:
            loose.setdefault(detail, []).append(step.kit)
    made: dict[Detail, BookingId] = {}
    for detail, those in loose.items():
        assert detail.due is not None  # noqa: S101 - looked at above
        added = bookings.add(
            tx,
            who.club,
            team=detail.team,
            kit_type=evening.known[those[0]].kit.kit_type,
            count=len(those),
            window=Window(who.now, detail.due),
            booked_by=None,
            now=who.now,
        )
        bookings.choose(tx, who.club, added.id, those, frozenset(those), who.now)
        made[detail] = added.id
    evening.steps = [
        replace(step, detail=replace(step.detail, booking=made[step.detail]))
        if step.kit in loose.get(step.detail, ())
        else step
        for step in evening.steps
    ]
