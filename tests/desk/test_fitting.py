"""Batteries, tablets and units are fitted to kits, moved, replaced, and found where they are."""

from __future__ import annotations

import pytest

from clubbot.chat.words import said
from clubbot.desk import battery, booking, charging, fitting, handover
from clubbot.desk.acting import View
from clubbot.rules.fitting import ALWAYS, Fit, read
from clubbot.rules.model import ItemKind, Reason, Refused, Role
from clubbot.rules.results import Fitted, ThingFitted, ThingListed, ThingTakenOff
from clubbot.store import fitting as stored
from tests.desk.scene import Club, dump

BATTERY = ItemKind.BATTERY


@pytest.mark.parametrize(
    ("text", "fit"),
    [
        ("battery B7 to D", Fit(BATTERY, "B7", "D")),
        ("the battery B7 into kit D", Fit(BATTERY, "B7", "kit D")),
        ("Tablet T 3 in D", Fit(ItemKind.TABLET, "T 3", "D")),
        ("battery A to D", Fit(BATTERY, "A", "D")),
        ("a new battery to D", Fit(BATTERY, "", "D", new=True)),
        ("new unit U-77 for D", Fit(ItemKind.UNIT, "U-77", "D", new=True)),
        ("battery off D", Fit(BATTERY, "", "D", off=True)),
        ("battery out of D", Fit(BATTERY, "", "D", off=True)),
        ("battery B7", Fit(BATTERY, "B7", "")),
        ("D", Fit(None, "", "D")),
    ],
)
def test_what_is_typed_of_a_fitting_is_read(text: str, fit: Fit) -> None:
    assert read(text) == fit


def _in(club: Club, label: str) -> list[tuple[str, str]]:
    found = club.leader(fitting.fitted, label)
    assert isinstance(found, Fitted)
    return [(each.kind, each.name) for each in found.things]


def test_a_battery_is_fitted_replaced_moved_and_taken_off_and_that_can_be_undone(
    club: Club,
) -> None:
    first = club.leader(fitting.fit, "battery B1 to D")
    assert isinstance(first, ThingFitted)
    assert (first.new, first.out, first.was_in) == (True, (), None)
    club.leader(fitting.fit, "tablet T3 to D")
    club.later(minutes=5)
    second = club.leader(fitting.fit, "battery B2 to D")
    assert second.out == ("B1",)
    assert _in(club, "D") == [("tablet", "T3"), ("battery", "B2")]
    club.later(minutes=5)
    moved = club.leader(fitting.fit, "battery b2 to E")
    assert (moved.new, moved.was_in.label, moved.thing.name) == (False, "D", "B2")
    assert (_in(club, "D"), _in(club, "E")) == ([("tablet", "T3")], [("battery", "B2")])
    club.leader(handover.undo)
    assert _in(club, "D") == [("tablet", "T3"), ("battery", "B2")]
    assert isinstance(club.leader(fitting.fit, "battery off D"), ThingTakenOff)
    assert _in(club, "D") == [("tablet", "T3")]
    where = club.leader(fitting.fitted, "battery B2")
    assert [(each.name, each.kit) for each in where.things] == [("B2", None)]
    assert club.audit() == []


def test_one_that_was_in_the_kit_all_along_has_the_kits_past_and_a_new_one_has_none(
    club: Club,
) -> None:
    fresh = club.leader(fitting.fit, "new battery B8 to C")
    assert not fresh.ask
    made = club.leader(fitting.fit, "battery B9 to D")
    assert made.ask
    assert isinstance(club.leader(fitting.was_there, made.ask), ThingListed)
    assert club.leader(fitting.was_there, made.ask).reason is Reason.OUT_OF_DATE
    with club.store.read() as tx:
        stays = stored.all_stays(tx, club.id)[BATTERY]
    starts = {stay.kit: stay.start for stay in stays if stay.end is None}
    assert starts == {club.kit("D"): ALWAYS, club.kit("C"): club.now}


@pytest.mark.parametrize("text", ["", "battery", "battery B7 to X", "D to E", "battery off D"])
def test_what_cant_be_fitted_changes_nothing_and_is_said_kindly(club: Club, text: str) -> None:
    before = dump(club.store)
    refused = club.leader(fitting.fit, text)
    assert isinstance(refused, Refused)
    assert dump(club.store) == before
    view = View(club.zone, club.now, Role.LEADER, private=True, club="Lanterns")
    assert len(said(refused, view).text) < 100


def _runs(club: Club, label: str) -> int:
    return int(club.leader(battery.battery, label).run[1])


def test_what_is_known_of_a_battery_goes_along_and_a_new_one_starts_afresh(club: Club) -> None:
    made = club.leader(fitting.fit, "battery B1 to A")
    club.leader(fitting.was_there, made.ask)
    club.leader(charging.charged, "A")
    club.later(minutes=60)
    club.leader(battery.say_of_battery, "A test 50")
    assert 45 < _runs(club, "A") < 60
    club.later(days=1)
    club.leader(fitting.fit, "new battery B2 to A")
    assert _runs(club, "A") > 100
    club.later(days=1)
    assert _runs(club, "C") > 100
    club.leader(fitting.fit, "battery B1 to C")
    assert (_runs(club, "A") > 100, 45 < _runs(club, "C") < 60) == (True, True)
    club.leader(charging.charged, "C")
    club.later(minutes=5)
    club.leader(fitting.fit, "battery off C")
    assert _runs(club, "C") > 100
    assert club.leader(battery.battery, "C").charged_at is None


def test_a_battery_fitted_while_its_kit_is_out_is_used_from_then_on(club: Club) -> None:
    club.leader(charging.charged, "A B")
    club.set("2026-10-02 15:30")
    club.helper(handover.give_out, "A B for Red")
    club.set("2026-10-02 16:00")
    club.leader(fitting.fit, "new battery B2 to A")
    club.set("2026-10-02 17:00")
    club.helper(handover.back, "A B")
    driven = [club.leader(battery.battery, label).driven for label in "AB"]
    assert driven == [20, 30]


def test_students_and_helpers_fit_nothing(club: Club) -> None:
    for ask in (club.student, club.helper):
        assert ask(fitting.fit, "battery B7 to D").reason is Reason.NOT_ALLOWED


def test_a_kits_own_battery_is_moved_by_that_kits_label_or_asked_for(club: Club) -> None:
    before = dump(club.store)
    asked = club.leader(fitting.fit, "battery E to D")
    assert isinstance(asked, Refused)
    assert asked.facts == {"wanted": "own name", "kind": "battery", "labels": ("E",)}
    assert dump(club.store) == before
    club.leader(fitting.fit, "battery B1 to E")
    club.later(minutes=5)
    moved = club.leader(fitting.fit, "E's battery into D")
    assert (moved.new, moved.thing.name, moved.was_in.label) == (False, "B1", "E")


def test_the_charge_list_speaks_of_the_battery_that_is_in_a_kit_now(club: Club) -> None:
    club.leader(charging.charged, "A B")
    club.student(booking.request, "A and B Fri 15:30-16:00")
    charged = {line.kit.label: line.charged_at for line in club.helper(charging.charge_list).needed}
    club.later(minutes=5)
    club.leader(fitting.fit, "a new battery to A")
    now = {line.kit.label: line.charged_at for line in club.helper(charging.charge_list).needed}
    assert now == {"A": None, "B": charged["B"]}
    assert charged["A"] is not None
