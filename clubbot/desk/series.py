"""Bookings that repeat: every week until a date; change or cancel one, the rest, or all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import Literal

from clubbot.desk.acting import Who
from clubbot.desk.fleet import picture
from clubbot.desk.promising import Wanted, promise
from clubbot.rules.availability import Undecided
from clubbot.rules.model import BookingId, Reason, Refused
from clubbot.rules.reading import Weekly
from clubbot.rules.repeats import weekly
from clubbot.rules.results import BookedWeekly, CancelWhich
from clubbot.store import bookings, clubs
from clubbot.store.bookings import LiveBooking
from clubbot.store.engine import Tx

WITHOUT_END = timedelta(weeks=10)
"""How far a weekly booking goes whose end nobody said: about a term."""

Scope = Literal["", "one", "rest", "all"]


def book_weekly(tx: Tx, who: Who, wanted: Wanted, repeat: Weekly) -> BookedWeekly | Refused:
    """Book every week until a date: closed days are skipped, dates without kits listed.

    Where not one date can be served it is the first one's refusal.
    """
    calendar = clubs.calendar(tx, who.club, who.zone)
    ends = repeat.until or calendar.day_of(wanted.window.start + WITHOUT_END)
    latest = calendar.day_of(who.now + timedelta(days=who.settings.ahead_days))
    plan = weekly(wanted.window, min(ends, latest), calendar, repeat.weeks)
    made: list[BookingId] = []
    refused: list[date] = []
    first_no: Refused | None = None
    for window in plan.windows:
        result = promise(tx, who, replace(wanted, window=window))
        if isinstance(result, Refused | Undecided):
            refused.append(calendar.day_of(window.start))
            if isinstance(result, Refused):
                first_no = first_no or result
        else:
            made.append(result.id)
    if not made:
        return first_no or Refused(Reason.NONE_FREE, {"possible": 0, "count": wanted.count})
    bookings.make_series(tx, who.club, made)
    seen = picture(tx, who, wanted.window)
    found = bookings.by_id(tx, who.club, made)
    return BookedWeekly(
        bookings=tuple(seen.shown(found[each]) for each in made),
        closed=plan.skipped,
        refused=tuple(refused),
        until_guessed=repeat.until is None,
    )


def meant(
    tx: Tx, who: Who, booking: LiveBooking, scope: Scope
) -> Sequence[LiveBooking] | CancelWhich:
    """Return the bookings that are meant, or the question which of those that repeat are."""
    if booking.series is None or scope == "one":
        return [booking]
    every = bookings.in_series(tx, who.club, booking.series, who.now)
    rest = [each for each in every if each.window.start >= booking.window.start]
    if scope == "rest":
        return rest
    if scope == "all":
        return every
    seen = picture(tx, who, booking.window)
    return CancelWhich(seen.shown(booking), len(rest), len(every))
