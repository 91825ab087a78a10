"""Numbers and counts of kits: "3 kits", "a couple", "a dozen", "3-4 kits", "two more", "all"."""

from __future__ import annotations

from clubbot.rules.reading.pieces import Count, Everything, Found
from clubbot.rules.reading.tokens import Line
from clubbot.rules.reading.vocabulary import KIT, KIT_MANY, KIT_ONE, NUMBER_WORDS, TENS, TO, words

_OPEN = frozenset({"some", "few", "several", "any"})
# Words that may stand between a number and what is counted.
_BETWEEN = frozenset(
    words(
        "of the our your robot robotics spare free more extra additional other available whole "
        "full complete new those these different separate big small same"
    )
)
_MOST_DIGITS = 4


def number_at(line: Line, at: int) -> tuple[int, int] | None:
    """A plain number in digits or words ("twenty five"), and the token after it."""
    if line.kind(at) == "num" and len(line.low(at)) <= _MOST_DIGITS:
        return int(line.low(at)), at + 1
    word = line.low(at)
    if word not in NUMBER_WORDS:
        return None
    value, after = NUMBER_WORDS[word], at + 1
    if word in TENS:
        step = after + (line.low(after) == "-")
        ones = NUMBER_WORDS.get(line.low(step), 0)
        if 0 < ones < 10:
            return value + ones, step + 1
    return value, after


def kit_word_at(line: Line, at: int) -> int | None:
    """The token after "(spare) (robot) kits", or None; "robot" before "kit" counts once."""
    step = at
    while line.low(step) in _BETWEEN and step - at < 4:
        if line.low(step) in KIT and line.low(step + 1) not in KIT:
            break
        step += 1
    if line.low(step) not in KIT:
        return None
    while line.low(step + 1) in KIT:
        step += 1
    return step + 1


def count_at(line: Line, at: int) -> Found:
    """A count of kits that starts here."""
    return (
        _all_at(line, at)
        or _none_at(line, at)
        or _article_at(line, at)
        or _open_at(line, at)
        or _times_at(line, at)
        or _counted_at(line, at)
    )


def _all_at(line: Line, at: int) -> Found:
    low = line.low(at)
    if line.is_at(at, "every", "single") and line.low(at + 2) in KIT_ONE:
        return Everything(), at + 3
    if low == "everything" or line.is_at(at, "the", "lot"):
        return Everything(), at + (1 if low == "everything" else 2)
    if low in {"all", "every", "whole", "entire"} or line.is_at(at, "the", "whole"):
        start = at + (2 if low == "the" else 1)
        if line.low(start) in {"but", "except", "bar", "apart"}:
            return Everything(), start
        if line.low(start) in {"fleet", "lot"}:
            return Everything(), start + 1
        if line.is_at(start, "of", "them"):
            return Everything(), start + 2
        number = number_at(line, start + (line.low(start) == "the"))
        if number is not None and (after := kit_word_at(line, number[1])) is not None:
            return Count((number[0],)), after
        after = kit_word_at(line, start)
        if after is not None and (low != "every" or line.low(after - 1) in KIT_ONE):
            return Everything(), after
    if low == "both" and (after := kit_word_at(line, at + 1)) is not None:
        return Count((2,)), after
    return None


def _none_at(line: Line, at: int) -> Found:
    if line.low(at) == "no" and line.low(at + 1) in KIT:
        return Count((0,)), at + 2
    if line.low(at) == "none":
        return Count((0,)), at + 1
    return None


def _article_at(line: Line, at: int) -> Found:
    low = line.low(at)
    if low == "couple":
        after = kit_word_at(line, at + 1)
        return (Count((2,)), after) if after is not None else None
    if low not in {"a", "an", "another", "half"}:
        return None
    step = at + 1 + (line.low(at + 1) == "a")
    if low in {"a", "an"} and line.low(at + 1) == "half" and line.low(at + 2) == "dozen":
        step, low = at + 2, "half"
    if line.low(step) == "dozen":
        after = kit_word_at(line, step + 1)
        return Count((6 if low == "half" else 12,)), after or step + 1
    if low == "half":
        return None
    if line.low(at + 1) == "couple":
        more = line.low(at + 2) == "more" or line.is_at(at + 2, "of", "other")
        after = kit_word_at(line, at + 2)
        if after is None and line.low(at + 2) == "of" and line.low(at + 3) not in {"them", "those"}:
            return None
        return Count((2,), more), after or at + 2 + 2 * (line.low(at + 2) == "of")
    if line.low(at + 1) == "few":
        after = kit_word_at(line, at + 2)
        return (Count(()), after) if after is not None else None
    if line.is_at(at + 1, "single"):
        step = at + 2
    after = kit_word_at(line, at + 1 + (line.low(at + 1) in {"single", "good", "working"}))
    if after is not None and line.low(after - 1) in KIT_ONE:
        more = low == "another" or line.low(at + 1) in {"extra", "additional", "other"}
        return Count((1,), more), after
    return None


def _open_at(line: Line, at: int) -> Found:
    if line.low(at) not in _OPEN:
        return None
    after = kit_word_at(line, at + 1)
    if after is None:
        return None
    one = line.low(at) == "any" and line.low(after - 1) in KIT_ONE
    return Count((1,) if one else ()), after


def _times_at(line: Line, at: int) -> Found:
    """ "x3", "3x", "3 x kits", "kits x 3"."""
    if line.low(at) in {"x", "*"}:
        number = number_at(line, at + 1)
        if number is not None and line.kind(number[1]) != "sym":
            return Count((number[0],)), number[1]
        return None
    number = number_at(line, at)
    if number is not None and line.low(number[1]) in {"x", "*"}:
        after = kit_word_at(line, number[1] + 1)
        return Count((number[0],)), after or number[1] + 1
    return None


def _counted_at(line: Line, at: int) -> Found:
    end = kit_word_at(line, at + 1) if line.kind(at) == "slash" else None
    if end is not None:
        low, high = (int(part) for part in line.low(at).split("/"))
        return (Count((low, high)), end) if 0 < low < high else None
    first = number_at(line, at)
    if first is None or _is_time(line, at, first[1]):
        return None
    options: tuple[int, ...] = (first[0],)
    after = first[1]
    if line.low(after) == "or" or line.low(after) in TO or line.low(after) == "/":
        second = number_at(line, after + 1)
        if second is not None and kit_word_at(line, second[1]) is not None:
            low, high = first[0], second[0]
            spread = range(low, high + 1) if line.low(after) != "or" else (low, high)
            if low < high <= low + 3:
                options, after = tuple(spread), second[1]
    if line.low(after) in {"more", "other", "others", "additional", "extra"}:
        more = True
        return Count(options, more), kit_word_at(line, after) or after + 1
    if line.low(after) == "dozen":
        return Count((12 * options[0],)), kit_word_at(line, after + 1) or after + 1
    if line.is_at(after, "of") and line.low(after + 1) in {"them", "those", "these"}:
        return Count(options), after + 2
    end = kit_word_at(line, after)
    return (Count(options), end) if end is not None else None


def _is_time(line: Line, at: int, after: int) -> bool:
    """True for the 5 in "3 to 5 kit D" and the 1700 in "1530-1700 kit c"."""
    linked = line.low(at - 1) in TO | {"at", "from", "between"}
    four = line.kind(at) == "num" and len(line.low(at)) == 4
    singular = line.low(after) in KIT_ONE and line.low(at) not in {"1", "one"}
    return linked and (four or singular)


def bare_kits_at(line: Line, at: int) -> Found:
    """ "kits" without a number is a question, "kit" without an article is one."""
    if line.low(at) not in KIT:
        return None
    after = at + 1
    while line.low(after) in KIT:
        after += 1
    if line.low(after - 1) not in KIT_MANY:
        return Count((1,), bare=True), after
    step = after + (line.low(after) in {":", "=", "x"})
    number = number_at(line, step)
    if number is not None and _stands_alone(line, number[1]):
        return Count((number[0],)), number[1]
    return Count(()), after


def _stands_alone(line: Line, after: int) -> bool:
    """True when the number before is no time and no range."""
    return line.low(after) not in TO | {"am", "pm", "o'clock", "hours", "a", "p", "h"} and (
        not line.glued(after) or line.kind(after) == "sym"
    )
