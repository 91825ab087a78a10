"""A request for kits in plain words, read against the moment it was sent at."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from itertools import product

from clubbot.rules.reading.answers import (
    ASK_ORDER,
    ERROR_ORDER,
    Answer,
    Ask,
    Either,
    Error,
    MeetingTime,
    Missing,
    Reading,
    Unreadable,
    Weekly,
)
from clubbot.rules.reading.dates import written_order
from clubbot.rules.reading.draft import Draft, requests
from clubbot.rules.reading.hours import span_minutes, start_minute, usual
from clubbot.rules.reading.labelbook import Labels, prepare, protected_words
from clubbot.rules.reading.meetings import place_in_meetings
from clubbot.rules.reading.pieces import Named
from clubbot.rules.reading.scan import Setting, scan
from clubbot.rules.reading.settle import settle
from clubbot.rules.reading.tokens import Line, tokenise
from clubbot.rules.reading.zones import date_order, instant

LONGEST = timedelta(days=14)
_LONGEST_TEXT = 4096


@dataclass(frozen=True, slots=True)
class _Request:
    line: Line
    draft: Draft
    now: datetime
    labels: Labels
    meetings: tuple[MeetingTime, ...]
    longest: timedelta


def read_booking(
    text: str,
    now: datetime,
    labels: Sequence[str],
    meetings: Sequence[MeetingTime] = (),
    longest: timedelta = LONGEST,
) -> Answer:
    """What a person asks for: complete, several ways, what to ask, or why not.

    `now` is when the text was sent, aware and in the club's own zone; relative words and the
    order of day and month are read against it. `labels` are the club's kits. Never raises for
    any text. Lengths in hours are exact, in days on the calendar (RFC 5545, 3.3.6).
    """
    ready = prepare(labels)
    line = tokenise(text[:_LONGEST_TEXT], protected_words(ready))
    zone = getattr(now.tzinfo, "key", "")
    order = written_order(line, date_order(zone))
    pieces = settle(scan(line, Setting(now, ready, order)), now.date(), order)
    drafts = requests(pieces)
    drafts = [_for_a_kit(draft, ready) for draft in drafts]
    return _answered(
        [
            _Request(
                line,
                place_in_meetings(draft, line, now, meetings),
                now,
                ready,
                tuple(meetings),
                longest,
            )
            for draft in drafts
        ]
    )


def _for_a_kit(draft: Draft, labels: Labels) -> Draft:
    """ "friday 3-5 for Otter" means the kit of that name when no other was said."""
    label = labels.by_words.get(tuple((draft.team or "").lower().split()))
    if label is None or draft.counts or draft.named or draft.everything:
        return draft
    return replace(draft, named=[Named((label,))], team=None)


def read_answer(
    missing: Missing,
    asked: Ask,
    answer: str,
    now: datetime,
    labels: Sequence[str],
    meetings: Sequence[MeetingTime] = (),
    longest: timedelta = LONGEST,
) -> Answer:
    """Go on after a question: `answer` replies to `asked`; `now` is the first text's own."""
    said = answer.strip()
    bare = said.replace(" ", "").isalnum()
    lead = {"day": "", "start": "from " if bare else "", "end": "", "count": ""}[asked]
    if asked == "end" and not said.lower().startswith(("for ", "until ", "to ")):
        length = any(word in said.lower() for word in ("hour", "min", "hr", "day", "week"))
        lead = "for " if length else "until "
    tail = " kits" if asked == "count" and bare and said.isdigit() else ""
    return read_booking(f"{missing.text}, {lead}{said}{tail}", now, labels, meetings, longest)


def _answered(alternatives: list[_Request]) -> Answer:
    outcomes: list[Answer] = []
    for request in alternatives:
        known = _early_error(request)
        ask = _asks(request.draft, request.labels)
        if known is None and ask:
            return _missing(request, ask)
        outcomes += [known] if known else [_placed(request, *c) for c in _choices(request)]
    good = sorted({each for each in outcomes if isinstance(each, Reading)}, key=_order)
    if len(good) > 1:
        return Either(tuple(good))
    if good:
        return good[0]
    errors = [each for each in outcomes if isinstance(each, Unreadable)]
    return min(errors, key=lambda each: ERROR_ORDER.index(each.error))


def _order(reading: Reading) -> tuple[datetime, datetime, int, tuple[str, ...]]:
    return reading.start, reading.end, reading.count, reading.kits


def _early_error(request: _Request) -> Unreadable | None:
    """What is wrong whatever the missing parts turn out to be, first in the order of errors."""
    draft, today = request.draft, request.now.date()
    if draft.unknown:
        return Unreadable("unknown-kit", ", ".join(draft.unknown))
    if any(0 in count.options for count in draft.counts):
        return Unreadable("zero", _words(request, "count"))
    if draft.day is None:
        return None
    days = draft.day.options
    if all(_last_day(draft, day) < day for day in days):
        return Unreadable("end-before-start", _words(request, "last"))
    if all(_days_long(draft, day) > request.longest.days for day in days):
        return Unreadable("too-long", _words(request, "last"))
    noon = draft.half == "am" and request.now.hour >= 12 and draft.start is None
    if all(day < today or (day == today and noon and not draft.day.roll) for day in days):
        return Unreadable("past", _words(request, "day"))
    return None


def _words(request: _Request, *parts: str) -> str:
    for part in (*parts, "day", "start", "end"):
        piece = request.draft.words.get(part)
        if piece is not None:
            return request.line.said(piece.first, max(piece.after, piece.first + 1))
    return request.line.text.strip()[:80]


def _last_day(draft: Draft, day: date) -> date:
    """The day on which it ends, as far as days were named."""
    if draft.weekly:
        return day
    if draft.last is not None:
        options = sorted({*draft.last.options, *draft.last.roll})
        if draft.last.weekday is not None:
            ahead = (draft.last.weekday - day.weekday()) % 7
            timed = draft.start is not None and draft.end is not None
            return day + timedelta(days=ahead or (0 if timed else 7))
        return next((each for each in options if each >= day), options[-1])
    if draft.day is not None and draft.day.last is not None:
        return draft.day.last + (day - draft.day.options[0])
    return day


def _days_long(draft: Draft, day: date) -> int:
    named = (_last_day(draft, day) - day).days
    return max(named, draft.length.days if draft.length else 0)


def _asks(draft: Draft, labels: Labels) -> tuple[Ask, ...]:
    has = {
        "day": draft.day is not None,
        "start": draft.start is not None
        or (draft.end is not None and draft.length is not None and not draft.length.days),
        "end": draft.end is not None or draft.length is not None,
        "count": bool(_totals(draft, labels)),
    }
    return tuple(part for part in ASK_ORDER if not has[part])


def _totals(draft: Draft, labels: Labels) -> list[tuple[int, tuple[str, ...]]]:
    """Every count with its named kits that the text allows."""
    kits = [tuple(dict.fromkeys(label for each in draft.named for label in each.known))]
    if any(each.choice for each in draft.named):
        kits = [(label,) for label in kits[0]]
    if draft.everything:
        rest = tuple(label for label in labels.spelled if label not in draft.excluded)
        return [(len(rest), rest if draft.excluded else ())] if rest else []
    more = sum(count.options[0] for count in draft.counts if count.more and count.options)
    plain = [count.options for count in draft.counts if not count.more and count.options]
    totals: list[tuple[int, tuple[str, ...]]] = []
    for named in kits:
        for count in plain[0] if plain else (0,):
            total = max(count, len(named)) + more
            if total:
                totals.append((total, named))
    return totals


def _choices(request: _Request) -> Iterator[tuple[date, int, tuple[str, ...]]]:
    draft = request.draft
    days = draft.day.options if draft.day else ()
    if draft.day is not None and draft.day.last is not None and draft.day.weekday is not None:
        days = tuple(dict.fromkeys(d for day in days for d in (day, day + timedelta(days=1))))
    for day, (count, kits) in product(days, _totals(draft, request.labels)):
        yield day, count, kits


def _placed(request: _Request, day: date, count: int, kits: tuple[str, ...]) -> Answer:
    """One way to read the text, rolled on to the next such day when its time has gone."""
    outcome = _on_day(request, day, count, kits)
    rolled = request.draft.day.roll if request.draft.day else ()
    if rolled and isinstance(outcome, Unreadable) and outcome.error == "past":
        return _on_day(request, rolled[0], count, kits)
    return outcome


def _on_day(request: _Request, day: date, count: int, kits: tuple[str, ...]) -> Answer:
    draft = request.draft
    start_wall, end_wall, extra = _walls(request, day)
    start = instant(start_wall, request.now)
    if extra is not None and end_wall is None:
        end = _exactly_later(start, extra, request.now)
    elif extra is not None:
        end = instant(end_wall or start_wall, request.now)
        start = _exactly_later(end, -extra, request.now)
    else:
        end = instant(end_wall or start_wall, request.now)
    error = _error(start, end, request)
    if error is not None:
        return Unreadable(error, _words(request, "day" if error == "past" else "end"))
    repeat = Weekly(_until(draft, day), draft.weekly) if draft.weekly else None
    return Reading(start, end, count, kits, draft.team, repeat)


def _until(draft: Draft, day: date) -> date | None:
    if draft.last is None:
        return None
    return next(
        (each for each in sorted({*draft.last.options, *draft.last.roll}) if each >= day),
        draft.last.options[-1],
    )


def _walls(request: _Request, day: date) -> tuple[datetime, datetime | None, timedelta | None]:
    """Wall times of start and end, or one of them with an exact length."""
    draft = request.draft
    here = [m for m in request.meetings if m.weekday == day.weekday()]
    last = _last_day(draft, day) if not _weekend(draft) else day
    if draft.start is not None and draft.end is not None:
        if last > day:
            begin, finish = start_minute(draft.start, draft.half, here), usual(draft.end)
        else:
            begin, finish = span_minutes(draft.start, draft.end, draft.half, here)
            finish += 24 * 60 if draft.overnight and finish <= begin else 0
        return _wall(day, begin), _wall(last, finish), None
    length = draft.length
    if draft.start is not None and length is not None:
        begin = start_minute(draft.start, draft.half, here)
        if length.days:
            return _wall(day, begin), _wall(day + timedelta(days=length.days), begin), None
        return _wall(day, begin), None, length.exact
    end = draft.end
    finish = start_minute(end, draft.half, here) if end is not None else 0
    return _wall(day, finish), _wall(last, finish), length.exact if length else timedelta(0)


def _weekend(draft: Draft) -> bool:
    day = draft.day
    return day is not None and day.last is not None and day.weekday is not None


def _wall(day: date, minutes: int) -> datetime:
    return datetime.combine(day, time()) + timedelta(minutes=minutes)


def _exactly_later(moment: datetime, by: timedelta, now: datetime) -> datetime:
    return datetime.fromtimestamp(moment.timestamp() + by.total_seconds(), now.tzinfo)


def _error(start: datetime, end: datetime, request: _Request) -> Error | None:
    minute = request.now.replace(second=0, microsecond=0)
    if end.timestamp() <= start.timestamp():
        return "end-before-start"
    if end.replace(tzinfo=None) - start.replace(tzinfo=None) > request.longest:
        return "too-long"
    return "past" if start.timestamp() < minute.timestamp() else None


def _missing(request: _Request, ask: tuple[Ask, ...]) -> Answer:
    draft, now = request.draft, request.now
    day = draft.day.options[0] if draft.day is not None and len(draft.day.options) == 1 else None
    here = [m for m in request.meetings if day is not None and m.weekday == day.weekday()]
    start = start_minute(draft.start, draft.half, here) if draft.start else None
    end = usual(draft.end, draft.half) if draft.end else None
    if start is not None and draft.start and draft.end:
        end = span_minutes(draft.start, draft.end, draft.half, here)[1]
    gone = start if start is not None else end
    if day == now.date() and gone is not None and gone < now.hour * 60 + now.minute:
        if draft.day is None or not draft.day.roll:
            return Unreadable("past", _words(request, "start"))
        day = draft.day.roll[0]
    totals = _totals(draft, request.labels)
    exact = draft.length.exact + timedelta(days=draft.length.days) if draft.length else None
    kits = totals[0][1] if len(totals) == 1 else ()
    last = _last_day(draft, day) if day is not None else None
    return Missing(
        ask,
        request.line.text,
        day,
        _clock_time(start),
        last if last != day else None,
        _clock_time(end),
        exact,
        totals[0][0] if len(totals) == 1 else None,
        kits,
        draft.team,
        Weekly(_until(draft, day or now.date()), draft.weekly) if draft.weekly else None,
    )


def _clock_time(minutes: int | None) -> time | None:
    return None if minutes is None else time(minutes // 60 % 24, minutes % 60)
