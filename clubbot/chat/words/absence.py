"""What adults read about being away and about acting for one another."""

from __future__ import annotations

from datetime import date

from clubbot.chat.words.phrases import (
    Reply,
    View,
    Wording,
    button,
    capital,
    day_name,
    esc,
    listed,
    local,
    rows,
)
from clubbot.rules.results import AwayAsks, AwayLine, AwayNoted, BackAgain, WhoIsAway, YouAct

_HOW = "Going away? /away 3 Oct to 10 Oct Sam"


def _days(first: date, last: date, view: View) -> str:
    today = local(view.now, view).date()
    if first == last:
        return day_name(first, today)
    if first <= today:
        return f"until {day_name(last, today)}"
    return f"{day_name(first, today)} to {day_name(last, today)}"


def noted(result: AwayNoted, view: View) -> Reply:
    line = result.line
    return Reply(
        f"You are away {_days(line.first, line.last, view)}; {esc(line.acting)} acts for you and "
        "is told so. It ends by itself. Danger reaches you both.",
        ((button("I'm back", "imback"),),),
    )


def asks(result: AwayAsks, view: View) -> Reply:
    buttons = [
        button(each.name, "letact", result.first, result.last, each.id) for each in result.adults
    ]
    return Reply(f"Who acts for you {_days(result.first, result.last, view)}?", rows(buttons, 2))


def who_is_away(result: WhoIsAway, view: View) -> Reply:
    if not result.lines:
        return Reply(f"No adult is away. {_HOW}")
    lines = [f"• {_line(each, view)}" for each in result.lines]
    mine = any(each.mine for each in result.lines)
    laid = ((button("I'm back", "imback"),),) if mine else ()
    return Reply("\n".join(["Away:", *lines, _HOW]), laid)


def _line(line: AwayLine, view: View) -> str:
    name = "you" if line.mine else esc(line.name)
    days = _days(line.first, line.last, view)
    return f"{capital(name)}, {days}: {esc(line.acting)} acts"


def back_again(result: BackAgain, view: View) -> Reply:
    if not result.acting:
        return Reply(f"You aren't away here. {_HOW}")
    acting = listed([esc(name) for name in result.acting])
    many = "are" if len(result.acting) > 1 else "is"
    return Reply(f"Welcome back. Everything comes to you again; {acting} {many} told.")


def you_act(result: YouAct, view: View) -> Reply:
    if result.over:
        return Reply(f"{esc(result.name)} is back. You no longer act for them.")
    return Reply(
        f"{esc(result.name)} is away {_days(result.first, result.last, view)}. You act for them: "
        "their lists, questions and requests come to you. It ends by itself."
    )


SAID: dict[type, Wording] = {
    AwayNoted: noted,
    AwayAsks: asks,
    WhoIsAway: who_is_away,
    BackAgain: back_again,
    YouAct: you_act,
}
