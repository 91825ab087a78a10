"""What is free over a day or a week, kit by kit: for the picture and its words."""

from __future__ import annotations

from datetime import time

from clubbot.desk.acting import Who, look
from clubbot.desk.fleet import Picture, picture
from clubbot.rules.availability import free_now
from clubbot.rules.calendar import DAY
from clubbot.rules.ledger import Use
from clubbot.rules.model import KitId, Reason, Refused, Window
from clubbot.rules.permissions import Deed
from clubbot.rules.results import Timeline
from clubbot.rules.setup import read_days
from clubbot.store import clubs
from clubbot.store.engine import Tx

EARLIEST, LATEST = time(8), time(20)
"""What a day's picture shows."""


@look(Deed.SEE_FREE)
def timeline(tx: Tx, who: Who, text: str = "") -> Timeline | Refused:
    """Return when which kit is promised, on a day that the text names or in the week to come."""
    calendar = clubs.calendar(tx, who.club, who.zone)
    today = calendar.day_of(who.now)
    if text.strip().lower() in ("", "week", "this week"):
        window = Window(
            calendar.instant(today, time.min), calendar.instant(today + 7 * DAY, time.min)
        )
    else:
        days = read_days(text, today, who.zone)
        if days is None:
            return Refused(Reason.NOT_UNDERSTOOD, {"wanted": "day"})
        window = Window(calendar.instant(days[0], EARLIEST), calendar.instant(days[0], LATEST))
    seen = picture(tx, who, window)
    return Timeline(
        window=window,
        kits=tuple(now.ref for now in seen.kits.values()),
        busy=_busy(seen, window),
        unusable={
            kit: str(Use.WITHDRAWN if now.position.use is Use.LOST else now.position.use)
            for kit, now in seen.kits.items()
            if now.position.use is not Use.IN_USE
        },
        free=tuple(
            (
                session.window,
                sum(free_now(seen.fleet, seen.demands, session.window).counts.values()),
            )
            for session in calendar.sessions(
                calendar.day_of(window.start), calendar.day_of(window.end - DAY / 24)
            )
            if session.window.end > who.now
        ),
    )


def _busy(seen: Picture, window: Window) -> dict[KitId, tuple[Window, ...]]:
    found: dict[KitId, list[Window]] = {}
    for booking in seen.bookings:
        if booking.window.overlaps(window):
            for kit in booking.chosen:
                found.setdefault(kit, []).append(booking.window)
    return {kit: tuple(windows) for kit, windows in found.items()}
