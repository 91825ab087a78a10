"""Parts and spares at the desk: trays made whole, what may lend, what is told to whom."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
import sqlalchemy as sa

from clubbot.desk import (
    booking,
    counting,
    fault,
    handover,
    history,
    keeping,
    ordering,
    parts,
    usability,
)
from clubbot.rules.model import Reason, Refused
from clubbot.rules.results import (
    Booked,
    Counted,
    CountSheet,
    FaultReported,
    PartsBooks,
    PartsGone,
    PartsNoted,
    PartsOrder,
    PartsOrdered,
    PartsShown,
    Undone,
)
from clubbot.store import clubs, faults, ledger
from clubbot.store.tables import PART
from tests.desk.scene import Club

LISTED = (("motor", 2, True, None, None), ("cable", 4, False, 5, 600), ("axle", 6, False, 20, None))


@pytest.fixture
def listed(club: Club) -> Club:
    """The club with a contents list."""
    with club.store.write() as tx:
        kit_type = next(iter(clubs.kit_types(tx, club.id)))
        tx.execute(
            sa.insert(PART),
            [
                {
                    "club_id": club.id,
                    "kit_type_id": kit_type,
                    "name": name,
                    "number": number,
                    "big": big,
                    "essential": True,
                    "tray": "",
                    "pack": pack,
                    "price_cents": price,
                }
                for name, number, big, pack, price in LISTED
            ],
        )
    return club


def _noted(club: Club, text: str) -> PartsNoted:
    result = club.helper(parts.note, text)
    assert isinstance(result, PartsNoted), result
    return result


def _lacks(club: Club, label: str) -> dict[str, int]:
    return dict(club.stands(label).position.missing)


def _books(club: Club, part: str) -> dict[str, int]:
    result = club.leader(ordering.books)
    assert isinstance(result, PartsBooks)
    (line,) = [line for line in result.lines if line.part == part]
    names = ("bought", "in_trays", "kept_built", "on_shelf", "lent", "found", "at_supplier",
             "missing", "broken", "ordered")  # fmt: skip
    told = {name: getattr(line, name) for name in names}
    assert told["bought"] == sum(told[name] for name in names[1:-1])
    return {name: number for name, number in told.items() if number}


def test_what_is_found_is_offered_to_the_gaps_and_one_tap_makes_a_tray_whole(listed: Club) -> None:
    _noted(listed, "D lost 2 cables")
    _noted(listed, "bought 1 cable")
    found = _noted(listed, "found a cable")
    (gap,) = found.gaps
    assert (gap.kit.label, gap.found, gap.shelf, gap.rest) == (
        "D", (("cable", 1),), (("cable", 1),), (),
    )  # fmt: skip
    whole = listed.helper(parts.make_whole, listed.kit("D"))
    assert isinstance(whole, PartsNoted)
    assert (whole.parts, whole.lacks) == ((("cable", 2),), ())
    assert _lacks(listed, "D") == {}
    assert _books(listed, "cable") == {"bought": 25, "in_trays": 24, "missing": 1}
    assert listed.helper.again() == whole, "the same tap twice puts nothing in twice"
    assert listed.helper(parts.make_whole, listed.kit("D")) == Refused(Reason.OUT_OF_DATE)
    assert listed.audit() == []


def test_what_turns_up_for_a_kit_is_missing_no_more(listed: Club) -> None:
    _noted(listed, "D lost 2 cables")
    _noted(listed, "D found 1 cable")
    assert _lacks(listed, "D") == {"cable": 1}
    assert _books(listed, "cable") == {"bought": 24, "in_trays": 23, "missing": 1}
    assert listed.helper(parts.note, "D found 2 cables").reason is Reason.NOT_THAT_MANY
    assert listed.audit() == []


def test_undoing_takes_the_parts_out_of_the_tray_again(listed: Club) -> None:
    _noted(listed, "D lost 2 cables")
    _noted(listed, "bought a pack of cables")
    _noted(listed, "D from shelf")
    assert _books(listed, "cable")["on_shelf"] == 3
    listed.helper(handover.undo)
    assert _lacks(listed, "D") == {"cable": 2}
    assert _books(listed, "cable")["on_shelf"] == 5
    listed.helper(handover.undo)
    assert "on_shelf" not in _books(listed, "cable")
    assert listed.audit() == []


def test_half_of_a_loan_is_never_put_right_alone(listed: Club) -> None:
    listed.helper(usability.withdraw, "E: bent axle")
    _noted(listed, "D lost 1 cable")
    _noted(listed, "D from E")
    with listed.store.read() as tx:
        half = ledger.of_kit(tx, listed.id, listed.kit("D"))[-1]
    result = listed.helper(history.was_not_so, listed.kit("D"), half.seq)
    assert not isinstance(result, Refused), result
    assert (_lacks(listed, "D"), _lacks(listed, "E")) == ({"cable": 1}, {})
    assert listed.audit() == []


def test_undoing_what_was_said_of_the_shelf_says_what_it_was(listed: Club) -> None:
    _noted(listed, "bought 3 cables")
    undone = listed.helper(handover.undo)
    assert isinstance(undone, Undone)
    assert undone.what == (("parts bought", ""),)
    assert listed.audit() == []


def test_buying_is_not_undone_while_the_parts_are_in_a_tray(listed: Club) -> None:
    _noted(listed, "D lost 2 cables")
    listed.leader(parts.note, "bought 2 cables")
    _noted(listed, "D from shelf")
    result = listed.leader(handover.undo)
    assert isinstance(result, Refused)
    assert result.reason is Reason.LATER_ENTRIES
    assert listed.audit() == []


def test_only_a_kit_that_waits_for_repair_lends_and_none_under_a_claim(listed: Club) -> None:
    _noted(listed, "D lost 1 cable")
    no = listed.helper(parts.note, "D from E 1 cable")
    assert no == Refused(Reason.NO_LENDER, {"label": "E", "why": "in use"})
    listed.helper(usability.withdraw, "E: bent axle")
    shown = listed.helper(parts.shown)
    assert isinstance(shown, PartsShown)
    (gap,) = shown.gaps
    assert [(each.kit.label, each.parts) for each in gap.lenders] == [("E", (("cable", 1),))]
    lent = listed.helper(parts.lend, listed.kit("E"), listed.kit("D"))
    assert isinstance(lent, PartsNoted)
    assert (_lacks(listed, "D"), _lacks(listed, "E")) == ({}, {"cable": 1})
    assert _books(listed, "cable") == {"bought": 24, "in_trays": 22, "lent": 1, "missing": 1}
    listed.helper(handover.undo)
    assert (_lacks(listed, "D"), _lacks(listed, "E")) == ({"cable": 1}, {})

    reported = listed.helper(fault.report, "E won't start")
    assert isinstance(reported, FaultReported)
    with listed.store.write() as tx:
        faults.change(tx, listed.id, reported.fault.id, state="at the supplier")
    assert listed.helper(parts.note, "D from E 1 cable").facts["why"] == "claim"
    assert _books(listed, "cable")["at_supplier"] == 4
    assert listed.audit() == []


def test_what_was_lent_goes_back_or_is_settled_from_the_shelf(listed: Club) -> None:
    listed.helper(usability.withdraw, "E: bent axle")
    _noted(listed, "D lost 2 cables")
    _noted(listed, "D from E")
    assert _books(listed, "cable")["lent"] == 2
    back = listed.helper(parts.note, "E from D 1 cable")
    assert isinstance(back, PartsNoted)
    assert back.what == "given back"
    assert _books(listed, "cable")["lent"] == 1
    _noted(listed, "bought 5 cables")
    _noted(listed, "E from shelf")
    assert "lent" not in _books(listed, "cable")
    assert listed.audit() == []


def test_broken_parts_go_to_the_supplier_and_come_back_as_spares(listed: Club) -> None:
    _noted(listed, "D broken 2 cables")
    assert _lacks(listed, "D") == {"cable": 2}
    _noted(listed, "sent 1 cable")
    assert _books(listed, "cable") == {
        "bought": 24, "in_trays": 22, "at_supplier": 1, "broken": 1,
    }  # fmt: skip
    replaced = _noted(listed, "replaced 1 cable")
    assert [gap.kit.label for gap in replaced.gaps] == ["D"]
    too_many = listed.helper(parts.note, "sent 2 cables")
    assert too_many == Refused(
        Reason.NOT_THAT_MANY, {"part": "cable", "number": 1, "where": "broken"}
    )
    assert listed.audit() == []


def test_a_kit_kept_built_counts_as_kept_built(listed: Club) -> None:
    kept = listed.leader(keeping.keep, "D Red until 2026-12-05")
    assert not isinstance(kept, Refused), kept
    assert _books(listed, "motor") == {"bought": 12, "in_trays": 10, "kept_built": 2}


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("hello", Reason.NOT_UNDERSTOOD),
        ("found 0 cables", Reason.NOT_UNDERSTOOD),
        ("found 2 flanges", Reason.UNKNOWN_PART),
        ("bought 2 packs of motors", Reason.UNKNOWN_PART),
        ("D from shelf", Reason.NOT_THAT_MANY),
        ("D from shelf 1 cable", Reason.NOT_THAT_MANY),
        ("D broken 5 cables", Reason.NOT_THAT_MANY),
        ("broken 1 cable", Reason.NOT_THAT_MANY),
        ("to shelf 1 cable", Reason.NOT_THAT_MANY),
    ],
)
def test_what_can_not_be_is_refused_and_changes_nothing(
    listed: Club, text: str, reason: Reason
) -> None:
    result = listed.helper(parts.note, text)
    assert isinstance(result, Refused)
    assert result.reason is reason
    assert _books(listed, "cable") == {"bought": 24, "in_trays": 24}


def _count(club: Club, wall: str, label: str, missing: str = "", taps: int = 0) -> Counted:
    club.set(wall)
    sheet = club.helper(counting.count, label)
    assert isinstance(sheet, CountSheet)
    place = [name for name, _, _ in sheet.parts].index(missing) if missing else 0
    for _ in range(taps):
        club.helper(counting.count_less, club.kit(label), place)
    counted = club.helper(counting.count_done, club.kit(label))
    assert isinstance(counted, Counted)
    return counted


def test_what_went_missing_is_told_to_adults_by_kit_between_two_counts(listed: Club) -> None:
    _count(listed, "2026-10-02 17:05", "D")
    booked = listed.student(booking.request, "1 kit fri 9 oct 15:30 to 17:00")
    assert isinstance(booked, Booked)
    _count(listed, "2026-10-16 17:05", "D", "cable", 2)
    result = listed.leader(ordering.gone)
    assert isinstance(result, PartsGone)
    (line,) = result.lines
    assert line.kit is not None
    assert (line.kit.label, line.part, line.number) == ("D", "cable", 2)
    assert (line.since, line.at) == (listed.at("2026-10-02 17:05"), listed.at("2026-10-16 17:05"))
    assert not any("team" in name for name in type(line).__dataclass_fields__)
    for person in (listed.helper, listed.student, listed.door):
        assert person(ordering.gone).reason is Reason.NOT_ALLOWED
        assert person(ordering.order).reason is Reason.NOT_ALLOWED


def test_the_order_covers_the_gaps_and_what_will_be_lost_in_whole_packs(listed: Club) -> None:
    for label in "ABCD":
        _count(listed, "2026-10-02 15:00", label)
    for week, day in enumerate(("2026-10-02", "2026-10-09", "2026-10-16", "2026-10-23")):
        listed.set(f"{day} 15:30")
        listed.helper(handover.give_out, "A B C Red")
        listed.set(f"{day} 17:00")
        listed.helper(handover.back, "all")
        _count(listed, f"{day} 17:05", "ABCD"[week], "cable", 1)
    shown = listed.leader(ordering.order)
    assert isinstance(shown, PartsOrder)
    assert shown.seen == 7, "Fridays and Mondays, whether kits went out or not"
    (cable,) = [line for line in shown.lines if line.part == "cable"]
    assert (cable.lost, cable.there, cable.owed) == (4, 0, 4)
    assert cable.pieces == cable.packs * 5
    assert cable.pieces >= cable.base + cable.owed > cable.pieces - 5
    assert cable.cents == cable.packs * 600
    stale = listed.leader(ordering.ordered, "0" * 12)
    assert stale == shown, "what is ordered is what was shown"
    assert isinstance(listed.leader(ordering.ordered, shown.key), PartsOrdered)
    again = listed.leader(ordering.order)
    assert isinstance(again, PartsOrder)
    assert again.lines == (), "what is on order is not ordered twice"
    assert _books(listed, "cable")["ordered"] == cable.pieces
    _noted(listed, f"bought {cable.packs} packs of cables")
    assert "ordered" not in _books(listed, "cable")
    assert listed.audit() == []


def test_an_order_that_never_comes_is_taken_off(listed: Club) -> None:
    _noted(listed, "ordered 10 cables")
    assert _books(listed, "cable")["ordered"] == 10
    _noted(listed, "ordered 0 cables")
    assert "ordered" not in _books(listed, "cable")


def test_a_club_with_two_kit_types_is_asked_whose_parts_they_are(listed: Club) -> None:
    from clubbot.desk import exchange

    rows = "kit type,run minutes,part,number,big,essential,tray\nbig kit,90,cable,3,no,yes,\n"
    preview = listed.leader(exchange.take_in, rows)
    listed.leader(exchange.confirm, preview.key)
    result = listed.helper(parts.note, "bought 2 cables")
    assert isinstance(result, Refused)
    assert sorted(result.facts["types"]) == sorted(["big kit", "robot kit"])  # type: ignore[call-overload]
    assert isinstance(listed.helper(parts.note, "bought 2 axles"), PartsNoted)


def test_once_a_term_the_leaders_are_told_what_to_order_and_not_again(listed: Club) -> None:
    _noted(listed, "D lost 2 cables")
    told: list[tuple[str, str]] = []
    for week in range(20):
        friday = date(2026, 10, 2) + timedelta(days=7 * week)
        listed.set(f"{friday} 17:10")
        for name, said in listed.mail().items():
            told += [(name, str(friday)) for each in said if isinstance(each, PartsOrder)]
    assert told == [("Leader", "2027-01-22")], "on a Friday, sixteen weeks after the first entry"
    shown = listed.leader(ordering.order)
    listed.leader(ordering.ordered, shown.key)
    listed.later(days=7)
    assert not any(isinstance(e, PartsOrder) for said in listed.mail().values() for e in said)
