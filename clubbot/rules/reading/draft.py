"""The pieces of one text put in their places: which time is the start, which day the last."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import date

from clubbot.rules.reading.merging import merged, unique, ways_of
from clubbot.rules.reading.pieces import (
    Clock,
    Count,
    Day,
    Everything,
    Excluded,
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
    earlier: tuple[date, ...] = ()
    last: Day | None = None
    start: Clock | None = None
    end: Clock | None = None
    length: Length | None = None
    half: Half | None = None
    counts: list[Count] = field(default_factory=list)
    everything: bool = False
    named: list[Named] = field(default_factory=list)
    excluded: tuple[str, ...] = ()
    team: str | None = None
    weekly: int = 0
    correcting: bool = False
    overnight: bool = False
    other_start: Clock | None = None
    other_end: Clock | None = None
    words: dict[str, Piece] = field(default_factory=dict)

    @property
    def unknown(self) -> tuple[str, ...]:
        return tuple(word for each in self.named for word in each.unknown)


def requests(pieces: list[Piece]) -> list[Draft]:
    """One draft for each request in a text: "fri 3-5 or sat 10-12" holds two."""
    for at, piece in enumerate(pieces):
        word = piece.meaning.word if isinstance(piece.meaning, Link) else ""
        left, right = pieces[:at], pieces[at + 1 :]
        both_days = all(any(isinstance(p.meaning, Day) for p in half) for half in (left, right))
        if (
            word in {"or", "and", ","}
            and (word == "or" or both_days)
            and _spans(left)
            and _spans(right)
        ):
            first, second = put_together(left), put_together(right)
            return [_completed(first, second), _completed(second, first)]
    return list(_alternatives(put_together(pieces)))


def _spans(pieces: list[Piece]) -> bool:
    clocks = sum(isinstance(piece.meaning, Clock) for piece in pieces)
    lengths = sum(isinstance(piece.meaning, Length) for piece in pieces)
    return clocks >= 1 and clocks + lengths >= 2


def _completed(draft: Draft, other: Draft) -> Draft:
    """A draft with the day, the kits and the team of its neighbour where it names none."""
    kits = draft.counts or draft.named or draft.everything
    source = draft if kits else other
    return replace(
        draft,
        day=draft.day or other.day,
        half=draft.half or other.half,
        counts=source.counts,
        named=source.named,
        everything=source.everything,
        team=draft.team or other.team,
    )


def _alternatives(draft: Draft) -> Iterator[Draft]:
    yield draft
    if draft.other_start is not None:
        yield replace(draft, start=draft.other_start)
    if draft.other_end is not None:
        yield replace(draft, end=draft.other_end)


def put_together(pieces: list[Piece]) -> Draft:
    """Walk the settled pieces once and give each its place."""
    draft = Draft()
    every = [p.meaning.weekly for p in pieces if isinstance(p.meaning, Day)]
    every += [1 for p in pieces if p.meaning == Link("every")]
    draft.weekly = max(every, default=0)
    side = "start"
    for at, piece in enumerate(pieces):
        match piece.meaning:
            case Link():
                side = _side(side, pieces, at, draft)
                _note_link(draft, piece.meaning)
            case Day() | Clock():
                side = _put_when(draft, pieces, at, side)
            case Length():
                draft.length = draft.length or piece.meaning
            case Part():
                draft.half = draft.half or piece.meaning.half
            case Team():
                draft.team = draft.team or piece.meaning.name
            case _:
                _put_kits(draft, pieces, at)
    return _tidied(draft)


def _note_link(draft: Draft, link: Link) -> None:
    draft.overnight = draft.overnight or link.word == "overnight"
    said = draft.day is not None or draft.start is not None or bool(draft.counts)
    draft.correcting = draft.correcting or (said and link.word == "correction")


def _put_when(draft: Draft, pieces: list[Piece], at: int, side: str) -> str:
    """Place a day or a time; what comes after "no, wait" replaces what was said before."""
    before, piece = _link(pieces, at - 1), pieces[at]
    match piece.meaning:
        case Day() if before == "not":
            pass
        case Day() if draft.correcting and draft.day is not None and side == "start":
            draft.day = piece.meaning
        case Day():
            return _put_day(draft, piece, piece.meaning, side, before)
        case Clock() if before == "or" and (draft.start or draft.end):
            _put_other(draft, piece.meaning)
        case Clock() if draft.correcting and _opens_span(pieces, at):
            draft.start, draft.end = piece.meaning, None
            return "start"
        case Clock():
            return _put_clock(draft, piece, piece.meaning, side, _opens_span(pieces, at))
    return side


def _put_kits(draft: Draft, pieces: list[Piece], at: int) -> None:
    match pieces[at].meaning:
        case Count() as count:
            draft.counts = [*([] if draft.correcting else draft.counts), count]
            draft.words.setdefault("count", pieces[at])
        case Everything():
            draft.everything = True
        case Named() as named:
            chosen = named.choice or (bool(draft.named) and _after_or(pieces, at))
            draft.named.append(replace(named, choice=chosen))
        case Excluded() as excluded:
            draft.excluded += excluded.known
        case _:
            pass


def _after_or(pieces: list[Piece], at: int) -> bool:
    """ "kit D (or E)", "D if free, otherwise E": an "or" stands between this and other kits."""
    for piece in reversed(pieces[:at]):
        if piece.meaning == Link("or"):
            return True
        if isinstance(piece.meaning, Named | Day | Clock | Count):
            return False
    return False


def _put_other(draft: Draft, clock: Clock) -> None:
    if draft.end is None:
        draft.other_start = clock
    else:
        draft.other_end = clock


def _tidied(draft: Draft) -> Draft:
    """Alternatives joined, and single letters dropped where something surer was said."""
    if draft.day is not None and draft.earlier:
        draft.day = replace(draft.day, options=unique(draft.earlier + draft.day.options), roll=())
    sure = [each for each in draft.named if not each.faint]
    counted = any(count.options for count in draft.counts) or draft.everything
    if sure or counted:
        draft.named = sure
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
    if word == "by" and draft.start is None and any(isinstance(p.meaning, Length) for p in pieces):
        return "start"
    if word in {"until", "by"} or (word == "to" and (draft.day or draft.start)):
        return "end"
    if word == "and" and draft.start is not None and isinstance(follower, Clock):
        return "end"
    return side


def _put_day(draft: Draft, piece: Piece, day: Day, side: str, before: str) -> str:
    ends = side == "end" and (draft.day is not None or before in {"until", "to"})
    if ends and before not in _SPAN and draft.end is not None and draft.day is not None:
        ends = not set(ways_of(draft.day)) & set(ways_of(day))
    if ends and draft.end is not None and before not in _SPAN and draft.last is None:
        ends = draft.day is not None and before not in {"and", "or"} and _separate(draft.day, day)
    if ends:
        draft.last = merged(draft.last, day) if draft.last else day
        draft.words.setdefault("last", piece)
        return "start" if draft.weekly else "end"
    if draft.day is None:
        draft.day = day
    elif before in {"and", "or"} and not draft.weekly:
        draft.earlier += draft.day.options
        draft.day = day
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
