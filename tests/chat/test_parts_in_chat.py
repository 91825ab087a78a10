"""Parts and spares as people see them: trays made whole, compartments, scales, the order."""

from __future__ import annotations

import re

import sqlalchemy as sa

from clubbot.rules.model import ClubId
from clubbot.store import clubs, ledger, stock
from clubbot.store.tables import PART
from tests.chat.played import Club

CLUB = ClubId(1)
LIST = (
    # name, number, big, compartment, weight in mg, spread in mg, pack, price
    ("motor", 2, True, None, None, None, 1, 2499),
    ("cable", 6, False, "box 1", 4750, 40, 5, 600),
    ("axle", 8, False, "box 2", 900, 9, 20, None),
    ("pin", 30, False, "box 2", 300, 6, 50, None),
    ("washer", 40, False, "box 3", 300, 6, 50, None),
)


def with_list(club: Club) -> None:
    """Say what belongs into a tray, where it lies and what it weighs."""
    names = (
        "name",
        "number",
        "big",
        "compartment",
        "weight_mg",
        "spread_mg",
        "pack",
        "price_cents",
    )
    with club.store.write() as tx:
        kit_type = next(iter(clubs.kit_types(tx, CLUB)))
        same = {"club_id": CLUB, "kit_type_id": kit_type, "essential": True, "tray": ""}
        tx.execute(sa.insert(PART), [same | dict(zip(names, row, strict=True)) for row in LIST])


def audited(club: Club) -> None:
    with club.store.read() as tx:
        assert [*ledger.audit(tx, CLUB), *stock.audit(tx, CLUB)] == []


async def test_what_was_found_makes_a_tray_whole_with_one_tap(club: Club) -> None:
    with_list(club)
    await club.says("Hana", "/parts D lost 2 cables")
    club.answers("Hana", "D lacks 2 cable.")
    await club.says("Hana", "/parts bought a pack of cables")
    shown = club.answers("Hana", "There now: 5 cable", "D lacks 2 cable: 2 cable on the shelf")
    assert shown.buttons == ["Make D whole", "Undo"]
    await club.says("Hana", "/parts found 1 cable")
    shown = club.answers("Hana", "1 cable found; 1 cable on the shelf")
    await club.presses("Hana", "Make D whole")
    club.answers("Hana", "Put into D: 2 cable.", "D is whole.")
    await club.says("Hana", "/parts")
    shown = club.answers("Hana", "No tray is known to lack a part.", "On the shelf: 4 cable.")
    assert shown.buttons == ["Where all parts are"]
    await club.presses("Hana", "Where all parts are")
    club.answers("Hana", "cable: 53 = 48 in trays + 4 on the shelf + 1 missing.")
    audited(club)


async def test_a_kit_that_waits_for_repair_lends_with_one_tap_and_undo_gives_back(
    club: Club,
) -> None:
    with_list(club)
    await club.says("Hana", "/withdraw E: bent axle")
    await club.says("Hana", "/parts D short of 1 motor")
    await club.says("Hana", "/parts")
    club.answers("Hana", "D lacks 1 motor: 1 motor in E, which waits for repair.")
    await club.presses("Hana", "E lends to D")
    club.answers("Hana", "From E into D: 1 motor.", "D is whole.")
    await club.says("Hana", "/kit D")
    await club.says("Hana", "/undo")
    club.answers("Hana", "Undone:", "parts lent", "parts put in")
    await club.says("Hana", "/parts D from F")
    club.answers("Hana", "F is in use. Only a kit that waits for repair lends parts")
    audited(club)


async def test_a_compartment_is_looked_into_and_a_weight_counts_where_the_scale_can_tell(
    club: Club,
) -> None:
    with_list(club)
    await club.says("Nora", "/settings scale 0.1 g")
    await club.says("Hana", "/count D")
    shown = club.answers("Hana", "look into each compartment")
    assert shown.buttons == ["2 motor", "box 1", "box 2", "box 3", "All there"]
    await club.presses("Hana", "box 2")
    shown = club.answers("Hana", "box 2: tap what is missing")
    assert shown.buttons == ["8 axle", "30 pin", "The whole tray"]
    await club.presses("Hana", "8 axle")
    club.answers("Hana", "Missing: 1 axle.")
    await club.presses("Hana", "The whole tray")
    assert "box 2: 1 missing" in club.answers("Hana", "look into each").buttons
    await club.says("Hana", "cables 28.4 g")
    club.answers("Hana", "That makes 6 cable, as known.", "Missing: 1 axle.")
    await club.says("Hana", "weigh cables 23.8 g")
    club.answers("Hana", "That makes 5 cable.", "Missing: 1 cable and 1 axle.")
    await club.says("Hana", "cables 26 g")
    club.answers("Hana", "between 5 and 6 cable", "count by eye")
    await club.says("Hana", "axles 7.2 g")
    club.answers("Hana", "axle lies together with pin", "count by eye")
    await club.says("Hana", "washers 12 g")
    club.answers("Hana", "washer is too light", "Count by eye")
    await club.says("Hana", "motors 40 g")
    club.answers("Hana", "Nobody told which compartment motor lies in")
    await club.says("Hana", "pins 28")
    club.answers("Hana", "That makes 28 pin.")
    await club.presses("Hana", "Done")
    club.answers("Hana", "D counted. Missing: 1 axle, 1 cable and 2 pin.")
    await club.says("Hana", "/count D cables 6")
    club.answers("Hana", "That makes 6 cable.", "Missing: 1 axle and 2 pin.")
    audited(club)


async def test_only_adults_read_what_went_missing_when_and_what_to_order(club: Club) -> None:
    with_list(club)
    await club.says("Hana", "/count D")
    await club.presses("Hana", "All there")
    await club.at("2026-10-16 17:05")
    await club.says("Hana", "/count D cables 4")
    await club.presses("Hana", "Done")
    answer = club.answers("Hana", "D counted. Missing: 2 cable.")
    assert "New since" not in answer.text
    for text in ("/parts missing", "/parts order"):
        await club.says("Hana", text)
        club.answers("Hana", "You can't see what went missing and what to order here")
        await club.says("Sam", text)
        club.answers("Sam", "You can't")
    await club.says("Nora", "/parts missing")
    club.answers("Nora", "D: 2 cable, between Thu 15 Oct and today")
    await club.says("Nora", "/parts order")
    shown = club.answers("Nora", "For this term's order", "With that each part lasts until")
    line = next(each for each in shown.text.splitlines() if "cable" in each)
    assert re.match(
        r"• cable: \d packs of 5, \d\d\.00\. 2 lost or broken in 1 sessions, 0 there", line
    )
    assert "2 to fill trays" in line
    assert "sessions away, 9 times in 10" in shown.text
    await club.presses("Nora", "I have ordered this")
    club.answers("Nora", "On order:", "cable")
    await club.says("Nora", "/parts order")
    club.answers("Nora", "Nothing to order")
    audited(club)


async def test_what_can_not_be_read_says_how_and_markup_in_a_name_is_harmless(club: Club) -> None:
    with_list(club)
    await club.says("Hana", "/parts hello")
    club.answers("Hana", "Such as: /parts found 2 cables, or /parts D from shelf")
    await club.says("Hana", "/parts found 2 <b>flanges</b>")
    club.answers("Hana", "No <b>flanges</b> on the contents list")
    await club.says("Hana", "/parts D from shelf")
    club.answers("Hana", "D is known to lack nothing")
    await club.says("Sam", "/parts")
    club.answers("Sam", "You can't see where parts are and move them here")
