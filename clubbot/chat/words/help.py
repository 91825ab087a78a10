"""What people read when they ask what they can do, or when something went wrong with us."""

from __future__ import annotations

from collections.abc import Sequence

from clubbot.chat.words.phrases import Reply, View, esc
from clubbot.rules.model import Role


def commands(lines: Sequence[tuple[str, str]], view: View) -> Reply:
    if view.role is Role.STRANGER:
        return Reply(
            "I look after a club's robot kits. To come in, open the link that your club's leader "
            "gives you."
        )
    shown = [f"/{name} {esc(text)}" for name, text in lines]
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


def old_button() -> str:
    return "That button is out of date. Please ask again."


def broken(reference: str) -> Reply:
    return Reply(f"Something went wrong on my side. Please tell an adult this: {reference}")
