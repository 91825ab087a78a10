"""A request for kits in plain words, read against the moment it was sent at."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from itertools import product

from clubbot.rules.reading.answers import (
    ASK_ORDER,
    ERROR_ORDER,
    Answer,
    Ask,
    Either,
    MeetingTime,
    Missing,
    Reading,
    Unreadable,
    Weekly,
)
from clubbot.rules.reading.dates import written_order
from clubbot.rules.reading.draft import Draft, requests
from clubbot.rules.reading.hours import span_minutes, start_minute, usual
from clubbot.rules.reading.labelbook import Labels, prepare
from clubbot.rules.reading.meetings import place_in_meetings
from clubbot.rules.reading.odd_dates import with_odd_dates
from clubbot.rules.reading.pieces import Named
from clubbot.rules.reading.placing import Request, days_long, last_day, placed, until, words_of
from clubbot.rules.reading.scan import Setting, scan
from clubbot.rules.reading.settle import settle
from clubbot.rules.reading.tokens import tokenise
from clubbot.rules.reading.zones import date_order

LONGEST = timedelta(days=14)
_LONGEST_TEXT = 1200


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
    line = tokenise(text[:_LONGEST_TEXT], ready.protected)
    zone = getattr(now.tzinfo, "key", "")
    order = written_order(line, date_order(zone))
    pieces = with_odd_dates(scan(line, Setting(now, ready, order)), line, now.date(), order)
    drafts = requests(settle(pieces, now.date(), order))
    drafts = [_for_a_kit(draft, ready) for draft in drafts]
    return _answered(
        [
            Request(
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
    named = (draft.team or "").lower().split()
    ways = (labels.by_words.get(tuple(named[:size])) for size in range(len(named), 0, -1))
    label = next((way for way in ways if way is not None), None)
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
    text = f"{missing.text}, {as_answer(asked, answer)}"
    return read_booking(text, now, labels, meetings, longest)


def as_answer(asked: Ask, answer: str) -> str:
    """Return a bare answer with the words that say what it answers: "5" to "until 5"."""
    said = answer.strip()
    bare = said.replace(" ", "").isalnum()
    lead = {"day": "", "start": "from " if bare else "", "end": "", "count": ""}[asked]
    if asked == "end" and not said.lower().startswith(("for ", "until ", "to ")):
        length = any(word in said.lower() for word in ("hour", "min", "hr", "day", "week"))
        lead = "for " if length else "until "
    tail = " kits" if asked == "count" and bare and said.isdigit() else ""
    return f"{lead}{said}{tail}"


def _answered(alternatives: list[Request]) -> Answer:
    outcomes: list[Answer] = []
    for request in alternatives:
        ask = _asks(request.draft, request.labels)
        known = _kits_error(request) or (_days_error(request) if ask else None)
        if known is None and ask:
            return _missing(request, ask)
        outcomes += [known] if known else [placed(request, *c) for c in _choices(request)]
    good = sorted({each for each in outcomes if isinstance(each, Reading)}, key=_order)
    if len(good) > 1:
        return Either(tuple(good))
    if good:
        return good[0]
    errors = [each for each in outcomes if isinstance(each, Unreadable)]
    return min(errors, key=lambda each: ERROR_ORDER.index(each.error))


def _order(reading: Reading) -> tuple[datetime, datetime, int, tuple[str, ...]]:
    return reading.start, reading.end, reading.count, reading.kits


def _kits_error(request: Request) -> Unreadable | None:
    draft = request.draft
    if draft.unknown:
        return Unreadable("unknown-kit", ", ".join(draft.unknown))
    if any(0 in count.options for count in draft.counts):
        return Unreadable("zero", words_of(request, "count"))
    return None


def _days_error(request: Request) -> Unreadable | None:
    """What is wrong with the days whatever the missing times turn out to be."""
    draft, today = request.draft, request.now.date()
    if draft.day is None:
        return None
    days = draft.day.options
    if all(last_day(draft, day) < day for day in days):
        return Unreadable("end-before-start", words_of(request, "last"))
    if all(days_long(draft, day) > request.longest.days for day in days):
        return Unreadable("too-long", words_of(request, "last"))
    noon = draft.half == "am" and request.now.hour >= 12 and draft.start is None
    if all(day < today or (day == today and noon and not draft.day.roll) for day in days):
        return Unreadable("past", words_of(request, "day"))
    return None


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
    if draft.everything and not kits[0]:
        rest = tuple(label for label in labels.spelled if label not in draft.excluded)
        return [(len(rest), rest if draft.excluded else ())] if rest else []
    more = sum(count.options[0] for count in draft.counts if count.more and count.options)
    counted = sorted(draft.counts, key=lambda count: count.bare)
    plain = [count.options for count in counted if not count.more and count.options]
    totals: list[tuple[int, tuple[str, ...]]] = []
    for named in kits:
        for count in plain[0] if plain else (0,):
            total = max(count, len(named)) + more
            if total:
                totals.append((total, named))
    return totals


def _choices(request: Request) -> Iterator[tuple[date, int, tuple[str, ...]]]:
    draft = request.draft
    days = draft.day.options if draft.day else ()
    if draft.day is not None and draft.day.last is not None and draft.day.weekday is not None:
        days = tuple(dict.fromkeys(d for day in days for d in (day, day + timedelta(days=1))))
    for day, (count, kits) in product(days, _totals(draft, request.labels)):
        yield day, count, kits


def _missing(request: Request, ask: tuple[Ask, ...]) -> Answer:
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
            return Unreadable("past", words_of(request, "start"))
        day = draft.day.roll[0]
    totals = _totals(draft, request.labels)
    exact = draft.length.exact + timedelta(days=draft.length.days) if draft.length else None
    kits = totals[0][1] if len(totals) == 1 else ()
    last = last_day(draft, day) if day is not None else None
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
        Weekly(until(draft, day or now.date()), draft.weekly) if draft.weekly else None,
    )


def _clock_time(minutes: int | None) -> time | None:
    return None if minutes is None else time(minutes // 60 % 24, minutes % 60)
