"""Messages in, one a line; what they say about faults out, as JSON lines."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator
from string import ascii_uppercase

from clubbot.rules.faults.reading import read_fault
from clubbot.rules.faults.symptoms import FaultReading

LETTERS = tuple(ascii_uppercase)
_HALF_PAIRS = re.compile(r"[\ud800-\udfff]")


def understand_faults(lines: Iterable[str]) -> Iterator[str]:
    """One JSON line for each line in, in order; blank lines are passed over.

    A line is plain text, for a club whose kits are A to Z, or `{"text", "labels"}`; without labels
    they are A to Z, too. A JSON object that lacks a text is read as the plain text that it is.
    """
    for line in lines:
        if line.strip():
            text, labels = _asked(line.strip())
            answer = json.dumps(describe_json(read_fault(text, labels)), ensure_ascii=False)
            yield _HALF_PAIRS.sub(lambda half: f"\\u{ord(half.group()):04x}", answer)


def describe_json(reading: FaultReading) -> dict[str, object]:
    """The reading as plain data."""
    return {
        "fault": reading.fault,
        "kits": list(reading.kits),
        "symptom": reading.symptom,
        "alternatives": [{"symptom": code, "p": p} for code, p in reading.alternatives],
        "danger": reading.danger,
    }


def _asked(line: str) -> tuple[str, tuple[str, ...]]:
    if not line.startswith("{"):
        return line, LETTERS
    try:
        asked = json.loads(line)
        text, labels = asked["text"], asked.get("labels", LETTERS)
    except (ValueError, KeyError, TypeError, RecursionError):
        return line, LETTERS
    if not isinstance(text, str) or not isinstance(labels, (list, tuple)):
        return line, LETTERS
    return text, tuple(str(label) for label in labels)
