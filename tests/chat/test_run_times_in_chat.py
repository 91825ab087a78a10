"""A run-time test day, and what is made of a weak battery, as people see it in chat."""

from __future__ import annotations

from datetime import date

import sqlalchemy as sa

from clubbot.rules.model import ItemKind
from clubbot.store.tables import ITEM
from tests.chat.played import Club


async def _started(club: Club) -> None:
    await club.says("Nora", "/testday A B C")
    ready = club.answers(
        "Nora", "Run-time test", "3 kits: A, B and C", "An adult stays", "wheels up", "hot, swells"
    )
    assert ready.buttons == ["Start: all run now"]
    await club.presses("Nora", "Start: all run now")
    runs = club.answers("Nora", "since 10:00", "3 still running", "Tap each label")
    assert runs.buttons == ["A", "B", "C", "End the test"]


async def test_each_label_is_tapped_as_it_stops_by_any_adult_and_after_a_restart(
    club: Club,
) -> None:
    await _started(club)
    await club.at("2026-10-15 10:50")
    await club.presses("Nora", "C")
    club.answers("Nora", "2 still running", "C: 50 min")
    await club.restart()
    await club.at("2026-10-15 11:52")
    await club.says("Owen", "/testday")
    assert club.answers("Owen", "112 min", "C: 50 min").buttons[:2] == ["A", "B"]
    await club.says("Owen", "/testday B 11:45")
    club.answers("Owen", "B: 105 min")
    await club.presses("Owen", "A")
    over = club.answers(
        "Owen",
        "Run-time test of Thu 15 Oct",
        "A ran 112 min",
        "B ran 105 min",
        "C ran 50 min: short uses only",
        "ask for 59 min of driving",
        "charge them to at least half today",
    )
    assert over.message is not None
    assert "photo" in over.message.content
    await club.says("Sam", "/battery A")
    club.answers("Sam", "about empty")


async def test_a_tap_too_much_is_taken_back(club: Club) -> None:
    await _started(club)
    await club.at("2026-10-15 11:00")
    await club.presses("Nora", "A")
    club.answers("Nora", "A: 60 min")
    await club.presses("Nora", "A not yet")
    assert "A: 60 min" not in club.answers("Nora", "3 still running").text
    await club.presses("Nora", "B")
    await club.says("Hana", "/testday")
    club.answers("Hana", "adult")


async def test_what_still_runs_when_the_test_is_ended_is_noted_as_that(club: Club) -> None:
    await _started(club)
    await club.at("2026-10-15 10:50")
    await club.presses("Nora", "C")
    await club.at("2026-10-15 11:35")
    await club.says("Nora", "/testday")
    await club.presses("Nora", "End the test")
    over = club.answers(
        "Nora", "A still running after 95 min", "B still running after 95 min", "C ran 50 min"
    )
    assert "Switch off what still runs. C is empty now: charge it" in over.text
    assert over.message is not None
    assert "photo" in over.message.content
    await club.says("Nora", "/history A")
    assert "still running" in club.news("Nora")[0].text
    await club.says("Nora", "/battery A")
    club.answers("Nora", "95 driving minutes since")
    await club.says("Nora", "/health A")
    club.answers("Nora", "it still ran after 95 in its last run-time test", "Good for the 59")


async def test_a_test_that_was_ended_too_soon_goes_on(club: Club) -> None:
    await _started(club)
    await club.at("2026-10-15 10:05")
    await club.presses("Nora", "End the test")
    club.answers("Nora", "A still running after 5 min")
    await club.presses("Nora", "Not over: go on")
    assert club.answers("Nora", "3 still running").buttons[:3] == ["A", "B", "C"]
    for label in "ABC":
        await club.at(f"2026-10-15 11:{10 + ord(label) % 65:02}")
        await club.presses("Nora", label)
    over = club.answers("Nora", "C ran 72 min", "A ran 70 min")
    assert "still running" not in over.text
    await club.presses("Nora", "Not over: go on")
    club.answers("Nora", "1 still running", "B: 71 min")
    await club.at("2026-10-15 11:30")
    await club.presses("Nora", "C")
    club.answers("Nora", "C ran 90 min")
    await club.at("2026-10-15 14:00")
    await club.presses("Nora", "Not over: go on")
    club.answers("Nora", "out of date")


async def test_whoever_leaves_a_test_running_is_asked_and_told_that_it_is_over(
    club: Club,
) -> None:
    await _started(club)
    await club.at("2026-10-15 10:50")
    await club.presses("Nora", "C")
    await club.at("2026-10-15 14:00")
    asked = club.sees("Nora", "Do A and B still run? You began this test")
    assert asked.buttons == ["A", "B", "C not yet", "End the test"]
    await club.at("2026-10-16 08:10")
    over = club.sees("Nora", "Nobody ended the run-time test of Thu 15 Oct, 10:00: it is over now")
    assert "Noted: C 50 min. Nothing is noted of A and B: switch them off." in over.text


async def test_how_long_half_of_the_fleet_runs_is_said_where_the_tests_tell(club: Club) -> None:
    for label, minutes in zip("ABCDEF", (85, 100, 118, 119, 120, 121), strict=True):
        await club.says("Nora", f"/battery {label} test {minutes}")
    await club.says("Nora", "/health")
    assert "half of them" not in club.news("Nora")[0].text
    for label, minutes in zip("GH", (122, 123), strict=True):
        await club.says("Nora", f"/battery {label} test {minutes}")
    await club.says("Nora", "/health")
    said = club.answers("Nora", "In their last tests half of them ran 119 min or more.")
    assert "nine in ten" not in said.text


async def test_a_stop_that_cannot_be_is_asked_for_again(club: Club) -> None:
    await _started(club)
    await club.at("2026-10-15 10:30")
    for text in ("/testday A 12:00", "/testday A soon", "/testday A 500", "/testday A -5 min"):
        await club.says("Nora", text)
        club.answers("Nora", "When did it stop?", "/testday D 15:52")
    await club.says("Nora", "/testday D 20 min")
    club.answers("Nora", "D isn't in this test", "/testday shows which are")
    await club.says("Nora", "/testday A 20 min")
    club.answers("Nora", "A: 20 min", "2 still running")


async def _weak(club: Club) -> None:
    """Note that A ran for less than half an hour in two tests, and others for two hours."""
    for label, minutes in zip("AABCD", (24, 25, 112, 118, 121), strict=True):
        await club.says("Nora", f"/battery {label} test {minutes}")


async def test_a_weak_battery_is_shown_with_what_shows_it_and_put_out_of_use(club: Club) -> None:
    await _weak(club)
    await club.says("Hana", "/health")
    shown = club.answers("Hana", "Almost certainly too weak: A 2", "Good: ")
    assert shown.message is not None
    assert "photo" in shown.message.content
    await club.says("Nora", "/health A")
    one = club.answers(
        "Nora",
        "Battery of A. This battery gives 2",
        "the others 1",
        "it ran 25 in its last run-time test",
        "Almost certainly below the 59 you need",
        "collection point",
    )
    assert one.message is not None
    assert "photo" in one.message.content
    assert one.buttons == ["Out of use", "Short uses only"]
    await club.presses("Nora", "Out of use")
    club.answers("Nora", "A is out of use")
    await club.says("Sam", "/health A")
    club.answers("Sam", "adult")


async def test_what_ran_for_minutes_only_stays_weak_and_short_uses_are_as_short_as_it_ran(
    club: Club,
) -> None:
    """A third driven, 15 minutes of driving are 45 of use."""
    await _started(club)
    await club.at("2026-10-15 10:05")
    await club.presses("Nora", "A")
    await club.at("2026-10-15 10:15")
    await club.presses("Nora", "C")
    await club.presses("Nora", "End the test")
    club.answers("Nora", "C ran 15 min: too weak", "A ran 5 min: too weak")
    await club.says("Sam", "/battery A")
    club.answers("Sam", "about empty")
    await club.says("Nora", "/health")
    shown = club.answers("Nora", "Too weak in the last test; test again when surely full: A")
    assert "Good: B" in shown.text
    assert "Almost certainly" not in shown.text
    await club.says("Nora", "/health C")
    shown = club.answers(
        "Nora",
        "it ran 15 in its last run-time test",
        "By its test it is below the 59 you need. Wasn't it full at the start?",
        "/testday C",
    )
    assert "may be" not in shown.text
    await club.presses("Nora", "Short uses only")
    club.answers("Nora", "C is for uses up to 45 min only")


async def test_a_kit_for_short_uses_only_is_not_chosen_for_a_long_one(club: Club) -> None:
    await _weak(club)
    await club.says("Sam", "/book A fri 15:30 to 17:00")
    await club.says("Nora", "/health A")
    await club.presses("Nora", "Short uses only")
    club.answers("Nora", "A is for uses up to", "longer ones get another kit")
    await club.says("Bea", "/book 8 kits mon 16:00 to 17:30")
    assert "7 kits" in club.news("Bea")[0].text
    await club.says("Bea", "/book A mon 16:00 to 16:30")
    club.answers("Bea", "Booked")
    await club.says("Nora", "/health A")
    await club.presses("Nora", "All uses again")
    club.answers("Nora", "A is for all uses again")


async def test_a_weak_battery_under_warranty_becomes_a_claim(club: Club) -> None:
    with club.store.write() as tx:
        (number,) = tx.execute(sa.text("select id from club")).scalars()
        tx.execute(
            sa.insert(ITEM).values(
                club_id=number,
                kind=str(ItemKind.BATTERY),
                serial="B7",
                warranty_until=date(2027, 5, 1),
            )
        )
    await club.says("Nora", "/fit battery B7 to A")
    await _weak(club)
    await club.says("Nora", "/health A")
    one = club.answers("Nora", "Under warranty until Sat 1 May 2027")
    assert "Claim" in one.buttons
    await club.presses("Nora", "Claim")
    club.sees("Nora", "Noted as a fault of A: This battery gives")
    club.sees("Nora", "B7")


async def test_that_nobody_ended_a_test_on_a_friday_evening_is_said_once(club: Club) -> None:
    await club.at("2026-10-16 17:05")
    await club.says("Nora", "/testday A B C")
    await club.presses("Nora", "Start: all run now")
    await club.at("2026-10-16 18:00")
    await club.presses("Nora", "B")
    await club.at("2026-10-17 10:00")
    over = club.sees("Nora", "Nobody ended the run-time test of Fri 16 Oct, 17:05: it is over now")
    assert over.text.count("Nobody ended") == 1
