"""What people say around a fault that is no report: that they don't know, that it works again."""

from __future__ import annotations

import re
from collections.abc import Sequence

from clubbot.rules.reading import read_labels

_UNKNOWN = re.compile(
    r"\W*(?:(?:sorry|um+|hm+|well|i|we|really|just|still|honestly)\W+)*"
    r"(?:idk|dunno|no (?:idea|clue)|not sure|unsure|(?:do not|don'?t|dont) (?:really )?know"
    r"|can'?t (?:tell|remember|say)|forgot|no one knows|nobody knows)\b"
    r"(?:\W+(?:sorry|which|what|one|kit|it|was|is|that|the|robot|unit|who|how|we|i|did|done|had|"
    r"either|exactly|yet|really|of|them|label|letter|number))*\W*",
    re.IGNORECASE,
)
_GIVES_UP = re.compile(r"(?:never ?mind|no thanks?|stop|cancel(?: that| it)?|forget it)[.!]*", re.I)
_DONE = re.compile(
    r"\W*(?:(?:i|we|he|she|they|just|then|so|hana|all)\W+)*(?:took|take[ns]?|swapped|changed|replaced"
    r"|used|fitted|put|got|borrowed|mended|fixed|repaired|glued|tightened|exchanged|switched|moved)\b",
    re.IGNORECASE,
)
_WORKS = re.compile(
    r"\b(?:never ?mind|false alarm|works? (?:again|now|fine)|working (?:again|now)"
    r"|(?:was|is|it'?s) (?:just|only)\b(?! (?:asking|wondering|a question))"
    r"|(?:is|it'?s|all) (?:fine|ok|okay|good) (?:again|now)"
    r"|fixed itself|(?:forget|scratch|cancel) (?:it|that)|nothing(?: is|'s)? wrong)\b",
    re.IGNORECASE,
)
_MISTOOK = re.compile(
    r"\b(?:wrong (?:kit|one|robot|unit|letter|label|number)|i mean[t]?|meant to (?:say|write)"
    r"|(?:it was|it'?s|its) \S+,? not)\b"
    r"|^\W*no\W+(?:(?:it'?s|it was|in|the|kit|unit|robot)\W+)*\S+\W*$",
    re.IGNORECASE,
)
_TROUBLE = r"(?:faults?|problems?|issues?|troubles?|errors?|noises?|bugs?|symptoms?)"
_RECURS = re.compile(
    rf"\b{_TROUBLE}\b.{{0,40}}\b(?:back|returned)\b"
    r"|\bback\s+on\s+(?:the\s+)?(?:kit|unit|robot|number)?\s*(\S+)",
    re.IGNORECASE,
)
_BOTH = re.compile(r"\W*(?:both|all|each)\b.{0,30}", re.IGNORECASE)
_LABEL_ONLY = re.compile(r"\W*(?:the\s+)?(?:kit|unit|robot|number)?\s*(.*?)\W*", re.IGNORECASE)


def says_unknown(text: str) -> bool:
    """Say whether an answer is that the writer doesn't know: "idk", "no idea which one"."""
    return _UNKNOWN.fullmatch(text.strip()) is not None


def gives_up(text: str) -> bool:
    """Say whether somebody leaves a question open: "never mind"."""
    return _GIVES_UP.fullmatch(text.strip()) is not None


def says_what_was_done(text: str) -> bool:
    """Say whether a text begins with what somebody did: "took the wheel from G"."""
    return _DONE.match(text) is not None


def says_it_works(text: str) -> bool:
    """Say whether a reporter takes a report back: "never mind, it was just switched off"."""
    return _WORKS.search(text) is not None


def says_both(text: str) -> bool:
    """Say whether an answer means all that are offered: "both of ours"."""
    return _BOTH.fullmatch(text.strip()) is not None


def corrected_to(text: str, labels: Sequence[str], was: str) -> str | None:
    """Return the kit that was meant in place of another: "wrong kit, it was E not D"."""
    if _MISTOOK.search(text) is None:
        return None
    found = [label for label in read_labels(f"kit {text}", labels)[0] if label != was]
    return found[0] if len(found) == 1 else None


def says_it_recurs(text: str, labels: Sequence[str]) -> bool:
    """Say whether what is back is a fault, not a kit: "the fault on D is back", "back on D"."""
    found = _RECURS.search(text)
    if found is None:
        return False
    named = (found[1] or "").strip(".,!?").casefold()
    return found[1] is None or named in {label.casefold() for label in labels}


def only_label(text: str, labels: Sequence[str]) -> str | None:
    """Return the kit where a text is nothing but its label: "D", "kit D"."""
    found = _LABEL_ONLY.fullmatch(text)
    said = found[1].casefold() if found else ""
    whole = text.strip().casefold()
    return next((label for label in labels if label.casefold() in (said, whole)), None)
