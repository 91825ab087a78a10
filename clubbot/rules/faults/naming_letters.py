"""Whether a single letter is a kit's label, a word, a mark, or a wink."""

from __future__ import annotations

from clubbot.rules.faults.naming_words import WORDS
from clubbot.rules.faults.spelling import Line

_FEW = 12
_STARTS = frozenset([".", "!", "?", "\n", '"', "\u201c"])
_LABEL_SIGNS = frozenset({":", "-", "=", "->"})
_BEFORE_VERBS = frozenset({"only", "just", "still", "always", "never", "now", "again", "also"})
_THIRD_PERSON = frozenset({"is", "isnt", "has", "hasnt", "doesnt", "does"})


def letter_is_label(line: Line, at: int, left: int, right: int, possessive: bool) -> bool:
    """True when the letter at `at`, in a list over [left, right), is meant as a label."""
    before, after = line.low(left - 1), line.low(right)
    low = line.low(at)[:1]
    if _wink(line, at, right) or _abbreviation(line, at, right) or _nothing_else(line, left, right):
        return False
    told = before in {"thanks", "thx", "bro"} and after in _THIRD_PERSON and line.raw(at).isupper()
    if before in WORDS.not_before or (before in WORDS.not_before_letter and not told):
        return False
    if before == "the" and after == "one" and line.raw(at).isupper():
        return True
    if _unlike_letter(line, left, right):
        return False
    if possessive:
        return not (low == "a" and before in {"all", "got", "get"})
    if after in WORDS.not_after_letter or _hyphened(line, right):
        return False
    if low == "i":
        return _i_is_label(line, at, left, right)
    if low == "a":
        return _a_is_label(line, at, left, right)
    if line.raw(at).isupper() and not line.shouted:
        return before != "the" or _described(line, right) or _does(line, right)
    return _small_letter_is_label(line, at, left, right)


def _nothing_else(line: Line, left: int, right: int) -> bool:
    """A message of a letter and marks: K. and F in the chat are no kits, A? is one."""
    if line.low(right) == "in" and "chat" in {line.low(right + 1), line.low(right + 2)}:
        return True
    if len(line) > _FEW:
        return False
    rest = [line.raw(at) for at in range(len(line)) if not left <= at < right]
    asked = right - left == 1 and rest == ["?"]
    return all(raw in ".!?,:;)(" for raw in rest) and not asked


def _wink(line: Line, at: int, right: int) -> bool:
    """:D and its kin, also turned round at the end: D:"""
    eyes = line.glued(at) and line.low(at - 1) in {":", ";", "="}
    turned = line.low(right) == ":" and line.glued(right) and right + 1 >= len(line) and at > 0
    return eyes or turned


def _abbreviation(line: Line, at: int, right: int) -> bool:
    """P.E., p.s."""
    dots = line.low(right) == "." and line.glued(right) and line.glued(right + 1)
    return dots and len(line.low(right + 1)) == 1


def _unlike_letter(line: Line, left: int, right: int) -> bool:
    """ "W or L?", where the other letter is no label."""
    return any(
        line.low(at) == "or" and line.kind(beyond) == "word" and len(line.raw(beyond)) == 1
        for at, beyond in ((left - 1, left - 2), (right, right + 1))
    )


def _hyphened(line: Line, right: int) -> bool:
    """D-day, T-shirt; not "D - off again"."""
    joined = line.low(right) == "-" and line.glued(right) and line.glued(right + 1)
    return joined and line.low(right + 1) in WORDS.not_after_letter


def _described(line: Line, right: int) -> bool:
    """True when a verb or a state of the label follows."""
    after = line.low(right)
    return after in WORDS.finite or after in WORDS.state or after in _LABEL_SIGNS


def _does(line: Line, right: int) -> bool:
    """ "The K walk crooked", "the D robot"; not "the A team", "took the L today"."""
    after = line.low(right)
    if line.kind(right) != "word" or after in WORDS.lettered:
        return False
    return after in WORDS.kit or after not in WORDS.after_object


def _bare_state(line: Line, right: int) -> bool:
    """A state with no noun after it: "A broken", not "a broken wheel"."""
    after, behind = line.low(right), line.low(right + 1)
    if after not in WORDS.state and after not in WORDS.finite:
        return False
    return line.kind(right + 1) in {"", "sym"} or behind in WORDS.adverbs


def _a_is_label(line: Line, at: int, left: int, right: int) -> bool:
    after = line.low(right)
    verb = after in WORDS.finite and after not in WORDS.noun_like and not after.endswith("ed")
    if verb or after in _LABEL_SIGNS - {"-"}:
        return True
    starts = left == 0 or line.low(left - 1) in _STARTS
    if line.raw(at) == "A" and not line.shouted and not starts:
        return line.low(left - 1) not in {"the", "an"} or _described(line, right)
    big = line.raw(at) == "A"
    if big and starts and after in WORDS.a_verbs:
        return len(after) > 1 or line.raw(right).isupper()
    behind = line.low(right + 1)
    if big and starts and after in _BEFORE_VERBS and (behind in WORDS.finite | WORDS.a_verbs):
        return True
    fizzing = after.endswith("ing") and line.kind(right + 1) in {"", "sym"}
    if big and starts and (fizzing or (after and not after.isascii())):
        return True
    denied = big and after in WORDS.denials
    if starts and (denied or _bare_state(line, right)):
        return True
    joined = after in {"and", "&", "-", "+", "/", "?", "!"}
    return line.raw(at) == "A" and starts and joined


def _i_is_label(line: Line, at: int, left: int, right: int) -> bool:
    before, after = line.low(left - 1), line.low(right)
    if after in _THIRD_PERSON or (after.endswith("s") and after in WORDS.finite and after != "was"):
        return True
    doing = line.low(right + 1)
    starts = doing == "start" and line.kind(right + 2) in {"", "sym"}
    if after in {"wont", "doesnt"} and (starts or doing in WORDS.machine_verbs):
        return True
    if after == ":" and line.raw(at) == "I":
        return True
    listed = right - left > 1
    ends = line.kind(right) in {"", "sym"} or after in WORDS.after_object
    joined = after == "and" and before in WORDS.object_lead and doing not in WORDS.pronoun_verbs
    return (ends or joined) and (before in WORDS.object_lead or listed) and line.raw(at) == "I"


def _small_letter_is_label(line: Line, at: int, left: int, right: int) -> bool:
    """Letters that are also short for a word need a verb or a small word beside them."""
    before, after = line.low(left - 1), line.low(right)
    low = line.low(at)
    if _spelled_out(line, left, right) or line.kind(left - 1) == "num":
        return False
    if low not in WORDS.texting:
        return True
    leads = left == 0 or before in WORDS.lead or line.kind(left - 1) == "sym"
    if leads and (after in WORDS.finite or after in _LABEL_SIGNS):
        return not (low == "y" and line.low(right + 1) in {"it", "this", "that", "the", "my", "he"})
    if leads and after.endswith("s") and len(after) > 3 and low not in WORDS.slang:
        return True
    if low in WORDS.slang - {"c"}:
        return right - left > 1 and leads
    if leads and (after in WORDS.state or after in WORDS.equipment):
        return low in {"d", "b"} or after not in WORDS.starters
    ends = line.kind(right) in {"", "sym"} or after in WORDS.lead or after in WORDS.after_object
    done_to = before in WORDS.object_lead | {"at", "than"} or (
        len(before) > 3 and before not in WORDS.chatting
    )
    return done_to and ends


def _spelled_out(line: Line, left: int, right: int) -> bool:
    """g g, l o l."""
    beside = (line.raw(left - 1), line.raw(right))
    return any(len(raw) == 1 and raw.isalpha() and raw.lower() not in {"a", "i"} for raw in beside)
