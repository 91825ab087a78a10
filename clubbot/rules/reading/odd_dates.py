"""Days in words that the grammar doesn't know, read by a date-parsing library.

"9 octobre", "Freitag", "9th day of october": looked at only when no day was understood and words
are left over. The library costs about 0.3 s and 9 MB at its first use, a few milliseconds later.
"""

from __future__ import annotations

from datetime import date, datetime, time
from functools import lru_cache
from typing import TYPE_CHECKING

from clubbot.rules.reading.pieces import Day, Link, Number, Other, Piece
from clubbot.rules.reading.tokens import Line
from clubbot.rules.reading.vocabulary import KNOWN
from clubbot.rules.reading.zones import Order

if TYPE_CHECKING:
    from dateparser.date import DateDataParser

_LANGUAGES = ["en", "fr", "de", "es", "it", "nl", "pt", "pl"]
_FEWEST_LETTERS = 4
_MOST_PIECES = 4
_MOST_TRIES = 24


@lru_cache(maxsize=4)
def _parser(today: date, month_first: bool) -> DateDataParser:
    from dateparser.date import DateDataParser

    return DateDataParser(
        languages=_LANGUAGES,
        settings={
            "RELATIVE_BASE": datetime.combine(today, time(12)),
            "PREFER_DATES_FROM": "future",
            "DATE_ORDER": "MDY" if month_first else "DMY",
        },
    )


def with_odd_dates(pieces: list[Piece], line: Line, today: date, order: Order) -> list[Piece]:
    """The same pieces, a run of unknown words replaced by the day that it names."""
    if any(isinstance(piece.meaning, Day) for piece in pieces):
        return pieces
    tries = 0
    for size in range(_MOST_PIECES, 0, -1):
        for first in range(len(pieces) - size + 1):
            run = pieces[first : first + size]
            if not _may_be_date(run, line) or _holds_time(pieces, first, size):
                continue
            tries += 1
            if tries > _MOST_TRIES:
                return pieces
            day = _read(line.said(run[0].first, run[-1].after), today, order)
            if day is not None:
                found = Piece(Day((day,)), run[0].first, run[-1].after)
                return [*pieces[:first], found, *pieces[first + size :]]
    return pieces


def _may_be_date(run: list[Piece], line: Line) -> bool:
    """A run of unknown words, alone or around a number of one or two digits."""
    plain = all(isinstance(piece.meaning, Other | Number) or _blank(piece) for piece in run)
    if not plain or _blank(run[0]) or _blank(run[-1]):
        return False
    unknown = [piece for piece in run if _unknown(piece, line)]
    numbers = [piece for piece in run if isinstance(piece.meaning, Number)]
    if any(len(line.raw(piece.first)) > 2 for piece in numbers) or len(numbers) > 1:
        return False
    return bool(unknown) and (len(run) == 1 or bool(numbers))


def _holds_time(pieces: list[Piece], first: int, size: int) -> bool:
    """True when a run would take a number out of a span such as 3-5."""
    before = pieces[first - 1].meaning if first else None
    behind = pieces[first + size].meaning if first + size < len(pieces) else None
    starts = isinstance(pieces[first].meaning, Number) and before == Link("to")
    return starts or (isinstance(pieces[first + size - 1].meaning, Number) and behind == Link("to"))


def _blank(piece: Piece) -> bool:
    return piece.meaning in (Link(""), Link("on"))


def _unknown(piece: Piece, line: Line) -> bool:
    token = line.tokens[piece.first]
    unread = isinstance(piece.meaning, Other) and not piece.meaning.vague
    return unread and len(token.text) >= _FEWEST_LETTERS and token.low not in KNOWN


def _read(words: str, today: date, order: Order) -> date | None:
    data = _parser(today, order == "month-first").get_date_data(words)
    if data.date_obj is None or data.period != "day":
        return None
    return data.date_obj.date()
