"""What people read when they ask what they can do, or when something went wrong with us."""

from __future__ import annotations

from collections.abc import Sequence

from clubbot.chat.words.phrases import Button, Reply, View, esc
from clubbot.rules.model import Role


def commands(lines: Sequence[tuple[str, str]], view: View) -> Reply:
    if view.role is Role.STRANGER:
        return Reply(
            "I look after a club's robot kits. To come in, open the link that your club's leader "
            "gives you."
        )
    shown = [f"• {esc(text)}" if "/" in text else f"• {esc(text)}: /{name}" for name, text in lines]
    talk = f" Something wrong? Talk to {esc(view.contact)}." if view.contact else ""
    return Reply(
        "\n".join(
            [
                f"In {esc(view.club)} you can:",
                *shown,
                f"Or just type it: 3 kits fri 15:30 to 17:00, or: unit D keeps dying.{talk}",
            ]
        )
    )


def unknown_command() -> Reply:
    return Reply("I don't know that command. /help shows the ones I know.")


def in_private(bot: str) -> Reply:
    return Reply(
        "That is for the two of us. Write it to me in private.",
        ((Button("Open the private chat", url=f"https://t.me/{bot}"),),),
    )


def only_words() -> Reply:
    return Reply("I can read words and photos only. Write in one sentence what you need, or /help")


def link_there() -> Reply:
    return Reply("Add me to the club's group and send /link there, not here.")


def others_button() -> str:
    return "That button answers somebody else. Please ask me yourself."


def old_button() -> str:
    return "That button is out of date. Please ask again."


def broken(reference: str) -> Reply:
    return Reply(f"Something went wrong on my side. Please tell an adult this: {reference}")
