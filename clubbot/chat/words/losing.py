"""What adults read about what is lost or stolen."""

from __future__ import annotations

from clubbot.chat.words.handover import swap_lines
from clubbot.chat.words.phrases import (
    Button,
    Reply,
    View,
    Wording,
    button,
    esc,
    for_team,
    listed,
    rows,
    when,
)
from clubbot.rules.results import (
    Losses,
    LossFound,
    LossLine,
    LossNoted,
    LossTold,
    PicturesNoted,
)

_MANY = 12


def _what(thing: str, label: str) -> str:
    return f"kit {esc(label)}" if thing == "kit" else f"the {thing} of kit {esc(label)}"


def _facts(loss: LossLine, view: View) -> list[str]:
    """Return what somebody who looks for it, or reports it, needs to know."""
    state = "stolen" if loss.stolen else "lost"
    lines = [f"<b>L{loss.number}</b>: {_what(loss.thing, loss.kit.label)}, {state}."]
    if loss.last_seen:
        lines.append(f"Last seen: {esc(loss.last_seen)}.")
    if loss.seen_at is not None:
        lines.append(f"Last entry: {when(loss.seen_at, view)}{for_team(loss.team)}.")
    serials = [f"{esc(kind)} {esc(serial) or 'not noted'}" for kind, serial in loss.serials]
    lines.append(f"Serial numbers: {listed(serials) or 'none noted'}.")
    if loss.price_cents is None:
        lines.append("Price: not noted.")
    else:
        rest = f"; {loss.unpriced} more without a price" if loss.unpriced else ""
        lines.append(f"Price: {loss.price_cents // 100}.{loss.price_cents % 100:02}{rest}.")
    return lines


def _tablet(loss: LossLine) -> list[str]:
    if not loss.with_tablet:
        return []
    return [
        "A tablet: tell the school's IT and its data protection person <b>today</b>. "
        "IT can lock it. Were there pictures of children on it?"
    ]


def _buttons(loss: LossLine) -> tuple[tuple[Button, ...], ...]:
    asked = (
        (
            button("Pictures: yes", "lostpics", loss.number, "yes"),
            button("No", "lostpics", loss.number, "no"),
            button("Don't know", "lostpics", loss.number, "unknown"),
        ),
    )
    found = ((button("It is found", "found", loss.number),),)
    return (*asked, *found) if loss.with_tablet else found


def noted(result: LossNoted, view: View) -> Reply:
    loss = result.loss
    lines = ["Noted.", *_facts(loss, view)]
    if loss.stolen:
        lines.append(f"For the police and the insurance: these numbers, and L{loss.number}.")
    if loss.thing in ("kit", "unit"):
        lines.append("It is promised to nobody until it is found.")
    lines += swap_lines(result.swaps)
    lines += [
        f"Booking {each.number}{for_team(each.team)} can't have all its kits any more."
        for each in result.short
    ]
    return Reply("\n".join([*lines, *_tablet(loss)]), _buttons(loss))


def every(result: Losses, view: View) -> Reply:
    if not result.losses:
        return Reply("Nothing is lost. To note it: /lost D: last seen in the hall")
    shown = result.losses[:_MANY]
    blocks = ["\n".join(_facts(loss, view) + _answered(loss)) for loss in shown]
    if more := len(result.losses) - len(shown):
        blocks.append(f"And {more} more, noted later.")
    buttons = [button(f"L{loss.number} is found", "found", loss.number) for loss in shown]
    return Reply("\n\n".join(blocks), rows(buttons, 2))


def _answered(loss: LossLine) -> list[str]:
    if not loss.with_tablet:
        return []
    words = {"yes": "yes", "no": "no", "unknown": "not known"}
    return [f"Pictures of children on the tablet: {words[loss.pictures]}."]


def told(result: LossTold, view: View) -> Reply:
    by = f"{esc(result.by)} noted:" if result.by else "Noted:"
    lines = [by, *_facts(result.loss, view), *_tablet(result.loss)]
    return Reply("\n".join(lines), _buttons(result.loss))


def pictures(result: PicturesNoted, view: View) -> Reply:
    what = f"L{result.number}, kit {esc(result.kit.label)}"
    if result.pictures == "no":
        return Reply(f"{what}: no pictures of children. Tell the school's IT today all the same.")
    known = "there were" if result.pictures == "yes" else "there may have been"
    # Regulation (EU) 2016/679, Article 33(1).
    return Reply(
        f"{what}: {known} pictures of children on it. Tell the school's data protection person "
        "today: in the EU the school has 72 hours from when it knows, and elsewhere other rules "
        "hold. They decide whether the families are told."
    )


def found(result: LossFound, view: View) -> Reply:
    lines = [f"Good: {_what(result.thing, result.kit.label)} is found, L{result.number} is closed."]
    if result.thing in ("kit", "unit", "battery"):
        lines.append(
            "Before it is charged or given out: look at the battery. "
            "Swollen, dented, wet or hot: don't touch it further, follow the school's rules."
        )
    if result.thing in ("kit", "tablet"):
        lines.append("Tell the school's IT that the tablet is there again.")
    return Reply("\n".join([*lines, *swap_lines(result.swaps)]))


SAID: dict[type, Wording] = {
    LossNoted: noted,
    Losses: every,
    LossTold: told,
    PicturesNoted: pictures,
    LossFound: found,
}
