"""Out and back: give out, say that it is back, take back, pass on, undo."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import timedelta

from clubbot.desk import correcting, counting, mixing, notices
from clubbot.desk.acting import Who, deed, look
from clubbot.desk.finding import Named, named
from clubbot.desk.fleet import Picture, picture
from clubbot.desk.giving import Handed, end_of_use, hand
from clubbot.desk.outcomes import due_today, end_where_all_back, out_lines
from clubbot.rules.ledger import Entry, EntryKind
from clubbot.rules.mixing import read_mixes
from clubbot.rules.model import KitId, NoticeId, Reason, Refused, TeamId, Window
from clubbot.rules.permissions import Deed, may
from clubbot.rules.reading import read_labels
from clubbot.rules.results import (
    HandedOut,
    SaidBack,
    SessionHandedOut,
    TakenBack,
    TeamNeeded,
    TeamRef,
    Undone,
    WhatIsOut,
)
from clubbot.store import bookings, clubs, faults, people
from clubbot.store import notices as notice_rows
from clubbot.store.bookings import LiveBooking
from clubbot.store.engine import Tx
from clubbot.store.kits import KitNow, kits
from clubbot.store.ledger import Draft, deed_of, last_deed

EARLY = timedelta(minutes=30)
"""How long before its start a booking's kits may be given out."""


@deed(Deed.GIVE_OUT)
def give_out(tx: Tx, who: Who, text: str) -> HandedOut | SessionHandedOut | TeamNeeded | Refused:
    """Give out what the text names: kits, a team's booking, or all of the session's bookings.

    "D with tablet F" goes out as it is, and is asked about later.
    """
    plain, mixes = read_mixes(text)
    if refused := mixing.unknown(tx, who, mixes):
        return refused
    given = _give_out(tx, who, plain)
    if not isinstance(given, HandedOut | SessionHandedOut):
        return given
    several = given.given if isinstance(given, SessionHandedOut) else (given,)
    out = [ref.id for each in several for ref in each.kits]
    return replace(given, mixes=mixing.noted(tx, who, mixes, out))


def _give_out(tx: Tx, who: Who, text: str) -> HandedOut | SessionHandedOut | TeamNeeded | Refused:
    seen = picture(tx, who, about_now(tx, who))
    wanted = named(text, seen.kits, seen.teams)
    if isinstance(wanted, Refused):
        return wanted
    if not wanted.kits and wanted.team is None:
        return _session(tx, who, seen)
    booking = booking_for(who, seen, wanted)
    team = wanted.team or (seen.teams.get(booking.team) if booking and booking.team else None)
    if not wanted.kits and booking is None:
        return Refused(Reason.UNKNOWN_BOOKING, {"team": wanted.team.name if wanted.team else ""})
    if team is None and booking is None:
        return TeamNeeded(tuple(now.ref for now in wanted.kits), tuple(seen.teams.values()))
    return hand(tx, who, seen, Handed(booking, team, tuple(now.kit.id for now in wanted.kits)))


@deed(Deed.GIVE_OUT)
def give_to(tx: Tx, who: Who, kit_ids: Sequence[KitId], team: TeamId) -> HandedOut | Refused:
    """Give these kits to a team, for its booking where it has one now."""
    seen = picture(tx, who, about_now(tx, who))
    if team not in seen.teams or any(kit not in seen.kits for kit in kit_ids):
        return Refused(Reason.OUT_OF_DATE)
    ref = seen.teams[team]
    wanted = Named(tuple(seen.kits[kit] for kit in kit_ids), ref, all=False)
    return hand(tx, who, seen, Handed(booking_for(who, seen, wanted), ref, tuple(kit_ids)))


@deed(Deed.GIVE_OUT)
def give_out_booking(tx: Tx, who: Who, number: int) -> HandedOut | Refused:
    """Give out the kits of one booking."""
    booking = bookings.by_number(tx, who.club, number)
    if booking is None or booking.window.end <= who.now or booking.kind != "use":
        return Refused(Reason.UNKNOWN_BOOKING, {"number": number})
    if booking.window.start > who.now + EARLY:
        return Refused(Reason.TOO_EARLY, {"start": booking.window.start})
    seen = picture(tx, who, booking.window)
    return hand(tx, who, seen, Handed(booking, _team_of(seen, booking), ()))


def _session(tx: Tx, who: Who, seen: Picture) -> SessionHandedOut | Refused:
    waiting = [booking for booking in seen.bookings if _may_start(who, booking)]
    given: list[HandedOut] = []
    short: list[LiveBooking] = []
    for booking in waiting:
        fresh = picture(tx, who, booking.window)
        has = len(booking.chosen) or booking.count
        if len(fresh.out_for(booking)) >= min(booking.count, has):
            continue
        result = hand(tx, who, fresh, Handed(booking, _team_of(fresh, booking), ()))
        if isinstance(result, HandedOut):
            given.append(result)
        if not isinstance(result, HandedOut) or has < booking.count:
            short.append(booking)
    if not given and not short:
        return Refused(Reason.NOTHING_TO_GIVE_OUT)
    return SessionHandedOut(tuple(given), tuple(seen.shown(booking) for booking in short))


def about_now(tx: Tx, who: Who) -> Window:
    """Return a window that all overlaps which may start now, or stand in the way of a use now."""
    end = end_of_use(clubs.calendar(tx, who.club, who.zone), who.now)
    return Window(who.now, max(end, who.now + EARLY + timedelta(seconds=1)))


def _may_start(who: Who, booking: LiveBooking) -> bool:
    if booking.kind != "use":
        return False
    return booking.window.start <= who.now + EARLY and booking.window.end > who.now


def booking_for(who: Who, seen: Picture, wanted: Named) -> LiveBooking | None:
    """Return the booking of now that kits or a team belong to, where it is beyond doubt."""
    now = [booking for booking in seen.bookings if _may_start(who, booking)]
    if wanted.team is not None:
        now = [booking for booking in now if booking.team == wanted.team.id]
    chosen = {each.kit.id for each in wanted.kits}
    meant = [booking for booking in now if chosen & set(booking.chosen)]
    found = meant or (now if wanted.team is not None else [])
    return found[0] if len(found) == 1 or (found and wanted.team is not None) else None


def _team_of(seen: Picture, booking: LiveBooking) -> TeamRef | None:
    return seen.teams.get(booking.team) if booking.team else None


@deed(Deed.SAY_BACK)
def back(tx: Tx, who: Who, text: str) -> SaidBack | TakenBack | WhatIsOut | Refused:
    """Take kits back, for those who may; from others it is word that they are back.

    Word stops the chasing and frees nothing: an adult or helper has to see the kit.
    """
    known = kits(tx, who.club)
    wanted = named(text, known, {}, but=True)
    if isinstance(wanted, Refused):
        return wanted
    if not may(who.role, Deed.TAKE_BACK):
        return _say_back(tx, who, known, wanted)
    if not wanted.kits and not wanted.all:
        return WhatIsOut(out_lines(tx, who, known))
    chosen = wanted.kits or wanted.among(now for now in known.values() if due_today(who, now))
    return take(tx, who, known, chosen)


def take_word(tx: Tx, who: Who, text: str) -> SaidBack | TakenBack | WhatIsOut | Refused:
    """Take a sentence such as "D is back": of the kits that it names, or of one's own."""
    known = kits(tx, who.club)
    found, _ = read_labels(text, [now.kit.label for now in known.values()])
    chosen = tuple(now for now in known.values() if now.kit.label in found)
    if not may(who.role, Deed.TAKE_BACK):
        return _say_back(tx, who, known, Named(chosen, None, all=False))
    return take(tx, who, known, chosen) if chosen else WhatIsOut(out_lines(tx, who, known))


@deed(Deed.SAY_BACK)
def back_kit(tx: Tx, who: Who, kit: KitId) -> SaidBack | TakenBack | Refused:
    """Take one kit back, or note the word that it is back."""
    known = kits(tx, who.club)
    if kit not in known:
        return Refused(Reason.OUT_OF_DATE)
    if may(who.role, Deed.TAKE_BACK):
        return take(tx, who, known, [known[kit]])
    return _say_back(tx, who, known, Named((known[kit],), None, all=False))


@deed(Deed.ANSWER_LATE)
def all_back(tx: Tx, who: Who, notice: NoticeId) -> TakenBack | Refused:
    """Answer that all the kits somebody was asked about are back."""
    due = notice_rows.answer(
        tx, who.club, who.person, notice, notices.LATE_ASKED, "all back", who.now
    )
    if due is None:
        return Refused(Reason.OUT_OF_DATE)
    known = kits(tx, who.club)
    return take(tx, who, known, [now for now in known.values() if now.position.due == due])


@deed(Deed.ANSWER_LATE)
def some_missing(tx: Tx, who: Who, notice: NoticeId) -> WhatIsOut | Refused:
    """Answer that some are missing: those who have them are asked next, and the list is shown."""
    asked = notices.LATE_ASKED
    if notice_rows.answer(tx, who.club, who.person, notice, asked, "missing", who.now) is None:
        return Refused(Reason.OUT_OF_DATE)
    return WhatIsOut(out_lines(tx, who, kits(tx, who.club)))


def take(
    tx: Tx, who: Who, known: Mapping[KitId, KitNow], chosen: Sequence[KitNow]
) -> TakenBack | Refused:
    """Take these kits back, those of them that are out, and end the bookings that are over."""
    out = [now for now in chosen if now.position.out]
    if not out:
        labels = tuple(now.kit.label for now in chosen)
        return Refused(Reason.NOT_OUT, {"labels": labels})
    who.append(tx, [Draft(EntryKind.TAKEN_BACK, kit=now.kit.id) for now in out])
    gone = {now.kit.id for now in out}
    end_where_all_back(tx, who, known, {now.position.booking for now in out}, gone)
    still = [now.ref for now in known.values() if now.kit.id not in gone and due_today(who, now)]
    count = () if still else counting.due(tx, who)
    refs = tuple(now.ref for now in out)
    return TakenBack(refs, tuple(still), count, mixing.asked_back(tx, who, gone))


def _say_back(tx: Tx, who: Who, known: Mapping[KitId, KitNow], wanted: Named) -> SaidBack | Refused:
    own = people.teams_of(tx, who.club, who.person)
    for_any = may(who.role, Deed.ACT_FOR_TEAM)
    live = bookings.by_id(
        tx, who.club, [now.position.booking for now in known.values() if now.position.booking]
    )

    def is_theirs(now: KitNow) -> bool:
        booking = live.get(now.position.booking) if now.position.booking else None
        booked = booking is not None and booking.booked_by == who.person
        return for_any or now.position.team in own or booked

    theirs = (now for now in known.values() if now.position.out and is_theirs(now))
    chosen = wanted.kits or wanted.among(theirs)
    if foreign := [now for now in chosen if now.position.out and not is_theirs(now)]:
        return Refused(Reason.OTHERS, {"labels": tuple(now.kit.label for now in foreign)})
    out = [now for now in chosen if now.position.out]
    if not out:
        return Refused(Reason.NOT_OUT, {"labels": tuple(now.kit.label for now in chosen)})
    new = [now for now in out if now.position.said_back_at is None]
    who.append(tx, [Draft(EntryKind.SAID_BACK, kit=now.kit.id) for now in new])
    return SaidBack(tuple(now.ref for now in out))


@look(Deed.TAKE_BACK)
def what_is_out(tx: Tx, who: Who) -> WhatIsOut:
    """Return the kits that are out, for choosing which of them are back."""
    return WhatIsOut(out_lines(tx, who, kits(tx, who.club)))


@deed(Deed.UNDO)
def undo(tx: Tx, who: Who) -> Undone | Refused:
    """Take back the last thing this person did to kits, by corrections in the ledger.

    Faults that it opened are taken back with it.
    """
    name = last_deed(tx, who.club, who.person)
    if name is None:
        return Refused(Reason.NOTHING_TO_UNDO)
    entries = deed_of(tx, who.club, name)
    if refused := correcting.take_back(tx, who, entries):
        return refused
    known = kits(tx, who.club)
    what = tuple(
        (_undone(each), known[each.kit].kit.label if each.kit is not None else "")
        for each in entries
        if each.kind is not EntryKind.CORRECTED
    )
    return Undone(what, entries[0].said_at, faults.take_back(tx, who.club, name, who.now))


def _undone(entry: Entry) -> str:
    """Return what was taken back; under the cause of a flat start the finding stands again."""
    cause = entry.detail.note if entry.kind is EntryKind.FOUND_FLAT else ""
    return f"{entry.kind}: {cause}" if cause else str(entry.kind)
