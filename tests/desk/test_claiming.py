"""A letter to the supplier: what the club knows of the kit, and that the fault then waits."""

from __future__ import annotations

from datetime import date

import sqlalchemy as sa

from clubbot.chat.words import said
from clubbot.desk import claiming, fault, mending, showing, supplier, triage
from clubbot.desk.acting import View
from clubbot.rules.ledger import Detail, EntryKind
from clubbot.rules.model import FaultId, Reason, Refused, Role
from clubbot.rules.results import ClaimLetter, ClaimSent
from clubbot.store import ledger
from clubbot.store.ledger import Draft
from clubbot.store.tables import ITEM
from tests.desk.scene import Club

BLACK = "kit D: the motor is broken"
PHOTO = showing.Photo("file-1", "unique-1", "photo")


def with_unit(club: Club, label: str, serial: str) -> None:
    """Fit a unit with a serial and a warranty to a kit."""
    with club.store.write() as tx:
        item = tx.execute(
            sa.insert(ITEM)
            .values(
                club_id=club.id,
                kind="unit",
                serial=serial,
                bought_on=date(2025, 9, 1),
                warranty_until=date(2027, 8, 31),
            )
            .returning(ITEM.c.id)
        ).scalar_one()
        draft = Draft(EntryKind.FITTED, kit=club.kit(label), item=item, detail=Detail())
        ledger.append(
            tx,
            club.id,
            [draft],
            happened_at=club.now,
            said_at=club.now,
            said_by=club.leader.id,
            deed="fit",
        )


def words(club: Club, letter: ClaimLetter) -> str:
    return said(letter, View(club.zone, club.now, Role.LEADER, True, "Club")).text


def test_the_letter_has_serial_dates_checks_and_what_is_kept_and_asks_for_the_video(
    club: Club,
) -> None:
    with_unit(club, "D", "S-77 <x>")
    which = club.student(showing.report_with_photo, BLACK, PHOTO).fault.id
    club.student(triage.checked, which, "plugs-home", "same")
    assert club.leader(claiming.letter, 1).photos == 0, "nobody has looked through it yet"
    club.leader(showing.looked, which)
    letter = club.leader(claiming.letter, 1)
    assert isinstance(letter, ClaimLetter)
    assert [(item.kind, item.serial) for item in letter.items] == [("unit", "S-77 <x>")]
    text = words(club, letter)
    for part in (
        "Unit: serial S-77 &lt;x&gt;, bought 1 September 2025, warranty until 31 August 2027.",
        "first noticed on 1 October 2026",
        "pressed the plugs home (no change)",
        "We add 1 photo.",
        "no child is seen or heard",
    ):
        assert part in text
    assert "Student" not in text, "who reported it is nobody's business outside"


def test_what_is_not_noted_is_asked_for_and_no_date_is_made_up(club: Club) -> None:
    club.student(fault.report, BLACK)
    letter = club.co_leader(claiming.letter, 1)
    assert letter.items == ()
    text = words(club, letter)
    assert "Add serial and date of purchase by hand" in text
    assert "warranty until" not in text


def test_once_sent_the_fault_waits_for_the_supplier_and_is_closed_with_what_they_did(
    club: Club,
) -> None:
    which = club.student(fault.report, BLACK).fault.id
    assert isinstance(club.leader(supplier.sent, which), ClaimSent)
    (line,) = club.helper(fault.open_faults).faults
    assert line.at_supplier
    assert club.student(fault.report, BLACK).joined, "it is still the same fault"
    club.leader(mending.close, 1, "replaced under warranty")
    assert club.leader(supplier.sent, which) == Refused(Reason.OUT_OF_DATE)
    assert club.leader(claiming.letter, 1).reason is Reason.UNKNOWN_FAULT


def test_only_adults_write_to_the_supplier(club: Club, other_club: Club) -> None:
    which = club.student(fault.report, BLACK).fault.id
    assert club.helper(claiming.letter, 1).reason is Reason.NOT_ALLOWED
    assert club.student(supplier.sent, which).reason is Reason.NOT_ALLOWED
    assert other_club.leader(supplier.sent, FaultId(which)) == Refused(Reason.OUT_OF_DATE)
