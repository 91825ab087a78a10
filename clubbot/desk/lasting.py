"""Whether the charge of each unit and tablet lasts what it is booked for on a day."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import timedelta
from typing import Literal

from clubbot.desk import energy
from clubbot.desk.acting import Who
from clubbot.rules.energy.assumed import SURE
from clubbot.rules.energy.needs import chances
from clubbot.rules.energy.story import Known
from clubbot.rules.model import BookingId, KitId, Window
from clubbot.store.bookings import LiveBooking
from clubbot.store.engine import Tx

_TOO_LONG_AGO = timedelta(days=21)
"""Where nobody has noted a charge or a level for so long, nothing is said: nobody keeps that up."""

Lasting = Mapping[tuple[BookingId, KitId], tuple[Literal["charge", "swap", "plug"], str]]
"""What to do about a kit before a booking, and why."""


def not_lasting(tx: Tx, who: Who, bookings: Iterable[LiveBooking]) -> Lasting:
    """Return for which bookings a kit's battery or tablet may not last, nine times in ten."""
    uses: dict[KitId, list[LiveBooking]] = {}
    for booking in sorted(bookings, key=lambda each: each.window):
        for kit in booking.chosen if booking.window.end > who.now else ():
            uses.setdefault(kit, []).append(booking)
    if not uses:
        return {}
    found: dict[tuple[BookingId, KitId], tuple[Literal["charge", "swap", "plug"], str]] = {}
    for kit, known in energy.tablets(tx, who, uses, who.now).items():
        for number in _short(who, known, uses[kit], energy.TABLETS_DRIVE):
            level = round(100 * known.belief.level.middle)
            found[number, kit] = "plug", f"tablet about {level} %"
    for kit, known in energy.beliefs(tx, who, uses, who.now).items():
        for number in _short(who, known, uses[kit], who.settings.driving_percent):
            found[number, kit] = _unit(who, known, uses[kit])
    return found


def _short(
    who: Who, known: Known, uses: Sequence[LiveBooking], percent: int
) -> Iterator[BookingId]:
    if known.heard_at is None or who.now - known.heard_at > _TOO_LONG_AGO:
        return
    windows = [Window(max(each.window.start, who.now), each.window.end) for each in uses]
    for each, chance in zip(uses, chances(known.belief, windows, percent), strict=True):
        if chance < SURE:
            yield each.id


def _unit(
    who: Who, known: Known, uses: Sequence[LiveBooking]
) -> tuple[Literal["charge", "swap"], str]:
    low, high = (round(100 * each) for each in (known.belief.level.low, known.belief.level.high))
    level = "empty" if high < 5 else f"at {low} to {high} %" if high > low else f"at {low} %"
    first = chances(known.full, [uses[0].window], who.settings.driving_percent)[0]
    if first < SURE:
        return "swap", "too weak, even full"
    return "charge", f"its battery is {level}, that may not last"
