"""What the bot may ask about chats and members, and leaving."""

from __future__ import annotations

from typing import Any

from .. import render
from ..access import find_chat, refusal
from ..engine import Platform
from ..errors import bad_request
from ..parameters import Params
from ..world import Chat, ChatKind, Standing
from .registry import method

REACTIONS_SHOWN = 11


def _inside(platform: Platform, params: Params) -> Chat:
    chat = find_chat(platform, params)
    if not chat.private and (reason := refusal(chat)):
        raise reason
    return chat


@method("getChat")
def get_chat(platform: Platform, params: Params) -> dict[str, Any]:
    """All about a chat."""
    chat = _inside(platform, params)
    fields = render.chat(chat) | {
        "accent_color_id": abs(chat.id) % 7,
        "max_reaction_count": REACTIONS_SHOWN,
        "accepted_gift_types": dict.fromkeys(
            (
                "unlimited_gifts", "limited_gifts", "unique_gifts", "premium_subscription",
                "gifts_from_channels",
            ),
            False,
        ),
    }  # fmt: skip
    if chat.person and chat.person.username:
        fields["active_usernames"] = [chat.person.username]
    if chat.pinned and (pinned := chat.messages.get(chat.pinned[-1])):
        fields["pinned_message"] = render.message(platform, pinned, nested=True)
    if not chat.private:
        fields["permissions"] = dict.fromkeys(PERMISSIONS, True)
    return fields


PERMISSIONS = (
    "can_send_messages", "can_send_audios", "can_send_documents", "can_send_photos",
    "can_send_videos", "can_send_video_notes", "can_send_voice_notes", "can_send_polls",
    "can_send_other_messages", "can_add_web_page_previews", "can_change_info",
    "can_invite_users", "can_pin_messages", "can_manage_topics",
)  # fmt: skip


@method("getChatMember")
def get_chat_member(platform: Platform, params: Params) -> dict[str, Any]:
    """How one person, or the bot, stands in a chat."""
    chat = _inside(platform, params)
    number = params.integer("user_id")
    if number == platform.bot.id:
        return platform.bot_member(chat, chat.bot)
    person = platform.world.people.get(number)
    if person is None:
        raise bad_request("invalid user_id specified" if number <= 0 else "user not found")
    if chat.private:
        standing = Standing.MEMBER if chat.person is person else Standing.LEFT
    else:
        standing = chat.members.get(number, Standing.LEFT)
    return render.member(render.user(person), standing, chat.kind)


@method("getChatAdministrators")
def get_chat_administrators(platform: Platform, params: Params) -> list[dict[str, Any]]:
    """Those who run a group, other bots apart."""
    chat = _inside(platform, params)
    if chat.private:
        raise bad_request("there are no administrators in the private chat")
    found = [
        render.member(render.user(platform.world.people[number]), standing, chat.kind)
        for number, standing in chat.members.items()
        if standing.admin
    ]
    return [*found, platform.bot_member(chat, chat.bot)] if chat.bot.admin else found


@method("getChatMemberCount")
def get_chat_member_count(platform: Platform, params: Params) -> int:
    """How many are in a chat, the bot included."""
    chat = _inside(platform, params)
    if chat.private:
        return 2
    return sum(standing.inside for standing in chat.members.values()) + chat.bot.inside


@method("leaveChat")
def leave_chat(platform: Platform, params: Params) -> bool:
    """The bot goes; it is told so, as for any other change of its standing."""
    from ..membership import set_bot_standing

    chat = _inside(platform, params)
    if chat.private:
        raise bad_request("chat member status can't be changed in private chats")
    set_bot_standing(platform, chat, None, Standing.LEFT)
    return True


@method("createForumTopic")
def create_forum_topic(platform: Platform, params: Params) -> dict[str, Any]:
    """A new topic; only as an administrator of a forum."""
    from ..membership import open_topic

    chat = _inside(platform, params)
    if not chat.forum or chat.kind is not ChatKind.SUPERGROUP:
        raise bad_request("the chat is not a forum")
    if not chat.bot.admin:
        raise bad_request("not enough rights to create a topic")
    name = params.text("name")
    if not 1 <= len(name) <= 128:
        raise bad_request("topic name must be non-empty" if not name else "TOPIC_TITLE_TOO_LONG")
    topic = open_topic(platform, chat, None, name)
    return {"message_thread_id": topic.id, "name": name, "icon_color": 7322096}
