"""The page to print: what stands on it, and what doesn't as it hangs in the room."""

from __future__ import annotations

from datetime import date
from zoneinfo import ZoneInfo

from clubbot.pictures.today import lines
from clubbot.rules.results import Today


def test_why_a_kit_is_out_of_use_is_on_the_page_without_what_somebody_typed() -> None:
    unusable = (("F", "out of use: Zed sat on it"),)
    day = Today(date(2026, 10, 16), (), (), (), unusable, 0)
    said = [line.text for line in lines(day, ZoneInfo("Europe/Dublin"), "Club")]
    assert "F: out of use" in said
    assert not any("Zed" in text for text in said)
