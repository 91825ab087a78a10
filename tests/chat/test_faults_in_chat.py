"""Faults and danger, reported in a sentence, with a photo, by command, answer or mention."""

from __future__ import annotations

import pytest

from tests.chat.played import GROUP, Club

DANGER = "Leave it. Move away. Get an adult now."


async def test_a_sentence_in_private_is_noted_and_the_adults_hear_of_it(club: Club) -> None:
    await club.says("Sam", "unit D keeps dying")
    club.answers("Sam", "Thanks. Fault 1: kit D, loses power", "An adult is told", "photo helps")
    club.hears_nothing("Nora")
    await club.at("2026-10-16 08:00")
    for adult in ("Nora", "Owen"):
        club.answers(adult, "Fault 1. Kit D: loses power", "unit D keeps dying")
    club.hears_nothing("Hana")
    await club.says("Bea", "D switched itself off again, it keeps losing power")
    club.answers("Bea", "That goes with fault 1: kit D")
    club.hears_nothing("Nora")


async def test_a_report_by_command_may_be_about_anything(club: Club) -> None:
    await club.says("Sam", "/fault D it makes a funny noise")
    club.answers("Sam", "Thanks. Fault 1: kit D")
    await club.says("Sam", "/fault")
    club.answers("Sam", "What is wrong?", "/fault D won't start")


async def test_a_fault_without_a_kit_is_asked_about_and_answered_by_button_or_typing(
    club: Club,
) -> None:
    await club.says("Sam", "the motor is broken")
    asked = club.answers("Sam", "Which kit is it?")
    assert asked.buttons == [*"ABCDEFGH", "Never mind"]
    await club.presses("Sam", "F")
    club.answers("Sam", "Fault 1: kit F, motor fault")
    await club.says("Sam", "the motor is broken again")
    await club.restart()
    await club.says("Sam", "unit G")
    club.answers("Sam", "Fault 2: kit G")
    await club.says("Sam", "the motor is broken")
    await club.presses("Sam", "Never mind")
    club.answers("Sam", "Nothing was changed")


async def test_the_kit_that_the_writers_team_has_is_the_one_that_is_meant(club: Club) -> None:
    await club.at("2026-10-16 15:30")
    await club.says("Hana", "/out D Red")
    await club.says("Sam", "the motor is broken")
    club.answers("Sam", "Fault 1: kit D, motor fault")


async def test_a_photo_with_a_caption_is_a_report_and_one_afterwards_goes_with_it(
    club: Club,
) -> None:
    await club.shows("Sam")
    club.answers("Sam", "What is wrong, and which kit?")
    await club.shows("Sam", "unit D has a broken wheel")
    club.answers("Sam", "Fault 1: kit D")
    await club.shows("Sam")
    club.answers("Sam", "Photo kept with fault 1.")
    await club.shows("Bea", "/fault E the cable is torn")
    club.answers("Bea", "Fault 2: kit E")


async def test_open_faults_are_listed_and_closed_with_what_was_done(club: Club) -> None:
    await club.says("Hana", "/faults")
    club.answers("Hana", "No fault is open.")
    await club.says("Sam", "unit D keeps dying")
    await club.says("Hana", "/faults")
    assert "keeps dying" not in club.answers("Hana", "Open faults", "1 D: loses power").text
    await club.says("Nora", "/faults")
    club.answers("Nora", "1 D: loses power", "unit D keeps dying")
    await club.says("Hana", "/fixed 1")
    club.answers("Hana", "what was done?", "in your own words")
    await club.says("Hana", "/fixed 1 new cable & a <clean> plug")
    club.answers("Hana", "Fault 1 on D is closed: new cable & a <clean> plug.")
    await club.says("Hana", "/fixed 1 again")
    club.answers("Hana", "There is no open fault 1")
    await club.says("Hana", "/fixed 99999999999999999999 x")
    club.answers("Hana", "Which fault, and what was done?", "/fixed 3 new cable")


@pytest.mark.parametrize(
    "said",
    ["D's battery is swollen", "/fault D's battery is swollen", "kit D is really hot and swollen"],
)
async def test_to_danger_a_child_reads_three_sentences_and_every_adult_hears_at_once(
    club: Club, said: str
) -> None:
    await club.at("2026-10-15 23:30")
    await club.says("Sam", said)
    assert club.answers("Sam", DANGER).text == DANGER
    for adult in ("Nora", "Owen"):
        club.sees(adult, "Danger reported by Sam", "Kit D, on hold", "Don't charge it")


async def test_with_smoke_everybody_is_to_leave(club: Club) -> None:
    await club.says("Nora", "/settings emergency 112")
    await club.says("Sam", "there is smoke coming out of unit D!")
    club.answers("Sam", "Everyone out. Get an adult now. Emergency: 112.")
    club.sees("Owen", "Smoke or fire")


async def test_a_dangerous_kit_stays_on_hold_until_an_adult_has_looked(club: Club) -> None:
    await club.says("Sam", "D's battery is swollen")
    await club.says("Hana", "/out D Red")
    club.answers("Hana", "D is on hold: danger reported, fault 1", "An adult looks")
    await club.says("Hana", "/release D")
    club.answers("Hana", "You can't take a kit off hold here")
    await club.says("Hana", "/fixed 1 looks fine")
    club.answers("Hana", "You can't take a kit off hold here")
    await club.says("Owen", "/charged D")
    club.answers("Owen", "D is on hold")
    await club.says("Owen", "/fixed 1 battery taken to the dump")
    closed = club.answers("Owen", "Fault 1 on D is closed", "D is still on hold", "/release D")
    assert "/restore" not in closed.text
    await club.says("Owen", "/restore D")
    club.answers("Owen", "D: on hold.", "/release D")
    await club.says("Owen", "/release D")
    club.answers("Owen", "Kit D is in use")


async def test_danger_comes_before_any_question_that_stands(club: Club) -> None:
    await club.says("Sam", "/book 2 kits")
    await club.says("Sam", "help the battery of D is swollen")
    assert club.answers("Sam", DANGER).text == DANGER


async def test_what_is_neither_is_answered_kindly_with_whom_to_talk_to(club: Club) -> None:
    for said in ("hello", "nobody likes me", "\U0001f44d", "What is the meaning of life?"):
        await club.says("Sam", said)
        club.answers("Sam", "I'm a program, nobody reads this", "talk to Nora Quinn")


async def test_other_things_than_words_and_photos_get_a_line_too(club: Club) -> None:
    club.standin.send_document("Sam", "homework.pdf", b"%PDF-1.4 x")
    await club.settle()
    club.answers("Sam", "words and photos only")


async def test_an_edited_message_does_nothing(club: Club) -> None:
    said = club.standin.say("Sam", "hello")
    await club.settle()
    club.standin.edit(said, "unit D keeps dying")
    await club.settle()
    club.hears_nothing("Sam")
    club.hears_nothing("Nora")
    ordered = club.standin.say("Sam", "/book 2 kits fri 15:30 to 17:00")
    await club.settle()
    club.standin.edit(ordered, "/book 5 kits fri 15:30 to 17:00")
    await club.settle()
    await club.says("Sam", "/mine")
    club.answers("Sam", "2 kits for Red")


# -- in the group -----------------------------------------------------------------------


async def linked(club: Club, **how: object) -> object:
    group = club.standin.add_group(
        GROUP, ["Nora", "Hana", "Sam", "Bea", "Zed"], announce=False, **how
    )
    await club.says("Nora", "/link", group)
    return group


async def test_in_the_group_a_report_comes_by_command_answer_or_mention(club: Club) -> None:
    group = await linked(club)
    await club.says("Sam", "/fault D keeps dying", group)
    first = club.answers(group, "Thanks, noted: kit D, fault 1.")
    await club.says("Bea", "@club_kit_bot unit E won't start", group)
    club.answers(group, "Thanks, noted: kit E, fault 2.")
    await club.says("Bea", "\U0001f916\U0001f916 @club_kit_bot unit F won't start", group)
    club.answers(group, "Thanks, noted: kit F, fault 3.")
    await club.says("Sam", "unit G won't start", group, to=first.message)
    club.answers(group, "Thanks, noted: kit G, fault 4.")
    assert all(name not in club.all_said(group) for name in ("Sam", "Bea", "Red", "Blue"))


async def test_with_privacy_on_the_bot_does_not_even_hear_chit_chat(club: Club) -> None:
    group = await linked(club)
    seen = club.standin.updates.next_id
    await club.says("Sam", "unit D keeps dying", group)
    club.hears_nothing(group)
    assert club.standin.updates.next_id == seen


@pytest.mark.parametrize("club", [False], indirect=True)
async def test_with_privacy_off_it_answers_to_sure_faults_and_danger_and_never_to_chit_chat(
    club: Club,
) -> None:
    group = club.standin.add_group(GROUP, ["Nora", "Hana", "Sam", "Bea", "Zed"], announce=False)
    await club.says("Nora", "hello everybody", group)
    club.hears_nothing(group)
    await club.says("Nora", "/link", group)
    club.answers(group, "Not linked yet", "my privacy mode is off", "switch it on")
    await club.presses("Nora", "The school said yes", group)
    club.answers(group, "belongs to Robot club", "the school said yes")
    for who, said in (
        ("Sam", "hello"),
        ("Zed", "who brings biscuits on friday?"),
        ("Zed", "unit D keeps dying"),
        ("Bea", "can somebody lend me 2 kits on friday 15:30 to 17:00?"),
        ("Sam", "my phone is broken"),
        ("Sam", "/unknown"),
        ("Sam", "/start@other_bot hello"),
    ):
        await club.says(who, said, group)
        club.hears_nothing(group)
    await club.shows("Sam", "", group)
    club.hears_nothing(group)
    await club.shows("Sam", "our robot at the fair", group)
    club.hears_nothing(group)
    club.hears_nothing("Nora")
    await club.says("Sam", "unit D's battery is swollen", group)
    assert club.answers(group, DANGER).text == DANGER
    club.sees("Nora", "Danger reported by Sam")


async def test_nothing_in_the_group_says_who_holds_what_who_is_late_or_who_reported(
    club: Club,
) -> None:
    group = await linked(club)
    await club.says("Sam", "/book 2 kits fri 15:30 to 17:00", group)
    await club.at("2026-10-16 15:30")
    await club.says("Hana", "/out")
    await club.says("Sam", "/fault A keeps dying", group)
    await club.at("2026-10-16 18:30")
    for who, said in (
        ("Hana", "/kit A"),
        ("Sam", "/kit A"),
        ("Sam", "/free"),
        ("Sam", "/free mon 16:00 to 17:30"),
        ("Hana", "/book 8 kits fri 23 oct 15:30 to 17:00 for Blue"),
        ("Sam", "/book 2 kits fri 23 oct 15:30 to 17:00"),
        ("Hana", "/book kit A fri 23 oct 15:30 to 17:00 for Green"),
        ("Bea", "@club_kit_bot unit A keeps dying"),
        ("Bea", "@club_kit_bot A is back"),
        ("Sam", "@club_kit_bot A is back"),
        ("Hana", "@club_kit_bot A is back"),
        ("Hana", "/today"),
        ("Nora", "/people"),
        ("Nora", "/back"),
        ("Nora", "/faults"),
        ("Sam", "/mine"),
        ("Nora", "/help"),
    ):
        await club.says(who, said, group)
        assert club.news(group), said
        shown = club.all_said(group)
        for name in ("Red", "Blue", "Green", "Sam", "Bea", "Hana", "Late", "late"):
            assert name not in shown, f"{said}: {shown}"


async def test_commands_of_the_private_chat_lead_there(club: Club) -> None:
    group = await linked(club)
    for said in ("/today", "/people", "/mine", "/out", "/start", "/settings grace 20"):
        await club.says("Nora", said, group)
        told = club.answers(group, "Write it to me in private")
        assert told.buttons == ["Open the private chat"]


async def test_a_group_is_linked_by_an_adult_and_there_only(club: Club) -> None:
    await club.says("Nora", "/link")
    club.answers("Nora", "Add me to the club's group and send /link there")
    group = club.standin.add_group(GROUP, ["Nora", "Sam"], announce=False)
    await club.says("Sam", "/free", group)
    club.answers(group, "club")
    await club.says("Sam", "/link", group)
    club.answers(group, "You can't link a group here")
    await club.says("Nora", "/link@club_kit_bot", group)
    club.answers(group, "This group now belongs to Robot club")
    await club.says("Sam", "/free", group)
    club.answers(group, "8 of 8 kits free")


async def test_in_a_topic_the_answer_stays_in_the_topic(club: Club) -> None:
    group = await linked(club, topics=["Faults"], supergroup=True)
    topic = next(each for each in group.topics.values() if each.name == "Faults")  # type: ignore[attr-defined]
    await club.says("Sam", "/fault D keeps dying", group, thread="Faults")
    answer = club.answers(group, "Thanks, noted: kit D").message
    assert answer is not None
    assert answer.thread == topic.id


async def test_a_group_that_became_a_supergroup_stays_linked(club: Club) -> None:
    group = await linked(club)
    bigger = club.standin.migrate(group)
    await club.settle()
    await club.says("Sam", "/free", bigger)
    club.answers(bigger, "8 of 8 kits free")


async def test_the_bot_learns_of_the_move_also_from_a_message_that_does_not_arrive(
    club: Club,
) -> None:
    group = await linked(club)
    club.standin.say("Sam", "/free", group)
    bigger = club.standin.migrate(group)
    await club.settle()
    assert "8 of 8 kits free" in club.all_said(bigger)
    await club.says("Sam", "/free", bigger)
    club.answers(bigger, "8 of 8 kits free")


async def test_the_bot_can_be_taken_out_of_the_group_and_put_back(club: Club) -> None:
    group = await linked(club)
    club.standin.remove_bot(group)
    await club.settle()
    await club.says("Nora", "/setup")
    for _ in range(6):
        if "Group" in club.news("Nora")[-1].text:
            break
        await club.presses("Nora", "Skip")
    club.answers("Nora", "Group: none")
    club.standin.add_bot(group, by="Nora")
    await club.settle()
    await club.says("Sam", "/free", group)
    club.answers(group, "8 of 8 kits free")


# -- danger: who has it --------------------------------------------------------------------


async def test_the_first_adult_to_tap_has_it_and_the_other_is_told(club: Club) -> None:
    await club.at("2026-10-15 23:30")
    await club.says("Sam", "D's battery is swollen")
    for adult in ("Nora", "Owen"):
        assert club.sees(adult, "I can't ring anyone").buttons == ["I have it"]
    await club.presses("Owen", "I have it")
    club.answers("Owen", "You have it; the other adults are told", "/release D only once")
    club.answers("Nora", "Owen has it: kit D, fault 1.")
    club.hears_nothing("Sam")
    await club.presses("Nora", "I have it")
    club.answers("Nora", "Owen has it already", "Ask whether they need a hand")
    await club.at("2026-10-15 23:50")
    club.hears_nothing("Nora")


async def test_while_nobody_taps_all_are_told_again_twice_also_across_a_restart(
    club: Club,
) -> None:
    await club.at("2026-10-15 23:30")
    await club.says("Sam", "D's battery is swollen")
    await club.at("2026-10-15 23:32")
    club.hears_nothing("Nora")
    await club.restart()
    await club.at("2026-10-15 23:34")
    for adult in ("Nora", "Owen"):
        again = club.answers(
            adult,
            "Nobody has this yet, after 3 minutes",
            "No answer from Nora and Owen",
            "I can't ring anyone: please ring each other",
        )
        assert again.buttons == ["I have it"]
    club.hears_nothing("Sam")
    await club.at("2026-10-15 23:40")
    club.answers("Nora", "after 6 minutes", "I don't write again about this")
    await club.at("2026-10-16 07:30")
    club.hears_nothing("Nora")


async def test_the_third_alarm_from_one_account_is_shown_to_leaders_calmly(club: Club) -> None:
    for label in "ABC":
        await club.says("Sam", f"{label}'s battery is swollen")
    club.sees("Nora", "For leaders: alarm 3 from this account", "Look all the same", "calmly")
    assert "For leaders" not in club.all_said("Owen")


@pytest.mark.parametrize("club", [False], indirect=True)
async def test_danger_counts_whoever_says_it_in_the_group_and_in_private_they_are_kept_safe(
    club: Club,
) -> None:
    group = await linked(club)
    await club.presses("Nora", "The school said yes", group)
    await club.says("Zed", "unit D's battery is swollen", group)
    assert club.answers(group, DANGER).text == DANGER
    club.sees("Nora", "somebody whom the club doesn't know", "Kit D, on hold")
    await club.says("Zed", "the battery is swollen")
    assert club.answers("Zed", DANGER).text == DANGER
    club.hears_nothing("Nora")


# -- checking a fault ----------------------------------------------------------------------


async def test_a_fault_is_checked_step_by_step_and_the_list_and_the_card_show_what_was_done(
    club: Club,
) -> None:
    await club.says("Sam", "unit D still runs the old program")
    assert club.answers("Sam", "Fault 1").buttons == ["Check it now"]
    await club.presses("Sam", "Check it now")
    asked = club.answers("Sam", "Fault 1, kit D. Send the program once more.", "Did it help?")
    assert asked.buttons == ["It helped", "No change", "Can't do it", "Stop here"]
    await club.presses("Sam", "No change")
    club.answers("Sam", "Did it help?")
    await club.restart()
    await club.presses("Sam", "It helped")
    club.answers("Sam", "Good. It stays on the list until a helper has seen it run: fault 1.")
    await club.says("Hana", "/faults")
    club.answers("Hana", "1 D: runs an old program", "Checked: sent the program again (no change)")
    await club.says("Nora", "/kit D")
    club.answers("Nora", "sent the program again (no change)")


@pytest.mark.parametrize(
    ("said_", "care"),
    [
        ("H's tablet screen is smashed and theres glass everywhere", "Don't touch the glass."),
        ("a part of H broke and has a sharp edge", "Don't touch the sharp edge."),
        ("the update of H stopped halfway and now it only blinks", "Don't switch it off"),
    ],
)
async def test_glass_sharp_edges_and_updates_are_left_to_adults_and_the_child_reads_so_first(
    club: Club, said_: str, care: str
) -> None:
    await club.says("Sam", said_)
    told = club.answers("Sam", care, "Get an adult.", "Fault 1")
    assert told.text.startswith(care)
    assert (told.buttons, "photo" in told.text) == ([], False)
    for child in ("Sam", "Hana"):
        await club.says(child, "/check 1")
        club.answers(child, "Leave it now; this needs an adult.")
    await club.says("Nora", "/check 1")
    club.answers("Nora", "Did it help?")
    await club.says("Bea", "H makes a sharp left turn, the motor is broken")
    assert care not in club.answers("Bea", "Fault 2").text


async def test_a_check_shows_its_caution_and_what_is_for_an_adult_says_so(club: Club) -> None:
    await club.says("Sam", "unit D keeps dying when bumped")
    await club.says("Nora", "/check 1")
    club.answers("Nora", "press it home evenly", "Careful: Unit off and unplugged", "maker's guide")
    await club.says("Sam", "/check")
    while "Did it help?" in club.sees("Sam", "Fault 1").text:
        await club.presses("Sam", "No change")
    club.answers("Sam", "Leave it now; this needs an adult. Fault 1, kit D.")
    assert "battery" not in club.news("Sam")[0].text
    await club.says("Hana", "/check 1")
    await club.says("Sam", "/check 77")
    club.answers("Sam", "There is no open fault 77")


async def test_an_adult_gets_a_letter_for_the_supplier_and_notes_that_it_is_sent(
    club: Club,
) -> None:
    await club.says("Sam", "the motor of unit D is broken")
    await club.says("Nora", "/claim 1")
    letter = club.answers("Nora", "Letter about fault 1", "motor fault", "Kind regards, Nora")
    assert letter.buttons == ["As a PDF", "Add a video", "It is sent"]
    await club.presses("Nora", "It is sent")
    club.answers("Nora", "Fault 1, D waits for the supplier now", "/claim 1 by 12 Dec")
    await club.says("Hana", "/faults")
    club.answers("Hana", "waits for the supplier")
    await club.says("Hana", "/claim 1")
    club.answers("Hana", "You can't write to the supplier here")
