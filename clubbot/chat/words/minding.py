"""What people read about what is kept of them, what children are sent, and what they mute."""

from __future__ import annotations

from clubbot.chat.words.phrases import (
    Button,
    Reply,
    View,
    Wording,
    button,
    esc,
    rows,
    when,
)
from clubbot.rules.results import Mutes, MyData, SentLine, SentPage

_LONGEST = 400
KINDS = {
    "tomorrow": "tomorrow's booking",
    "due soon": "due soon",
    "late": "late kits",
    "charge": "charge list",
    "morning": "today's list",
    "changes": "changes of bookings",
    "faults": "faults",
    "people": "people who knock",
    "other": "the rest",
}
"""The kinds of notices as people read them; danger is none of them."""


def sent_page(result: SentPage, view: View) -> Reply:
    whom = esc(result.name) if result.person else "students, helpers and the phone at the door"
    kept = f"Kept for {result.kept_days} days: /settings keep messages {result.kept_days}"
    if not result.lines:
        return Reply(f"Nothing was written to {whom} lately. {kept}")
    lines = [f"What I wrote to {whom}, newest first{_of(result)}:"]
    lines += [_line(each, view) for each in result.lines]
    return Reply("\n".join([*lines, kept]), _pages(result))


def _of(result: SentPage) -> str:
    return f", page {result.page} of {result.pages}" if result.pages > 1 else ""


def _line(line: SentLine, view: View) -> str:
    return f"• {when(line.at, view)}, {esc(line.name)}: {esc(line.text, _LONGEST)}"


def _pages(result: SentPage) -> tuple[tuple[Button, ...], ...]:
    laid: list[Button] = []
    if result.page > 1:
        laid.append(button("Newer", "sent", result.page - 1, result.person))
    if result.page < result.pages:
        laid.append(button("Older", "sent", result.page + 1, result.person))
    return (tuple(laid),) if laid else ()


def my_data(result: MyData, view: View) -> Reply:
    text = "All that is kept about you in this club, in one file. "
    return Reply(
        text + "To have your number and your name deleted: /leave",
        document=(result.name, result.content.encode()) if result.content else None,
    )


def mutes(result: Mutes, view: View) -> Reply:
    lines = ["What I tell you without being asked:"]
    lines += [f"• {KINDS[kind]}: {'on' if wanted else 'off'}" for kind, wanted in result.kinds]
    lines.append("Danger is always on. Change one: /mute faults, and again to have it back.")
    buttons = [
        button(f"{KINDS[kind]} {'off' if wanted else 'on'}", "mute", kind)
        for kind, wanted in result.kinds
    ]
    return Reply("\n".join(lines), rows(buttons, 2))


SAID: dict[type, Wording] = {SentPage: sent_page, MyData: my_data, Mutes: mutes}
