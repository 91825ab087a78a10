"""What people read when a team needs its kits longer."""

from __future__ import annotations

from clubbot.chat.words.handover import swap_lines
from clubbot.chat.words.phrases import (
    Reply,
    View,
    Wording,
    button,
    capital,
    for_team,
    kits_named,
    local,
    rows,
    until,
)
from clubbot.rules.results import (
    LongerAsked,
    LongerGiven,
    LongerOffered,
    LongerRefused,
    LongerTold,
    LongerWanted,
)


def offered(result: LongerOffered, view: View) -> Reply:
    due = f"{capital(kits_named(result.kits))}: due {until(result.due, view)}."
    ends = [
        button(f"Until {until(end, view)}", "longer", result.booking, int(end.timestamp()))
        for end in (*result.ends, *result.asked)
    ]
    if result.ends:
        return Reply(f"{due} Until when do you need {_them(result)}?", rows(ends, 3))
    if result.asked:
        return Reply(f"{due} No adult is noted as there after that. Ask a leader?", rows(ends, 3))
    them = _them(result)
    return Reply(f"{due} Longer can't be: others have {them} next. Please bring {them} back.")


def _them(result: LongerOffered) -> str:
    return "it" if len(result.kits) == 1 else "them"


def given(result: LongerGiven, view: View) -> Reply:
    verb = "is" if len(result.kits) == 1 else "are"
    first = f"{capital(kits_named(result.kits))}{for_team(result.team)} {verb} due "
    lines = [f"{first}{until(result.due, view)} now.", *swap_lines(result.swaps)]
    return Reply("\n".join(lines))


def asked(result: LongerAsked, view: View) -> Reply:
    return Reply(
        f"An adult is asked: {kits_named(result.kits)} until {until(result.end, view)}. "
        "Until they say yes, the time stays as it is."
    )


def wanted(result: LongerWanted, view: View) -> Reply:
    facts = (result.booking, int(result.end.timestamp()))
    due = f"{local(result.due, view):%H:%M}"
    return Reply(
        f"{capital(kits_named(result.kits))}{for_team(result.team)}: needed until "
        f"{until(result.end, view)}, not {due}. No adult is noted as there then. Yes or no?",
        ((button("Yes", "longeryes", *facts), button("No", "longerno", *facts)),),
    )


def refused(result: LongerRefused, view: View) -> Reply:
    verb = "is" if len(result.kits) == 1 else "are"
    return Reply(
        f"{capital(kits_named(result.kits))}{for_team(result.team)} {verb} due "
        f"{until(result.due, view)}, as before. They are told."
    )


def told(result: LongerTold, view: View) -> Reply:
    name = capital(kits_named(result.kits))
    if result.yes:
        return Reply(f"{name}: an adult says yes, until {until(result.end, view)}.")
    return Reply(f"{name}: an adult says no to longer. Please bring them back in time.")


SAID: dict[type, Wording] = {
    LongerOffered: offered,
    LongerGiven: given,
    LongerAsked: asked,
    LongerWanted: wanted,
    LongerRefused: refused,
    LongerTold: told,
}
