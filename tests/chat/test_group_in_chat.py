"""The club's group: what the bot may see there, and what it announces, where, and to whom not."""

from __future__ import annotations

from typing import Any

import pytest

from demo.standin import Chat
from tests.chat.played import GROUP, Club

EVERYBODY = ["Nora", "Owen", "Hana", "Sam", "Bea", "Zed"]


async def linked(club: Club, title: str = GROUP, **how: Any) -> Chat:
    group = club.standin.add_group(title, EVERYBODY, announce=False, **how)
    await club.says("Nora", "/link", group)
    club.answers(group, "This group now belongs to Robot club")
    return group


# -- what the bot can see -------------------------------------------------------------------------


async def test_with_privacy_mode_on_the_group_reads_that_the_bot_sees_little(club: Club) -> None:
    group = await linked(club)
    assert "I don't get to see the rest" in club.all_said(group)


@pytest.mark.parametrize("club", [False], indirect=True)
async def test_a_bot_that_sees_everything_is_linked_only_with_the_schools_yes(club: Club) -> None:
    group = club.standin.add_group(GROUP, EVERYBODY, announce=False)
    await club.says("Nora", "/link", group)
    asked = club.answers(group, "Not linked yet", "my privacy mode is off", "/link again")
    assert asked.buttons == ["The school said yes", "No"]
    await club.presses("Sam", "The school said yes", group)
    club.hears_nothing(group)
    club.sees("Sam", "That button answers somebody else", how="note")
    await club.says("Sam", "/free", group)
    club.answers(group, "aren't in a club here yet")
    await club.presses("Nora", "The school said yes", group)
    club.answers(group, "belongs to Robot club", "the school said yes")


async def test_as_an_administrator_the_bot_sees_everything_and_says_so(club: Club) -> None:
    group = club.standin.add_group(GROUP, EVERYBODY, announce=False)
    club.standin.add_bot(group, admin=True)
    await club.says("Nora", "/link", group)
    club.answers(group, "Not linked yet", "I am an administrator here", "rights away")
    club.standin.add_bot(group)
    await club.says("Nora", "/link", group)
    club.answers(group, "This group now belongs to Robot club", "I don't get to see the rest")


async def test_what_the_bot_can_see_is_asked_anew_at_every_link(club: Club) -> None:
    club.standin.platform.bot.privacy = False
    group = club.standin.add_group(GROUP, EVERYBODY, announce=False)
    await club.says("Nora", "/link", group)
    club.answers(group, "Not linked yet")
    club.standin.platform.bot.privacy = True
    club.standin.remove_bot(group)
    club.standin.add_bot(group, by="Nora")
    await club.settle()
    await club.says("Nora", "/link", group)
    club.answers(group, "This group now belongs to Robot club")


# -- announcements --------------------------------------------------------------------------------


async def test_a_group_hears_when_there_is_no_club_and_when_a_session_moves_but_not_why(
    club: Club,
) -> None:
    group = await linked(club)
    await club.says("Sam", "/book 2 kits fri 15:30 to 17:00")
    await club.says("Nora", "/closed 19 Oct: Sam is ill")
    club.answers(group, "Mon 19 Oct: no club.")
    await club.says("Nora", "/open 19 Oct")
    club.answers(group, "Mon 19 Oct: there is club after all.")
    await club.says("Nora", "/move fri to thu 22 oct 16:00-17:30: Red asked")
    told = club.answers(group, "The session of tomorrow, 15:30 to 17:00 is held Thu 22 Oct")
    assert told.buttons == []
    for word in ("Sam", "Red", "ill", "Nora"):
        assert word not in told.text


async def test_announcements_go_to_the_topic_that_was_chosen_and_answers_where_one_asked(
    club: Club,
) -> None:
    group = await linked(club, topics=["News", "Kits"], supergroup=True)
    topics = {topic.name: topic.id for topic in group.topics.values()}
    await club.says("Nora", "/link here", group, thread="News")
    club.answers(group, "I say in this topic from now on")
    await club.says("Nora", "/closed 19 Oct")
    news = club.answers(group, "Mon 19 Oct: no club.").message
    assert news is not None
    assert news.thread == topics["News"]
    await club.says("Sam", "/free", group, thread="Kits")
    answer = club.answers(group, "kits free").message
    assert answer is not None
    assert answer.thread == topics["Kits"]
    await club.says("Nora", "/link quiet", group)
    club.answers(group, "I announce nothing")
    await club.says("Nora", "/open 19 Oct")
    club.hears_nothing(group)


async def test_only_an_adult_says_where_announcements_go(club: Club) -> None:
    group = await linked(club)
    for said in ("/link here", "/link quiet", "/link off"):
        await club.says("Sam", said, group)
        club.answers(group, "You can't link a group here")
    await club.says("Nora", "/closed 19 Oct")
    club.answers(group, "no club")


async def test_every_group_of_the_club_hears_it_and_no_other(club: Club) -> None:
    first, second = await linked(club), await linked(club, "Parents")
    other = club.standin.add_group("Chess", EVERYBODY, announce=False)
    await club.says("Nora", "/closed 19 Oct")
    club.answers(first, "no club")
    club.answers(second, "no club")
    club.hears_nothing(other)
    await club.says("Sam", "/free", second)
    club.answers(second, "8 of 8 kits free")


async def test_a_group_that_became_a_supergroup_hears_what_was_meant_for_it(club: Club) -> None:
    group = await linked(club)
    bigger = club.standin.migrate(group)
    club.standin.updates.drop()
    await club.says("Nora", "/closed 19 Oct")
    club.sees(bigger, "Mon 19 Oct: no club.")
    await club.says("Nora", "/open 19 Oct")
    club.answers(bigger, "there is club after all")


async def test_out_of_a_group_the_bot_announces_nothing_there_and_back_in_it_again(
    club: Club,
) -> None:
    group = await linked(club)
    club.standin.remove_bot(group)
    await club.settle()
    await club.says("Nora", "/closed 19 Oct")
    club.hears_nothing(group)
    club.standin.add_bot(group, by="Nora")
    await club.settle()
    await club.says("Nora", "/open 19 Oct")
    club.answers(group, "there is club after all")
