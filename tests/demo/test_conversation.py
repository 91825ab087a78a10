"""A real Application, over loopback HTTP, in conversation with people."""

from __future__ import annotations

from typing import Any

from telegram import InlineKeyboardButton, InlineKeyboardMarkup, ReplyKeyboardMarkup, Update
from telegram.ext import CallbackQueryHandler, CommandHandler, MessageHandler, filters

from demo.standin import StandIn, Tap


async def greet(update: Update, _: Any) -> None:
    button = InlineKeyboardButton("Book <it>", callback_data="v1:book:7")
    await update.message.reply_html(
        f"Hello <b>{update.effective_user.mention_html()}</b>",
        reply_markup=InlineKeyboardMarkup([[button]]),
    )


async def booked(update: Update, _: Any) -> None:
    await update.callback_query.answer("Done", show_alert=True)
    await update.callback_query.edit_message_text(f"Booked {update.callback_query.data}")


async def test_a_person_writes_taps_and_sees_the_message_change(standin: StandIn, launch: Any):
    await launch(CommandHandler("start", greet), CallbackQueryHandler(booked))
    maya = standin.add_person("Maya Stone")
    standin.say(maya, "/start")
    greeting = await standin.wait_for_text(maya, "Hello Maya Stone")
    kinds = [(e["type"], e["offset"], e["length"]) for e in greeting.entities]
    assert kinds == [("text_mention", 6, 10), ("bold", 6, 10)]
    tap = standin.press(maya, greeting, "Book <it>")
    await standin.wait_for(lambda: greeting.text == "Booked v1:book:7")
    assert isinstance(tap, Tap)
    assert (tap.answered, tap.text, tap.alert) == (True, "Done", True)
    assert greeting.buttons == []
    assert [message.text for message in standin.messages(maya)] == ["/start", "Booked v1:book:7"]


async def test_edits_reach_the_library_as_edits(standin: StandIn, launch: Any):
    seen: list[tuple[str, str]] = []

    async def note(update: Update, _: Any) -> None:
        kind = "edit" if update.edited_message else "new"
        seen.append((kind, update.effective_message.text))

    await launch(MessageHandler(filters.TEXT, note))
    maya = standin.add_person("Maya")
    written = standin.say(maya, "unit D keeps dying")
    standin.edit(written, "unit E keeps dying")
    await standin.wait_for(lambda: len(seen) == 2 or standin.updates.polls > 5)
    await standin.idle()
    assert seen == [("new", "unit D keeps dying"), ("edit", "unit E keeps dying")]


async def test_a_picture_goes_up_and_comes_down_byte_for_byte(standin: StandIn, launch: Any):
    async def echo(update: Update, _: Any) -> None:
        file = await update.message.photo[-1].get_file()
        content = bytes(await file.download_as_bytearray())
        await update.message.reply_photo(content, caption=update.message.caption)
        await update.message.reply_document(content, filename="same.png")

    await launch(MessageHandler(filters.PHOTO, echo))
    maya = standin.add_person("Maya")
    sent = standin.send_photo(maya, caption="a <bent> axle")
    answer = await standin.wait_for_text(maya, "a <bent> axle")
    await standin.wait_for(lambda: standin.calls_of("sendDocument"))
    await standin.idle()
    files = standin.platform.files
    original = files.by_id[sent.content["photo"][-1]["file_id"]].content
    assert files.by_id[answer.content["photo"][-1]["file_id"]].content == original
    assert standin.calls_of("sendDocument")[0].files["document"] == original
    assert standin.last(maya).content["document"]["file_name"] == "same.png"


async def test_an_album_arrives_as_messages_that_share_a_group(standin: StandIn, launch: Any):
    seen: list[Any] = []

    async def note(update: Update, _: Any) -> None:
        seen.append(update.message)

    await launch(MessageHandler(filters.PHOTO, note))
    standin.send_album(standin.add_person("Maya"), 3, caption="three of them")
    await standin.wait_for(lambda: not standin.updates.waiting)
    await standin.idle()
    assert len({message.media_group_id for message in seen}) == 1
    assert [message.caption for message in seen] == ["three of them", None, None]


async def test_a_reply_keyboard_sends_its_text(standin: StandIn, launch: Any):
    async def offer(update: Update, _: Any) -> None:
        keyboard = ReplyKeyboardMarkup([["Today", "Friday"]], one_time_keyboard=True)
        await update.message.reply_text("When?", reply_markup=keyboard)

    await launch(CommandHandler("when", offer))
    maya = standin.add_person("Maya")
    standin.say(maya, "/when")
    question = await standin.wait_for_text(maya, "When?")
    standin.press(maya, question, "Friday")
    assert standin.last(maya).text == "Friday"


async def test_links_start_the_bot_with_their_payload(standin: StandIn, launch: Any):
    seen: list[str] = []

    async def start(update: Update, context: Any) -> None:
        seen.append(" ".join(context.args))

    application = await launch(CommandHandler("start", start))
    maya, link = standin.add_person("Maya"), f"https://t.me/{application.bot.username}?start="
    standin.follow(maya, f"{link}knock_1-A")
    standin.follow(maya, f"{link}not%20a%20payload")
    standin.follow(maya, f"{link}{'x' * 65}")
    assert standin.follow(maya, "https://example.org/?start=1") is None
    await standin.wait_for(lambda: not standin.updates.waiting)
    await standin.idle()
    assert seen == ["knock_1-A", "", ""]


async def test_people_see_the_command_list_of_the_narrowest_scope(standin: StandIn, bot: Any):
    from telegram import BotCommandScopeAllGroupChats, BotCommandScopeChatAdministrators

    lea, sam = standin.add_person("Lea"), standin.add_person("Sam", language="de")
    club = standin.add_group("Club", [lea, sam])
    await bot.set_my_commands([("book", "Book kits")])
    await bot.set_my_commands([("book", "Kits buchen")], language_code="de")
    await bot.set_my_commands([("free", "What is free")], scope=BotCommandScopeAllGroupChats())
    staff = BotCommandScopeChatAdministrators(club.id)
    await bot.set_my_commands([("out", "Give out")], scope=staff)
    names = [c["command"] for who in (lea, sam) for c in standin.commands_shown(who, club)]
    assert names == ["out", "free"]
    assert standin.commands_shown(sam)[0]["description"] == "Kits buchen"
    assert [c.command for c in await bot.get_my_commands(scope=staff)] == ["out"]
    await bot.delete_my_commands(scope=staff)
    assert standin.commands_shown(lea, club)[0]["command"] == "free"
