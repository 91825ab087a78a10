"""What bare numbers are: a count, a time or a date, by the company they keep."""

from __future__ import annotations

from datetime import date

from clubbot.rules.reading.dates import pair_dates
from clubbot.rules.reading.pieces import (
    Clock,
    Count,
    Day,
    Dotted,
    Everything,
    Length,
    Link,
    Meaning,
    Named,
    Number,
    Other,
    Part,
    Piece,
)
from clubbot.rules.reading.times import clock_from_digits, make_clock
from clubbot.rules.reading.zones import Order

_TIME_LINKS = frozenset({"at", "from", "until", "to", "between", "by"})


def settle(pieces: list[Piece], today: date, order: Order) -> list[Piece]:
    """The same pieces with every `Number` and `Dotted` given a meaning."""
    kept = [piece for piece in pieces if piece.meaning != Link("")]
    kept = _settle_dotted(kept, today)
    kept = _join_minutes(kept)
    kept = _settle_dashed(kept, today, order)
    kept = _settle_spans(kept)
    kept = _settle_linked(kept)
    return _settle_rest(kept)


def _clock_of(meaning: Meaning) -> Clock | None:
    if isinstance(meaning, Clock):
        return meaning
    if not isinstance(meaning, Number):
        return None
    if meaning.text.isdigit():
        return clock_from_digits(meaning.text)
    return make_clock(meaning.value, 0)


def _link(pieces: list[Piece], at: int) -> str:
    if not 0 <= at < len(pieces):
        return ""
    meaning = pieces[at].meaning
    return meaning.word if isinstance(meaning, Link) else ""


def _replaced(piece: Piece, meaning: Meaning) -> Piece:
    return Piece(meaning, piece.first, piece.after)


def _settle_dotted(pieces: list[Piece], today: date) -> list[Piece]:
    dated = any(isinstance(piece.meaning, Day) for piece in pieces)
    times = sum(isinstance(piece.meaning, Clock | Number) for piece in pieces)
    dots = sum(isinstance(piece.meaning, Dotted) for piece in pieces)
    settled: list[Piece] = []
    for at, piece in enumerate(pieces):
        meaning = piece.meaning
        if not isinstance(meaning, Dotted):
            settled.append(piece)
            continue
        days = pair_dates(meaning.left, meaning.right, None, today, "day-first")
        clock = make_clock(meaning.left, meaning.right) if not meaning.closed else None
        as_day = clock is None or _link(pieces, at - 1) == "on"
        as_day = as_day or (not dated and (times >= 2 or dots >= 3) and meaning.right % 5 != 0)
        as_day = as_day or (not dated and times >= 2 and dots == 1)
        if days and as_day:
            dated = True
            settled.append(_replaced(piece, Day(days)))
        elif clock is not None:
            settled.append(_replaced(piece, clock))
        else:
            settled.append(_replaced(piece, Other()))
    return settled


def _join_minutes(pieces: list[Piece]) -> list[Piece]:
    """ "3 30 to 5" and "at 3 30": an hour and minutes with a space between."""
    joined: list[Piece] = []
    at = 0
    while at < len(pieces):
        here, then = pieces[at].meaning, pieces[at + 1].meaning if at + 1 < len(pieces) else None
        due = (
            _link(pieces, at + 2) in {"to", "until"}
            or _link(joined, len(joined) - 1) in _TIME_LINKS
        )
        if isinstance(here, Number) and isinstance(then, Number) and due:
            digits = here.text.isdigit() and then.text.isdigit() and len(then.text) == 2
            clock = make_clock(here.value, then.value) if digits and len(here.text) <= 2 else None
            if clock is not None and here.value > 0:
                joined.append(Piece(clock, pieces[at].first, pieces[at + 1].after))
                at += 2
                continue
        joined.append(pieces[at])
        at += 1
    return joined


def _settle_dashed(pieces: list[Piece], today: date, order: Order) -> list[Piece]:
    """ "10-13 3:30-5": a day and a month where no day is named and two other times are."""
    if any(isinstance(piece.meaning, Day) for piece in pieces):
        return pieces
    for at in range(len(pieces) - 2):
        left, right = pieces[at].meaning, pieces[at + 2].meaning
        if not (isinstance(left, Number) and isinstance(right, Number)):
            continue
        rest = pieces[:at] + pieces[at + 3 :]
        spans = any(
            _link(rest, k + 1) in {"to", "until"}
            and _clock_of(rest[k].meaning)
            and _clock_of(rest[k + 2].meaning)
            for k in range(len(rest) - 2)
        )
        glued = pieces[at + 2].after - pieces[at].first == 3 and _link(pieces, at + 1) == "to"
        days = pair_dates(left.value, right.value, None, today, order) if spans and glued else ()
        if days:
            piece = Piece(Day(days), pieces[at].first, pieces[at + 2].after)
            return [*pieces[:at], piece, *pieces[at + 3 :]]
    return pieces


def _settle_spans(pieces: list[Piece]) -> list[Piece]:
    """ "3 to 5", "15:30-17", "between 3 and 5" are two times."""
    settled = list(pieces)
    for at in range(len(settled) - 2):
        link = _link(settled, at + 1)
        between = link == "and" and _link(settled, at - 1) in {"between", "from"}
        if link not in {"to", "until"} and not between:
            continue
        start, end = _clock_of(settled[at].meaning), _clock_of(settled[at + 2].meaning)
        if start is not None and end is not None:
            settled[at] = _replaced(settled[at], start)
            settled[at + 2] = _replaced(settled[at + 2], end)
    return settled


def _settle_linked(pieces: list[Piece]) -> list[Piece]:
    settled = list(pieces)
    for at, piece in enumerate(settled):
        if not isinstance(piece.meaning, Number):
            continue
        linked = _link(settled, at - 1) in _TIME_LINKS
        four = piece.meaning.text.isdigit() and len(piece.meaning.text) == 4
        parted = at + 1 < len(settled) and isinstance(settled[at + 1].meaning, Part)
        opened = _link(settled, at + 1) in {"to", "until"} and _counts(settled)
        before = settled[at - 2].meaning if at > 1 else None
        linked = linked or (_link(settled, at - 1) == "or" and isinstance(before, Clock))
        clock = _clock_of(piece.meaning)
        if clock is not None and (linked or four or parted or opened):
            settled[at] = _replaced(piece, clock)
    return settled


def _counts(pieces: list[Piece]) -> bool:
    return any(isinstance(piece.meaning, Count | Everything | Named) for piece in pieces)


def _settle_rest(pieces: list[Piece]) -> list[Piece]:
    """What is left: the day's own number, the count if there is none yet, else a time."""
    settled = list(pieces)
    counted = any(
        isinstance(piece.meaning, Everything | Named)
        or (isinstance(piece.meaning, Count) and piece.meaning.options)
        for piece in settled
    )
    clocks = sum(isinstance(piece.meaning, Clock) for piece in settled)
    for at, piece in enumerate(settled):
        number = piece.meaning
        if not isinstance(number, Number):
            continue
        before, behind = _beside(settled, at, -1), _beside(settled, at, 1)
        clock = _clock_of(number) if clocks < 2 else None
        meaning: Meaning = Other()
        if isinstance(before, Day) and clocks and number.value == before.options[0].day:
            pass
        elif isinstance(before, Day) and clock is not None and clocks == 0:
            meaning, clocks = clock, 1
        elif not counted:
            meaning, counted = Count((number.value,)), True
        elif clock is not None and _due(before, behind):
            meaning, clocks = clock, clocks + 1
        settled[at] = _replaced(piece, meaning)
    return settled


def _beside(pieces: list[Piece], at: int, step: int) -> Meaning | None:
    """The neighbour, past a comma."""
    at += step
    if _link(pieces, at) == ",":
        at += step
    return pieces[at].meaning if 0 <= at < len(pieces) else None


def _due(before: Meaning | None, behind: Meaning | None) -> bool:
    """Whether a bare number may be a time: beside a day, or last after kits or another time."""
    if isinstance(before, Day | Part) or isinstance(behind, Day | Part):
        return True
    follows = isinstance(before, Clock | Count | Named | Everything)
    return follows and (behind is None or isinstance(behind, Length))
