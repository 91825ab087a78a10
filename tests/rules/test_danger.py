"""Danger comes first: never missed, and not raised by a saying."""

from __future__ import annotations

import pytest

from clubbot.rules.faults import Symptom, read_fault
from clubbot.rules.faults.danger import _signs
from clubbot.rules.faults.harm import (
    OF_BATTERY,
    OF_NOTHING,
    OF_PEOPLE,
    Harm,
    names_only,
    read_hazard,
)
from tests.rules.shares import readings, share

LETTERS = list("ABCDEFGHIJKL")


@pytest.mark.parametrize(
    ("text", "kits"),
    [
        ("D's battery is realy hot", ("D",)),
        ("battrey swolen", ()),
        ("THE CHARGER OF C IS SPARKING", ("C",)),
        ("it smells a bit burnt near E, maybe its nothing", ("E",)),
        ("charger lead of B is frayed", ("B",)),
        ("my brother swallowed a button cell", ()),
        ("a screw fell into F", ("F",)),
        ("juice all over G", ("G",)),
        ("i cut my finger", ()),
        ("her hair is stuck in the wheel of K", ("K",)),
        ("E won't turn on and it's warm", ("E",)),
        ("is it normal that the charger gets hot?", ()),
        ("not sure but i think the battery leaks", ()),
        ("its not charging and the battery looks fat", ()),
        ("battery 🎈", ()),
        ("🔥 from the charger", ()),
        ("I got an electric shock", ()),
        ("hotter than usual", ()),
        ("not swollen but hot", ()),
        ("F make smoke, what I do", ("F",)),
        ("la batería está caliente", ()),
        ("someone taped the charger lead", ()),
        ("there's a pin in the charging port of C", ("C",)),
        ("the claw closed on my finger", ()),
        ("they're hitting the battery with a hammer", ()),
    ],
)
def test_danger_is_heard_in_any_wording_and_with_doubt(text: str, kits: tuple[str, ...]) -> None:
    found = read_fault(text, LETTERS)

    assert found.danger
    assert found.fault
    assert found.symptom == Symptom.BATTERY_DANGER
    assert found.kits == kits


@pytest.mark.parametrize(
    "text",
    [
        "our robot is on fire today!",
        "we need hot glue",
        "what a warm day",
        "that was sick",
        "no smoke, no smell, all fine",
        "power cut at home",
        "fingers crossed",
        "it smells like rain",
        "D is on fire, three wins in a row 🔥🏆",
        "why do batteries catch fire?",
        "reminder: never leave the charger alone",
        "K cuts out when it hits the wall",
        "B ran out of juice",
        "G froze, had to pull the battery",
        "D goes poof and is off when another robot touches it",
        "the battery of F does not sit tight",
        "a tooth is missing on the gear wheel",
        "K fell off the table and an arm snapped",
        "remember when the battery smoked last year?",
        "never charge a hot battery",
        "all batteries looked at, none swollen",
    ],
)
def test_a_saying_or_a_plain_fault_raises_no_danger(text: str) -> None:
    assert not read_fault(text, LETTERS).danger


@pytest.mark.parametrize("text", ["E is smoking", "flames from the charger", "the battery burns"])
def test_smoke_and_flames_are_told_from_other_danger(text: str) -> None:
    assert read_fault(text, LETTERS).fire


@pytest.mark.parametrize("text", ["D's battery is swollen", "he swallowed a pin", "C got wet"])
def test_danger_without_smoke_is_no_fire(text: str) -> None:
    found = read_fault(text, LETTERS)

    assert found.danger
    assert not found.fire


@pytest.mark.parametrize(
    ("text", "second"),
    [
        ("D's charger lead is frayed", Symptom.PORT_OR_CABLE),
        ("he swallowed a pin", Symptom.MISSING_PART),
        ("her hair is caught in the wheel", Symptom.MOTOR_FAULT),
        ("E won't turn on and it's warm", Symptom.WILL_NOT_START),
    ],
)
def test_beside_danger_stands_the_fault_that_the_same_words_report(
    text: str, second: Symptom
) -> None:
    assert [code for code, _ in read_fault(text, LETTERS).alternatives][1] == second


def test_danger_is_never_missed_in_the_half_that_was_tuned_on() -> None:
    missed = share(not each.found.danger for each in readings("danger_tuned") if each.danger)

    assert missed.hits == 0, str(missed)


def test_danger_is_hardly_ever_missed_in_phrases_kept_apart() -> None:
    missed = share(not each.found.danger for each in readings("danger_apart") if each.danger)

    assert missed.value <= 0.02, str(missed)


def test_danger_in_the_half_never_tuned_on_is_missed_no_more_than_before() -> None:
    """The bad end of the last look's interval (2 of 225); the goal is none."""
    missed = share(not each.found.danger for each in readings("danger_unseen") if each.danger)

    assert missed.value <= 0.032


@pytest.mark.parametrize("name", ["tuned", "apart", "unseen"])
def test_danger_is_raised_in_vain_by_few_of_the_usual_messages(name: str) -> None:
    usual = [each for each in readings(f"faults_{name}") if not each.danger]
    in_vain = share(each.found.danger for each in usual)

    assert in_vain.value <= 0.02


# -- whom or what it is about ------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "harm", "thing", "battery"),
    [
        ("Tom swallowed a small battery", {Harm.SWALLOWED}, False, False),
        ("my sister put a magnet up her nose", {Harm.SWALLOWED}, False, False),
        ("my finger is stuck in the gear of C", {Harm.CAUGHT}, False, False),
        ("help my hair is caught in the battery flap of C", {Harm.CAUGHT}, False, False),
        ("i cut myself on kit B", {Harm.HURT}, False, False),
        ("somebody fainted", {Harm.HURT}, False, False),
        ("the battery of E exploded and burned my hand", {Harm.HURT}, True, True),
        ("D's battery is swollen", set(), True, True),
        ("the batery of D smells burnt", set(), True, True),
        ("kit D is swollen", set(), True, True),
        ("the charger cable of F is frayed", set(), True, False),
        ("spilled juice all over E", set(), True, False),
        ("this is dangerous!", set(), True, False),
    ],
)
def test_who_may_be_hurt_and_whether_it_is_the_battery_is_read(
    text: str, harm: set[Harm], thing: bool, battery: bool
) -> None:
    found = read_hazard(text, LETTERS)
    assert (set(found.harm), found.thing, found.battery) == (harm, thing, battery)


def test_the_signs_that_are_told_apart_are_signs() -> None:
    known = {sign.about for sign in _signs().signs}
    assert {*OF_PEOPLE, *OF_BATTERY, *OF_NOTHING} <= known


@pytest.mark.parametrize(
    ("text", "kits"),
    [
        ("C", ("C",)),
        ("its in kit C", ("C",)),
        ("it's kit C", ("C",)),
        ("sorry, it is D!", ("D",)),
        ("C and D", ("C", "D")),
        ("not C", ()),
        ("C is fine", ()),
        ("is C free?", ()),
        ("can we have C", ()),
        ("3 kits", ()),
        ("hello", ()),
        ("", ()),
    ],
)
def test_a_message_that_only_names_kits_is_told_from_one_that_says_more(
    text: str, kits: tuple[str, ...]
) -> None:
    assert names_only(text, LETTERS) == kits
