"""Charging in chat: put on, asked whether it charges, swapped, done; the picture with its words."""

from __future__ import annotations

from tests.chat.played import Club


async def _two_kits_on_one_bay(club: Club) -> None:
    await club.says("Nora", "/settings charger bays 1")
    await club.says("Nora", "/hours Mon 12:00-16:00")
    await club.says("Sam", "/book A and B on Mon 19 Oct 16:00 to 17:30")
    await club.at("2026-10-19 12:05")


async def test_a_lot_is_put_on_looked_at_after_five_minutes_swapped_and_done(club: Club) -> None:
    await _two_kits_on_one_bay(club)
    await club.says("Nora", "/charge")
    shown = club.answers("Nora", "In this order", "put on A on bay 1", "fire service")
    assert shown.message is not None
    assert "photo" in shown.message.content
    assert shown.buttons == ["A is on", "All of these charged"]
    await club.presses("Nora", "A is on")
    club.answers("Nora", "On: A on bay 1 until", "In five minutes", "An adult stays")
    await club.at("2026-10-19 12:10")
    asked = club.answers("Nora", "do they show charging? A on bay 1")
    assert asked.buttons == ["All show charging", "Not A"]
    await club.presses("Nora", "All show charging")
    club.answers("Nora", "Good: A", "today")
    await club.at("2026-10-19 13:30")
    over = club.answers("Nora", "A: full enough now, take it off", "Next, today", "B on bay 1")
    assert over.buttons == ["B is on instead", "Done, all off", "Not done"]
    await club.presses("Nora", "B is on instead")
    club.answers("Nora", "Noted as charged: A about", "On: B on bay 1 until")
    await club.says("Hana", "/charge")
    club.answers("Hana", "On now: B until", "Full enough as they are, as far as I know: A and B")
    assert "In this order" not in club.news("Hana")[0].text
    await club.at("2026-10-19 15:55")
    await club.presses("Nora", "Done, all off")
    club.answers("Nora", "Noted as charged: B", "Nothing is to be put on after that")
    await club.says("Nora", "/charge")
    club.answers("Nora", "Full enough as they are, as far as I know: A and B")


async def test_what_does_not_show_that_it_charges_counts_as_off(club: Club) -> None:
    await _two_kits_on_one_bay(club)
    await club.says("Nora", "/charge")
    await club.presses("Nora", "A is on")
    await club.at("2026-10-19 12:10")
    await club.presses("Nora", "Not A")
    told = club.answers("Nora", "A isn't charging", "socket strip", "/fault A won't charge")
    assert told.buttons == ["A is on now"]
    await club.at("2026-10-19 14:00")
    club.hears_nothing("Nora")
    await club.says("Nora", "/charge")
    club.answers("Nora", "In this order", "put on A")


async def test_what_was_not_done_stays_on_the_plan(club: Club) -> None:
    await _two_kits_on_one_bay(club)
    await club.says("Nora", "/charge")
    await club.presses("Nora", "A is on")
    await club.at("2026-10-19 13:30")
    await club.presses("Nora", "Not done")
    club.answers("Nora", "Not charged: A", "Next, today 13:40", "on bay 1")
    await club.sends_data("Nora", "v1:lotdone:2")
    club.answers("Nora", "out of date")


async def test_only_adults_say_what_is_on_the_chargers(club: Club) -> None:
    await _two_kits_on_one_bay(club)
    await club.says("Hana", "/charge")
    assert club.answers("Hana", "In this order").buttons == []
    await club.sends_data("Hana", "v1:loton:2")
    club.answers("Hana", "adult")
    await club.says("Nora", "/charge")
    assert "On now" not in club.answers("Nora", "In this order").text


async def test_a_full_bay_an_early_tap_and_a_second_one_are_told(club: Club) -> None:
    await _two_kits_on_one_bay(club)
    await club.says("Nora", "/charge")
    await club.presses("Nora", "A is on")
    assert club.answers("Nora", "On: A on bay 1 until").buttons == ["Undo"]
    await club.says("Owen", "/charge")
    await club.presses("Nora", "A is on")
    club.answers("Nora", "A is already on.")
    await club.presses("Owen", "B is on")
    full = club.answers("Owen", "B is not noted: all bays are taken, by A on bay 1.")
    assert full.buttons == ["A is off"]
    await club.presses("Nora", "Undo")
    club.answers("Nora", "Not charged: A")
    await club.at("2026-10-19 15:50")
    await club.says("Nora", "/charge")
    await club.presses("Nora", "A is on")
    club.answers("Nora", "A is booked at 16:00")
    await club.presses("Nora", "Undo")
    await club.at("2026-10-19 23:30")
    await club.presses("Nora", "A is on")
    club.answers("Nora", "No adult is noted there now")
    await club.at("2026-10-20 09:00")
    await club.presses("Nora", "A is on")
    club.answers("Nora", "out of date")


async def test_what_was_charged_just_now_needs_no_charger(club: Club) -> None:
    await _two_kits_on_one_bay(club)
    await club.says("Nora", "/charge")
    await club.presses("Nora", "All of these charged")
    await club.presses("Nora", "A is on")
    club.answers("Nora", "A is full, no need.")
    await club.says("Nora", "/charge")
    club.answers("Nora", "Full enough as they are, as far as I know: A and B")


async def test_before_a_busy_day_it_says_on_which_day_to_charge(club: Club) -> None:
    await club.says("Nora", "/hours Fri 12:00-15:30")
    await club.says("Nora", "/setup meetings")
    await club.says("Nora", "Fri 15:30-17:00, Sat 10:00-11:30, Sat 11:45-13:15, Sat 13:30-15:00")
    await club.says("Sam", "/book B on Sat 17 Oct 10:00 to 11:30")
    await club.at("2026-10-16 08:01")
    club.sees("Nora", "Tomorrow is busy", "Charge before: B today 12:00 to ")


async def test_a_charge_that_nobody_confirms_is_not_forgotten(club: Club) -> None:
    await _two_kits_on_one_bay(club)
    await club.says("Nora", "/charge")
    await club.presses("Nora", "A is on")
    await club.at("2026-10-19 20:00")
    await club.at("2026-10-23 08:05")
    for adult in ("Nora", "Owen"):
        asked = club.answers(adult, "Should be off: A since Mon 19 Oct", "please look")
        assert asked.buttons[-2:] == ["Done, all off", "Not done"]
    await club.presses("Owen", "Done, all off")
    club.answers("Owen", "Noted as charged: A about")
