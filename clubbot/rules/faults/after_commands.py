"""Danger in the words after a command, which are less of a sentence than a report is."""

from __future__ import annotations

from collections.abc import Sequence

from clubbot.rules.faults.clues import clues_of, words_of
from clubbot.rules.faults.danger import find_danger
from clubbot.rules.faults.naming import find_mentions
from clubbot.rules.faults.reading import read_fault
from clubbot.rules.faults.spelling import tokenise
from clubbot.rules.faults.weighing import weigh

SURE_FROM = 0.95
"""From this probability on there is danger without a sign that is recognised, too. A sentence needs
less, but "battery to D" or "D: battery worn" comes close to 0.9 for want of other words."""


def tells_of_danger(text: str, labels: Sequence[str]) -> bool:
    """Say whether the words after a command tell of danger, such as "D but it is hot"."""
    if not read_fault(text, labels).danger:
        return False
    line = tokenise(text)
    words = words_of(line, find_mentions(line, labels))
    return find_danger(words) is not None or weigh(clues_of(line, words), words).danger >= SURE_FROM
