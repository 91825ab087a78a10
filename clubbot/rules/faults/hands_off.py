"""What nobody but an adult touches, although it is no danger: broken glass, an update half done."""

from __future__ import annotations

import re
from enum import StrEnum

from clubbot.rules.faults.symptoms import Symptom

_BREAKS = r"(?:crack(?:s|ed)?|smash(?:es|ed)?|shatter(?:s|ed)?|splinter(?:s|ed)?)"
_BROKEN = rf"(?:{_BREAKS}|breaks?|broken?|pieces|bits|everywhere|floor)"
_PANE = r"(?:screen|display|tablet)s?"
_GLASS = re.compile(
    rf"\bglass\b.*\b{_BROKEN}\b|\b{_BROKEN}\b.*\bglass\b"
    rf"|\b{_PANE}\b.*\b{_BREAKS}\b|\b{_BREAKS}\b.*\b{_PANE}\b"
    r"|\bshards?\b",
    re.IGNORECASE | re.DOTALL,
)
_SHARP = re.compile(
    r"\bsharp\W+(?:\w+\W+)?(?:edge|bit|piece|point|corner|end|plastic|metal|part|splinter)s?\b"
    r"|\b(?:edge|corner|piece|bit|end|part)s?\W+(?:(?:is|are|s|really|very|so)\W+)*sharp\b|\bjagged\b",
    re.IGNORECASE,
)
_UPDATE = re.compile(r"\bupdat(?:e|es|ing)\b", re.IGNORECASE)
_HANGS = frozenset({Symptom.FROZEN, Symptom.WILL_NOT_START, Symptom.TABLET_FAULT, Symptom.UNCLEAR})
"""What is seen where an update may still run, or has stopped halfway."""


class HandsOff(StrEnum):
    """Why it is an adult's."""

    NOTHING = ""
    GLASS = "glass"
    SHARP = "sharp"
    UPDATE = "update"


def hands_off(symptom: str, said: str) -> HandsOff:
    """Say why a fault, by its symptom and the words of its reports, is an adult's alone."""
    if _GLASS.search(said):
        return HandsOff.GLASS
    if _SHARP.search(said):
        return HandsOff.SHARP
    hangs = symptom in _HANGS and _UPDATE.search(said)
    return HandsOff.UPDATE if hangs or symptom == Symptom.UPDATE_TROUBLE else HandsOff.NOTHING
