"""Scanning a label: the kit's card with what one may do now; for strangers, whose it is."""

from __future__ import annotations

from typing import Any

import pytest

from clubbot.desk import handover, labelling, people, scanning, talk, usability
from clubbot.desk.acting import Answer
from clubbot.rules.model import Reason, Refused, Role
from clubbot.rules.results import (
    DangerReported,
    FaultReported,
    GridUnknown,
    LabelScanned,
    LabelSheet,
    MixAsked,
    MixNoted,
    MixSettled,
    Scanned,
    ScannedByStranger,
    WhatIsWrong,
)
from clubbot.rules.setup import misread
from clubbot.store import tags
from tests.desk.scene import Club, Somebody, dump


def _codes(club: Club) -> dict[tuple[str, str], str]:
    sheet = club.leader(labelling.sheet, "")
    assert isinstance(sheet, LabelSheet)
    return {(each.label, each.thing): each.code for each in sheet.labels}


def _scan(who: Somebody, code: str) -> Any:
    answer = scanning.scan(who.club.store, who.asking(), code)
    assert isinstance(answer, Answer)
    return answer.value


def test_each_kits_unit_tablet_and_tray_has_a_code_of_its_own_that_lasts(club: Club) -> None:
    codes = _codes(club)
    assert len(codes) == len(set(codes.values())) == 18
    assert not any(label in code for (label, _), code in codes.items()), "a code says nothing"
    again = club.co_leader(labelling.sheet, "7x3 tablets D F")
    assert isinstance(again, LabelSheet)
    assert (again.paper, again.grid) == ("A4", "7x3 63.5x38.1")
    assert [(each.label, each.thing) for each in again.labels] == [("D", "tablet"), ("F", "tablet")]
    assert [each.code for each in again.labels] == [codes["D", "tablet"], codes["F", "tablet"]]
    assert [each.place for each in again.labels] == [3, 5], "a kit keeps its shape"


def test_a_sheet_or_a_label_that_is_not_known_prints_nothing(club: Club) -> None:
    before = dump(club.store)
    assert isinstance(club.leader(labelling.sheet, "9x9"), GridUnknown)
    unknown = club.leader(labelling.sheet, "tablets Z")
    assert isinstance(unknown, Refused)
    assert unknown.reason is Reason.UNKNOWN_KIT
    changed = {name for name, rows in dump(club.store).items() if rows != before[name]}
    assert "tag" not in changed


def test_labels_that_look_alike_are_warned_of() -> None:
    assert misread(["A", "I", "R1", "RI", "R2", "B0", "BO", "Q"]) == (
        "I",
        "R1",
        "RI",
        "B0",
        "BO",
        "Q",
    )


@pytest.mark.parametrize(
    ("role", "on_the_shelf", "out"),
    [
        (Role.LEADER, ("give out", "wrong"), ("back", "pass on", "wrong")),
        (Role.HELPER, ("give out", "wrong"), ("back", "pass on", "wrong")),
        (Role.DOOR, ("give out", "wrong"), ("back", "wrong")),
        (Role.STUDENT, ("wrong",), ("back", "wrong")),
    ],
)
def test_the_card_offers_what_this_person_may_do_at_this_moment(
    club: Club, role: Role, on_the_shelf: tuple[str, ...], out: tuple[str, ...]
) -> None:
    code = _codes(club)["D", "unit"]
    shelf = _scan(club.people[role], code)
    assert isinstance(shelf, Scanned)
    assert (shelf.card.kit.label, shelf.thing, shelf.actions) == ("D", "unit", on_the_shelf)
    club.set("2026-10-02 15:30")
    club.helper(handover.give_out, "D Red")
    assert _scan(club.people[role], code).actions == out


def test_a_student_may_say_nothing_of_another_teams_kit_and_does_not_learn_whose_it_is(
    club: Club,
) -> None:
    code = _codes(club)["D", "unit"]
    club.set("2026-10-02 15:30")
    club.helper(handover.give_out, "D Blue")
    scanned = _scan(club.student, code)
    assert scanned.actions == ("wrong",)
    assert scanned.card.team is None


def test_what_may_not_be_used_is_not_offered_to_be_given_out(club: Club) -> None:
    code = _codes(club)["D", "tray"]
    club.leader(usability.withdraw, "D: bent axle")
    assert _scan(club.helper, code).actions == ("wrong",)


def test_a_stranger_learns_whose_it_is_and_where_to_hand_it_in_and_the_adults_hear_of_it_once(
    club: Club,
) -> None:
    club.settings(contact="Nora Quinn", hand_in="the school office")
    code = _codes(club)["D", "tablet"]
    for _ in range(2):
        found = _scan(club.stranger, code)
        assert found == ScannedByStranger("Club", "Nora Quinn", "the school office")
    told = club.mail()
    assert set(told) == {"Leader", "Co-leader"}
    (news,) = told["Leader"]
    assert isinstance(news, LabelScanned)
    assert (news.kit.label, news.thing, news.outside, news.lost) == ("D", "tablet", True, False)
    kept = repr({k: v for k, v in dump(club.store).items() if k != "handled_update"})
    assert str(club.stranger.telegram_id) not in kept, "nothing of the stranger is kept"


def test_a_code_that_no_label_has_can_not_be_guessed_for_long(club: Club) -> None:
    code = _codes(club)["D", "unit"]
    for _ in range(people.TRIES):
        wrong = _scan(club.stranger, "nosuchcode")
        assert wrong == Refused(Reason.CODE_WRONG)
    assert _scan(club.stranger, code) == Refused(Reason.TOO_MANY_TRIES)
    assert isinstance(_scan(club.student, code), Scanned), "members are not held up"


def test_a_label_of_ones_other_club_opens_there(club: Club, other_club: Club) -> None:
    code = _codes(other_club)["A", "unit"]
    with club.store.write() as tx:
        from clubbot.store import people as rows

        rows.add(tx, other_club.id, club.student.telegram_id, "S", Role.HELPER, club.now)
        rows.change(tx, club.id, club.student.id, chosen_at=club.later(minutes=1))
    scanned = _scan(club.student, code)
    assert isinstance(scanned, Scanned)
    assert (scanned.club, scanned.actions) == ("Other", ("give out", "wrong"))


def test_what_is_typed_after_something_is_wrong_is_about_the_scanned_kit(club: Club) -> None:
    asked = club.student(scanning.wrong, club.kit("D"))
    assert isinstance(asked, WhatIsWrong)
    noted = club.student(talk.hear, "it makes a funny sound", True)
    assert isinstance(noted, FaultReported)
    assert noted.fault.kit is not None
    assert noted.fault.kit.label == "D"
    later = club.student(talk.hear, "thanks", True)
    assert not isinstance(later, FaultReported), "the question is answered"


def test_danger_typed_after_a_scan_holds_the_scanned_kit(club: Club) -> None:
    club.student(scanning.wrong, club.kit("E"))
    alarm = club.student(talk.hear, "the battery is swollen and hot", True)
    assert isinstance(alarm, DangerReported)
    assert [kit.label for kit in alarm.kits] == ["E"]
    assert club.stands("E").position.held is not None


def test_a_mix_of_unit_and_tablet_is_noted_and_asked_about_until_they_are_apart(club: Club) -> None:
    codes = _codes(club)
    club.set("2026-10-02 15:30")
    club.helper(handover.give_out, "D Red")
    assert _scan(club.helper, codes["D", "unit"]).mix is None
    club.later(minutes=1)
    mix = _scan(club.helper, codes["F", "tablet"]).mix
    assert [kit.label for kit in mix] == ["D", "F"]
    noted = club.helper(scanning.mixed, [kit.id for kit in mix])
    assert isinstance(noted, MixNoted)
    assert noted == club.helper(scanning.mixed, [kit.id for kit in mix]), "noted once"
    assert not [each for each in club.mail().get("Leader", []) if isinstance(each, MixAsked)]
    club.set("2026-10-02 18:00")
    asked = [each for each in club.mail()["Leader"] if isinstance(each, MixAsked)]
    assert [(each.unit.label, each.tablet.label) for each in asked] == [("D", "F")]
    still = club.leader(scanning.still_mixed, asked[0].mix)
    assert isinstance(still, MixSettled)
    club.set("2026-10-05 09:00")
    again = [each for each in club.mail()["Co-leader"] if isinstance(each, MixAsked)]
    assert len(again) == 1
    assert club.helper(scanning.apart, asked[0].mix).apart
    assert club.helper(scanning.apart, asked[0].mix) == Refused(Reason.OUT_OF_DATE)


def test_who_scanned_is_kept_of_those_at_the_door_only_and_for_minutes_only(club: Club) -> None:
    codes = _codes(club)

    def kept() -> list[int]:
        with club.store.read() as tx:
            return [t.scanned_by for t in tags.of_club(tx, club.id) if t.scanned_by is not None]

    _scan(club.student, codes["D", "unit"])
    assert kept() == []
    _scan(club.helper, codes["D", "unit"])
    _scan(club.helper, codes["E", "unit"])
    assert len(kept()) == 2
    club.later(minutes=5)
    _scan(club.helper, codes["F", "unit"])
    assert len(kept()) == 1


@pytest.mark.parametrize(
    ("first", "second", "minutes"),
    [
        (("D", "unit"), ("D", "tablet"), 1),
        (("D", "unit"), ("F", "unit"), 1),
        (("D", "tray"), ("F", "tablet"), 1),
        (("D", "unit"), ("F", "tablet"), 3),
    ],
)
def test_what_belongs_together_or_is_scanned_long_after_is_no_mix(
    club: Club, first: tuple[str, str], second: tuple[str, str], minutes: int
) -> None:
    codes = _codes(club)
    _scan(club.helper, codes[first])
    club.later(minutes=minutes)
    assert _scan(club.helper, codes[second]).mix is None
