"""A message about several kits: each its own symptom where its part reports alone."""

from __future__ import annotations

import pytest

from clubbot.rules.faults import read_fault
from clubbot.rules.faults.parting import read_parts

LABELS = list("ABCDEFGH")


def _parts(text: str) -> list[tuple[str, str | None, bool]]:
    parts = read_parts(text, LABELS, read_fault(text, LABELS))
    return [(" ".join(p.reading.kits), p.reading.symptom, p.reading.danger) for p in parts]


@pytest.mark.parametrize(
    ("text", "found"),
    [
        (
            "the left motor of E isnt turning and also F's tablet is totally frozen",
            [("E", "motor-fault", False), ("F", "tablet-fault", False)],
        ),
        (
            "kit F won't connect and kit G has a broken wheel",
            [("F", "will-not-connect", False), ("G", "broken-part", False)],
        ),
        ("D wont start\nE's wheel fell off. it was fine before", None),
        ("D and E won't start", [("D E", "will-not-start", False)]),
        ("D and E wont start and F has no wheel", None),
        ("not D, C keeps dying", [("C", "loses-power", False)]),
        ("D won't start, E too", [("D E", "will-not-start", False)]),
    ],
)
def test_each_part_is_about_its_own_kits(
    text: str, found: list[tuple[str, str | None, bool]] | None
) -> None:
    parts = _parts(text)
    assert parts == found if found else len(parts) == 2


@pytest.mark.parametrize(
    ("text", "held"),
    [
        ("D wont start, and E's battery is swollen", {"E"}),
        ("D is warm and E is smoking", {"D", "E"}),
        ("D's battery is hot and E wont start and it smells burnt", {"D", "E"}),
        ("E's wheel is off, D wont start and both batteries are swollen", {"D", "E"}),
        ("the batteries of D and E are swollen", {"D", "E"}),
        ("D's battery and E's battery are swollen", {"D", "E"}),
    ],
)
def test_beside_danger_only_what_is_surely_an_ordinary_fault_is_left_out(
    text: str, held: set[str]
) -> None:
    assert {label for kits, _, danger in _parts(text) if danger for label in kits.split()} == held
