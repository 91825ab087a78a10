"""What people read when they ask what they can do, or when something went wrong with us."""

from __future__ import annotations

from collections.abc import Sequence

from clubbot.chat.words.phrases import Button, Reply, View, Wording, button, esc, listed
from clubbot.rules.model import Role
from clubbot.rules.results import HelpNow

FIRST: dict[Role, tuple[str, ...]] = {
    Role.LEADER: ("today", "book", "log", "faults", "charge", "people", "setup", "sent", "undo"),
    Role.CO_LEADER: ("today", "book", "log", "faults", "charge", "people", "sent", "undo"),
    Role.HELPER: ("today", "out", "back", "count", "faults", "fault", "free", "undo"),
    Role.STUDENT: ("free", "book", "mine", "cancel", "back", "fault", "me"),
    Role.DOOR: ("free", "book", "out", "back", "fault", "kit"),
}
"""What each role needs most; the rest is a tap away."""
PAGE = 15


def stranger() -> Reply:
    return Reply(
        "I look after a club's robot kits. To come in, open the link that your club's leader "
        "gives you."
    )


def first(now: HelpNow, lines: Sequence[tuple[str, str]], view: View) -> Reply:
    """Say what fits the moment, then what the role needs most."""
    if not view.private:
        return Reply("\n".join([*_head(view), *_listed(lines), _typing(view)]))
    known = dict(lines)
    wanted = [(name, known[name]) for name in FIRST.get(view.role, ()) if name in known]
    text = "\n".join([*_moment(now, view), *_listed(wanted), _typing(view)])
    return Reply(text, ((button("All commands", "help", 1),),))


def _moment(now: HelpNow, view: View) -> list[str]:
    lines = []
    if now.missing:
        lines.append("The set-up isn't finished: /setup shows what is missing.")
    if now.knocks:
        many = "person waits" if now.knocks == 1 else "people wait"
        lines.append(f"{now.knocks} {many} to be let in: /people")
    if now.session and view.role.staff and view.role is not Role.DOOR:
        lines.append("The club meets about now: /today gives out and takes back.")
    elif now.session and view.role is Role.DOOR:
        lines.append("The club meets about now: /out gives out.")
    if now.out and view.role is Role.STUDENT:
        names = listed([esc(label) for label in now.out])
        lines.append(f"You have {names}. When it is back: /back {esc(now.out[0])}")
    if now.faults and view.role.adult:
        lines.append(f"{now.faults} fault{'' if now.faults == 1 else 's'} open: /faults")
    return [f"Just now in {esc(view.club)}:", *lines, "You can:"] if lines else _head(view)


def _head(view: View) -> list[str]:
    return [f"In {esc(view.club)} you can:"]


def every(lines: Sequence[tuple[str, str]], page: int, view: View) -> Reply:
    """Return one page of all commands."""
    pages = max(1, -(-len(lines) // PAGE))
    page = min(max(page, 1), pages)
    shown = lines[(page - 1) * PAGE : page * PAGE]
    laid = []
    if page > 1:
        laid.append(button("Back", "help", page - 1))
    if page < pages:
        laid.append(button("More", "help", page + 1))
    head = f"All that you can do in {esc(view.club)}, page {page} of {pages}:"
    return Reply("\n".join([head, *_listed(shown)]), (tuple(laid),) if laid else ())


def _listed(lines: Sequence[tuple[str, str]]) -> list[str]:
    return [f"• {esc(text)}" if "/" in text else f"• {esc(text)}: /{name}" for name, text in lines]


def _typing(view: View) -> str:
    talk = f" Something wrong? Talk to {esc(view.contact)}." if view.contact else ""
    return f"Or just type it: 3 kits fri 15:30 to 17:00, or: unit D keeps dying.{talk}"


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


def _now(result: HelpNow, view: View) -> Reply:
    return first(result, [], view)


SAID: dict[type, Wording] = {HelpNow: _now}
