"""Whether a number is a kit's label or counts, measures or dates something."""

from __future__ import annotations

from clubbot.rules.faults.naming_words import WORDS
from clubbot.rules.faults.spelling import Line

_LABEL_SIGNS = frozenset({":", "=", "-"})
_SUMS = frozenset({"%", "x", "/", "+", "*", "&", "$", "€", "£", "°"})
_ONE = frozenset({"1", "one", "01"})
_REACH = 3
_SHORTEST_PLURAL = 4


def number_is_label(line: Line, at: int, left: int, right: int, possessive: bool) -> bool:
    """True when the number at `at`, in a list over [left, right), is meant as a label."""
    before, after = line.low(left - 1), line.low(right)
    if before in WORDS.not_before or right - left == len(line):
        return False
    if possessive or _padded(line, at):
        return True
    if (before == "(" and after == ")") or _spoken_of(line, left, right):
        return True
    sent = _sent(line, left)
    looked_at = before == "at" and line.low(left - 2) in WORDS.looking
    looked_at |= before == "by" and line.low(left - 2).endswith("ed")
    if before in WORDS.not_before_number and not sent and not looked_at:
        return False
    if line.low(at) == "one" and not _one_is_label(line, left, right):
        return False
    if after in _SUMS - {"&"} or (after == "-" and line.glued(right)) or _score(line, left, right):
        return False
    repeated = line.low(right + 1) == "times" and before in WORDS.object_lead
    if repeated and (before != "to" or sent):
        return True
    single = line.low(at) in _ONE and right - left == 1
    if after == "of" or (single and after in WORDS.equipment):
        return False
    if _counts(line, right) or (_shared(line, left, right) and not sent):
        return False
    if _subject_slot(line, left):
        return _told(line, left, right, sent)
    return _object(line, left, right, sent)


def _spoken_of(line: Line, left: int, right: int) -> bool:
    """ "No complaints about 3", "for 9 we used", "according to 7", "who's got 4?"."""
    before, earlier, after = line.low(left - 1), line.low(left - 2), line.low(right)
    if before == "about" and earlier in WORDS.matters:
        return True
    if before == "for" and left == 1:
        return after in WORDS.starters | {":", "we", "i", "you"}
    if before == "for" and earlier in {"drawer", "box", "slip", "light", "tray"}:
        return after in WORDS.finite
    if before == "got" and earlier in {"whos", "who", "has"}:
        return after == "?"
    if right - left == 3 and line.low(left + 1) == "and" and after in {"tablets", "batteries"}:
        return left == 0
    return (before, earlier) in {("to", "according"), ("than", "another"), ("up", "fire")}


def _score(line: Line, left: int, right: int) -> bool:
    """ "won 3 - 1", "lost 2 - 4"."""
    beyond = right + 2
    pair = line.low(right) in {"-", ":"} and line.kind(right + 1) == "num"
    return pair and left > 0 and line.kind(beyond) in {"", "sym"}


def _padded(line: Line, at: int) -> bool:
    """07: nobody counts like that."""
    return line.low(at).startswith("0") and len(line.low(at)) > 1


def _one_is_label(line: Line, left: int, right: int) -> bool:
    """ "one" is mostly another word: a verb after it, or a unit before it, makes it a label."""
    before, after = line.low(left - 1), line.low(right)
    if before in WORDS.not_before_one:
        return False
    if _subject_slot(line, left):
        return after in WORDS.finite or after in WORDS.state or after in _LABEL_SIGNS
    return before in WORDS.object_lead and _stops(line, right)


def _stops(line: Line, at: int) -> bool:
    return line.kind(at) in {"", "sym"}


def _counts(line: Line, right: int) -> bool:
    """True when a thing in the plural or a measure follows: "2 short beams", "10 percent"."""
    verb = line.low(right) in WORDS.finite
    if verb and (line.low(right + 1) in WORDS.after_verb or line.kind(right + 1) == "num"):
        return False
    for step in range(_REACH):
        low = line.low(right + step)
        if line.kind(right + step) != "word":
            return False
        verb = step > 0 and (low in WORDS.lead or low in WORDS.finite)
        if low in WORDS.measure and not verb:
            return True
        if low in WORDS.finite | WORDS.lead | WORDS.telling or low.endswith(("ed", "ing")):
            return False
        plural = low.endswith("s") and not low.endswith("ss") and len(low) >= _SHORTEST_PLURAL
        if plural and low not in WORDS.state and low not in WORDS.equipment:
            return not _verb_like(line, right + step)
    return False


def _verb_like(line: Line, at: int) -> bool:
    """True for a word in -s that something follows as after a verb: "drinks batteries"."""
    return line.low(at + 1) in WORDS.after_verb or line.kind(at + 1) in {"word", "num"}


def _shared(line: Line, left: int, right: int) -> bool:
    """ "1 wheel of 2", "best of 3", "3 to 2", "from 3 to 5", "10/10"; not "1 wheel of 2 is"."""
    before, after = line.low(left - 1), line.low(right)
    near = [line.kind(left - step) for step in (2, 3)]
    parts_of_it = before == "of" and near[0] != "num" and after in WORDS.finite
    its_port = before == "of" and line.low(left - 3) in WORDS.ports
    if before == "of" and line.low(left - 2) == "out" and near[1] == "num":
        return True
    if before in {"of", "to", "out"} and "num" in near and not (parts_of_it or its_port):
        return True
    if right - left == 3 and line.low(left) == line.low(right - 1):
        return True
    if before == "of" and line.low(left - 2) in WORDS.shared:
        return True
    beyond = right + (2 if line.low(right + 1) == "of" else 1)
    return after in {"to", "until", "till", "vs", "out"} and line.kind(beyond) == "num"


def _subject_slot(line: Line, left: int) -> bool:
    before = line.low(left - 1)
    return left == 0 or before in WORDS.lead or line.kind(left - 1) == "sym"


def _told(line: Line, left: int, right: int, sent: bool) -> bool:
    """True when something is said of the number that starts a clause."""
    before, after = line.low(left - 1), line.low(right)
    if before in WORDS.being and left > 1 and line.low(left - 2) not in WORDS.asking:
        return after in WORDS.finite or after in WORDS.state
    if _object(line, left, right, sent):
        return True
    if line.kind(right) == "num" or after in WORDS.number_words:
        return line.low(right + 1) in WORDS.equipment | WORDS.measure
    if after in _LABEL_SIGNS:
        return line.low(right + 1) != ""
    return line.kind(right) == "word" or (
        left == 0 and len(line) > right and after not in {".", "!"}
    )


def _sent(line: Line, left: int) -> bool:
    """ "sent the program to 4", "the charger for 4", not "3 to 2"."""
    if line.low(left - 1) == "for":
        return line.low(left - 2) in WORDS.equipment | WORDS.sending
    said = {line.low(at) for at in range(max(0, left - 8), left)}
    return line.low(left - 1) == "to" and bool(said & WORDS.sending)


def _object(line: Line, left: int, right: int, sent: bool) -> bool:
    """True where the number is what something is done to, with or without a small word before."""
    before, after = line.low(left - 1), line.low(right)
    if left == 0 or (before in WORDS.counted_verbs and not sent):
        return False
    if before == "in" and line.low(left - 2) in WORDS.going:
        return False
    if before in WORDS.being and (left > 1 or _stops(line, right)):
        return False
    if line.kind(left - 1) != "word":
        return False
    follows = WORDS.lead | WORDS.object_lead | WORDS.finite | WORDS.state | WORDS.after_object
    return _stops(line, right) or after in follows
