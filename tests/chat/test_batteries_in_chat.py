"""Batteries in chat: the charge list's plan, how full one is and why, what people say of one."""

from __future__ import annotations

from tests.chat.played import Club


async def test_anybody_asks_how_full_a_battery_is_and_says_what_it_shows(club: Club) -> None:
    await club.says("Sam", "/battery D")
    club.answers("Sam", "D", "Why: no charge is noted", "its type usually gives 120")
    await club.says("Sam", "/battery D 2 bars")
    club.answers("Sam", "Noted for D: level seen, 50 %", "half full")
    await club.says("Nora", "/charged D")
    await club.says("Nora", "/battery D")
    club.answers("Nora", "about full", "Why: last full charge", "not used since")
    await club.presses("Nora", "Flat at the start")
    club.answers("Nora", "Noted for D: found flat", "Then the battery is fine", "about empty")
    await club.presses("Nora", "Socket strip off")
    club.answers("Nora", "Noted for D: socket strip off", "look at them now")
    await club.says("Sam", "/battery tablet D 20%")
    club.answers("Sam", "Noted for D's tablet")
    await club.says("Nora", "/fit battery B7 to D")
    club.answers("Nora", "Battery B7 is in D from now on", "new to me")


async def test_the_charge_list_says_the_order_the_bays_and_the_cautions(club: Club) -> None:
    await club.says("Nora", "/settings charger bays 1")
    await club.says("Nora", "/hours Mon 12:00-16:00")
    await club.says("Sam", "/book A and B on Mon 19 Oct 16:00 to 17:30")
    await club.at("2026-10-16 17:10")
    await club.says("Hana", "/charge")
    club.answers(
        "Hana",
        "In this order",
        "Mon 19 Oct 12:00: put on A on bay 1 until",
        "on bay 1 until",
        "never overnight",
        "maker's guide",
    )


async def test_without_an_adult_in_time_the_charge_list_says_what_would_do(club: Club) -> None:
    await club.says("Sam", "/book kit A on Mon 19 Oct 16:00 to 17:30")
    await club.at("2026-10-16 17:10")
    await club.says("Hana", "/charge")
    club.answers(
        "Hana",
        "Too little time to charge A",
        "What would help: an adult in the lunch break Mon 19 Oct",
    )
