"""After the letter: a promised day, what came back into the ledger, the new serial."""

from __future__ import annotations

from datetime import date

import pytest

from clubbot.chat.words import said
from clubbot.desk import (
    battery,
    booking,
    claiming,
    fault,
    fitting,
    handover,
    mending,
    showing,
    supplier,
    talk,
    testday,
    today,
    upkeep,
)
from clubbot.desk.acting import View
from clubbot.rules.ledger import EntryKind, Use
from clubbot.rules.model import FaultId, Reason, Role
from clubbot.rules.results import (
    ClaimEnded,
    ClaimLetter,
    ClaimSent,
    ClaimStands,
    FaultCard,
    FaultsStalled,
    SerialWanted,
)
from clubbot.store import evidence, ledger
from tests.desk.scene import Club
from tests.desk.test_claiming import with_unit

BLACK = "kit D: the screen stays black"
STILL = showing.Photo("video-1", "unique-v", "video", "still-1")


def sent(club: Club, said_: str = BLACK, thing: str = "unit") -> FaultId:
    """Report a fault, say what is to blame, and send the letter."""
    which = FaultId(club.student(fault.report, said_).fault.id)
    club.leader(mending.blame, which, thing)
    assert isinstance(club.leader(supplier.sent, which), ClaimSent)
    return which


def words(club: Club, result: object) -> str:
    return said(result, View(club.zone, club.now, Role.LEADER, True, "Club")).text


def kinds(club: Club, label: str = "D") -> list[str]:
    with club.store.read() as tx:
        return [str(each.kind) for each in ledger.of_kit(tx, club.id, club.kit(label))]


def test_what_is_replaced_is_fitted_under_the_old_label_with_its_new_serial(club: Club) -> None:
    with_unit(club, "D", "S-77")
    which = sent(club)
    club.leader(mending.put, which, "out")
    ended = club.leader(supplier.said, 1, "replaced S-99")
    assert isinstance(ended, ClaimEnded)
    assert (ended.outcome, ended.thing, ended.serial, ended.usable) == (
        "replaced",
        "unit",
        "S-99",
        True,
    )
    fitted = club.leader(fitting.fitted, "D")
    assert [(each.kind, each.name) for each in fitted.things] == [("unit", "S-99")]
    assert club.stands("D").position.use is Use.IN_USE
    assert kinds(club)[-4:] == ["replaced", "taken off", "fitted", "put back in use"]
    assert club.helper(today.kit_card, "D").faults == ()
    card = club.leader(mending.card, 1)
    assert isinstance(card, FaultCard)
    assert (card.fault.serial, card.fault.kit) == ("S-77", None), "it stays with the old one"
    assert club.audit() == []


def test_the_new_one_has_the_old_ones_purchase_and_warranty(club: Club) -> None:
    with_unit(club, "D", "S-77")
    sent(club)
    club.leader(supplier.said, 1, "replaced S-99")
    club.student(fault.report, BLACK)
    letter = club.leader(claiming.letter, 2)
    assert isinstance(letter, ClaimLetter)
    assert [(item.serial, item.bought_on) for item in letter.items] == [("S-99", date(2025, 9, 1))]


def test_a_unit_that_nobody_listed_takes_its_fault_along_and_undone_it_is_back(club: Club) -> None:
    which = FaultId(club.student(fault.report, "unit D won't start").fault.id)
    club.leader(supplier.sent, which)
    club.leader(supplier.said, 1, "replaced S-99")
    assert club.leader(mending.card, 1).fault.kit is None
    assert club.student(fault.report, "unit D won't start").fault.number == 2
    club.leader(handover.undo)
    card = club.leader(mending.card, 1)
    assert (card.fault.kit.label, card.fault.at_supplier) == ("D", True)
    assert club.audit() == []


def test_the_button_asks_for_the_serial_and_the_next_words_are_it(club: Club) -> None:
    which = sent(club)
    asked = club.leader(supplier.ended, which, "replaced")
    assert asked == SerialWanted(1, which, "unit")
    ended = club.leader(talk.hear, "S-99", True)
    assert isinstance(ended, ClaimEnded)
    assert ended.serial == "S-99"


def test_repaired_closes_the_fault_and_refused_opens_it_again(club: Club) -> None:
    which = sent(club)
    club.leader(mending.put, which, "out")
    back = club.leader(supplier.ended, which, "repaired")
    assert (back.outcome, back.usable) == ("repaired", True)
    assert club.leader(supplier.ended, which, "repaired").reason is Reason.OUT_OF_DATE
    other = sent(club, "kit F: the screen stays black")
    club.leader(supplier.said, 2, "refused: no receipt")
    card = club.leader(mending.card, 2)
    assert (card.fault.closed_at, card.fault.at_supplier) == (None, False)
    assert [(each.what, each.note) for each in card.steps][-1] == ("refused", "no receipt")
    assert isinstance(club.leader(supplier.sent, other), ClaimSent), "one may write once more"
    assert EntryKind.REFUSED in kinds(club, "F")


@pytest.mark.parametrize("typed", ["by 12 Oct", "promised by 12 October", "12 oct"])
def test_a_promised_day_is_kept_and_told_on_the_next_session_morning_once_it_has_passed(
    club: Club, typed: str
) -> None:
    sent(club)
    stands = club.leader(supplier.said, 1, typed)
    assert isinstance(stands, ClaimStands)
    assert stands.claim.promised_on == date(2026, 10, 12)
    club.set("2026-10-12 20:00")
    club.mail()
    club.set("2026-10-16 08:05")
    told = club.mail()
    (late,) = [each for each in told["Leader"] if isinstance(each, FaultsStalled)]
    assert [each.number for each in late.claims] == [1]
    assert "which has passed" in words(club, late)
    assert not any(isinstance(each, FaultsStalled) for each in told.get("Co-leader", []))
    assert club.sweep() == 0
    for day, again in (("2026-10-16", 0), ("2026-10-23", 1)):
        club.set(f"{day} 17:30")
        told = club.mail().get("Leader", [])
        late_again = [each for each in told if isinstance(each, FaultsStalled)]
        assert len(late_again) == again, "not twice on one day"


def test_a_letter_without_a_promised_day_is_in_the_weeks_message_after_two_weeks(
    club: Club,
) -> None:
    sent(club)
    for day, told in (("2026-10-09", False), ("2026-10-16", True), ("2026-10-23", True)):
        club.set(f"{day} 17:30")
        mail = club.mail().get("Leader", [])
        found = [each for each in mail if isinstance(each, FaultsStalled)]
        assert [[c.number for c in each.claims] for each in found] == ([[1]] if told else []), day
    club.leader(supplier.said, 1, "repaired")
    club.set("2026-10-30 17:30")
    assert not any(isinstance(each, FaultsStalled) for each in club.mail().get("Leader", []))


def test_an_answer_in_time_or_a_later_day_tells_nobody(club: Club) -> None:
    which = sent(club)
    club.leader(supplier.promised, which, 7)
    club.set("2026-10-08 12:00")
    club.leader(supplier.said, 1, "by 30 Oct")
    club.set("2026-10-16 08:05")
    assert not any(isinstance(each, FaultsStalled) for each in club.mail().get("Leader", []))


def test_what_makes_no_sense_is_asked_for_and_changes_nothing(club: Club) -> None:
    sent(club)
    for typed in ("hello", "by 3 Sep 2026", "replaced " + "x" * 80):
        assert club.leader(supplier.said, 1, typed).reason is Reason.NOT_UNDERSTOOD, typed
    assert club.leader(supplier.said, 7, "repaired").reason is Reason.UNKNOWN_FAULT
    assert len(club.leader(supplier.out).claims) == 1
    assert club.helper(supplier.said, 1, "repaired").reason is Reason.NOT_ALLOWED


def test_while_it_is_away_the_kit_can_be_put_out_of_use_and_its_parts_stay(club: Club) -> None:
    which = FaultId(club.student(fault.report, BLACK).fault.id)
    result = club.leader(supplier.sent, which)
    assert "stay D's" in words(club, result)
    assert result.in_use
    club.student(booking.request, "2 kits Fri 15:30-17:00")
    club.leader(mending.put, which, "out")
    assert club.stands("D").position.withdrawn == "fault 1"


def test_what_is_undone_lets_the_letter_stand_again_and_then_makes_it_unsent(club: Club) -> None:
    with_unit(club, "D", "S-77")
    which = sent(club)
    club.leader(mending.put, which, "out")
    club.leader(supplier.said, 1, "replaced S-99")
    club.leader(handover.undo)
    assert [each.name for each in club.leader(fitting.fitted, "D").things] == ["S-77"]
    card = club.leader(mending.card, 1)
    assert (card.fault.at_supplier, card.fault.closed_at) == (True, None)
    assert card.claim is not None
    assert club.stands("D").position.withdrawn == "fault 1"
    club.leader(handover.undo)
    club.leader(handover.undo)
    card = club.leader(mending.card, 1)
    assert (card.fault.at_supplier, card.claim) == (False, None)
    assert club.audit() == []


# -- the letter -------------------------------------------------------------------------


def test_only_pictures_that_an_adult_has_looked_through_go_out(club: Club) -> None:
    which = FaultId(club.student(showing.report_with_photo, BLACK, STILL).fault.id)
    letter = club.leader(claiming.letter, 1)
    assert (letter.videos, letter.unseen, letter.has_video) == (0, 1, True)
    assert "left out until you have looked" in words(club, letter)
    assert club.leader(claiming.stills, which) == []
    assert club.helper(showing.looked, which).reason is Reason.NOT_ALLOWED
    club.leader(showing.looked, which)
    assert club.leader(claiming.letter, 1).videos == 1
    assert club.leader(claiming.stills, which) == ["still-1"]


def test_the_video_that_is_asked_for_goes_with_that_fault(club: Club) -> None:
    which = FaultId(club.student(fault.report, BLACK).fault.id)
    club.leader(fault.report, "kit F: the left motor does not turn")
    assert not club.leader(showing.await_picture, which).video
    assert club.leader(showing.report_with_photo, "", STILL).number == 1
    by_number = showing.Photo("photo-2", "unique-2", "photo")
    assert club.leader(showing.report_with_photo, "fault 2", by_number).number == 2
    card = club.leader(mending.card, 1)
    assert (card.photos, card.videos) == (0, 1)


def test_measured_run_times_stand_against_those_of_the_other_kits(club: Club) -> None:
    for label, minutes in (("A", 112), ("B", 121), ("D", 61)):
        club.leader(battery.say_of_battery, f"{label} test {minutes}")
    which = FaultId(club.student(fault.report, "the battery of D does not last").fault.id)
    club.leader(mending.blame, which, "battery")
    letter = club.leader(claiming.letter, 1)
    assert [each.minutes for each in letter.runs] == [61]
    assert letter.others == (112, 121)
    assert "it drove 61 minutes on 1 October 2026; 2 of our others drove 112 to 121" in words(
        club, letter
    )
    club.leader(mending.blame, which, "unit")
    assert club.leader(claiming.letter, 1).runs == (), "of the unit the battery's times say nothing"


def test_what_still_ran_when_a_test_was_ended_is_measured_too(club: Club) -> None:
    """A letter that left out the better test of two would mislead whoever is to pay."""
    club.leader(battery.say_of_battery, "D test 61")
    club.later(days=1)
    club.leader(testday.start, [club.kit("D")])
    club.later(minutes=95)
    club.leader(testday.end)
    which = FaultId(club.student(fault.report, "the battery of D does not last").fault.id)
    club.leader(mending.blame, which, "battery")
    text = words(club, club.leader(claiming.letter, 1))
    assert "61 minutes on 1 October 2026, more than 95 minutes on 2 October 2026" in text


def test_a_test_of_the_battery_that_was_there_before_is_not_this_ones(club: Club) -> None:
    club.leader(battery.say_of_battery, "D test 61")
    club.later(days=1)
    club.leader(fitting.fit, "new battery B9 to D")
    which = FaultId(club.student(fault.report, "the battery of D does not last").fault.id)
    club.leader(mending.blame, which, "battery")
    assert club.leader(claiming.letter, 1).runs == ()


# -- what shows a fault -----------------------------------------------------------------


def test_copies_and_pictures_go_when_the_fault_is_long_over(club: Club) -> None:
    which = FaultId(club.student(showing.report_with_photo, BLACK, STILL).fault.id)
    picture = club.leader(showing.shown, which)[0].id
    assert club.leader(showing.keep_copies, which, {picture: b"film"}, 0).kept == 1
    assert club.leader(showing.shown, which)[0].content == b"film"
    assert club.helper(showing.keep_copies, which, {picture: b"x"}, 0).reason is Reason.NOT_ALLOWED
    club.leader(mending.close, 1, "new unit")
    for days, left in ((179, 1), (2, 0)):
        club.later(days=days)
        upkeep.tidy(club.store, club.now)
        with club.store.read() as tx:
            assert len(evidence.pictures(tx, club.id, which)) == left
            assert len(evidence.copies(tx, club.id, [picture])) == left
