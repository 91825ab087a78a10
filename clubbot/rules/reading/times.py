"""Times of day and lengths of time, as people write them."""

from __future__ import annotations

from clubbot.rules.reading.counts import number_at
from clubbot.rules.reading.pieces import Clock, Dotted, Found, Half, Other, Part
from clubbot.rules.reading.tokens import Line
from clubbot.rules.reading.vocabulary import NUMBER_WORDS

PARTS: dict[str, Half] = {"morning": "am", "afternoon": "pm", "evening": "pm", "night": "pm"}
_MINUTE_WORDS = {"fifteen", "twenty", "thirty", "forty", "fifty", "fortyfive"}
_BEFORE = frozenset({"to", "before", "of", "until"})
_PAST = frozenset({"past", "after"})
_WHEN = frozenset({"at", "from", "until", "-", "between", "by", "before", "@", "ending"})


def make_clock(hour: int, minute: int, text: str = "") -> Clock | None:
    """A time from its numbers; from 13 on, at 0, and with a leading zero from 06 on, no doubt.

    03:30 with a leading zero stays open: nobody's club meets at half past three at night.
    """
    if not (0 <= hour <= 24 and 0 <= minute < 60) or (hour == 24 and minute):
        return None
    written = len(text) == 2 and text[0] == "0" and (hour >= 6 or hour == 0)
    return Clock(hour, minute, fixed=hour > 12 or hour == 0 or written)


def clock_from_digits(text: str) -> Clock | None:
    """ "3", "15", "330", "1530" as times; None where the numbers make none."""
    if len(text) <= 2:
        return make_clock(int(text), 0, text if len(text) == 2 else "")
    if len(text) > 4:
        return None
    return make_clock(int(text[:-2]), int(text[-2:]), text[:-2])


def clock_at(line: Line, at: int) -> Found:
    """A time of day that leaves no doubt that it is one."""
    found = _word_clock(line, at) or _written_clock(line, at) or _spoken_clock(line, at)
    if found is None:
        return None
    clock, after = found
    half, after = _half_at(line, after)
    if half is not None and 1 <= clock.hour <= 12:
        return Clock(clock.hour, clock.minute, half), after
    return clock, after


def _word_clock(line: Line, at: int) -> tuple[Clock, int] | None:
    step = at + (line.low(at) == "12" and line.low(at + 1) in {"noon", "midnight"})
    if line.low(step) == "noon":
        return Clock(12, fixed=True), step + 1
    if line.low(step) == "midnight":
        return Clock(24, fixed=True), step + 1
    return None


def _written_clock(line: Line, at: int) -> tuple[Clock, int] | None:
    kind, low = line.kind(at), line.low(at)
    if kind in {"clock", "hclock"}:
        hour, minute = low.replace("h", ":").split(":")
        long = line.low(at - 1) == "for" and int(hour) < 7
        if long and (kind == "hclock" or line.low(at + 1) in {"h", "hours", "hour"}):
            return None
        clock = make_clock(int(hour), int(minute), hour)
        return (clock, at + 1) if clock else None
    if kind == "dots":
        hour, minute = low.split(".")
        due = line.low(at - 1) in _WHEN and not closed_date(line, at)
        surely = _is_half(line, at + 1) or due
        clock = make_clock(int(hour), int(minute), hour) if len(minute) == 2 else None
        return (clock, at + 1) if clock and surely and line.low(at + 1) != "hours" else None
    if kind == "num" and line.kind(at + 1) == "num" and _is_half(line, at + 2):
        minutes = line.low(at + 1)
        apart = len(low) <= 2 and len(minutes) == 2 and not line.glued(at + 1)
        clock = make_clock(int(low), int(minutes), low) if apart else None
        return (clock, at + 2) if clock and 1 <= int(low) <= 12 else None
    if kind == "num" and (_is_half(line, at + 1) or _hour_sign(line, at)):
        clock = clock_from_digits(low)
        return (clock, at + 1) if clock else None
    return None


def _hour_sign(line: Line, at: int) -> bool:
    """ "15h" and "1530 hrs" are times; "2h" is a length unless a time is due here."""
    low = line.low(at)
    if line.low(at + 1) not in {"h", "hours"}:
        return False
    if len(low) == 4 and line.low(at + 1) in {"h", "hours"}:
        return True
    short = line.low(at + 1) == "h" or line.raw(at + 1).lower() == "uhr"
    due = line.low(at - 1) in _WHEN or line.low(at + 2) in {"-", "to", "until"}
    return short and len(low) <= 2 and (int(low) >= 8 or due) and line.low(at - 1) != "for"


def _is_half(line: Line, at: int) -> bool:
    if line.low(at) in {"am", "pm", "o'clock"}:
        return True
    if line.raw(at) in {"a", "p", "P"} and line.glued(at):
        apart = not line.glued(at + 1) or line.kind(at + 1) == "sym"
        spans = "-" in (line.low(at + 1), line.low(at - 2)) or line.low(at - 2) in _WHEN
        return apart and (line.low(at) == "p" or spans or line.low(at + 1) == "to")
    step = at + (line.low(at) == "-")
    return line.low(step) == "ish" or (
        line.low(at) == "in" and _part_after_in(line, at) is not None
    )


def _part_after_in(line: Line, at: int) -> str | None:
    step = at + 1 + (line.low(at + 1) == "the")
    return line.low(step) if line.low(step) in PARTS else None


def _half_at(line: Line, at: int) -> tuple[Half | None, int]:
    """Everything after a time that belongs to it: pm, o'clock, hrs, "in the morning"."""
    half: Half | None = None
    while True:
        low = line.low(at)
        short = low in {"a", "p"} and half is None and _is_half(line, at)
        if low in {"am", "pm"} or short:
            half, at = ("am" if low[0] == "a" else "pm"), at + 1
        elif low in {"o'clock", "h", "hours", "sharp", "ish", "exactly"}:
            at += 1
        elif low == "-" and line.low(at + 1) == "ish":
            at += 2
        elif low == "in" and (part := _part_after_in(line, at)) is not None:
            half, at = PARTS[part], at + 2 + (line.low(at + 1) == "the")
        elif low == "at" and line.low(at + 1) == "night":
            half, at = "pm", at + 2
        else:
            return half, at


def _hour_name(line: Line, at: int) -> tuple[int, int] | None:
    """An hour from 1 to 12, or noon and midnight as twelve."""
    if line.low(at) in {"noon", "midnight"}:
        return 12, at + 1
    number = number_at(line, at)
    return number if number is not None and 1 <= number[0] <= 12 else None


def _spoken_clock(line: Line, at: int) -> tuple[Clock, int] | None:
    low = line.low(at)
    if low == "half":
        step = at + 1 + (line.low(at + 1) in _PAST)
        hour = _hour_name(line, step)
        if hour is not None and line.low(hour[1]) not in {"hours", "hour", "dozen", "minutes"}:
            return Clock(hour[0], 30), hour[1]
        return None
    step = at + (low == "a" and line.low(at + 1) == "quarter")
    if line.low(step) == "quarter":
        return _shifted(line, step + 1, 15)
    if low in NUMBER_WORDS or line.kind(at) == "num":
        return _minutes_clock(line, at) or _three_thirty(line, at)
    return None


def _shifted(line: Line, at: int, minutes: int) -> tuple[Clock, int] | None:
    hour = _hour_name(line, at + 1)
    if hour is None or line.low(hour[1]) in {"hours", "minutes"}:
        return None
    if line.low(at) in _PAST:
        return Clock(hour[0], minutes), hour[1]
    if line.low(at) in _BEFORE:
        return Clock(hour[0] - 1 or 12, 60 - minutes), hour[1]
    return None


def _minutes_clock(line: Line, at: int) -> tuple[Clock, int] | None:
    """ "ten past three", "20 to 4"; "ten to five" only where one time is due, else it is a span."""
    number = number_at(line, at)
    if number is None or number[0] not in {5, 10, 20, 25}:
        return None
    after = number[1] + (line.low(number[1]) == "minutes")
    if line.low(after) == "past" or (line.low(after) == "after" and after > number[1]):
        return _shifted(line, after, number[0])
    if line.low(after) != "to" or line.kind(after) != "word":
        return None
    due = line.low(at - 1) in {"until", "to", "till", "by", "-"}
    due = due or (line.low(at - 1) == "at" and line.kind(at) == "word")
    found = _shifted(line, after, number[0])
    due = due or (found is not None and _span_follows(line, found[1]))
    if after > number[1] or number[0] in {20, 25} or due:
        fits = found is not None and not _is_half(line, found[1] - 1)
        return found if fits else None
    return None


def _span_follows(line: Line, at: int) -> bool:
    """True before "until half 5": the time in front begins a span."""
    later = line.kind(at + 1) in {"num", "clock", "dots", "hclock"} or _hour_name(line, at + 1)
    return line.low(at) in {"until", "to", "-"} and bool(later or line.low(at + 1) == "half")


def _three_thirty(line: Line, at: int) -> tuple[Clock, int] | None:
    named = number_at(line, at)
    if named is None or named[1] != at + 1 or not 1 <= named[0] <= 12:
        return None
    hour = named[0]
    if line.low(at + 1) in {"oh", "o"} and 0 < NUMBER_WORDS.get(line.low(at + 2), 0) < 10:
        return Clock(hour, NUMBER_WORDS[line.low(at + 2)]), at + 3
    if line.low(at + 1) in _MINUTE_WORDS:
        minutes = number_at(line, at + 1)
        if minutes is not None and minutes[0] < 60:
            return Clock(hour, minutes[0]), minutes[1]
    return None


def dotted_at(line: Line, at: int) -> Found:
    """3.30 or 9.10: to be settled by what else is there."""
    if line.kind(at) != "dots":
        return None
    left, right = line.low(at).split(".")
    closed = closed_date(line, at)
    return Dotted(int(left), int(right), closed or len(right) == 1), at + 1 + closed


def closed_date(line: Line, at: int) -> bool:
    """True for 9.10. with its last dot, unless that dot may be the end of the sentence."""

    def dotted(step: int) -> bool:
        valid = line.kind(step) == "dots" and 1 <= int(line.low(step).split(".")[1]) <= 12
        return valid and line.low(step + 1) == "." and line.glued(step + 1)

    others = any(dotted(step) and step != at for step in range(len(line)))
    return dotted(at) and (at + 2 < len(line) or others)


def part_at(line: Line, at: int) -> Found:
    """Morning, afternoon or evening on its own."""
    step = at + (line.low(at) == "in") + (line.low(at) == "in" and line.low(at + 1) == "the")
    step += line.low(step) in {"late", "early"}
    if line.low(step) in {"morning", "afternoon", "evening"} and not _greets(line, step):
        return Part(PARTS[line.low(step)]), step + 1
    return None


def _greets(line: Line, at: int) -> bool:
    """ "Good morning", or "Morning all" at the start of a text."""
    timed = line.kind(at + 1) in {"num", "clock", "dots", "hclock"} or line.low(at + 1) in _WHEN
    return line.low(at - 1) in {"good", "gd", "lovely"} or (at == 0 and not timed)


_MEALS = frozenset(
    {
        "lunch",
        "lunchtime",
        "school",
        "class",
        "lessons",
        "breakfast",
        "dinner",
        "tea",
        "break",
        "recess",
        "assembly",
        "hours",
        "registration",
    }
)


def vague_at(line: Line, at: int) -> Found:
    """Words that name a time nobody here can place: "after lunch", "all day", "period 3"."""
    low = line.low(at)
    if low in {"after", "before", "during", "at", "over"} and line.low(at + 1) in _MEALS:
        return Other(vague=True), at + 2
    if low in {"lunch", "lunchtime", "breakfast"}:
        return Other(vague=True), at + 1
    if low in {"all", "whole", "full"} and line.low(at + 1) in {"day", "morning", "afternoon"}:
        return Other(vague=True), at + 2
    if low in {"period", "lesson", "block"} and number_at(line, at + 1) is not None:
        return Other(vague=True), at + 2
    if low in {"few", "some"} and line.low(at + 1) in {"hours", "days", "minutes", "weeks"}:
        return Other(vague=True), at + 2
    return None
