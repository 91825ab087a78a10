"""A message about several kits, cut into parts that each report by themselves."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from clubbot.rules.faults.reading import read_fault
from clubbot.rules.faults.symptoms import FaultReading, Symptom

SURE = 0.9
"""How sure a part must be of an ordinary fault to be taken out of a message about danger."""
_HARMLESS = 0.05
"""What share danger may have at most in a part that is surely an ordinary fault."""
_LEAST = 4
"""How many words a part must have to tell of danger that the whole message doesn't."""
_MOST = 12
"""Into how many pieces a message is cut at most: one of more is a story."""
_CUT = re.compile(r"[.!?;]+(?=\s|$)|,(?=\s)|\n+|\b(?:and|but|also)\b", re.IGNORECASE)
_OF_ALL = re.compile(r"\b(?:all|both|each|every\w*|they\w*|them|theirs?)\b", re.IGNORECASE)
_LIKE_IT = re.compile(r"\b(?:same|too|as well|either|neither|likewise)\b", re.IGNORECASE)
_THING = r"(?:the\s+)?(?:(?:kit|unit|robot|tablet|number)\s+)?"
_NOT_IT = re.compile(rf"(?:it'?s |its )?not (?:on )?{_THING}\S+", re.IGNORECASE)
_FIRST = re.compile(rf"\s*{_THING}([^\s'\u2019,.!?;]*)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Part:
    """Some words of a message and what they say, of one kit or of some that are named together."""

    said: str
    reading: FaultReading


def read_parts(text: str, labels: Sequence[str], whole: FaultReading) -> tuple[Part, ...]:
    """Cut a message that names several kits where each part reports of its own alone.

    Otherwise the message is one part, as it was read: one symptom for all its kits, and in doubt
    about danger all of them in danger. "Not D, C keeps dying" is about C alone.
    """
    uncut = (Part(text, whole),)
    pieces = _pieces(text, labels)
    if len(whole.kits) < 2 or not 2 <= len(pieces) <= _MOST:
        return uncut
    denied, parts = _joined(pieces, labels)
    if set(denied) & {label for part in parts for label in part.reading.kits}:
        return uncut
    named = {label for part in parts for label in part.reading.kits}
    if named | set(denied) != set(whole.kits) or not all(_alone(p, whole) for p in parts):
        return uncut
    if whole.danger and not any(part.reading.danger for part in parts):
        return uncut
    if len(parts) == 1:
        return (Part(text, replace(whole, kits=parts[0].reading.kits)),)
    return tuple(parts)


def _pieces(text: str, labels: Sequence[str]) -> list[str]:
    """Return the pieces between the joints, but for those that join two labels: "D and E"."""
    known = {label.casefold() for label in labels}
    pieces, start = [], 0
    for joint in _CUT.finditer(text):
        before = text[start : joint.start()].split()
        last = before[-1].casefold() if before else ""
        behind = _FIRST.match(text, joint.end())
        first = behind[1].casefold() if behind else ""
        listed = last in known and first in known and joint[0].casefold() in (",", "and")
        if listed and not _NOT_IT.fullmatch(text[start : joint.start()].strip()):
            continue
        pieces.append(text[start : joint.start()].strip())
        start = joint.end()
    return [piece for piece in [*pieces, text[start:].strip()] if piece]


def _joined(pieces: Sequence[str], labels: Sequence[str]) -> tuple[list[str], list[Part]]:
    """Return the kits that are said not to be meant, and the parts: each piece that names a kit.

    What names none goes with the piece before it, or with the first. Where it speaks of all, or
    of danger, or a piece says the same of another kit, there are no parts.
    """
    denied: list[str] = []
    said: list[str] = []
    loose = ""
    for piece in pieces:
        reading = read_fault(piece, labels)
        if _LIKE_IT.search(piece):
            return [], []
        if len(reading.kits) == 1 and _NOT_IT.fullmatch(piece):
            denied += reading.kits
        elif reading.kits:
            said.append(f"{loose} {piece}".strip())
            loose = ""
        elif reading.danger or _OF_ALL.search(piece):
            return [], []
        elif said:
            said[-1] += f", {piece}"
        else:
            loose = f"{loose} {piece}".strip()
    return denied, [Part(words, read_fault(words, labels)) for words in said]


def _alone(part: Part, whole: FaultReading) -> bool:
    """Say whether a part reports by itself; beside danger it must be sure to be none."""
    reading = part.reading
    if not reading.fault:
        return False
    if reading.danger:
        return whole.danger or len(part.said.split()) >= _LEAST
    if not whole.danger:
        return True
    shares = dict(reading.alternatives)
    harmless = shares.get(Symptom.BATTERY_DANGER, 0.0) <= _HARMLESS
    return reading.p_fault >= SURE and reading.symptom != Symptom.UNCLEAR and harmless
