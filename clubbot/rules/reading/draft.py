"""The pieces of one text put in their places: which time is the start, which day the last."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta

from clubbot.rules.reading.pieces import (
    Clock,
    Count,
    Day,
    Everything,
    Half,
    Length,
    Link,
    Named,
    Part,
    Piece,
    Team,
)

_SPAN = frozenset({"to", "until"})


@dataclass(slots=True)
class Draft:
    """What one text says; None where it says nothing. `words` keeps where each part was said."""

    day: Day | None = None
    last: Day | None = None
    start: Clock | None = None
    end: Clock | None = None
    length: Length | None = None
    half: Half | None = None
    counts: list[Count] = field(default_factory=list)
    everything: bool = False
    named: list[Named] = field(default_factory=list)
    team: str | None = None
    weekly: bool = False
    words: dict[str, Piece] = field(default_factory=dict)

    @property
    def unknown(self) -> tuple[str, ...]:
        return tuple(word for each in self.named for word in each.unknown)


def put_together(pieces: list[Piece]) -> Draft:
    """Walk the settled pieces once and give each its place."""
    draft = Draft()
    draft.weekly = any(
        piece.meaning == Link("every") or (isinstance(piece.meaning, Day) and piece.meaning.weekly)
        for piece in pieces
    )
    side = "start"
    for at, piece in enumerate(pieces):
        meaning = piece.meaning
        before = _link(pieces, at - 1)
        match meaning:
            case Link():
                side = _side(side, pieces, at, draft)
            case Day():
                side = _put_day(draft, piece, meaning, side, before)
            case Clock():
                side = _put_clock(draft, piece, meaning, side, _opens_span(pieces, at))
            case Length():
                draft.length = draft.length or meaning
            case Part():
                draft.half = draft.half or meaning.half
            case Count():
                draft.counts.append(meaning)
                draft.words.setdefault("count", piece)
            case Everything():
                draft.everything = True
            case Named():
                draft.named.append(meaning)
            case Team():
                draft.team = draft.team or meaning.name
            case _:
                pass
    return draft


def _link(pieces: list[Piece], at: int) -> str:
    if not 0 <= at < len(pieces):
        return ""
    meaning = pieces[at].meaning
    return meaning.word if isinstance(meaning, Link) else ""


def _opens_span(pieces: list[Piece], at: int) -> bool:
    after = pieces[at + 2].meaning if at + 2 < len(pieces) else None
    return _link(pieces, at + 1) in _SPAN and isinstance(after, Clock)


def _side(side: str, pieces: list[Piece], at: int, draft: Draft) -> str:
    word = _link(pieces, at)
    follower = next((p.meaning for p in pieces[at + 1 :] if not isinstance(p.meaning, Link)), None)
    if not isinstance(follower, Day | Clock | Part):
        return side
    if word in {"from", "between"}:
        return "start"
    if word in {"until", "by"} or (word == "to" and (draft.day or draft.start)):
        return "end"
    if word == "and" and draft.start is not None and isinstance(follower, Clock):
        return "end"
    return side


def _put_day(draft: Draft, piece: Piece, day: Day, side: str, before: str) -> str:
    ends = side == "end" and (draft.day is not None or before in {"until", "to"})
    if ends and draft.end is not None and before not in _SPAN and draft.last is None:
        ends = draft.day is not None and before not in {"and", "or"} and _separate(draft.day, day)
    if ends:
        draft.last = merged(draft.last, day) if draft.last else day
        draft.words.setdefault("last", piece)
        return "start" if draft.weekly else "end"
    if draft.day is None:
        draft.day = day
    elif before in {"and", "or"} and not draft.weekly:
        draft.day = Day(_unique(draft.day.options + day.options))
    else:
        draft.day = merged(draft.day, day)
    draft.words.setdefault("day", piece)
    return side


def _separate(first: Day, second: Day) -> bool:
    """True when two days are two days, not a weekday and its date."""
    return (first.weekday is None) == (second.weekday is None)


def _put_clock(draft: Draft, piece: Piece, clock: Clock, side: str, opens: bool) -> str:
    if opens and draft.start is None:
        side = "start"
    if side == "start" and draft.start is None:
        draft.start = clock
        draft.words.setdefault("start", piece)
    elif draft.end is None:
        draft.end = clock
        draft.words.setdefault("end", piece)
    elif draft.start is None:
        draft.start = clock
        draft.words.setdefault("start", piece)
    return side


def _unique(days: tuple[date, ...]) -> tuple[date, ...]:
    return tuple(dict.fromkeys(days))


def merged(first: Day, second: Day) -> Day:
    """One day from two descriptions; where they contradict each other, both are kept."""
    if first.last is not None or second.last is not None:
        span, other = (first, second) if first.last is not None else (second, first)
        inside = [d for d in _unique(other.options + other.roll) if _within(d, span)]
        return Day(tuple(inside[:1]), weekly=other.weekly) if inside else span
    weekly = first.weekly or second.weekly
    ways = _unique(first.options + first.roll), _unique(second.options + second.roll)
    both = [day for day in ways[0] if day in ways[1]]
    if both:
        return Day(tuple(both[:1]), weekly=weekly)
    for named, dated in ((first, second), (second, first)):
        if named.weekday is None:
            continue
        fits = [d for d in dated.options + dated.roll if d.weekday() == named.weekday]
        if fits:
            return Day((fits[0],), weekly=weekly)
        if dated.weekday is None:
            return Day(_unique((dated.options[0], _closest(named.weekday, dated.options[0]))))
    return Day(_unique(first.options + second.options))


def _within(day: date, span: Day) -> bool:
    return span.last is not None and span.options[0] <= day <= span.last


def _closest(weekday: int, day: date) -> date:
    """That weekday within three days of a date."""
    shift = (weekday - day.weekday() + 3) % 7 - 3
    return day + timedelta(days=shift)
