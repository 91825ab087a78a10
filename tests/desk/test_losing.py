"""Lost or stolen: adults only, planned without, with all that is known, and found again."""

from __future__ import annotations

import sqlalchemy as sa

from clubbot.chat.words import said
from clubbot.desk import booking, handover, labelling, losing, scanning, today
from clubbot.desk.acting import View
from clubbot.rules.ledger import Use
from clubbot.rules.model import Reason, Refused, Role
from clubbot.rules.permissions import ALLOWED, Deed
from clubbot.rules.results import (
    Booked,
    LabelScanned,
    Losses,
    LossFound,
    LossNoted,
    LossTold,
    PicturesNoted,
    Scanned,
)
from clubbot.store.ledger import Draft, EntryKind, append
from clubbot.store.tables import ITEM
from tests.desk.scene import Club, dump

FRIDAY = "Fri 15:30-17:00"


def _fit(club: Club, label: str, kind: str, serial: str, price: int | None) -> None:
    with club.store.write() as tx:
        from clubbot.store import clubs

        clubs.lock(tx, club.id)
        row = {"club_id": club.id, "kind": kind, "serial": serial, "price_cents": price}
        item = tx.execute(sa.insert(ITEM).values(row).returning(ITEM.c.id)).scalar_one()
        draft = Draft(EntryKind.FITTED, kit=club.kit(label), item=item)
        append(
            tx, club.id, [draft], happened_at=club.now, said_at=club.now, said_by=None, deed=serial
        )


def test_a_lost_kit_is_noted_with_where_it_was_serials_price_and_a_reference(club: Club) -> None:
    _fit(club, "D", "unit", "U-77", 21990)
    _fit(club, "D", "tablet", "T-12", 15050)
    _fit(club, "D", "battery", "", None)
    _fit(club, "E", "tablet", "T-13", 99999)
    club.set("2026-10-02 15:30")
    club.helper(handover.give_out, "D Red")
    club.set("2026-10-02 17:30")
    noted = club.leader(losing.lose, "D: in the hall")
    assert isinstance(noted, LossNoted)
    loss = noted.loss
    assert (loss.number, loss.kit.label, loss.thing, loss.stolen) == (1, "D", "kit", False)
    assert loss.last_seen == "in the hall"
    assert loss.team is not None
    assert (loss.team.name, loss.seen_at) == ("Red", club.at("2026-10-02 15:30"))
    assert loss.serials == (("unit", "U-77"), ("tablet", "T-12"), ("battery", ""))
    assert (loss.price_cents, loss.unpriced) == (37040, 1)
    assert club.leader(losing.all_lost) == Losses((loss,))
    assert club.leader(losing.lose, "E stolen: from the van").loss.number == 2
    assert [each.stolen for each in club.leader(losing.all_lost).losses] == [False, True]


def test_nobody_is_promised_a_lost_kit_and_nobody_is_chased_for_it(club: Club) -> None:
    whole = club.leader(booking.request, f"6 kits for Red {FRIDAY}")
    assert isinstance(whole, Booked)
    noted = club.leader(losing.lose, "D")
    assert [each.number for each in noted.short] == [whole.booking.number]
    refused = club.leader(booking.request, "6 kits for Red Mon 16:00-17:30")
    assert isinstance(refused, Refused)
    assert (refused.reason, refused.facts["possible"]) == (Reason.NONE_FREE, 5)
    club.set("2026-10-02 15:30")
    club.helper(handover.give_out, "E Red")
    club.leader(losing.lose, "E")
    assert club.out() == []
    club.set("2026-10-03 09:00")
    assert not any("Late" in type(each).__name__ for each in club.mail().get("Leader", []))
    assert club.audit() == []


def test_bookings_of_others_get_another_kit_for_a_lost_one(club: Club) -> None:
    booked = club.leader(booking.request, f"2 kits for Red {FRIDAY}")
    assert isinstance(booked, Booked)
    gone = booked.booking.kits[0]
    assert not club.leader(losing.lose, gone.label).short
    shown = club.leader(booking.mine).bookings[0]
    assert gone not in shown.kits
    assert len(shown.kits) == 2


def test_what_is_lost_is_for_adults_only(club: Club) -> None:
    assert ALLOWED[Deed.LOSE] == {Role.LEADER, Role.CO_LEADER}
    club.leader(losing.lose, "D: in the hall")
    for who in (club.helper, club.student, club.door):
        assert isinstance(who(losing.all_lost), Refused)
        assert "hall" not in repr(who(today.kit_card, "D"))
    assert "hall" not in repr(club.helper(today.today))
    told = club.mail()
    assert set(told) == {"Co-leader"}, "the other adults hear of it, nobody else"
    (news,) = told["Co-leader"]
    assert isinstance(news, LossTold)
    assert (news.by, news.loss.last_seen) == ("Leader", "in the hall")


def test_whether_there_were_pictures_on_a_lost_tablet_is_asked_and_noted(club: Club) -> None:
    noted = club.leader(losing.lose, "tablet D: on the bus")
    assert noted.loss.with_tablet
    assert noted.loss.thing == "tablet"
    assert noted.loss.serials == (("tablet", ""),), "a tablet that nobody listed"
    assert club.stands("D").position.use is Use.IN_USE, "the kit itself is there"
    answer = club.leader(losing.pictures, noted.loss.number, "yes")
    assert isinstance(answer, PicturesNoted)
    assert club.leader(losing.all_lost).losses[0].pictures == "yes"
    assert not club.leader(losing.lose, "battery E").loss.with_tablet
    assert club.audit() == []


def test_a_kit_without_its_unit_is_out_of_use_until_it_is_found(club: Club) -> None:
    noted = club.leader(losing.lose, "unit D")
    assert club.stands("D").position.use is Use.WITHDRAWN
    found = club.leader(losing.found, noted.loss.number)
    assert isinstance(found, LossFound)
    assert club.stands("D").position.use is Use.IN_USE
    assert club.leader(losing.all_lost) == Losses(())


def test_a_kit_that_is_found_is_there_again_and_keeps_its_reference(club: Club) -> None:
    first = club.leader(losing.lose, "D").loss.number
    club.later(minutes=5)
    assert club.leader(losing.found, first).number == first
    assert club.stands("D").position.use is Use.IN_USE
    assert club.leader(losing.found, first) == Refused(Reason.OUT_OF_DATE)
    club.later(minutes=5)
    assert club.leader(losing.lose, "D").loss.number == first + 1
    assert club.audit() == []


def test_what_was_noted_as_lost_by_mistake_can_be_undone(club: Club) -> None:
    before = club.stands("D").position.use
    club.leader(losing.lose, "D")
    club.later(minutes=1)
    club.leader(handover.undo)
    assert club.stands("D").position.use is before
    assert club.leader(losing.all_lost) == Losses(())


def test_a_lost_kit_is_not_given_out_and_the_helper_is_not_told_why(club: Club) -> None:
    club.leader(losing.lose, "D: in the hall")
    refused = club.helper(handover.give_out, "D Red")
    assert isinstance(refused, Refused)
    assert refused.reason is Reason.OUT_OF_USE
    text = said(refused, View(club.zone, club.now, Role.HELPER, True, "Club")).text
    assert "D" in text
    assert "None" not in text
    assert "hall" not in text


def test_what_can_not_be_read_or_is_lost_already_changes_nothing(club: Club) -> None:
    club.leader(losing.lose, "tablet D")
    before = dump(club.store)
    for text, reason in (
        ("tablet", Reason.UNKNOWN_KIT),
        ("D and F: in the hall", Reason.UNKNOWN_KIT),
        ("Z", Reason.UNKNOWN_KIT),
        ("tablet D", Reason.ALREADY),
    ):
        refused = club.leader(losing.lose, text)
        assert isinstance(refused, Refused)
        assert refused.reason is reason, text
    after = dump(club.store)
    assert {name for name in after if after[name] != before[name]} <= {"club", "handled_update"}


def test_whoever_scans_something_lost_is_asked_to_hand_it_in_and_the_adults_hear_it(
    club: Club,
) -> None:
    sheet = club.leader(labelling.sheet, "tablets D")
    noted = club.leader(losing.lose, "tablet D")
    club.mail()
    scanned = scanning.scan(club.store, club.student.asking(), sheet.labels[0].code).value
    assert isinstance(scanned, Scanned)
    assert (scanned.loss, scanned.actions) == (noted.loss.number, ())
    (news,) = club.mail()["Leader"]
    assert isinstance(news, LabelScanned)
    assert (news.lost, news.outside) == (True, False)
    mine = scanning.scan(club.store, club.leader.asking(), sheet.labels[0].code).value
    assert isinstance(mine, Scanned)
    assert mine.actions == ("found",)
