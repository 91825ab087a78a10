"""Groups: what the bot hears, topics, people who come and go, groups that change their id."""

from __future__ import annotations

from typing import Any

import pytest
from telegram import Bot, BotCommandScopeChat
from telegram.error import BadRequest, ChatMigrated, Forbidden

from demo.standin import MisuseError, Person, StandIn
from tests.demo.conftest import refused


@pytest.fixture
def maya(standin: StandIn) -> Person:
    return standin.add_person("Maya", username="maya_s")


async def heard(bot: Bot) -> list[Any]:
    """All that waits, confirmed."""
    found = await bot.get_updates(offset=1)
    if found:
        await bot.get_updates(offset=found[-1].update_id + 1)
    return list(found)


def words(updates: list[Any]) -> list[str]:
    messages = [update.message or update.edited_message for update in updates]
    return [message.text for message in messages if message and message.text]


async def test_with_privacy_the_bot_hears_commands_mentions_and_replies_only(
    standin: StandIn, bot: Bot, maya: Person
):
    club = standin.add_group("Club", [maya], announce=False)
    assert (await bot.get_me()).can_read_all_group_messages is False
    asked = await bot.send_message(club.id, "Which kit?")
    for text in ("just talk", "/book D", "/book@other_bot D", "/free@Club_Kit_Bot", "now /book"):
        standin.say(maya, text, club)
    standin.say(maya, "hey @club_kit_bot D is broken", club)
    talk = standin.say(maya, "D", club, reply_to=asked.message_id)
    standin.say(maya, "no", club, reply_to=talk)
    standin.send_photo(maya, chat=club)
    standin.edit(talk, "E")
    assert words(await heard(bot)) == [
        "/book D", "/free@Club_Kit_Bot", "hey @club_kit_bot D is broken", "D", "E",
    ]  # fmt: skip


async def test_without_privacy_or_as_an_administrator_it_hears_all(
    standin: StandIn, bot: Bot, maya: Person
):
    club = standin.add_group("Club", [maya], bot=False)
    standin.platform.bot.privacy = False
    standin.add_bot(club)
    standin.say(maya, "one", club)
    standin.platform.bot.privacy = True
    standin.say(maya, "two", club)
    assert words(await heard(bot)) == ["one", "two"]
    standin.remove_bot(club)
    standin.add_bot(club)
    standin.say(maya, "three", club)
    standin.add_bot(club, admin=True)
    standin.say(maya, "four", club)
    assert words(await heard(bot)) == ["four"]


async def test_topics_have_threads_and_others_only_look_so(
    standin: StandIn, bot: Bot, maya: Person
):
    club = standin.add_group("Club", [maya], topics=["Faults", "Talk"], announce=False)
    faults = next(iter(club.topics.values()))
    standin.say(maya, "/broken D", club, thread=faults)
    standin.say(maya, "/free", club)
    in_topic, general = [update.message for update in await heard(bot)]
    assert (in_topic.message_thread_id, in_topic.is_topic_message) == (faults.id, True)
    assert in_topic.reply_to_message.forum_topic_created.name == "Faults"
    assert general.message_thread_id is None
    sent = await in_topic.reply_text("noted")
    assert (sent.message_thread_id, sent.is_topic_message) == (faults.id, True)
    with refused(BadRequest, "Message thread not found"):
        await bot.send_message(club.id, "x", message_thread_id=1)
    answer = await general.reply_text("three")
    standin.say(maya, "/thanks", club, reply_to=answer.message_id)
    (thanks,) = await heard(bot)
    assert thanks.message.message_thread_id == general.message_id
    assert not thanks.message.is_topic_message
    with refused(BadRequest, "Message thread not found"):
        await bot.send_message(club.id, "x", message_thread_id=general.message_id)
    assert [m.text for m in standin.messages(club, thread=faults.id)][1:] == [
        "/broken D",
        "noted",
    ]


async def test_closed_topics_are_for_administrators(standin: StandIn, bot: Bot, maya: Person):
    sam = standin.add_person("Sam")
    club = standin.add_group("Club", [maya, sam], topics=["Faults"], announce=False)
    topic = next(iter(club.topics))
    standin.close_topic(club, "Faults")
    (closed,) = await heard(bot)
    assert closed.message.forum_topic_closed
    with refused(BadRequest, "Topic_closed"):
        await bot.send_message(club.id, "x", message_thread_id=topic)
    with pytest.raises(MisuseError, match="closed"):
        standin.say(sam, "x", club, thread=topic)
    standin.say(maya, "x", club, thread=topic)
    standin.reopen_topic(club, topic)
    await bot.send_message(club.id, "x", message_thread_id=topic)
    with refused(BadRequest, "Not enough rights to create a topic"):
        await bot.create_forum_topic(club.id, "Parts")
    standin.add_bot(club, admin=True)
    created = await bot.create_forum_topic(club.id, "Parts")
    assert (await bot.send_message(club.id, "x", message_thread_id=created.message_thread_id)).text


async def test_a_group_that_becomes_a_supergroup_gets_a_new_id(
    standin: StandIn, bot: Bot, maya: Person
):
    club = standin.add_group("Club", [maya], announce=False)
    new = standin.migrate(club)
    old_note, new_note = [update.message for update in await heard(bot)]
    assert (old_note.chat.id, old_note.migrate_to_chat_id) == (club.id, new.id)
    assert (new_note.chat.id, new_note.migrate_from_chat_id) == (new.id, club.id)
    with pytest.raises(ChatMigrated) as caught:
        await bot.send_message(club.id, "x")
    assert caught.value.new_chat_id == new.id
    await bot.send_message(new.id, "x")
    with pytest.raises(MisuseError, match="supergroup"):
        standin.say(maya, "x", club)
    assert standin.platform.world.chat("Club") is new


async def test_the_bot_is_told_when_it_comes_goes_and_is_blocked(
    standin: StandIn, bot: Bot, maya: Person
):
    club = standin.add_group("Club", [maya])
    standin.add_bot(club, admin=True)
    standin.remove_bot(club)
    standin.say(maya, "/start")
    standin.block(maya)
    standin.unblock(maya)
    changes, notes = [], []
    for update in await heard(bot):
        if change := update.my_chat_member:
            changes.append((change.chat.type, change.new_chat_member.status))
        elif not update.message.text:
            notes.append([user.id for user in update.message.new_chat_members] or "left")
    assert changes == [
        ("group", "member"), ("group", "administrator"), ("group", "kicked"),
        ("private", "kicked"), ("private", "member"),
    ]  # fmt: skip
    assert notes == [[bot.id], "left"]
    with refused(Forbidden, "Forbidden: bot was kicked from the group chat"):
        await bot.send_message(club.id, "x")


async def test_people_come_and_go(standin: StandIn, bot: Bot, maya: Person):
    sam = standin.add_person("Sam")
    club = standin.add_group("Club", [maya], bot="administrator", announce=False)
    await bot.get_updates(allowed_updates=["message", "chat_member"])
    standin.join(sam, club, by=maya)
    standin.leave(sam, club)
    kinds = [
        update.chat_member.new_chat_member.status
        if update.chat_member
        else (update.message.left_chat_member or update.message.new_chat_members[0]).first_name
        for update in await heard(bot)
    ]
    assert kinds == ["member", "Sam", "left", "Sam"]
    assert (await bot.get_chat_member(club.id, sam.id)).status == "left"
    assert (await bot.get_chat_member(club.id, bot.id)).status == "administrator"
    assert {m.user.id for m in await bot.get_chat_administrators(club.id)} == {maya.id, bot.id}
    assert await bot.get_chat_member_count(club.id) == 2


async def test_chats_can_be_asked_about_pinned_in_and_left(
    standin: StandIn, bot: Bot, maya: Person
):
    club = standin.add_group("Club", [maya], supergroup=True, announce=False)
    shown = await bot.send_message(club.id, "today")
    with refused(BadRequest, "Not enough rights to manage pinned messages"):
        await shown.pin()
    standin.add_bot(club, admin=True)
    await shown.pin()
    full = await bot.get_chat(club.id)
    assert (full.title, full.type, full.pinned_message.text) == ("Club", "supergroup", "today")
    await bot.unpin_chat_message(club.id)
    assert (await bot.get_chat(club.id)).pinned_message is None
    private = await bot.get_chat(maya.id)
    assert (private.first_name, private.active_usernames) == ("Maya", ("maya_s",))
    await shown.set_reaction("👍")
    assert list(standin.messages(club)[-2].reactions.values()) == ["👍"]
    await bot.send_chat_action(club.id, "typing")
    assert standin.platform.actions == [(club.id, "typing")]
    await bot.leave_chat(club.id)
    with refused(Forbidden, "Forbidden: bot is not a member of the supergroup chat"):
        await bot.send_message(club.id, "x")


async def test_forwards_name_their_origin(standin: StandIn, bot: Bot, maya: Person):
    said = standin.say(maya, "unit D keeps dying")
    copy = await bot.forward_message(maya.id, maya.id, said.id)
    assert (copy.text, copy.forward_origin.sender_user.id) == (said.text, maya.id)


async def test_old_taps_come_without_their_message(standin: StandIn, bot: Bot, maya: Person):
    standin.say(maya, "/start")
    markup = {"inline_keyboard": [[{"text": "Old", "callback_data": "v0:old"}]]}
    shown = await bot.send_message(maya.id, "?", reply_markup=markup)
    await bot.edit_message_text("done", maya.id, shown.message_id)
    with pytest.raises(MisuseError, match="no button"):
        standin.press(maya, shown.message_id, "Old")
    standin.press(maya, shown.message_id, "v0:old", stale=True)
    await shown.delete()
    standin.press(maya, shown.message_id, "v0:old", stale=True)
    visible, gone = [update.callback_query for update in (await heard(bot))[1:]]
    assert (visible.data, visible.message.text) == ("v0:old", "done")
    assert (gone.message.message_id, gone.message.is_accessible) == (shown.message_id, False)


async def test_commands_for_a_chat_nobody_knows_are_refused(bot: Bot):
    with refused(BadRequest, "Chat not found"):
        await bot.set_my_commands([("a", "b")], scope=BotCommandScopeChat(-5))
