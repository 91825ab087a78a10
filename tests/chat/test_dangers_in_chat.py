"""Danger in chat: what a child and an adult read of it, its kit, its card, and how it ends."""

from __future__ import annotations

import pytest

from clubbot.desk import notices
from clubbot.rules.muting import group_of
from tests.chat.played import Club

LEAVE_IT = "Leave it. Move away. Get an adult now."
SWOLLEN = "D's battery is swollen"


async def test_a_danger_that_is_back_alarms_and_holds_and_asks_for_nothing(club: Club) -> None:
    await club.says("Sam", SWOLLEN)
    await club.presses("Owen", "I have it")
    await club.says("Owen", "/fixed 1 new battery")
    await club.says("Owen", "/release D")
    await club.at("2026-11-12 12:00")
    await club.says("Hana", "/faults 1")
    await club.presses("Hana", "It's back")
    said = club.answers("Hana", LEAVE_IT)
    assert (said.text, said.buttons) == (LEAVE_IT, [])
    for adult in ("Nora", "Owen"):
        told = club.answers(adult, "Danger reported by Hana, back after fault 1", "Kit D, on hold")
        assert told.buttons == ["I have it"]
    await club.says("Hana", "/out D Red")
    club.answers("Hana", "D is on hold: danger reported, fault 2")
    await club.at("2026-11-12 12:03")
    club.sees("Owen", "Nobody has this yet")


@pytest.mark.parametrize("said", ["C", "its in kit C"])
async def test_the_kit_named_just_after_a_danger_goes_on_hold_and_the_adults_hear_which(
    club: Club, said: str
) -> None:
    await club.says("Sam", "the battery is swollen")
    assert club.answers("Sam", LEAVE_IT).text == LEAVE_IT
    club.answers("Owen", "No kit named")
    await club.says("Sam", said)
    assert club.answers("Sam", LEAVE_IT).text == LEAVE_IT
    for adult in ("Nora", "Owen"):
        assert club.answers(adult, "It is kit C, on hold now", "fault 1.").buttons == ["I have it"]
    await club.says("Hana", "/out C Red")
    club.answers("Hana", "C is on hold: danger reported, fault 1")
    await club.at("2026-10-15 10:03")
    club.sees("Nora", "Nobody has this yet", "Kit C, on hold")
    await club.presses("Owen", "I have it")
    club.sees("Owen", "You have it", "/release C")
    await club.says("Sam", "sorry its D")
    club.answers("Nora", "It is kits C and D, on hold now", "faults 1 and 2", "Owen has it.")


async def test_a_kit_named_for_something_else_or_later_or_by_others_goes_on_no_hold(
    club: Club,
) -> None:
    await club.shows("Sam", "the battery looks fat")
    await club.says("Bea", "C")
    await club.says("Sam", "C is fine")
    await club.at("2026-10-15 10:01")
    await club.says("Sam", "/book kit D for Red")
    club.answers("Sam", "Which day")
    await club.says("Sam", "D")
    await club.at("2026-10-15 10:11")
    await club.says("Sam", "E")
    await club.says("Nora", "/faults")
    club.answers("Nora", "1 no kit named: danger")
    await club.says("Hana", "/today")
    assert "on hold" not in club.news("Hana")[0].text


async def test_a_release_closes_the_dangers_as_found_and_undone_opens_them_again(
    club: Club,
) -> None:
    await club.says("Sam", SWOLLEN)
    await club.says("Bea", "kit D is smoking")
    await club.says("Owen", "/release D: label came off, nothing swollen")
    club.answers("Owen", "Kit D is in use", "Dangers 1 and 2 are closed: label came off")
    await club.says("Owen", "/faults")
    club.answers("Owen", "No fault is open.")
    await club.presses("Owen", "Undo")
    await club.says("Owen", "/faults")
    club.answers("Owen", "1 D's battery: danger", "2 D: danger")
    await club.says("Owen", "/faults 1")
    await club.presses("Owen", "Release D")
    club.answers("Owen", "Dangers 1 and 2 are closed: you have looked", "/release D: new battery")
    await club.says("Owen", "/faults 1")
    club.answers("Owen", "off hold, an adult looked", "Closed today 10:00.")


@pytest.mark.parametrize(
    ("said", "child", "adult"),
    [
        (
            "Tom swallowed a small battery",
            "Get an adult now. Emergency: 112.",
            "Call the emergency services at once",
        ),
        (
            "my finger is stuck in the gear of C",
            "Get an adult now. Emergency: 112. Stop it. Don't pull.",
            "Stop the motor, don't pull.",
        ),
        ("i cut myself on kit C", "Get an adult now. Emergency: 112.", "first aid as the school"),
    ],
)
async def test_where_somebody_is_hurt_all_read_what_helps_them_and_no_word_of_batteries(
    club: Club, said: str, child: str, adult: str
) -> None:
    await club.says("Nora", "/settings emergency 112")
    await club.says("Sam", said)
    assert club.answers("Sam", "Get an adult now").text == child
    told = club.answers("Owen", "Danger reported by Sam", adult, "rules come first", "112")
    assert "charge" not in told.text
    await club.says("Nora", "/faults")
    assert "battery:" not in club.answers("Nora", said).text


async def test_a_battery_that_hurt_somebody_is_left_alone_as_well(club: Club) -> None:
    await club.says("Sam", "the battery of E exploded and burned my hand")
    assert club.answers("Sam", "Get").text == "Get an adult now. Leave it. Move away."
    club.answers("Owen", "first aid as the school says", "Don't charge it, don't open it")


async def test_an_adult_who_reports_danger_reads_what_an_adult_does_and_is_not_called_silent(
    club: Club,
) -> None:
    await club.says("Nora", SWOLLEN)
    read = club.sees("Nora", "Every adult is told now", "Kit D, on hold", "Don't charge it")
    assert "Get an adult" not in read.text
    club.answers("Owen", "Danger reported by Nora")
    await club.at("2026-10-15 10:03")
    assert "No answer from Owen." in club.answers("Owen", "Nobody has this yet").text
    await club.says("Nora", "the battery is hot")
    club.sees("Nora", "Every adult is told now", "Which kit? Write its label")
    await club.says("Nora", "F")
    club.sees("Nora", "Every adult is told now", "Kit F, on hold")


async def test_a_dangers_card_has_only_buttons_that_its_reader_can_use(club: Club) -> None:
    await club.says("Sam", SWOLLEN)
    await club.says("Hana", "/faults 1")
    hers = set(club.answers("Hana", "Fault 1").buttons)
    assert not hers & {"Check it", "Fixed", "Release D", "Add a picture"}
    await club.says("Owen", "/faults 1")
    his = set(club.answers("Owen", "Fault 1").buttons)
    assert {"Fixed", "Release D"} <= his
    assert "Check it" not in his


async def test_the_same_danger_said_again_goes_to_whoever_has_it_and_a_worse_one_to_all(
    club: Club,
) -> None:
    await club.says("Sam", SWOLLEN)
    await club.presses("Owen", "I have it")
    for child, words in (("Sam", "D's battery is really swollen!!"), ("Bea", "D is bulging")):
        await club.says(child, words)
        assert club.answers(child, LEAVE_IT).text == LEAVE_IT
        club.answers("Owen", f"Again, by {child}: \u201c{words}", "You have it: kit D, fault 1")
        club.hears_nothing("Nora")
    await club.says("Nora", "/faults")
    listed = club.answers("Nora", "1 D's battery: danger", "really swollen!! / D is bulging")
    assert listed.buttons == ["1"]
    await club.says("Bea", "kit D is on fire")
    club.answers("Nora", "Danger reported by Bea")
    await club.says("Sam", "the battery smells burnt")
    await club.presses("Owen", "I have it")
    await club.says("Sam", "the battery smells very burnt")
    club.hears_nothing("Nora")
    await club.says("Bea", "the battery smells burnt")
    club.answers("Nora", "Danger reported by Bea", "No kit named")


async def test_what_was_taken_long_ago_or_is_off_hold_alarms_all_again(club: Club) -> None:
    await club.says("Sam", SWOLLEN)
    await club.presses("Owen", "I have it")
    await club.at("2026-10-15 22:30")
    await club.says("Sam", SWOLLEN)
    club.answers("Nora", "Danger reported by Sam")
    await club.presses("Nora", "I have it")
    await club.says("Nora", "/release D")
    await club.says("Sam", SWOLLEN)
    club.sees("Nora", "Danger reported by Sam", "Kit D, on hold")


async def test_of_a_kit_on_hold_the_battery_card_says_that_first(club: Club) -> None:
    await club.says("Sam", SWOLLEN)
    await club.says("Sam", "/battery D")
    first, *_ = club.answers("Sam", "D: ").text.splitlines()
    assert first == "D is on hold: don't charge it, don't use it."
    await club.says("Sam", "/battery E")
    assert "on hold" not in club.answers("Sam", "E: ").text


@pytest.mark.parametrize("said", ["wrong kit, it was F", "no, F"])
async def test_the_kit_that_was_meant_goes_on_hold_too_and_the_first_one_stays(
    club: Club, said: str
) -> None:
    await club.says("Owen", "battery of E leaks")
    await club.says("Owen", said)
    told = club.answers("Nora", "Danger reported by Owen", "Kit F, on hold")
    assert told.buttons == ["I have it"]
    for label in ("E", "F"):
        await club.says("Hana", f"/out {label} Red")
        club.answers("Hana", f"{label} is on hold: danger reported")


async def test_an_adult_who_hears_of_fire_reads_the_number_and_never_to_go_and_look(
    club: Club,
) -> None:
    first = ("everyone out, call the emergency number", "Emergency: 112.")
    await club.says("Nora", "/settings emergency 112")
    await club.says("Nora", "kit D is on fire")
    club.sees("Nora", "Every adult is told now", *first)
    told = [club.answers("Owen", "Danger reported by Nora", *first)]
    await club.at("2026-10-15 10:03")
    told.append(club.answers("Owen", "Nobody has this yet", *first))
    await club.presses("Owen", "I have it")
    told.append(club.answers("Owen", "You have it", *first))
    assert not any("look now" in each.text or "go and look" in each.text for each in told)
    await club.says("Sam", "there is fire, it burns")
    club.sees("Owen", "Danger reported by Sam", *first)
    await club.says("Sam", "E")
    placed = club.sees("Owen", "It is kit E", *first)
    assert "look now" not in placed.text


async def test_who_wants_nothing_else_still_hears_all_of_a_danger(club: Club) -> None:
    await club.says("Owen", "/mute other")
    await club.says("Sam", "the battery is swollen")
    await club.presses("Owen", "I have it")
    await club.says("Sam", "C")
    club.sees("Owen", "It is kit C, on hold now")
    await club.says("Bea", "C is bulging")
    club.sees("Owen", "Again, by Bea")
    urgent = {value for name, value in vars(notices).items() if name.startswith("DANGER")}
    assert len(urgent) >= 5
    assert {group_of(kind) for kind in urgent} == {None}


@pytest.mark.parametrize("name", ["film.pdf", "kits.csv"])
async def test_a_danger_below_a_file_alarms_like_any_other(club: Club, name: str) -> None:
    club.standin.send_document("Sam", name, b"x", caption=SWOLLEN)
    await club.settle()
    club.answers("Sam", LEAVE_IT)
    club.answers("Owen", "Danger reported by Sam", "Kit D, on hold")
