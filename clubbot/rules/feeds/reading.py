"""A school's calendar as text into the days that the school is closed.

Repeats are worked out by a library (RFC 5545), but only for the few entries whose title matters,
and never for what repeats within a day: a calendar comes from a stranger.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, date, datetime, time, timedelta
from typing import TYPE_CHECKING, Any, NamedTuple
from zoneinfo import ZoneInfo

from clubbot.rules.calendar import DAY, days
from clubbot.rules.feeds.model import AHEAD_DAYS, LONGEST_WHY, FeedDay, FeedRead, Trouble
from clubbot.rules.feeds.words import LONGEST_BREAK, Meaning, meaning, plain

if TYPE_CHECKING:
    from icalendar import Calendar

BETWEEN = "between terms"
MOST_FOUND = 200
"""More closures than this in 400 days are no school's calendar."""
_SCHOOL_DAY = (time(9), time(15))
"""An entry with times closes a day if it covers this much of it."""
_A_DAY = ("DAILY", "WEEKLY", "MONTHLY", "YEARLY")


class _Span(NamedTuple):
    """An entry of the calendar: its whole days, or (`whole` False) the day that it begins."""

    title: str
    first: date
    last: date
    whole: bool

    @property
    def days(self) -> int:
        return (self.last - self.first).days + 1 if self.whole else 0

    @property
    def meaning(self) -> Meaning:
        return meaning(self.title, self.days)


def read_feed(text: str, zone: ZoneInfo, today: date) -> FeedRead | Trouble:
    """Return the closed days from today to 400 days ahead, in order; or why there are none.

    Closed are entries over whole days whose title says so, and the days between the end of one
    term and the start of the next. An entry inside a longer closed one is left out.
    """
    from icalendar import Calendar

    if "BEGIN:VCALENDAR" not in text[:4000].upper():
        return Trouble.NOT_A_CALENDAR
    if "END:VCALENDAR" not in text[-4000:].upper():
        return Trouble.CUT_OFF
    # A term may have ended before today, and the holidays may end after what is looked at.
    first, last = today - LONGEST_BREAK * DAY, today + AHEAD_DAYS * DAY
    far = last + LONGEST_BREAK * DAY
    try:
        calendars = [each for each in Calendar.from_ical(text, multiple=True) if each is not None]
        events = sum(len(each.walk("VEVENT")) for each in calendars)
        spans = [span for each in calendars for span in _spans(each, zone, first, far)]
    except Exception:
        # Other people's text in other people's parsers: whatever it raises, it isn't readable.
        return Trouble.UNREADABLE
    if not events:
        return Trouble.EMPTY
    found = [each for each in _found(spans) if each.last_day >= today and each.first_day <= last]
    return FeedRead(events, tuple(found)) if len(found) <= MOST_FOUND else Trouble.TOO_MANY


def _spans(calendar: Calendar, zone: ZoneInfo, first: date, last: date) -> Iterator[_Span]:
    from recurring_ical_events import of  # type: ignore[import-untyped]

    matters = _that_matters(calendar)
    if matters is None:
        return
    for event in of(matters, skip_bad_series=True).between(first, last):
        if str(event.get("STATUS", "")).upper() != "CANCELLED":
            yield _span(str(event.get("SUMMARY", "")), event.start, event.end, zone)


def _that_matters(calendar: Calendar) -> Calendar | None:
    """Return a calendar of only those entries, with all that changes them, whose title matters."""
    from icalendar import Calendar

    events = calendar.walk("VEVENT")
    wanted = {_uid(event) for event in events if _may_matter(str(event.get("SUMMARY", "")))}
    if not wanted:
        return None
    small = Calendar()
    for name in ("VERSION", "PRODID", "X-WR-TIMEZONE"):
        if name in calendar:
            small[name] = calendar[name]
    kept = [event for event in events if _uid(event) in wanted and _by_days(event)]
    small.subcomponents = [*calendar.walk("VTIMEZONE"), *kept]
    return small


def _uid(event: Any) -> str:
    return str(event.get("UID") or id(event))


def _may_matter(title: str) -> bool:
    return any(meaning(title, days) is not Meaning.OTHER for days in (0, 1, 5, 60))


def _by_days(event: Any) -> bool:
    """Say whether an entry has a beginning, and repeats, if at all, by days or more."""
    rules = event.get("RRULE") or []
    every = rules if isinstance(rules, list) else [rules]
    return "DTSTART" in event and all(
        str(part).upper() in _A_DAY for rule in every for part in rule.get("FREQ", ["none"])
    )


def _span(title: str, start: date, end: date, zone: ZoneInfo) -> _Span:
    if not isinstance(start, datetime) or not isinstance(end, datetime):
        return _Span(title, start, max(start, end - DAY), whole=True)
    if _midnights(start, end):
        return _Span(title, start.date(), end.date() - DAY, whole=True)
    begins, ends = _local(start, zone), _local(end, zone)
    opens, closes = _SCHOOL_DAY
    first = begins.date() if begins.time() <= opens else begins.date() + DAY
    last = ends.date() if ends.time() >= closes else ends.date() - DAY
    if first > last:
        return _Span(title, begins.date(), begins.date(), whole=False)
    return _Span(title, first, last, whole=True)


def _midnights(start: datetime, end: datetime) -> bool:
    """Say whether this is how some programs write whole days: from midnight to midnight, in UTC."""
    utc = start.utcoffset() == end.utcoffset() == timedelta(0)
    return utc and start.time() == end.time() == time(0) and end > start


def _local(moment: datetime, zone: ZoneInfo) -> datetime:
    if moment.tzinfo is None:
        return moment
    return moment.astimezone(UTC).astimezone(zone)


def _found(spans: Sequence[_Span]) -> list[FeedDay]:
    by_meaning: dict[Meaning, list[_Span]] = {each: [] for each in Meaning}
    for span in spans:
        by_meaning[span.meaning].append(span)
    closed = [_day(span, sure=True) for span in by_meaning[Meaning.CLOSED]]
    between = [_day(gap, sure=True) for gap in _between_terms(by_meaning)]
    sure = _without_contained([*closed, *_open_gaps(between, closed)], ())
    unsure = [_day(span, sure=False) for span in by_meaning[Meaning.UNSURE]]
    return sorted(
        [*sure, *_without_contained(unsure, sure)], key=lambda each: (each.first_day, each.key)
    )


def _day(span: _Span, *, sure: bool) -> FeedDay:
    key = hashlib.sha256(f"{plain(span.title)}|{span.first}".encode()).hexdigest()[:12]
    # A database may refuse what nobody can see.
    shown = "".join(char if char.isprintable() else " " for char in span.title)
    why = " ".join(shown.split())[:LONGEST_WHY]
    return FeedDay(key, span.first, span.last, why, sure)


def _without_contained(found: Iterable[FeedDay], others: Sequence[FeedDay]) -> list[FeedDay]:
    """Leave out what lies within another: of the same days the first stays."""
    kept: list[FeedDay] = []
    for each in sorted(found, key=lambda day: (day.first_day, -day.last_day.toordinal())):
        around = (*kept, *others)
        if not any(o.first_day <= each.first_day and each.last_day <= o.last_day for o in around):
            kept.append(each)
    return kept


def _between_terms(by_meaning: dict[Meaning, list[_Span]]) -> Iterator[_Span]:
    """Yield the days from the last day of a term to the first of the next, where both are named.

    A gap longer than the longest holidays, or one that another term lies across, is none.
    """
    terms = by_meaning[Meaning.TERM]
    ends = sorted([each.last for each in (*by_meaning[Meaning.ENDS], *terms)])
    starts = sorted([each.first for each in (*by_meaning[Meaning.STARTS], *terms)])
    for place, start in enumerate(starts):
        before = [end for end in ends if end < start]
        end = max(before, default=None)
        if end is None or (place and starts[place - 1] > end):
            continue
        first, last = end + DAY, start - DAY
        long_enough = any(day.weekday() < 5 for day in days(first, last))
        across = any(term.first <= last and term.last >= first for term in terms)
        if long_enough and not across and (last - first).days < LONGEST_BREAK:
            yield _Span(BETWEEN, first, last, whole=True)


def _open_gaps(between: Iterable[FeedDay], closed: Sequence[FeedDay]) -> Iterator[FeedDay]:
    """Yield the gaps of which a named closure leaves some weekday uncovered."""
    for gap in between:
        left = [
            day
            for day in days(gap.first_day, gap.last_day)
            if day.weekday() < 5 and not any(c.first_day <= day <= c.last_day for c in closed)
        ]
        if left:
            yield gap
