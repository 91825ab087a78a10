"""Kits named after a command, in a club whose kits are numbers."""

from __future__ import annotations

import pytest

from clubbot.desk.finding import by_number

NUMBERS = [str(number) for number in range(1, 31)]


@pytest.mark.parametrize(
    ("said", "found", "unknown"),
    [
        ("3 4 5", "3 4 5", ""),
        ("6-10", "6 7 8 9 10", ""),
        ("6, 7 8", "6 7 8", ""),
        ("11 to 13 and 20", "11 12 13 20", ""),
        ("kits 3 & 4", "3 4", ""),
        ("3 4 99", "3 4", "99"),
        ("29-32", "29 30", "32"),
    ],
)
def test_no_number_of_a_list_is_lost(said: str, found: str, unknown: str) -> None:
    assert by_number(said, NUMBERS) == (found.split(), unknown.split())


def test_other_texts_and_other_clubs_are_read_as_before() -> None:
    assert by_number("4 wheel is loose", NUMBERS) is None
    assert by_number("", NUMBERS) is None
    assert by_number("3 4", ["A", "B"]) is None
