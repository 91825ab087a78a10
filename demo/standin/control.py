"""The JSON interface under /control/ for the chat page and for other processes.

Reading:
    GET  /control/state                      clock, bot, people, chats, number of the last event
    GET  /control/chats/{id}/messages        ?thread= one topic, ?after= newer than a message id
    GET  /control/chats/{id}/commands        ?person= whose client
    GET  /control/files/{file_id}            a picture's or document's bytes
    GET  /control/calls                      ?after= leave out that many of the oldest
    GET  /control/events                     ?after= event number, ?timeout= seconds to wait (25);
                                             with "Accept: text/event-stream" a stream of events
    GET  /control/idle                       ?settle= ?timeout= waits until the bot is done

Events are {"seq", "kind", ...} with kind message, edited, deleted (chat_id, message_id), tap,
answer (person_id, text, alert), action (action), membership, clock (now), call (method).

Acting (POST, JSON; people, chats: id or name; answers with what came of it):
    /control/say         {person, text, chat?, reply_to?, thread?}            -> message
    /control/press       {person, message, button, chat?, stale?}             -> tap or message
    /control/follow      {person, link, chat?}                                -> message
    /control/photo       {person, content? (base64), caption?, chat?, reply_to?, thread?}
    /control/document    {person, name, content (base64), caption?, chat?, reply_to?, thread?}
    /control/edit        {chat, message, text}                                -> message
    /control/delete      {chat, message}
    /control/react       {person, chat, message, emoji?}
    /control/person      {name, username?, language?, started?}               -> person
    /control/group       {title, members?, admins?, topics?, supergroup?, bot?, announce?} -> chat
    /control/topic       {chat, name, by?}                                    -> {id}
    /control/close_topic, /control/reopen_topic           {chat, topic}
    /control/block, /control/unblock, /control/deactivate  {person}
    /control/join        {person, group, by?, admin?}
    /control/leave       {person, group, by?}
    /control/add_bot     {group, by?, admin?}
    /control/remove_bot  {group, by?}
    /control/migrate     {group}                                              -> the new chat
    /control/privacy     {on}            counts for groups that the bot joins from then on
    /control/clock       {now}           an ISO moment at which the clock stands; null: real time
    /control/faults      {kind, method?, times?, ...} as Faults.add; {"clear": true} ends all
    /control/push        {update}        a raw update                         -> {update_id}

What no client would let a person do is answered with 400 and {"error": "..."}.
"""

from __future__ import annotations

import binascii
import contextlib
import json
from typing import TYPE_CHECKING, Any

from aiohttp import web

from . import views
from .control_actions import ACTIONS
from .engine import Tap
from .errors import ApiError, MisuseError
from .world import Chat, Message

if TYPE_CHECKING:
    from .standin import StandIn

LONGEST_WAIT = 55.0


class Control:
    """Answers the requests under /control/ for one stand-in."""

    def __init__(self, standin: StandIn) -> None:
        self.standin = standin
        self.platform = standin.platform

    def routes(self) -> list[web.AbstractRouteDef]:
        """The addresses and what answers them."""
        return [
            web.get("/control/state", self.state),
            web.get("/control/chats/{chat}/messages", self.messages),
            web.get("/control/chats/{chat}/commands", self.commands),
            web.get("/control/files/{file}", self.file),
            web.get("/control/calls", self.calls),
            web.get("/control/events", self.events),
            web.get("/control/idle", self.idle),
            web.post("/control/{action}", self.act),
        ]

    async def state(self, request: web.Request) -> web.Response:
        """Everybody and every chat."""
        world, bot = self.platform.world, self.platform.bot
        return web.json_response(
            {
                "now": self.standin.now().isoformat(),
                "bot": {"id": bot.id, "name": bot.first_name, "username": bot.username},
                "people": [views.person(person) for person in world.people.values()],
                "chats": [views.chat(self.platform, chat) for chat in world.chats.values()],
                "last_event": self.platform.journal.last_event,
                "polling": self.platform.updates.polling,
            }
        )

    async def messages(self, request: web.Request) -> web.Response:
        """What one sees in a chat."""
        thread = request.query.get("thread")
        after = int(request.query.get("after", "0"))
        shown = self.standin.messages(self._chat(request), thread=int(thread) if thread else None)
        return web.json_response([views.message(self.platform, m) for m in shown if m.id > after])

    async def commands(self, request: web.Request) -> web.Response:
        """The command list that a person's client shows in a chat."""
        person = self.platform.world.person(_named(request.query["person"]))
        return web.json_response(self.standin.commands_shown(person, self._chat(request)))

    async def file(self, request: web.Request) -> web.Response:
        """A file's bytes; never anything that a browser would run."""
        stored = self.platform.files.by_id.get(request.match_info["file"])
        if stored is None:
            raise web.HTTPNotFound
        kind = "image/png" if stored.kind == "photo" else "application/octet-stream"
        headers = {"X-Content-Type-Options": "nosniff"}
        return web.Response(body=stored.content, content_type=kind, headers=headers)

    async def calls(self, request: web.Request) -> web.Response:
        """What the bot asked for."""
        after = int(request.query.get("after", "0"))
        return web.json_response([views.call(call) for call in self.standin.calls[after:]])

    async def events(self, request: web.Request) -> web.StreamResponse:
        """What happened after an event, at once or as soon as something does."""
        journal = self.platform.journal
        after = int(request.query.get("after", "0"))
        if "text/event-stream" in request.headers.get("Accept", ""):
            after = int(request.headers.get("Last-Event-ID", after))
            return await self._stream(request, after)
        wait = min(float(request.query.get("timeout", "25")), LONGEST_WAIT)
        with contextlib.suppress(TimeoutError):
            await journal.wait_for(
                lambda: journal.last_event > after or self.platform.updates.closed, wait
            )
        found = journal.events_after(after)
        return web.json_response({"events": found, "last": journal.last_event})

    async def _stream(self, request: web.Request, after: int) -> web.StreamResponse:
        journal = self.platform.journal
        response = web.StreamResponse(headers={"Content-Type": "text/event-stream"})
        await response.prepare(request)
        while not self.platform.updates.closed:
            for event in journal.events_after(after):
                after = event["seq"]
                line = f"id: {after}\ndata: {json.dumps(event)}\n\n"
                await response.write(line.encode())
            try:
                await journal.changed(15.0)
            except TimeoutError:
                await response.write(b": still here\n\n")
        return response

    async def idle(self, request: web.Request) -> web.Response:
        """Waits until the bot is done; 504 if it isn't in time."""
        settle = float(request.query.get("settle", "0.1"))
        wait = min(float(request.query.get("timeout", "10")), LONGEST_WAIT)
        try:
            await self.standin.idle(settle, wait)
        except TimeoutError as error:
            return web.json_response({"error": str(error)}, status=504)
        return web.json_response({"idle": True})

    async def act(self, request: web.Request) -> web.Response:
        """One thing that a person does, or that happens to the platform."""
        function = ACTIONS.get(request.match_info["action"])
        if function is None:
            raise web.HTTPNotFound
        if request.content_type != "application/json":
            raise web.HTTPUnsupportedMediaType(text="JSON, please")
        try:
            result = function(self.standin, await request.json())
        except (ValueError, ApiError, binascii.Error) as error:
            return web.json_response({"error": str(error)}, status=400)
        except (KeyError, TypeError) as error:
            return web.json_response({"error": f"missing or unknown: {error}"}, status=400)
        return web.json_response(self._shown(result))

    def _shown(self, result: Any) -> Any:
        match result:
            case Message():
                return views.message(self.platform, result)
            case Tap():
                return views.tap(result)
            case Chat():
                return views.chat(self.platform, result)
        return {"done": True} if result is None else result

    def _chat(self, request: web.Request) -> Chat:
        try:
            return self.platform.world.chat(_named(request.match_info["chat"]))
        except MisuseError as error:
            raise web.HTTPNotFound(text=str(error)) from error


def _named(raw: str) -> str | int:
    """An id if it looks like one, otherwise a name."""
    return int(raw) if raw.lstrip("-").isdigit() else raw


def add_control(app: web.Application, standin: StandIn) -> None:
    """Adds the addresses under /control/ to a server."""
    app.add_routes(Control(standin).routes())
