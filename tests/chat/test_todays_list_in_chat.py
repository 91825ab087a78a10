"""Today's list: what differs first, what to do, kept up to date in place, swapped, printed."""

from __future__ import annotations

from tests.chat.played import Club
from tests.chat.test_out_and_back_in_chat import booked


async def test_the_list_says_what_to_do_in_the_order_to_do_it(club: Club) -> None:
    await booked(club)
    await club.says("Hana", "/out H Green")
    await club.says("Nora", "/withdraw A: bent axle")
    await club.says("Hana", "/fault D makes a grinding noise")
    await club.says("Hana", "E short 2 cables, all out 15:30")
    await club.says("Hana", "/today")
    shown = club.sees("Hana", "To do, in this order", "D for Blue: swap it (fault 1 open)")
    assert "Swap D" in shown.buttons


async def test_the_message_stays_and_says_what_holds_now(club: Club) -> None:
    await booked(club)
    await club.says("Hana", "/today")
    listed = club.answers("Hana", "Red: A and B")
    await club.says("Owen", "/out Red")
    changed = club.sees("Hana", "Red: A and B (out)", how="edit")
    assert changed.message is listed.message
    await club.says("Sam", "/fault B won't connect")
    changed = club.sees("Hana", "fault 1 open", how="edit")
    assert changed.message is listed.message
    await club.says("Owen", "/back all")
    club.sees("Hana", "Blue: C, D and E", how="edit")


async def test_the_morning_list_is_kept_up_to_date_as_well(club: Club) -> None:
    await booked(club)
    await club.says("Hana", "/out")
    club.sees("Nora", "Red: A and B (out)", how="edit")


async def test_a_kit_is_swapped_with_one_tap_for_one_that_is_ready(club: Club) -> None:
    await booked(club)
    await club.says("Hana", "/fault A won't start")
    await club.says("Hana", "/fault F won't start")
    await club.says("Hana", "/today")
    await club.presses("Hana", "Swap A")
    club.answers("Hana", "G instead of A for Red.", "Red: B and G")


async def test_a_swap_of_a_kit_that_is_out_takes_it_back_and_gives_the_other_out(
    club: Club,
) -> None:
    await booked(club)
    await club.says("Hana", "/out")
    await club.says("Hana", "/swap A H")
    club.answers("Hana", "H instead of A for Red.")
    await club.says("Hana", "/kit H")
    club.answers("Hana", "Out with Red until 17:00")
    await club.says("Hana", "/kit A")
    club.answers("Hana", "On its shelf.")
    await club.says("Hana", "/swap A")
    club.answers("Hana", "A isn't out")


async def test_the_page_to_print_comes_as_a_file_for_days_without_a_network(club: Club) -> None:
    await booked(club)
    await club.says("Hana", "/print")
    sent = club.answers("Hana", "To print")
    assert sent.message is not None
    assert sent.message.content["document"]["file_name"] == "today-2026-10-16.pdf"


async def test_what_is_over_stays_on_the_list_and_what_is_late_is_no_more_to_be_swapped(
    club: Club,
) -> None:
    await club.says("Sam", "/book 2 kits fri 15:30 to 17:00")
    await club.says("Bea", "/book 3 kits fri 15:30 to 17:00")
    await club.at("2026-10-16 15:30")
    await club.says("Hana", "/out")
    await club.says("Hana", "/fault A won't start")
    await club.says("Hana", "/today")
    club.sees("Hana", "2 bookings", "To do, in this order", "A for Red: swap it")
    await club.says("Hana", "/back C D E")
    await club.says("Hana", "/today")
    seen = club.sees("Hana", "2 bookings", "Red: A and B (out)", "Blue: C, D and E (over)")
    assert "All out" not in seen.buttons
    await club.at("2026-10-16 17:20")
    await club.says("Nora", "/today")
    late = club.sees("Nora", "2 bookings", "Late: A and B.")
    assert "To do" not in late.text
    assert not any(button.startswith("Swap") for button in late.buttons)


async def test_what_others_typed_reaches_no_helper_by_any_list_or_card(club: Club) -> None:
    """A helper is often a child, too; adults read it."""
    await club.says("Bea", "/book 1 kit fri 15:30 to 17:00")
    await club.at("2026-10-16 15:00")
    await club.says("Owen", "/withdraw A B C D E F G H: Zed sat on it")
    await club.says("Owen", "/fault A wheel wobbles")
    await club.says("Owen", "/fixed 1 Zed glued it")
    for asked in ("/today", "/kit A", "/faults 1", "/stocktake"):
        await club.says("Hana", asked)
        assert not any("Zed" in said.text for said in club.news("Hana")), asked
    await club.says("Hana", "/fault A wheel wobbles")
    assert not any("Zed" in said.text for said in club.news("Hana"))
    await club.says("Nora", "/today")
    club.sees("Nora", "out of use: Zed sat on it")
