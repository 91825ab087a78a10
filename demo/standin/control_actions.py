"""What can be asked for with POST /control/<name>: one function each (see control)."""

from __future__ import annotations

import base64
from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING, Any

from . import views
from .engine import real_time
from .errors import MisuseError
from .world import Message

if TYPE_CHECKING:
    from .standin import StandIn

Body = dict[str, Any]
Action = Callable[["StandIn", Body], Any]
ACTIONS: dict[str, Action] = {}


def action(name: str) -> Callable[[Action], Action]:
    """Makes a function the answer to POST /control/<name>."""

    def register(function: Action) -> Action:
        ACTIONS[name] = function
        return function

    return register


def pick(body: Body, *names: str) -> Body:
    """Those of the named fields that came and aren't null."""
    return {name: body[name] for name in names if body.get(name) is not None}


def _content(body: Body) -> bytes | None:
    return base64.b64decode(body["content"], validate=True) if body.get("content") else None


def _message(standin: StandIn, body: Body) -> Message:
    found = standin.platform.world.chat(body["chat"]).messages.get(int(body["message"]))
    if found is None:
        raise MisuseError(f"there is no message {body['message']}")
    return found


@action("say")
def _say(standin: StandIn, body: Body) -> Any:
    rest = pick(body, "chat", "reply_to", "thread")
    return standin.say(body["person"], body["text"], **rest)


@action("press")
def _press(standin: StandIn, body: Body) -> Any:
    rest = pick(body, "chat", "stale")
    return standin.press(body["person"], int(body["message"]), body["button"], **rest)


@action("follow")
def _follow(standin: StandIn, body: Body) -> Any:
    return standin.follow(body["person"], body["link"], **pick(body, "chat"))


@action("photo")
def _photo(standin: StandIn, body: Body) -> Any:
    rest = pick(body, "chat", "caption", "reply_to", "thread")
    return standin.send_photo(body["person"], _content(body), **rest)


@action("document")
def _document(standin: StandIn, body: Body) -> Any:
    rest = pick(body, "chat", "caption", "reply_to", "thread")
    return standin.send_document(body["person"], body["name"], _content(body) or b"", **rest)


@action("edit")
def _edit(standin: StandIn, body: Body) -> Any:
    return standin.edit(_message(standin, body), body["text"])


@action("delete")
def _delete(standin: StandIn, body: Body) -> Any:
    return standin.delete(_message(standin, body))


@action("react")
def _react(standin: StandIn, body: Body) -> Any:
    return standin.react(body["person"], _message(standin, body), body.get("emoji"))


@action("person")
def _person(standin: StandIn, body: Body) -> Any:
    rest = pick(body, "username", "language", "started")
    return views.person(standin.add_person(body["name"], **rest))


@action("group")
def _group(standin: StandIn, body: Body) -> Any:
    names = ("members", "admins", "topics", "supergroup", "bot", "announce")
    return standin.add_group(body["title"], **pick(body, *names))


@action("topic")
def _topic(standin: StandIn, body: Body) -> Any:
    return {"id": standin.add_topic(body["chat"], body["name"], **pick(body, "by")).id}


@action("close_topic")
def _close_topic(standin: StandIn, body: Body) -> Any:
    return standin.close_topic(body["chat"], body["topic"])


@action("reopen_topic")
def _reopen_topic(standin: StandIn, body: Body) -> Any:
    return standin.reopen_topic(body["chat"], body["topic"])


@action("block")
def _block(standin: StandIn, body: Body) -> Any:
    return standin.block(body["person"])


@action("unblock")
def _unblock(standin: StandIn, body: Body) -> Any:
    return standin.unblock(body["person"])


@action("deactivate")
def _deactivate(standin: StandIn, body: Body) -> Any:
    return standin.deactivate(body["person"])


@action("join")
def _join(standin: StandIn, body: Body) -> Any:
    return standin.join(body["person"], body["group"], **pick(body, "by", "admin"))


@action("leave")
def _leave(standin: StandIn, body: Body) -> Any:
    return standin.leave(body["person"], body["group"], **pick(body, "by"))


@action("add_bot")
def _add_bot(standin: StandIn, body: Body) -> Any:
    return standin.add_bot(body["group"], **pick(body, "by", "admin"))


@action("remove_bot")
def _remove_bot(standin: StandIn, body: Body) -> Any:
    return standin.remove_bot(body["group"], **pick(body, "by"))


@action("migrate")
def _migrate(standin: StandIn, body: Body) -> Any:
    return standin.migrate(body["group"])


@action("privacy")
def _privacy(standin: StandIn, body: Body) -> Any:
    standin.platform.bot.privacy = bool(body["on"])


@action("clock")
def _clock(standin: StandIn, body: Body) -> Any:
    raw = body["now"]
    standin.set_clock(datetime.fromisoformat(raw) if raw else real_time)
    return {"now": standin.now().isoformat()}


@action("faults")
def _faults(standin: StandIn, body: Body) -> Any:
    if body.get("clear"):
        standin.faults.clear()
    else:
        standin.faults.add(**body)


@action("push")
def _push(standin: StandIn, body: Body) -> Any:
    return {"update_id": standin.push(body["update"])}
