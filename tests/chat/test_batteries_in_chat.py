"""Batteries in chat: the charge list's plan, how full one is and why, what people say of one."""

from __future__ import annotations

import pytest

from tests.chat.played import Club


async def test_anybody_asks_how_full_a_battery_is_and_says_what_it_shows(club: Club) -> None:
    await club.says("Sam", "/battery D")
    club.answers("Sam", "D", "Why: no charge is noted", "its type usually gives 120")
    await club.says("Sam", "/battery D 2 bars")
    seen = club.answers("Sam", "Noted for D: level seen, 50 %", "about half full")
    assert "no charge is noted, only what was said of it" in seen.text
    await club.says("Nora", "/charged D")
    await club.says("Nora", "/battery D")
    club.answers("Nora", "about full", "Why: last full charge", "not used since")
    await club.presses("Nora", "Flat at the start")
    found = club.answers("Nora", "Noted for D: found flat", "that was not the battery")
    assert "about empty, 0 %. Good for 0 more minutes" in found.text
    await club.presses("Nora", "Socket strip off")
    club.answers("Nora", "Noted for D: socket strip off", "look at them now")
    await club.presses("Nora", "Undo")
    club.answers("Nora", "Undone: D socket strip off; it stays noted as found flat")
    await club.says("Nora", "/undo")
    club.answers("Nora", "Undone: D found flat (")
    await club.says("Sam", "/battery tablet D 20%")
    club.answers("Sam", "Noted for D's tablet")
    await club.says("Nora", "/fit battery B7 to D")
    club.answers("Nora", "Battery B7 is in D from now on", "new to me")


async def test_the_charge_list_says_the_order_the_bays_and_the_cautions(club: Club) -> None:
    await club.says("Nora", "/settings charger bays 1")
    await club.says("Nora", "/hours Mon 12:00-16:00")
    await club.says("Sam", "/book A and B on Mon 19 Oct 16:00 to 17:30")
    await club.at("2026-10-16 17:10")
    await club.says("Hana", "/charge")
    club.answers(
        "Hana",
        "In this order",
        "Mon 19 Oct 12:00: put on A on bay 1 until",
        "on bay 1 until",
        "never overnight",
        "maker's guide",
    )


async def test_without_an_adult_in_time_the_charge_list_says_what_would_do(club: Club) -> None:
    await club.says("Sam", "/book kit A on Mon 19 Oct 16:00 to 17:30")
    await club.at("2026-10-16 17:10")
    await club.says("Hana", "/charge")
    club.answers(
        "Hana",
        "Too little time to charge A",
        "What would help: an adult in the lunch break Mon 19 Oct",
    )


@pytest.mark.parametrize(
    "text",
    [
        "/battery E is swollen",
        "/battery E smells funny",
        "/charged E but it is hot",
        "/back E it is leaking",
        "/withdraw E: the battery is bulging",
    ],
)
async def test_danger_after_a_command_comes_before_what_the_command_is_for(
    club: Club, text: str
) -> None:
    await club.says("Nora", text)
    club.sees("Nora", "Every adult is told now", "Kit E, on hold")
    club.sees("Owen", "Danger reported by Nora", "Kit E, on hold")
    await club.says("Nora", "/charged E")
    club.answers("Nora", "E is on hold")


async def test_commands_that_only_speak_of_batteries_are_no_alarm(club: Club) -> None:
    for text in ("/fit a battery to F", "/fit F's battery into D", "/withdraw D: battery worn"):
        await club.says("Nora", text)
        assert "adult now" not in club.news("Nora")[0].text
        club.hears_nothing("Owen")


@pytest.mark.parametrize(
    ("text", "answer"),
    [
        ("D shows two bars", "Noted for D: level seen, 50 %"),
        ("D only has one bar left", "Noted for D: level seen, 25 %"),
        ("D is at 30%", "Noted for D: level seen, 30 %"),
        ("D still running", "Noted for D: still running"),
        ("D ran for 80 min, still running", "Noted for D: still running"),
        ("D found flat at the start", "Noted for D: found flat"),
        ("A, B and C are charged", "Noted as charged: A, B and C."),
        ("D's tablet is at 20%", "Noted for D's tablet: level seen, 20 %"),
        ("D ran flat after 20 minutes", "Fault 1: kit D, battery doesn't last"),
        ("D shows 2 bars but the motor squeaks", "Fault 1: kit D, motor fault"),
    ],
)
async def test_a_plain_sentence_about_a_battery_is_taken_as_such(
    club: Club, text: str, answer: str
) -> None:
    await club.says("Nora", text)
    club.sees("Nora", answer)


async def test_a_plain_question_shows_the_card_and_notes_nothing(club: Club) -> None:
    for text in ("how full is D?", "can I charge D?", "is D still running?", "/battery D charged?"):
        await club.says("Nora", text)
        assert club.answers("Nora", "no charge is noted").text.startswith("D: about half full")
    await club.says("Nora", "/history D")
    club.answers("Nora", "Nothing is noted of D yet")


async def test_what_a_battery_shows_is_no_answer_to_the_set_up(club: Club) -> None:
    await club.says("Nora", "/setup chargers")
    await club.says("Nora", "-2")
    club.answers("Nora", "how many bays", "I can't read -2")
    await club.says("Nora", "D only has one bar left")
    club.answers("Nora", "Noted for D: level seen, 25 %")
    await club.says("Nora", "/settings charger bays -2")
    club.answers("Nora", "I need a whole number from 1 to 200 for charger bays.")


@pytest.mark.parametrize(
    ("said", "answer"),
    [
        ("D 140%", "A level is 0 to 100 %"),
        ("D -20%", "A level is 0 to 100 %"),
        ("D 5 bars", "3 of 5 bars"),
        ("D ran flat after 900 minutes", "Minutes are 1 to 600"),
        ("D test 700", "Minutes are 1 to 600"),
        ("D 12V", "What does it show?"),
        ("D not charged", "What does it show?"),
        ("D E", "One kit at a time"),
        ("D won't wake", "an adult, the maker's guide, never left alone"),
        ("D 50", "Noted for D: level seen, 50 %"),
        ("D full", "Noted for D: level seen, 100 %"),
        ("D low", "Noted for D: level seen, 15 %"),
        ("D test 90", "Noted for D: run time tested, 90 min"),
        ("G charged to 80 %", "Noted for G: charged to 80 %"),
        ("E charged to half", "Noted for E: charged to 50 %"),
    ],
)
async def test_what_is_typed_of_a_battery_is_noted_or_one_line_says_how(
    club: Club, said: str, answer: str
) -> None:
    await club.says("Nora", f"/battery {said}")
    club.answers("Nora", answer)


@pytest.mark.parametrize(
    ("said", "answer"),
    [
        ("all except D", "Noted as charged: A, B, C, E, F, G and H."),
        ("A B not C", "Noted as charged: A and B."),
        ("G 80%", "Noted as charged to 80 %: G."),
        ("tablet D", "Noted as charged: D's tablet."),
        ("D and F's tablet", "Noted as charged: D and F's tablet."),
        ("D not yet", "What was charged?"),
        ("not D", "Which kit?"),
        ("all but Z", "There is no kit Z here"),
    ],
)
async def test_what_was_charged_is_what_was_said(club: Club, said: str, answer: str) -> None:
    await club.says("Nora", f"/charged {said}")
    club.answers("Nora", answer)


async def test_what_would_help_is_what_can_be_done(club: Club) -> None:
    await club.says("Sam", "/book A and B on Mon 19 Oct 16:00 to 17:30")
    await club.at("2026-10-19 15:45")
    await club.says("Hana", "/charge")
    told = club.answers("Hana", "Too little time", "I know of no way", "/hours adds times")
    assert "fewer" not in told.text, "two of two would leave none"
    await club.says("Nora", "/charged F")
    await club.says("Sam", "/battery tablet A 5%")
    await club.says("Hana", "/charge")
    told = club.answers("Hana", "What would help: F instead.", "Tablet A", "Plug it in while")


async def test_the_charge_list_does_not_contradict_itself(club: Club) -> None:
    await club.says("Nora", "/hours Mon 12:00-16:00")
    await club.says("Sam", "/book A and B on Mon 19 Oct 16:00 to 17:30")
    await club.says("Nora", "/charged F")
    await club.says("Sam", "/fault B won't charge")
    await club.at("2026-10-19 12:05")
    await club.says("Nora", "/charge")
    told = club.answers(
        "Nora",
        "put on A until",
        "1 walk, enough by today 13:00: no plan does better.",
        "B: charging won't fix it (fault 1). Use F.",
    )
    assert "put on B" not in told.text


async def test_what_is_too_empty_for_a_long_break_is_charged_to_half_and_noted_by_a_tap(
    club: Club,
) -> None:
    await club.says("Nora", "/closed 17 Oct to 1 Nov: holidays")
    await club.says("Nora", "/battery E ran flat")
    await club.says("Nora", "/charged A B C D F G")
    await club.says("Nora", "/charge")
    asked = club.answers("Nora", "To about half, before the long break: E about", "An adult stays")
    assert asked.buttons == ["E: about half full now"]
    await club.presses("Nora", "E: about half full now")
    club.answers("Nora", "Noted as charged to 55 %: E.")
    await club.at("2026-10-16 16:30")
    told = club.sees("Nora", "Before you lock up", "About right: E.")
    assert "I don't know H: look at it and tell me, /battery H 50%." in told.text
    assert told.buttons == []
