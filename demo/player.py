"""Plays a story with the real bot, prints it, and compares what is seen with what is written."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from demo.script import GROUP, Expected, Script, Step
from demo.stage import Stage
from demo.standin import Chat, Message, MisuseError, Person
from demo.telling import Teller

HOW = {">": "wrote", "~": "changed its message to", "!": "noted"}


class DiffersError(Exception):
    """The story didn't go as written; the text names the first line that differs."""


@dataclass(frozen=True, slots=True)
class Seen:
    """Something that the bot did, as people see it."""

    how: str
    place: str
    at: datetime
    text: str
    rows: list[list[str]]

    @property
    def buttons(self) -> list[str]:
        return [each for row in self.rows for each in row]

    def __str__(self) -> str:
        shown = "".join(f" [{each}]" for each in self.buttons)
        return f"in {self.place} it {HOW[self.how]}: {' '.join(self.text.split())}{shown}"


class Player:
    """Plays one script on one stage, from the first line to the last."""

    def __init__(self, script: Script, stage: Stage, teller: Teller) -> None:
        self._script = script
        self._stage = stage
        self._tell = teller
        self._standin = stage.standin
        self._link = ""
        self._group: Chat | None = None
        self._looked_to = 0

    async def play(self) -> None:
        """Play it to the end; DiffersError at the first thing that isn't as written."""
        self._stage.cast(self._script.people)
        if self._script.group:
            members = self._script.members
            self._group = self._standin.add_group(self._script.group, members)
        await self._stage.clock.settle()
        self._news()
        for step in self._script.steps:
            if step.deed == "heading":
                self._tell.heading(step.text)
            else:
                await self._play(step)

    async def _play(self, step: Step) -> None:
        try:
            self._act(step)
        except MisuseError as error:
            raise self._differs(step.line, step.written, str(error)) from error
        if step.moment:
            await self._stage.clock.advance(step.moment)
        else:
            await self._stage.clock.settle()
        seen = self._news()
        for each in seen:
            where = "in the group" if each.place == GROUP else f"to {each.place}"
            more = {">": "", "~": " (changed)", "!": " (passing)"}[each.how]
            bot = self._standin.platform.bot.first_name
            self._tell.said(each.at, bot, where + more, each.text, each.rows)
        self._compare(step, seen)

    # -- doing what is written ---------------------------------------------------------------------

    def _act(self, step: Step) -> None:
        if step.deed == "at":
            return
        chat = self._chat(step.place)
        now, shown = self._stage.clock.local, step.text.replace("{code}", self._stage.bot.code)
        where = "in the group" if step.place == GROUP else ""
        match step.deed:
            case "say":
                answered = self._like(step.answers, chat) if step.answers else None
                self._standin.say(step.actor, shown, chat, reply_to=answered)
            case "press":
                shown = f"presses [{step.text}]"
                self._standin.press(step.actor, self._with_button(step.text, chat), step.text, chat)
            case "photo":
                self._standin.send_photo(step.actor, None, chat, caption=step.text)
                shown = f"(a photo) {step.text}".strip()
            case "open":
                if self._standin.follow(step.actor, self._link) is None:
                    raise MisuseError(f"{self._link or 'no link'} doesn't lead to the bot")
                shown = f"opens {self._link}"
        self._tell.said(now, step.actor, where, shown)

    def _chat(self, place: str) -> Chat:
        if place != GROUP:
            return self._standin.platform.world.chat(self._person(place))
        if self._group is None:
            raise MisuseError("this story has no group")
        return self._group

    def _person(self, name: str) -> Person:
        return self._standin.platform.world.person(name)

    def _like(self, fragment: str, chat: Chat) -> Message:
        for message in reversed(chat.visible):
            if fragment in message.text:
                return message
        raise MisuseError(f"there is no message with {fragment!r}")

    def _with_button(self, text: str, chat: Chat) -> Message:
        for message in reversed(chat.visible):
            if any(button.text == text for button in message.buttons):
                return message
        raise MisuseError(f"there is no button [{text}]")

    # -- seeing what came of it --------------------------------------------------------------------

    def _news(self) -> list[Seen]:
        """What the bot did since the last look; a message changed at once counts as new."""
        journal = self._standin.platform.journal
        found: dict[tuple[object, ...], Seen] = {}
        for event in journal.events_after(self._looked_to):
            if event["kind"] in ("message", "edited"):
                key = (event["chat_id"], event["message_id"])
                how = ">" if event["kind"] == "message" or key in found else "~"
                if seen := self._seen(how, *key):
                    found[key] = seen
            elif event["kind"] == "answer" and event["text"]:
                name = self._standin.platform.world.people[event["person_id"]].name
                seen = Seen("!", name, self._stage.clock.local, event["text"], [])
                found["answer", event["seq"]] = seen
        self._looked_to = journal.last_event
        return list(found.values())

    def _seen(self, how: str, chat_id: int, message_id: int) -> Seen | None:
        chat = self._standin.platform.world.chats[chat_id]
        message = chat.messages[message_id]
        if not message.from_bot or message.service or message.deleted:
            return None
        for entity in message.entities:
            start, end = entity["offset"], entity["offset"] + entity["length"]
            if entity["type"] == "url":
                plain = message.text.encode("utf-16-le")[2 * start : 2 * end]
                self._link = plain.decode("utf-16-le")
        place = chat.person.name if chat.person else GROUP
        at = (message.edited if how == "~" else None) or message.date
        rows = [[button.text for button in row] for row in message.keyboard]
        picture = "(a picture) " if "photo" in message.content else ""
        return Seen(how, place, at.astimezone(self._script.zone), picture + message.text, rows)

    def _compare(self, step: Step, seen: list[Seen]) -> None:
        left = list(seen)
        for expected in step.expected:
            there = [each for each in left if each.place == expected.place]
            alike = [each for each in there if each.how == expected.how]
            mine = next(iter(alike or there), None)
            if mine is None or not expected.fits(mine.how, mine.text, mine.buttons):
                raise self._differs(expected.line, expected.written, _seen_instead(mine, expected))
            left.remove(mine)
        # A list that is kept up to date in place changes with every deed; that needn't be written.
        if more := [each for each in left if each.how != "~"]:
            raise self._differs(step.line, step.written, f"more than is written: {more[0]}")

    def _differs(self, line: int, written: str, seen: str) -> DiffersError:
        return DiffersError(
            f"{self._script.name}, line {line}, differs.\n  written: {written}\n  seen:    {seen}"
        )


def _seen_instead(seen: Seen | None, expected: Expected) -> str:
    return str(seen) if seen else f"nothing (more) in {expected.place}"
