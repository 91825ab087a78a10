"""What one person sees: the people, their chats, one record, what they can write."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from urllib.parse import urlencode

from demo.clock import ClubClock
from demo.standin import Chat, MisuseError, Person, StandIn
from demo.standin.world import Standing

from .markup import Reader, esc, long_day, record


def address(person: Person, chat: Chat) -> str:
    """Return the page's own address for a person in a chat."""
    return "?" + urlencode({"person": person.id, "chat": chat.id})


def looked_at(standin: StandIn, person: str, chat: str) -> tuple[Person, Chat]:
    """Return who looks at what, from an address; the first person alone where it says nothing.

    Whoever isn't in a chat sees their own instead. MisuseError: there is nobody.
    """
    world = standin.platform.world
    if not world.people:
        raise MisuseError("nobody is here yet")
    first = next(iter(world.people.values()))
    who = world.people.get(_number(person), first)
    where = world.chats.get(_number(chat))
    if where is not None and where in chats_of(standin, who):
        return who, where
    return who, world.chat(who)


def _number(raw: str) -> int:
    return int(raw) if raw.removeprefix("-").isdecimal() else 0


def chats_of(standin: StandIn, person: Person) -> list[Chat]:
    """Return the chats that a person is in: alone with the bot first, then the groups."""
    world = standin.platform.world
    groups = [
        chat
        for chat in world.chats.values()
        if not chat.private
        and chat.migrated_to is None
        and chat.members.get(person.id, Standing.LEFT).inside
    ]
    return [world.chat(person), *groups]


def view(
    standin: StandIn, clock: ClubClock, roles: Mapping[int, str], who: Person, where: Chat
) -> dict[str, Any]:
    """Return everything that the page shows, as pieces of HTML and plain facts."""
    bot = standin.platform.bot
    reader = Reader(clock.zone, bot.first_name, bot.username)
    local = clock.local
    return {
        "person": who.id,
        "chat": where.id,
        "last_event": standin.platform.journal.last_event,
        "day": long_day(local),
        "time": f"{local:%H:%M}",
        "zone": f"{clock.zone.key}, UTC{_offset(local.utcoffset())}",
        "wall": f"{local:%Y-%m-%dT%H:%M}",
        "title": _title(standin, who, where),
        "people": _people(standin, roles, who, where),
        "who": who.name + (f", {roles[who.id]}" if who.id in roles else ""),
        "openers": _openers(standin),
        "chats": _chats(standin, who, where),
        "newest": {
            str(chat.id): max((m.id for m in chat.visible if m.sender is not who), default=0)
            for chat in chats_of(standin, who)
        },
        "news": _news(standin),
        "entries": [{"id": key, "html": body} for key, body in record(where.visible, reader)],
        "commands": _commands(standin, who, where),
        "label": f"{who.name} writes to {_addressee(standin, where)}",
        "note": _note(standin, who, where),
        "blocked": who.blocked,
    }


def _offset(offset: Any) -> str:
    minutes = int(offset.total_seconds()) // 60
    sign, rest = "-" if minutes < 0 else "+", abs(minutes)
    return f"{sign}{rest // 60}" + (f":{rest % 60:02}" if rest % 60 else "")


def _title(standin: StandIn, who: Person, where: Chat) -> str:
    if where.private:
        return f"{who.name} and {standin.platform.bot.first_name}, alone"
    return f"{where.title}, the group"


def _addressee(standin: StandIn, where: Chat) -> str:
    return standin.platform.bot.first_name if where.private else f"the group {where.title}"


def _people(standin: StandIn, roles: Mapping[int, str], who: Person, where: Chat) -> str:
    """The list to choose from; who moves to another person stays in the group if both are in it."""
    items = []
    for person in standin.platform.world.people.values():
        chats = chats_of(standin, person)
        chat = where if where in chats and not where.private else chats[0]
        current = ' aria-current="true"' if person is who else ""
        role = roles.get(person.id, "")
        more = f" <small>{esc(role)}</small>" if role else ""
        items.append(
            f'<li><a href="{esc(address(person, chat))}" data-person="{person.id}"{current}>'
            f"{esc(person.name)}{more}</a></li>"
        )
    return f"<ul>{''.join(items)}</ul>"


def _openers(standin: StandIn) -> str:
    return "".join(
        f'<li><button type="button" data-opener="{person.id}">{esc(person.name)}</button></li>'
        for person in standin.platform.world.people.values()
    )


def _chats(standin: StandIn, who: Person, where: Chat) -> str:
    links = []
    for chat in chats_of(standin, who):
        current = ' aria-current="page"' if chat is where else ""
        name = f"Alone with {standin.platform.bot.first_name}" if chat.private else chat.title or ""
        links.append(
            f'<li><a href="{esc(address(who, chat))}" data-chat="{chat.id}"{current}>'
            f"{esc(name)}</a></li>"
        )
    return f"<ul>{''.join(links)}</ul>"


def _news(standin: StandIn) -> dict[str, int]:
    """For each person the newest thing that the bot said to them alone."""
    world = standin.platform.world
    return {
        str(person.id): max((m.id for m in world.chat(person).visible if m.from_bot), default=0)
        for person in world.people.values()
    }


def _commands(standin: StandIn, who: Person, where: Chat) -> str:
    return "".join(
        f'<li><button type="button" data-command="/{esc(each["command"])} ">'
        f"<b>/{esc(each['command'])}</b> {esc(each['description'])}</button></li>"
        for each in standin.commands_shown(who, where)
    )


def _note(standin: StandIn, who: Person, where: Chat) -> str:
    bot = standin.platform.bot
    if where.private:
        if who.blocked:
            return f"{who.name} has blocked {bot.first_name}."
        return "" if who.started else f"{who.name} hasn't written to {bot.first_name} yet."
    if not where.bot.inside:
        return f"{bot.first_name} isn't in this group."
    if where.bot_reads_all or where.bot.admin:
        return f"{bot.first_name} can read all of this group."
    return f"Here {bot.first_name} sees commands, answers to it and @{bot.username}, nothing else."
