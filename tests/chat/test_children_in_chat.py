"""What the bot does so that children are safe in its chat, and what adults can see of it."""

from __future__ import annotations

import json
import re
from pathlib import Path

from clubbot.desk import upkeep
from tests.chat.played import Club

MARK = "Quagga"


def bytes_of(club: Club) -> bytes:
    """Return all that stands in the database's files."""
    file = Path(str(club.store.url.database))
    beside = [file.with_name(file.name + end) for end in ("", "-wal", "-journal")]
    return b"".join(each.read_bytes() for each in beside if each.is_file())


async def test_whoever_comes_in_reads_in_plain_words_what_is_kept_and_whom_to_talk_to(
    club: Club,
) -> None:
    await club.says("Nora", "/invite student")
    link = re.search(r"https://\S+", club.answers("Nora", "Link").text)[0]  # type: ignore[index]
    await club.opens("Zed", link)
    club.answers("Zed", "Kept about you", "Talk to Nora Quinn")
    await club.presses("Nora", "Let Zed in")
    notice = club.answers("Zed", "You are in Robot club as student", "Good to know").text
    for part in ("I am a program", "your name and your team", "Adults of the club can read"):
        assert part in notice
    assert "Talk to Nora Quinn" in notice
    for sentence in re.split(r"[.?!]\s|\n", notice.partition("Good to know:")[2]):
        assert len(sentence.split()) <= 12, sentence


async def test_what_cannot_be_placed_is_answered_with_whom_to_talk_to_and_kept_nowhere(
    club: Club,
) -> None:
    await club.says("Sam", f"{MARK} was mean to me today")
    club.answers("Sam", "I'm a program, nobody reads this", "talk to Nora Quinn")
    for adult in ("Nora", "Owen"):
        club.hears_nothing(adult)
    await club.says("Sam", "/free")
    upkeep.tidy(club.store, club.clock.now())
    assert MARK.encode() not in bytes_of(club)


async def test_no_words_of_a_child_reach_another_child(club: Club) -> None:
    await club.says("Sam", f"unit D keeps dying, {MARK} did it")
    await club.says("Hana", f"/withdraw E: {MARK} sat on it")
    for child, asked in (
        ("Bea", "/kit D"),
        ("Bea", "/kit E"),
        ("Hana", "/faults"),
        ("Hana", "/faults 1"),
        ("Dora", "/kit D"),
        ("Dora", "/out E Red"),
        ("Bea", "D keeps losing power"),
        ("Hana", "/today"),
        ("Sam", "/kit E"),
    ):
        await club.says(child, asked)
        assert club.news(child), asked
        assert MARK not in "".join(each.text for each in club.news(child)), (child, asked)
    await club.says("Nora", "/kit D")
    club.answers("Nora", MARK)


async def test_adults_see_every_message_that_children_were_sent_page_by_page(club: Club) -> None:
    await club.says("Sam", "/book 1 kit fri 15:30 to 17:00")
    await club.says("Bea", "unit D keeps dying")
    await club.says("Hana", "/today")
    await club.says("Dora", "/free")
    await club.says("Nora", "/free")
    await club.at("2026-10-15 18:00")
    await club.says("Nora", "/sent")
    page = club.answers("Nora", "What I wrote to students")
    for part in ("Sam: Booked: 1 kit", "Bea: Thanks. Fault 1", "Hana: Today", "Dora: ", "tomorrow"):
        assert part in page.text, part
    assert "Nora: " not in page.text
    await club.says("Owen", "/sent sam")
    assert "Bea" not in club.answers("Owen", "What I wrote to Sam").text
    for _ in range(13):
        await club.says("Sam", "/mine")
    await club.says("Nora", "/sent Sam")
    club.answers("Nora", "page 1 of 2")
    await club.presses("Nora", "Older")
    club.answers("Nora", "page 2 of 2", "Booked: 1 kit")
    await club.says("Nora", "/sent Sam 2")
    club.answers("Nora", "page 2 of 2")
    for other in ("Sam", "Hana", "Dora"):
        await club.says(other, "/sent")
        club.answers(other, "can't see what was written to children")
    await club.says("Nora", "/settings keep messages 1")
    await club.at("2026-10-17 12:00")
    upkeep.tidy(club.store, club.clock.now())
    await club.says("Nora", "/sent")
    assert "Booked: 1 kit" not in club.answers("Nora", "1 days").text


async def test_everybody_gets_their_data_as_a_file_by_command_and_by_asking(club: Club) -> None:
    await club.says("Sam", "/book 1 kit fri 15:30 to 17:00")
    await club.says("Sam", "unit D keeps dying")
    await club.says("Bea", "D died again, my brother hit it")
    await club.says("Owen", "/fixed 1 glued by Jo")
    for asked in ("/mydata", "Export my data!"):
        await club.says("Sam", asked)
        seen = club.answers("Sam", "All that is kept about you")
        assert seen.message is not None
        sent = club.standin.platform.files.by_id[seen.message.content["document"]["file_id"]]
    content = json.loads(sent.content)
    assert content["account"] == club.standin.platform.world.person("Sam").id
    assert content["person"][0]["name"] == "Sam"
    assert content["fault"][0]["said"] == "unit D keeps dying"
    assert content["booking"]
    assert not any(word in json.dumps(content) for word in ("Bea", "brother", "glued"))


async def test_forget_me_leaves_neither_name_nor_account_in_the_bytes_of_the_file(
    club: Club,
) -> None:
    await club.says("Nora", "/role Sam")
    account = str(club.standin.platform.world.person("Sam").id)
    with club.store.write() as tx:
        from clubbot.store.tables import PERSON

        tx.execute(PERSON.update().where(PERSON.c.name == "Sam").values(name="Zebedee Zed"))
    await club.says("Sam", "/book 1 kit fri 15:30 to 17:00")
    await club.says("Sam", "unit D keeps dying")
    await club.says("Nora", "/role Zebedee Zed")
    await club.presses("Nora", "Blue")
    await club.says("Sam", "/me")
    club.answers("Sam", "Zebedee Zed", account)
    assert b"Zebedee Zed" in bytes_of(club)
    assert account.encode() in bytes_of(club)
    await club.says("Sam", "forget me")
    await club.presses("Sam", "Yes, leave")
    club.answers("Sam", "Your number and your name are deleted")
    await club.says("Nora", "/free")
    upkeep.tidy(club.store, club.clock.now())
    left = bytes_of(club)
    assert b"Zebedee Zed" not in left
    assert account.encode() not in left
    await club.says("Nora", "/kit D")
    club.answers("Nora", "unit D keeps dying")


# -- a good guest ----------------------------------------------------------------------------------


async def test_a_kind_of_message_is_muted_and_comes_back_and_danger_never_is(club: Club) -> None:
    await club.says("Sam", "/book 1 kit fri 15:30 to 17:00")
    await club.says("Sam", "/mute")
    assert "tomorrow's booking off" in club.answers("Sam", "Danger is always on").buttons
    await club.presses("Sam", "tomorrow's booking off")
    club.answers("Sam", "tomorrow's booking: off")
    await club.at("2026-10-15 18:00")
    club.hears_nothing("Sam")
    await club.says("Sam", "/mute tomorrow")
    club.answers("Sam", "tomorrow's booking: on")
    await club.says("Nora", "/mute danger")
    club.answers("Nora", "Which kind of message?")
    for kind in ("faults", "morning", "late", "other", "people", "changes", "charge", "tomorrow"):
        await club.says("Nora", f"/mute {kind}")
    await club.says("Bea", "the battery of D is hot")
    club.sees("Nora", "D")


async def test_whoever_blocked_the_bot_hears_on_their_return_what_is_still_of_use(
    club: Club,
) -> None:
    await club.says("Sam", "/book 1 kit fri 15:30 to 17:00")
    club.standin.block("Sam")
    await club.settle()
    await club.at("2026-10-15 18:30")
    club.hears_nothing("Sam")
    await club.says("Nora", "/people")
    club.answers("Nora", "Sam, student, Red (can't be written to)")
    club.standin.unblock("Sam")
    await club.settle()
    club.sees("Sam", "Tomorrow", "booking 1")


async def test_what_became_due_in_quiet_hours_comes_as_one_message(club: Club) -> None:
    for day in ("fri 15:30 to 17:00", "mon 16:00 to 17:30"):
        await club.says("Sam", f"/book 2 kits {day}")
    await club.at("2026-10-15 20:00")
    await club.says("Nora", "/cancel 2")
    await club.says("Nora", "/change 1 1 kit")
    club.hears_nothing("Sam")
    await club.at("2026-10-16 07:30")
    club.answers("Sam", "Booking 2", "is off", "Booking 1", "was changed")


async def test_a_buttons_text_can_be_typed_also_after_a_restart(club: Club) -> None:
    await club.says("Sam", "/book 1 kit fri 15:30 to 17:00")
    await club.says("Sam", "cancel it")
    club.answers("Sam", "Cancelled")
    await club.says("Nora", "/closed")
    await club.restart()
    await club.says("Nora", "Yes, no club")
    club.answers("Nora", "Today: no club")
    await club.says("Bea", "yes, no club")
    club.answers("Bea", "I'm a program, nobody reads this")


async def test_the_phone_at_the_door_asks_which_team_and_never_who(club: Club) -> None:
    await club.says("Dora", "/book 2 kits fri 15:30 to 17:00")
    asked = club.answers("Dora", "team")
    assert {"Red", "Blue", "Green"} <= set(asked.buttons)
    await club.presses("Dora", "Red")
    club.answers("Dora", "Booked: 2 kits for Red")
    await club.at("2026-10-16 15:30")
    await club.says("Dora", "/out D")
    assert {"Red", "Blue", "Green"} <= set(club.answers("Dora", "team").buttons)
    await club.presses("Dora", "Blue")
    club.answers("Dora", "D", "Blue")
    await club.says("Dora", "D keeps switching itself off")
    club.answers("Dora", "Fault 1")
    await club.says("Dora", "/back D")
    club.answers("Dora", "D")
    said = club.all_said("Dora")
    assert not re.search(r"\b[Ww]ho (?!is in|leads)", said)
    for name in ("Sam", "Bea", "Hana", "Owen"):
        assert not re.search(rf"\b{name}\b", said)


async def test_help_fits_the_role_and_the_moment_and_everything_is_on_pages(club: Club) -> None:
    await club.says("Sam", "/help")
    quiet = club.answers("Sam", "In Robot club you can", "/book 3 kits", "Talk to Nora Quinn")
    assert "/people" not in quiet.text
    await club.says("Nora", "/book 1 kit fri 15:30 to 17:00 for Red")
    await club.at("2026-10-16 15:30")
    await club.says("Hana", "/help")
    club.answers("Hana", "The club meets about now: /today")
    await club.says("Hana", "/out D Red")
    await club.says("Sam", "/help")
    club.answers("Sam", "You have D. When it is back: /back D")
    await club.says("Sam", "D keeps dying")
    await club.says("Nora", "/help")
    club.answers("Nora", "The set-up isn't finished: /setup", "1 fault open: /faults")
    await club.presses("Nora", "All commands")
    club.answers("Nora", "page 1 of")
    await club.says("Nora", "more")
    club.answers("Nora", "page 2 of")
    await club.says("Nora", "/help all")
    club.answers("Nora", "page 1 of")
    await club.says("Zed", "/help")
    club.answers("Zed", "link that your club's leader gives you")


async def test_a_long_list_of_people_is_leafed_through(club: Club) -> None:
    from clubbot.rules.model import ClubId, Role
    from clubbot.store import people

    with club.store.write() as tx:
        for number in range(40):
            people.add(
                tx, ClubId(1), 900_000_000 + number, f"P{number:02}", Role.STUDENT, club.clock.now()
            )
    await club.says("Nora", "/people")
    club.answers("Nora", "46 in the club, page 1 of 2", "Nora, leader")
    await club.presses("Nora", "More")
    club.answers("Nora", "page 2 of 2", "P39")
    await club.says("Nora", "/people 1")
    club.answers("Nora", "page 1 of 2")


async def test_a_child_who_needs_a_person_is_told_whom_and_the_question_stands(club: Club) -> None:
    await club.says("Sam", "it keeps dying all the time")
    club.answers("Sam", "Which kit is it?")
    for said in ("im scared", "i want to talk to a grown up", "what do i do"):
        await club.says("Sam", said)
        club.answers("Sam", "go to Nora Quinn: they help you")
    await club.says("Sam", "D")
    club.answers("Sam", "kit D")
