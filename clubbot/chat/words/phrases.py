"""What all wordings share: a reply and its buttons, dates, lists of labels, plurals, escaping."""

from __future__ import annotations

import html
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, Protocol
from unicodedata import bidirectional
from zoneinfo import ZoneInfo

from clubbot.rules.model import Role, Window
from clubbot.rules.results import BookingView, KitRef, TeamRef
from clubbot.rules.tidy import tidy

MOST_DATA = 64
"""Bytes that the platform takes behind a button."""
VERSION = "v1"
MOST_BUTTONS = 90
"""The platform shows a hundred under one message; a few are kept for the last row."""


class View(Protocol):
    """For whom a result is worded, where and when."""

    @property
    def zone(self) -> ZoneInfo: ...
    @property
    def now(self) -> datetime: ...
    @property
    def role(self) -> Role: ...
    @property
    def private(self) -> bool: ...
    @property
    def club(self) -> str: ...
    @property
    def contact(self) -> str: ...
    @property
    def bot(self) -> str: ...


@dataclass(frozen=True, slots=True)
class Button:
    """A short text with a verb behind it, or an address."""

    text: str
    data: str | None = None
    url: str | None = None


@dataclass(frozen=True, slots=True)
class Reply:
    """A message: HTML text, rows of buttons, a picture or a named file where there is one.

    A photo or video is its content, or the platform's file id.
    """

    text: str
    buttons: tuple[tuple[Button, ...], ...] = ()
    photo: bytes | str | None = None
    video: bytes | str | None = None
    document: tuple[str, bytes] | None = None


Wording = Callable[[Any, View], Reply]
"""How one kind of result is said; the first argument is a result of that kind."""


def button(text: str, verb: str, *facts: object) -> Button:
    """Return a button that says a verb and plain facts: never what grants something.

    Raises ValueError where the facts don't fit, so that the caller offers another way.
    """
    data = ":".join([VERSION, verb, *(str(fact) for fact in facts)])
    if not data.isascii() or not data.isprintable() or len(data) > MOST_DATA:
        raise ValueError(f"{verb} doesn't fit behind a button")
    return Button(tidy(text)[:60] or "\u2026", data)


def rows(buttons: Iterable[Button], width: int) -> tuple[tuple[Button, ...], ...]:
    """Lay buttons out in rows of at most this many; beyond what is shown people type."""
    every = list(buttons)[:MOST_BUTTONS]
    return tuple(tuple(every[at : at + width]) for at in range(0, len(every), width))


_LONGEST = 300


def esc(text: str, longest: int = _LONGEST) -> str:
    """Make what somebody typed harmless: no markup, no sign that turns the rest of the line.

    What is longer is cut; what reads from right to left stands apart from the words around it.
    """
    shown = tidy(text)
    if len(shown) > longest:
        shown = shown[: longest - 1] + "\u2026"
    if text.strip() and not shown:
        shown = "\u2026"
    if any(bidirectional(sign) in ("R", "AL") for sign in shown):
        shown = f"\u2068{shown}\u2069"
    return html.escape(shown, quote=False)


def by_others(text: str, view: View, longest: int = _LONGEST) -> str:
    """Return what somebody typed as adults read it; nothing for children, helpers among them.

    No child's words reach another child through the bot.
    """
    return esc(text, longest) if text and view.role.adult else ""


def listed(words: Sequence[str], last: str = "and") -> str:
    """Return "A, B and C"."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


def labels(kits: Iterable[KitRef]) -> str:
    """Return the labels of kits as a list, escaped."""
    return listed([esc(kit.label) for kit in kits])


def kits_named(kits: Sequence[KitRef]) -> str:
    """Return "kit D" or "kits D and F"."""
    return f"kit{'' if len(kits) == 1 else 's'} {labels(kits)}"


def number_of_kits(count: int) -> str:
    """Return "1 kit" or "3 kits"."""
    return f"{count} kit{'' if count == 1 else 's'}"


def day_name(day: date, today: date) -> str:
    """Return "today", "tomorrow" or "Fri 9 Oct", with the year where it isn't this one."""
    if day == today:
        return "today"
    if day == today + timedelta(days=1):
        return "tomorrow"
    year = f" {day.year}" if day.year != today.year else ""
    return f"{day:%a} {day.day} {day:%b}{year}"


def local(instant: datetime, view: View) -> datetime:
    return instant.astimezone(view.zone)


def when(instant: datetime, view: View) -> str:
    """Return "today 15:30" or "Fri 9 Oct 15:30" on the club's clocks."""
    at = local(instant, view)
    return f"{day_name(at.date(), local(view.now, view).date())} {at:%H:%M}"


def until(instant: datetime, view: View) -> str:
    """Return a time, with its day only where it isn't today's."""
    at = local(instant, view)
    today = local(view.now, view).date()
    return f"{at:%H:%M}" if at.date() == today else when(instant, view)


def span(window: Window, view: View) -> str:
    """Return "Fri 9 Oct, 15:30 to 17:00", or both days where a window spans several."""
    start, end = local(window.start, view), local(window.end, view)
    today = local(view.now, view).date()
    if start.date() == end.date():
        return f"{day_name(start.date(), today)}, {start:%H:%M} to {end:%H:%M}"
    return f"{when(window.start, view)} to {when(window.end, view)}"


def typed(window: Window, view: View) -> str:
    """Return a window as the reader of bookings takes it."""
    start, end = local(window.start, view), local(window.end, view)
    if start.date() == end.date():
        return f"{start:%Y-%m-%d} {start:%H:%M} to {end:%H:%M}"
    return f"{start:%Y-%m-%d} {start:%H:%M} to {end:%Y-%m-%d} {end:%H:%M}"


def for_team(team: TeamRef | None) -> str:
    """Return " for Red", or nothing."""
    return f" for {esc(team.name)}" if team else ""


def team_here(team: TeamRef | None, view: View) -> str:
    """Return " for Red" where only the people concerned read it: nothing in a group."""
    return for_team(team) if view.private else ""


def booking_line(booking: BookingView, view: View) -> str:
    """Return a booking on one line; kits that may still change aren't named."""
    shown = f" ({labels(booking.out)} out)" if booking.out else ""
    what = f"{number_of_kits(booking.count)}{shown}{for_team(booking.team)}"
    return f"<b>{booking.number}</b>: {span(booking.window, view)}, {what}"


def capital(text: str) -> str:
    """Return a text with its first letter large."""
    return text[:1].upper() + text[1:]
