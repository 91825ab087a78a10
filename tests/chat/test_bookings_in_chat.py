"""Bookings, as students and adults make them in chat."""

from __future__ import annotations

import pytest

from tests.chat.played import GROUP, Club


async def test_a_student_books_in_one_go_and_cancels_with_a_button(club: Club) -> None:
    await club.says("Sam", "/book 2 kits fri 15:30 to 17:00")
    booked = club.answers("Sam", "Booked: 2 kits for Red", "tomorrow, 15:30 to 17:00", "Booking 1")
    assert booked.buttons == ["Cancel it"]
    await club.says("Sam", "/mine")
    assert club.answers("Sam", "1: tomorrow, 15:30 to 17:00, 2 kits for Red").buttons == [
        "Cancel 1"
    ]
    await club.presses("Sam", "Cancel it")
    club.answers("Sam", "Cancelled: booking 1")
    await club.says("Sam", "/mine")
    club.answers("Sam", "You have no bookings to come. /free")


async def test_step_by_step_with_buttons_one_message_is_changed_and_no_new_one_comes(
    club: Club,
) -> None:
    await club.says("Sam", "/book")
    asked = club.answers("Sam", "?")
    seen = {asked.text}
    for _ in range(5):
        news = club.news("Sam")[0]
        if "Booked" in news.text:
            break
        await club.presses("Sam", news.buttons[0])
        seen.add(club.answers("Sam", "").text)
        assert club.news("Sam")[0].how == "edit"
    booked = club.answers("Sam", "Booked: 1 kit for Red", "tomorrow, 15:30 to 17:00")
    assert booked.message is asked.message
    assert {"How many kits?"} <= seen


async def test_step_by_step_by_typing_also_over_a_restart(club: Club) -> None:
    await club.says("Hana", "/book")
    while "Booked" not in club.news("Hana")[-1].text:
        asked = club.answers("Hana", "?")
        await club.restart()
        answers = {
            "day": "friday",
            "From": "15:30",
            "Until": "17:00",
            "many": "3",
            "team": "Blue",
        }
        await club.says("Hana", next(a for word, a in answers.items() if word in asked.text))
    club.answers("Hana", "Booked: 3 kits for Blue", "tomorrow, 15:30 to 17:00")


async def test_a_sentence_in_private_is_a_request_too(club: Club) -> None:
    await club.says("Sam", "could we have two kits on friday from 15:30 to 17:00 please")
    club.answers("Sam", "Booked: 2 kits for Red", "tomorrow, 15:30 to 17:00")


async def test_what_can_be_read_in_two_ways_is_asked(club: Club) -> None:
    await club.says("Sam", "/book 2 or 3 kits fri 15:30 to 17:00")
    asked = club.answers("Sam", "Which one do you mean?")
    assert [label.rpartition(": ")[2] for label in asked.buttons] == ["2 kits", "3 kits", "Neither"]
    await club.presses("Sam", asked.buttons[1])
    club.answers("Sam", "Booked: 3 kits for Red, tomorrow, 15:30 to 17:00")
    await club.says("Sam", "/book 1 or 2 kits mon 16:00 to 17:00")
    await club.presses("Sam", "Neither")
    club.answers("Sam", "Nothing was changed")
    await club.says("Sam", "/mine")
    assert "2:" not in club.answers("Sam", "Your bookings").text


async def test_never_mind_ends_the_questions(club: Club) -> None:
    await club.says("Sam", "/book 2 kits")
    await club.presses("Sam", "Never mind")
    club.answers("Sam", "Fine, forgotten. Nothing was changed.")
    await club.says("Sam", "friday")
    assert "Booked" not in club.all_said("Sam")


async def test_what_is_free_has_buttons_that_book(club: Club) -> None:
    await club.says("Sam", "/free")
    free = club.answers("Sam", "8 of 8 kits free tomorrow, 15:30 to 17:00")
    assert free.buttons == ["Book 1", "Book 2", "Book 3"]
    await club.presses("Sam", "Book 2")
    club.answers("Sam", "Booked: 2 kits for Red")
    await club.says("Bea", "/free fri 16:00 to 17:00")
    club.answers("Bea", "6 of 8 kits free tomorrow, 16:00 to 17:00")


async def test_a_no_comes_with_what_would_be_a_yes(club: Club) -> None:
    await club.says("Hana", "/book 7 kits for Blue fri 15:30 to 17:00")
    await club.says("Sam", "/book 3 kits fri 15:30 to 17:00")
    no = club.answers("Sam", "1 kit is free tomorrow, 15:30 to 17:00, not 3", "You could have")
    assert "Wait for a place" in no.buttons
    await club.presses("Sam", next(b for b in no.buttons if b.startswith("3 kits")))
    club.answers("Sam", "Booked: 3 kits for Red", "Mon 19 Oct")


async def test_a_place_that_becomes_free_is_offered_to_who_waited(club: Club) -> None:
    await club.says("Hana", "/book 8 kits for Green fri 15:30 to 17:00")
    await club.says("Sam", "/book 2 kits fri 15:30 to 17:00")
    await club.presses("Sam", "Wait for a place")
    club.answers("Sam", "waiting")
    await club.says("Hana", "/cancel 1")
    offered = club.sees("Sam", "A place for you: 2 kits", "tomorrow, 15:30 to 17:00")
    assert offered.buttons == ["Take it", "No, thanks"]
    await club.presses("Sam", "Take it")
    club.answers("Sam", "Booked: 2 kits for Red")


async def test_a_place_that_is_not_wanted_goes_to_the_next(club: Club) -> None:
    await club.says("Hana", "/book 8 kits for Green fri 15:30 to 17:00")
    for who in ("Sam", "Bea"):
        await club.says(who, "/book 8 kits fri 15:30 to 17:00")
        await club.presses(who, "Wait for a place")
    await club.says("Hana", "/cancel 1")
    club.hears_nothing("Bea")
    await club.presses("Sam", "No, thanks")
    club.sees("Bea", "A place for you: 8 kits")


async def test_beyond_the_limit_a_leader_decides(club: Club) -> None:
    await club.says("Nora", "/settings most kits 3")
    for answer, outcome in (("No", "A leader said no"), ("Yes", "A leader said yes")):
        await club.says("Sam", "/book 5 kits fri 15:30 to 17:00")
        club.answers("Sam", "A leader is asked")
        club.answers("Nora", "Sam asks for 5 kits for Red", "Yes or no?")
        await club.presses("Nora", answer)
        club.sees("Sam", outcome)
    await club.says("Sam", "/mine")
    club.answers("Sam", "5 kits for Red")


async def test_one_cannot_cancel_what_is_somebody_elses_but_helpers_can(club: Club) -> None:
    await club.says("Sam", "/book 2 kits fri 15:30 to 17:00")
    await club.says("Bea", "/cancel 1")
    club.answers("Bea", "That isn't yours. Ask a helper or an adult.")
    await club.says("Hana", "/cancel #1")
    club.answers("Hana", "Cancelled: booking 1")
    club.sees("Sam", "Booking 1", "is off", "it was cancelled")


async def test_a_booking_that_repeats_is_cancelled_in_part(club: Club) -> None:
    await club.says("Sam", "/book 2 kits every friday 15:30 to 17:00 until 13 nov")
    club.answers("Sam", "Booked 5 times", "Bookings 1 to 5")
    await club.says("Sam", "/cancel 3")
    which = club.answers("Sam", "repeats. What is to go?")
    assert which.buttons[:2] == ["Only this one", "This and the later ones (3)"]
    await club.presses("Sam", "Only this one")
    club.answers("Sam", "Cancelled", "3")
    await club.says("Sam", "/cancel 4")
    await club.presses("Sam", "This and the later ones (2)")
    club.answers("Sam", "Cancelled: bookings 4 and 5")
    await club.says("Sam", "/mine")
    said = club.answers("Sam", "Your bookings").text
    assert ["1:" in said, "2:" in said, "3:" in said, "4:" in said] == [True, True, False, False]


async def test_a_booking_is_changed_and_those_concerned_hear_of_it(club: Club) -> None:
    await club.says("Sam", "/book 2 kits fri 15:30 to 17:00")
    await club.says("Sam", "/change 1 3 kits")
    club.answers("Sam", "Changed: 1:", "3 kits for Red")
    await club.says("Hana", "/change 1 16:00 to 17:00")
    club.answers("Hana", "Changed", "tomorrow, 16:00 to 17:00")
    club.sees("Sam", "Booking 1 for Red was changed", "16:00 to 17:00")
    await club.says("Sam", "/change 1 9 kits")
    club.answers("Sam", "8 kits in all")
    await club.says("Sam", "/mine")
    club.answers("Sam", "16:00 to 17:00, 3 kits")


async def test_a_kit_stays_built_for_a_team_and_can_be_let_go(club: Club) -> None:
    await club.says("Owen", "/keep D for Red until 30 oct")
    club.answers("Owen", "Kit D stays built for Red", "Only the unit comes off to charge")
    await club.says("Bea", "/book kit D fri 15:30 to 17:00")
    club.answers("Bea", "D can't be had tomorrow")
    await club.says("Owen", "/change 1 mon 16:00 to 17:30")
    club.answers("Owen", "Booking 1 keeps kits built. /cancel 1, then /keep")
    await club.says("Owen", "/samekit Red")
    club.answers("Owen", "Red gets the same kit each time")
    await club.says("Owen", "/samekit Red off")
    club.answers("Owen", "Red may get any kit")
    await club.says("Owen", "/cancel 1")
    await club.says("Bea", "/book kit D fri 15:30 to 17:00")
    club.answers("Bea", "Booked: 1 kit (D)")


async def test_things_are_booked_along_with_kits(club: Club) -> None:
    await club.says("Nora", "/resource mats 2")
    club.answers("Nora", "mats is 2 now")
    await club.says("Sam", "/book 2 kits and 2 mats fri 15:30 to 17:00")
    club.answers("Sam", "Booked: 2 kits and 2 mats for Red")
    await club.says("Bea", "/book 1 kit and 1 mat fri 15:30 to 17:00")
    club.answers("Bea", "not enough mats")


async def test_closed_days_are_said_their_bookings_cancelled_and_they_open_again(
    club: Club,
) -> None:
    await club.says("Sam", "/book 2 kits fri 30 oct 15:30 to 17:00")
    await club.says("Nora", "/closed 26 Oct to 30 Oct: mid-term")
    club.answers("Nora", "Mon 26 Oct to Fri 30 Oct: no club", "1 booking cancelled")
    club.sees("Sam", "Booking 1", "is off: there is no club then")
    await club.says("Sam", "/book 2 kits fri 30 oct 15:30 to 17:00")
    club.answers("Sam", "There is no club", "mid-term")
    await club.says("Sam", "/free fri 30 oct 15:30 to 17:00")
    club.answers("Sam", "no club that day: mid-term")
    await club.says("Nora", "/open 30 Oct")
    club.answers("Nora", "open again")
    await club.says("Sam", "/book 2 kits fri 30 oct 15:30 to 17:00")
    club.answers("Sam", "Booked: 2 kits")


async def test_no_club_today_is_asked_once_more(club: Club) -> None:
    await club.says("Sam", "/book 2 kits fri 15:30 to 17:00")
    await club.at("2026-10-16 12:00")
    await club.says("Owen", "/today")
    await club.presses("Owen", "No club today")
    asked = club.answers("Owen", "No club today? 1 booking would be cancelled")
    assert asked.buttons == ["Yes, no club", "No"]
    await club.presses("Owen", "Yes, no club")
    club.answers("Owen", "Today: no club", "1 booking cancelled")
    club.sees("Sam", "Booking 1", "is off")


async def test_the_week_comes_as_a_picture_with_its_words(club: Club) -> None:
    await club.says("Sam", "/book 2 kits fri 15:30 to 17:00")
    await club.says("Bea", "/week")
    shown = club.answers("Bea", "What is free", "Tomorrow, 15:30 to 17:00: 6 kits")
    assert shown.message is not None
    assert "photo" in shown.message.content
    assert "Red" not in shown.text


async def test_bookings_come_as_a_calendar_file(club: Club) -> None:
    await club.says("Sam", "/ics")
    club.answers("Sam", "no bookings to come")
    await club.says("Sam", "/book 2 kits fri 15:30 to 17:00")
    await club.says("Sam", "/ics")
    shown = club.answers("Sam", "Your 1 booking to come")
    assert shown.message is not None
    assert shown.message.content["document"]["file_name"].endswith(".ics")


async def test_settings_are_shown_and_changed_one_by_one(club: Club) -> None:
    await club.says("Nora", "/settings")
    club.answers("Nora", "grace: 15 minutes", "contact: Nora Quinn")
    await club.says("Nora", "/settings grace 20")
    club.answers("Nora", "grace is 20 minutes now")
    for bad in ("grace", "grace ten", "grace -1", "charge day someday", "morning 25:00", "x 3"):
        await club.says("Nora", f"/settings {bad}")
        club.answers("Nora", "I need", "/settings shows them all")
    await club.says("Sam", "/settings grace 0")
    club.answers("Sam", "can't set up the club", "Ask an adult")


async def test_the_school_calendar_is_off_until_an_address_is_given(club: Club) -> None:
    await club.says("Nora", "/feed")
    club.answers("Nora", "No school calendar yet", "/feed and the calendar's address")
    await club.says("Nora", "/feed not an address")
    club.answers("Nora", "Which calendar?")
    await club.says("Sam", "/feed https://school.example/calendar.ics")
    club.answers("Sam", "can't set up the club")


async def test_two_people_are_never_promised_the_same_kits(club: Club) -> None:
    for who, count in (("Sam", 5), ("Bea", 5)):
        club.standin.say(who, f"/book {count} kits fri 15:30 to 17:00")
    await club.settle()
    said = [club.answers(who, "").text for who in ("Sam", "Bea")]
    assert sum("Booked: 5 kits" in each for each in said) == 1
    assert sum("3 kits are free" in each for each in said) == 1


async def test_two_dialogues_in_one_group_do_not_mix(club: Club) -> None:
    group = club.standin.add_group(GROUP, ["Nora", "Sam", "Bea"], announce=False)
    await club.says("Nora", "/link", group)
    await club.says("Sam", "/book 2 kits", group)
    sams = club.answers(group, "Which day?").message
    await club.says("Bea", "/book 3 kits", group)
    beas = club.answers(group, "Which day?").message
    assert sams is not None
    assert beas is not None
    club.standin.press("Bea", sams, sams.buttons[0].text)
    await club.settle()
    club.hears_nothing(group)
    club.answers("Bea", "That button answers somebody else")
    club.standin.press("Sam", sams, sams.buttons[0].text)
    await club.settle()
    club.answers(group, "Booked: 2 kits")
    await club.says("Bea", "fri 15:30 to 17:00", group, to=beas)
    club.answers(group, "Booked: 3 kits")


@pytest.mark.parametrize(
    ("asked", "answer"),
    [
        ("/book 0 kits fri 15:30 to 17:00", "no kits at all"),
        ("/book 99 kits fri 15:30 to 17:00", "8 kits in all"),
        ("/book kit Z fri 15:30 to 17:00", "There is no kit Z here"),
        ("/book 2 kits fri 17:00 to 15:30", "ends before it starts"),
        ("/book 2 kits yesterday 15:30 to 17:00", "over already"),
        ("/book 2 kits fri 15:30 to 17:00 for Purple", "There is no team Purple"),
        ("/cancel 99", "There is no booking 99"),
        ("/cancel 99999999999999999999", "You have no bookings"),
        ("/change", "Which booking, and what instead?"),
        ("/change 99999999999999999999 2 kits", "Which booking, and what instead?"),
        ("/change 7 2 kits", "There is no booking 7"),
        ("/free blah", "free tomorrow"),
        ("/week blah", "Which day?"),
        ("/kit", "Which kit?"),
        ("/kit Z", "There is no kit Z here"),
        ("/back Z", "There is no kit Z here"),
        ("/back", "Nothing of yours is out"),
        ("/fault", "What is wrong?"),
        ("/today", "You can't see today's list here"),
        ("/out", "You can't give out here"),
        ("/nonsense", "I don't know that command. /help"),
        ("/book@other_bot 2 kits", "I don't know that command"),
    ],
)
async def test_a_student_who_errs_gets_one_kind_line(club: Club, asked: str, answer: str) -> None:
    await club.says("Sam", asked)
    said = club.news("Sam")
    if asked.startswith("/book@"):
        assert said == []
        return
    club.answers("Sam", answer)
    await club.says("Sam", "/mine")
    club.answers("Sam", "You have no bookings to come")


@pytest.mark.parametrize(
    ("said", "answer", "buttons"),
    [
        ("cancel 3 kits on monday for Red", "Cancel booking 1? Tap below", ["Cancel 1"]),
        ("we dont need 2 kits on monday", "To keep 1 kit: /change 1 1 kit", ["Cancel 1"]),
        ("We don\u2019t need the kits on monday", "Cancel booking 1?", ["Cancel 1"]),
        ("cancel 1 kit on friday", "I find no such booking to cancel. /mine", []),
        ("delete booking 3 on monday for Red", "There is no booking 3 to come", []),
        ("delete booking 2 on monday for Blue", "That isn't yours", []),
        ("move booking 1 to monday for Red", "Say what instead: /change 1", []),
        ("move 3 kits to friday for Red", "Say what instead: /change 1", []),
        ("cancel booking 1", "Cancel booking 1? Tap below", ["Cancel 1"]),
        ("cancel 1", "Cancel booking 1? Tap below", ["Cancel 1"]),
        ("cancel my booking", "Cancel booking 1? Tap below", ["Cancel 1"]),
        ("/book cancel 3 kits on monday", "/cancel and its number takes it off", []),
    ],
)
async def test_what_calls_a_booking_off_never_books_but_offers_to_cancel_it(
    club: Club, said: str, answer: str, buttons: list[str]
) -> None:
    await club.says("Sam", "/book 3 kits mon 16:00 to 17:30")
    await club.says("Bea", "/book 2 kits mon 16:00 to 17:30")
    await club.says("Sam", said)
    assert club.answers("Sam", answer).buttons == buttons
    await club.says("Sam", "/mine")
    shown = club.answers("Sam", "3 kits for Red").text
    assert "2:" not in shown
    assert "3:" not in shown


async def test_a_helper_cancels_a_teams_booking_in_plain_words(club: Club) -> None:
    await club.says("Sam", "/book 3 kits mon 16:00 to 17:30")
    await club.says("Bea", "/book 2 kits mon 16:00 to 17:30")
    await club.says("Hana", "cancel 2 kits on monday for Blue")
    asked = club.answers("Hana", "Cancel booking 2?")
    await club.presses("Hana", asked.buttons[0])
    club.answers("Hana", "Cancelled: booking 2")
    await club.says("Hana", "cancel something on monday")
    club.answers("Hana", "Cancel booking 1?")


@pytest.mark.parametrize(
    ("first", "then", "asked", "last", "booked"),
    [
        (
            "2 kits mon 16:00 to 17:30",
            "3 kits fri 23 oct 15:30 to 17:00 for Blue",
            "",
            "",
            "Booked: 3 kits for Blue, Fri 23 Oct, 15:30 to 17:00",
        ),
        (
            "2 kits mon 16:00 to 17:30",
            "all kits charged",
            "I can't read that as an answer. For which team?",
            "Red",
            "Booked: 2 kits for Red, Mon 19 Oct",
        ),
        (
            "2 kits fri",
            "how many kits are free on friday?",
            "I can't read that as an answer. For which team?",
            "the Red team please",
            "Booked: 2 kits for Red, tomorrow",
        ),
        ("2 kits fri", "Purple", "There is no team Purple.", "red", "Booked: 2 kits for Red"),
        (
            "3 kits fri",
            "unit D keeps dying",
            "kit D",
            "Green",
            "Booked: 3 kits for Green, tomorrow, 15:30 to 17:00",
        ),
        (
            "3 kits fri",
            "cancel 2 kits on monday",
            "I find no such booking to cancel",
            "Green",
            "Booked: 3 kits for Green, tomorrow",
        ),
    ],
)
async def test_only_what_answers_a_question_becomes_part_of_the_request(
    club: Club, first: str, then: str, asked: str, last: str, booked: str
) -> None:
    await club.says("Hana", first)
    club.answers("Hana", "For which team?")
    await club.says("Hana", then)
    if asked:
        club.answers("Hana", asked)
        await club.says("Hana", last)
    club.answers("Hana", booked)
    if "dying" in then:
        await club.says("Hana", "/faults")
        club.answers("Hana", "1 D: loses power")
        await club.says("Hana", "/mine")
        assert "(" not in club.answers("Hana", "3 kits for Green").text


@pytest.mark.parametrize("said", ["2 kits today for Red", "2 kits now for Red"])
async def test_a_session_that_is_over_is_not_offered_any_more(club: Club, said: str) -> None:
    await club.at("2026-10-16 18:00")
    await club.says("Hana", said)
    answer = club.answers("Hana", "").text
    assert "program" not in answer
    assert "17:00" not in answer


@pytest.mark.parametrize(
    "said",
    [
        "2 kits mon for Red, not A or B",
        "2 kits mon for Red, without A and B",
        "2 kits mon for Red except A and B",
    ],
)
async def test_what_is_to_be_left_out_is_never_promised(club: Club, said: str) -> None:
    await club.says("Hana", said)
    no = club.answers("Hana", "can't keep single kits out of a booking, so nothing is booked yet")
    await club.presses("Hana", no.buttons[0])
    club.answers("Hana", "Booked: 2 kits (C and D) for Red, Mon 19 Oct")
