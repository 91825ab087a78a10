"""What a leader types in the evening, read into what happened to which kits and when.

"all out 15:30, K for F, all back 17:00, G flat, D short 2 cables" is five things told. A line is
cut at its commas; a piece that says only kits, a time or parts leans on the piece beside it
("A back 17:10, B 17:20"). What can't be read is given back as typed, and the rest is kept.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from clubbot.rules.reading.afterwards_marks import Known, Mark, marks
from clubbot.rules.reading.afterwards_patterns import understand
from clubbot.rules.reading.afterwards_pieces import Happening, Told
from clubbot.rules.reading.answers import MeetingTime
from clubbot.rules.reading.labelbook import prepare
from clubbot.rules.reading.tokens import tokenise
from clubbot.rules.reading.zones import date_order


@dataclass(frozen=True, slots=True)
class Afterwards:
    """A line as far as it could be read, and the pieces that couldn't be, as typed."""

    told: tuple[Told, ...]
    unread: tuple[str, ...]


def read_afterwards(
    text: str,
    said: datetime,
    labels: Sequence[str],
    teams: Sequence[str] = (),
    meetings: Sequence[MeetingTime] = (),
    zone: str = "",
) -> Afterwards:
    """Read a line that was typed at `said` (the club's own wall time). Never raises for any text.

    Hours without am or pm are read as for bookings: 1 to 7 is the afternoon, unless a meeting
    holds the other reading. Days named are past ones. `zone` decides what 9/10 means.
    """
    ready = prepare(labels)
    lines = text[:_LONGEST].replace("\n", " ; ")
    keep = {word for words in ready.by_words for word in words}
    keep |= {word.lower() for name in teams for word in name.split()}
    line = tokenise(lines, frozenset(keep))
    known = Known(ready, tuple(teams), meetings, said.date(), date_order(zone) != "month-first")
    told: list[Told] = []
    unread: list[str] = []
    day: date | None = None
    found_marks = [mark for mark in marks(line, known) if mark.text != ":"]
    for piece in _pieces(found_marks):
        day = next((m.value for m in piece if isinstance(m.value, date)), day)
        words = line.text[piece[0].start : piece[-1].end].strip(" ,;")
        found = understand(piece, words, told[-1] if told else None, labels)
        if found is None:
            unread.append(words)
        told += [replace(each, day=day) for each in found or ()]
    return Afterwards(tuple(told), tuple(unread))


_LONGEST = 2000


def _pieces(found: list[Mark]) -> list[list[Mark]]:
    """Cut at stops and at an "and" that begins something new; lists of labels stay together."""
    pieces: list[list[Mark]] = [[]]
    for place, mark in enumerate(found):
        if mark.kind not in ("stop", "and"):
            if _begins(pieces[-1], mark):
                pieces.append([])
            pieces[-1].append(mark)
        elif _goes_on(pieces[-1], found, place + 1):
            pieces[-1].append(replace(mark, kind="and"))
        elif pieces[-1]:
            pieces.append([])
    return [piece for piece in pieces if piece and any(m.kind != "and" for m in piece)]


def _begins(piece: list[Mark], mark: Mark) -> bool:
    """Say whether something new begins without a comma: "all out 15:30 all back 17:00"."""
    if len(piece) < 2 or piece[-1].kind != "time" or mark.kind not in ("all", "label", "team"):
        return False
    return any(m.kind == "word" for m in piece) and any(
        m.kind in ("all", "label", "team") for m in piece
    )


def _goes_on(piece: list[Mark], found: list[Mark], at: int) -> bool:
    """Say whether what follows a comma or "and" belongs to the piece before it."""
    names = {piece[-1].kind} & {"label", "team"} if piece else set()
    after = at
    while after < len(found) and found[after].kind in names:
        after += 1
        if after + 1 < len(found) and found[after].kind in ("stop", "and"):
            after += found[after + 1].kind in names
    bare = not any(m.kind in ("word", "time") for m in piece)
    if after > at:
        if bare and piece and piece[-1].kind == "label":
            return True
        ends = after >= len(found) or found[after].kind in ("stop", "and", "day")
        ends = ends or (found[after].kind == "time" and not any(m.kind == "time" for m in piece))
        return ends and bool(piece) and piece[-1].kind == "label" and not bare
    parts = bool(piece) and any(m.text in ("short", "missing", "lost", "lacks") for m in piece)
    return parts and at < len(found) and found[at].kind == "count" and piece[-1].kind == "word"


__all__ = ["Afterwards", "Happening", "Told", "read_afterwards"]
