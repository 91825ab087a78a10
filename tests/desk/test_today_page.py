"""The page to print: the same list in the same order, with a box out and a box back a kit."""

from __future__ import annotations

import io

from clubbot.chat.words.today import today as words
from clubbot.desk import booking, fault, today
from clubbot.desk.acting import View
from clubbot.pictures.today import lines, page
from clubbot.rules.model import Role
from clubbot.rules.results import Today
from tests.desk.scene import Club


def _listed(club: Club) -> Today:
    club.helper(booking.request, "2 kits fri 15:30 to 17:00 for Red")
    club.helper(booking.request, "3 kits fri 15:30 to 17:00 for Blue")
    club.set("2026-10-02 15:20")
    club.helper(fault.report, "D won't start")
    found = club.helper(today.today)
    assert isinstance(found, Today)
    return found


def test_the_page_has_the_lists_order_and_two_boxes_for_every_kit(club: Club) -> None:
    found = _listed(club)
    rows = list(lines(found, club.zone, "Club"))
    shown = words(found, View(club.zone, club.now, Role.HELPER, True, "Club")).text
    teams = [row.text.split()[0] for row in rows if row.text.split()[0] in ("Red", "Blue")]
    assert teams == ["Blue", "Red"]
    assert shown.index("Blue:") < shown.index("Red:")
    boxed = [row.text.split()[0] for row in rows if row.boxes == ("out", "back")]
    assert boxed == ["C", "D", "E", "A", "B"]
    assert "D, Blue: swap it for another (fault 1 open)" in [row.text for row in rows]


def test_a_long_list_goes_on_over_as_many_pages_as_it_needs(club: Club) -> None:
    found = _listed(club)
    session = found.sessions[0]
    many = Today(
        found.day,
        tuple([session] * 8),
        found.others,
        found.out,
        found.not_usable,
        found.faults,
    )
    made = page(many, club.zone, "Club")
    assert made.startswith(b"%PDF")
    assert made.count(b"/Type /Page\n") + made.count(b"/Type /Page ") >= 2
    assert io.BytesIO(made).read(5) == b"%PDF-"
