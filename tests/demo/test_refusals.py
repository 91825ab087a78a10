"""Each refusal reaches the library as the error class and words that the platform's would."""

from __future__ import annotations

import json
from typing import Any

import aiohttp
import pytest
from telegram import Bot, InlineKeyboardButton, InlineKeyboardMarkup, InputMediaPhoto
from telegram.constants import (
    BotCommandLimit,
    CallbackQueryLimit,
    FileSizeLimit,
    InlineKeyboardButtonLimit,
    InlineKeyboardMarkupLimit,
    MediaGroupLimit,
    MessageLimit,
    PollingLimit,
    WebhookLimit,
)
from telegram.error import BadRequest, Forbidden, InvalidToken

from demo.standin import MisuseError, Person, StandIn, entities, files, keyboards, updates
from demo.standin.methods import callbacks, commands, media
from tests.demo.conftest import refused


@pytest.fixture
def maya(standin: StandIn) -> Person:
    return standin.add_person("Maya", started=True)


def keyboard(data: str) -> InlineKeyboardMarkup:
    return InlineKeyboardMarkup([[InlineKeyboardButton("x", callback_data=data)]])


def test_limits_are_the_library_s():
    assert entities.MAX_TEXT == MessageLimit.MAX_TEXT_LENGTH
    assert entities.MAX_CAPTION == MessageLimit.CAPTION_LENGTH
    assert entities.MAX_ENTITIES == MessageLimit.MESSAGE_ENTITIES
    assert keyboards.MAX_CALLBACK_DATA == InlineKeyboardButtonLimit.MAX_CALLBACK_DATA
    assert keyboards.MAX_BUTTONS == InlineKeyboardMarkupLimit.TOTAL_BUTTON_NUMBER
    assert commands.MAX_COMMANDS == BotCommandLimit.MAX_COMMAND_NUMBER
    assert commands.MAX_DESCRIPTION == BotCommandLimit.MAX_DESCRIPTION
    assert callbacks.MAX_ANSWER == CallbackQueryLimit.ANSWER_CALLBACK_QUERY_TEXT_LENGTH
    assert updates.MAX_LIMIT == PollingLimit.MAX_LIMIT
    assert (MediaGroupLimit.MIN_MEDIA_LENGTH, MediaGroupLimit.MAX_MEDIA_LENGTH) == (
        media.ALBUM_SIZE
    )
    assert files.MAX_DOWNLOAD == FileSizeLimit.FILESIZE_DOWNLOAD
    assert files.MAX_UPLOAD == FileSizeLimit.FILESIZE_UPLOAD
    assert files.MAX_PHOTO == FileSizeLimit.PHOTOSIZE_UPLOAD
    assert WebhookLimit.MAX_SECRET_TOKEN_LENGTH == 256


async def test_a_text_of_4096_units_passes_and_4097_do_not(bot: Bot, maya: Person):
    await bot.send_message(maya.id, "x" * 4096)
    await bot.send_message(maya.id, f"<b>{'🏟' * 2048}</b>", parse_mode="HTML")
    for text in ("x" * 4097, "🏟" * 2048 + "x"):
        with refused(BadRequest, "Message is too long"):
            await bot.send_message(maya.id, text)
    with refused(BadRequest, "Message text is empty"):
        await bot.send_message(maya.id, "")
    with refused(BadRequest, "Text must be non-empty"):
        await bot.send_message(maya.id, " \u200b ")


async def test_html_that_does_not_parse_is_refused_and_sends_nothing(
    bot: Bot, standin: StandIn, maya: Person
):
    with refused(BadRequest, 'Can\'t parse entities: Unsupported start tag "me"'):
        await bot.send_message(maya.id, "I <me>", parse_mode="HTML")
    assert standin.messages(maya) == []


async def test_captions_end_at_1024_units(bot: Bot, maya: Person):
    picture = files.plain_picture(10, 10)
    await bot.send_photo(maya.id, picture, caption="x" * 1024)
    with refused(BadRequest, "Message caption is too long"):
        await bot.send_photo(maya.id, picture, caption="x" * 1025)


async def test_callback_data_is_1_to_64_bytes_not_letters(standin: StandIn, maya: Person):
    """Sent raw, as the library would refuse some of these before the platform can."""
    for data, fits in (("x" * 64, True), ("я" * 32, True), ("я" * 33, False), ("", False)):
        markup = {"inline_keyboard": [[{"text": "x", "callback_data": data}]]}
        status, body = await raw(
            standin, "sendMessage", chat_id=maya.id, text="x", reply_markup=json.dumps(markup)
        )
        if fits:
            assert status == 200
        else:
            assert (status, body["description"]) == (400, "Bad Request: BUTTON_DATA_INVALID")
    objections = standin.platform.validator.objections
    assert len(objections) == 3  # the outside check saw the bad ones too, one of them twice
    objections.clear()


async def raw(standin: StandIn, method: str, **params: Any) -> tuple[int, Any]:
    url = f"{standin.bot_url}{standin.token}/{method}"
    async with aiohttp.ClientSession() as session, session.post(url, json=params) as answer:
        return answer.status, await answer.json()


async def test_buttons_need_an_action_and_text(standin: StandIn, maya: Person):
    for button, reason in (
        ({"text": "x"}, "Text buttons are unallowed in the inline keyboard"),
        ({"text": " ", "callback_data": "x"}, "Text must be non-empty"),
    ):
        _, body = await raw(standin, "sendMessage", chat_id=maya.id, text="x",
                            reply_markup={"inline_keyboard": [[button]]})  # fmt: skip
        assert body["description"].endswith(reason)
    markup = {"inline_keyboard": [[{"text": "x", "url": "v1:x"}]]}
    _, body = await raw(standin, "sendMessage", chat_id=maya.id, text="x", reply_markup=markup)
    assert body["description"] == "Bad Request: BUTTON_URL_INVALID"


async def test_unknown_blocked_and_never_started_are_three_different_refusals(
    bot: Bot, standin: StandIn, maya: Person
):
    with refused(BadRequest, "Chat not found"):
        await bot.send_message(999, "x")
    sam, stranger = standin.add_person("Sam"), standin.add_person("Stranger")
    standin.add_group("Club", [maya, sam])
    with refused(Forbidden, "Forbidden: bot can't initiate conversation with a user"):
        await bot.send_message(sam.id, "x")
    with refused(BadRequest, "Chat not found"):
        await bot.send_message(stranger.id, "x")
    standin.block(maya)
    with refused(Forbidden, "Forbidden: bot was blocked by the user"):
        await bot.send_message(maya.id, "x")
    standin.unblock(maya)
    await bot.send_message(maya.id, "x")
    standin.deactivate(maya)
    with refused(Forbidden, "Forbidden: user is deactivated"):
        await bot.send_message(maya.id, "x")


async def test_edits_are_refused_as_on_the_platform(bot: Bot, standin: StandIn, maya: Person):
    shown = await bot.send_message(maya.id, "a <b>", reply_markup=keyboard("x"))
    with refused(BadRequest, "Message is not modified: specified new message"):
        await bot.edit_message_text("a <b>", maya.id, shown.message_id, reply_markup=keyboard("x"))
    without = await bot.edit_message_text("a <b>", maya.id, shown.message_id)
    assert without.reply_markup is None
    with refused(BadRequest, "Message to edit not found"):
        await bot.edit_message_text("x", maya.id, 999)
    said = standin.say(maya, "mine")
    with refused(BadRequest, "Message can't be edited"):
        await bot.edit_message_text("x", maya.id, said.id)
    with refused(BadRequest, "There is no caption in the message to edit"):
        await bot.edit_message_caption(maya.id, shown.message_id, caption="x")
    await bot.edit_message_reply_markup(maya.id, shown.message_id, reply_markup=keyboard("y"))
    assert standin.last(maya).id == said.id
    assert await bot.delete_message(maya.id, shown.message_id)
    with refused(BadRequest, "Message to delete not found"):
        await bot.delete_message(maya.id, shown.message_id)


async def test_pictures_can_be_exchanged_and_recaptioned(bot: Bot, standin: StandIn, maya: Person):
    picture, other = files.plain_picture(10, 10), files.plain_picture(20, 10)
    shown = await bot.send_photo(maya.id, picture, caption="one")
    await bot.edit_message_caption(maya.id, shown.message_id, caption="two")
    new = await bot.edit_message_media(InputMediaPhoto(other), maya.id, shown.message_id)
    assert (new.photo[-1].width, new.caption) == (20, None)
    again = await bot.send_photo(maya.id, new.photo[-1].file_id)
    assert again.photo == new.photo
    with refused(BadRequest, "IMAGE_PROCESS_FAILED"):
        await bot.send_photo(maya.id, b"no picture")
    with refused(BadRequest, "Wrong file identifier"):
        await bot.send_photo(maya.id, "AgACunknown")


async def test_albums_have_2_to_10_items(bot: Bot, maya: Person):
    items = [InputMediaPhoto(files.plain_picture(10, 10 + n)) for n in range(3)]
    sent = await bot.send_media_group(maya.id, items, caption="all")
    assert len({message.media_group_id for message in sent}) == 1
    assert [message.caption for message in sent] == ["all", None, None]
    with refused(BadRequest, "media group must include 2-10 items"):
        await bot.send_media_group(maya.id, items[:1])


async def test_commands_are_checked(bot: Bot, standin: StandIn):
    with refused(BadRequest, "BOT_COMMAND_INVALID"):
        await bot.set_my_commands([("Start", "with a capital")])
    _, body = await raw(standin, "setMyCommands", commands=[{"command": "a", "description": ""}])
    assert body["description"] == "Bad Request: BOT_COMMAND_DESCRIPTION_INVALID"
    objections = standin.platform.validator.objections
    assert len(objections) == 2  # the outside check saw both, as it should
    objections.clear()


async def test_wrong_tokens_and_unknown_methods(standin: StandIn):
    stranger = Bot("424242:not-the-token-AAAAAAAAAAAAAAAA", base_url=standin.bot_url)
    with refused(InvalidToken, "the token"):
        await stranger.initialize()
    await stranger.shutdown()
    assert await raw(standin, "sendSmell", chat_id=1) == (
        404,
        {"ok": False, "error_code": 404, "description": "Not Found"},
    )


async def test_requests_come_by_query_form_json_and_multipart(standin: StandIn, maya: Person):
    url = f"{standin.bot_url}{standin.token}/SENDmessage"
    fields = {"chat_id": str(maya.id), "text": "x <é>"}
    multipart = aiohttp.FormData(fields)
    multipart.add_field("unused", b"x", filename="x.bin")
    async with aiohttp.ClientSession() as session:
        for kind, options in (
            ("get", {"params": fields}),
            ("post", {"data": fields}),
            ("post", {"json": {**fields, "chat_id": maya.id, "protect_content": True}}),
            ("post", {"data": multipart}),
        ):
            async with session.request(kind, url, **options) as answer:
                assert (await answer.json())["result"]["text"] == "x <é>"
        async with session.post(url, data="{", headers={"Content-Type": "application/json"}) as no:
            assert (await no.json())["description"] == "Bad Request: can't parse JSON object"


async def test_own_messages_can_be_deleted_for_48_hours(
    bot: Bot, standin: StandIn, maya: Person, clock: Any
):
    sent = [await bot.send_message(maya.id, str(n)) for n in range(3)]
    assert await bot.delete_messages(maya.id, [sent[0].message_id, 999])
    clock.forward(hours=48)
    assert await bot.delete_message(maya.id, sent[1].message_id)
    clock.forward(seconds=1)
    with refused(BadRequest, "Message can't be deleted for everyone"):
        await bot.delete_message(maya.id, sent[2].message_id)
    assert [m.text for m in standin.messages(maya)] == ["2"]


async def test_half_characters_are_refused(standin: StandIn, maya: Person):
    status, body = await raw(standin, "sendMessage", chat_id=maya.id, text="\ud83d")
    assert (status, body["description"]) == (400, "Bad Request: strings must be encoded in UTF-8")


def test_people_can_do_only_what_their_clients_allow(standin: StandIn, maya: Person):
    sam = standin.add_person("Sam")
    club = standin.add_group("Club", [sam])
    for forbidden in (
        lambda: standin.say(maya, "x", club),
        lambda: standin.say(maya, "x", sam),
        lambda: standin.say(maya, " "),
        lambda: standin.say(maya, "x" * 4097),
        lambda: standin.press(maya, standin.say(maya, "x"), "no such button"),
        lambda: standin.say(sam, "x", club, thread="no such topic"),
    ):
        with pytest.raises(MisuseError):
            forbidden()
