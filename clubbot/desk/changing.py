"""Changing bookings: another number of kits, another time; one, the rest, or all that repeat."""

from __future__ import annotations

import re
from datetime import UTC

from clubbot.desk import booking as booking_desk
from clubbot.desk import notices, requests, series, waiting
from clubbot.desk.acting import Who, deed
from clubbot.desk.fleet import picture
from clubbot.desk.promising import Wanted, promise
from clubbot.rules.availability import ResourceId
from clubbot.rules.model import Reason, Refused, Window
from clubbot.rules.permissions import Deed
from clubbot.rules.reading import Reading
from clubbot.rules.results import BookingView, Changed
from clubbot.store import bookings, clubs
from clubbot.store.bookings import LiveBooking
from clubbot.store.engine import Tx
from clubbot.store.kits import kits

_COUNT = re.compile(r"\b(?:\d+|a|one|two|three|four|five|six)\s+(?:kits?|robots?|units?)\b", re.I)
_SCOPE = re.compile(r"^\s*(all|rest)\b", re.I)
LONGEST_NUMBER = 9
"""Digits: no club has booked a thousand million times, and no database takes any number."""


@deed(Deed.CANCEL_OWN)
def change(tx: Tx, who: Who, text: str) -> Changed | Refused:
    """Change a booking ("12 2 kits", "12 16:00 to 17:00", "12 rest 3 kits"), or leave it as it is.

    What the text doesn't name stays. One that repeats is changed alone, unless the text says
    `rest` or `all` after the number; those that can't be changed stay as they were.
    """
    number, _, more = text.lstrip("#").strip().partition(" ")
    if not number.isdecimal() or len(number) > LONGEST_NUMBER or not more.strip():
        return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "change"})
    first = booking_desk.find_own(tx, who, int(number))
    if isinstance(first, Refused):
        return first
    if first.kind == "keep":
        return Refused(Reason.ALREADY, {"what": "kept built", "number": first.number})
    said = _SCOPE.match(more)
    scope: series.Scope = "one"
    if said:
        scope = "all" if said[1].lower() == "all" else "rest"
        more = more[said.end() :]
    found = series.meant(tx, who, first, scope)
    changed: list[BookingView] = []
    unchanged: list[BookingView] = []
    refused: Refused | None = None
    for each in found if isinstance(found, list) else [first]:
        result = _change_one(tx, who, each, more)
        if isinstance(result, Refused):
            refused = refused or result
            unchanged.append(picture(tx, who, each.window).shown(each))
        else:
            changed.append(result)
    if not changed:
        return refused or Refused(Reason.NOT_UNDERSTOOD, {"wanted": "change"})
    waiting.serve(tx, who)
    return Changed(tuple(changed), tuple(unchanged))


def _change_one(tx: Tx, who: Who, before: LiveBooking, more: str) -> BookingView | Refused:
    seen = picture(tx, who, before.window)
    if seen.out_for(before):
        labels = tuple(ref.label for ref in seen.shown(before).out)
        return Refused(Reason.ALREADY, {"what": "out", "labels": labels})
    reading = requests.read(tx, who, _completed(who, before, more))
    if not isinstance(reading, Reading):
        return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "change"})
    labels = reading.kits or _kept_labels(tx, who, before, reading.count)
    team = clubs.teams(tx, who.club).get(before.team) if before.team else None
    wanted = Wanted(
        window=Window(reading.start.astimezone(UTC), reading.end.astimezone(UTC)),
        count=reading.count,
        labels=labels,
        team=team,
        resources={ResourceId(which): number for which, number in before.resources},
        by=before.booked_by,
    )
    bookings.set_aside(tx, who.club, before.id, who.now)
    made = promise(tx, who, wanted)
    if not isinstance(made, BookingView):
        bookings.take_up(tx, who.club, before.id)
        return made if isinstance(made, Refused) else Refused(Reason.UNDECIDED)
    bookings.take_over(tx, who.club, before, made.id)
    after = picture(tx, who, wanted.window)
    shown = after.shown(bookings.by_id(tx, who.club, [made.id])[made.id])
    people = notices.concerned(tx, who, shown)
    notices.tell(tx, who, people, notices.CHANGED, f"booking {made.id}")
    return shown


def _completed(who: Who, before: LiveBooking, more: str) -> str:
    """Return the change as a whole request: what it doesn't name is taken from the booking."""
    start = before.window.start.astimezone(who.zone)
    end = before.window.end.astimezone(who.zone)
    count = "" if _COUNT.search(more) else f"{before.count} kits "
    rest = _COUNT.sub(" ", more).strip(" ,")
    if not rest:
        return f"{more} {start:%Y-%m-%d %H:%M} to {end:%Y-%m-%d %H:%M}"
    timed = bool(re.search(r"\d\s*(?::|\.|am|pm|h\b|-|to)|\bnoon\b", rest, re.I))
    if timed and not re.search(r"[a-z]{3,}(?<!noon)", rest.replace("to", ""), re.I):
        return f"{count}{more} {start:%Y-%m-%d}"
    if timed:
        return f"{count}{more}"
    return f"{count}{more} {start:%H:%M} to {end:%H:%M}"


def _kept_labels(tx: Tx, who: Who, before: LiveBooking, count: int) -> tuple[str, ...]:
    known = kits(tx, who.club)
    labels = tuple(known[kit].kit.label for kit in before.named if kit in known)
    return labels if len(labels) <= count else ()
