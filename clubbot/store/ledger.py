"""Entries in and out of the store, and the one function that moves a position.

`append` keeps the cached position in step with the ledger in the same transaction. An entry that
happened after everything known of its kit is one fold; one that is said late, or a correction,
replays that kit's own history.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any, NamedTuple

import sqlalchemy as sa
from sqlalchemy.engine import Row

from clubbot.rules.ledger import (
    Detail,
    Entry,
    EntryKind,
    Position,
    fits,
    replay,
    standing,
    step,
)
from clubbot.rules.model import ClubId, ItemId, KitId, KitTypeId, PersonId, Seq
from clubbot.rules.stock.books import KINDS, TAKING, keep
from clubbot.store.engine import Tx
from clubbot.store.tables import CLUB, ENTRY, KIT, POSITION

Subject = tuple[str, int]
"""('kit', its id), ('item', its id) or ('shelf', the kit type whose spares lie there)."""

_LONG_AGO = datetime(2000, 1, 1, tzinfo=UTC)

VERSION = 1
"""The payload version that is written; `READERS` has one reader for each ever written."""


@dataclass(frozen=True, slots=True)
class Draft:
    """An entry that has not been said yet: about a kit, an item, or a kit type's spares."""

    kind: EntryKind
    kit: KitId | None = None
    item: ItemId | None = None
    detail: Detail = field(default=Detail())
    cancels: Seq | None = None
    kit_type: KitTypeId | None = None


class Misfit(Exception):
    """The entries would contradict what happened after them; the transaction must be undone."""

    def __init__(self, entries: Sequence[Entry]) -> None:
        super().__init__(", ".join(f"{each.seq} {each.kind}" for each in entries))
        self.entries = tuple(entries)


def append(
    tx: Tx,
    club: ClubId,
    drafts: Sequence[Draft],
    *,
    happened_at: datetime,
    said_at: datetime,
    said_by: PersonId | None,
    deed: str,
) -> list[Entry]:
    """Add entries that happened at the same moment, and move the positions they are about.

    The caller holds the club's lock. Raises Misfit where an entry, or one that already stands
    after it, would not fit any more.
    """
    if not drafts:
        return []
    last = tx.execute(
        sa.update(CLUB)
        .where(CLUB.c.id == club)
        .values(last_seq=CLUB.c.last_seq + len(drafts))
        .returning(CLUB.c.last_seq)
    ).scalar_one()
    first = last - len(drafts) + 1
    entries = [
        Entry(
            seq=Seq(first + place),
            kind=draft.kind,
            happened_at=happened_at,
            said_at=said_at,
            said_by=said_by,
            kit=draft.kit,
            item=draft.item,
            detail=draft.detail,
            cancels=draft.cancels,
            kit_type=draft.kit_type,
        )
        for place, draft in enumerate(drafts)
    ]
    tx.execute(sa.insert(ENTRY), [_row(club, entry, deed) for entry in entries])
    _move(tx, club, entries)
    _check_books(tx, club, entries)
    return entries


def _move(tx: Tx, club: ClubId, entries: Sequence[Entry]) -> None:
    by_subject: dict[Subject, list[Entry]] = {}
    for entry in entries:
        if (subject := subject_of(entry))[0] != "shelf":
            by_subject.setdefault(subject, []).append(entry)
    if not by_subject:
        return
    known = cached(tx, club, by_subject)
    moved = {
        subject: _folded(known.get(subject), said) or _replayed(tx, club, subject, said)
        for subject, said in by_subject.items()
    }
    tx.execute(
        sa.delete(POSITION).where(
            POSITION.c.club_id == club,
            sa.tuple_(POSITION.c.subject, POSITION.c.subject_id).in_(list(moved)),
        )
    )
    rows = [
        _position_row(club, subject, position)
        for subject, position in moved.items()
        if position.last is not None
    ]
    if rows:
        tx.execute(sa.insert(POSITION), rows)


def _check_books(tx: Tx, club: ClubId, entries: Sequence[Entry]) -> None:
    """Raise Misfit where parts would be taken that are not there, now or by what came after."""
    kinds = {each.kind for each in entries}
    if cancelled := [each.cancels for each in entries if each.cancels is not None]:
        those = sa.and_(ENTRY.c.club_id == club, ENTRY.c.seq.in_(cancelled))
        undone = set(tx.execute(sa.select(ENTRY.c.kind).where(those)).scalars())
        # What a lifted correction lets stand again may be anything.
        kinds |= TAKING if EntryKind.CORRECTED in undone else {EntryKind(each) for each in undone}
    if not kinds & TAKING:
        return
    history = of_parts(tx, club)
    types = kit_types(tx, club)
    misfits = keep(history, types).misfits
    if not misfits:
        return
    new = {each.seq for each in entries}
    before = keep((each for each in history if each.seq not in new), types).misfits
    known = {each.seq for each in before}
    if fresh := [each for each in misfits if each.seq not in known]:
        raise Misfit(fresh)


def _folded(before: Position | None, said: Sequence[Entry]) -> Position | None:
    """Fold entries that come after all that is known; None where a replay is needed."""
    position = before or Position()
    for entry in said:
        newest = position.last is None or position.last < (entry.happened_at, entry.seq)
        if entry.kind is EntryKind.CORRECTED or not newest:
            return None
        if not fits(position, entry):
            raise Misfit([entry])
        position = step(position, entry)
    return position


def _replayed(tx: Tx, club: ClubId, subject: Subject, said: Sequence[Entry]) -> Position:
    history = list(entries_about(tx, club, subject))
    new = {entry.seq for entry in said}
    before = replay(entry for entry in history if entry.seq not in new)
    after = replay(history)
    if misfits := [each for each in after.misfits if each not in before.misfits]:
        raise Misfit(misfits)
    found: Mapping[Any, Position] = after.kits if subject[0] == "kit" else after.items
    return found.get(subject[1], Position())


def entries_about(tx: Tx, club: ClubId, subject: Subject) -> Iterator[Entry]:
    """Yield a subject's whole history, corrections included, in the order of saying."""
    kind, number = subject
    if kind == "shelf":
        nothing_else = sa.and_(ENTRY.c.kit_id.is_(None), ENTRY.c.item_id.is_(None))
        about = sa.and_(ENTRY.c.kit_type_id == number, nothing_else)
    elif kind == "kit":
        about = sa.and_(ENTRY.c.kit_id == number, ENTRY.c.item_id.is_(None))
    else:
        about = ENTRY.c.item_id == number
    return _in_order(tx, sa.select(ENTRY).where(ENTRY.c.club_id == club, about))


def _in_order(tx: Tx, found: sa.Select[Any]) -> Iterator[Entry]:
    """Yield entries in the order of saying.

    They are sorted here: asked for an order, SQLite rather walks the whole ledger in that order
    than uses the index of what is looked for.
    """
    return map(_entry, sorted(tx.execute(found), key=lambda row: row.seq))


def history(tx: Tx, club: ClubId) -> Iterator[Entry]:
    """Yield a club's whole ledger in the order of saying."""
    found = sa.select(ENTRY).where(ENTRY.c.club_id == club).order_by(ENTRY.c.seq)
    return (_entry(row) for row in tx.execute(found))


def deed_of(tx: Tx, club: ClubId, deed: str) -> list[Entry]:
    """Return what stands of all that one action wrote, its corrections too, as it was said."""
    found = sa.select(ENTRY).where(
        ENTRY.c.club_id == club, ENTRY.c.deed == deed, ~_cancelled(tx, club)
    )
    return list(_in_order(tx, found))


def of_kit(tx: Tx, club: ClubId, kit: KitId) -> list[Entry]:
    """Return all that was said of a kit or of things as they were in it, in that order."""
    found = sa.select(ENTRY).where(ENTRY.c.club_id == club, ENTRY.c.kit_id == kit)
    return list(_in_order(tx, found))


def last_deed(tx: Tx, club: ClubId, person: PersonId) -> str | None:
    """Return the last action of a person that still stands, by its common name."""
    found = (
        sa.select(ENTRY.c.deed)
        .where(
            ENTRY.c.club_id == club,
            ENTRY.c.said_by == person,
            ENTRY.c.kind != EntryKind.CORRECTED.value,
            ~_cancelled(tx, club),
        )
        .order_by(ENTRY.c.seq.desc())
        .limit(1)
    )
    return tx.execute(found).scalar_one_or_none()


def _cancelled(tx: Tx, club: ClubId) -> sa.ColumnElement[bool]:
    """Return the condition that a standing correction cancels an entry, as `standing` folds it.

    Whether a correction stands takes the ones that cancel it, and so on; they are so few that
    they are folded here, and only those that do not stand are named to the server.
    """
    correction, target = ENTRY.alias("correction"), ENTRY.alias("target")
    of_corrections = (
        sa.select(correction.c.seq, correction.c.cancels)
        .join_from(
            correction,
            target,
            sa.and_(target.c.club_id == correction.c.club_id, target.c.seq == correction.c.cancels),
        )
        .where(correction.c.club_id == club, target.c.kind == EntryKind.CORRECTED.value)
        .order_by(correction.c.seq.desc())
    )
    lifted: set[int] = set()
    for row in tx.execute(of_corrections):
        if row.seq not in lifted:
            lifted.add(row.cancels)
    return sa.exists().where(
        correction.c.club_id == ENTRY.c.club_id,
        correction.c.cancels == ENTRY.c.seq,
        correction.c.seq.not_in(lifted),
    )


def given_out_since_charge(tx: Tx, club: ClubId) -> dict[KitId, int]:
    """Return how often each kit went out since it was last charged, by what stands."""
    times = (
        sa.select(sa.func.count())
        .where(
            ENTRY.c.club_id == POSITION.c.club_id,
            ENTRY.c.kit_id == POSITION.c.subject_id,
            ENTRY.c.happened_at > sa.func.coalesce(POSITION.c.charged_at, _LONG_AGO),
            ENTRY.c.item_id.is_(None),
            ENTRY.c.kind.in_((EntryKind.GIVEN_OUT.value, EntryKind.PASSED_ON.value)),
            ~_cancelled(tx, club),
        )
        .correlate(POSITION)
        .scalar_subquery()
    )
    found = sa.select(POSITION.c.subject_id, times).where(
        POSITION.c.club_id == club, POSITION.c.subject == "kit"
    )
    return {KitId(row[0]): row[1] for row in tx.execute(found) if row[1]}


class OutSince(NamedTuple):
    """How many minutes a kit was out since a charge that left its battery at so many per cent."""

    minutes: int = 0
    percent: int = 100


def minutes_out_since(
    tx: Tx, club: ClubId, since: datetime, now: datetime
) -> dict[KitId, OutSince]:
    """Return how long each kit was out since then, or since its charge if that is later.

    What is still out counts up to `now`. Whatever wasn't charged later was full at `since`.
    """
    inside = sa.and_(ENTRY.c.happened_at > since, ENTRY.c.happened_at <= now)
    found = sa.select(ENTRY).where(
        ENTRY.c.club_id == club,
        ENTRY.c.item_id.is_(None),
        sa.or_(inside, ENTRY.c.kind == EntryKind.CORRECTED.value),
    )
    minutes: dict[KitId, float] = {}
    counted: dict[KitId, datetime] = {}
    held: dict[KitId, int] = {}
    out: dict[KitId, datetime | None] = {}
    for entry in standing(_in_order(tx, found)):
        kit, at = entry.kit, entry.happened_at
        if kit is None:
            continue
        if entry.kind is EntryKind.CHARGED and not entry.detail.own:
            minutes[kit], counted[kit] = 0, at
            held[kit] = 100 if entry.detail.percent is None else entry.detail.percent
            if out.get(kit) is not None:
                out[kit] = at
        elif entry.kind is EntryKind.GIVEN_OUT:
            out[kit] = at
        elif entry.kind is EntryKind.TAKEN_BACK:
            began = out.get(kit, counted.get(kit, since))
            out[kit] = None
            if began is not None:
                minutes[kit] = minutes.get(kit, 0) + (at - began).total_seconds() / 60
    for (subject, number), position in cached(tx, club).items():
        if subject == "kit" and position.out and number not in out:
            out[KitId(number)] = counted.get(KitId(number), since)
    for kit, still in out.items():
        if still is not None:
            minutes[kit] = minutes.get(kit, 0) + (now - still).total_seconds() / 60
    return {kit: OutSince(round(length), held.get(kit, 100)) for kit, length in minutes.items()}


def of_kinds(
    tx: Tx, club: ClubId, kinds: Iterable[EntryKind], since: datetime
) -> dict[KitId, list[Entry]]:
    """Return by kit what stands of these kinds since then, in order of happening."""
    wanted = [kind.value for kind in (*kinds, EntryKind.CORRECTED)]
    found = sa.select(ENTRY).where(
        ENTRY.c.club_id == club,
        ENTRY.c.item_id.is_(None),
        sa.or_(ENTRY.c.happened_at > since, ENTRY.c.kind == EntryKind.CORRECTED.value),
        ENTRY.c.kind.in_(wanted),
    )
    by_kit: dict[KitId, list[Entry]] = {}
    for entry in standing(_in_order(tx, found)):
        if entry.kit is not None:
            by_kit.setdefault(entry.kit, []).append(entry)
    return by_kit


def of_parts(tx: Tx, club: ClubId) -> list[Entry]:
    """Return all that the books of parts are kept from, in the order of saying."""
    wanted = [kind.value for kind in (*KINDS, EntryKind.CORRECTED)]
    found = sa.select(ENTRY).where(ENTRY.c.club_id == club, ENTRY.c.kind.in_(wanted))
    return list(_in_order(tx, found))


def kit_types(tx: Tx, club: ClubId) -> dict[KitId, KitTypeId]:
    """Return of what type each kit is."""
    found = sa.select(KIT.c.id, KIT.c.kit_type_id).where(KIT.c.club_id == club)
    return {row.id: row.kit_type_id for row in tx.execute(found)}


def of_items(tx: Tx, club: ClubId, kinds: Iterable[EntryKind]) -> list[Entry]:
    """Return what stands of these kinds about items, in order of happening."""
    wanted = [kind.value for kind in (*kinds, EntryKind.CORRECTED)]
    found = sa.select(ENTRY).where(
        ENTRY.c.club_id == club, ENTRY.c.item_id.is_not(None), ENTRY.c.kind.in_(wanted)
    )
    return standing(_in_order(tx, found))


def said(tx: Tx, club: ClubId, kinds: Iterable[EntryKind]) -> list[Entry]:
    """Return what stands of these kinds about kits and items, in order of happening."""
    wanted = [kind.value for kind in (*kinds, EntryKind.CORRECTED)]
    found = sa.select(ENTRY).where(ENTRY.c.club_id == club, ENTRY.c.kind.in_(wanted))
    return standing(_in_order(tx, found))


def cached(
    tx: Tx, club: ClubId, subjects: Iterable[Subject] | None = None
) -> dict[Subject, Position]:
    """Return the stored positions, of these subjects or of all; the untouched have none."""
    found = sa.select(POSITION).where(POSITION.c.club_id == club)
    if subjects is not None:
        found = found.where(
            sa.tuple_(POSITION.c.subject, POSITION.c.subject_id).in_(list(subjects))
        )
    return {(row.subject, row.subject_id): _position(row) for row in tx.execute(found)}


def audit(tx: Tx, club: ClubId) -> list[str]:
    """Rebuild every position from the ledger; return one line for each that differs."""
    whole = replay(history(tx, club))
    rebuilt: dict[Subject, Position] = {("kit", kit): each for kit, each in whole.kits.items()}
    rebuilt |= {("item", item): each for item, each in whole.items.items()}
    stored = cached(tx, club)
    lines = [f"entry {each.seq} ({each.kind}) does not fit" for each in whole.misfits]
    for subject in sorted(rebuilt.keys() | stored.keys()):
        if rebuilt.get(subject) != stored.get(subject):
            lines.append(
                f"{subject[0]} {subject[1]}: the ledger says {rebuilt.get(subject)}, "
                f"the store {stored.get(subject)}"
            )
    return lines


def subject_of(entry: Entry) -> Subject:
    """Return what an entry moves: an item where it names one, else a kit, else a type's spares."""
    if entry.item is not None:
        return ("item", entry.item)
    if entry.kit is None and entry.kit_type is not None:
        return ("shelf", entry.kit_type)
    if entry.kit is None:
        raise ValueError(f"entry {entry.seq} is about nothing")
    return ("kit", entry.kit)


def _row(club: ClubId, entry: Entry, deed: str) -> dict[str, Any]:
    return {
        "club_id": club,
        "seq": entry.seq,
        "kind": str(entry.kind),
        "version": VERSION,
        "happened_at": entry.happened_at,
        "said_at": entry.said_at,
        "said_by": entry.said_by,
        "deed": deed,
        "kit_id": entry.kit,
        "item_id": entry.item,
        "kit_type_id": entry.kit_type,
        "payload": _written(entry.detail),
        "cancels": entry.cancels,
    }


def _written(detail: Detail) -> dict[str, Any]:
    due = detail.due.isoformat() if detail.due else None
    fields: dict[str, Any] = {
        "team": detail.team,
        "booking": detail.booking,
        "due": due,
        "note": detail.note,
        "percent": detail.percent,
        "rough": detail.rough or None,
        "minutes": detail.minutes,
        "own": detail.own or None,
        "source": detail.source,
        "other": detail.other,
    }
    if detail.before:
        fields["before"] = [[*each] for each in detail.before]
    if detail.parts:
        fields["parts"] = [list(part) for part in detail.parts]
    return {name: value for name, value in fields.items() if value not in (None, "")}


def _read_1(payload: Mapping[str, Any]) -> Detail:
    due = payload.get("due")
    return Detail(
        team=payload.get("team"),
        booking=payload.get("booking"),
        due=datetime.fromisoformat(due) if due else None,
        note=payload.get("note", ""),
        parts=_parts(payload.get("parts")),
        percent=payload.get("percent"),
        rough=payload.get("rough", False),
        minutes=payload.get("minutes"),
        own=payload.get("own", False),
        before=tuple(
            (booking, count, tuple(chosen), tuple(named))
            for booking, count, chosen, named in payload.get("before", ())
        ),
        source=payload.get("source", ""),
        other=payload.get("other"),
    )


def _parts(stored: Any) -> tuple[tuple[str, int], ...]:
    return tuple((part, number) for part, number in stored or ())


READERS = {1: _read_1}


def _entry(row: Row[Any]) -> Entry:
    return Entry(
        seq=Seq(row.seq),
        kind=EntryKind(row.kind),
        happened_at=row.happened_at,
        said_at=row.said_at,
        said_by=row.said_by,
        kit=row.kit_id,
        item=row.item_id,
        detail=READERS[row.version](row.payload),
        cancels=row.cancels,
        kit_type=row.kit_type_id,
    )


def _position_row(club: ClubId, subject: Subject, position: Position) -> dict[str, Any]:
    assert position.last is not None  # noqa: S101 - the caller leaves out what nothing moved
    return {
        "club_id": club,
        "subject": subject[0],
        "subject_id": subject[1],
        "team_id": position.team,
        "booking_id": position.booking,
        "out_since": position.out_since,
        "due": position.due,
        "said_back_at": position.said_back_at,
        "held": position.held,
        "withdrawn": position.withdrawn,
        "lost": position.lost,
        "scrapped": position.scrapped,
        "charged_at": position.charged_at,
        "missing": [list(part) for part in position.missing] or None,
        "counted_at": position.counted_at,
        "short_minutes": position.short_minutes,
        "kit_id": position.kit,
        "last_at": position.last[0],
        "last_seq": position.last[1],
    }


def _position(row: Row[Any]) -> Position:
    return Position(
        team=row.team_id,
        booking=row.booking_id,
        out_since=row.out_since,
        due=row.due,
        said_back_at=row.said_back_at,
        held=row.held,
        withdrawn=row.withdrawn,
        lost=row.lost,
        scrapped=row.scrapped,
        charged_at=row.charged_at,
        missing=_parts(row.missing),
        counted_at=row.counted_at,
        short_minutes=row.short_minutes,
        kit=row.kit_id,
        last=(row.last_at, row.last_seq),
    )
